package engrave

import (
	"strconv"

	"example.org/lickwright/score"
)

// headText writes a note on its string as players do: its fret; x for a dead
// note; in round brackets what is not struck or barely; in angle brackets where
// a harmonic is touched. A note without a place is its name.
func headText(n *score.Note) string {
	if n.Place.IsZero() {
		return n.Pitch.Pretty()
	}
	text := strconv.Itoa(n.Place.Fret)
	if n.Has(score.Dead) {
		return "x"
	}
	if h, ok := n.Harmonic(); ok {
		switch {
		case h.Kind == score.NaturalHarmonic, h.Kind == score.PinchHarmonic:
			text = "<" + text + ">"
		case h.Touch > 0:
			text += "<" + strconv.Itoa(h.Touch) + ">"
		}
	}
	if n.Has(score.Ghost) || n.Has(score.Held) || n.TieStop {
		text = "(" + text + ")"
	}
	return text
}
