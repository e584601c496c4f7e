package engrave

import (
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// The room to write a label in by hand, in units: 7 by 6 mm, for a sign and a
// digit beside each other.
const (
	blankWidth  = 26.5
	blankHeight = 23.0
	filledSize  = 12.0 // of what stands on the line in the answers
)

// A rowKind is a row of labels under the strings.
type rowKind struct{ kind, label string }

// The kinds of rows that are not annotations.
const (
	fingersRow = "fingers"
	pluckRow   = "plucking"
)

// rowsOf finds the rows that a staff needs, the annotations first.
func (c *collector) rowsOf(n int) []rowKind {
	order := score.LabelKinds()
	var out, hands []rowKind
	has := map[string]bool{}
	for _, b := range c.bars {
		for _, en := range b.entries {
			if en.staff != n {
				continue
			}
			for _, h := range en.heads {
				for _, a := range h.note.Annotations {
					if !has[a.Kind] && a.Text != "" {
						has[a.Kind] = true
						out = append(out, rowKind{a.Kind, strings.ReplaceAll(a.Kind, "-", " ")})
					}
				}
				if h.note.Finger != score.NoFinger && !has[fingersRow] {
					has[fingersRow] = true
					hands = append(hands, rowKind{fingersRow, fingersRow})
				}
				if h.note.Pluck != "" && !has[pluckRow] {
					has[pluckRow] = true
					hands = append(hands, rowKind{pluckRow, pluckRow})
				}
			}
		}
	}
	rank := func(k rowKind) int {
		if i := slices.Index(order, k.kind); i >= 0 {
			return i
		}
		return len(order)
	}
	slices.SortStableFunc(out, func(a, b rowKind) int { return rank(a) - rank(b) })
	slices.SortFunc(hands, func(a, b rowKind) int { return strings.Compare(a.kind, b.kind) })
	return append(out, hands...)
}

// text returns the label of a note in the row, "" if it has none.
func (k rowKind) text(n *score.Note) string {
	switch k.kind {
	case fingersRow:
		return fingerText(n.Finger)
	case pluckRow:
		return n.Pluck
	}
	for _, a := range n.Annotations {
		if a.Kind == k.kind {
			return prettyLabel(a)
		}
	}
	return ""
}

// color returns the colour that the label of a note asks for.
func (k rowKind) color(n *score.Note) string {
	for _, a := range n.Annotations {
		if a.Kind == k.kind {
			return a.Color
		}
	}
	return ""
}

// prettyLabel writes degrees, chord tones and names with the signs of music.
func prettyLabel(a score.Annotation) string {
	switch a.Kind {
	case score.LabelDegree, score.LabelChordTone:
		return prettyNumbers(a.Text)
	case score.LabelName:
		if n, err := theory.ParseNoteName(a.Text); err == nil {
			return n.Pretty()
		}
	}
	return a.Text
}

// prettyNumbers writes the accidentals before numbers as signs: "(b9)" is
// "(♭9)".
func prettyNumbers(s string) string {
	out := []rune(s)
	for i := len(out) - 2; i >= 0; i-- {
		next := out[i+1]
		if next != '♭' && next != '♯' && (next < '0' || next > '9') {
			continue
		}
		switch out[i] {
		case 'b':
			out[i] = '♭'
		case '#':
			out[i] = '♯'
		}
	}
	return string(out)
}

func fingerText(f score.Finger) string {
	switch f {
	case score.Index, score.Middle, score.Ring, score.Little:
		return string(rune('0' + int(f)))
	case score.Thumb:
		return "T"
	case score.FingerOpen:
		return "0"
	}
	return ""
}
