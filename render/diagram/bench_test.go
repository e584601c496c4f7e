package diagram

import (
	"io"
	"testing"

	"example.org/lickwright/theory/fretboard"
)

func BenchmarkDraw(b *testing.B) {
	c, r := scaleOf(b, "C major")
	n := fretboard.Guitar()
	ls := layouts(b, fretboard.ChordShape{}, n, c.Scale)
	d, err := OfNeck(n, c.Scale, r, 0, n.TopFret(), ls, fretboard.ScaleLength)
	if err != nil {
		b.Fatal(err)
	}
	for _, out := range []struct {
		name  string
		write func(Picture) error
	}{
		{"svg", func(p Picture) error { return p.WriteSVG(io.Discard) }},
		{"png", func(p Picture) error { return p.WritePNG(io.Discard, 2) }},
		{"pixels", func(p Picture) error { _, err := p.Raster(2); return err }},
	} {
		b.Run(out.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := out.write(Draw("C major", []Diagram{d}, Options{})); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(d.Dots)*b.N)/b.Elapsed().Seconds(), "notes/s")
		})
	}
}
