package transform

import (
	"cmp"
	"slices"

	"example.org/lickwright/theory"
)

// A rowTone is a tone of a row.
type rowTone struct {
	degree theory.Degree // within an octave
	slot   int           // tones of one slot become each other: the degree's number, or its job in a chord
	rank   int           // among those of its slot, from below
}

// A toneRow is the tones that notes are sought among: a scale, or a chord with
// its scale, on a tonic, rising within an octave.
type toneRow struct {
	tonic theory.NoteName
	tones []rowTone
}

func scaleRow(s ScaleOn) toneRow {
	row := toneRow{tonic: s.Tonic}
	for _, d := range s.Scale.Degrees() {
		row.tones = append(row.tones, rowTone{degree: d, slot: d.Number})
	}
	row.sort()
	return row
}

// sort puts the tones in order and ranks them.
func (r *toneRow) sort() {
	slices.SortStableFunc(r.tones, func(a, b rowTone) int { return cmp.Compare(a.degree.Semitones(), b.degree.Semitones()) })
	seen := map[int]int{}
	for i := range r.tones {
		r.tones[i].rank = seen[r.tones[i].slot]
		seen[r.tones[i].slot]++
	}
}

func (r *toneRow) inSlot(slot int) (list []int) {
	for i, t := range r.tones {
		if t.slot == slot {
			list = append(list, i)
		}
	}
	return list
}

// A spot of a row is one of its tones in an octave, counted from the tonic of
// octave 0.
type rowSpot struct{ octave, index int }

func floorDiv(a, b int) (q, r int) {
	q, r = a/b, a%b
	if r < 0 {
		q, r = q-1, r+b
	}
	return q, r
}

// find finds a pitch in the row: by its letter, else by its sound.
func (r *toneRow) find(p theory.Pitch) (rowSpot, bool) {
	from := theory.Pitch{NoteName: r.tonic}.To(p)
	octave, steps := floorDiv(from.Steps, 7)
	by := theory.Interval{Steps: steps, Semitones: from.Semitones - 12*octave}
	for i, t := range r.tones {
		if t.degree.Interval() == by {
			return rowSpot{octave, i}, true
		}
	}
	for i, t := range r.tones {
		if octave, rest := floorDiv(from.Semitones-t.degree.Semitones(), 12); rest == 0 {
			return rowSpot{octave, i}, true
		}
	}
	return rowSpot{}, false
}

// semitones returns how far a spot is above the tonic of octave 0.
func (r *toneRow) semitones(s rowSpot) int { return 12*s.octave + r.tones[s.index].degree.Semitones() }

// nearest returns the spot that is nearest to a number of semitones, at it or
// in a direction, 1 up and -1 down.
func (r *toneRow) nearest(semitones, dir int) rowSpot {
	best, off := rowSpot{}, 1<<10
	for i, t := range r.tones {
		octave, above := floorDiv(semitones-t.degree.Semitones(), 12)
		if dir > 0 && above > 0 {
			octave, above = octave+1, 12-above
		}
		if above < off {
			best, off = rowSpot{octave, i}, above
		}
	}
	return best
}

// A toneMap takes pitches from one row to another.
type toneMap struct {
	from, to toneRow
	tonic    theory.Interval // from tonic to tonic
	how      Mapping
}

func newToneMap(from, to toneRow, opt RemapOptions) *toneMap {
	return &toneMap{from: from, to: to, how: opt.Map, tonic: from.tonic.IntervalTo(to.tonic, opt.Tonic)}
}

// with returns the same map by another mapping.
func (m *toneMap) with(how Mapping) *toneMap {
	n := *m
	n.how = how
	return &n
}

// pitch returns the pitch of a spot of the new row.
func (m *toneMap) pitch(s rowSpot) theory.Pitch {
	return theory.Pitch{NoteName: m.from.tonic}.Transpose(m.tonic).Transpose(theory.Octaves(s.octave)).
		Transpose(m.to.tones[s.index].degree.Interval())
}

// spot returns where a tone of the old row goes; dir is the direction of the
// line. exact is false if the new row has nothing of its kind.
func (m *toneMap) spot(s rowSpot, dir int) (t rowSpot, exact bool) {
	tone := m.from.tones[s.index]
	if m.how == ByStep {
		if s.index < len(m.to.tones) {
			return rowSpot{s.octave, s.index}, true
		}
		return m.to.nearest(m.from.semitones(s), dir), false
	}
	same := m.to.inSlot(tone.slot)
	switch {
	case len(same) == 0:
		return m.to.nearest(m.from.semitones(s), dir), false
	case len(same) == len(m.from.inSlot(tone.slot)):
		return rowSpot{s.octave, same[tone.rank]}, true
	}
	best := same[0]
	off := func(i int) int {
		d := m.to.tones[i].degree.Semitones() - tone.degree.Semitones()
		return 2*max(d, -d) - sign(d)*dir // of two at one distance the one in the line's direction
	}
	for _, i := range same[1:] {
		if off(i) < off(best) {
			best = i
		}
	}
	return rowSpot{s.octave, best}, true
}

func sign(n int) int { return cmp.Compare(n, 0) }

// scaleTone maps a pitch of the old row; ok is false if it is not one.
func (m *toneMap) scaleTone(p theory.Pitch, dir int) (q theory.Pitch, exact, ok bool) {
	s, ok := m.from.find(p)
	if !ok {
		return q, false, false
	}
	t, exact := m.spot(s, dir)
	return m.pitch(t), exact, true
}

// beside returns the tone of the new row that is next below a pitch (dir -1) or
// above it (dir 1).
func (m *toneMap) beside(p theory.Pitch, dir int) theory.Pitch {
	origin := theory.Pitch{NoteName: m.from.tonic}.Transpose(m.tonic)
	return m.pitch(m.to.nearest(p.MIDI()-origin.MIDI()+dir, dir))
}

// A neighbour is a pitch that a chromatic note may belong to, and what it
// becomes.
type neighbour struct{ was, now theory.Pitch }

// chromatic maps a pitch outside the old row with its neighbour: the first of
// those to which the line goes on that is a semitone away, else of those from
// which it comes, else the tone of its letter, else the nearest one in the
// direction from which the line comes. A degree that the old row has no number
// for, but the new one has exactly, is itself there: F# over A, on the way from
// a minor pentatonic to a major one.
func (m *toneMap) chromatic(p theory.Pitch, ahead, behind []neighbour, dir int) theory.Pitch {
	beside := func(near []neighbour) (neighbour, bool) {
		for _, n := range near {
			if d := p.MIDI() - n.was.MIDI(); d == 1 || d == -1 {
				return n, true
			}
		}
		return neighbour{}, false
	}
	if n, ok := beside(ahead); ok {
		return alterLike(n.was, n.now, p)
	}
	d := theory.DegreeOf(m.from.tonic, p.NoteName)
	for _, t := range m.to.tones {
		if t.degree == d && len(m.from.inSlot(d.Number)) == 0 {
			return p.Transpose(m.tonic)
		}
	}
	if n, ok := beside(behind); ok {
		return alterLike(n.was, n.now, p)
	}
	for _, alter := range [...]int{0, -1, 1, -2, 2} {
		q := p
		q.Alter = alter
		if now, _, ok := m.scaleTone(q, dir); ok && q.Alter != p.Alter {
			if s, _ := m.from.find(q); m.from.tones[s.index].degree == theory.DegreeOf(m.from.tonic, q.NoteName) {
				return alterLike(q, now, p)
			}
		}
	}
	origin := theory.Pitch{NoteName: m.from.tonic}
	s := m.from.nearest(p.MIDI()-origin.MIDI(), -dir)
	was := origin.Transpose(theory.Octaves(s.octave)).Transpose(m.from.tones[s.index].degree.Interval())
	t, _ := m.spot(s, dir)
	return alterLike(was, m.pitch(t), p)
}

// alterLike returns the pitch that lies to now as p lies to was, without more
// than two accidentals.
func alterLike(was, now, p theory.Pitch) theory.Pitch {
	q := now.Transpose(was.To(p))
	if q.Alter > 1 || q.Alter < -1 {
		q = q.Simplest()
	}
	return q
}
