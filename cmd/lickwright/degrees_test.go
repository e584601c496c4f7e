package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext/degrees"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// A lick that is written as degrees and read in another key is the lick in
// that key; the same text comes of every key.
func TestDegreesHaveNoKey(t *testing.T) {
	dir := t.TempDir()
	for _, file := range []string{"amber-street.tab", "slow-harbour.tab", "morning-gate.musicxml", "window-chords.tab", "seven-stairs.tab"} {
		path := filepath.Join(dir, "lick.degrees")
		got := lickwright("convert", "-q", "--force", "-o", path, example(file))
		require.Equal(t, exitDone, got.code, got.err)
		text := read(t, path)
		for _, key := range []string{"C", "F#", "Bb", "E"} {
			tab := filepath.Join(dir, "lick.musicxml")
			got = lickwright("convert", "-q", "--force", "--key", key, "-o", tab, path)
			if file == "window-chords.tab" && got.code == exitPartly {
				continue // no hand holds these chords in this key, which is said
			}
			require.Equal(t, exitDone, got.code, got.err)
			got = lickwright("convert", "-q", "--as", "degrees", tab)
			assert.Equal(t, music(text), music(got.out), "%s in %s", file, key)
		}
		assert.Equal(t, text, lickwright("convert", "-q", path).out, "to its own format it is the same")
	}
}

// music returns the lines of a text of degrees that hold its music, without
// octave marks: where they count from depends on the tonic's register. A
// natural harmonic that the neck does not have becomes an artificial one.
func music(text string) string {
	_, body, _ := strings.Cut(text, "\n\n")
	return strings.NewReplacer("+", "", "-", "", "art+12", "harm").Replace(body)
}

// Without a key there are no degrees; the hint says how to give one.
func TestDegreesNeedAKey(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x.tab")
	require.NoError(t, os.WriteFile(path, []byte("e|-0-3-|\nB|-----|\nG|-----|\nD|-----|\nA|-----|\nE|-----|\n"), 0o666))
	got := lickwright("convert", "--as", "degrees", path)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, "--key")
	got = lickwright("convert", "-q", "--as", "degrees", "--key", "A minor", path)
	assert.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "H 5 b7")
}

// A fault in a text of degrees is said with its line, column and a hint.
func TestDegreesFaults(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.degrees")
	require.NoError(t, os.WriteFile(path, []byte("Degrees: minor\nQ 1 h3 y |\n"), 0o666))
	got := lickwright("convert", "--as", "tab", path)
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.err, path+":2:8: \"y\" is no degree")
	assert.Empty(t, got.out)
}

// TestDegreesInEveryKeyTuningAndScheme: what a scheme lays out on a neck, in
// every key, is written as degrees and read back in that key and tuning, and
// fingered by the scheme it lies where it lay.
func TestDegreesInEveryKeyTuningAndScheme(t *testing.T) {
	minor, err := theory.ScaleByName("minor pentatonic")
	require.NoError(t, err)
	dorian, err := theory.ScaleByName("dorian")
	require.NoError(t, err)
	window, err := fretboard.ParseWindow("5-9")
	require.NoError(t, err)
	schemes := []fretboard.Scheme{
		fretboard.ChordShape{}, fretboard.PerString{Notes: []int{3}}, fretboard.PerString{Notes: []int{2}}, fretboard.Position{Fret: 5}, fretboard.Open{}, window,
	}
	count := 0
	for i, tonic := range theory.PracticalTonics(theory.Minor) {
		for j, preset := range fretboard.Presets() {
			if (i+j)%3 != 0 {
				continue // every tuning comes with four of the keys
			}
			neck := fretboard.Neck{Tuning: preset.Tuning, Frets: 22}
			for k, scheme := range schemes {
				scale := minor
				if (i+k)%2 == 0 {
					scale = dorian
				}
				tones := fretboard.ScaleTones(tonic, scale)
				regions, err := scheme.Regions(neck, tones)
				if err != nil {
					continue // this neck cannot have it
				}
				region := regions[(i+k)%len(regions)]
				s := laidOut(region, tones, theory.Key{Tonic: tonic, Mode: theory.Minor})
				if s == nil {
					continue
				}
				s, _ = transform.Refinger(s, transform.RefingerOptions{Region: &region})
				var text strings.Builder
				require.NoError(t, degrees.Write(&text, s, score.WriteOptions{}))
				key := theory.Key{Tonic: tonic}
				doc, err := degrees.Read(strings.NewReader(text.String()), "x", score.ReadOptions{Key: &key, TonicOnly: true, Tuning: &neck.Tuning})
				require.NoError(t, err, text.String())
				again, _ := transform.Refinger(doc.Score(), transform.RefingerOptions{Region: &region})
				require.Equal(t, placesOf(s), placesOf(again), "%v %s %v\n%s", tonic, preset.Key, scheme, text.String())
				count++
			}
		}
	}
	assert.Greater(t, count, 400)
}

// laidOut makes a phrase of eighths of what a region holds, down and up in
// thirds; nil if that is next to nothing.
func laidOut(r fretboard.Region, tones fretboard.ToneSet, key theory.Key) *score.Score {
	spots := r.Lay(tones).Spots
	if len(spots) < 4 {
		return nil
	}
	p := &score.Part{ID: "P1", Staves: 1}
	m := &score.Measure{Number: "1", Length: score.Q(4, 1), Nominal: score.Q(4, 1)}
	m.Events = append(m.Events, &score.NeckChange{Neck: r.Neck}, &score.KeySignature{Key: key, ModeSaid: true})
	for i := range 8 {
		spot := spots[(i*2+i/2)%len(spots)]
		m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: score.Q(int64(i), 2), Staff: 1}, Voice: 1, Duration: score.Q(1, 2),
			Notes: []*score.Note{{Pitch: spot.Pitch, Place: spot.Place}}})
	}
	p.Measures = []*score.Measure{m}
	return &score.Score{Parts: []*score.Part{p}}
}

type placed struct {
	pitch theory.Pitch
	place fretboard.Place
}

func placesOf(s *score.Score) (list []placed) {
	for n := range score.Notes(s) {
		list = append(list, placed{n.Pitch, n.Place})
	}
	return list
}

// What was done to get a phrase onto the neck is taken back where it is
// written as degrees again: the octave of a bass, and the harmonic that the neck
// has in place of the one that was typed.
func TestDegreesComeBackFromTheNeck(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.degrees")
	text := "Degrees: major\nTime: 4/4\n\nQ 1:harm 3 +1 x@2 |\n"
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	assert.Equal(t, text, lickwright("convert", "-q", "--key", "A", path).out)
	assert.Equal(t, text, lickwright("convert", "-q", "--key", "A", "--tuning", "bass", path).out)
	for _, args := range [][]string{{"--by", "M2"}, {"--to", "C"}} {
		got := lickwright(append(append([]string{"transpose", "-q", "--key", "A"}, args...), path)...)
		assert.Equal(t, text, got.out, "%v: a key is no part of the text", args)
	}
	got := lickwright("refinger", "-q", "--key", "A", "--frets", "5-9", path)
	assert.Equal(t, text, got.out, "nor is a fingering")
}
