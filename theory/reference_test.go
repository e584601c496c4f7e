package theory_test

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/theory"
)

// reference holds the tables of the npm library tonal 6.4.3, an independent
// implementation, which .ci/reference/run writes.
type reference struct {
	Intervals map[string]int
	MIDI      map[string]int
	Transpose map[string]map[string]string
	Scales    []struct {
		Name      string
		Aliases   []string
		Intervals []string
		Notes     map[string][]string
	}
	Chords []struct {
		Aliases   []string
		Intervals []string
		Notes     map[string][]string
	}
	Keys map[string]struct {
		Fifths                int
		Scale, Triads, Chords []string
		ChordScales           []string
		Relative              string
	}
	MinorKeys map[string]struct {
		Fifths                     int
		Natural, Harmonic, Melodic struct{ Scale, Triads, Chords []string }
	}
}

func loadReference(t testing.TB) *reference {
	t.Helper()
	path := os.Getenv("LICKWRIGHT_TONAL")
	if path == "" {
		outside.Absent(t, "no tables of the reference library: run .ci/reference/run OUT.json and set LICKWRIGHT_TONAL=OUT.json")
	}
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	ref := new(reference)
	require.NoError(t, json.Unmarshal(data, ref))
	require.NotEmpty(t, ref.Intervals)
	return ref
}

func TestReferenceIntervals(t *testing.T) {
	ref := loadReference(t)
	require.Greater(t, len(ref.Intervals), 80)
	for name, semitones := range ref.Intervals {
		assert.Equal(t, semitones, mustInterval(t, name).Semitones, name)
	}
	for name, midi := range ref.MIDI {
		assert.Equal(t, midi, mustPitch(t, name).MIDI(), name)
	}
	compared := 0
	for from, byInterval := range ref.Transpose {
		for by, to := range byInterval {
			p := mustPitch(t, from).Transpose(mustInterval(t, by))
			// Beyond six accidentals our parser stops, not the arithmetic.
			assert.Equal(t, to, p.String(), "%s by %s", from, by)
			compared++
		}
	}
	require.Greater(t, compared, 5000)
}

func TestReferenceKeys(t *testing.T) {
	ref := loadReference(t)
	require.Len(t, ref.Keys, 15)
	for tonic, k := range ref.Keys {
		key := theory.Key{Tonic: mustName(t, tonic)}
		assert.Equal(t, k.Fifths, key.Fifths(), tonic)
		assert.Equal(t, k.Relative, theory.KeyOf(key.Fifths(), theory.Minor).Tonic.String(), tonic)
		var scale []string
		for i := range 7 {
			step := theory.Step((int(key.Tonic.Step) + i) % 7)
			scale = append(scale, theory.NoteName{Step: step, Alter: key.Signature(step)}.String())
		}
		assert.Equal(t, k.Scale, scale, tonic)
	}
	require.Len(t, ref.MinorKeys, 15)
	for tonic, k := range ref.MinorKeys {
		assert.Equal(t, k.Fifths, theory.Key{Tonic: mustName(t, tonic), Mode: theory.Minor}.Fifths(), tonic)
	}
}

// chordQuirks are the symbols of the reference library that lead sheets read
// otherwise, or not at all, by reason.
var chordQuirks = map[string]string{
	"takes the triangle for a triad":                                     "^ ^#5",
	"takes maj#4 for a seventh chord":                                    "maj#4",
	"leaves out the fifth where a 13 or 6 is altered":                    "M7b6 ^7b6 7b13 9b13 mb6M7 mb6b9",
	"takes an added sixth for a thirteenth, or the other way":            "7add6 M7add13 13b5",
	"reads b5 as #11 beside a perfect fifth":                             "M6b5 6b5 7b5b13 7b5#9 7#9b5 9b5b13 7b5b9 7b9b5 7b5b9b13",
	"reads #4 as #11":                                                    "Δ#4 7#4 9+4 9#4 M13+4 M13#4 13+4 13#4",
	"reads the augmented fifth of a minor chord as a sixth":              "m7#5 m9#5",
	"reads 2 and 4 as 9 and 11, or the other way":                        "2 add2 m7add4 sus4add9 m9b5",
	"takes C4 for a chord in fourths; players mean sus4":                 "4",
	"gives 7alt one fifth and one ninth, alt7 no fifth; we have both":    "7alt alt7",
	"leaves the third out of 11; the MusicXML standard has it":           "11 11b9",
	"leaves the 11 out of a minor 13th; the MusicXML standard has it":    "m13 -13",
	"begins with b, which after a root is the root's own accidental":     "b9sus",
	"is no symbol of lead sheets, or none that we found used by players": "67 h h7 o7M7 quartal m11A phryg",
}

// Every symbol of the reference library on every tonic.
func TestReferenceChords(t *testing.T) {
	ref := loadReference(t)
	quirk := map[string]string{}
	for reason, symbols := range chordQuirks {
		for s := range strings.FieldsSeq(symbols) {
			quirk[s] = reason
		}
	}
	compared, differ := 0, map[string]bool{}
	for _, c := range ref.Chords {
		for _, alias := range c.Aliases {
			for tonic, want := range c.Notes {
				ch, err := theory.ParseChord(tonic + alias)
				same := err == nil && slices.Equal(want, names(ch.Tones()))
				if _, known := quirk[alias]; known {
					differ[alias] = differ[alias] || !same
					continue
				}
				assert.NoError(t, err)
				assert.Equal(t, want, names(ch.Tones()), "%s%s", tonic, alias)
				compared++
			}
		}
	}
	require.Greater(t, compared, 3000)
	for alias, reason := range quirk {
		assert.True(t, differ[alias], "%q is listed as a quirk (%s) and is none", alias, reason)
	}
}

// scaleQuirks are the scale names under which the reference library has
// another scale, or another spelling, than books have.
var scaleQuirks = map[string]string{
	"whole tone":            "spells the last degree #6",
	"altered":               "spells the altered scale with #2 and 3 on a seven-note scale",
	"super locrian":         "the same",
	"diminished whole tone": "the same",
	"leading whole tone":    "does not use one letter per degree",
	"enigmatic":             "does not use one letter per degree",
	"minor hexatonic":       "has a natural seventh",
	"purvi raga":            "has eight notes under this name",
}

// Every scale of the reference library on every tonic: same notes under the
// same name, where we have the name (its dictionary is not ours); and every
// set of it is one of ours.
func TestReferenceScales(t *testing.T) {
	ref := loadReference(t)
	compared, differ := 0, map[string]bool{}
	for _, rs := range ref.Scales {
		var set theory.PitchSet
		for _, i := range rs.Intervals {
			set = set.With(mustInterval(t, i).Semitones)
		}
		assert.Equal(t, set, theory.ScaleOfSet(set).Set(), rs.Name)
		for _, name := range append(rs.Aliases, rs.Name) {
			s, err := theory.ScaleByName(name)
			if err != nil {
				continue
			}
			for tonic, want := range rs.Notes {
				same := slices.Equal(want, names(s.Notes(mustName(t, tonic))))
				if _, known := scaleQuirks[name]; known {
					differ[name] = differ[name] || !same
					continue
				}
				assert.Equal(t, want, names(s.Notes(mustName(t, tonic))), "%s %s", tonic, name)
				compared++
			}
		}
	}
	require.Greater(t, compared, 1800)
	for name, reason := range scaleQuirks {
		assert.True(t, differ[name], "%q is listed as a quirk (%s) and is none", name, reason)
	}
}

// Chords and scales on the degrees of every major and minor key.
func TestReferenceHarmonisation(t *testing.T) {
	ref := loadReference(t)
	same := func(want []string, got []theory.ScaleChord, in string) {
		require.Len(t, want, len(got), in)
		for i := range got {
			require.True(t, got[i].Named, in)
			assert.True(t, mustChord(t, want[i]).Same(got[i].Chord), "%s: %s is not %s", in, got[i].Chord, want[i])
		}
	}
	for tonic, k := range ref.Keys {
		n := mustName(t, tonic)
		key := theory.Key{Tonic: n}
		same(k.Triads, key.Scale().Harmonise(n, 3), tonic+" major triads")
		same(k.Chords, key.Scale().Harmonise(n, 4), tonic+" major sevenths")
		for i, sc := range key.Scale().Harmonise(n, 4) {
			first := sc.Chord.Scales(&key)[0]
			wantTonic, _, want, err := theory.ParseScale(k.ChordScales[i])
			require.NoError(t, err)
			assert.True(t, first.InKey)
			assert.Equal(t, want, first.Scale, "over %s in %s", sc.Chord, key)
			assert.Equal(t, wantTonic, sc.Chord.Root)
		}
	}
	for tonic, k := range ref.MinorKeys {
		n := mustName(t, tonic)
		for name, part := range map[string]struct{ Scale, Triads, Chords []string }{
			"natural minor": k.Natural, "harmonic minor": k.Harmonic, "melodic minor": k.Melodic,
		} {
			s := mustScale(t, name)
			assert.Equal(t, part.Scale, names(s.Notes(n)))
			same(part.Triads, s.Harmonise(n, 3), tonic+" "+name)
			if name == "melodic minor" {
				// The reference gives the tonic its sixth; stacked thirds
				// give it its seventh.
				require.Equal(t, tonic+"m6", part.Chords[0])
				part.Chords[0] = tonic + "m(maj7)"
			}
			same(part.Chords, s.Harmonise(n, 4), tonic+" "+name)
		}
	}
}
