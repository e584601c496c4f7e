package degrees

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// chord writes a chord or rest; stack holds the tuplets that are open.
func (c *composer) chord(ch *score.Chord, stack []score.Tuplet) {
	written := ch.Duration
	for _, t := range stack {
		written = written.Mul(score.Q(int64(t.Actual), int64(t.Normal)))
	}
	notes := ordered(ch)
	if len(notes) < len(ch.Notes) {
		c.loses("unpitched", ch.Src, "notes without pitch, as of drums, have no degree and are left out")
	}
	if ch.IsRest() || len(notes) == 0 {
		c.rest(ch, written)
		return
	}
	if ch.Grace == score.NotGrace && written != c.length {
		c.say(writeLength(written))
		c.length = written
	}
	g := c.groundFor(ch.Onset)
	key := voiceKey{max(ch.Staff, 1), max(ch.Voice, 1)}
	var b strings.Builder
	for i, n := range notes {
		if i > 0 {
			b.WriteByte('&')
		}
		nt := c.note(key, g, n, i, len(notes))
		if i == 0 {
			nt.grace = ch.Grace
		}
		nt.write(&b)
	}
	var words []string
	if ch.Tremolo > 0 && ch.Tremolo <= 8 {
		words = append(words, "strokes"+strconv.Itoa(ch.Tremolo))
	}
	if ch.Cue {
		words = append(words, "cue")
	}
	if len(words) > 0 {
		b.WriteString("::" + strings.Join(words, ","))
	}
	c.join.add(key, ch)
	c.say(b.String())
}

func (c *composer) rest(ch *score.Chord, written score.Quarters) {
	switch {
	case ch.Grace != score.NotGrace:
		c.loses("grace", ch.Src, "a grace note without a pitch is left out")
	case ch.WholeMeasure && written == c.nominal:
		c.say("(bar)")
	case ch.WholeMeasure:
		c.say("(bar=" + writeLength(written) + ")")
	default:
		c.say("(" + writeLength(written) + ")")
		c.length = written
	}
	if ch.Cue {
		c.loses("cue", ch.Src, "the small size of a rest is not written")
	}
}

// note says how a note is written, the i-th from below of a stack.
func (c *composer) note(k voiceKey, g ground, n *score.Note, i, of int) *noteText {
	nt := &noteText{tone: g.tone(n.Pitch)}
	if nt.dead = onString(n); nt.dead {
		nt.str = n.Place.String
	} else if c.strung != nil && c.strung(n) {
		nt.str = n.Place.String
	}
	if t := nt.tone; !nt.dead && (max(t.octave, -t.octave) > maxOctaves || max(t.degree.Alter, -t.degree.Alter) > maxAlter) {
		c.loses("pitch", n.Src, "a pitch far out, "+n.Pitch.String()+", cannot be written")
	}
	if !n.Place.IsZero() && nt.str == 0 {
		c.lose(score.Info, "degrees-places", n.Src, "strings and frets are not written: they are found anew when the degrees are read", "write @ and the number of the string behind a note that must lie on it: 5@2")
	}
	if n.Finger != score.NoFinger {
		c.lose(score.Info, "degrees-lost-fingers", n.Src, "fingers of the hand on the neck are not written", "")
	}
	if !n.Detune.IsZero() {
		c.loses("detune", n.Src, "a microtone is written as the degree nearest to it")
	}
	if len(n.Annotations) > 0 {
		c.lose(score.Info, "degrees-lost-labels", n.Src, "labels of notes are not written", "the degrees say them; other labels: annotate the result")
	}
	if n.Pluck != "" {
		if nt.pluck = n.Pluck; !isPluck(n.Pluck) {
			nt.pluck = ""
			c.loses("pluck", n.Src, "a sign of the plucking hand, "+strconv.Quote(n.Pluck)+", cannot be written")
		}
	}
	if n.TieStop {
		before := c.join.tied(k, n.Pitch)
		if nt.tied = before != nil && before.TieStart; nt.tied {
			c.holds[before] = true
		} else {
			c.loses("tie", n.Src, "a tie that comes from no note of its pitch in its voice is left out")
		}
	}
	dead := nt.dead
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			nt.bends = append(nt.bends, c.bend(g, n, t))
		case score.Span:
			c.span(k, nt, n, t, i, of)
		case score.Mark:
			if dead && t == score.Dead {
				dead = false
				continue
			}
			nt.marks = append(nt.marks, t)
		case score.Harmonic:
			if t.Touch != 0 {
				c.lose(score.Info, "degrees-places", n.Src, "strings and frets are not written: they are found anew when the degrees are read", "")
			}
			nt.marks = append(nt.marks, t)
		default:
			nt.marks = append(nt.marks, t)
		}
	}
	slices.SortStableFunc(nt.ends, func(a, b spanEnd) int { return int(b.end) - int(a.end) }) // what ends before what begins
	return nt
}

// span writes the end of a span: as a sign before the note where that says the
// same, else as a word.
func (c *composer) span(k voiceKey, nt *noteText, n *score.Note, s score.Span, i, of int) {
	if !c.paired[s] {
		c.loses("span", n.Src, "a connection of which one end is missing is left out")
		return
	}
	if s.End == score.Stop {
		if c.signs[score.Span{Kind: s.Kind, ID: s.ID, End: score.Start}] {
			nt.joined = s.Kind
			if before := c.join.before(k, n.Pitch, i, of); before != nil {
				nt.falls = before.Pitch.MIDI() > n.Pitch.MIDI()
			}
			return
		}
		if c.numbers[s.ID] == 0 {
			c.paired[score.Span{Kind: s.Kind, ID: s.ID, End: score.Start}] = false
			c.loses("span", n.Src, "a connection that ends before it begins, in the order of the text, is left out")
			return
		}
		e := spanEnd{s.Kind, c.numbers[s.ID], score.Start}
		delete(c.taken, e)
		delete(c.numbers, s.ID)
		e.end = score.Stop
		nt.ends = append(nt.ends, e)
		return
	}
	if c.signs[s] {
		return
	}
	e := spanEnd{s.Kind, 1, score.Start}
	for c.taken[e] {
		e.number++
	}
	c.taken[e] = true
	c.numbers[s.ID] = e.number
	nt.ends = append(nt.ends, e)
}

// bend writes a bend as a pair of degrees where it goes to a degree, at most
// an octave up; else in semitones.
func (c *composer) bend(g ground, n *score.Note, t score.Bend) bendText {
	e := bendText{bend: t}
	midi := n.Pitch.MIDI()
	if a := t.Amount; a.Den() == 1 && a.Num() >= 1 && a.Num() <= 12 {
		e.byDegree, e.to = true, g.name(midi+int(a.Num()))
	}
	if a := t.ReleaseTo; a.Den() == 1 && a.Num() >= 1 && a.Num() <= 11 {
		e.releaseDegree, e.release = true, g.name(midi+int(a.Num()))
	}
	if !t.Release && !t.ReleaseTo.IsZero() {
		c.loses("release", n.Src, "where a release ends that is none is left out")
	}
	return e
}

// plan finds the spans that a sign before their second note says, and holds
// the notes in the order of the text, as a reader will.
func (c *composer) plan() {
	c.signs = map[score.Span]bool{}
	begins := map[score.Span]*score.Note{}
	for n := range score.Notes(c.part) {
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok && s.End == score.Start && c.paired[s] {
				begins[s] = n
			}
		}
	}
	join := newJoiner()
	for _, m := range c.part.Measures {
		for _, seg := range segments(m) {
			for _, ch := range seg.chords {
				notes := ordered(ch)
				for i, n := range notes {
					for _, t := range n.Techniques {
						s, ok := t.(score.Span)
						if !ok || s.End != score.Stop || signOf(s.Kind) == "" {
							continue
						}
						s.End = score.Start
						if from := begins[s]; from != nil && from == join.before(seg.key, n.Pitch, i, len(notes)) {
							c.signs[s] = true
							break // a note has one sign
						}
					}
				}
				if len(notes) > 0 {
					join.add(seg.key, ch)
				}
			}
		}
	}
}

// openTies reports the ties that begin and are held by no note.
func (c *composer) openTies() {
	for n := range score.Notes(c.part) {
		if n.TieStart && !n.Unpitched && !c.holds[n] {
			c.loses("tie", n.Src, "a tie to no note of its pitch in its voice is left out")
		}
	}
}
