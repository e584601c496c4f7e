package degrees

import (
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

func benchText(b *testing.B) (string, int, *score.Score) {
	var text strings.Builder
	text.WriteString("Degrees: minor\n\n")
	for range 2000 {
		text.WriteString("E 1 b3 4 h5 Q b7^1 E +1 p5 | [3:2 E 4 b3 1] Q 5:vib H 1&b3&5 |\n")
	}
	key := theory.Key{Tonic: theory.NoteName{Step: theory.A}}
	d, err := Read(strings.NewReader(text.String()), "x", score.ReadOptions{Key: &key, TonicOnly: true})
	require.NoError(b, err)
	notes := 0
	for range score.Notes(d.Score()) {
		notes++
	}
	return text.String(), notes, d.Score()
}

func BenchmarkRead(b *testing.B) {
	text, notes, _ := benchText(b)
	b.ReportAllocs()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := Read(strings.NewReader(text), "x", score.ReadOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

func BenchmarkWrite(b *testing.B) {
	text, notes, s := benchText(b)
	b.ReportAllocs()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if err := Write(io.Discard, s, score.WriteOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}
