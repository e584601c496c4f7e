package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func layoutOf(t *testing.T, scale string, scheme fretboard.Scheme, n fretboard.Neck) (fretboard.ToneSet, []fretboard.Layout) {
	t.Helper()
	tonic, _, s, err := theory.ParseScale(scale)
	require.NoError(t, err)
	set := fretboard.ScaleTones(tonic, s)
	regions, err := scheme.Regions(n, set)
	require.NoError(t, err)
	var ls []fretboard.Layout
	for _, r := range regions {
		ls = append(ls, r.Lay(set))
	}
	return set, ls
}

// A run is written out note for note, each passage in bars of its own that
// are full, and its pitches are what the places sound.
func TestLayOutWritesEveryNote(t *testing.T) {
	for _, p := range fretboard.Presets() {
		n := fretboard.Neck{Tuning: p.Tuning, Frets: 22, Capo: 1}
		for _, way := range []Direction{Rising, Falling, UpAndDown} {
			set, ls := layoutOf(t, "Bb dorian", fretboard.ChordShape{}, n)
			var passages []Passage
			var want []fretboard.Place
			for _, l := range ls {
				run := Run(l, way)
				passages = append(passages, run)
				for _, g := range run.Groups {
					want = append(want, g[0].Place)
				}
			}
			key, ok := KeyForTones(set)
			require.True(t, ok)
			s := LayOut(passages, LayOutOptions{Title: "x", Neck: n, Key: &key, Fingers: true})
			var got []fretboard.Place
			for _, m := range s.Parts[0].Measures {
				var at score.Quarters
				for c := range m.Chords() {
					require.Equal(t, at, c.Onset)
					require.Equal(t, c.Duration, c.Value.Quarters())
					at = at.Add(c.Duration)
					for _, note := range c.Notes {
						got = append(got, note.Place)
						require.Equal(t, n.Stopped(note.Place), note.Pitch.MIDI())
						require.Equal(t, note.Place.Fret == 0, note.Finger == score.NoFinger)
						require.Len(t, note.Annotations, 1)
					}
				}
				require.Equal(t, m.Length, at, "the bar is full")
			}
			assert.Equal(t, want, got)
			assert.Equal(t, "Bb dorian", key.String())
		}
	}
}

// In the E shape of A major the index finger stands at fret 4, though the root
// is at fret 5: one finger per fret, no reach (common practice).
func TestLayOutFingers(t *testing.T) {
	shape, err := fretboard.ParseShape(fretboard.Standard(), "E")
	require.NoError(t, err)
	_, ls := layoutOf(t, "A major", fretboard.ChordShape{Shapes: []fretboard.Shape{shape}}, fretboard.Guitar())
	s := LayOut([]Passage{Run(ls[0], Rising)}, LayOutOptions{Neck: fretboard.Guitar(), Fingers: true})
	var got string
	for n := range score.Notes(s) {
		got += "-imrl"[n.Finger : n.Finger+1]
	}
	// 4 5 7 | 4 5 7 | 4 6 7 | 4 6 7 | 5 7 | 4 5 7
	assert.Equal(t, "iml"+"iml"+"irl"+"irl"+"ml"+"iml", got)
}

func TestLayOutChord(t *testing.T) {
	c, err := theory.ParseChord("Am7")
	require.NoError(t, err)
	set := fretboard.ChordTones(c)
	regions, err := fretboard.ChordShape{}.Regions(fretboard.Guitar(), set)
	require.NoError(t, err)
	v := regions[0].Voicings(set)[0]
	s := LayOut([]Passage{Held(v, c, "A shape")}, LayOutOptions{Neck: fretboard.Guitar()})
	m := s.Parts[0].Measures[0]
	for chord := range m.Chords() {
		assert.Len(t, chord.Notes, len(v.Spots))
		assert.Equal(t, score.Q(4, 1), chord.Duration)
	}
	var symbol string
	for _, e := range m.Events {
		if h, ok := e.(*score.Harmony); ok {
			symbol = h.Chord.String()
		}
	}
	assert.Equal(t, "Am7", symbol)
	assert.Empty(t, LayOut(nil, LayOutOptions{}).Parts[0].Measures)
}

// Source: key signatures of the modes (common practice); a scale that is no
// mode has the signature of the key of its third.
func TestKeyForTones(t *testing.T) {
	for scale, want := range map[string]string{
		"C major": "C major", "D dorian": "D dorian", "A minor pentatonic": "A minor", "F lydian": "F lydian",
		"E phrygian dominant": "E major", "A harmonic minor": "A minor",
	} {
		tonic, _, s, err := theory.ParseScale(scale)
		require.NoError(t, err)
		k, ok := KeyForTones(fretboard.ScaleTones(tonic, s))
		assert.True(t, ok)
		assert.Equal(t, want, k.String(), scale)
	}
	tonic, _, s, err := theory.ParseScale("G# major")
	require.NoError(t, err)
	_, ok := KeyForTones(fretboard.ScaleTones(tonic, s))
	assert.False(t, ok)
}
