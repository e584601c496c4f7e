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
func (v *varied) moveAll(m moving) {
	for _, l := range v.lines {
		l.change(func(t *phraseTone) {
			for _, n := range t.notes() {
				v.ladder.moveNote(n, v.key, m)
			}
		})
	}
	v.moved = true
}

func (v *varied) invert(step Variation) {
	// The note written first is the axis, whichever of a chord is on top, or the
	// step of the scale on which it stands: that stays, and so is the axis again.
	first := v.heardOf(v.firstTone().chord.Notes[0])
	at := v.ladder.at(first)
	axis := v.ladder.pitch(rung{step: at.step})
	to := func(p theory.Pitch) theory.Pitch { return v.ladder.mirror(p, at.step) }
	how := ", in " + v.scale.Pretty()
	if at.off != 0 {
		how = fmt.Sprintf(", the step of the first note, %s, in %s", first.Pretty(), v.scale.Pretty())
	}
	if step.Chromatic {
		axis, how = first, ", semitone by semitone"
		to = func(p theory.Pitch) theory.Pitch { return axis.Transpose(axis.To(p).Neg()) }
	}
	m := moving{to: to, back: true}
	if x := v.firstTone().chord.Notes[0]; bendBy(x) > 0 && at.off != 0 {
		m.stays = first.MIDI() // it has no name of its own that could be turned over
	}
	v.moveAll(m)
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
	v.say("inverted: turned over at %s%s", axis.Pretty(), how)
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
	steps, ok := v.stepsTo(from, wanted.Class())
	switch {
	case !ok:
		v.refuse("degrees of the scale are "+v.scale.Scale.Pretty(), "no step of %s takes %s to %s", v.scale.Pretty(), from.Pretty(), wanted.Pretty())
		return
	case steps == 0:
		v.nothing("it starts on " + what + " already")
		return
	}
	v.moveAll(moving{to: func(p theory.Pitch) theory.Pitch { return v.along(p, steps) }, along: true})
	v.startsAt = v.heard(first).MIDI()
	v.say("starts on %s, %s: moved %s in %s", what, v.heard(first).Pretty(), stepWords(steps), v.scale.Pretty())
}

// stepsTo returns how many steps take a pitch to a pitch class: of all within
// two octaves those that leave the fewest notes of the lines beyond the neck,
// and of those the fewest.
func (v *varied) stepsTo(from theory.Pitch, class int) (best int, ok bool) {
	n := len(v.ladder.degrees)
	fewest := 0
	for k := range 4*n + 1 {
		steps := (k + 1) / 2
		if k%2 == 0 {
			steps = -steps
		}
		if v.ladder.move(from, steps).Class() != class {
			continue
		}
		off := v.offNeck(func(p theory.Pitch) int { return v.ladder.move(p, steps).MIDI() })
		if !ok || off < fewest {
			best, fewest, ok = steps, off, true
		}
		if steps == 0 {
			break // it is there already
		}
	}
	return best, ok
}

// offNeck counts the notes that would lie beyond the neck at the keys that a
// function gives for their pitches.
func (v *varied) offNeck(to func(theory.Pitch) int) (off int) {
	for _, l := range v.lines {
		for _, t := range l.tones {
			for _, n := range t.notes() {
				h, _ := n.Harmonic()
				if !n.Unpitched && !(n.Has(score.Dead) && n.Place.Fret == 0 && !n.Place.IsZero()) && h.Kind != score.NaturalHarmonic && !v.onNeck(to(n.Pitch)) {
					off++
				}
			}
		}
	}
	return off
}

// along moves a pitch along the scale. A sound of the scale is moved as that,
// whatever its name; one that stands off its steps is spelled as a player would: as
// the note of the scale if there is such a one.
func (v *varied) along(p theory.Pitch, steps int) theory.Pitch {
	r := v.ladder.at(p)
	if r.off != 0 && v.ladder.has(p.MIDI()) {
		r = v.ladder.nearest(p.MIDI())
	}
	r.step += steps
	q := v.ladder.pitch(r)
	switch {
	case r.off == 0:
		return q
	case v.ladder.has(q.MIDI()):
		return v.ladder.pitch(v.ladder.nearest(q.MIDI()))
	}
	return v.spelled(q)
}

// spelled spells a pitch by the key if its name has two accidentals, or is a
// degree with two.
func (v *varied) spelled(p theory.Pitch) theory.Pitch {
	plain := func(alter int) bool { return -1 <= alter && alter <= 1 }
	if plain(p.Alter) && plain(theory.DegreeOf(v.key.Tonic, p.NoteName).Alter) {
		return p
	}
	return theory.SpellIn(v.key, p.MIDI())
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

// target moves single notes on strong beats, and the last one, to a near tone
// of the chord under them.
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
			var beside []int
			if i > 0 {
				beside = append(beside, v.heard(l.tones[i-1]).MIDI())
			}
			if i+1 < len(l.tones) {
				beside = append(beside, v.heard(l.tones[i+1]).MIDI())
			}
			near := v.nearestTone(v.heard(t), chord, beside)
			v.ladder.moveNote(n, v.key, moving{to: func(theory.Pitch) theory.Pitch { return near }})
			t.follow(before)
			v.aimed = append(v.aimed, t)
			moved++
		}
	}
	if moved == 0 {
		v.nothing("strong beats have chord tones already")
		return
	}
	v.moved = true
	v.targets += moved
	if !v.opt.trim {
		v.say("%s on strong beats, or at the end, moved to chord tones", countOf(moved, "note"))
	}
}

// How many semitones further a chord tone may be than one that is struck just
// before or after, and than one that makes a leap wider than the phrase has.
const (
	doubling = 4
	leaping  = 3
)

// nearestTone returns the tone of a chord that is nearest to a pitch, of two
// the lower one; rather one further away than one of the keys beside it, which
// would be struck twice, or than one that is reached by a leap wider than any.
func (v *varied) nearestTone(p theory.Pitch, c theory.Chord, beside []int) theory.Pitch {
	best, off := p, 1<<10
	for _, name := range c.Tones() {
		for octave := p.Octave - 1; octave <= p.Octave+1; octave++ {
			q := theory.Pitch{NoteName: name, Octave: octave}
			d := q.MIDI() - p.MIDI()
			far := max(d, -d)
			if slices.Contains(beside, q.MIDI()) {
				far += doubling
			}
			for _, k := range beside {
				if leap := q.MIDI() - k; max(leap, -leap) > v.leap {
					far += leaping
				}
			}
			if far < off || far == off && d < 0 {
				best, off = q, far
			}
		}
	}
	return v.spelled(best)
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

// barAt returns in which bar a time lies.
func (v *varied) barAt(at score.Quarters) int {
	v.remember()
	i, found := slices.BinarySearchFunc(v.begins, at, score.Quarters.Cmp)
	if !found {
		i--
	}
	return max(0, min(i, len(v.part.Measures)-1))
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
	up, down, stayed, bound := 0, 0, 0, 0
	for _, l := range v.lines {
		count := 0
		l.change(func(t *phraseTone) {
			if count++; count%step.Size != 0 {
				return
			}
			if joined(t) {
				bound++
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
					v.ladder.moveNote(n, v.key, moving{to: func(p theory.Pitch) theory.Pitch { return p.Transpose(theory.Octaves(by)) }})
				}
				if by > 0 {
					up++
				} else {
					down++
				}
				return
			}
			stayed++
		})
	}
	if up+down == 0 {
		v.nothing("no note could jump by an octave")
		return
	}
	v.moved = true
	var text string
	switch {
	case down == 0:
		text = countOf(up, "note") + " an octave up"
	case up == 0:
		text = countOf(down, "note") + " an octave down"
	default:
		text = fmt.Sprintf("%s an octave up and %d an octave down", countOf(up, "note"), down)
	}
	if step.Size > 1 {
		text += fmt.Sprintf(", each %s", ordinal(step.Size))
	}
	if stayed > 0 {
		text += fmt.Sprintf("; %d stayed, which would lie beyond the neck", stayed)
	}
	if bound > 0 {
		text += fmt.Sprintf("; %d stayed, joined to others on the string", bound)
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
					v.has = map[int]bool{}
				}
			}
		}
	}
	if v.neck == nil {
		return true
	}
	has, known := v.has[midi]
	if !known {
		has = len(v.neck.Places(midi)) > 0
		v.has[midi] = has
	}
	return has
}

// intoRange moves the part by the octaves that leave the fewest notes beyond
// the neck.
func (v *varied) intoRange() {
	count := func(octaves int) int {
		return v.offNeck(func(p theory.Pitch) int { return p.MIDI() + 12*octaves })
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
				v.ladder.moveNote(n, v.key, moving{to: func(p theory.Pitch) theory.Pitch { return p.Transpose(theory.Octaves(best)) }})
			}
		})
	}
	v.rep.add(score.Warning, CodeVaryRange, v.part.Src, fmt.Sprintf("%smoved %s: %s would lie beyond the neck", v.rep.inPart(), octaveWords(best), countOf(off, "note")), "")
}

// nothing reports a step that changed nothing.
func (v *varied) nothing(why string) {
	v.failed = true
	v.rep.add(score.Warning, CodeVaryNothing, v.part.Src, v.rep.inPart()+"nothing changed: "+why, "")
}

// neckOf is for [varied.onNeck].
type neckOf struct {
	neck      *fretboard.Neck
	neckKnown bool
	has       map[int]bool // the sounds that were asked for
}
