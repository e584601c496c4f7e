package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Inspect says the same of a file in both formats.
func TestInspectInBothFormats(t *testing.T) {
	view := func(file string) map[string]any {
		got := lickwright("inspect", "-q", "--json", example(file))
		require.Equal(t, exitDone, got.code, got.err)
		var v struct{ Files []map[string]any }
		require.NoError(t, json.Unmarshal([]byte(got.out), &v))
		require.Len(t, v.Files, 1)
		return v.Files[0]["parts"].([]any)[0].(map[string]any)
	}
	tab, xml := view("amber-street.tab"), view("amber-street.musicxml")
	for _, key := range []string{"bars", "notes", "key", "keyFrom", "keyGuesses", "degrees", "scales", "elsewhere", "range", "strongBeats", "guideTones"} {
		require.Contains(t, tab, key)
		assert.Equal(t, tab[key], xml[key], key)
	}
	neck := func(v map[string]any) any { return v["neck"].(map[string]any)["positions"] }
	assert.Equal(t, neck(tab), neck(xml))
}

func TestInspectText(t *testing.T) {
	got := lickwright("inspect", example("amber-street.tab"), example("kitchen-waltz.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	for _, says := range []string{"A minor (as the music says)", "guessed from the notes", "perhaps ", "positions", "guide tones", "picking strict", "see a teacher or a clinician",
		"A dorian: B is not played", "D major: all its notes are played", "bar 1: written Am7; by the notes perhaps "} {
		assert.Contains(t, got.out, says)
	}
	for _, bad := range [][]string{{"--picking", "any"}, {"--scale-length", "3"}} {
		got := lickwright(append([]string{"inspect", example("amber-street.tab")}, bad...)...)
		assert.Equal(t, exitUsage, got.code)
	}
}

// A part's name that is broken over lines on the page stands on one, and where
// only the chromatic scale holds all notes, that is said.
func TestInspectNamesPartsOnOneLine(t *testing.T) {
	part := func(id, name, notes string) (list, music string) {
		list = `<score-part id="` + id + `"><part-name>` + name + `</part-name></score-part>`
		return list, `<part id="` + id + `"><measure number="1"><attributes><divisions>1</divisions><time><beats>12</beats><beat-type>4</beat-type></time></attributes>` + notes + `</measure></part>`
	}
	notes := ""
	for _, step := range []string{"C", "D", "E", "F", "G", "A", "B"} {
		for _, alter := range []string{"", "<alter>1</alter>"} {
			if alter == "" || step != "E" && step != "B" {
				notes += "<note><pitch><step>" + step + "</step>" + alter + "<octave>4</octave></pitch><duration>1</duration></note>"
			}
		}
	}
	l1, m1 := part("P1", "Voice\nand hum", notes)
	l2, m2 := part("P2", "Lute", notes)
	path := filepath.Join(t.TempDir(), "two.musicxml")
	require.NoError(t, os.WriteFile(path, []byte(`<score-partwise version="4.0"><part-list>`+l1+l2+`</part-list>`+m1+m2+`</score-partwise>`), 0o644))
	got := lickwright("inspect", "-q", path)
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "== Voice and hum ==\n")
	assert.Contains(t, got.out, "none but the chromatic scale holds all notes\n")
	got = lickwright("inspect", "-q", "--part", "voice and hum", path)
	assert.Equal(t, exitDone, got.code, got.err)
	got = lickwright("convert", "--as", "tab", "--strict", "--part", "Voice", path)
	assert.Contains(t, got.err, "the parts are: 1 Voice and hum, 2 Lute\n")
}

// Nothing in the corpus is too odd to be looked at.
func TestInspectTheCorpus(t *testing.T) {
	for _, path := range readable(t) {
		got := lickwright("inspect", "-q", path)
		assert.Equal(t, exitDone, got.code, "%s: %s", path, got.err)
	}
}
