package musicxml

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// pairStaves finds staves that show one music twice, as notation and as tab,
// and makes one music of them: the notation's notes get the places of the
// tab, and each remembers both of its elements, so that an edit reaches both.
//
// Two staves are a pair if every note of the tab has a note of the notation
// at the same time with the same pitch, octaves of the whole staff aside, and
// the other way round, but for notes that are tied to from before, which tab
// may leave out. Staves of one part are tried first, then neighbouring parts.
func (r *reader) pairStaves(s *score.Score) {
	for _, part := range s.Parts {
		for tab := part.Staves; tab >= 1; tab-- {
			if !isTab(part, tab) {
				continue
			}
			for _, notation := range []int{tab - 1, tab + 1} {
				if notation >= 1 && notation <= part.Staves && !isTab(part, notation) {
					if r.pair(part, notation, part, tab) {
						break
					}
				}
			}
		}
	}
	for i := 0; i < len(s.Parts); i++ {
		tab := s.Parts[i]
		if tab.Staves != 1 || !isTab(tab, 1) {
			continue
		}
		for _, j := range []int{i - 1, i + 1} {
			if j < 0 || j >= len(s.Parts) || s.Parts[j].Staves != 1 || isTab(s.Parts[j], 1) {
				continue
			}
			if r.pair(s.Parts[j], 1, tab, 1) {
				s.Parts = slices.Delete(s.Parts, i, i+1)
				i--
				break
			}
		}
	}
}

// isTab tells whether a staff begins with a tab clef, or has none and shows
// places.
func isTab(part *score.Part, staff int) bool {
	for _, m := range part.Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.Clef:
				if e.Staff == staff {
					return e.Sign == "TAB"
				}
			case *score.Chord:
				if e.Staff == staff && len(e.Notes) > 0 {
					return !e.Notes[0].Place.IsZero()
				}
			}
		}
	}
	return false
}

// A strike is all notes of a staff that begin at one time, low to high; grace
// notes before it are strikes of their own.
type strike struct {
	onset score.Quarters
	grace int // 0 for none, else counted from 1 before the main note
	notes []*score.Note
}

// strikes lists what a staff plays in a measure.
func strikes(m *score.Measure, staff int) []strike {
	var out []strike
	graces := map[score.Quarters]int{}
	index := map[[2]any]int{}
	for c := range m.Chords() {
		if c.Staff != staff || c.IsRest() {
			continue
		}
		k := strike{onset: c.Onset}
		if c.Grace != score.NotGrace {
			graces[c.Onset]++
			k.grace = graces[c.Onset]
		}
		key := [2]any{k.onset, k.grace}
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, k)
		}
		out[i].notes = append(out[i].notes, c.Notes...)
	}
	for _, k := range out {
		slices.SortStableFunc(k.notes, func(a, b *score.Note) int { return cmp.Compare(a.Pitch.MIDI(), b.Pitch.MIDI()) })
	}
	slices.SortFunc(out, func(a, b strike) int { return cmp.Or(a.onset.Cmp(b.onset), cmp.Compare(a.grace, b.grace)) })
	return out
}

// match pairs the notes of two strikes; ok is false if they do not pair.
// off is notation minus tab in semitones, found by the first pair.
func (r *reader) match(notation, tab strike, off *int, pairs [][2]*score.Note) (_ [][2]*score.Note, ok bool) {
	i := 0
	for _, t := range tab.notes {
		for {
			if i == len(notation.notes) {
				return pairs, false
			}
			n := notation.notes[i]
			i++
			if r.same(n, t, off) {
				pairs = append(pairs, [2]*score.Note{n, t})
				break
			}
			if !n.TieStop {
				return pairs, false
			}
		}
	}
	for ; i < len(notation.notes); i++ {
		if !notation.notes[i].TieStop {
			return pairs, false
		}
	}
	return pairs, true
}

const unknownOffset = 1 << 20

// same tells whether a note of the notation is a note of the tab. Dead notes
// and harmonics are written at many pitches, so their time is enough; of a
// tab note that contradicts itself either value will do.
func (r *reader) same(n, t *score.Note, off *int) bool {
	_, h1 := n.Harmonic()
	_, h2 := t.Harmonic()
	if h1 || h2 || n.Has(score.Dead) || t.Has(score.Dead) || n.Unpitched || t.Unpitched {
		return true
	}
	said, contradicts := r.said[t.Src]
	d := n.Pitch.MIDI() - t.Pitch.MIDI()
	if *off == unknownOffset && d%12 == 0 && !contradicts {
		*off = d
	}
	return d == *off || contradicts && *off != unknownOffset && n.Pitch.MIDI()-said == *off
}

// pair makes one music of two staves if they are a pair.
func (r *reader) pair(np *score.Part, notation int, tp *score.Part, tab int) bool {
	if len(np.Measures) != len(tp.Measures) {
		return false
	}
	off := unknownOffset
	var pairs [][2]*score.Note
	for i, nm := range np.Measures {
		ns, ts := strikes(nm, notation), strikes(tp.Measures[i], tab)
		j := 0
		for _, n := range ns {
			if j < len(ts) && ts[j].onset == n.onset && ts[j].grace == n.grace {
				var ok bool
				if pairs, ok = r.match(n, ts[j], &off, pairs); !ok {
					return false
				}
				j++
				continue
			}
			for _, note := range n.notes {
				if !note.TieStop {
					return false
				}
			}
		}
		if j < len(ts) {
			return false
		}
	}
	if len(pairs) == 0 || np != tp && slices.ContainsFunc(pairs, func(p [2]*score.Note) bool {
		// Two players in unison, or one who has a tab of their own.
		return !p[0].Place.IsZero() && !p[1].Place.IsZero() && p[0].Place != p[1].Place || r.refs[p[0].Src].twin != none
	}) {
		return false
	}
	r.merge(np, notation, tp, tab, pairs)
	if np != tp {
		r.pairParts(np, tp)
	}
	if off != 0 && off != unknownOffset {
		r.shiftOctave(np, notation, -off/12)
	}
	return true
}

// pairRests ties the rests of the tab to those of the notation, and finds out
// whether the tab leaves out what is tied to from before.
func (r *reader) pairRests(np *score.Part, notation int, tp *score.Part, tab int) {
	for i, nm := range np.Measures {
		type span struct{ onset, length score.Quarters }
		rests := map[span]*score.Chord{}
		for c := range tp.Measures[i].Chords() {
			if c.Staff == tab && c.IsRest() && c.Src != 0 {
				rests[span{c.Onset, c.Duration}] = c
			}
		}
		for c := range nm.Chords() {
			if c.Staff != notation {
				continue
			}
			k := span{c.Onset, c.Duration}
			if t := rests[k]; t != nil && c.IsRest() {
				r.refs[c.Src].twin = r.refs[t.Src].elem
				delete(rests, k)
			}
			for _, n := range c.Notes {
				if n.TieStop && r.refs[n.Src].twin == none {
					r.untied[np.Src] = true
				}
			}
		}
	}
}

// pairParts makes the bars of the tab those that show the bars of the notation
// again.
func (r *reader) pairParts(np, tp *score.Part) {
	r.refs[np.Src].twin = r.refs[tp.Src].elem
	for i, m := range np.Measures {
		r.refs[m.Src].twin = r.refs[tp.Measures[i].Src].elem
	}
	for _, pg := range r.pages {
		if pg.part == tp.Src {
			pg.part, pg.tab = np.Src, true
		}
	}
}

// shiftOctave corrects the octave of a notation staff that the tab has shown
// to be written off by whole octaves.
func (r *reader) shiftOctave(part *score.Part, staff, octaves int) {
	var e int32 = none
	total := theory.Octaves(octaves)
	pages(part, func(_ *score.Measure, c *score.Chord, pg *page) {
		if c.Staff != staff {
			return
		}
		for _, n := range c.Notes {
			if e == none {
				e = r.refs[n.Src].elem
				total = total.Add(pg.transpose)
			}
			if n.Place.IsZero() { // those with a place have the tab's pitch
				n.Pitch = n.Pitch.Transpose(theory.Octaves(octaves))
			}
		}
	})
	r.say(score.Info, "xml-octave", e, "", "part %s: the notation is written %+d octave(s) from the tab and says no transposition; read at the tab's octave", part.ID, -octaves)
	r.assume(part.Measures[0], &score.PageTranspose{Common: score.Common{Staff: staff}, Interval: total})
}

// merge moves what the tab knows into the notation and takes the tab staff
// out of the model.
func (r *reader) merge(np *score.Part, notation int, tp *score.Part, tab int, pairs [][2]*score.Note) {
	for _, p := range pairs {
		r.refs[p[0].Src].twin = r.refs[p[1].Src].elem
	}
	r.pairRests(np, notation, tp, tab)
	for _, p := range pairs {
		n, t := p[0], p[1]
		r.refs[n.Src].twinSounding = r.refs[t.Src].sounding
		n.Place = t.Place
		if _, contradicts := r.said[t.Src]; contradicts {
			n.Pitch = t.Pitch
		} else if !n.Has(score.Dead) && n.Pitch.MIDI() != t.Pitch.MIDI() {
			if _, h := n.Harmonic(); !h {
				n.Pitch = n.Pitch.Transpose(theory.Octaves((t.Pitch.MIDI() - n.Pitch.MIDI()) / 12))
			}
		}
		if _, h := t.Harmonic(); h {
			n.Pitch = t.Pitch
		}
		if n.Finger == score.NoFinger {
			n.Finger = t.Finger
		}
		if n.Pluck == "" {
			n.Pluck = t.Pluck
		}
	}
	mergeTechniques(pairs)
	for i, tm := range tp.Measures {
		nm := np.Measures[i]
		var moved []score.Event
		var rest []score.Event
		for _, e := range tm.Events {
			if e.OnStaff() != tab && (np == tp || e.OnStaff() != 0) {
				rest = append(rest, e)
				continue
			}
			if e := r.carry(nm, notation, e); e != nil {
				moved = append(moved, e)
			}
		}
		if np == tp {
			nm.Events = rest
		}
		nm.Events = append(nm.Events, moved...)
		nm.SortEvents()
		if len(moved) > 0 {
			chordsLast(nm)
		}
	}
	if np == tp {
		renumber(np, tab)
	}
}

// carry decides what becomes of an event of the tab staff: nil if the
// notation has it too, else the event, moved to the notation's staff.
func (r *reader) carry(nm *score.Measure, notation int, e score.Event) score.Event {
	has := func(f func(score.Event) bool) bool {
		return slices.ContainsFunc(nm.Events, func(o score.Event) bool {
			return o != e && o.At() == e.At() && (o.OnStaff() == notation || o.OnStaff() == 0) && f(o)
		})
	}
	twin := func(o, e score.Event) bool {
		if f := &r.refs[o.Source()]; f.twin == none {
			f.twin = r.refs[e.Source()].elem
		}
		return true
	}
	switch e := e.(type) {
	case *score.Chord, *score.Clef, *score.PageTranspose:
		return nil
	case *score.KeySignature:
		if has(func(o score.Event) bool {
			k, ok := o.(*score.KeySignature)
			return ok && k.Free == e.Free && twin(k, e)
		}) {
			return nil
		}
		e.Staff = notation
	case *score.Harmony:
		if has(func(o score.Event) bool { h, ok := o.(*score.Harmony); return ok && h.Chord == e.Chord && twin(h, e) }) {
			return nil
		}
		e.Staff = notation
	case *score.TimeSignature:
		if has(func(o score.Event) bool { t, ok := o.(*score.TimeSignature); return ok && twin(t, e) }) {
			return nil
		}
		e.Staff = notation
	case *score.Tempo:
		if has(func(o score.Event) bool { t, ok := o.(*score.Tempo); return ok && twin(t, e) }) {
			return nil
		}
		e.Staff = notation
	case *score.Barline:
		if has(func(o score.Event) bool {
			b, ok := o.(*score.Barline)
			return ok && b.Repeat == e.Repeat && b.Ending == e.Ending && twin(b, e)
		}) {
			return nil
		}
	case *score.Words:
		if has(func(o score.Event) bool {
			w, ok := o.(*score.Words)
			return ok && w.Text == e.Text && w.Kind == e.Kind && twin(w, e)
		}) {
			return nil
		}
		e.Staff = notation
	case *score.NeckChange:
		if has(func(o score.Event) bool {
			n, ok := o.(*score.NeckChange)
			return ok && r.refs[n.Src].elem != none && n.Neck.Tuning.Sounds(e.Neck.Tuning) && n.Neck.Capo == e.Neck.Capo && twin(n, e)
		}) {
			return nil
		}
		nm.Events = slices.DeleteFunc(nm.Events, func(o score.Event) bool {
			n, ok := o.(*score.NeckChange)
			return ok && n.Staff == notation && n.Onset == e.Onset && r.refs[n.Src].elem == none
		})
		e.Staff = notation
	}
	return e
}

// chordsLast puts events of the page before the chords of the same onset.
func chordsLast(m *score.Measure) {
	rank := func(e score.Event) int {
		switch e := e.(type) {
		case *score.Chord:
			return 1
		case *score.Barline:
			if e.Repeat == score.Backward || e.EndingType == "stop" || e.EndingType == "discontinue" {
				return 2
			}
		}
		return 0
	}
	slices.SortStableFunc(m.Events, func(a, b score.Event) int {
		return cmp.Or(a.At().Cmp(b.At()), cmp.Compare(rank(a), rank(b)))
	})
}

// renumber closes the gap that a staff left.
func renumber(part *score.Part, gone int) {
	for _, m := range part.Measures {
		for _, e := range m.Events {
			if c := e.Shared(); c.Staff > gone {
				c.Staff--
			}
		}
	}
	part.Staves--
}

// twinSpans is added to the IDs of spans that come from the tab staff, so
// that they do not meet those of the notation.
const twinSpans = 1 << 24

// mergeTechniques gives the notation what only the tab says. A span of the
// tab is taken over with both ends, unless the notation has one of its kind
// at the same two notes.
func mergeTechniques(pairs [][2]*score.Note) {
	type ends struct{ from, to *score.Note }
	spans := map[score.Span]*ends{} // by kind and ID
	var order []score.Span
	for _, p := range pairs {
		for _, t := range p[1].Techniques {
			s, ok := t.(score.Span)
			if !ok {
				if isHarmonic(t) {
					dropHarmonic(p[0])
				}
				if !p[0].Has(t) {
					p[0].Techniques = append(p[0].Techniques, t)
				}
				continue
			}
			key := score.Span{Kind: s.Kind, ID: s.ID}
			if spans[key] == nil {
				spans[key] = &ends{}
				order = append(order, key)
			}
			if s.End == score.Start {
				spans[key].from = p[0]
			} else {
				spans[key].to = p[0]
			}
		}
	}
	for _, key := range order {
		e := spans[key]
		if e.from == nil || e.to == nil || joined(e.from, e.to, key.Kind) {
			continue
		}
		e.from.Techniques = append(e.from.Techniques, score.Span{Kind: key.Kind, ID: key.ID + twinSpans, End: score.Start})
		e.to.Techniques = append(e.to.Techniques, score.Span{Kind: key.Kind, ID: key.ID + twinSpans, End: score.Stop})
	}
}

func isHarmonic(t score.Technique) bool { _, ok := t.(score.Harmonic); return ok }

// dropHarmonic takes the harmonic off a note, since the tab's knows its
// place.
func dropHarmonic(n *score.Note) { n.Techniques = slices.DeleteFunc(n.Techniques, isHarmonic) }

// joined tells whether a span of the kind leads from one note to the other.
func joined(from, to *score.Note, kind score.SpanKind) bool {
	for _, t := range from.Techniques {
		if s, ok := t.(score.Span); ok && s.Kind == kind && s.End == score.Start &&
			to.Has(score.Span{Kind: kind, ID: s.ID, End: score.Stop}) {
			return true
		}
	}
	return false
}
