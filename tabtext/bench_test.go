package tabtext

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"example.org/lickwright/score"
)

// benchText makes a tab of about so many notes.
func benchText(b testing.TB, notes int) string {
	s := generate(5, 1+notes/9, false)
	var out strings.Builder
	if err := Write(&out, s, score.WriteOptions{}); err != nil {
		b.Fatal(err)
	}
	return out.String()
}

func countNotes(s *score.Score) int {
	n := 0
	for range score.Notes(s) {
		n++
	}
	return n
}

var benchSizes = []int{1_000, 10_000, 100_000}

func BenchmarkRead(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			benchRead(b, benchText(b, size))
		})
	}
}

// benchRead measures the reading of a text.
func benchRead(b *testing.B, text string) {
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	notes := 0
	for b.Loop() {
		d, err := Read(strings.NewReader(text), "x", score.ReadOptions{})
		if err != nil {
			b.Fatal(err)
		}
		notes = countNotes(d.Score())
	}
	b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

func BenchmarkApply(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			text := benchText(b, size)
			d, err := Read(strings.NewReader(text), "x", score.ReadOptions{})
			if err != nil {
				b.Fatal(err)
			}
			moved := shift(d.Score(), 1)
			notes := countNotes(moved)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := d.Apply(moved); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			s := generate(5, 1+size/9, false)
			var out bytes.Buffer
			if err := Write(&out, s, score.WriteOptions{}); err != nil {
				b.Fatal(err)
			}
			notes := countNotes(s)
			b.SetBytes(int64(out.Len()))
			b.ReportAllocs()
			for b.Loop() {
				if err := Write(io.Discard, s, score.WriteOptions{}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
		})
	}
}

// BenchmarkReadOneLine reads music on a single system, thousands of columns wide.
func BenchmarkReadOneLine(b *testing.B) {
	for _, bars := range []int{100, 1_000, 4_000} {
		b.Run(fmt.Sprint(bars), func(b *testing.B) {
			var text strings.Builder
			if err := Write(&text, generate(5, bars, true), score.WriteOptions{Width: 1 << 30}); err != nil {
				b.Fatal(err)
			}
			b.SetBytes(int64(text.Len()))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(strings.NewReader(text.String()), "x", score.ReadOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkHeld reports how many bytes a document holds for each byte of text.
func BenchmarkHeld(b *testing.B) {
	for _, size := range benchSizes {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			text := benchText(b, size)
			var before, after runtime.MemStats
			var d *Document
			for b.Loop() {
				d = nil
				runtime.GC()
				runtime.ReadMemStats(&before)
				var err error
				if d, err = Read(strings.NewReader(text), "x", score.ReadOptions{}); err != nil {
					b.Fatal(err)
				}
				runtime.GC()
				runtime.ReadMemStats(&after)
			}
			runtime.KeepAlive(d)
			b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/float64(len(text)), "bytes/byte")
		})
	}
}

// carelessText makes a text of about so many bytes from the careless tabs of testdata,
// which have no counts, and columns too many and too few.
func carelessText(b testing.TB, size int) string {
	files, err := filepath.Glob("testdata/careless/*.txt")
	if err != nil {
		b.Fatal(err)
	}
	var out strings.Builder
	for out.Len() < size {
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				b.Fatal(err)
			}
			out.Write(data)
			out.WriteByte('\n')
		}
	}
	return out.String()
}

// BenchmarkReadCareless reads tab whose rhythm is guessed from careless columns.
func BenchmarkReadCareless(b *testing.B) {
	for _, size := range []int{100_000, 1_000_000, 5_000_000} {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			benchRead(b, carelessText(b, size))
		})
	}
}
