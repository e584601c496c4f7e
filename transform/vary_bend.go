package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A habit is how a part is played before it is varied, by which its variations
// are put on the neck: where the hand is, whether strings are played open, and
// what is bent where.
type habit struct {
	low, high  int // frets of its fretted notes; 0 if it has none
	open, slur bool
	bends      []bent
	only       bool // keep near there, whatever it costs
	first      bool // the first finger alone bends more than a semitone
}

// A bent is a bend in semitones at a fret of a string of some kind.
type bent struct {
	by   float64
	kind stringKind
	fret int
}

// habitOf looks at a part.
func habitOf(p *score.Part) *habit {
	h := &habit{}
	var neck *fretboard.Neck
	for _, m := range p.Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.NeckChange:
				neck = &e.Neck
			case *score.Chord:
				for _, n := range e.Notes {
					h.see(n, neck)
				}
			}
		}
	}
	h.first = len(firstFingerBends(p)) > 0
	return h
}

func (h *habit) see(n *score.Note, neck *fretboard.Neck) {
	switch {
	case neck == nil || n.Place.IsZero() || n.Unpitched || n.Has(score.Dead):
		return
	case n.Place.Fret == 0:
		h.open = true
		h.slur = h.slur || slurred(n)
		return
	}
	if h.high == 0 || n.Place.Fret < h.low {
		h.low = n.Place.Fret
	}
	h.high = max(h.high, n.Place.Fret)
	if by := bendBy(n); by > 0 {
		h.bends = append(h.bends, bent{by, kindOf(neck, n.Place.String), n.Place.Fret})
	}
}

// slurred tells whether a note is reached or left by a hammer-on or pull-off.
func slurred(n *score.Note) bool {
	for _, t := range n.Techniques {
		if s, ok := t.(score.Span); ok && (s.Kind == score.HammerOn || s.Kind == score.PullOff) {
			return true
		}
	}
	return false
}

// bendBy returns by how many semitones a finger bends a note; 0 for not at all.
func bendBy(n *score.Note) float64 {
	b, ok := n.Bend()
	if !ok || b.WithBar {
		return 0
	}
	return b.Amount.Float()
}

// A stringKind is how far a string lets itself be bent.
type stringKind int8

// Thin strings are plain ones, thick ones the lower wound ones.
const (
	thinString stringKind = iota
	middleString
	thickString
)

const thinWoundFrom = 50 // D3, the fourth string of a guitar

// kindOf tells the kind of a string by its open note: in sets for the guitar g
// and above is plain and d the thinnest of the wound ones (common practice).
func kindOf(neck *fretboard.Neck, str int) stringKind {
	switch open := neck.Tuning.Open(str).MIDI(); {
	case open >= plainFrom:
		return thinString
	case open >= thinWoundFrom:
		return middleString
	}
	return thickString
}

// easyBend returns the most semitones that a variation bends a string at a
// fret, counted from the nut, where the phrase itself does not bend as far. It is
// less than can be done at all (see bendLimit): a whole tone from the
// fifth fret on a plain string, where the ring finger bends with two behind it,
// and from the seventh on the thinnest wound one; nothing on wound ones below the
// fifth, a semitone elsewhere
// (common practice: wound strings and low frets bend less far).
func easyBend(kind stringKind, fret int) float64 {
	switch {
	case fret < 1:
		return 0
	case kind == thinString && fret >= 5 || kind == middleString && fret >= 7:
		return 2
	case kind != thinString && fret < 5:
		return 0
	}
	return 1
}

// bendable tells whether a hand bends so far at a place: by the rule, or
// because the phrase bends as far where it is no easier.
func (h *habit) bendable(neck *fretboard.Neck, p fretboard.Place, by float64) bool {
	kind := kindOf(neck, p.String)
	if by <= easyBend(kind, p.Fret+neck.Capo) {
		return true
	}
	for _, b := range h.bends {
		if by <= b.by && kind <= b.kind && p.Fret >= b.fret {
			return true
		}
	}
	return false
}

// What places cost that are not the way of the phrase, in the unit of
// [fingering.Plectrum].
const (
	costHardBend = 12.0 // a bend that the hand does not make
	costOpenSlur = 6.0  // a pull-off to an open string, or a hammer-on from one
	costOpen     = 1.5  // an open string in a phrase that has none
	costAway     = 0.5  // a fret away from where the hand was
)

// nearFrets is how many frets below and above those of the phrase are near.
const nearFrets = 5

// near tells whether a place lies where the phrase is played.
func (h *habit) near(p fretboard.Place) bool {
	if p.Fret == 0 {
		return h.open
	}
	return h.high == 0 || h.low-nearFrets <= p.Fret && p.Fret <= h.high+nearFrets
}

// cost says what a place costs a note on top. Where a region is asked for
// only the techniques matter.
func (h *habit) cost(n *neckNote, p fretboard.Place, placed bool) (cost float64) {
	if n.natural || n.muted() {
		return 0
	}
	if by := bendBy(n.note); by > 0 && !h.bendable(n.neck, p, by) {
		cost += costHardBend
	}
	if p.Fret == 0 {
		if !h.slur && slurred(n.note) {
			cost += costOpenSlur
		}
		if !h.open && !placed {
			cost += costOpen
		}
		return cost
	}
	if h.high > 0 && !placed {
		cost += costAway * float64(max(0, h.low-p.Fret, p.Fret-h.high))
	}
	return cost
}

// unbendBrief makes bends plain notes, of the pitch that they reached, where a
// step moved them to a note so short that they are hardly heard.
func (v *varied) unbendBrief() {
	plain := 0
	for _, l := range v.lines {
		for _, t := range l.tones {
			n := t.chord.Notes[0]
			b, ok := n.Bend()
			if len(t.chord.Notes) != 1 || !ok || b.WithBar || b.Release || b.Amount.Den() != 1 || joined(t) || !tooBrief(t.length, v.brief) {
				continue
			}
			n.Pitch = v.spelled(theory.SpellIn(v.key, n.Sounding()))
			n.Techniques = slices.DeleteFunc(n.Techniques, func(x score.Technique) bool { _, is := x.(score.Bend); return is })
			plain++
		}
	}
	if plain > 0 {
		v.moved = true
		v.say("%s of no more than an eighth note struck plainly, at the pitch that was bent to", countOf(plain, "bent note"))
	}
}

// tooBrief tells whether a note is too short to be bent in a variation of a
// phrase that bends none shorter than another.
func tooBrief(length, shortest score.Quarters) bool {
	return !score.Q(1, 2).Less(length) && length.Less(shortest)
}

// behindBend is how many frets above a bend a note lies for which the hand has
// no finger to spare behind the bend.
const behindBend = 2

// firstFingerBends finds the bends of more than a semitone that the first finger
// would have to make alone: of the two notes before and the two after, within a
// half note, one lies two frets or more above it and none below, where a second
// finger could help. Source: common practice.
func firstFingerBends(p *score.Part) map[*score.Note]bool {
	list := map[*score.Note]bool{}
	lines, _ := phraseLines(p)
	for _, l := range lines {
		for i, t := range l.tones {
			low, high := 0, 0
			for _, near := range l.tones[max(0, i-2):min(len(l.tones), i+3)] {
				if score.Q(2, 1).Less(t.at.Sub(near.end())) || score.Q(2, 1).Less(near.at.Sub(t.end())) {
					continue
				}
				for _, n := range near.chord.Notes {
					if f := n.Place.Fret; f > 0 {
						high = max(high, f)
						if low == 0 || f < low {
							low = f
						}
					}
				}
			}
			for _, n := range t.chord.Notes {
				if f := n.Place.Fret; bendBy(n) > 1 && f > 0 && f <= low && f+behindBend <= high {
					list[n] = true
				}
			}
		}
	}
	return list
}

// unbend turns the bends that no hand makes where they came to lie into slides
// to the same note, in s, which has the notes of placed; a bend that is no plain
// way up becomes a plain note. It looks at some parts, with nil at all, and
// reports whether there were any.
func unbend(s, placed *score.Score, parts []string, habits map[string]*habit, say func(part int, text string)) (any bool) {
	rep := &reporter{score: s, parts: len(s.Parts)}
	for pi, p := range placed.Parts {
		rep.part = p
		h := habits[p.ID]
		if h == nil || parts != nil && !slices.Contains(parts, p.ID) {
			continue
		}
		var neck *fretboard.Neck
		var first map[*score.Note]bool
		if !h.first {
			first = firstFingerBends(p)
		}
		for i, m := range p.Measures {
			for ei, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					neck = &e.Neck
				case *score.Chord:
					for ni, n := range e.Notes {
						by := bendBy(n)
						if by == 0 || neck == nil || n.Place.IsZero() || h.bendable(neck, n.Place, by) && !first[n] {
							continue
						}
						any = true
						at := s.Parts[pi]
						from := n.Pitch.Pretty()
						how := plainly(at, i, at.Measures[i].Events[ei].(*score.Chord), ni)
						why := "would be more than is easy where it would lie"
						if first[n] {
							why = "would be one of the first finger alone"
						}
						say(pi, fmt.Sprintf("%s%s: the bend of %s from %s %s: it is %s now", rep.inPart(), barWords(rep, i), semitoneWords(by), from, why, how))
					}
				}
			}
		}
	}
	return any
}

// plainly takes the bend off a note and off what holds it on, and says what
// the note is now.
func plainly(p *score.Part, measure int, c *score.Chord, note int) string {
	n := c.Notes[note]
	chain := []*score.Note{n}
	for last := n; last.TieStart; {
		next := nextIn(p, measure, c)
		if next == nil {
			break
		}
		measure, c = next.measure, next.chord
		k := slices.IndexFunc(c.Notes, func(m *score.Note) bool { return m.TieStop && m.Pitch == last.Pitch })
		if k < 0 {
			break
		}
		last = c.Notes[k]
		chain = append(chain, last)
	}
	joined := slices.ContainsFunc(chain, func(m *score.Note) bool {
		return slices.ContainsFunc(m.Techniques, func(t score.Technique) bool {
			s, ok := t.(score.Span)
			return ok && (s.Kind.KeepsString() || s.Kind == score.Glissando)
		})
	})
	var b score.Bend
	n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
		x, ok := t.(score.Bend)
		if !ok || x.WithBar {
			return false
		}
		b = x
		return true
	})
	if joined || b.Release && !b.PreBend || b.Amount.Den() != 1 {
		return "a plain " + n.Pitch.Pretty()
	}
	// The note that it was bent to, slid into from below.
	now := n.Pitch.Transpose(plainInterval(int(b.Amount.Num())))
	if key, _, ok := KeyAtStart(&score.Score{Parts: []*score.Part{p}}); ok {
		now = theory.SpellIn(key, now.MIDI())
	}
	for _, m := range chain {
		m.Pitch = now
	}
	if b.PreBend {
		return "a plain " + now.Pretty()
	}
	n.Techniques = append(n.Techniques, score.SlideEdge{In: true, Below: true})
	return "a slide up into " + now.Pretty()
}

type chordIn struct {
	measure int
	chord   *score.Chord
}

// nextIn returns the chord that follows another in its voice, nil if none does.
func nextIn(p *score.Part, measure int, c *score.Chord) *chordIn {
	found := false
	for i := measure; i < len(p.Measures); i++ {
		for d := range p.Measures[i].Chords() {
			if d == c {
				found = true
				continue
			}
			if found && d.Voice == c.Voice && d.Staff == c.Staff && d.Grace == score.NotGrace {
				return &chordIn{i, d}
			}
		}
	}
	return nil
}

func semitoneWords(by float64) string {
	switch by {
	case 1:
		return "a semitone"
	case 2:
		return "a whole tone"
	}
	return fmt.Sprintf("%v semitones", by)
}
