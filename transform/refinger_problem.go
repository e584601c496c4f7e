package transform

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// fingered is the notes of a part on one neck, as a problem.
type fingered struct {
	np      *neckPart
	opt     RefingerOptions
	neck    *fretboard.Neck
	home    *home // of all notes; nil if each has its own or none
	problem *fingering.Problem
	notes   [][][]int // by group and note of the problem: the notes of the part, struck first
}

// graceTime is how long before its main note a grace note is struck, in
// quarter notes.
const graceTime = 0.1

// newFingered makes a problem for each neck that a part is played on.
func newFingered(s *score.Score, p *score.Part, np *neckPart, opt RefingerOptions) []*fingered {
	np.settle(s, p, &opt)
	var list []*fingered
	byNeck := map[*fretboard.Neck]*fingered{}
	tempos := temposOf(s, p)
	at := map[int]fingering.Ref{} // by note of the part
	tiedFrom := map[int]int{}
	joined := map[int]link{}
	for _, l := range np.links {
		if l.tie {
			tiedFrom[l.b] = l.a
		} else if _, ok := joined[l.b]; !ok {
			joined[l.b] = l
		}
	}
	for i := 0; i < len(np.notes); {
		end := i
		for end < len(np.notes) && np.notes[end].at == np.notes[i].at {
			end++
		}
		// Grace notes come first, chord by chord, then all that is struck on
		// the beat.
		var graces []*score.Chord
		for k := i; k < end; k++ {
			if n := &np.notes[k]; n.passing && !slices.Contains(graces, n.chord) {
				graces = append(graces, n.chord)
			}
		}
		for g := 0; g <= len(graces); g++ {
			fresh := map[*fingered]bool{}
			for k := i; k < end; k++ {
				n := &np.notes[k]
				if n.passing != (g < len(graces)) || n.passing && n.chord != graces[g] {
					continue
				}
				f := byNeck[n.neck]
				if f == nil {
					f = &fingered{np: np, opt: opt, neck: n.neck, problem: &fingering.Problem{Neck: *n.neck, Hand: opt.Hand, ScaleLength: opt.ScaleLength}}
					byNeck[n.neck] = f
					list = append(list, f)
				}
				if from, ok := tiedFrom[k]; ok && f.tie(at, from, k) {
					continue
				}
				if !fresh[f] {
					fresh[f] = true
					f.group(n.at.Float()-graceTime*float64(len(graces)-g), tempos)
				}
				at[k] = f.note(k)
				if l, ok := joined[k]; ok {
					f.join(at, l)
				}
			}
		}
		i = end
	}
	for _, f := range list {
		f.ringing(p)
		f.choose()
		f.prefer()
	}
	return list
}

// a tempo is in force from a time, in quarter notes from the beginning.
type tempo struct{ from, perMinute float64 }

// temposOf lists the tempos of a part, or those of the first part that has
// any.
func temposOf(s *score.Score, p *score.Part) []tempo {
	for _, p := range append([]*score.Part{p}, s.Parts...) {
		var list []tempo
		var start score.Quarters
		for _, m := range p.Measures {
			for _, e := range m.Events {
				if t, ok := e.(*score.Tempo); ok && t.QuartersPerMinute > 0 {
					list = append(list, tempo{start.Add(t.Onset).Float(), t.QuartersPerMinute})
				}
			}
			start = start.Add(m.Length)
		}
		if len(list) > 0 {
			return list
		}
	}
	return nil
}

// group begins a group.
func (f *fingered) group(onset float64, tempos []tempo) {
	g := fingering.Group{Onset: onset}
	if n := len(f.problem.Groups); n > 0 {
		g.Onset = max(onset, f.problem.Groups[n-1].Onset)
	}
	for _, t := range tempos {
		if t.from <= onset+graceTime {
			g.Tempo = t.perMinute
		}
	}
	f.problem.Groups = append(f.problem.Groups, g)
	f.notes = append(f.notes, nil)
}

// tie lets a note sound on instead of striking it again.
func (f *fingered) tie(at map[int]fingering.Ref, from, k int) bool {
	ref, ok := at[from]
	if !ok || f.np.notes[from].neck != f.np.notes[k].neck {
		return false
	}
	at[k] = ref
	note := &f.problem.Groups[ref.Group].Notes[ref.Note]
	note.Duration = max(note.Duration, f.np.notes[k].end.Float()-f.problem.Groups[ref.Group].Onset)
	f.notes[ref.Group][ref.Note] = append(f.notes[ref.Group][ref.Note], k)
	return true
}

// note adds a note to the last group. Two voices that strike one pitch at
// once share a place, unless the score has it on two strings.
func (f *fingered) note(k int) fingering.Ref {
	n := &f.np.notes[k]
	g := len(f.problem.Groups) - 1
	group := &f.problem.Groups[g]
	for i, shared := range f.notes[g] {
		o := &f.np.notes[shared[0]]
		if o.note.Sounding() == n.note.Sounding() && o.note.Pitch.MIDI() == n.note.Pitch.MIDI() && o.natural == n.natural &&
			(o.from == n.from || o.from.IsZero() || n.from.IsZero()) {
			f.notes[g][i] = append(shared, k)
			x := &group.Notes[i]
			x.Duration = max(x.Duration, n.chord.Duration.Float())
			if !n.natural && !n.muted() {
				x.MinFret, x.MaxFret = max(x.MinFret, n.lo), min(x.MaxFret, n.hi)
			}
			return fingering.Ref{Group: g, Note: i}
		}
	}
	x := fingering.Note{Pitch: n.note.Pitch.MIDI(), Duration: n.chord.Duration.Float(), MinFret: n.lo, MaxFret: n.hi}
	if n.passing {
		x.Duration = graceTime
	}
	if n.hi <= 0 {
		x.MaxFret = n.neck.TopFret()
	}
	if b, ok := n.note.Bend(); ok && !b.WithBar {
		x.Bend = max(0, b.Amount.Float())
	}
	switch {
	case n.muted():
		x.Pitch, x.Strings, x.Fret, x.Free = n.neck.Stopped(n.from), 1<<n.from.String, 1, true
		x.MinFret = 0
	case n.natural:
		x.MinFret, x.MaxFret = 0, 0
		if list := n.candidates(n.note.Pitch); len(list) > 0 && list[0].kind == score.ArtificialHarmonic {
			x.Pitch, x.MinFret, x.MaxFret = n.note.Sounding()-12, 1, n.neck.TopFret()-12
		} else {
			x.Pitch, x.Harmonic = n.note.Sounding(), true
		}
	case n.note.Has(score.Tap):
		x.Free = true
	}
	if (f.opt.KeepStrings || f.opt.KeepFrets) && !n.from.IsZero() && n.onString() && n.octaves == 0 {
		if f.opt.KeepStrings {
			x.Strings = 1 << n.from.String
		}
		if f.opt.KeepFrets && n.from.Fret >= 0 {
			x.Fret = n.from.Fret + 1
		}
	}
	if f.opt.KeepFingers {
		if k := n.note.Finger; k >= score.Index && k <= score.Little || k == score.FingerOpen {
			x.Finger = k
		}
	}
	group.Notes = append(group.Notes, x)
	f.notes[g] = append(f.notes[g], []int{k})
	return fingering.Ref{Group: g, Note: len(group.Notes) - 1}
}

// join carries a technique that keeps its string over into the problem. One
// whose pitches go the wrong way is left out; it is taken off later.
func (f *fingered) join(at map[int]fingering.Ref, l link) {
	from, ok := at[l.a]
	to := at[l.b]
	if !ok || from.Group >= to.Group || f.np.notes[l.a].neck != f.np.notes[l.b].neck {
		return
	}
	rise := f.np.notes[l.b].note.Pitch.MIDI() - f.np.notes[l.a].note.Pitch.MIDI()
	kind := fingering.NotJoined
	switch l.kind {
	case score.HammerOn:
		if rise > 0 {
			kind = fingering.HammerOn
		}
	case score.PullOff:
		if rise < 0 {
			kind = fingering.PullOff
		}
	case score.LegatoSlide, score.ShiftSlide:
		if rise != 0 {
			kind = fingering.Slide
		}
	}
	n := &f.problem.Groups[to.Group].Notes[to.Note]
	n.Join, n.From = kind, from
}

// ringing lets notes that are marked to ring do so: to the end of the span or
// of the bar. No note needs to sound on where the score itself strikes its
// string again.
func (f *fingered) ringing(p *score.Part) {
	np := f.np
	spanEnd := map[int]score.Quarters{}
	for i := range np.notes {
		for _, t := range np.notes[i].note.Techniques {
			if s, ok := t.(score.Span); ok && s.Kind == score.LetRingSpan && s.End == score.Stop {
				spanEnd[s.ID] = np.notes[i].end
			}
		}
	}
	starts := make([]score.Quarters, len(p.Measures)+1)
	for i, m := range p.Measures {
		starts[i+1] = starts[i].Add(m.Length)
	}
	until := map[int]score.Quarters{} // ends of the spans that are open now
	next := make([]score.Quarters, len(np.notes))
	last := map[[2]int]int{}
	// When the string of a note is struck again; -1 for not at all.
	again := make([]int, len(np.notes))
	for i := range np.notes {
		again[i] = -1
		n := &np.notes[i]
		key := [2]int{n.chord.Staff, n.from.String}
		j, ok := last[key]
		if n.note.TieStop && ok {
			continue
		}
		if ok {
			again[j] = i
		}
		last[key] = i
	}
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			k := shared[0]
			n := &np.notes[k]
			rings := n.note.Has(score.LetRing)
			next[k] = n.end
			if rings {
				next[k] = starts[n.measure+1]
			}
			for _, t := range n.note.Techniques {
				if s, ok := t.(score.Span); ok && s.Kind == score.LetRingSpan {
					if s.End == score.Start {
						until[s.ID] = spanEnd[s.ID]
					} else {
						delete(until, s.ID)
						rings = true
					}
				}
			}
			for _, end := range until {
				rings = true
				if next[k].Less(end) {
					next[k] = end
				}
			}
			x := &f.problem.Groups[g].Notes[i]
			if n.passing {
				continue
			}
			if rings {
				x.Duration = max(x.Duration, next[k].Sub(n.at).Float())
			}
			if n.from.IsZero() {
				continue
			}
			x.Ring = rings
			if j := again[k]; j >= 0 && n.at.Less(np.notes[j].at) {
				x.Duration = min(x.Duration, np.notes[j].at.Sub(n.at).Float())
			}
		}
	}
}
