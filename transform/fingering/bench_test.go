package fingering

import (
	"math/rand/v2"
	"testing"

	"example.org/lickwright/theory/fretboard"
)

// line is a melody of n notes that wanders by step and leap through the range
// of the guitar, in eighths with some other values.
func line(n int) *Problem {
	r := rand.New(rand.NewPCG(5, uint64(n)))
	p := &Problem{Neck: fretboard.Guitar(), Groups: make([]Group, n)}
	scale := []int{0, 2, 4, 5, 7, 9, 11}
	at, step := 0.0, 10
	for i := range p.Groups {
		step = min(max(step+r.IntN(7)-3, 0), 24)
		d := []float64{0.5, 0.5, 0.5, 0.5, 0.25, 1}[r.IntN(6)]
		p.Groups[i] = Group{Onset: at, Notes: []Note{{Pitch: 43 + step/7*12 + scale[step%7], Duration: d}}}
		at += d
	}
	return p
}

// chordal is n chords of three to five notes: stacks of thirds and sixths
// over the roots of a key, as a song goes round them.
func chordal(n int) *Problem {
	r := rand.New(rand.NewPCG(6, uint64(n)))
	p := &Problem{Neck: fretboard.Guitar(), Groups: make([]Group, n)}
	stacks := [][]int{{0, 7, 12, 16}, {0, 7, 12, 15, 19}, {0, 10, 16}, {0, 7, 10, 15}, {0, 12, 16, 19, 24}, {0, 11, 16}}
	for i := range p.Groups {
		root := 43 + []int{0, 5, 7, 9, 2, 4}[r.IntN(6)]
		var g Group
		g.Onset = float64(i)
		for _, k := range stacks[r.IntN(len(stacks))] {
			g.Notes = append(g.Notes, Note{Pitch: root + k, Duration: 1})
		}
		p.Groups[i] = g
	}
	return p
}

func benchmarkSolve(b *testing.B, p *Problem, unit string) {
	w := ByHand()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(p, w); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(p.Groups))*float64(b.N)/b.Elapsed().Seconds(), unit)
}

func BenchmarkLine1k(b *testing.B)   { benchmarkSolve(b, line(1000), "notes/s") }
func BenchmarkLine100k(b *testing.B) { benchmarkSolve(b, line(100_000), "notes/s") }
func BenchmarkLine1M(b *testing.B)   { benchmarkSolve(b, line(1_000_000), "notes/s") }
func BenchmarkChords(b *testing.B)   { benchmarkSolve(b, chordal(20_000), "groups/s") }
