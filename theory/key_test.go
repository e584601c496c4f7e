package theory_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

// Source: the circle of fifths with its signatures, as every theory book
// prints it (Kostka & Payne, Tonal Harmony, ch. 1; from memory).
func TestCircleOfFifths(t *testing.T) {
	major := strings.Fields("Cb Gb Db Ab Eb Bb F C G D A E B F# C#")
	minor := strings.Fields("Ab Eb Bb F C G D A E B F# C# G# D# A#")
	sharps := "FCGDAEB"
	for i := range major {
		fifths := i - 7
		for _, name := range []string{major[i], major[i] + " major"} {
			assert.Equal(t, fifths, mustKey(t, name).Fifths(), name)
		}
		for _, name := range []string{minor[i] + "m", minor[i] + " minor"} {
			assert.Equal(t, fifths, mustKey(t, name).Fifths(), name)
		}
		k := theory.KeyOf(fifths, theory.Major)
		for j, letter := range sharps {
			step, _ := theory.StepOf(byte(letter))
			want := 0
			if j < fifths {
				want = 1
			}
			if 6-j < -fifths {
				want = -1
			}
			assert.Equal(t, want, k.Signature(step), "%c in %s", letter, k)
		}
	}
}

// Source: the white keys carry the modes: D dorian, E phrygian and so on have
// the signature of C (common practice).
func TestModesOfTheWhiteKeys(t *testing.T) {
	for _, name := range []string{
		"C ionian", "D dorian", "E phrygian", "F lydian", "G mixolydian", "A aeolian", "B locrian", "C major", "A minor",
	} {
		assert.Equal(t, 0, mustKey(t, name).Fifths(), name)
	}
	assert.Equal(t, 2, mustKey(t, "E dorian").Fifths())
	assert.Equal(t, -3, mustKey(t, "F dorian").Fifths())
	assert.Equal(t, 1, mustKey(t, "C lydian").Fifths())
}

func TestKeyExamplesOfTransposition(t *testing.T) {
	tests := []struct{ key, by, want, practical, signature string }{
		{"C major", "M3", "E major", "E major", "F# C# G# D#"},
		{"B major", "m2", "C major", "C major", ""},
		{"B major", "A1", "B# major", "C major", ""},
		{"Db major", "-m2", "C major", "C major", ""},
		{"F# major", "M2", "G# major", "Ab major", "Bb Eb Ab Db"},
		{"A minor", "A1", "A# minor", "A# minor", "F# C# G# D# A# E# B#"},
		{"D dorian", "m3", "F dorian", "F dorian", "Bb Eb Ab"},
	}
	for _, tt := range tests {
		moved := mustKey(t, tt.key).Transpose(mustInterval(t, tt.by))
		assert.Equal(t, tt.want, moved.String())
		p := moved.Practical()
		assert.Equal(t, tt.practical, p.String())
		var signature []string
		order := "FCGDAEB"
		if p.Fifths() < 0 {
			order = "BEADGCF"
		}
		for i := range max(p.Fifths(), -p.Fifths()) {
			step, _ := theory.StepOf(order[i])
			signature = append(signature, theory.NoteName{Step: step, Alter: p.Signature(step)}.String())
		}
		assert.Equal(t, tt.signature, strings.Join(signature, " "))
	}
}

func TestParseKeyForms(t *testing.T) {
	for want, forms := range map[string][]string{
		"Eb major":     {"Eb", "E♭", "Eb major", "E♭ Major", "EbM", "Ebmaj", "eb", "E flat", "E-flat major", "E Flat Major", " Eb "},
		"F# minor":     {"F#m", "F#min", "F♯ minor", "f# minor", "F sharp minor", "F#-minor", "f-sharp minor"},
		"A minor":      {"Am", "A minor", "a min", "Amin"},
		"B major":      {"b", "B", "b major"},
		"Bb major":     {"bb", "Bb"},
		"F# dorian":    {"F# dorian", "F#dorian", "F# Dorian"},
		"G mixolydian": {"G mixolydian", "g mixolydian"},
	} {
		for _, form := range forms {
			assert.Equal(t, want, mustKey(t, form).String(), form)
		}
	}
	_, said, _ := theory.ParseKey("Eb")
	assert.False(t, said)
	_, said, _ = theory.ParseKey("Eb major")
	assert.True(t, said)
	for _, bad := range []struct {
		in     string
		offset int
	}{{"", 0}, {"H", 0}, {"minor", 0}, {"C blah", 2}, {" C blah ", 3}, {"Cmm", 1}, {"C7", 1}} {
		_, _, err := theory.ParseKey(bad.in)
		var parse *theory.ParseError
		if assert.ErrorAs(t, err, &parse, bad.in) {
			assert.Equal(t, bad.offset, parse.Offset, bad.in)
			assert.NotEmpty(t, parse.Hint)
		}
	}
	for _, m := range modes {
		for fifths := -12; fifths <= 12; fifths++ {
			k := theory.KeyOf(fifths, m)
			back, said, err := theory.ParseKey(k.String())
			require.NoError(t, err)
			require.True(t, said)
			require.Equal(t, k, back)
			require.Equal(t, k, mustKey(t, k.Pretty()))
		}
	}
}

// Source: the twelve keys in which musicians write (common practice).
func TestPracticalTonics(t *testing.T) {
	join := func(m theory.Mode) string {
		ns := theory.PracticalTonics(m)
		return strings.Join(names(ns[:]), " ")
	}
	assert.Equal(t, "C G D A E B F# Db Ab Eb Bb F", join(theory.Major))
	assert.Equal(t, "A E B F# C# G# Eb Bb F C G D", join(theory.Minor))
	assert.Equal(t, "D A E B F# C# G# Eb Bb F C G", join(theory.Dorian))
	for _, m := range modes {
		var set theory.PitchSet
		for _, n := range theory.PracticalTonics(m) {
			set = set.With(n.Class())
			f := theory.Key{Tonic: n, Mode: m}.Fifths()
			assert.LessOrEqual(t, max(f, -f), 6)
		}
		assert.Equal(t, theory.AllPitches, set)
	}
}

// Source: degrees are counted against the major scale of the tonic, so
// the minor keys have b3, b6 and b7 (Kostka & Payne's modes; common practice).
func TestDegrees(t *testing.T) {
	a := mustName(t, "A")
	for note, want := range map[string]string{
		"A": "1", "Bb": "b2", "B": "2", "B#": "#2", "C": "b3", "C#": "3", "D": "4", "D#": "#4", "Eb": "b5", "E": "5",
		"F": "b6", "E#": "#5", "F#": "6", "Gb": "bb7", "G": "b7", "G#": "7", "Ab": "b1",
	} {
		d := theory.DegreeOf(a, mustName(t, note))
		assert.Equal(t, want, d.String(), note)
		assert.Equal(t, mustName(t, note), d.Name(a))
	}
	for text, semitones := range map[string]int{"1": 0, "b3": 3, "♭3": 3, "#4": 6, "♯4": 6, "bb7": 9, "9": 14, "b9": 13, "#11": 18, "13": 21, "b1": -1} {
		d, err := theory.ParseDegree(text)
		require.NoError(t, err)
		assert.Equal(t, semitones, d.Semitones(), text)
	}
	for _, bad := range []string{"", "b", "0", "x", "3b", "100", "#b3", "+3", "-3", "3 "} {
		_, err := theory.ParseDegree(bad)
		assert.Error(t, err, bad)
	}
	for _, tonic := range allNames() {
		for _, n := range allNames() {
			d := theory.DegreeOf(tonic, n)
			assert.Equal(t, n, d.Name(tonic))
			back, err := theory.ParseDegree(d.String())
			require.NoError(t, err)
			assert.Equal(t, d, back)
			back, err = theory.ParseDegree(d.Pretty())
			require.NoError(t, err)
			assert.Equal(t, d, back)
		}
	}
}

func FuzzParseKey(f *testing.F) {
	for _, s := range []string{"Eb", "Am", "F# dorian", "E flat major", "Bbb locrian", "C♯ minor"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k, _, err := theory.ParseKey(s)
		if err != nil {
			_ = err.Error()
			return
		}
		back, _, err := theory.ParseKey(k.String())
		require.NoError(t, err)
		require.Equal(t, k, back)
	})
}
