package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/internal/outside"
)

// A file of the shared data says F2 and, on the tab, a fret that is G♭2.
func TestTrust(t *testing.T) {
	file := filepath.Join(outside.Shared(t, "data", "musicxml-tab"), "triplet-and-bend.musicxml")
	for winner, fret := range map[string]string{"fret": "4b8", "pitch": "3b7"} {
		r := lickwright("convert", "--as", "tab", "--trust", winner, file)
		assert.Equal(t, exitDone, r.code)
		assert.Contains(t, r.out, fret)
		assert.Contains(t, r.err, "measure 2: the pitch says F2, string 6 fret 4 says G♭2; read as the "+winner)
	}
	r := lickwright("convert", "--as", "tab", "--trust", "frets", file)
	assert.Equal(t, exitUsage, r.code)
	assert.Contains(t, r.err, "did you mean fret?")
}
