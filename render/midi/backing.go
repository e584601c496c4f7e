package midi

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

const chordVelocity = 50

// backing adds the chord symbols as sustained chords, held as players hold
// them near the nut, each with its hand nearest to the one before.
func (p *performance) backing(parts []*score.Part, visits []visit, report func(score.Severity, string, score.Handle, string, string)) {
	neck := fretboard.Guitar()
	for _, q := range parts {
		if n, ok := neckOf(q); ok && n.Tuning.Len() >= 5 {
			neck = n
			break
		}
	}
	known := map[theory.Chord][]fretboard.Voicing{}
	var now []*struck
	hand := 2.0 // fret about which the hand is
	stop := func(at score.Quarters) {
		for _, s := range now {
			s.off = at
		}
		now = nil
	}
	for _, v := range visits {
		for _, h := range harmoniesOf(parts, v.measure) {
			at := v.at.Add(h.Onset)
			stop(at)
			if h.Chord.NoChord {
				continue
			}
			voicings, seen := known[h.Chord]
			if !seen {
				voicings = voicingsOf(neck, h.Chord)
				known[h.Chord] = voicings
			}
			keys := nearest(voicings, &hand)
			if keys == nil {
				keys = closeKeys(h.Chord)
			}
			if keys == nil {
				report(score.Warning, "midi-chord", h.Src, "the chord "+h.Chord.String()+" is not understood and is not played", "")
			}
			for i, key := range keys {
				s := &struck{on: at, slot: i, key: key, velocity: chordVelocity}
				now = append(now, s)
				p.chords = append(p.chords, s)
			}
		}
	}
	if len(visits) > 0 {
		last := visits[len(visits)-1]
		stop(last.at.Add(last.length))
	}
}

// harmoniesOf gives the chord symbols of a bar, of the first part that has any
// in the piece.
func harmoniesOf(parts []*score.Part, measure int) []*score.Harmony {
	for _, q := range parts {
		has := false
		var out []*score.Harmony
		for i, m := range q.Measures {
			for _, e := range m.Events {
				if h, ok := e.(*score.Harmony); ok {
					has = true
					if i == measure && h.Onset.Less(m.Length) {
						out = append(out, h)
					}
				}
			}
			if has && i >= measure {
				return out
			}
		}
	}
	return nil
}

// voicingsOf are the ways to hold a chord up to the 12th fret.
func voicingsOf(neck fretboard.Neck, c theory.Chord) []fretboard.Voicing {
	if c.Check() != nil {
		return nil
	}
	neck.Capo = 0
	tones := fretboard.ChordTones(c)
	regions, err := fretboard.Window{From: 0, To: min(12, neck.TopFret())}.Regions(neck, tones)
	if err != nil {
		return nil
	}
	var whole, part []fretboard.Voicing
	for _, r := range regions {
		for _, v := range r.Voicings(tones) {
			v, ok := onBass(v, c)
			switch {
			case !ok:
			case len(v.Missing) == 0 && holdsAll(v, tones):
				whole = append(whole, v)
			default:
				part = append(part, v)
			}
		}
	}
	if len(whole) == 0 {
		return part
	}
	return whole
}

// bassOf is the note that a chord stands on: its slash bass, else its root.
// Source: common practice.
func bassOf(c theory.Chord) theory.NoteName {
	if c.HasBass {
		return c.Bass
	}
	return c.Root
}

// onBass leaves out of a voicing what sounds below its lowest bass note; ok is
// false if it has none.
func onBass(v fretboard.Voicing, c theory.Chord) (_ fretboard.Voicing, ok bool) {
	lowest := 0
	bass := theory.Pitch{NoteName: bassOf(c), Octave: 3}.MIDI()
	for _, s := range v.Spots {
		if midi := s.Pitch.MIDI(); (midi-bass)%12 == 0 && (!ok || midi < lowest) {
			lowest, ok = midi, true
		}
	}
	spots := v.Spots
	v.Spots = nil
	for _, s := range spots {
		if s.Pitch.MIDI() >= lowest {
			v.Spots = append(v.Spots, s)
		}
	}
	return v, ok
}

// holdsAll tells whether a voicing that was cut still has a note of each tone.
func holdsAll(v fretboard.Voicing, tones fretboard.ToneSet) bool {
	for _, t := range tones.Tones {
		found := false
		want := theory.Pitch{NoteName: t.Name, Octave: 3}.MIDI()
		for _, s := range v.Spots {
			found = found || (s.Pitch.MIDI()-want)%12 == 0
		}
		if !found {
			return false
		}
	}
	return true
}

// nearest picks the voicing whose frets lie nearest to the hand, and moves it.
func nearest(voicings []fretboard.Voicing, hand *float64) []int {
	best, at, found := 0.0, 0.0, -1
	for i, v := range voicings {
		sum := 0.0
		for _, s := range v.Spots {
			sum += float64(s.Place.Fret)
		}
		mean := sum / float64(max(1, len(v.Spots)))
		far := mean - *hand
		if far < 0 {
			far = -far
		}
		if found < 0 || far < best {
			best, at, found = far, mean, i
		}
	}
	if found < 0 {
		return nil
	}
	*hand = at
	var keys []int
	for _, s := range voicings[found].Spots {
		keys = append(keys, s.Pitch.MIDI())
	}
	return keys
}

// closeKeys lays a chord out within an octave above its bass, where no hand can hold
// it.
func closeKeys(c theory.Chord) []int {
	if c.Check() != nil {
		return nil
	}
	bass := theory.Pitch{NoteName: bassOf(c), Octave: 3}.MIDI()
	keys := []int{bass}
	for _, t := range fretboard.ChordTones(c).Tones {
		above := (theory.Pitch{NoteName: t.Name, Octave: 3}.MIDI() - bass + 24) % 12
		if key := bass + above; !slices.Contains(keys, key) {
			keys = append(keys, key)
		}
	}
	return keys
}
