package tabtext

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A headerKind is what a line outside of the tab states.
type headerKind int8

const (
	headTitle headerKind = iota
	headSubtitle
	headComposer
	headPart
	headTuning
	headCapo
	headKey
	headTime
	headTempo
	headFrets
	headGuess  // the rhythm of the next system was guessed from its spacing
	headNaming // what the chord symbols over a capo name
)

// headerNames are the words that begin a header line, in lower case.
var headerNames = map[string]headerKind{
	"title": headTitle, "song": headTitle, "piece": headTitle,
	"subtitle": headSubtitle,
	"composer": headComposer, "by": headComposer, "author": headComposer, "written by": headComposer,
	"part": headPart, "instrument": headPart,
	"tuning": headTuning, "tuned": headTuning, "tune to": headTuning,
	"capo": headCapo, "key": headKey,
	"time": headTime, "metre": headTime, "meter": headTime, "time signature": headTime,
	"tempo": headTempo, "bpm": headTempo,
	"frets": headFrets,
}

// A header is one statement of a line outside of the tab.
type header struct {
	kind    headerKind
	index   int // in layout.headers
	line    int
	at      span // physical columns of the value
	text    string
	prose   bool // found in a sentence, not as "name: value"
	doubt   bool // the sentence may only talk of it
	spelled bool // the tuning is given by its strings, not by a name
	tuning  fretboard.Tuning
	number  int // capo, frets
	key     theory.Key
	mode    bool // the mode was said
	time    *score.TimeSignature
	tempo   float64
	beats   bool // the tempo is a number alone: it counts the beats of the metre
	naming  namingSaid
	bad     string // why the value of a "name: value" line could not be read
	hint    string
}

// maxHeaderLine is the longest line, in columns, that is looked at for
// statements; longer ones are prose.
const maxHeaderLine = 120

// readHeaders finds what a line outside of the tab states.
func readHeaders(src *source, line int) []header {
	c := src.columns(line)
	if len(c.ch) == 0 || len(c.ch) > maxHeaderLine {
		return nil
	}
	i := skipQuote(c.ch)
	for i < len(c.ch) && (c.ch[i] == '#' || c.ch[i] == '/' || c.ch[i] == '*' || c.ch[i] == ' ' || c.ch[i] == '[') {
		i++
	}
	colon := -1
	for j := i; j < len(c.ch) && j < i+16; j++ {
		if c.ch[j] == ':' || c.ch[j] == '=' {
			colon = j
			break
		}
	}
	if colon > 0 {
		name := strings.ToLower(strings.TrimSpace(string(c.ch[i:colon])))
		if name == guessName && strings.HasPrefix(strings.ToLower(strings.TrimSpace(c.show(colon+1, len(c.ch), src.html))), guessValue) {
			return []header{{kind: headGuess, line: line}}
		}
		if name == namingName {
			if n, ok := readNaming(c.show(colon+1, len(c.ch), src.html)); ok {
				return []header{{kind: headNaming, line: line, naming: n}}
			}
		}
		if kind, ok := headerNames[name]; ok {
			return readValues(src, c, line, kind, colon+1)
		}
	}
	return readProse(src, c, line, i)
}

// readValues reads the value of a header line, and others that follow on the
// line: "Key: Am   Tempo: 90".
func readValues(src *source, c cells, line int, kind headerKind, from int) []header {
	to := len(c.ch)
	var more []header
	// Another name with a colon after a gap begins another statement.
	for j := from + 1; j < len(c.ch) && kind > headPart; j++ {
		if c.ch[j] != ':' {
			continue
		}
		k := j
		for k > from && c.ch[k-1] != ' ' && c.ch[k-1] != ',' {
			k--
		}
		if next, ok := headerNames[strings.ToLower(string(c.ch[k:j]))]; ok && k > from {
			more = readValues(src, c, line, next, j+1)
			to = k
			break
		}
	}
	for from < to && c.ch[from] == ' ' {
		from++
	}
	for to > from && (c.ch[to-1] == ' ' || c.ch[to-1] == ',' || c.ch[to-1] == ';' || c.ch[to-1] == ']') {
		to--
	}
	h := header{kind: kind, line: line, at: span{from, to}, text: oneLine(c.show(from, to, src.html))}
	if h.text == "" {
		return more
	}
	h.parse()
	if kind > headPart {
		if first, others := h.apart(src, c, to); len(others) > 0 {
			return slices.Concat([]header{first}, others, more)
		}
	}
	return append([]header{h}, more...)
}

// apart finds what a value says besides, after a comma or a gap, without a name:
// "Tempo: 96   7/8", "Key: Am, 6/8, capo 2".
func (h *header) apart(src *source, c cells, to int) (first header, others []header) {
	for j := h.at.from + 1; j < to; j++ {
		if gap := c.ch[j] == ' ' && c.ch[j+1] == ' '; !gap && c.ch[j] != ',' && c.ch[j] != ';' {
			continue
		}
		first = header{kind: h.kind, line: h.line, at: span{h.at.from, j}, text: oneLine(c.show(h.at.from, j, src.html))}
		if first.parse(); first.bad != "" {
			continue // "D A D,  G A D" is one tuning
		}
		rest := c
		rest.ch = c.ch[:to]
		for _, o := range readProse(src, rest, h.line, j+1) {
			if o.kind != h.kind && !o.doubt {
				others = append(others, o)
			}
		}
		return first, others
	}
	return *h, nil
}

func (h *header) fail(err error, hint string) {
	h.bad = err.Error()
	h.hint = hint
	if p, ok := err.(*theory.ParseError); ok && p.Hint != "" {
		h.hint = p.Hint
	}
}

// parse reads the text of a value.
func (h *header) parse() {
	switch h.kind {
	case headTuning:
		t, err := parseTuningText(h.text)
		if err != nil {
			h.fail(err, "")
		}
		h.tuning = t
		_, standard := fretboard.PresetByName(h.text)
		_, _, named := proseTuning(h.text, true)
		h.spelled = !standard && !named
	case headCapo, headFrets:
		n, ok := leadingNumber(h.text)
		if !ok && h.kind == headCapo && (strings.EqualFold(h.text, "none") || strings.EqualFold(h.text, "no")) {
			n, ok = 0, true
		}
		if !ok || n > fretboard.MaxFrets {
			h.bad = strconv.Quote(h.text) + " is no fret"
			h.hint = "write a number of a fret, as in Capo: 2"
		}
		h.number = n
	case headKey:
		k, said, err := theory.ParseKey(h.text)
		if err != nil {
			// "A minor (blues)" and the like: the words before a bracket or comma.
			if i := strings.IndexAny(h.text, "(,;/"); i > 0 {
				k, said, err = theory.ParseKey(strings.TrimSpace(h.text[:i]))
				h.at.to = h.at.from + len(strings.TrimRight(h.text[:i], " "))
			}
		}
		if err != nil {
			h.fail(err, "")
		}
		h.key, h.mode = k, said
	case headTime:
		t, ok := score.ParseMetre(h.text)
		if i := strings.IndexAny(h.text, ",;( "); !ok && i > 0 { // "3/4, slow"
			t, ok = score.ParseMetre(h.text[:i])
			h.at.to = h.at.from + i
		}
		if !ok {
			h.bad = strconv.Quote(h.text) + " is no metre"
			h.hint = "write beats and what gets a beat, as in Time: 4/4 or Time: 3+2/8"
		}
		h.time = t
	case headTempo:
		v, named, ok := parseTempo(h.text)
		if !ok {
			h.bad = strconv.Quote(h.text) + " is no tempo"
			h.hint = "write beats per minute, as in Tempo: 96"
		}
		h.tempo, h.beats = v, !named
	}
}

// parseTuningText reads a tuning and what people write around it: "D A D G A
// D (low to high)", "EADGBE - standard", "half step down".
func parseTuningText(s string) (fretboard.Tuning, error) {
	t, err := fretboard.ParseTuning(s)
	if err == nil {
		return t, nil
	}
	if i := strings.IndexAny(s, "(;"); i > 0 {
		if t, e := fretboard.ParseTuning(strings.TrimSpace(s[:i])); e == nil {
			return t, nil
		}
	}
	if i := strings.Index(s, " - "); i > 0 {
		if t, e := fretboard.ParseTuning(strings.TrimSpace(s[:i])); e == nil {
			return t, nil
		}
	}
	if t, _, ok := proseTuning(s, true); ok {
		return t, nil
	}
	return t, err
}

// readProse finds statements in a sentence: a tuning by its name where the
// line speaks of tuning or says nothing else, "capo 2", "in the key of Am",
// "120 bpm", "3/4 time".
func readProse(src *source, c cells, line, from int) []header {
	if words := splitWords(&c, src.html); !slices.ContainsFunc(words, func(w word) bool { return !isCountWord(w.text) }) {
		return nil // (1+1/8) is a count, no metre
	}
	text := c.show(from, len(c.ch), src.html)
	low := strings.ToLower(text)
	var found []header
	if t, ok := spelledTuning(text); ok {
		found = append(found, header{kind: headTuning, line: line, text: text, prose: true, tuning: t, spelled: true})
	} else if t, doubt, ok := proseTuning(text, false); ok {
		found = append(found, header{kind: headTuning, line: line, text: text, prose: true, tuning: t, doubt: doubt})
	} else if i := strings.Index(low, "tuning "); i >= 0 || strings.HasPrefix(low, "tuned to ") {
		rest := strings.TrimSpace(text[max(i+len("tuning"), len("tuned to")*b2i(i < 0)):])
		rest = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(rest, "is "), "to "))
		rest = strings.TrimRight(rest, ".!")
		if t, err := fretboard.ParseTuning(rest); err == nil {
			found = append(found, header{kind: headTuning, line: line, text: text, prose: true, tuning: t})
		}
	}
	if i := wordIndex(low, "capo"); i >= 0 {
		if strings.HasPrefix(strings.TrimSpace(low), "no ") && i <= 4 {
			found = append(found, header{kind: headCapo, line: line, text: text, prose: true})
		} else if n, at, ok := numberAfter(low, i+4); ok && n <= 12 {
			found = append(found, header{kind: headCapo, line: line, text: text, prose: true, number: n, doubt: n > 0 && optional(low), at: at.shifted(from, len(c.ch), len(text))})
		}
	}
	k, said, at, ok := proseKey(text)
	if !ok {
		k, said, at, ok = clauseKey(text)
	}
	if ok {
		found = append(found, header{kind: headKey, line: line, text: text[at.from:at.to], prose: true, key: k, mode: said, at: at.shifted(from, len(c.ch), len(text))})
	}
	if n, ok := proseNaming(low); ok {
		found = append(found, header{kind: headNaming, line: line, text: text, prose: true, naming: n})
	}
	if v, named, doubt, ok := proseTempo(low); ok {
		found = append(found, header{kind: headTempo, line: line, text: text, prose: true, tempo: v, beats: !named, doubt: doubt})
	}
	if t, ok := proseMetre(low); ok {
		found = append(found, header{kind: headTime, line: line, text: text, prose: true, time: t})
	}
	return found
}

// shifted gives the columns of a range of bytes in the words of a line that
// begin at a column; nothing if bytes are not columns there.
func (s span) shifted(from, columns, bytes int) span {
	if columns-from != bytes {
		return span{}
	}
	return span{s.from + from, s.to + from}
}

// optional tells that a line in lower case leaves it to the player: "capo 2 if
// you like".
func optional(low string) bool {
	for _, w := range []string{" if ", "optional", " or ", "maybe", "perhaps", "you can", "could"} {
		if strings.Contains(low, w) {
			return true
		}
	}
	return false
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func wordIndex(s, word string) int {
	i := strings.Index(s, word)
	if i < 0 || i > 0 && s[i-1] >= 'a' && s[i-1] <= 'z' {
		return -1
	}
	if j := i + len(word); j < len(s) && s[j] >= 'a' && s[j] <= 'z' {
		return -1
	}
	return i
}

// ordinals are the numbers that people write out before "fret".
var ordinals = map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7,
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7}

// numberAfter reads the number within a few words after an offset: "capo on
// the 2nd fret", "capo 3".
func numberAfter(s string, from int) (int, span, bool) {
	words := 0
	for i := from; i < len(s) && words < 4; {
		if s[i] == ' ' || s[i] == ':' || s[i] == '=' || s[i] == '@' {
			i++
			continue
		}
		j := i
		for j < len(s) && s[j] != ' ' {
			j++
		}
		w := strings.TrimRight(s[i:j], ".,;!)")
		if n, ok := leadingNumber(w); ok {
			k := i
			for k < len(s) && isDigit(s[k]) {
				k++
			}
			return n, span{i, k}, true
		}
		if n, ok := ordinals[w]; ok {
			return n, span{}, true
		}
		words++
		i = j
	}
	return 0, span{}, false
}

// keyAfter reads a key of one to three words at an offset.
func keyAfter(s string, from int) (k theory.Key, said bool, at span, ok bool) {
	for from < len(s) && s[from] == ' ' {
		from++
	}
	ends := make([]int, 0, 3)
	for i := from; i <= len(s) && len(ends) < 3; i++ {
		if i == len(s) || s[i] == ' ' {
			end := from + len(strings.TrimRight(s[from:i], ".,;:!?)]"))
			if ends = append(ends, end); end < i {
				break // a sign parts what follows
			}
		}
	}
	for i := len(ends) - 1; i >= 0; i-- {
		if k, said, err := theory.ParseKey(s[from:ends[i]]); err == nil {
			return k, said, span{from, ends[i]}, true
		}
	}
	return k, false, at, false
}

func leadingNumber(s string) (int, bool) {
	i := 0
	for i < len(s) && isDigit(s[i]) && i < 4 {
		i++
	}
	n, err := strconv.Atoi(s[:i])
	return n, err == nil
}
