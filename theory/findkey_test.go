package theory_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

// randomBar invents a bar over a chord: chord tones on the beats, steps of
// the scale between them.
func randomBar(r *rand.Rand, k theory.Key, degree int) []theory.WeightedNote {
	scale := mustScaleOf(k)
	at := func(i int) int {
		oct, step := (i+70)/7-10, (i+70)%7
		return 60 + k.Tonic.Class() + 12*oct + scale.Degree(step).Semitones()
	}
	var bar []theory.WeightedNote
	for range 4 {
		chordTone := degree + 2*r.IntN(3)
		bar = append(bar, theory.WeightedNote{MIDI: at(chordTone), Weight: 0.5})
		bar = append(bar, theory.WeightedNote{MIDI: at(chordTone + 1 - 2*r.IntN(2)), Weight: 0.5})
	}
	return append(bar, theory.WeightedNote{MIDI: at(degree) - 24, Weight: 4})
}

// mustScaleOf returns the scale that a key's music uses: harmonic minor for
// minor.
func mustScaleOf(k theory.Key) theory.Scale {
	if k.Mode == theory.Minor {
		s, _ := theory.ScaleByName("harmonic minor")
		return s
	}
	return k.Scale()
}

// cadence is a progression that leaves no doubt: I IV V I, by degree.
func cadence(r *rand.Rand, k theory.Key) [][]theory.WeightedNote {
	var bars [][]theory.WeightedNote
	for _, degree := range []int{0, 3, 4, 0, 3, 1, 4, 0} {
		bars = append(bars, randomBar(r, k, degree))
	}
	return bars
}

func flat(bars [][]theory.WeightedNote) []theory.WeightedNote {
	var all []theory.WeightedNote
	for _, b := range bars {
		all = append(all, b...)
	}
	return all
}

func TestFindKeyOfCadencesInAllKeys(t *testing.T) {
	r := seeded()
	for _, mode := range []theory.Mode{theory.Major, theory.Minor} {
		for _, tonic := range theory.PracticalTonics(mode) {
			k := theory.Key{Tonic: tonic, Mode: mode}
			for range 5 {
				guesses := theory.FindKey(flat(cadence(r, k)))
				require.Len(t, guesses, 24)
				assert.Equal(t, k, guesses[0].Key)
				assert.Greater(t, guesses[0].Fit, guesses[1].Fit)
				sum := 0.0
				for i, g := range guesses {
					sum += g.Confidence
					if i > 0 {
						assert.LessOrEqual(t, g.Confidence, guesses[i-1].Confidence)
					}
				}
				assert.InDelta(t, 1, sum, 1e-9)
			}
		}
	}
}

func TestFindKeySaysWhatItDoesNotKnow(t *testing.T) {
	assert.Nil(t, theory.FindKey(nil))
	assert.Nil(t, theory.FindKey([]theory.WeightedNote{{60, 0}}))
	var chromatic []theory.WeightedNote
	for m := 60; m < 72; m++ {
		chromatic = append(chromatic, theory.WeightedNote{MIDI: m, Weight: 1})
	}
	for _, g := range theory.FindKey(chromatic) {
		assert.InDelta(t, 1.0/24, g.Confidence, 1e-9, "the chromatic scale is in no key")
	}
	single := theory.FindKey([]theory.WeightedNote{{60, 1}})
	assert.Less(t, single[0].Confidence, 0.3, "one note is in many keys")
	var pentatonic []theory.WeightedNote
	for _, m := range []int{57, 60, 62, 64, 67} { // A C D E G
		pentatonic = append(pentatonic, theory.WeightedNote{MIDI: m, Weight: 1})
	}
	assert.Less(t, theory.FindKey(pentatonic)[0].Confidence, 0.5, "A minor or C major pentatonic")
}

func TestFindKeySectionsFollowsTheMusic(t *testing.T) {
	r := seeded()
	c, e, fm := mustKey(t, "C major"), mustKey(t, "E major"), mustKey(t, "F minor")
	bars := append(append(append(cadence(r, c), nil), cadence(r, e)...), cadence(r, fm)...)
	sections := theory.FindKeySections(bars)
	require.Len(t, sections, 3)
	for i, want := range []struct {
		key      theory.Key
		from, to int
	}{{c, 0, 8}, {e, 9, 17}, {fm, 17, 25}} {
		assert.Equal(t, want.key, sections[i].Guesses[0].Key)
		assert.InDelta(t, want.from, sections[i].From, 1)
		assert.InDelta(t, want.to, sections[i].To, 1)
	}
	assert.Equal(t, 0, sections[0].From)
	assert.Equal(t, 25, sections[2].To)

	one := theory.FindKeySections(cadence(r, c))
	require.Len(t, one, 1, "chords of one key make no sections")
	assert.Nil(t, theory.FindKeySections(nil))
	assert.Nil(t, theory.FindKeySections(make([][]theory.WeightedNote, 3)))
}

// Every bar is in exactly one section, whatever the notes.
func TestFindKeySectionsCoverAllBars(t *testing.T) {
	r := seeded()
	for range 200 {
		bars := make([][]theory.WeightedNote, 1+r.IntN(40))
		sounds := false
		for i := range bars {
			for range r.IntN(4) {
				bars[i] = append(bars[i], theory.WeightedNote{MIDI: r.IntN(128), Weight: r.Float64()})
				sounds = true
			}
		}
		sections := theory.FindKeySections(bars)
		if !sounds {
			require.Nil(t, sections)
			continue
		}
		at := 0
		for _, s := range sections {
			require.Equal(t, at, s.From)
			require.Greater(t, s.To, s.From)
			at = s.To
		}
		require.Equal(t, len(bars), at)
	}
}

func (s song) byBar() [][]theory.WeightedNote {
	bars := make([][]theory.WeightedNote, s.bars)
	for _, n := range s.notes {
		bars[n.bar] = append(bars[n.bar], theory.WeightedNote{MIDI: n.pitch.MIDI(), Weight: n.duration})
	}
	return bars
}

// Against the OpenScore Lieder Corpus (CC0): songs in one signature must be
// found in a key of that signature, and in the key of their last chord where
// that is the tonic; section by section most notes must lie in a section
// whose key has the signature that the editors wrote.
func TestFindKeyOfSongs(t *testing.T) {
	whole, wholeRight, tonics, tonicsRight := 0, 0, 0, 0
	notes, notesRight, sections := 0, 0, 0
	for _, s := range readSongs(t) {
		one := true
		for _, n := range s.notes {
			one = one && n.fifths == s.notes[0].fifths
		}
		guess := theory.FindKey(flat(s.byBar()))[0].Key
		if one {
			whole++
			if (guess.Fifths()-s.notes[0].fifths)%12 == 0 {
				wholeRight++
			}
			if k, known := s.key(); known {
				tonics++
				if guess.Tonic.Class() == k.Tonic.Class() && guess.Mode == k.Mode {
					tonicsRight++
				}
			}
		}
		found := theory.FindKeySections(s.byBar())
		sections += len(found)
		for _, n := range s.notes {
			for _, sec := range found {
				if sec.From <= n.bar && n.bar < sec.To {
					notes++
					if (sec.Guesses[0].Key.Fifths()-n.fifths)%12 == 0 {
						notesRight++
					}
				}
			}
		}
	}
	t.Logf("signature of songs in one key: %d of %d; key of the last chord: %d of %d; notes in a section of their signature: %.1f %% of %d, in %d sections",
		wholeRight, whole, tonicsRight, tonics, 100*float64(notesRight)/float64(notes), notes, sections)
	assert.GreaterOrEqual(t, wholeRight, whole-1)
	assert.GreaterOrEqual(t, tonicsRight, tonics-1)
	assert.Greater(t, float64(notesRight)/float64(notes), 0.90)
}

// A finding must not be presented as more certain than it is: over stretches
// of each length, of the songs, the mean confidence in the best guess must not
// exceed the share of guesses whose signature the editors wrote.
func TestConfidenceIsNotTooHigh(t *testing.T) {
	songs := readSongs(t)
	for _, length := range []int{1, 2, 4, 8, 16} {
		stretches, right, confidence := 0.0, 0.0, 0.0
		for _, s := range songs {
			bars := s.byBar()
			signature := map[int]map[int]bool{}
			for _, n := range s.notes {
				if signature[n.bar] == nil {
					signature[n.bar] = map[int]bool{}
				}
				signature[n.bar][n.fifths] = true
			}
			for from := 0; from+length <= len(bars); from++ {
				in := map[int]bool{}
				for b := from; b < from+length; b++ {
					for f := range signature[b] {
						in[f] = true
					}
				}
				guesses := theory.FindKey(flat(bars[from : from+length]))
				if len(in) != 1 || guesses == nil {
					continue
				}
				stretches++
				confidence += guesses[0].Confidence
				for f := range in {
					if (guesses[0].Key.Fifths()-f)%12 == 0 {
						right++
					}
				}
			}
		}
		t.Logf("%2d bars: %.0f stretches, right %.2f, mean confidence %.2f", length, stretches, right/stretches, confidence/stretches)
		assert.LessOrEqual(t, confidence/stretches, right/stretches, "%d bars", length)
	}
}

func TestKeySpelledLike(t *testing.T) {
	fs := mustKey(t, "F# major")
	flats := []theory.NoteName{mustName(t, "Gb"), mustName(t, "Cb"), mustName(t, "Db")}
	assert.Equal(t, "Gb major", fs.SpelledLike(flats).String())
	assert.Equal(t, "F# major", fs.SpelledLike(nil).String())
	assert.Equal(t, "F# major", fs.SpelledLike([]theory.NoteName{mustName(t, "F#"), mustName(t, "E#")}).String())
	for fifths := -7; fifths <= 7; fifths++ {
		for _, m := range modes {
			k := theory.KeyOf(fifths, m)
			assert.Equal(t, k, k.SpelledLike(k.Scale().Notes(k.Tonic)), "a key is spelled like its own notes")
			assert.Equal(t, k, theory.KeyOf(fifths+12, m).SpelledLike(k.Scale().Notes(k.Tonic)))
		}
	}
}

func BenchmarkFindKey(b *testing.B) {
	r := seeded()
	notes := flat(cadence(r, theory.Key{}))
	b.ReportAllocs()
	for b.Loop() {
		theory.FindKey(notes)
	}
	b.ReportMetric(float64(len(notes))*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}
