package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// RemapOver makes a phrase that was made over one chord, or several, over
// others: the tones of the old chord become the tones of the same job in the
// new one, third to third, seventh to seventh (or what stands for them); the
// other notes follow by the scales of both chords, the first that handbooks
// give for them (in the key of the score for the old one). Each chord's notes
// go where they lie nearest to the old line and join on to what comes before.
//
// The progression is laid over the bars of the phrase, bar by bar; whichever
// is shorter begins again, so that a phrase of one bar is played once over
// each chord of "Dm7 | G7 | Cmaj7", and one of three bars goes through them
// once. A pickup belongs to the first chord. Chord symbols become those of the
// progression.
//
// home is the chord that the phrase was made over; if nil, the chord symbols
// of the score say it. Notes for which nothing does stay, and are named.
// opt.Map does not matter here.
func RemapOver(s *score.Score, home *theory.Chord, over theory.Progression, opt RemapOptions) (*score.Score, score.Diagnostics) {
	opt.Map = ByDegree
	r := &remapper{in: s, out: s.Clone(), opt: opt, plain: true}
	if len(over) == 0 {
		return r.out, nil
	}
	o := &overs{home: home, over: over, rows: map[theory.Chord]toneRow{}, spans: map[*score.Part][]overSpan{}}
	if k, _, ok := KeyAtStart(s); ok {
		o.key = &k
	}
	if first := over.Chords(); len(first) > 0 {
		r.scheme = fretboard.ChordTones(first[0])
		if sc, ok := scaleOver(first[0], nil); ok {
			r.scheme = fretboard.ScaleTones(first[0].Root, sc)
		}
	}
	for _, p := range r.out.Parts {
		if opt.Parts == nil || slices.Contains(opt.Parts, p.ID) {
			o.lay(p, opt)
		}
	}
	r.at = func(p *score.Part, measure int, onset score.Quarters) *toneMap {
		// The trials of run are clones; a part is known by its ID.
		for q, spans := range o.spans {
			if q.ID == p.ID {
				return spanAt(spans, measure, onset).tones
			}
		}
		return nil
	}
	r.signs = func(p *score.Part, rep *reporter) { o.report(p, rep); o.symbols(p) }
	return r.run()
}

// An overSpan is a stretch of a part over one chord.
type overSpan struct {
	measure int
	onset   score.Quarters
	was     *theory.Chord // nil if not known
	now     theory.Chord
	tones   *toneMap // nil if notes stay
}

type overs struct {
	home  *theory.Chord
	key   *theory.Key
	over  theory.Progression
	rows  map[theory.Chord]toneRow
	spans map[*score.Part][]overSpan
}

func spanAt(spans []overSpan, measure int, onset score.Quarters) overSpan {
	var found overSpan
	for _, s := range spans {
		if s.measure > measure || s.measure == measure && onset.Less(s.onset) {
			break
		}
		found = s
	}
	return found
}

// pickup returns how many bars there are before the first that is counted.
func pickup(p *score.Part) int {
	if len(p.Measures) > 1 && p.Measures[0].Implicit {
		return 1
	}
	return 0
}

// lay lengthens the part until the progression is through and divides it by
// old and new chords.
func (o *overs) lay(p *score.Part, opt RemapOptions) {
	lead := pickup(p)
	o.lengthen(p, lead)
	var spans []overSpan
	was := o.home
	if o.home == nil && lead < len(p.Measures) { // a pickup looks ahead
		was = chordAtStart(p, lead)
	}
	for i, m := range p.Measures {
		length := m.Nominal
		if length.Sign() <= 0 || i < lead {
			length = m.Length
		}
		bar := o.over[0]
		if i >= lead {
			bar = o.over[(i-lead)%len(o.over)]
		}
		var points []overSpan
		part := 0
		for k, c := range bar.Chords {
			at := length.Mul(score.Q(int64(part), int64(max(bar.Parts, 1))))
			part += c.Parts
			if i >= lead || k == 0 {
				points = append(points, overSpan{measure: i, onset: at, now: c.Chord})
			}
		}
		if o.home == nil {
			for _, e := range m.Events {
				h, ok := e.(*score.Harmony)
				if !ok {
					continue
				}
				k := slices.IndexFunc(points, func(x overSpan) bool { return h.Onset.Cmp(x.onset) <= 0 })
				switch {
				case k >= 0 && points[k].onset == h.Onset:
				case k < 0:
					points = append(points, overSpan{measure: i, onset: h.Onset, now: points[len(points)-1].now})
				case k > 0:
					points = slices.Insert(points, k, overSpan{measure: i, onset: h.Onset, now: points[k-1].now})
				}
			}
		}
		for _, x := range points {
			if o.home == nil {
				for _, e := range m.Events {
					if h, ok := e.(*score.Harmony); ok && h.Onset.Cmp(x.onset) <= 0 {
						c := h.Chord
						was = &c
					}
				}
			}
			x.was = was
			spans = append(spans, x)
		}
	}
	o.choose(p, spans, opt)
	o.spans[p] = spans
}

func chordAtStart(p *score.Part, from int) *theory.Chord {
	for _, m := range p.Measures[from:] {
		for _, e := range m.Events {
			if h, ok := e.(*score.Harmony); ok {
				c := h.Chord
				return &c
			}
		}
	}
	return nil
}

// row returns a chord with its scale as tones, by their job.
func (o *overs) row(c theory.Chord, key *theory.Key) (toneRow, bool) {
	if row, ok := o.rows[c]; ok && key == nil {
		return row, len(row.tones) > 0
	}
	row := chordRow(c, key)
	if key == nil {
		o.rows[c] = row
	}
	return row, len(row.tones) > 0
}

// chordRow returns the tones of a chord by their job, and those of its scale
// between them: a scale tone that has the number of a chord tone takes the
// next number on its side.
func chordRow(c theory.Chord, key *theory.Key) toneRow {
	row := toneRow{tonic: c.Root}
	degrees := c.Degrees()
	if degrees == nil {
		return row
	}
	third, _ := c.Third()
	seventh, _ := c.Seventh()
	taken := map[int]int{} // semitones of the chord tones by slot
	var sounds theory.PitchSet
	for _, d := range degrees {
		slot := (d.Number-1)%7 + 1
		switch d {
		case third:
			slot = 3
		case seventh:
			slot = 7
		}
		low := theory.Degree{Number: (d.Number-1)%7 + 1, Alter: d.Alter}
		if sounds.Has(low.Semitones()) {
			continue
		}
		sounds = sounds.With(low.Semitones())
		taken[slot] = low.Semitones()
		row.tones = append(row.tones, rowTone{degree: low, slot: slot})
	}
	if scale, ok := scaleOver(c, key); ok {
		for _, d := range scale.Degrees() {
			if sounds.Has(d.Semitones()) {
				continue
			}
			slot := d.Number
			if at, ok := taken[slot]; ok {
				slot += sign(d.Semitones() - at)
			}
			row.tones = append(row.tones, rowTone{degree: d, slot: slot})
		}
	}
	row.sort()
	return row
}

// scaleOver returns the scale for the notes beside a chord: that of the key if
// it holds the chord, else the first that handbooks give.
func scaleOver(c theory.Chord, key *theory.Key) (theory.Scale, bool) {
	if scales := c.Scales(key); key != nil && len(scales) > 0 && scales[0].InKey {
		return scales[0].Scale, true
	}
	scales := c.Scales(nil)
	if len(scales) == 0 {
		return theory.Scale{}, false
	}
	return scales[0].Scale, true
}

// choose makes the map of each span, in the octave in which its notes lie
// nearest to where they were; of two alike, the one that joins on better.
func (o *overs) choose(p *score.Part, spans []overSpan, opt RemapOptions) {
	var last, lastWas *theory.Pitch
	for k := range spans {
		x := &spans[k]
		if x.was == nil {
			continue
		}
		from, ok := o.row(*x.was, o.key)
		to, ok2 := o.row(x.now, nil)
		if !ok || !ok2 {
			continue
		}
		var notes []theory.Pitch
		for i := x.measure; i < len(p.Measures); i++ {
			if k+1 < len(spans) && i > spans[k+1].measure {
				break
			}
			for c := range p.Measures[i].Chords() {
				if i == x.measure && c.Onset.Less(x.onset) || k+1 < len(spans) && i == spans[k+1].measure && !c.Onset.Less(spans[k+1].onset) {
					continue
				}
				for _, n := range c.Notes {
					if !n.Unpitched {
						notes = append(notes, n.Pitch)
					}
				}
			}
		}
		best := 0.0
		for _, dir := range [...]theory.Direction{theory.Up, theory.Down} {
			m := &toneMap{from: from, to: to, tonic: from.tonic.IntervalTo(to.tonic, dir)}
			to := func(q theory.Pitch) theory.Pitch {
				if now, _, ok := m.scaleTone(q, 1); ok {
					return now
				}
				return q.Transpose(m.tonic)
			}
			cost := 0.0
			for _, q := range notes {
				d := to(q).MIDI() - q.MIDI()
				cost += float64(max(d, -d)) / float64(len(notes))
			}
			if last != nil && len(notes) > 0 {
				d := to(notes[0]).MIDI() - last.MIDI() - (notes[0].MIDI() - lastWas.MIDI())
				cost += joinShare * float64(max(d, -d))
			}
			if opt.Tonic == dir {
				cost = -1
			}
			if x.tones == nil || cost < best {
				x.tones, best = m, cost
			}
		}
		if n := len(notes); n > 0 {
			was := notes[n-1]
			now, _, ok := x.tones.scaleTone(was, 1)
			if !ok {
				now = was.Transpose(x.tones.tonic)
			}
			last, lastWas = &now, &was
		}
	}
}

// joinShare is how much a leap that the source does not have counts against
// the way that the notes move on the whole.
const joinShare = 0.25

// symbols writes the progression over the bars.
func (o *overs) symbols(p *score.Part) {
	spans := o.spans[p]
	at := 0
	var last theory.Chord
	for i, m := range p.Measures {
		var old []*score.Harmony
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool {
			h, ok := e.(*score.Harmony)
			if ok {
				old = append(old, h)
			}
			return ok
		})
		for ; at < len(spans) && spans[at].measure == i; at++ {
			x := spans[at]
			if x.now == last && (!x.onset.IsZero() || i < pickup(p)+1) || i < pickup(p) {
				continue // it holds on
			}
			last = x.now
			h := &score.Harmony{Common: score.Common{Onset: x.onset, Staff: 1}}
			if k := slices.IndexFunc(old, func(h *score.Harmony) bool { return h.Onset == x.onset }); k >= 0 {
				h = old[k]
			} else if len(old) > 0 {
				h.Staff = old[0].Staff
			}
			h.Chord = x.now
			k := slices.IndexFunc(m.Events, func(e score.Event) bool {
				_, chord := e.(*score.Chord)
				return x.onset.Less(e.At()) || chord && e.At() == x.onset
			})
			if k < 0 {
				k = len(m.Events)
			}
			m.Events = slices.Insert(m.Events, k, score.Event(h))
		}
	}
}

// report says which scales were taken, and which notes stay.
func (o *overs) report(p *score.Part, rep *reporter) {
	said := map[theory.Chord]bool{}
	for _, x := range o.spans[p] {
		h := p.Measures[x.measure].Src
		switch {
		case x.was == nil:
			rep.add(score.NotDone, CodeRemapNoChord, h, rep.where(x.measure, x.onset)+": it is not said over which chord this was made; its notes stay", "say the chord, or write chord symbols over the phrase")
		case x.tones == nil:
			for _, c := range [...]theory.Chord{*x.was, x.now} {
				if c.Degrees() == nil {
					rep.add(score.NotDone, CodeRemapNoChord, h, fmt.Sprintf("%s: %s has no tones that are known; notes stay", rep.where(x.measure, x.onset), c.Pretty()), "")
				}
			}
		default:
			for k, c := range [...]theory.Chord{*x.was, x.now} {
				key := o.key
				if k == 1 {
					key = nil
				}
				if scale, ok := scaleOver(c, key); !said[c] && ok {
					said[c] = true
					rep.add(score.Info, CodeRemapChord, h, fmt.Sprintf("%sover %s: notes beside the chord by %s %s", rep.inPart(), c.Pretty(), c.Root.Pretty(), scale.Title()), "")
				}
			}
		}
	}
}
