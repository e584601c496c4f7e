package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// FuzzCommands holds what must be so for any input at all: a conversion to
// the same format is the identity on bytes or is refused, a move by a unison
// too, and nothing makes the program fail.
func FuzzCommands(f *testing.F) {
	files, err := filepath.Glob(example("*.*"))
	require.NoError(f, err)
	for _, path := range files {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(string(data), "m3")
	}
	f.Add("e|--3--|", "-P8")
	f.Add("<score-partwise/>", "A1")
	f.Add("PK\x03\x04", "")
	f.Fuzz(func(t *testing.T, input, by string) {
		got := lickwrightOn(input, "convert")
		assert.NotContains(t, got.err, fault)
		if got.code == exitDone {
			require.Equal(t, input, got.out)
		} else {
			require.Equal(t, exitFailure, got.code, got.err)
			require.Empty(t, got.out)
		}
		for _, args := range [][]string{{"--by", "P1"}, {"--by", by}, {"--by", by, "--as", "tab"}, {"--by", by, "--as", "musicxml"}} {
			moved := lickwrightOn(input, append([]string{"transpose"}, args...)...)
			assert.NotContains(t, moved.err, fault)
			if len(args) == 2 && args[1] == "P1" && got.code == exitDone {
				require.Equal(t, input, moved.out)
			}
		}
	})
}
