package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A lineNote is a note while it is mapped.
type lineNote struct {
	note    *score.Note
	chord   *score.Chord
	measure int
	was     theory.Pitch // stopped, before
	heard   theory.Pitch // sounding, before
	mapped  bool
	bend    bool // its bends changed

	nearest   string // what it became for want of its kind; "" if it had one
	otherwise string // what the other mapping would have made of it; "" for the same
}

// A lineMap maps one part, voice by voice, as lines: the direction in which a
// line goes decides where a scale has nothing of the kind.
type lineMap struct {
	r       *remapper
	part    *score.Part
	rep     *reporter
	octaves int
	notes   []lineNote
	index   map[*score.Note]int
	// kindBefore has the spans that changed their kind, by what they are now.
	kindBefore map[spanID]score.SpanKind
}

// A spanID names a span of a part.
type spanID struct {
	kind score.SpanKind
	id   int
}

func newLineMap(r *remapper, p *score.Part, rep *reporter, octaves int) *lineMap {
	return &lineMap{r: r, part: p, rep: rep, octaves: octaves, index: map[*score.Note]int{}, kindBefore: map[spanID]score.SpanKind{}}
}

type voiceKey struct{ staff, voice int }

// run maps all pitches and the techniques that follow from them.
func (lm *lineMap) run() {
	voices := map[voiceKey][][]int{}
	var order []voiceKey
	for i, m := range lm.part.Measures {
		for c := range m.Chords() {
			var members []int
			for _, n := range c.Notes {
				if n.Unpitched {
					continue
				}
				x := lineNote{note: n, chord: c, measure: i, was: n.Pitch}
				x.heard = n.Pitch.Transpose(plainInterval(n.Sounding() - n.Pitch.MIDI()))
				if x.heard.MIDI() == n.Pitch.MIDI() {
					x.heard = n.Pitch
				}
				lm.index[n] = len(lm.notes)
				members = append(members, len(lm.notes))
				lm.notes = append(lm.notes, x)
			}
			if len(members) == 0 {
				continue
			}
			k := voiceKey{c.Staff, c.Voice}
			if voices[k] == nil {
				order = append(order, k)
			}
			voices[k] = append(voices[k], members)
		}
	}
	for _, k := range order {
		lm.line(voices[k])
	}
	lm.legato()
}

// top returns the highest sound of a chord.
func (lm *lineMap) top(members []int) int {
	top := lm.notes[members[0]].heard.MIDI()
	for _, i := range members[1:] {
		top = max(top, lm.notes[i].heard.MIDI())
	}
	return top
}

// directions returns where the line goes at each chord: how it came there, or
// for the first how it goes on. It keeps its direction on repeated notes.
func (lm *lineMap) directions(line [][]int) []int {
	dirs := make([]int, len(line))
	last := 0
	for k := range line {
		if k > 0 {
			if d := sign(lm.top(line[k]) - lm.top(line[k-1])); d != 0 {
				last = d
			}
		}
		dirs[k] = last
	}
	first := slices.IndexFunc(dirs, func(d int) bool { return d != 0 })
	for k := range dirs {
		switch {
		case dirs[k] != 0:
		case first >= 0:
			dirs[k] = dirs[first]
		default:
			dirs[k] = 1
		}
	}
	return dirs
}

// line maps one voice.
func (lm *lineMap) line(line [][]int) {
	dirs := lm.directions(line)
	for k, members := range line {
		var before, after []int
		if k > 0 {
			before = line[k-1]
		}
		nextDir := dirs[k]
		if k+1 < len(line) {
			after, nextDir = line[k+1], dirs[k+1]
		}
		for _, i := range members {
			lm.one(i, dirs[k], nextDir, before, after)
		}
		lm.unisons(members)
	}
}

// one maps a note and its bends.
func (lm *lineMap) one(i, dir, nextDir int, before, after []int) {
	x := &lm.notes[i]
	n := x.note
	m := lm.r.at(lm.part, x.measure, x.chord.Onset)
	if m == nil || n.Has(score.Dead) && (n.Place.IsZero() || n.Place.Fret == 0) {
		return
	}
	x.mapped = true
	if n.TieStop || n.Has(score.Held) {
		for _, j := range before {
			if y := &lm.notes[j]; y.was.MIDI() == x.was.MIDI() && (y.note.TieStart || n.Has(score.Held)) {
				lm.follow(x, y)
				return
			}
		}
	}
	now := lm.pitch(m, x, dir, nextDir, before, after)
	now = lm.apart(m, x, now, dir, nextDir, after)
	other := lm.pitch(m.with(m.how.other()), x, dir, nextDir, before, after)
	lm.set(x, m, now, dir, nextDir, before, after)
	if other.MIDI() != now.MIDI() && !lm.r.plain {
		x.otherwise = fmt.Sprintf("%s, now %s, would be %s", x.was.Pretty(), now.Pretty(), other.Pretty())
	}
	if s, ok := m.from.find(x.was); ok {
		if _, exact := m.spot(s, dir); !exact {
			x.nearest = fmt.Sprintf("%s (%s) became %s", x.was.Pretty(), m.from.tones[s.index].degree.Pretty(), now.Pretty())
		}
	}
}

// apart keeps a note from becoming the one to which it is joined by a
// hammer-on, pull-off or slide, where the scale leaves a choice: a note that it
// has no equal for goes the other way then.
func (lm *lineMap) apart(m *toneMap, x *lineNote, now theory.Pitch, dir, nextDir int, after []int) theory.Pitch {
	if s, ok := m.from.find(x.was); !ok {
		return now
	} else if _, exact := m.spot(s, dir); exact {
		return now
	}
	for _, j := range after {
		y := &lm.notes[j]
		joined := slices.ContainsFunc(x.note.Techniques, func(t score.Technique) bool {
			s, ok := t.(score.Span)
			return ok && s.End == score.Start && (s.Kind.KeepsString() || s.Kind == score.Glissando) &&
				y.note.Has(score.Span{Kind: s.Kind, ID: s.ID, End: score.Stop})
		})
		if joined && lm.pitch(m, y, nextDir, nextDir, nil, nil).MIDI() == now.MIDI() {
			return lm.pitch(m, x, -dir, nextDir, nil, after)
		}
	}
	return now
}

// follow gives a held note the pitch of the note it holds.
func (lm *lineMap) follow(x, y *lineNote) {
	by := y.was.To(y.note.Pitch)
	x.note.Pitch = x.was.Transpose(by)
	if !slices.ContainsFunc(x.note.Techniques, func(t score.Technique) bool { _, ok := t.(score.Bend); return ok }) {
		return
	}
	for k, t := range x.note.Techniques {
		b, ok := t.(score.Bend)
		if !ok {
			continue
		}
		if c, ok := y.note.Bend(); ok {
			x.note.Techniques[k] = score.Bend{Amount: c.Amount, PreBend: b.PreBend, Release: b.Release, ReleaseTo: c.ReleaseTo, WithBar: b.WithBar}
		}
	}
}

// pitch returns what a note is stopped at, by a map.
func (lm *lineMap) pitch(m *toneMap, x *lineNote, dir, nextDir int, before, after []int) theory.Pitch {
	h, harmonic := x.note.Harmonic()
	was := x.was
	if harmonic {
		was = was.Transpose(plainInterval(h.Over))
	}
	now := lm.sound(m, x, was, dir, nextDir, before, after)
	if harmonic {
		return now.Transpose(plainInterval(h.Over).Neg())
	}
	if b, ok := x.note.Bend(); ok {
		if whole := wholeSemitones(b.Amount); whole != 0 {
			target := lm.bendTarget(m, x, whole)
			if d := target.MIDI() - now.MIDI(); sign(d) != sign(whole) {
				return m.beside(target, -sign(whole))
			}
		}
	}
	return now
}

// sound maps a sound of a note.
func (lm *lineMap) sound(m *toneMap, x *lineNote, p theory.Pitch, dir, nextDir int, before, after []int) theory.Pitch {
	up := theory.Octaves(lm.octaves)
	if q, _, ok := m.scaleTone(p, dir); ok {
		return q.Transpose(up)
	}
	var ahead, behind []neighbour
	add := func(near *[]neighbour, q theory.Pitch, dir int) {
		if now, _, ok := m.scaleTone(q, dir); ok {
			*near = append(*near, neighbour{q, now})
		}
	}
	if b, ok := x.note.Bend(); ok && wholeSemitones(b.Amount) != 0 {
		add(&ahead, x.was.Transpose(plainInterval(wholeSemitones(b.Amount))), sign(wholeSemitones(b.Amount)))
	}
	for _, j := range after {
		add(&ahead, lm.notes[j].heard, nextDir)
	}
	for _, j := range before {
		add(&behind, lm.notes[j].heard, dir)
	}
	return m.chromatic(p, ahead, behind, dir).Transpose(up)
}

// bendTarget returns what the target of a bend becomes.
func (lm *lineMap) bendTarget(m *toneMap, x *lineNote, whole int) theory.Pitch {
	was := x.was.Transpose(plainInterval(whole))
	dir := sign(whole)
	up := theory.Octaves(lm.octaves)
	if q, _, ok := m.scaleTone(was, dir); ok {
		return q.Transpose(up)
	}
	var behind []neighbour
	if now, _, ok := m.scaleTone(x.was, dir); ok {
		behind = append(behind, neighbour{x.was, now})
	}
	return m.chromatic(was, nil, behind, dir).Transpose(up)
}

// wholeSemitones returns the semitones of a bend without its quarter tone.
func wholeSemitones(q score.Quarters) int {
	whole := q.Num() / q.Den()
	if q.Sign() < 0 && whole*q.Den() != q.Num() {
		whole--
	}
	return int(whole)
}

// set gives a note its new pitch and what follows from it.
func (lm *lineMap) set(x *lineNote, m *toneMap, now theory.Pitch, dir, nextDir int, before, after []int) {
	n := x.note
	n.Pitch = now
	amount := func(q score.Quarters) score.Quarters {
		whole := wholeSemitones(q)
		if whole == 0 {
			return q
		}
		target := lm.bendTarget(m, x, whole)
		return q.Add(score.Q(int64(target.MIDI()-now.MIDI()-whole), 1))
	}
	n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
		b, ok := t.(score.Bend)
		if !ok || wholeSemitones(b.Amount) == 0 {
			return false
		}
		if after := amount(b.Amount); sign(after.Sign()) == sign(b.Amount.Sign()) {
			return false
		}
		lm.rep.add(score.NotDone, CodeRemapBend, n.Src, fmt.Sprintf("%s: the bend is taken off: fretted note and target would be one note, %s",
			lm.rep.where(x.measure, x.chord.Onset), now.Pretty()), "")
		return true
	})
	for k, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			a := amount(t.Amount)
			x.bend = x.bend || a != t.Amount
			t.Amount = a
			if !t.ReleaseTo.IsZero() {
				t.ReleaseTo = amount(t.ReleaseTo)
			}
			n.Techniques[k] = t
		case score.Trill:
			if t.To == 0 {
				continue
			}
			was := x.was.Transpose(plainInterval(t.To))
			q := lm.sound(m, x, was, sign(t.To), nextDir, before, after)
			if d := q.MIDI() - now.MIDI(); sign(d) == sign(t.To) {
				n.Techniques[k] = score.Trill{To: d}
			}
		}
	}
}

// unisons says where notes of a chord became one.
func (lm *lineMap) unisons(members []int) {
	for k, i := range members {
		for _, j := range members[:k] {
			x, y := &lm.notes[i], &lm.notes[j]
			if x.mapped && y.mapped && x.note.Pitch.MIDI() == y.note.Pitch.MIDI() && x.was.MIDI() != y.was.MIDI() {
				lm.rep.add(score.Warning, CodeRemapUnison, x.note.Src, fmt.Sprintf("%s: %s and %s both became %s",
					lm.rep.where(x.measure, x.chord.Onset), y.was.Pretty(), x.was.Pretty(), x.note.Pitch.Pretty()), "")
			}
		}
	}
}

// legato makes every hammer-on and pull-off the kind that its direction asks
// for, and takes off what joins a note to itself.
func (lm *lineMap) legato() {
	open := map[spanID]int{}
	for i := range lm.notes {
		for _, end := range [...]score.SpanEnd{score.Stop, score.Start} {
			for _, t := range slices.Clone(lm.notes[i].note.Techniques) {
				s, ok := t.(score.Span)
				if !ok || s.End != end || !s.Kind.KeepsString() && s.Kind != score.Glissando {
					continue
				}
				k := spanID{s.Kind, s.ID}
				if a, ok := open[k]; ok {
					delete(open, k)
					lm.join(a, i, s.Kind, s.ID)
				} else {
					open[k] = i
				}
			}
		}
	}
}

func (lm *lineMap) join(a, b int, kind score.SpanKind, id int) {
	x, y := &lm.notes[a], &lm.notes[b]
	was, now := sign(y.was.MIDI()-x.was.MIDI()), sign(y.note.Pitch.MIDI()-x.note.Pitch.MIDI())
	if was == now || was == 0 {
		return
	}
	change := func(to score.SpanKind) {
		lm.kindBefore[spanID{to, id}] = kind
		for _, n := range [...]*score.Note{x.note, y.note} {
			for k, t := range n.Techniques {
				if s, ok := t.(score.Span); ok && s.Kind == kind && s.ID == id {
					s.Kind = to
					n.Techniques[k] = s
				}
			}
		}
	}
	where := lm.rep.where(x.measure, x.chord.Onset)
	names := map[score.SpanKind]string{
		score.HammerOn: "hammer-on", score.PullOff: "pull-off", score.LegatoSlide: "slide", score.ShiftSlide: "slide", score.Glissando: "glissando",
	}
	switch {
	case now == 0:
		for _, n := range [...]*score.Note{x.note, y.note} {
			n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
				s, ok := t.(score.Span)
				return ok && s.Kind == kind && s.ID == id
			})
		}
		lm.rep.add(score.NotDone, CodeTechnique, x.note.Src, fmt.Sprintf("%s: the %s is taken off: both of its notes became %s",
			where, names[kind], x.note.Pitch.Pretty()), "the note is there twice; pluck it again, or try the other --map")
	case kind == score.HammerOn && now < 0:
		change(score.PullOff)
		lm.rep.add(score.Info, CodeRemapLegato, x.note.Src, where+": the hammer-on is a pull-off now", "")
	case kind == score.PullOff && now > 0:
		change(score.HammerOn)
		lm.rep.add(score.Info, CodeRemapLegato, x.note.Src, where+": the pull-off is a hammer-on now", "")
	}
}
