package musicxml

import (
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// attributes reads what an <attributes> element says from here on.
func (p *partReader) attributes(e int32) {
	p.last = nil
	for c := range p.x.children(e) {
		switch p.x.name(c) {
		case "divisions":
			if d, ok := score.ParseQuarters(p.x.content(c)); ok && d.Sign() > 0 {
				p.mixed = p.mixed || p.begun && d != p.divisions
				p.divisions = d
			} else {
				p.say(score.Warning, "xml-divisions", c, "", "measure %s: divisions %q is no number above 0; the ones before stay", p.m.Number, p.x.content(c))
			}
		case "key":
			p.key(c)
		case "time":
			p.time(c)
		case "staves":
			p.part.Staves = min(max(p.part.Staves, p.number(p.x.content(c))), maxStaves)
		case "clef":
			cl := &score.Clef{Common: p.common(p.numbered(c, 1)), Sign: p.x.childContent(c, "sign"),
				Line: p.number(p.x.childContent(c, "line")), OctaveChange: p.number(p.x.childContent(c, "clef-octave-change"))}
			cl.Src = p.handle(cl, c)
			p.add(cl)
		case "staff-details":
			p.staffDetails(c)
		case "measure-style":
			p.measureRepeat(p.x.child(c, "measure-repeat"))
		case "transpose":
			t := &score.PageTranspose{Common: p.common(p.numbered(c, 0)), Interval: p.transpose(c)}
			t.Src = p.handle(t, c)
			p.add(t)
		}
	}
}

// numbered reads the number attribute, which says the staff.
func (p *partReader) numbered(e int32, missing int) int {
	n := p.number(p.x.attrOr(e, "number"))
	if n < 1 || n > maxStaves {
		return missing
	}
	p.part.Staves = max(p.part.Staves, n)
	return n
}

func (p *partReader) key(e int32) {
	k := &score.KeySignature{Common: p.common(p.numbered(e, 0))}
	k.Src = p.handle(k, e)
	fifths := p.x.child(e, "fifths")
	mode := p.x.childContent(e, "mode")
	switch {
	case fifths == none:
		k.Free = true
		k.Alters = p.keyAlters(e)
	case mode == "none":
		k.NoKey = p.number(p.x.content(fifths)) == 0
		fallthrough
	case mode == "":
		k.Key = theory.KeyOf(p.number(p.x.content(fifths)), theory.Major)
	default:
		m, err := theory.ParseMode(mode)
		k.ModeSaid = err == nil
		if err != nil {
			p.say(score.Info, "xml-mode", e, "", "mode %q is not known; read as major", mode)
		}
		k.Key = theory.KeyOf(p.number(p.x.content(fifths)), m)
	}
	p.add(k)
}

// keyAlters reads the steps and alterations of a key that is not of the
// circle of fifths.
func (d *Document) keyAlters(e int32) (out []score.KeyAlter) {
	step := theory.Step(-1)
	for c := range d.x.children(e) {
		switch d.x.name(c) {
		case "key-step":
			if t := d.x.content(c); len(t) == 1 {
				if st, ok := theory.StepOf(t[0]); ok {
					step = st
				}
			}
		case "key-alter":
			if step >= 0 {
				alter, rest := splitAlter(d.x.content(c))
				out = append(out, score.KeyAlter{Name: theory.NoteName{Step: step, Alter: alter}, Detune: rest})
				step = -1
			}
		}
	}
	return out
}

func (p *partReader) time(e int32) {
	t := &score.TimeSignature{Common: p.common(p.numbered(e, 0)), Symbol: p.x.attrOr(e, "symbol")}
	for c := range p.x.children(e) {
		switch p.x.name(c) {
		case "beats":
			t.Beats = append(t.Beats, strings.ReplaceAll(p.x.content(c), " ", ""))
		case "beat-type":
			t.BeatTypes = append(t.BeatTypes, p.number(p.x.content(c)))
		}
	}
	n := min(len(t.Beats), len(t.BeatTypes))
	t.Beats, t.BeatTypes = t.Beats[:n], t.BeatTypes[:n]
	for i := range n {
		if t.BeatTypes[i] <= 0 {
			continue
		}
		for b := range strings.SplitSeq(t.Beats[i], "+") {
			q, ok := score.ParseQuarters(b)
			if ok && q.Sign() > 0 {
				t.Length = t.Length.Add(q.Mul(score.Q(4, int64(t.BeatTypes[i]))))
			}
		}
	}
	if t.Length.Invalid() {
		t.Length = score.Quarters{}
	}
	p.nominal = t.Length
	t.Src = p.handle(t, e)
	p.add(t)
}

// transpose returns the interval from written to sounding pitch. Where the
// part is doubled an octave lower, it is the interval of the upper line.
func (p *partReader) transpose(e int32) theory.Interval {
	chromatic, _ := splitAlter(p.x.childContent(e, "chromatic"))
	iv := theory.Interval{Steps: p.number(p.x.childContent(e, "diatonic")), Semitones: chromatic}
	if p.x.child(e, "diatonic") == none {
		// The letters are not said: take the ones that musicians would.
		name := theory.SpellIn(theory.Key{}, 60+chromatic)
		iv.Steps = name.Diatonic() - theory.P(theory.C, 0, 4).Diatonic()
	}
	iv = iv.Add(theory.Octaves(p.number(p.x.childContent(e, "octave-change"))))
	return iv
}

// staffDetails reads tuning and capo of a staff.
func (p *partReader) staffDetails(e int32) {
	lines := p.number(p.x.childContent(e, "staff-lines"))
	capo := p.number(p.x.childContent(e, "capo"))
	tuned := map[int]theory.Pitch{} // by line, 1 at the bottom
	for c := range p.x.children(e) {
		if p.x.name(c) != "staff-tuning" {
			continue
		}
		name, ok1 := p.noteName(c, "tuning-step", "tuning-alter")
		line := p.number(p.x.attrOr(c, "line"))
		if !ok1 || line < 1 {
			p.say(score.Warning, "xml-tuning", c, "", "a string's tuning has no step or line; left out")
			continue
		}
		tuned[line] = theory.Pitch{NoteName: name, Octave: p.number(p.x.childContent(c, "tuning-octave"))}
	}
	if len(tuned) == 0 && p.x.child(e, "capo") == none {
		return
	}
	strings := max(lines, len(tuned))
	for line := range tuned {
		strings = max(strings, line)
	}
	nc := &score.NeckChange{Common: p.common(p.numbered(e, 1))}
	nc.Src = p.handle(nc, e)
	nc.Neck = fretboard.Neck{Capo: max(capo, 0), Frets: max(p.opt.FretCount(), capo+1)}
	if len(tuned) == 0 {
		// A capo alone keeps the tuning that was in force.
		if prev := p.neckInForce(nc.Staff); prev != nil {
			nc.Neck.Tuning = prev.Neck.Tuning
			p.add(nc)
			return
		}
		strings = max(strings, 6)
	}
	if strings > fretboard.MaxStrings {
		p.say(score.Warning, "xml-tuning", e, "", "a neck of %d strings is not known; the tuning is left out", strings)
		return
	}
	usual := fretboard.UsualStrings(strings)
	open := make([]theory.Pitch, strings)
	missing := 0
	for s := 1; s <= strings; s++ {
		pitch, ok := tuned[strings+1-s]
		if !ok {
			pitch, missing = usual[s-1], missing+1
		}
		open[s-1] = pitch
	}
	if missing > 0 {
		nc.Inferred = true
		p.say(score.Warning, "xml-tuning", e, "say it with --tuning", "%d of %d strings have no tuning; the usual one is taken for them", missing, strings)
	}
	t, err := fretboard.NewTuning(open...)
	if err != nil {
		p.say(score.Warning, "xml-tuning", e, "", "the tuning is left out: %v", err)
		return
	}
	nc.Neck.Tuning = t
	p.add(nc)
}

// neckInForce returns the last neck of a staff that was read so far.
func (p *partReader) neckInForce(staff int) *score.NeckChange {
	find := func(m *score.Measure) *score.NeckChange {
		for _, e := range slices.Backward(m.Events) {
			if n, ok := e.(*score.NeckChange); ok && n.Staff == staff {
				return n
			}
		}
		return nil
	}
	if n := find(p.m); n != nil {
		return n
	}
	for _, m := range slices.Backward(p.part.Measures) {
		if n := find(m); n != nil {
			return n
		}
	}
	return nil
}
