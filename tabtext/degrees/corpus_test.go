package degrees

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// TestCorpus: the published files of MusicXML that others made, the unofficial
// test suite and whole songs, go through a text of degrees and back. What is
// reported lost may be missing; all else is the same.
func TestCorpus(t *testing.T) {
	var files []string
	for _, folder := range []string{"musicxml-suite", "musicxml-tab", "musicxml-songs"} {
		found, err := filepath.Glob(filepath.Join(outside.Shared(t, "data"), folder, "*"))
		require.NoError(t, err)
		files = append(files, found...)
	}
	whole := 0
	for _, path := range files {
		if !slices.Contains([]string{".xml", ".musicxml", ".mxl"}, filepath.Ext(path)) {
			continue
		}
		f, err := os.Open(path)
		require.NoError(t, err)
		d, err := musicxml.Read(f, path, score.ReadOptions{})
		f.Close()
		if err != nil || len(d.Score().Parts) == 0 {
			continue // the readers of MusicXML have their own tests
		}
		s := d.Score().Clone()
		if _, ok := firstKey(s); !ok {
			m := s.Parts[0].Measures[0]
			m.Events = slices.Insert(m.Events, 0, score.Event(&score.KeySignature{}))
		}
		text, said := written(t, s)
		lost := slices.ContainsFunc(said, func(l string) bool { return strings.Contains(l, "lost") })
		k, _ := firstKey(s)
		again := readIn(t, text, theory.Key{Tonic: k.Key.Tonic}, score.ReadOptions{})
		twice, _ := written(t, again.Score())
		assert.Equal(t, text, twice, "%s", filepath.Base(path))
		if !lost {
			whole++
			assert.Equal(t, describe(s), describe(again.Score()), "%s\n%s", filepath.Base(path), text)
		}
	}
	assert.Greater(t, whole, 40)
}
