package transform

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A neckNote is a note of a part that is played on a neck, with what moving
// it needs to know.
type neckNote struct {
	note    *score.Note
	chord   *score.Chord
	measure int
	at, end score.Quarters // from the start of the part
	neck    *fretboard.Neck

	from       fretboard.Place // before the move; zero if it had none
	wasFretted bool            // a finger held it before the move
	natural    bool            // it was a natural harmonic before the move
	written    theory.Pitch    // of a harmonic without a place, before the move
	touch      int             // frets from the stopped to the touched fret of other harmonics; 0 for none
	lo, hi     int             // lowest and highest fret at which it can be played as it is marked

	// passing notes (grace notes, cues) take no time of their own: they are
	// looked at as a chord but not together with what sounds on.
	passing bool
	allow   func(fretboard.Place) bool // what a transform allows beside lo and hi; nil for all
	octaves int                        // by which it was folded, see [neckPart.fold]
	chain   int                        // notes of one chain stay on one string
	moved   bool                       // its frets or its node had to change
	shape   fretboard.Place            // where the shape took it
}

func newNeckNote(n *score.Note, c *score.Chord, measure int, at score.Quarters, neck *fretboard.Neck) neckNote {
	x := neckNote{note: n, chord: c, measure: measure, at: at, end: at.Add(c.Duration), neck: neck, from: n.Place,
		passing: c.Grace != score.NotGrace || c.Cue}
	if h, ok := n.Harmonic(); ok {
		x.natural = h.Kind == score.NaturalHarmonic
		x.written = n.Pitch
		if !x.natural && h.Touch > 0 {
			x.touch = h.Touch - n.Place.Fret
		}
	}
	x.wasFretted = x.fretted()
	x.lo, x.hi = x.playableFrets()
	return x
}

// fretted tells whether a finger of the fretting hand holds the note down.
// Harmonics are only touched, taps are done by the other hand, and a dead
// note is muted wherever the hand is.
func (n *neckNote) fretted() bool {
	if n.note.Place.Fret <= 0 || n.note.Has(score.Dead) || n.note.Has(score.Tap) {
		return false
	}
	h, ok := n.note.Harmonic()
	return !ok || h.Kind != score.NaturalHarmonic
}

// muted tells whether the note is a dead stroke on a string, at no fret in
// particular. It stays where it is: there is no pitch to move.
func (n *neckNote) muted() bool {
	return !n.from.IsZero() && n.from.Fret == 0 && n.note.Has(score.Dead)
}

// onString tells whether the neck has the string that the note came with.
func (n *neckNote) onString() bool { return 1 <= n.from.String && n.from.String <= n.neck.Tuning.Len() }

// playableFrets returns the lowest and highest fret at which the note can be
// played as it is marked: a bend needs a fret under it, a trill its other note
// on the neck too, and so does the touching finger of an artificial harmonic.
func (n *neckNote) playableFrets() (lo, hi int) {
	hi = n.neck.TopFret() - max(n.touch, 0)
	needsFret := n.note.Has(score.Dead)
	for _, t := range n.note.Techniques {
		switch t := t.(type) {
		case score.Bend:
			needsFret = needsFret || !t.WithBar
		case score.SlideEdge:
			needsFret = true
		case score.Harmonic:
			needsFret = needsFret || t.Kind == score.ArtificialHarmonic
		case score.Trill:
			hi -= max(t.To, 0)
			lo = max(lo, -t.To)
		case score.Span:
			needsFret = needsFret || t.Kind == score.LegatoSlide || t.Kind == score.ShiftSlide
		case score.Mark:
			switch t {
			case score.Tap, score.TapLeft, score.Vibrato, score.WideVibrato, score.ThumbOver:
				needsFret = true
			}
		}
	}
	// What was played open in the source may be so again: the writer knew.
	if needsFret && (n.from.IsZero() || n.from.Fret > 0) {
		lo = max(lo, 1)
	}
	return lo, hi
}

// movesAsShape tells whether the note moves along its string with the rest.
func (n *neckNote) movesAsShape() bool { return n.onString() && !n.natural && !n.muted() }
