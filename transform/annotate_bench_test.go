package transform

import (
	"math/rand/v2"
	"testing"

	"example.org/lickwright/score"
)

// BenchmarkAnnotate: the time grows with the number of notes.
func BenchmarkAnnotate(b *testing.B) {
	for _, bars := range []int{50, 500} {
		s := generated(rand.New(rand.NewPCG(1, 44)), bars)
		notes := 0
		for range score.Notes(s) {
			notes++
		}
		b.Run(s.Parts[0].BarName(bars-1)+" bars", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Annotate(s, AnnotateOptions{Show: score.LabelKinds()})
			}
			b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
		})
	}
}
