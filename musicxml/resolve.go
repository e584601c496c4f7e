package musicxml

import (
	"maps"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A page follows what is in force on one staff while a part is walked
// through: transposition and neck.
type page struct {
	transpose theory.Interval
	stated    bool // a <transpose> was in force
	neck      *score.NeckChange
	key       theory.Key
}

// pages walks a part in order of time and calls visit for every chord with
// what is in force on its staff.
func pages(part *score.Part, visit func(m *score.Measure, c *score.Chord, pg *page)) {
	staves := make([]page, part.Staves+1)
	for _, m := range part.Measures {
		for _, e := range m.Events {
			first, last := e.OnStaff(), e.OnStaff()
			if first == 0 {
				first, last = 1, part.Staves
			}
			switch e := e.(type) {
			case *score.Chord:
				visit(m, e, &staves[e.Staff])
			case *score.PageTranspose:
				for s := first; s <= last; s++ {
					staves[s].transpose, staves[s].stated = e.Interval, true
				}
			case *score.NeckChange:
				for s := first; s <= last; s++ {
					staves[s].neck = e
				}
			case *score.KeySignature:
				for s := first; s <= last; s++ {
					staves[s].key = e.Key
				}
			}
		}
	}
}

// A staffPage is what was found out about one staff from its notes.
type staffPage struct {
	placed int         // notes with string and fret
	off    map[int]int // votes: written pitch minus stopped place, in semitones
	offT   map[int]int // the same with the stated transposition applied
	first  int32       // the first placed note
	hasT   bool        // a transposition is stated
	ignore bool        // of which the notes show that it is not meant here
	octave int         // to be added to written pitches, which state none
	topped int         // highest fret from the nut
}

// resolvePages moves every pitch of the part from where it is written to
// where it sounds, and finds out necks that the file does not state.
//
// A tab staff says its pitches twice, by pitch and by string and fret, and
// programs disagree on whether a transposition that is meant for the notation
// applies to them. The notes decide, staff by staff, by majority: if pitch as
// written is tuning + capo + fret, no transposition applies; if it is so with
// the stated one, that; if it is off by whole octaves, that many octaves.
func (p *partReader) resolvePages() {
	p.inferNecks()
	staves := make([]staffPage, p.part.Staves+1)
	pages(p.part, func(_ *score.Measure, c *score.Chord, pg *page) {
		st := &staves[c.Staff]
		st.hasT = st.hasT || pg.stated && pg.transpose != theory.Interval{}
		for _, n := range c.Notes {
			if n.Place.IsZero() || pg.neck == nil || n.Place.String > pg.neck.Neck.Tuning.Len() {
				continue
			}
			st.topped = max(st.topped, n.Place.Fret+pg.neck.Neck.Capo)
			if _, harmonic := n.Harmonic(); harmonic || n.Unpitched || n.Has(score.Dead) {
				continue
			}
			if st.off == nil {
				st.off, st.offT, st.first = map[int]int{}, map[int]int{}, p.refs[n.Src].elem
			}
			st.placed++
			d := n.Pitch.MIDI() - pg.neck.Neck.Stopped(n.Place)
			st.off[d]++
			st.offT[d+pg.transpose.Semitones]++
		}
	})
	for s := range staves {
		p.judge(s, &staves[s])
	}
	pages(p.part, func(m *score.Measure, c *score.Chord, pg *page) {
		st := &staves[c.Staff]
		t := pg.transpose.Add(theory.Octaves(st.octave))
		if st.ignore {
			t = theory.Octaves(st.octave)
		}
		for _, n := range c.Notes {
			if !n.Unpitched {
				n.Pitch = n.Pitch.Transpose(t)
			}
			p.agree(m, n, pg)
		}
	})
	p.soundingKeys(staves)
	p.statePages(staves)
}

// soundingKeys moves the key signatures from where they are written to where
// they sound. A signature and a transposition at one time belong together,
// whichever is written first.
func (p *partReader) soundingKeys(staves []staffPage) {
	now := make([]theory.Interval, len(staves))
	for _, m := range p.part.Measures {
		for i, e := range m.Events {
			k, isKey := e.(*score.KeySignature)
			if t, ok := e.(*score.PageTranspose); ok {
				inForce(now, t)
			}
			if !isKey {
				continue
			}
			for _, later := range m.Events[i:] {
				if later.At() != k.Onset {
					break
				}
				if t, ok := later.(*score.PageTranspose); ok {
					inForce(now, t)
				}
			}
			s := max(k.Staff, 1)
			if staves[s].ignore || k.NoKey {
				continue
			}
			k.Key = k.Key.Transpose(now[s])
			for j := range k.Alters {
				k.Alters[j].Name = k.Alters[j].Name.Transpose(now[s])
			}
		}
	}
}

func inForce(now []theory.Interval, t *score.PageTranspose) {
	for s := range now {
		if t.Staff == 0 || t.Staff == s {
			now[s] = t.Interval
		}
	}
}

// judge decides what the votes of a staff say about its page.
func (p *partReader) judge(s int, st *staffPage) {
	if st.placed == 0 {
		return
	}
	plain, plainVotes := majority(st.off)
	stated, statedVotes := majority(st.offT)
	switch {
	case st.hasT && stated == 0 && statedVotes >= plainVotes:
	case plain == 0 && 2*plainVotes > st.placed:
		if st.hasT {
			st.ignore = true
			p.say(score.Info, "xml-transpose", st.first, "", "staff %d of part %s: pitches are tuning + fret as they stand, so the part's transposition is not for this staff", s, p.info.id)
		}
	case plain%12 == 0 && 2*plainVotes > st.placed:
		st.ignore = true
		st.octave = -plain / 12
		p.say(score.Info, "xml-octave", st.first, "", "staff %d of part %s: pitches are written %+d semitones from tuning + fret; read at the tuning", s, p.info.id, plain)
	}
}

// majority returns the entry with the most votes, the smallest of equals.
func majority(votes map[int]int) (value, count int) {
	for _, v := range slices.Sorted(maps.Keys(votes)) {
		if votes[v] > count {
			value, count = v, votes[v]
		}
	}
	return value, count
}

// statePages makes the model say what was decided: transpositions that do not
// apply to a staff are taken off it, and assumed octaves are put there.
func (p *partReader) statePages(staves []staffPage) {
	for s := 1; s < len(staves); s++ {
		st := &staves[s]
		if st.topped > p.opt.FretCount() {
			p.say(score.Info, "xml-frets", st.first, "", "staff %d of part %s goes up to fret %d; the neck is taken to have as many", s, p.info.id, st.topped)
		}
		for _, m := range p.part.Measures {
			var kept []score.Event
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					if e.Staff == s || e.Staff == 0 {
						e.Neck.Frets = max(e.Neck.Frets, min(st.topped, fretboard.MaxFrets))
					}
				case *score.PageTranspose:
					if st.ignore && e.Staff == s {
						continue
					}
				}
				kept = append(kept, e)
			}
			m.Events = kept
		}
		if st.ignore && (st.hasT || st.octave != 0) && len(p.part.Measures) > 0 {
			p.assume(p.part.Measures[0], &score.PageTranspose{Common: score.Common{Staff: s}, Interval: theory.Octaves(st.octave)})
		}
	}
}

// assume puts an event that no element stands for at the start of a measure,
// behind the other events of the page and before the first chord.
func (d *Document) assume(m *score.Measure, e score.Event) {
	e.Shared().Src = d.handle(e, none)
	at := slices.IndexFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.Chord); return ok || e.At().Sign() > 0 })
	if at < 0 {
		at = len(m.Events)
	}
	m.Events = slices.Insert(m.Events, at, e)
}

// agree makes pitch and place of a note say the same, and reports where the
// page does not. The place wins, unless the caller wants the pitch to: it is
// what a player of the tab reads.
func (p *partReader) agree(m *score.Measure, n *score.Note, pg *page) {
	if n.Place.IsZero() {
		return
	}
	if pg.neck == nil || n.Place.String > pg.neck.Neck.Tuning.Len() {
		p.say(score.Warning, "xml-place", p.refs[n.Src].elem, "", "measure %s: string %d, but the neck has fewer; string and fret are left aside", m.Number, n.Place.String)
		n.Place = fretboard.Place{}
		return
	}
	stopped := pg.neck.Neck.Stopped(n.Place)
	if i := slices.IndexFunc(n.Techniques, func(t score.Technique) bool { _, ok := t.(score.Harmonic); return ok }); i >= 0 {
		h := n.Techniques[i].(score.Harmonic)
		n.Pitch, h.Over = p.harmonicPitch(n, h, stopped, pg)
		n.Techniques[i] = h
		return
	}
	if n.Pitch.MIDI() == stopped || n.Unpitched {
		return
	}
	p.said[n.Src] = n.Pitch.MIDI()
	fret := theory.SpellIn(pg.key, stopped)
	dead := n.Has(score.Dead)
	winner := "fret"
	if p.opt.PitchWins && !dead {
		winner = "pitch"
	}
	if !dead {
		p.say(score.Warning, "xml-pitch-fret", p.refs[n.Src].elem, "correct one of them in the file", "measure %s: the pitch says %s, string %d fret %d says %s; read as the %s",
			m.Number, n.Pitch.Pretty(), n.Place.String, n.Place.Fret, fret.Pretty(), winner)
	}
	if winner == "fret" {
		n.Pitch = fret
		return
	}
	if place, ok := pg.neck.Neck.FretOn(n.Place.String, n.Pitch.MIDI()); ok {
		n.Place = place
		return
	}
	p.say(score.Warning, "xml-place", p.refs[n.Src].elem, "", "measure %s: %s is not on string %d; the note is read without a place", m.Number, n.Pitch.Pretty(), n.Place.String)
	n.Place = fretboard.Place{}
}

// harmonicPitch returns the stopped pitch of a harmonic and how far it sounds
// above it. The page may give the pitch of the open string, of the spot that
// is touched, or of the sound.
func (p *partReader) harmonicPitch(n *score.Note, h score.Harmonic, stopped int, pg *page) (theory.Pitch, int) {
	over := 12 // an artificial harmonic, touched an octave above the stopped fret
	if h.Kind == score.NaturalHarmonic {
		over = 0
		if node, ok := fretboard.NodeAt(n.Place.Fret); ok {
			over = node.Semitones - n.Place.Fret
		}
	}
	written := n.Pitch.MIDI()
	switch {
	case written == stopped:
		return n.Pitch, over
	case written == stopped+over, h.Kind != score.NaturalHarmonic && slices.Contains([]int{12, 19, 24, 28}, written-stopped):
		p.refs[n.Src].sounding = true
		over = written - stopped
		return n.Pitch.Transpose(overtone(over).Neg()), over
	}
	return theory.SpellIn(pg.key, stopped), over
}

// overtone returns the named interval of so many semitones between a stopped
// pitch and a harmonic over it: octaves, fifths and thirds of the harmonic
// series.
func overtone(semitones int) theory.Interval {
	oct, rest := semitones/12, semitones%12
	steps := map[int]int{0: 0, 3: 2, 4: 2, 5: 3, 7: 4, 8: 5, 9: 5}[rest]
	if steps == 0 && rest != 0 {
		return theory.P(theory.C, 0, 4).To(theory.SpellIn(theory.Key{}, 60+semitones))
	}
	return theory.Interval{Steps: steps, Semitones: rest}.Add(theory.Octaves(oct))
}

// inferNecks gives a neck to staves that have strings and frets but no stated
// tuning: the one that the caller gave, else the one that pitches and frets
// show, string by string.
func (p *partReader) inferNecks() {
	type evidence struct {
		open  map[int]map[int]int // by string: open pitch to votes, as written
		openT map[int]map[int]int // with the stated transposition
		first int32
	}
	staves := make([]evidence, p.part.Staves+1)
	pages(p.part, func(_ *score.Measure, c *score.Chord, pg *page) {
		for _, n := range c.Notes {
			_, harmonic := n.Harmonic()
			if pg.neck != nil || n.Place.IsZero() || harmonic || n.Unpitched || n.Has(score.Dead) {
				continue
			}
			ev := &staves[c.Staff]
			if ev.open == nil {
				ev.open, ev.openT, ev.first = map[int]map[int]int{}, map[int]map[int]int{}, p.refs[n.Src].elem
			}
			for votes, t := range map[*map[int]map[int]int]int{&ev.open: 0, &ev.openT: pg.transpose.Semitones} {
				if (*votes)[n.Place.String] == nil {
					(*votes)[n.Place.String] = map[int]int{}
				}
				(*votes)[n.Place.String][n.Pitch.MIDI()+t-n.Place.Fret]++
			}
		}
	})
	for s, ev := range staves {
		if ev.open == nil || len(p.part.Measures) == 0 {
			continue
		}
		capo := 0
		if p.opt.Capo != nil {
			capo = *p.opt.Capo
		}
		var tuning fretboard.Tuning
		if p.opt.Tuning != nil {
			tuning = *p.opt.Tuning
		} else {
			tuning = nearerTuning(ev.open, ev.openT, capo)
			p.say(score.Info, "xml-no-tuning", ev.first, "if that is wrong, say it with --tuning", "staff %d of part %s states no tuning; its pitches and frets show %s", s, p.info.id, tuning)
		}
		p.assume(p.part.Measures[0], &score.NeckChange{Common: score.Common{Staff: s}, Inferred: true,
			Neck: fretboard.Neck{Tuning: tuning, Capo: capo, Frets: max(p.opt.FretCount(), capo+1)}})
	}
}

// nearerTuning makes a tuning from what the strings show, taking the reading
// that agrees with the usual tuning on more strings.
func nearerTuning(open, openT map[int]map[int]int, capo int) fretboard.Tuning {
	strings := max(6, slices.Max(slices.Collect(maps.Keys(open))))
	usual := fretboard.UsualStrings(strings)
	read := func(votes map[int]map[int]int) (pitches []theory.Pitch, usualCount int) {
		pitches = slices.Clone(usual)
		for s, v := range votes {
			midi, _ := majority(v)
			if midi-capo == usual[s-1].MIDI() {
				usualCount++
				continue
			}
			pitches[s-1] = theory.SpellIn(theory.Key{}, midi-capo)
		}
		return pitches, usualCount
	}
	a, countA := read(open)
	b, countB := read(openT)
	if countB > countA {
		a = b
	}
	t, err := fretboard.NewTuning(a...)
	if err != nil {
		return fretboard.Standard()
	}
	return t
}
