package musicxml_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// A heardNote is one note as a listener notes it down.
type heardNote struct {
	at  int // in 1/48 of a quarter note, rounded: the reader counts in floats
	key int // MIDI key number
	tab bool
}

// heard asks the npm library verovio what is in MusicXML files. It reads
// notation by pitch, and tab by tuning and fret, without looking at <pitch>.
func heard(t *testing.T, files []string) [][]heardNote {
	t.Helper()
	script := os.Getenv("LICKWRIGHT_HEARD")
	if script == "" {
		outside.Absent(t, "LICKWRIGHT_HEARD does not name the script of an independent reader (see .ci/heard/install)")
	}
	cmd := exec.Command(outside.Program(t, "node"), append([]string{script}, files...)...)
	out, err := cmd.Output()
	require.NoError(t, err)
	var all [][]heardNote
	for line := range bytes.Lines(out) {
		var raw [][3]any
		require.NoError(t, json.Unmarshal(line, &raw))
		var notes []heardNote
		for _, r := range raw {
			notes = append(notes, heardNote{int(math.Round(r[0].(float64) * 48)), int(r[1].(float64)), r[2].(bool)})
		}
		all = append(all, sorted(notes))
	}
	require.Len(t, all, len(files))
	return all
}

func sorted(notes []heardNote) []heardNote {
	slices.SortFunc(notes, func(a, b heardNote) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.key, b.key), boolCompare(a.tab, b.tab))
	})
	return notes
}

func boolCompare(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// meant lists what a score says is to be heard: notation and, if asked for,
// tab.
func meant(s *score.Score, tab bool) []heardNote {
	var out []heardNote
	for _, p := range s.Parts {
		start := score.Quarters{}
		for _, m := range p.Measures {
			for c := range m.Chords() {
				at := start.Add(c.Onset)
				for _, n := range c.Notes {
					if n.TieStop || n.Unpitched {
						continue
					}
					h := heardNote{int(math.Round(at.Float() * 48)), n.Pitch.MIDI(), false}
					out = append(out, h)
					if !n.Place.IsZero() && tab {
						h.tab = true
						out = append(out, h)
					}
				}
			}
			start = start.Add(m.Length)
		}
	}
	return sorted(out)
}

// TestIndependentReader writes random scores and asks an independent reader
// what it hears, by pitch on the notation and by fret on the tab.
func TestIndependentReader(t *testing.T) {
	dir := t.TempDir()
	var files []string
	var scores []*score.Score
	for seed := range uint64(40) {
		s := randomScore(rand.New(rand.NewPCG(seed, 3)))
		s.Parts = s.Parts[:1] // bars of several parts would differ in length
		plainForHearing(s)
		var b bytes.Buffer
		require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{}))
		file := filepath.Join(dir, fmt.Sprintf("%d.musicxml", seed))
		require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
		files, scores = append(files, file), append(scores, s)
	}
	for i, got := range heard(t, files) {
		if !assert.Equal(t, meant(scores[i], true), got, "seed %d", i) {
			data, _ := os.ReadFile(files[i])
			t.Log(string(data))
			return
		}
	}
}

// TestIndependentReaderOnMovedFiles transposes the shared files with tab and
// asks the independent reader about both: every note has moved by as much, on
// the notation and on the tab.
func TestIndependentReaderOnMovedFiles(t *testing.T) {
	by := theory.Interval{Steps: 2, Semitones: 3}
	dir := t.TempDir()
	var before, after []string
	for _, name := range []string{"tutorial-tablature.xml", "bends.musicxml", "bend-and-release.musicxml", "slides.musicxml", "triplet-and-bend.musicxml"} {
		file := filepath.Join(outside.Shared(t, "data", "musicxml-tab"), name)
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d := read(t, data, file)
		moved, report := transform.Transpose(d.Score(), by, transform.TransposeOptions{})
		require.Empty(t, report, "nothing had to be put elsewhere")
		out, err := d.Apply(moved)
		require.NoError(t, err)
		before, after = append(before, file), append(after, filepath.Join(dir, name))
		require.NoError(t, os.WriteFile(after[len(after)-1], written(t, out), 0o600))
	}
	was, now := heard(t, before), heard(t, after)
	for i := range was {
		for j := range was[i] {
			was[i][j].key += by.Semitones
		}
		assert.NotEmpty(t, was[i])
		assert.Equal(t, was[i], now[i], before[i])
	}
}

// plainForHearing takes out what the independent reader does otherwise: it
// plays repeats, bends and harmonics as it likes and knows no capo.
func plainForHearing(s *score.Score) {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.Barline); return ok })
			for _, e := range m.Events {
				if n, ok := e.(*score.NeckChange); ok && n.Neck.Capo > 0 {
					n.Neck.Capo = 0
					for note := range score.Notes(p) {
						note.Pitch = theory.SpellIn(theory.Key{}, n.Neck.Stopped(note.Place))
					}
				}
			}
		}
	}
}
