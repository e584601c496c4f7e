package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/internal/prove"
	"example.org/lickwright/render/handout"
	"example.org/lickwright/render/midi"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
)

// manyTabs reads the examples, what is found in the wild, and random tab.
func manyTabs(t *testing.T) map[string]*score.Score {
	t.Helper()
	all := map[string]*score.Score{}
	add := func(name string, text []byte) {
		doc, err := tabtext.Read(bytes.NewReader(text), name, score.ReadOptions{})
		if err == nil {
			all[name] = doc.Score()
		}
	}
	for _, pattern := range []string{"testdata/examples/*.tab", "tabtext/testdata/found/*.txt"} {
		paths, err := filepath.Glob(filepath.Join(outside.Root(), filepath.FromSlash(pattern)))
		require.NoError(t, err)
		require.NotEmpty(t, paths)
		for _, path := range paths {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			add(filepath.Base(path), text)
		}
	}
	for seed := range uint64(40) {
		add(fmt.Sprintf("random %d", seed), []byte(randomTab(rand.New(rand.NewPCG(seed, 9)))))
	}
	return all
}

func itself(s *score.Score) []prove.Version {
	none := 0
	return []prove.Version{{Of: s, Semitones: &none, Exact: true}}
}

// TestSheetsAndSoundAreProved: what render/handout and render/midi write of any
// tab is proved from the bytes by code that shares nothing with them.
func TestSheetsAndSoundAreProved(t *testing.T) {
	proved := map[string]int{}
	for name, s := range manyTabs(t) {
		for format, render := range map[string]func(*bytes.Buffer) error{
			"html": func(b *bytes.Buffer) error { return handout.Write(b, s, score.WriteOptions{}) },
			"mid":  func(b *bytes.Buffer) error { return midi.Write(b, s, score.WriteOptions{}) },
			"swung": func(b *bytes.Buffer) error {
				return midi.Write(b, s, score.WriteOptions{Sound: score.Sound{Swing: score.Q(2, 3), Loop: 3, CountIn: 2, Click: true, Chords: true}})
			},
		} {
			var b bytes.Buffer
			require.NoError(t, render(&b), name)
			var proof prove.Proof
			if format == "html" {
				proof = prove.PrintedHTML(b.Bytes(), itself(s))
			} else {
				proof = prove.PlayedMIDI(b.Bytes(), itself(s))
			}
			assert.Empty(t, proof.Faults, "%s as %s", name, format)
			proved[format] += proof.Notes
		}
	}
	for format, notes := range proved {
		assert.Greater(t, notes, 1000, format)
	}
}

// TestOneWrongNumberOnASheet: one number changed on a sheet is found, wherever it
// stands.
func TestOneWrongNumberOnASheet(t *testing.T) {
	data, err := os.ReadFile(example("amber-street.tab"))
	require.NoError(t, err)
	doc, err := tabtext.Read(bytes.NewReader(data), "a.tab", score.ReadOptions{})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, handout.Write(&b, doc.Score(), score.WriteOptions{}))
	page := b.String()
	row := regexp.MustCompile(`<text data-string="\d".*?</text>`)
	number := regexp.MustCompile(`[ >](\d+)`)
	tried := 0
	for _, at := range row.FindAllStringIndex(page, -1) {
		body := at[0] + strings.Index(page[at[0]:at[1]], ">")
		for _, n := range number.FindAllStringSubmatchIndex(page[body:at[1]], -1) {
			from, to := body+n[2], body+n[3]
			fret, err := strconv.Atoi(page[from:to])
			require.NoError(t, err)
			wrong := strconv.Itoa(fret + 1)
			if len(wrong) != to-from {
				wrong = strconv.Itoa(fret - 1)
			}
			spoilt := page[:from] + wrong + page[to:]
			assert.NotEmpty(t, prove.PrintedHTML([]byte(spoilt), itself(doc.Score())).Faults, "%s", page[at[0]:at[1]])
			tried++
		}
	}
	assert.Equal(t, 2*23, tried, "on paper and on narrow screens")
	// A number on another string, and two that have changed places.
	for from, to := range map[string]string{`<text data-string="2"`: `<text data-string="3"`, `class="piece`: `class="peace`} {
		require.Contains(t, page, from)
		assert.NotEmpty(t, prove.PrintedHTML([]byte(strings.Replace(page, from, to, 1)), itself(doc.Score())).Faults, to)
	}
}

// TestOneWrongByteOfSound: each note of a MIDI file that has another key, or
// begins or ends at another time, is found.
func TestOneWrongByteOfSound(t *testing.T) {
	data, err := os.ReadFile(example("amber-street.tab"))
	require.NoError(t, err)
	doc, err := tabtext.Read(bytes.NewReader(data), "a.tab", score.ReadOptions{})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, midi.Write(&b, doc.Score(), score.WriteOptions{}))
	file := b.Bytes()
	require.Empty(t, prove.PlayedMIDI(file, itself(doc.Score())).Faults)
	found := 0
	for i := 22; i < len(file)-3; i++ {
		// A note-on of ours: a channel of a string, a key of the neck, not silent.
		if file[i]&0xf0 != 0x90 || file[i+1] < 40 || file[i+1] > 90 || file[i+2] == 0 || file[i+2] > 127 {
			continue
		}
		spoilt := slices.Clone(file)
		spoilt[i+1]++
		assert.NotEmpty(t, prove.PlayedMIDI(spoilt, itself(doc.Score())).Faults, "key at byte %d", i)
		if file[i-1] >= 8 && file[i-1] < 0x80 {
			spoilt = slices.Clone(file)
			spoilt[i-1] -= 8
			assert.NotEmpty(t, prove.PlayedMIDI(spoilt, itself(doc.Score())).Faults, "time at byte %d", i)
		}
		found++
	}
	assert.GreaterOrEqual(t, found, 20)
	for n := range file { // a file that is cut off anywhere
		assert.NotEmpty(t, prove.PlayedMIDI(file[:n], itself(doc.Score())).Faults, "%d bytes", n)
	}
}
