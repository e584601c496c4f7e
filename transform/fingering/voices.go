package fingering

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"example.org/lickwright/score"
)

// Notes that may do the same are one voice, whatever their pitch is called and
// wherever they stand; shapes are made of voices, so that they repeat.

// noteKey is what tells notes apart that do not sound alike.
type noteKey struct {
	pitch, fret, lo, hi int
	strings             uint16
	finger              score.Finger
	harmonic, free      bool
	bend                float64
	held, ring, long    bool
}

// voice returns the kind of a note's voice.
func (m *maker) voice(ref Ref, held, ring bool) int32 {
	n := &m.p.Groups[ref.Group].Notes[ref.Note]
	long := !held && n.Duration*60/m.tempo[ref.Group] >= longTime
	key := noteKey{n.Pitch, n.Fret, n.MinFret, n.MaxFret, n.Strings, n.Finger, n.Harmonic, n.Free, n.Bend, held, ring, long}
	if m.p.Prefer == nil {
		if id, ok := m.notes[key]; ok {
			return id
		}
	}
	m.choice = m.options(m.choice[:0], ref, n, held)
	m.text = key.append(m.text[:0])
	for _, o := range m.choice {
		m.text = o.append(m.text)
	}
	id, ok := m.voices[string(m.text)]
	if !ok {
		id = int32(len(m.kinds))
		m.voices[string(m.text)] = id
		m.kinds = append(m.kinds, voice{options: slices.Clone(m.choice), pitch: n.Pitch, finger: n.Finger, held: held, ring: ring, long: long, bend: n.Bend})
	}
	if m.p.Prefer == nil {
		m.notes[key] = id
	}
	return id
}

// append writes all of the key behind some bytes.
func (k *noteKey) append(b []byte) []byte {
	for _, n := range [...]int{k.pitch, k.fret, k.lo, k.hi, int(k.strings), int(k.finger)} {
		b = binary.AppendVarint(b, int64(n))
	}
	b = binary.LittleEndian.AppendUint64(b, math.Float64bits(k.bend))
	return append(b, bits(k.harmonic, k.free, k.held, k.ring, k.long))
}

// append writes all of the option behind some bytes.
func (o *option) append(b []byte) []byte {
	b = append(b, byte(o.str), byte(o.fret), bits(o.free))
	return binary.LittleEndian.AppendUint64(b, math.Float64bits(o.pref))
}

func bits(flags ...bool) (b byte) {
	for i, f := range flags {
		if f {
			b |= 1 << i
		}
	}
	return b
}

// options appends the places that a note may take to a list.
func (m *maker) options(list []option, ref Ref, n *Note, held bool) []option {
	places := m.p.Neck.Places(n.Pitch)
	if n.Harmonic {
		places = m.p.Neck.HarmonicPlaces(n.Pitch)
	}
	for _, p := range places {
		switch {
		case n.Strings != 0 && n.Strings>>p.String&1 == 0,
			n.Fret > 0 && n.Fret != p.Fret+1,
			p.Fret < n.MinFret, n.MaxFret > 0 && p.Fret > n.MaxFret,
			n.Finger == score.FingerOpen && p.Fret != 0,
			n.Finger >= score.Index && n.Finger <= score.Little && p.Fret == 0 && !n.Free:
			continue
		}
		o := option{str: int8(p.String), fret: int8(p.Fret), free: n.Free || n.Harmonic || p.Fret == 0}
		if m.p.Prefer != nil {
			pref, ok := m.p.Prefer(ref.Group, ref.Note, p)
			if !ok {
				continue
			}
			if !held {
				o.pref = pref
			}
		}
		list = append(list, o)
	}
	return list
}

// nowhere says why a note has no place.
func (m *maker) nowhere(n *Note) string {
	if n.Harmonic {
		return "its harmonic is nowhere on this neck"
	}
	low, high := m.rules.open[1], m.rules.open[1]
	for _, o := range m.rules.open[1:] {
		low, high = min(low, o), max(high, o)
	}
	switch {
	case n.Pitch < low:
		return fmt.Sprintf("it lies %s below the lowest string", semitones(low-n.Pitch))
	case n.Pitch > high+m.rules.frets:
		return fmt.Sprintf("it lies %s above the highest fret", semitones(n.Pitch-high-m.rules.frets))
	}
	return "no place that it may take has its pitch"
}

func semitones(n int) string {
	if n == 1 {
		return "a semitone"
	}
	return fmt.Sprintf("%d semitones", n)
}
