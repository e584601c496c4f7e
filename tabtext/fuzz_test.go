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

// seedTexts are the texts of the corpus and a few that were written.
func seedTexts(t testing.TB) [][]byte {
	t.Helper()
	var texts [][]byte
	files, err := filepath.Glob("testdata/found/*.txt")
	require.NoError(t, err)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		texts = append(texts, data)
	}
	for seed := range uint64(6) {
		var b bytes.Buffer
		require.NoError(t, Write(&b, generate(seed, 3, true), score.WriteOptions{}))
		texts = append(texts, b.Bytes())
	}
	return append(texts, []byte("e|-3-|\nB|---|\nG|---|"), []byte("---3---\n---x---\n-------\n"))
}

// fuzzTexts fuzzes with a check of texts.
func fuzzTexts(f *testing.F, check func(t testing.TB, data []byte)) {
	for _, text := range seedTexts(f) {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, data []byte) { check(t, data) })
}

// FuzzRead checks what checkRead says.
func FuzzRead(f *testing.F) { fuzzTexts(f, checkRead) }

// checkRead: no text makes the reader panic, and every node of what it reads
// stands inside of the text, on the line and column that its position says.
func checkRead(t testing.TB, data []byte) {
	t.Helper()
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
}

// FuzzInPlace checks what checkInPlace says.
func FuzzInPlace(f *testing.F) { fuzzTexts(f, checkInPlace) }

// checkInPlace: applying what was read gives the same bytes.
func checkInPlace(t testing.TB, data []byte) {
	t.Helper()
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
}

// FuzzWriteRead checks what checkWriteRead says.
func FuzzWriteRead(f *testing.F) { fuzzTexts(f, checkWriteRead) }

// checkWriteRead: what was read from any text, written as new tab and read
// again is the same music, unless the writer says that something is lost.
func checkWriteRead(t testing.TB, data []byte) {
	t.Helper()
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
}
