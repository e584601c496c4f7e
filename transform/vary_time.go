package transform

import (
	"fmt"
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
	defer func() {
		switch step.Kind {
		case Invert, StartOn, Displace, Augment, Diminish: // are as true of some notes as of all
		default:
			v.partly = true
		}
	}()
	switch step.Kind {
	case Invert, StartOn, Target, OctaveJump:
	default:
		v.gather()
	}
	switch step.Kind {
	case Retrograde, InIntervals, Sequence, Group, Permute:
		v.cut = 0
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
		by := step.By
		if step.Beats != 0 {
			by = v.beatsLong(step.Beats)
		}
		v.displace(by)
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
	split, long := 0, 0
	half := score.Q(1, 2)
	for _, l := range v.lines {
		var list []*phraseTone
		for _, t := range l.tones {
			list = append(list, t)
			if v.beatAt(t.at).Less(t.length) {
				long++
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
				v.ladder.moveNote(n, v.key, moving{to: func(p theory.Pitch) theory.Pitch { return v.along(p, step.Steps) }, along: true})
			}
			for _, n := range t.notes() {
				all := len(n.Techniques)
				n.Techniques = slices.DeleteFunc(n.Techniques, leadsOn)
				v.parted = v.parted || len(n.Techniques) < all
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
	name := intervalWords[max(step.Steps, -step.Steps)]
	text := fmt.Sprintf("in %s: %s followed each by the %s %s it in %s, in half of the time", name, countOf(split, "note"), strings.TrimSuffix(name, "s"), where, v.scale.Pretty())
	if long > 0 {
		text += fmt.Sprintf("; %s longer than a beat left alone", countOf(long, "note"))
	}
	v.say("%s", text)
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

// displace begins later, or earlier.
func (v *varied) displace(by score.Quarters) {
	first := v.firstTone().at
	if lead := first.Add(by); lead.Sign() < 0 && !v.leadIn(lead.Neg()) {
		return
	}
	total := v.total()
	var shorter []string
	beyond := false
	for _, l := range v.lines {
		for _, t := range l.tones {
			t.at = t.at.Add(by)
		}
		// A last note that lasts gives way; else there is a bar more.
		if n := len(l.tones); n > 0 {
			last := l.tones[n-1]
			if over := last.end().Sub(total); over.Sign() > 0 && !last.length.Less(over.Mul(score.Q(2, 1))) {
				last.length = last.length.Sub(over)
				shorter = append(shorter, v.spanWords(over))
			}
			beyond = beyond || total.Less(last.end())
		}
	}
	when := "later"
	if by.Sign() < 0 {
		when, by = "earlier", by.Neg()
	}
	text := fmt.Sprintf("displaced: begins %s %s", v.spanWords(by), when)
	if shorter != nil {
		text += "; the last note is shorter by " + strings.Join(slices.Compact(shorter), ", in another voice by ")
	}
	v.beyond = beyond
	if beyond && !v.opt.trim {
		text += "; the end goes over into another bar"
	}
	v.say("%s", text)
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
		v.refuse("say a smaller value", "there is no room to begin %s earlier", v.spanWords(room))
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
