package degrees

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

func seeds(f *testing.F) {
	f.Helper()
	for seed := range uint64(8) {
		text, _ := written(f, generate(seed, 3, everyKey()[seed*11]))
		f.Add([]byte(text), int8(seed)-4)
	}
	for _, s := range []string{typed, "Degrees:\nE1 2 (bar) | ||: Q.3^5r4&x@2:pm ; skip:H (Q) :||x2\n", "Q 1\n//\nPart: two\nDegrees: 5\n{ii7}\n~1", "9 11 13 --♭3"} {
		f.Add([]byte(s), int8(2))
	}
}

// FuzzRead: no text makes the reader panic. What it reads is applied to give
// the same bytes, and written as a new text reads as the same music.
func FuzzRead(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte, fifths int8) {
		key := theory.KeyOf(int(fifths)%8, theory.Major)
		opt := score.ReadOptions{Key: &key, TonicOnly: true}
		d, err := Read(bytes.NewReader(data), "f", opt)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		same, err := d.Apply(d.Score().Clone())
		require.NoError(t, err)
		var out bytes.Buffer
		_, err = same.WriteTo(&out)
		require.NoError(t, err)
		require.Equal(t, string(data), out.String())
		for n := range score.Notes(d.Score()) {
			require.Less(t, d.Score().PosOf(n.Src).Offset, len(data))
		}
		lost := false
		var text strings.Builder
		require.NoError(t, Write(&text, d.Score(), score.WriteOptions{Report: func(d score.Diagnostic) {
			lost = lost || d.Severity > score.Info || strings.Contains(d.Code, "lost")
		}}))
		if lost || len(d.origin.strung) > 0 {
			return
		}
		again, err := Read(strings.NewReader(text.String()), "f", opt)
		require.NoError(t, err, "%s", text.String())
		require.Equal(t, describe(d.Score()), describe(again.Score()), "%s", text.String())
	})
}
