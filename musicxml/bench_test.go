package musicxml_test

import (
	"bytes"
	"fmt"
	"io"
	"testing"

	"github.com/beevik/etree"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// sizes are the numbers of notes of the generated documents.
var sizes = []int{1_000, 10_000, 100_000}

func bySize(b *testing.B, f func(b *testing.B, data []byte)) {
	for _, n := range sizes {
		data := musicxml.Generated(n)
		b.Run(fmt.Sprintf("notes=%d", n), func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			f(b, data)
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
		})
	}
}

func mustRead(b *testing.B, data []byte) *musicxml.Document {
	d, err := musicxml.Read(bytes.NewReader(data), "bench", score.ReadOptions{})
	if err != nil {
		b.Fatal(err)
	}
	return d
}

func BenchmarkRead(b *testing.B) {
	bySize(b, func(b *testing.B, data []byte) {
		for b.Loop() {
			mustRead(b, data)
		}
	})
}

// BenchmarkReadTransposeWrite is the whole way of a file to another key.
func BenchmarkReadTransposeWrite(b *testing.B) {
	bySize(b, func(b *testing.B, data []byte) {
		for b.Loop() {
			d := mustRead(b, data)
			moved, _ := transform.Transpose(d.Score(), theory.Interval{Steps: 2, Semitones: 3}, transform.TransposeOptions{})
			out, err := d.Apply(moved)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := out.WriteTo(io.Discard); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkBaseline is etree's own read and write of the same bytes, which
// the others are measured against.
func BenchmarkBaseline(b *testing.B) {
	bySize(b, func(b *testing.B, data []byte) {
		for b.Loop() {
			doc := etree.NewDocument()
			if err := doc.ReadFromBytes(data); err != nil {
				b.Fatal(err)
			}
			if _, err := doc.WriteTo(io.Discard); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkApply(b *testing.B) {
	bySize(b, func(b *testing.B, data []byte) {
		d := mustRead(b, data)
		moved, _ := transform.Transpose(d.Score(), theory.Interval{Steps: 2, Semitones: 3}, transform.TransposeOptions{})
		for b.Loop() {
			if _, err := d.Apply(moved); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkWrite(b *testing.B) {
	bySize(b, func(b *testing.B, data []byte) {
		s := mustRead(b, data).Score()
		for b.Loop() {
			if err := musicxml.Write(io.Discard, s, score.WriteOptions{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
