package compare

import (
	"slices"

	"example.org/lickwright/score"
)

// A partWork is the comparison of two parts.
type partWork struct {
	c      *comparison
	name   string // of the part where there are several
	va, vb *view
	a, b   *partView
	now    [2]states            // what holds on each side
	told   map[Aspect][2]string // the last difference of a state that was told
	// ordinal counts the notes that were aligned.
	ordinal int
}

// states are what holds from some point on. "" is not said.
type states struct{ key, mode, metre, tempo, neck string }

// pair compares two aligned bars.
func (w *partWork) pair(i, j int) {
	x, y := w.a.bar(i), w.b.bar(j)
	if x == nil || y == nil {
		w.ragged(i, j, x, y)
		return
	}
	start := len(w.c.found)
	w.states(i, j, x, y)
	w.signs(i, j, x, y)
	w.chords(i, j, x, y)
	before := len(w.c.found)
	w.notes(i, j, x, y)
	if len(w.c.found) == before && x.measure.Length != y.measure.Length && len(w.c.found) == start {
		w.add(Metre, i, j, score.Quarters{}, score.Quarters{}, 0, 0, "a bar of "+score.BarLengthName(x.measure.Length), "a bar of "+score.BarLengthName(y.measure.Length))
	}
	found := w.c.found[start:]
	slices.SortStableFunc(found, func(d, e Difference) int {
		if c := d.onset().Cmp(e.onset()); c != 0 {
			return c
		}
		return byAspect(d, e)
	})
}

func (d Difference) onset() score.Quarters {
	if d.A != nil {
		return d.A.Onset
	}
	if d.B != nil {
		return d.B.Onset
	}
	return score.Quarters{}
}

// ragged tells of a bar that one part has and the other, which has fewer bars
// than the other parts of its score, has not.
func (w *partWork) ragged(i, j int, x, y *barView) {
	switch {
	case x != nil:
		w.c.add(Difference{Aspect: Bar, Change: Removed, Part: w.name, A: w.va.moment(w.a, i, score.Quarters{}, 0), Was: "1 bar with " + counted(len(x.tones), "note"), Notes: len(x.tones), Bars: 1})
	case y != nil:
		w.c.add(Difference{Aspect: Bar, Change: Added, Part: w.name, B: w.vb.moment(w.b, j, score.Quarters{}, 0), Is: "1 bar with " + counted(len(y.tones), "note"), Notes: len(y.tones), Bars: 1})
	}
}

// add tells of a difference at a time of each side.
func (w *partWork) add(aspect Aspect, i, j int, atA, atB score.Quarters, srcA, srcB score.Handle, was, is string) *Difference {
	d := Difference{Aspect: aspect, Change: changeOf(was, is), Part: w.name, Was: was, Is: is}
	d.A = w.va.moment(w.a, i, atA, srcA)
	d.B = w.vb.moment(w.b, j, atB, srcB)
	w.c.add(d)
	return &w.c.found[len(w.c.found)-1]
}

// states compares what holds at each time at which something begins to hold
// in either bar. A side that has not said anything yet differs in nothing.
func (w *partWork) states(i, j int, x, y *barView) {
	var times []score.Quarters
	for _, b := range []*barView{x, y} {
		for _, e := range b.states {
			times = append(times, e.At())
		}
	}
	times = append(times, score.Quarters{})
	slices.SortFunc(times, score.Quarters.Cmp)
	for _, at := range slices.Compact(times) {
		var src [2]map[Aspect]score.Handle
		for side, b := range []*barView{x, y} {
			src[side] = map[Aspect]score.Handle{}
			for _, e := range b.states {
				if e.At() == at {
					src[side][w.now[side].take(e)] = e.Source()
				}
			}
		}
		a, b := w.now[0], w.now[1]
		if a.mode == "" || b.mode == "" { // one side says the signature only
			a.mode, b.mode = "", ""
		}
		for _, s := range []struct {
			aspect Aspect
			a, b   string
		}{
			{Key, first(a.mode, a.key), first(b.mode, b.key)}, {Metre, a.metre, b.metre}, {Tempo, a.tempo, b.tempo}, {Neck, a.neck, b.neck},
		} {
			now := [2]string{s.a, s.b}
			switch {
			case s.a == s.b || s.a == "" || s.b == "":
				delete(w.told, s.aspect)
			case w.told[s.aspect] != now:
				w.told[s.aspect] = now
				w.add(s.aspect, i, j, at, at, src[0][s.aspect], src[1][s.aspect], s.a, s.b)
			}
		}
	}
}

func first(s, t string) string {
	if s != "" {
		return s
	}
	return t
}

// take notes what an event says and returns its aspect.
func (s *states) take(e score.Event) Aspect {
	switch e := e.(type) {
	case *score.KeySignature:
		plain := *e
		plain.ModeSaid = false
		s.key, s.mode = keyName(&plain), ""
		if e.ModeSaid && !e.Free && !e.NoKey {
			s.mode = keyName(e)
		}
		return Key
	case *score.TimeSignature:
		s.metre = metreName(e)
		return Metre
	case *score.Tempo:
		if e.QuartersPerMinute > 0 {
			s.tempo = tempoName(e.QuartersPerMinute)
		}
		return Tempo
	case *score.NeckChange:
		if e.Neck.Tuning.Len() > 0 {
			s.neck = neckName(e.Neck)
		}
		return Neck
	}
	return ""
}

// signs compares what is there or not: repeats, endings, words.
func (w *partWork) signs(i, j int, x, y *barView) {
	left := slices.Clone(y.signs)
	end := func(s sign, length score.Quarters) bool { return !s.at.IsZero() && s.at == length }
	var gone []sign
	for _, s := range x.signs {
		k := slices.IndexFunc(left, func(t sign) bool {
			return s.aspect == t.aspect && s.text == t.text && (s.at == t.at || end(s, x.measure.Length) && end(t, y.measure.Length))
		})
		if k < 0 {
			gone = append(gone, s)
			continue
		}
		left = slices.Delete(left, k, k+1)
	}
	for _, s := range gone {
		k := slices.IndexFunc(left, func(t sign) bool {
			return s.aspect == t.aspect && (s.at == t.at || end(s, x.measure.Length) && end(t, y.measure.Length))
		})
		if k < 0 {
			w.add(s.aspect, i, j, s.at, s.at, s.src, 0, s.text, "")
			continue
		}
		w.add(s.aspect, i, j, s.at, left[k].at, s.src, left[k].src, s.text, left[k].text)
		left = slices.Delete(left, k, k+1)
	}
	for _, t := range left {
		w.add(t.aspect, i, j, t.at, t.at, 0, t.src, "", t.text)
	}
}

// chords compares the chord symbols of two bars. Two that mean the same are
// the same, however they are written.
func (w *partWork) chords(i, j int, x, y *barView) {
	a, b := x.chords, y.chords
	pairs := align(len(a), len(b), func(k, l int) float64 {
		same, when := a[k].Chord == b[l].Chord || a[k].Chord.Same(b[l].Chord), a[k].Onset == b[l].Onset
		switch {
		case same && when:
			return 0
		case when:
			return 0.8
		case same:
			return 0.7
		}
		return never
	})
	for _, p := range pairs {
		switch {
		case p.b < 0:
			h := a[p.a]
			w.add(Chord, i, j, h.Onset, h.Onset, h.Src, 0, h.Chord.Pretty(), "")
		case p.a < 0:
			h := b[p.b]
			w.add(Chord, i, j, h.Onset, h.Onset, 0, h.Src, "", h.Chord.Pretty())
		default:
			h, g := a[p.a], b[p.b]
			same, when := h.Chord == g.Chord || h.Chord.Same(g.Chord), h.Onset == g.Onset
			if same && when {
				continue
			}
			was, is := h.Chord.Pretty(), g.Chord.Pretty()
			if same {
				was += " at beat " + score.BeatName(h.Onset, w.a.beats[i])
				is += " at beat " + score.BeatName(g.Onset, w.b.beats[j])
			}
			w.add(Chord, i, j, h.Onset, g.Onset, h.Src, g.Src, was, is)
		}
	}
}
