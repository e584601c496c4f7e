package tabtext

import (
	"slices"
	"strings"
	"unicode/utf8"

	"example.org/lickwright/theory"
)

// A chordWord is a chord symbol in a word of a row, with the signs that people
// put around it: [Am7], (G7), Am7*, |Em.
type chordWord struct {
	before, after string
	chord         theory.Chord
}

// readChordWord finds the chord symbol of a word.
func readChordWord(s string) (w chordWord, ok bool) {
	if strings.Contains(s, "--") {
		return chordWord{}, false // a string
	}
	if c, err := theory.ParseChord(s); err == nil {
		return chordWord{chord: c}, true
	}
	core := strings.TrimLeft(s, "[({|*\"'")
	w.before = s[:len(s)-len(core)]
	// Brackets belong to the symbol where it has them itself: G7(b9).
	for n := len(core); n > 0; {
		if c, err := theory.ParseChord(core[:n]); err == nil {
			w.chord, w.after = c, core[n:]
			return w, true
		}
		r, size := utf8.DecodeLastRuneInString(core[:n])
		if !strings.ContainsRune("])}|*?!.,:;\"'-_~", r) && r != '…' {
			break
		}
		n -= size
	}
	return chordWord{}, false
}

// with gives the word with another chord in it. flats tells that the row
// writes the signs ♯ and ♭.
func (w chordWord) with(c theory.Chord, signs bool) string {
	text := c.String()
	if signs {
		text = strings.NewReplacer("#", "♯", "b", "♭").Replace(text)
	}
	return w.before + text + w.after
}

// isChordFiller tells what stands between chord symbols without being one.
func isChordFiller(s string) bool {
	switch s {
	case "|", "||", "%", "-", "/", ".", "->", "→", "*", ":", "~", "||:", ":||", "|:", ":|":
		return true
	}
	return strings.Trim(s, "-_.|=~") == "" || strings.Trim(s, "/") == ""
}

// chordRow tells whether a line beside the tab is a row of chord symbols, and
// which of its words are neither symbols nor what may stand among them. Words
// in brackets, directions and a label with a colon may. Beyond these a row
// has more symbols than other words; or as many, if it is laid out in columns
// and no symbol is a bare letter, which may be a word. doubt tells that the
// line has symbols but is taken for prose.
func chordRow(a *attached) (is, doubt bool, foreign []word) {
	chords, bare, inBrackets := 0, 0, 0
	for i, w := range a.words {
		open := strings.Count(w.text, "(") - strings.Count(w.text, ")")
		c, ok := readChordWord(w.text)
		switch {
		case ok && inBrackets == 0:
			chords++
			if len(w.text) == 1 {
				bare++
			}
			if c.before == "(" && c.after == "" && open > 0 && i+1 < len(a.words) { // (G7 first time)
				inBrackets++
			}
			continue
		case inBrackets > 0 || w.text[0] == '(':
			inBrackets = max(0, inBrackets+open)
			if _, said := parseTimes(w.text); !said && !isRomanWord(w.text) {
				foreign = append(foreign, w)
			}
		case isChordFiller(w.text), isMark(w.text), isExtent(w.text), i == 0 && strings.HasSuffix(w.text, ":"):
		case i+1 < len(a.words) && isExtent(w.text+" "+a.words[i+1].text), i > 0 && isExtent(a.words[i-1].text+" "+w.text):
		default:
			foreign = append(foreign, w)
		}
	}
	others := 0
	for _, w := range foreign {
		if w.text[0] != '(' && !strings.HasSuffix(w.text, ")") {
			others++
		}
	}
	switch {
	case chords == 0:
		return false, false, nil
	case others == 0, chords > others:
		return true, false, foreign
	case chords == others && bare == 0 && hasColumns(a.cells.ch):
		return true, false, foreign
	}
	return false, chords > bare, nil
}

// isRomanWord tells the number of a position or of a step: (V), (IIm7).
func isRomanWord(s string) bool {
	return strings.Trim(strings.Trim(s, "()"), "IViv") == ""
}

// readsAsChords tells a line that begins like a row of tab but is a row of
// chord symbols: "E-7     A7" has a label and a hyphen.
func readsAsChords(c *cells) bool {
	a := attached{cells: *c}
	a.words = splitWords(c, false)
	if len(a.words) == 0 {
		return false
	}
	first, ok := readChordWord(a.words[0].text)
	if !ok || first.after != "" || first.before != "" || strings.Contains(a.words[0].text, "--") {
		return false
	}
	is, _, _ := chordRow(&a)
	return is
}

// bound tells whether a word has to stay at its column: in a row of chord
// symbols these and marks, in other rows all.
func (a *attached) bound(i int) bool {
	w := a.words[i]
	if a.kind != chordLine || isMark(w.text) {
		return true
	}
	_, ok := readChordWord(w.text)
	return ok && !slices.Contains(a.foreign, w)
}

// wordsApart gives the line of the words among the chord symbols of a system
// that are none, at their columns; "" if there are no such words. It keeps
// them where the row is written anew.
func (s *system) wordsApart() string {
	line := ""
	for _, a := range s.above {
		for _, w := range a.words {
			if !slices.Contains(a.foreign, w) && (a.kind != chordLine || w.text[0] != '(' && !strings.HasSuffix(w.text, ":") || isMark(w.text)) {
				continue
			}
			if _, ok := readChordWord(w.text); ok {
				continue
			}
			for at := w.col + s.rows[0].shift; width(line) < at; {
				line += " "
			}
			if line != "" && line[len(line)-1] != ' ' {
				line += " "
			}
			line += w.text
		}
	}
	return line
}
