package ink

import (
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/vector"
)

// MaxPixels is the largest picture that is rasterised, in pixels.
const MaxPixels = 1 << 26

// WritePNG rasterises the picture at so many pixels to the user unit and
// writes it as PNG. A transparent background stays transparent.
func (p Picture) WritePNG(w io.Writer, scale float64) error {
	img, err := p.Raster(scale)
	if err != nil {
		return err
	}
	return png.Encode(w, img)
}

// Raster draws the picture at so many pixels to the user unit. The error says
// what is wrong with the size.
func (p Picture) Raster(scale float64) (*image.RGBA, error) {
	w, h := math.Ceil(p.Width*scale-1e-6), math.Ceil(p.Height*scale-1e-6)
	switch {
	case !(scale > 0 && p.Width > 0 && p.Height > 0):
		return nil, errors.New("ink: a picture needs a size above 0")
	case w*h > MaxPixels:
		return nil, fmt.Errorf("ink: a picture of %.0f × %.0f pixels is larger than %d", w, h, MaxPixels)
	}
	c := canvas{img: image.NewRGBA(image.Rect(0, 0, int(w), int(h)))}
	if p.Background.A > 0 {
		draw.Draw(c.img, c.img.Bounds(), image.NewUniform(p.Background), image.Point{}, draw.Src)
	}
	for _, s := range p.Shapes {
		c.shape(s, matrix{scale: scale})
	}
	return c.img, nil
}

type canvas struct {
	img *image.RGBA
	ras vector.Rasterizer
}

// tolerance is how far, in pixels, a flattened curve may be off.
const tolerance = 0.1

func (c *canvas) shape(s Shape, m matrix) {
	switch s := s.(type) {
	case Rect:
		c.path(s.path(), m)
	case Circle:
		c.path(s.path(), m)
	case Line:
		c.path(s.path(), m)
	case *Path:
		c.path(s, m)
	case Text:
		c.text(s, m)
	case Group:
		c.group(s, m)
	case *Group:
		c.group(*s, m)
	default:
		panic(fmt.Sprintf("ink: unknown shape %T", s))
	}
}

func (c *canvas) group(g Group, m matrix) {
	for _, s := range g.Shapes {
		c.shape(s, m.in(g))
	}
}

func (c *canvas) path(p *Path, m matrix) {
	lines := p.flatten(m, tolerance)
	if p.Fill.A > 0 {
		c.fill(lines, p.Fill)
	}
	if p.Stroke.A > 0 && p.Width > 0 {
		c.stroke(lines, p.Paint, m.scale)
	}
}

func (c *canvas) text(t Text, m matrix) {
	f := t.font()
	x := t.X
	switch t.Anchor {
	case Middle:
		x -= t.Width() / 2
	case End:
		x -= t.Width()
	}
	var lines []polyline
	for _, r := range t.Text {
		g := f.glyph(r)
		at := m.apply(point{x, t.Y})
		lines = append(lines, g.outline.flatten(matrix{m.scale * t.Size, at.x, at.y}, tolerance)...)
		x += g.advance * t.Size
	}
	if t.Halo.A > 0 && t.HaloWidth > 0 {
		c.stroke(lines, Paint{Stroke: t.Halo, Width: 2 * t.HaloWidth}, m.scale)
	}
	c.fill(lines, t.Fill)
}

// fill fills outlines by the non-zero rule.
func (c *canvas) fill(lines []polyline, col Color) {
	pieces := make([][]point, len(lines))
	for i, l := range lines {
		pieces[i] = l.pts
	}
	c.paint(pieces, col)
}

// paint fills closed pieces that overlap in one colour, so that what overlaps
// is not darker where the colour is transparent.
func (c *canvas) paint(pieces [][]point, col Color) {
	box := image.Rectangle{}
	for _, pts := range pieces {
		for _, p := range pts {
			box = box.Union(image.Rect(int(math.Floor(p.x)), int(math.Floor(p.y)), int(math.Ceil(p.x))+1, int(math.Ceil(p.y))+1))
		}
	}
	box = box.Intersect(c.img.Bounds())
	if box.Empty() {
		return
	}
	c.ras.Reset(box.Dx(), box.Dy())
	c.ras.DrawOp = draw.Over
	for _, pts := range pieces {
		for i, p := range pts {
			x, y := float32(p.x-float64(box.Min.X)), float32(p.y-float64(box.Min.Y))
			if i == 0 {
				c.ras.MoveTo(x, y)
			} else {
				c.ras.LineTo(x, y)
			}
		}
		c.ras.ClosePath()
	}
	c.ras.Draw(c.img, box, image.NewUniform(col), image.Point{})
}
