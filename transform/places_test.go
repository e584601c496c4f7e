package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// The frets to expect are common practice: a shape moved by so many frets, or
// worked out by hand from standard tuning E2 A2 D3 G3 B3 E4 where it cannot be.
func TestTabMovesAsShape(t *testing.T) {
	dropD, ok := fretboard.PresetByName("drop-d")
	require.True(t, ok)
	guitar := fretboard.Guitar()
	capo2 := fretboard.Neck{Tuning: fretboard.Standard(), Capo: 2, Frets: 22}
	for _, tt := range []struct {
		name, in, by, want string
		neck               fretboard.Neck
		codes              []string
	}{
		{"up a tone", "5.5h 5.7 4.5 4.7", "M2", "5.7 5.9 4.7 4.9", guitar, nil},
		{"down a third", "5.5 5.7 4.5 4.7", "-m3", "5.2 5.4 4.2 4.4", guitar, nil},
		{"open strings become fretted under a hand that can reach", "6.0 6.3 5.0 5.2", "M3", "6.4 6.7 5.4 5.6", guitar, nil},
		{"an open chord becomes a barré", "6.0+5.2+4.2+3.1+2.0+1.0", "m2", "6.1+5.3+4.3+3.2+2.1+1.1", guitar, nil},
		{"the C shape too", "5.3+4.2+3.0+2.1+1.0", "M2", "5.5+4.4+3.2+2.3+1.2", guitar, nil},
		{"off the nut: the whole part goes up an octave", "6.0 6.3 | 5.2 5.0", "-m2", "6.11 6.14 | 5.13 5.11", guitar, []string{CodeOctave}},
		{"off the last fret: down an octave", "1.15 1.17 1.20", "P5", "1.10 1.12 1.15", guitar, []string{CodeOctave}},
		{"only the phrase that must", "6.0 6.3 5.2 - | 1.12 1.15 1.17 1.20", "-m3", "6.9 6.12 5.11 - | 1.9 1.12 1.14 1.17", guitar, []string{CodeOctave}},
		{"two octaves fold back", "5.5 5.7", "P15", "5.17 5.19", guitar, []string{CodeOctave}},
		{"a bend is not put on an open string", "3.7b 3.5 2.8", "-P5", "3.12 3.10 2.13", guitar, []string{CodeOctave}},
		{"but a plain note is", "3.7 3.9 2.8", "-P5", "3.0 3.2 2.1", guitar, nil},
		{"the capo counts as nut", "5.0 5.2 4.0", "M2", "5.2 5.4 4.2", capo2, nil},
		{"and shortens the neck", "1.19 1.17", "M2", "1.9 1.7", capo2, []string{CodeOctave}},
		{"drop D power chords", "6.0+5.0+4.0 6.3+5.3+4.3", "m3", "6.3+5.3+4.3 6.6+5.6+4.6", fretboard.Neck{Tuning: dropD.Tuning, Frets: 22}, nil},
		{"a dead string has no fret to move", "6.0x 6.3 6.0x", "-m3", "6.0 6.0 6.0", guitar, nil},
		{"a pedal tone under a far melody is said to jump", "6.0 6.12 6.0 6.14", "m3", "6.3 6.15 6.3 6.17", guitar, []string{CodeHandPosition}},
		{"an enharmonic move keeps all places", "5.0 5.3", "d2", "5.0 5.3", guitar, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			in := lick(t, tt.neck, tt.in)
			out, ds := Transpose(in, interval(t, tt.by), TransposeOptions{})
			assert.Equal(t, tt.want, places(out), "%v", ds)
			assert.Equal(t, tt.codes, codes(ds), "%v", ds)
			assert.Equal(t, tt.in, withMarks(tt.in, places(in)), "the input is as it was")
			for _, p := range checkMove(in, out, interval(t, tt.by), ds) {
				t.Error(p)
			}
		})
	}
}

// withMarks lets the input be compared with what places writes of it: if the
// places agree it returns the text as it was given.
func withMarks(in, bare string) string {
	strip := func(r rune) rune {
		switch r {
		case 'h', 'p', 's', 'b', '~', 'x', 'n', 'v', 'o':
			return -1
		}
		return r
	}
	if mapString(strip, in) == bare {
		return in
	}
	return bare
}

func TestTabIsFingeredAnew(t *testing.T) {
	guitar := fretboard.Guitar()
	t.Run("a drone without a finger for it", func(t *testing.T) {
		// D2-like drone: open string 4 sounds under string 1 fret 10; a fourth
		// up, fret 5 and fret 15 are out of one hand's reach, but G3 is also
		// the open string 3.
		in := lick(t, guitar, "4.0+1.10 1.10")
		out, ds := Transpose(in, interval(t, "P4"), TransposeOptions{})
		assert.Equal(t, "3.0+1.15 1.15", places(out))
		assert.Equal(t, []string{CodeRefingered}, codes(ds))
		assert.Contains(t, ds[0].Msg, "bar 1, beat 1: 1 note fingered anew: frets 5 and 15 sound together")
		assert.Empty(t, checkMove(in, out, interval(t, "P4"), ds))
	})
	t.Run("a pull-off to an open string", func(t *testing.T) {
		// B3 pulled off to E3 open... a fifth wide: on string 1, fret 7 to 0.
		// A semitone up, C5 to F4 on one string is frets 8 and 1, 215 mm: no
		// hand. String 2: 13 and 6, 152 mm; string 3: 17 and 10, 121 mm.
		in := lick(t, guitar, "1.7p 1.0")
		out, ds := Transpose(in, interval(t, "m2"), TransposeOptions{})
		assert.Equal(t, "3.17 3.10", places(out))
		assert.Equal(t, []string{CodeRefingered}, codes(ds))
		assert.Empty(t, checkMove(in, out, interval(t, "m2"), ds))
	})
	t.Run("a pull-off that nothing can keep", func(t *testing.T) {
		// E2 up a twelfth and back by pull-off: only string 6 has the low
		// note, and a semitone up it has to be fretted.
		in := lick(t, guitar, "6.12p 6.0")
		out, ds := Transpose(in, interval(t, "m2"), TransposeOptions{})
		assert.NotContains(t, places(out), "?")
		assert.Equal(t, 1, ds.Count(score.NotDone))
		assert.Contains(t, codes(ds), CodeTechnique)
		for n := range score.Notes(out) {
			for _, x := range n.Techniques {
				assert.NotEqual(t, score.PullOff, x.(score.Span).Kind)
			}
		}
		assert.Empty(t, checkMove(in, out, interval(t, "m2"), ds))
	})
	t.Run("no place in any octave", func(t *testing.T) {
		// The lowest and the highest note of the neck in one phrase.
		in := lick(t, guitar, "6.0 1.22")
		out, ds := Transpose(in, interval(t, "M2"), TransposeOptions{})
		assert.Equal(t, "6.2 ?", places(out))
		assert.Equal(t, "F#2 E6", pitches(out))
		require.Equal(t, 1, ds.Count(score.NotDone))
		assert.Contains(t, ds.Error(), "bar 1, beat 2: E6 has no place: it is higher than the last fret (22)")
		assert.Empty(t, checkMove(in, out, interval(t, "M2"), ds))
	})
	t.Run("a drone that no hand can add keeps the melody", func(t *testing.T) {
		// F2 is on string 6 only, at fret 1, and D5 nowhere within its reach.
		for _, text := range []string{"6.0+1.9 1.9", "1.9+6.0 1.9"} {
			in := lick(t, guitar, text)
			out, ds := Transpose(in, interval(t, "m2"), TransposeOptions{})
			assert.Contains(t, []string{"?+1.10 1.10", "1.10+? 1.10"}, places(out))
			assert.Equal(t, 1, ds.Count(score.NotDone))
			assert.Contains(t, ds.Error(), "F2 has no place: frets 1 and 10 sound together, 248 mm apart, and a hand reaches about 126; no other place for it is free and in reach")
			assert.Empty(t, checkMove(in, out, interval(t, "m2"), ds))
		}
	})
	t.Run("wide shapes do not go where frets are wide", func(t *testing.T) {
		in := lick(t, guitar, "3.12+2.17 2.17")
		out, ds := Transpose(in, interval(t, "-m7"), TransposeOptions{})
		assert.Equal(t, []string{CodeRefingered}, codes(ds))
		assert.Empty(t, checkMove(in, out, interval(t, "-m7"), ds))
		assert.NotEqual(t, "3.2+2.7 2.7", places(out))
	})
	t.Run("one finger too many", func(t *testing.T) {
		// Four fingers and an open string; a semitone up, the open string
		// takes a fifth.
		in := lick(t, guitar, "6.3+5.2+4.0+3.1+2.3 6.3")
		out, ds := Transpose(in, interval(t, "m2"), TransposeOptions{})
		assert.Contains(t, ds.Error(), "the shape would take 5 fingers")
		assert.Empty(t, checkMove(in, out, interval(t, "m2"), ds))
	})
	t.Run("ties keep their string", func(t *testing.T) {
		in := lick(t, guitar, "4.0~ 4.0 | 4.0+1.10 1.10")
		out, ds := Transpose(in, interval(t, "P4"), TransposeOptions{})
		assert.Empty(t, checkMove(in, out, interval(t, "P4"), ds))
	})
	t.Run("a string that is not there", func(t *testing.T) {
		in := lick(t, guitar, "5.5 5.7")
		for n := range score.Notes(in) {
			n.Place.String = 9
		}
		out, ds := Transpose(in, interval(t, "M2"), TransposeOptions{})
		assert.NotContains(t, places(out), "9.")
		assert.NotEmpty(t, ds)
	})
}

func TestHarmonicsFindTheirSound(t *testing.T) {
	guitar := fretboard.Guitar()
	for _, tt := range []struct {
		name, in, by, want string
		artificial         bool
	}{
		// E3 (string 6, node 12) up a fourth is A3: node 12 of string 5.
		{"the same node of the next string", "6.12n", "P4", "5.12", false},
		// E4 = node 5 of string 6 is a fifteenth above the open string; up an
		// octave and a fifth... D4 of string 4 at node 12 up a fifth is A4,
		// node 7 of string 4.
		{"another node of the same string", "4.12n", "P5", "4.7", false},
		{"tied ones stay together", "6.12n~ 6.12n", "P4", "5.12 5.12", false},
		// The fifth of string 3 (node 7) up a tone is E5: node 12 of string 1
		// rather than the faint node 3 of string 5.
		{"a node that speaks", "3.7n", "M2", "1.12", false},
		// A harmonic a semitone up: F3 is no node of any string in standard
		// tuning, so it is touched an octave above F2 at string 6 fret 1.
		{"artificial where no string has it", "6.12n", "m2", "6.1", true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			in := lick(t, guitar, tt.in)
			out, ds := Transpose(in, interval(t, tt.by), TransposeOptions{})
			assert.Equal(t, tt.want, places(out))
			assert.Contains(t, codes(ds), CodeHarmonic)
			if !tt.artificial {
				assert.Zero(t, ds.Count(score.Warning), "it sounds as it did: said, and no cause for alarm")
			}
			assert.Empty(t, checkMove(in, out, interval(t, tt.by), ds))
		})
	}
}

func TestWideStretchesAreCautioned(t *testing.T) {
	in := lick(t, fretboard.Guitar(), "6.3+5.9 6.3") // 164 mm
	out, ds := Transpose(in, interval(t, "M2"), TransposeOptions{})
	assert.Equal(t, "6.5+5.11 6.5", places(out), "the writer wanted it")
	require.Equal(t, []string{CodeStretch}, codes(ds))
	assert.Equal(t, "bar 1, beat 1: wide stretches, as in the source (1, up to 142 mm)", ds[0].Msg)
	assert.Contains(t, ds[0].Hint, "clinician")
}

// Common practice: open chords and what their shapes take as barré chords.
func TestFingersOfChords(t *testing.T) {
	for _, tt := range []struct {
		name, shape string
		want        int
	}{
		{"F, full barré", "6.1+5.3+4.3+3.2+2.1+1.1", 3}, // index, middle, ring across two
		{"C", "5.3+4.2+3.0+2.1+1.0", 3},
		{"D, from C's shape", "5.5+4.4+3.2+2.3+1.2", 4},
		{"B, A's shape", "5.2+4.4+3.4+2.4+1.2", 2},
		{"an open string under the barré", "3.2+2.0+1.2", 2},
		{"four frets, one finger each", "6.1+5.2+4.3+3.4", 4},
		{"five", "6.4+5.3+4.1+3.2+2.4", 5},
		{"one note", "6.5", 1},
	} {
		s := lick(t, fretboard.Guitar(), tt.shape)
		var notes []*score.Note
		var held, open []int
		for n := range score.Notes(s) {
			if n.Place.Fret > 0 {
				held = append(held, len(notes))
			} else {
				open = append(open, len(notes))
			}
			notes = append(notes, n)
		}
		place := func(i int) fretboard.Place { return notes[i].Place }
		assert.Equal(t, tt.want, fingers(held, open, place), tt.name)
		assert.Equal(t, tt.want, fingersNeeded(notes), "%s: the checker", tt.name)
	}
}

func TestMarksFollowThePlaces(t *testing.T) {
	in := lick(t, fretboard.Guitar(), "6.0of6 6.3f3 5.2")
	out, ds := Transpose(in, interval(t, "M2"), TransposeOptions{})
	var notes []*score.Note
	for n := range score.Notes(out) {
		notes = append(notes, n)
	}
	assert.Empty(t, notes[0].Techniques, "no open string any more")
	assert.Equal(t, score.NoFinger, notes[0].Finger)
	assert.Equal(t, score.Ring, notes[1].Finger, "the shape keeps its fingers")
	assert.Equal(t, []string{CodeFingers}, codes(ds))
}

// Phrases end at rests of a beat, at double bars and at repeats, never inside
// of a tie.
func TestPhrasesEndAtBarlines(t *testing.T) {
	for _, tt := range []struct {
		name, in, want string
		bar            *score.Barline
	}{
		{"double bar", "6.0 6.3 | 1.22 1.20", "6.9 6.12 | 1.19 1.17", &score.Barline{Style: "light-light"}},
		{"repeat", "6.0 6.3 | 1.22 1.20", "6.9 6.12 | 1.19 1.17", &score.Barline{Repeat: score.Backward}},
		{"plain bar line", "6.0 6.3 | 1.22 1.20", "?", nil},
		{"tie across", "6.0 6.3~ | 6.3 1.22", "?", &score.Barline{Style: "light-light"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			in := lick(t, fretboard.Guitar(), tt.in)
			if m := in.Parts[0].Measures[0]; tt.bar != nil {
				tt.bar.Onset = m.Length
				m.Events = append(m.Events, tt.bar)
			}
			out, ds := Transpose(in, interval(t, "-m3"), TransposeOptions{})
			if tt.want == "?" {
				assert.NotZero(t, ds.Count(score.NotDone), "one phrase fits nowhere: %v %s", ds, places(out))
			} else {
				assert.Equal(t, tt.want, places(out), "%v", ds)
			}
			assert.Empty(t, checkMove(in, out, interval(t, "-m3"), ds))
		})
	}
}
