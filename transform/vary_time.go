package transform

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// do does one step.
func (v *varied) do(step Variation) {
	if v.firstTone() == nil {
		v.nothing("there are no notes")
		return
	}
	switch step.Kind {
	case Invert, StartOn, Target, OctaveJump:
	default:
		v.gather()
	}
	switch step.Kind {
	case Invert:
		v.invert(step)
	case Retrograde:
		v.retrograde()
	case InIntervals:
		v.inIntervals(step)
	case Sequence:
		v.sequence(step)
	case Group:
		v.group(step)
	case Permute:
		v.permute(step)
	case StartOn:
		v.startOn(step)
	case Target:
		v.target()
	case OctaveJump:
		v.octaveJump(step)
	case Displace:
		v.displace(step.By)
	case Augment:
		v.stretch(step.By, "augmented: all times are %v times as long")
	case Diminish:
		v.stretch(score.Q(1, 1).Div(step.By), "diminished: all times are %v times as long")
	default:
		panic(fmt.Sprintf("transform: unknown variation %d", step.Kind))
	}
}

// retrograde lets every line run backwards through the bars. What joined two
// notes joins them the other way, and bends go round: one that was bent up is
// struck bent and let down.
func (v *varied) retrograde() {
	total := v.total()
	for _, l := range v.lines {
		slices.Reverse(l.tones)
		for _, t := range l.tones {
			t.at = total.Sub(t.end())
			for _, n := range t.notes() {
				for i, x := range n.Techniques {
					n.Techniques[i] = backwards(x)
				}
			}
		}
	}
	v.say("retrograde: from the last note to the first")
}

// backwards turns a technique round in time.
func backwards(t score.Technique) score.Technique {
	switch t := t.(type) {
	case score.Span:
		switch t.Kind {
		case score.HammerOn:
			t.Kind = score.PullOff
		case score.PullOff:
			t.Kind = score.HammerOn
		}
		t.End = score.Start + score.Stop - t.End
		return t
	case score.Bend:
		// Where a release goes only part of the way there is no sign for the
		// way back; a bend that is held or comes back is its own retrograde.
		if !t.WithBar && t.PreBend == t.Release && t.ReleaseTo.IsZero() {
			t.PreBend, t.Release = !t.PreBend, !t.Release
		}
		return t
	case score.SlideEdge:
		t.In = !t.In
		return t
	case score.Mark:
		switch t {
		case score.ArpeggioUp:
			return score.ArpeggioDown
		case score.ArpeggioDown:
			return score.ArpeggioUp
		}
	}
	return t
}

// inIntervals lets each note be followed by the one so many steps away, in half
// of its time. Notes longer than a beat stay.
func (v *varied) inIntervals(step Variation) {
	split := 0
	half := score.Q(1, 2)
	for _, l := range v.lines {
		var list []*phraseTone
		for _, t := range l.tones {
			list = append(list, t)
			if v.beatAt(t.at).Less(t.length) {
				continue
			}
			second := t.copy()
			second.graces = nil
			t.length = t.length.Mul(half)
			second.length, second.at = t.length, t.end()
			for _, n := range second.chord.Notes {
				if sound := n.Sounding(); sound != n.Pitch.MIDI() { // played plainly
					n.Pitch = theory.SpellIn(v.key, sound)
				}
				n.Techniques = slices.DeleteFunc(n.Techniques, func(x score.Technique) bool { return !repeats(x) })
				v.ladder.moveNote(n, v.key, func(p theory.Pitch) theory.Pitch { return v.ladder.move(p, step.Steps) })
			}
			for _, n := range t.notes() {
				n.Techniques = slices.DeleteFunc(n.Techniques, leadsOn)
			}
			list = append(list, second)
			split++
		}
		l.tones = list
	}
	if split == 0 {
		v.nothing("all notes are longer than a beat")
		return
	}
	v.moved = true
	where := "above"
	if step.Steps < 0 {
		where = "below"
	}
	v.say("in %s: %s followed by the one so far %s in %s, each in half of the time", intervalWords[max(step.Steps, -step.Steps)], countOf(split, "note"), where, v.scale.Pretty())
}

// repeats tells whether a technique is one that goes on with each stroke, so
// that an added note has it too.
func repeats(t score.Technique) bool {
	m, ok := t.(score.Mark)
	return ok && (m == score.PalmMuted || m == score.LetRing || m == score.Staccato || m == score.Dead)
}

// leadsOn tells whether a technique joins a note to the next one.
func leadsOn(t score.Technique) bool {
	s, ok := t.(score.Span)
	return ok && (s.Kind.KeepsString() || s.Kind == score.Glissando) && s.End == score.Start
}

func (v *varied) beatAt(at score.Quarters) score.Quarters {
	v.remember()
	i, found := slices.BinarySearchFunc(v.begins, at, score.Quarters.Cmp)
	if !found {
		i--
	}
	return v.rep.beats[max(0, min(i, len(v.rep.beats)-1))]
}

// sequence repeats the first notes of each line, each time a step further,
// until the time of the line is filled. At the end of the neck it turns round.
func (v *varied) sequence(step Variation) {
	done, times, turned := false, 0, false
	for _, l := range v.lines {
		if len(l.tones) <= step.Size {
			continue
		}
		dir := step.Steps
		if dir == 0 {
			if dir = sign(l.tones[len(l.tones)-1].top() - l.tones[0].top()); dir == 0 {
				dir = 1
			}
		}
		motif := l.tones[:step.Size]
		span := l.tones[step.Size].at.Sub(motif[0].at)
		end := l.tones[len(l.tones)-1].end()
		list := slices.Clone(motif)
		shift, steps, round := span, dir, 1
		for list[0].at.Add(shift).Less(end) {
			copies := make([]*phraseTone, 0, len(motif))
			fits := true
			for _, t := range motif {
				c := t.copy()
				c.at = t.at.Add(shift)
				for _, n := range c.notes() {
					v.ladder.moveNote(n, v.key, func(p theory.Pitch) theory.Pitch { return v.ladder.move(p, steps) })
					fits = fits && (n.Unpitched || n.Has(score.Dead) || v.onNeck(n.Pitch.MIDI()))
				}
				copies = append(copies, c)
			}
			if !fits && !turned {
				turned = true
				dir = -dir
				steps += 2 * dir
				continue
			}
			for _, c := range copies {
				if !c.at.Less(end) {
					break
				}
				if end.Less(c.end()) {
					c.length = end.Sub(c.at)
				}
				list = append(list, c)
			}
			shift, steps, round = shift.Add(span), steps+dir, round+1
		}
		l.tones, done, times = list, true, max(times, round)
	}
	if !done {
		v.refuse("say fewer", "the line has no more than %s", countOf(step.Size, "note"))
		return
	}
	v.moved = true
	text := fmt.Sprintf("sequence: the first %s %d times along %s", countOf(step.Size, "note"), times, v.scale.Pretty())
	if turned {
		text += ", turning round where the neck ends"
	}
	v.say("%s", text)
}

// group lets the first notes come over and over in the rhythm that there is,
// beginning anew with each chord.
func (v *varied) group(step Variation) {
	changed := 0
	for _, l := range v.lines {
		var list []*phraseTone
		for from := 0; from < len(l.tones); {
			to := from + 1
			for to < len(l.tones) && !v.chordChanges(l.tones[from].at, l.tones[to].at) {
				to++
			}
			cell := l.tones[from:min(from+step.Size, to)]
			for i, t := range l.tones[from:to] {
				if i < len(cell) {
					list = append(list, t)
					continue
				}
				c := cell[i%len(cell)].copy()
				c.at, c.length = t.at, t.length
				list = append(list, c)
				changed++
			}
			from = to
		}
		l.tones = list
	}
	if changed == 0 {
		v.nothing("no line is longer than the cell")
		return
	}
	v.say("grouped: the first %s come again and again in the rhythm that there was", countOf(step.Size, "note"))
}

// chordChanges tells whether a chord begins after one time and not after
// another.
func (v *varied) chordChanges(a, b score.Quarters) bool { return v.spanAt(a) != v.spanAt(b) }

// permute puts the notes of each bar into another order, in groups; the rhythm
// stays.
func (v *varied) permute(step Variation) {
	order := step.Order
	if order == nil {
		r := rand.New(rand.NewPCG(v.opt.Seed, 40))
		for order = r.Perm(4); slices.IsSorted(order); {
			order = r.Perm(4)
		}
		for i := range order {
			order[i]++
		}
	}
	begins := starts(v.part)
	bar := func(at score.Quarters) int {
		i, found := slices.BinarySearchFunc(begins, at, score.Quarters.Cmp)
		if !found {
			i--
		}
		return i
	}
	groups := 0
	for _, l := range v.lines {
		where := map[*score.Note]int{} // the place of a note in its line
		var list []*phraseTone
		for from := 0; from < len(l.tones); {
			to := from + 1
			for to < len(l.tones) && to-from < len(order) && bar(l.tones[to].at) == bar(l.tones[from].at) {
				to++
			}
			group := l.tones[from:to]
			if to-from == len(order) {
				groups++
				group = make([]*phraseTone, len(order))
				for i, k := range order {
					t := *l.tones[from+k-1]
					t.at, t.length = l.tones[from+i].at, l.tones[from+i].length
					group[i] = &t
				}
			}
			list = append(list, group...)
			from = to
		}
		l.tones = list
		for i, t := range l.tones {
			for _, n := range t.chord.Notes {
				where[n] = i
			}
		}
		rejoin(l, where)
	}
	if groups == 0 {
		v.nothing(fmt.Sprintf("no bar has %d notes in a row", len(order)))
		return
	}
	v.say("permuted: of each %s in a bar the order %s", countOf(len(order), "note"), strings.Trim(fmt.Sprint(order), "[]"))
}

// rejoin keeps what joins two notes where they still follow each other, turns
// it round where they do the other way, and takes it off elsewhere. What
// extends over notes begins at the one that is first now.
func rejoin(l *phraseLine, where map[*score.Note]int) {
	type ends struct {
		start, stop *score.Note
	}
	spans := map[spanID]*ends{}
	for _, t := range l.tones {
		for _, n := range t.chord.Notes {
			for _, x := range n.Techniques {
				if s, ok := x.(score.Span); ok {
					k := spanID{s.Kind, s.ID}
					if spans[k] == nil {
						spans[k] = &ends{}
					}
					if s.End == score.Start {
						spans[k].start = n
					} else {
						spans[k].stop = n
					}
				}
			}
		}
	}
	for _, t := range l.tones {
		for _, n := range t.chord.Notes {
			n.Techniques = slices.DeleteFunc(n.Techniques, func(x score.Technique) bool {
				s, ok := x.(score.Span)
				if !ok || !s.Kind.KeepsString() && s.Kind != score.Glissando {
					return false
				}
				e := spans[spanID{s.Kind, s.ID}]
				if e.start == nil || e.stop == nil {
					return false // the other end is a grace note or another voice
				}
				d := where[e.stop] - where[e.start]
				return d != 1 && d != -1
			})
			for i, x := range n.Techniques {
				s, ok := x.(score.Span)
				if !ok {
					continue
				}
				e := spans[spanID{s.Kind, s.ID}]
				if e.start != nil && e.stop != nil && where[e.stop] < where[e.start] {
					n.Techniques[i] = backwards(s)
				}
			}
		}
	}
}

// displace begins later, or earlier.
func (v *varied) displace(by score.Quarters) {
	first := v.firstTone().at
	if lead := first.Add(by); lead.Sign() < 0 && !v.leadIn(lead.Neg()) {
		return
	}
	total := v.total()
	for _, l := range v.lines {
		for _, t := range l.tones {
			t.at = t.at.Add(by)
		}
		// A last note that lasts gives way; else there is a bar more.
		if n := len(l.tones); n > 0 {
			last := l.tones[n-1]
			if over := last.end().Sub(total); over.Sign() > 0 && !last.length.Less(over.Mul(score.Q(2, 1))) {
				last.length = last.length.Sub(over)
			}
		}
	}
	when := "later"
	if by.Sign() < 0 {
		when, by = "earlier", by.Neg()
	}
	v.say("displaced: begins %v of a whole note %s", by.Mul(score.Q(1, 4)), when)
}

// leadIn makes room before the first bar: a pickup becomes longer, or there is
// a new one. It reports whether that could be done.
func (v *varied) leadIn(room score.Quarters) bool {
	m := v.part.Measures[0]
	have := score.Quarters{}
	if m.Implicit && m.Length.Less(m.Nominal) {
		have = m.Length
	}
	if m.Nominal.Less(have.Add(room)) || m.Nominal.Sign() <= 0 {
		v.refuse("say a smaller value", "there is no room to begin %v quarter notes earlier", room)
		return false
	}
	if have.Sign() > 0 {
		for _, e := range m.Events {
			if !e.At().IsZero() {
				setOnset(e, e.At().Add(room))
			}
		}
		m.Length = m.Length.Add(room)
	} else {
		lead := &score.Measure{Number: "0", Implicit: true, Length: room, Nominal: m.Nominal}
		rest := m.Events[:0]
		for _, e := range m.Events {
			switch e.(type) {
			case *score.KeySignature, *score.TimeSignature, *score.Tempo, *score.NeckChange, *score.PageTranspose, *score.Clef:
				if e.At().IsZero() {
					lead.Events = append(lead.Events, e)
					continue
				}
			}
			rest = append(rest, e)
		}
		m.Events = rest
		v.part.Measures = slices.Insert(v.part.Measures, 0, lead)
		v.rep.beats = slices.Insert(v.rep.beats, 0, v.rep.beats[0])
	}
	for _, l := range v.lines {
		for _, t := range l.tones {
			t.at = t.at.Add(room)
		}
	}
	v.forget()
	return true
}

// forget makes what is known of bars and chords be found anew.
func (v *varied) forget() {
	v.pulses, v.begins = nil, nil
	v.spans = chordSpans(v.part, harmonyPoints(v.part))
}

// setOnset moves an event within its measure.
func setOnset(e score.Event, at score.Quarters) {
	switch e := e.(type) {
	case *score.Chord:
		e.Onset = at
	case *score.Harmony:
		e.Onset = at
	case *score.KeySignature:
		e.Onset = at
	case *score.TimeSignature:
		e.Onset = at
	case *score.Tempo:
		e.Onset = at
	case *score.NeckChange:
		e.Onset = at
	case *score.PageTranspose:
		e.Onset = at
	case *score.Clef:
		e.Onset = at
	case *score.Barline:
		e.Onset = at
	case *score.Words:
		e.Onset = at
	}
}
