package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// firstTone returns what sounds first.
func (v *varied) firstTone() *phraseTone {
	var first *phraseTone
	for _, l := range v.lines {
		if len(l.tones) > 0 && (first == nil || l.tones[0].at.Less(first.at)) {
			first = l.tones[0]
		}
	}
	return first
}

// heard returns the spelled pitch at which the highest note of a tone is
// heard.
func (v *varied) heard(t *phraseTone) theory.Pitch {
	n := t.chord.Notes[0]
	for _, m := range t.chord.Notes[1:] {
		if m.Sounding() > n.Sounding() {
			n = m
		}
	}
	return v.heardOf(n)
}

// heardOf returns the pitch by which a note is moved.
func (v *varied) heardOf(n *score.Note) theory.Pitch {
	p, _ := anchor(n, v.key)
	return p
}

// moveAll moves the notes of all lines.
func (v *varied) moveAll(to func(theory.Pitch) theory.Pitch) {
	for _, l := range v.lines {
		l.change(func(t *phraseTone) {
			for _, n := range t.notes() {
				v.ladder.moveNote(n, v.key, to)
			}
		})
	}
	v.moved = true
}

func (v *varied) invert(step Variation) {
	// The note written first is the axis, whichever of a chord is on top: it
	// stays, and so is the axis again.
	axis := v.heardOf(v.firstTone().chord.Notes[0])
	to := func(p theory.Pitch) theory.Pitch { return v.ladder.mirror(p, axis) }
	how := "in " + v.scale.Pretty()
	if step.Chromatic {
		how = "semitone by semitone"
		to = func(p theory.Pitch) theory.Pitch { return axis.Transpose(axis.To(p).Neg()) }
	}
	v.moveAll(to)
	for _, l := range v.lines {
		for _, t := range l.tones {
			for _, n := range t.notes() {
				for i, x := range n.Techniques {
					switch x := x.(type) {
					case score.SlideEdge:
						x.Below = !x.Below
						n.Techniques[i] = x
					case score.Mark:
						switch x {
						case score.ArpeggioUp:
							n.Techniques[i] = score.ArpeggioDown
						case score.ArpeggioDown:
							n.Techniques[i] = score.ArpeggioUp
						}
					}
				}
			}
		}
	}
	v.say("inverted: turned over at %s, %s", axis.Pretty(), how)
}

// startOn moves all lines by the steps that take the first note to a degree or
// chord tone.
func (v *varied) startOn(step Variation) {
	first := v.firstTone()
	from := v.heard(first)
	var wanted theory.NoteName
	var what string
	if step.ChordTone > 0 {
		chord, ok := v.chordAt(first.at)
		if !ok && len(v.spans) > 0 { // a pickup leads to the first chord
			chord, ok = v.spans[0].chord, true
		}
		if !ok {
			v.refuse("write chord symbols over the phrase, or say a degree", "there is no chord on whose %s it could start", chordToneWords[step.ChordTone])
			return
		}
		found := false
		for _, d := range chord.Degrees() {
			if (d.Number-1)%7+1 == step.ChordTone {
				wanted, found = d.Name(chord.Root), true
				break
			}
		}
		if !found {
			v.refuse("", "%s has no %s", chord.Pretty(), chordToneWords[step.ChordTone])
			return
		}
		what = fmt.Sprintf("the %s of %s", chordToneWords[step.ChordTone], chord.Pretty())
	} else {
		degree := v.degree(step.Degree)
		wanted, what = degree.Name(v.key.Tonic), degree.Pretty()
	}
	n := len(v.ladder.degrees)
	for k := range 2*n + 1 {
		steps := (k + 1) / 2
		if k%2 == 0 {
			steps = -steps
		}
		if v.ladder.move(from, steps).Class() != wanted.Class() {
			continue
		}
		if steps == 0 {
			v.nothing("it starts on " + what + " already")
			return
		}
		v.moveAll(func(p theory.Pitch) theory.Pitch { return v.ladder.move(p, steps) })
		v.say("starts on %s, %s: moved by %s of %s", what, wanted.Pretty(), countOf(steps, "step"), v.scale.Pretty())
		return
	}
	v.refuse("degrees of the scale are "+v.scale.Scale.Pretty(), "no step of %s takes %s to %s", v.scale.Pretty(), from.Pretty(), wanted.Pretty())
}

// degree returns the degree that is meant: for a bare number that the scale has
// not as it is, its only one of that number, as 3 in minor.
func (v *varied) degree(d theory.Degree) theory.Degree {
	if v.ladder.has(d.Name(v.key.Tonic).Class()) || d.Alter != 0 {
		return d
	}
	for _, e := range v.scale.Scale.Degrees() {
		if n := theory.DegreeOf(v.key.Tonic, e.Name(v.scale.Tonic)); n.Number == d.Number {
			return n
		}
	}
	return d
}

// chordAt returns the chord in force at a time.
func (v *varied) chordAt(at score.Quarters) (theory.Chord, bool) {
	i := v.spanAt(at)
	if i < 0 || len(v.spans[i].chord.Degrees()) == 0 {
		return theory.Chord{}, false
	}
	return v.spans[i].chord, true
}

// spanAt returns which of the chords is in force at a time, -1 for none yet.
func (v *varied) spanAt(at score.Quarters) int {
	i, found := slices.BinarySearchFunc(v.spans, at, func(s chordSpan, t score.Quarters) int { return s.from.Cmp(t) })
	if !found {
		i--
	}
	return i
}

// target moves single notes on strong beats, and the last one, to the nearest
// tone of the chord under them.
func (v *varied) target() {
	if len(v.spans) == 0 {
		v.refuse("write chord symbols over the phrase", "there are no chords whose tones could be aimed at")
		return
	}
	moved := 0
	for _, l := range v.lines {
		for i, t := range l.tones {
			if len(t.chord.Notes) != 1 || i+1 < len(l.tones) && !v.strongAt(t.at) {
				continue
			}
			chord, ok := v.chordAt(t.at)
			n := t.chord.Notes[0]
			if !ok || chord.Classes().Has(n.Sounding()) || n.Unpitched || n.Has(score.Dead) {
				continue
			}
			before := []score.Note{*n}
			near := nearestTone(v.heard(t), chord)
			v.ladder.moveNote(n, v.key, func(theory.Pitch) theory.Pitch { return near })
			t.follow(before)
			moved++
		}
	}
	if moved == 0 {
		v.nothing("strong beats have chord tones already")
		return
	}
	v.moved = true
	v.say("%s on strong beats, or at the end, moved to chord tones", countOf(moved, "note"))
}

// nearestTone returns the tone of a chord that is nearest to a pitch, of two
// the lower one.
func nearestTone(p theory.Pitch, c theory.Chord) theory.Pitch {
	best, off := p, 1<<10
	for _, name := range c.Tones() {
		for octave := p.Octave - 1; octave <= p.Octave+1; octave++ {
			q := theory.Pitch{NoteName: name, Octave: octave}
			d := q.MIDI() - p.MIDI()
			if max(d, -d) < off || max(d, -d) == off && d < 0 {
				best, off = q, max(d, -d)
			}
		}
	}
	return best
}

// strongAt tells whether a time of the part is a strong beat.
func (v *varied) strongAt(at score.Quarters) bool {
	v.remember()
	return strongBeatAt(v.part, v.pulses, v.begins, at)
}

// remember finds what is asked for again and again.
func (v *varied) remember() {
	if v.pulses == nil {
		v.pulses, v.begins = pulses(v.part), starts(v.part)
	}
}

// strongBeatAt tells whether a time is a strong beat of a part.
func strongBeatAt(p *score.Part, pulses []pulse, begins []score.Quarters, at score.Quarters) bool {
	i, found := slices.BinarySearchFunc(begins, at, score.Quarters.Cmp)
	if !found {
		i--
	}
	return i >= 0 && i < len(p.Measures) && pulses[i].rank(at.Sub(begins[i]).Add(shortBy(p, i))) >= strongBeat
}

// shortBy returns how much of a whole bar is missing at its beginning: a bar
// that is short at the beginning of the part is the end of one.
func shortBy(p *score.Part, i int) score.Quarters {
	if m := p.Measures[i]; i == 0 && m.Length.Less(m.Nominal) {
		return m.Nominal.Sub(m.Length)
	}
	return score.Quarters{}
}

// strongTimes lists the strong beats of a bar of which some is missing at the
// beginning, from where it begins.
func (p pulse) strongTimes(missing, length score.Quarters) (list []score.Quarters) {
	for _, g := range p.groups {
		at := g.start.Sub(missing)
		if g.rank >= strongBeat && at.Sign() >= 0 && at.Less(length) {
			list = append(list, at)
		}
	}
	return list
}

// octaveJump moves every so manieth tone of each line by an octave.
func (v *varied) octaveJump(step Variation) {
	jumped, stayed := 0, 0
	for _, l := range v.lines {
		count := 0
		l.change(func(t *phraseTone) {
			if count++; count%step.Size != 0 || joined(t) {
				return
			}
			for _, by := range [...]int{1, -1} {
				fits := true
				for _, n := range t.chord.Notes {
					fits = fits && (n.Unpitched || v.onNeck(n.Pitch.MIDI()+12*by))
				}
				if !fits {
					continue
				}
				for _, n := range t.notes() {
					v.ladder.moveNote(n, v.key, func(p theory.Pitch) theory.Pitch { return p.Transpose(theory.Octaves(by)) })
				}
				jumped++
				return
			}
			stayed++
		})
	}
	if jumped == 0 {
		v.nothing("no note could jump by an octave")
		return
	}
	v.moved = true
	text := fmt.Sprintf("%s by an octave", countOf(jumped, "note"))
	if step.Size > 1 {
		text += fmt.Sprintf(", each %s", ordinal(step.Size))
	}
	if stayed > 0 {
		text += fmt.Sprintf("; %d stayed, which would lie beyond the neck", stayed)
	}
	v.say("jumps: %s", text)
}

func ordinal(n int) string {
	switch n {
	case 2:
		return "second"
	case 3:
		return "third"
	}
	return fmt.Sprintf("%dth", n)
}

// joined tells whether a tone is joined to another by something that keeps its
// string.
func joined(t *phraseTone) bool {
	for _, n := range t.notes() {
		for _, x := range n.Techniques {
			if s, ok := x.(score.Span); ok && s.Kind.KeepsString() {
				return true
			}
		}
	}
	return false
}

// onNeck tells whether a sound has a place on the part's neck; without a neck
// all have.
func (v *varied) onNeck(midi int) bool {
	if !v.neckKnown {
		v.neckKnown = true
		for _, m := range v.part.Measures {
			for _, e := range m.Events {
				if n, ok := e.(*score.NeckChange); ok && v.neck == nil {
					v.neck = &n.Neck
				}
			}
		}
	}
	return v.neck == nil || len(v.neck.Places(midi)) > 0
}

// intoRange moves the part by the octaves that leave the fewest notes beyond
// the neck.
func (v *varied) intoRange() {
	count := func(octaves int) (off int) {
		for _, l := range v.lines {
			for _, t := range l.tones {
				for _, n := range t.notes() {
					h, _ := n.Harmonic()
					if !n.Unpitched && !(n.Has(score.Dead) && n.Place.Fret == 0 && !n.Place.IsZero()) && h.Kind != score.NaturalHarmonic && !v.onNeck(n.Pitch.MIDI()+12*octaves) {
						off++
					}
				}
			}
		}
		return off
	}
	off := count(0)
	best, fewest := 0, off
	for _, k := range octaveTries[1:] {
		if fewest == 0 {
			break
		}
		if n := count(k); n < fewest {
			best, fewest = k, n
		}
	}
	if best == 0 {
		return
	}
	for _, l := range v.lines {
		l.change(func(t *phraseTone) {
			for _, n := range t.notes() {
				v.ladder.moveNote(n, v.key, func(p theory.Pitch) theory.Pitch { return p.Transpose(theory.Octaves(best)) })
			}
		})
	}
	v.rep.add(score.Warning, CodeVaryRange, v.part.Src, fmt.Sprintf("%smoved %s: %s would lie beyond the neck", v.rep.inPart(), octaveWords(best), countOf(off, "note")), "")
}

// nothing reports a step that changed nothing.
func (v *varied) nothing(why string) {
	v.rep.add(score.Warning, CodeVaryNothing, v.part.Src, v.rep.inPart()+"nothing changed: "+why, "")
}

// neckOf is for [varied.onNeck].
type neckOf struct {
	neck      *fretboard.Neck
	neckKnown bool
}
