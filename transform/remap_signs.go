package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// signModes are the modes by which a signature is chosen for a scale, the
// most usual first.
var signModes = [...]theory.Mode{theory.Major, theory.Minor, theory.Mixolydian, theory.Dorian, theory.Lydian, theory.Phrygian, theory.Locrian}

// KeyFor returns the key whose signature is written for a scale: the mode of
// the major scale that has most of its notes, of several the most usual one.
// The minor pentatonic is written in minor, lydian dominant in mixolydian or
// lydian. exact tells whether the key has all notes of the scale.
func (s ScaleOn) KeyFor() (k theory.Key, exact bool) {
	set := s.Scale.Set()
	most := -1
	for _, m := range signModes {
		mode := theory.Key{Tonic: s.Tonic, Mode: m}
		if n := (mode.Scale().Set() & set).Len(); n > most {
			most, k = n, mode
		}
	}
	return k, k.Scale().Set().Holds(set)
}

// remapKeys changes the signatures that are those of the old scale.
func remapKeys(p *score.Part, from, to ScaleOn, rep *reporter) {
	old, _ := from.KeyFor()
	now, exact := to.KeyFor()
	if old.Fifths() == now.Fifths() && old.Tonic == now.Tonic {
		return
	}
	for _, m := range p.Measures {
		for _, e := range m.Events {
			k, ok := e.(*score.KeySignature)
			if !ok || k.NoKey {
				continue
			}
			if k.Free || k.Key.Fifths() != old.Fifths() {
				rep.add(score.Warning, CodeRemapKey, k.Src, fmt.Sprintf("%sthe key signature of bar %s is not that of %s and stays as it is",
					rep.inPart(), m.Number, from.Pretty()), "accidentals say what differs")
				continue
			}
			was := k.Key
			if k.ModeSaid {
				k.Key = now
			} else {
				k.Key = theory.KeyOf(now.Fifths(), theory.Major)
			}
			if !exact && was != k.Key {
				rep.add(score.Info, CodeRemapKey, k.Src, fmt.Sprintf("%s%s has no signature of its own: written with that of %s", rep.inPart(), to.Pretty(), now.Pretty()), "")
			}
		}
	}
}

// remapHarmonies changes the chord symbols whose tones the map takes to a
// chord: by the scale itself, else by the keys of both scales.
func remapHarmonies(p *score.Part, from, to ScaleOn, m *toneMap, rep *reporter) {
	oldKey, _ := from.KeyFor()
	newKey, _ := to.KeyFor()
	keys := newToneMap(scaleRow(ScaleOn{oldKey.Tonic, oldKey.Scale()}), scaleRow(ScaleOn{newKey.Tonic, newKey.Scale()}), RemapOptions{})
	for i, measure := range p.Measures {
		for _, e := range measure.Events {
			h, ok := e.(*score.Harmony)
			if !ok || h.Chord.NoChord {
				continue
			}
			was := h.Chord
			now, ok := m.with(ByDegree).chord(was)
			if !ok {
				now, ok = keys.chord(was)
			}
			where := rep.where(i, h.Onset)
			switch {
			case !ok:
				h.Chord = was.Transpose(m.tonic)
				if m.holds(h.Chord) {
					continue
				}
				if h.Chord == was {
					rep.add(score.Warning, CodeRemapChord, h.Src, fmt.Sprintf("%s: the chord %s has notes outside of %s and stays as it is", where, was.Pretty(), from.Pretty()),
						"check whether it still fits")
					continue
				}
				rep.add(score.Warning, CodeRemapChord, h.Src, fmt.Sprintf("%s: the chord %s has notes outside of %s and is written as %s", where, was.Pretty(), from.Pretty(), h.Chord.Pretty()),
					"check whether it still fits")
			case !now.Same(was):
				h.Chord = now
				rep.add(score.Info, CodeRemapChord, h.Src, fmt.Sprintf("%s: the chord %s is %s now", where, was.Pretty(), now.Pretty()), "")
			}
		}
	}
}

// holds tells whether the new row has all tones of a chord.
func (m *toneMap) holds(c theory.Chord) bool {
	var set theory.PitchSet
	for _, t := range m.to.tones {
		set = set.With(t.degree.Semitones() + m.to.tonic.Class())
	}
	return set.Holds(theory.SetOf(c.Tones()...))
}

// chord maps a chord symbol; ok is false unless all of its tones are tones of
// the old row, go to tones of their kind and make a chord again.
func (m *toneMap) chord(c theory.Chord) (now theory.Chord, ok bool) {
	tones := c.Tones()
	if len(tones) == 0 {
		return now, false
	}
	to := func(n theory.NoteName) (theory.NoteName, bool) {
		q, exact, ok := m.scaleTone(theory.Pitch{NoteName: n, Octave: 4}, 1)
		return q.NoteName, ok && exact
	}
	mapped := make([]theory.NoteName, len(tones))
	for i, n := range tones {
		if mapped[i], ok = to(n); !ok {
			return now, false
		}
	}
	if slices.Equal(mapped, tones) {
		return c, true
	}
	if now, ok = theory.ChordOfTones(mapped); !ok {
		return now, false
	}
	same := c // a symbol that only moves keeps its writer's style
	same.Root = now.Root
	same.HasBass = false
	if same.Same(now) {
		now = same
	}
	if c.HasBass {
		if now.Bass, ok = to(c.Bass); !ok {
			return now, false
		}
		now.HasBass = true
	}
	return now, true
}
