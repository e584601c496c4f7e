package tabtext

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// A summary gathers what tab cannot hold, so that a thing that a file has many
// times is said once, with how often and where.
type summary struct {
	kinds map[string]*lostKind
	order []*lostKind
}

// A lostKind is one thing that is left out, in all its places.
type lostKind struct {
	code, what string
	details    []string // what stands in brackets behind it: words, names
	bars       []string // without repetition
	n          int
	at         score.Pos // of the first
}

// add notes that something is left out, at a bar ("bar 3") or "".
func (s *summary) add(code, where, what string, at func() score.Pos) {
	detail := ""
	if i := strings.Index(what, " ("); i > 0 && strings.HasSuffix(what, ")") {
		what, detail = what[:i], what[i+2:len(what)-1]
	}
	if s.kinds == nil {
		s.kinds = map[string]*lostKind{}
	}
	k := s.kinds[code+what]
	if k == nil {
		k = &lostKind{code: code, what: what, at: at()}
		s.kinds[code+what] = k
		s.order = append(s.order, k)
	}
	k.n++
	if detail != "" && !slices.Contains(k.details, detail) {
		k.details = append(k.details, detail)
	}
	if bar := strings.TrimPrefix(where, "bar "); bar != "" && (len(k.bars) == 0 || k.bars[len(k.bars)-1] != bar) {
		k.bars = append(k.bars, bar)
	}
}

// diagnostics says each kind in one line.
func (s *summary) diagnostics() score.Diagnostics {
	var out score.Diagnostics
	for _, k := range s.order {
		what := k.what
		if len(k.details) > 0 {
			what += " (" + strings.Join(firstPlaces(k.details), "; ") + ")"
		}
		msg := ""
		switch {
		case k.n == 1 && len(k.bars) == 1:
			msg = notShown("bar "+k.bars[0], what)
		case k.n == 1:
			msg = notShown("", what)
		case len(k.bars) == 1:
			msg = notShown("bar "+k.bars[0], what) + fmt.Sprintf(", %d times", k.n)
		case len(k.bars) == 0:
			msg = notShown("", what) + fmt.Sprintf(", %d times", k.n)
		default:
			msg = notShown("", what) + fmt.Sprintf(", %d times, in bars %s", k.n, strings.Join(firstPlaces(k.bars), ", "))
		}
		out = append(out, score.Diagnostic{Severity: score.Warning, Code: k.code, Pos: k.at, Msg: msg})
	}
	return out
}

// firstPlaces gives the first of many places.
func firstPlaces(list []string) []string {
	if len(list) <= maxPlaces {
		return list
	}
	return append(slices.Clone(list[:maxPlaces]), "…")
}
