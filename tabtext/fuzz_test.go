package tabtext

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/require"
)

// seeds are the texts of the corpus and a few that were written.
func seeds(f *testing.F) {
	f.Helper()
	files, err := filepath.Glob("testdata/found/*.txt")
	require.NoError(f, err)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(data)
	}
	for seed := range uint64(6) {
		var b bytes.Buffer
		require.NoError(f, Write(&b, generate(seed, 3, true), score.WriteOptions{}))
		f.Add(b.Bytes())
	}
	f.Add([]byte("e|-3-|\nB|---|\nG|---|"))
	f.Add([]byte("---3---\n---x---\n-------\n"))
}

// FuzzRead: no text makes the reader panic, and every node of what it reads
// stands inside of the text, on the line and column that its position says.
func FuzzRead(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Read(bytes.NewReader(data), "f", score.ReadOptions{Report: func(score.Diagnostic) {}})
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		for _, p := range d.Score().Parts {
			for _, m := range p.Measures {
				require.False(t, m.Length.Invalid())
				sum := score.Quarters{}
				for c := range m.Chords() {
					if c.Grace == score.NotGrace {
						require.Equal(t, sum, c.Onset, "no gaps and no overlaps")
						sum = c.End()
					}
				}
				require.Equal(t, m.Length, sum)
			}
		}
		for n := range score.Notes(d.Score()) {
			if n.Src == 0 {
				continue // the music of a bar of %
			}
			pos := d.Score().PosOf(n.Src)
			require.True(t, pos.IsValid())
			require.Less(t, pos.Offset, len(data))
		}
	})
}

// FuzzInPlace: applying what was read gives the same bytes.
func FuzzInPlace(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Read(bytes.NewReader(data), "f", score.ReadOptions{})
		if err != nil {
			return
		}
		same, err := d.Apply(d.Score().Clone())
		require.NoError(t, err)
		var out bytes.Buffer
		_, err = same.WriteTo(&out)
		require.NoError(t, err)
		require.Equal(t, string(data), out.String())
		// An edit is carried out whole or refused; what it keeps is kept.
		moved, err := d.Apply(shift(d.Score(), 1))
		if err != nil {
			return
		}
		back, err := moved.Apply(d.Score())
		require.NoError(t, err)
		out.Reset()
		_, err = back.WriteTo(&out)
		require.NoError(t, err)
		require.Equal(t, string(data), out.String())
	})
}

// FuzzWriteRead: what was read from any text, written as new tab and read
// again is the same music, unless the writer says that something is lost.
func FuzzWriteRead(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Read(bytes.NewReader(data), "f", score.ReadOptions{})
		if err != nil {
			return
		}
		lost := false
		var out strings.Builder
		err = Write(&out, d.Score(), score.WriteOptions{Report: func(score.Diagnostic) { lost = true }})
		require.NoError(t, err)
		if lost {
			return
		}
		again, err := Read(strings.NewReader(out.String()), "f", score.ReadOptions{})
		require.NoError(t, err, "%s", out.String())
		if diff := compare(d.Score(), again.Score()); diff != nil {
			t.Fatalf("part %d measure %d\n%s\n%s\n%s", diff.part, diff.measure, diff, data, out.String())
		}
	})
}
