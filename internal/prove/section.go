package prove

import (
	"strings"

	"example.org/lickwright/score"
)

// A section is bars under words: a heading of a page (a rehearsal mark, in tab
// a line between equals signs) or the title of an exercise on it.
type section struct {
	page       string   // heading, "" if the section goes on with the page before
	paragraphs []string // words before the bars, the last one next to them
	from, to   int      // measures of the first part
}

// sections finds them: in the words of the model, or, for tab, in the prose of
// the text. Other bars, before any words, are a section of their own.
func sections(s *score.Score, text string) []section {
	if len(s.Parts) == 0 || len(s.Parts[0].Measures) == 0 {
		return nil
	}
	var out []section
	if text == "" {
		out = fromWords(s.Parts[0])
	} else {
		out = fromProse(s, text)
	}
	for i := range out {
		out[i].to = len(s.Parts[0].Measures)
		if i+1 < len(out) {
			out[i].to = out[i+1].from
		}
	}
	return out
}

func fromWords(p *score.Part) []section {
	var out []section
	for i, m := range p.Measures {
		sec := section{from: i}
		for _, e := range m.Events {
			w, ok := e.(*score.Words)
			switch {
			case !ok || !w.Onset.IsZero():
			case w.Kind == "rehearsal":
				sec.page = w.Text
			case w.Kind == "words":
				sec.paragraphs = append(sec.paragraphs, w.Text)
			}
		}
		if i == 0 || sec.page != "" || len(sec.paragraphs) > 0 {
			out = append(out, sec)
		}
	}
	return out
}

// fromProse cuts a tab into blocks at empty lines. A block in which a measure
// begins is a system; what is between systems belongs to the next one.
func fromProse(s *score.Score, text string) []section {
	first := map[int]int{} // the first measure that begins in a line, lines from 1
	for i, m := range s.Parts[0].Measures {
		if pos := s.PosOf(m.Src); pos.IsValid() {
			if _, has := first[pos.Line]; !has {
				first[pos.Line] = i
			}
		}
	}
	var out []section
	var sec section
	var block []string
	at := -1
	flush := func() {
		switch {
		case len(block) == 0:
		case at >= 0:
			if sec.page != "" || len(sec.paragraphs) > 0 || len(out) == 0 {
				sec.from = at
				out = append(out, sec)
				sec = section{}
			}
		case strings.HasPrefix(block[0], "== ") && len(block) == 1:
			sec = section{page: strings.Trim(block[0], "= ")}
		default:
			sec.paragraphs = append(sec.paragraphs, strings.Join(block, "\n"))
		}
		block, at = nil, -1
	}
	for i, l := range strings.Split(text, "\n") {
		l = strings.TrimRight(l, " \r")
		if l == "" {
			flush()
			continue
		}
		if m, ok := first[i+1]; ok && at < 0 {
			at = m
		}
		block = append(block, l)
	}
	flush()
	return out
}

// title is the first line of the words next to the bars.
func (s section) title() string {
	if len(s.paragraphs) == 0 {
		return ""
	}
	title, _, _ := strings.Cut(s.paragraphs[len(s.paragraphs)-1], "\n")
	return title
}

// words is what stands under the title.
func (s section) words() string {
	if len(s.paragraphs) == 0 {
		return ""
	}
	_, words, _ := strings.Cut(s.paragraphs[len(s.paragraphs)-1], "\n")
	return strings.Join(strings.Fields(words), " ")
}
