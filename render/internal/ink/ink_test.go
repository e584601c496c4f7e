package ink

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/quick"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

func black() Color { return Hex(0x000000) }

// each shape once, with every kind of paint.
func sampler() Picture {
	line := Paint{Stroke: black(), Width: 2}
	p := Picture{Width: 200, Height: 100, Title: "a <title> & \"more\"", Desc: "what is to be seen", ID: "s1", Background: Hex(0xffffff)}
	g := Group{X: 100, Y: 50, Scale: .5, Title: "a group", Class: "dot", Data: []Data{{"fret", "7"}, {"name", "B♭"}}}
	g.Add(Circle{R: 20, Paint: Paint{Fill: Color{R: 0xff, A: 0x80}}}, Text{Text: "♭3", Size: 20, Anchor: Middle, Fit: true, Fill: black()})
	p.Add(Rect{X: 10, Y: 10, W: 40, H: 30, Radius: 5, Paint: line}, Line{X1: 10, Y1: 60, X2: 90, Y2: 60, Paint: Paint{Stroke: black(), Width: 3, Dash: []float64{6, 4}}},
		(&Path{Paint: line}).MoveTo(10, 80).CurveTo(30, 60, 60, 100, 90, 80), Polygon(Paint{Fill: black()}, 150, 10, 170, 10, 160, 30),
		Text{X: 150, Y: 90, Size: 12, Text: "Ab & <c>", Bold: true, Italic: true, Mono: true, Anchor: End, Fill: black(), Halo: Hex(0xffffff), HaloWidth: 2}, g)
	return p
}

func svgOf(t testing.TB, p Picture) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, p.WriteSVG(&b))
	return b.String()
}

func TestSVGHoldsEveryShapeAndItsTexts(t *testing.T) {
	count := map[string]int{}
	var texts []string
	dec := xml.NewDecoder(strings.NewReader(svgOf(t, sampler())))
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			count[tok.Name.Local]++
			if tok.Name.Local == "svg" {
				assert.Contains(t, tok.Attr, xml.Attr{Name: xml.Name{Local: "aria-labelledby"}, Value: "s1-title s1-desc"})
			}
			if tok.Name.Local == "g" {
				assert.Contains(t, tok.Attr, xml.Attr{Name: xml.Name{Local: "data-name"}, Value: "B♭"})
			}
		case xml.CharData:
			if s := strings.TrimSpace(string(tok)); s != "" {
				texts = append(texts, s)
			}
		}
	}
	assert.Equal(t, map[string]int{"svg": 1, "title": 2, "desc": 1, "rect": 2, "line": 1, "path": 2, "text": 2, "g": 1, "circle": 1}, count)
	assert.Equal(t, []string{`a <title> & "more"`, "what is to be seen", "Ab & <c>", "a group", "♭3"}, texts)
}

// Whatever a title holds, the file is well-formed, and says it if XML can.
func TestAnyTextIsWellFormed(t *testing.T) {
	says := func(s string) bool {
		p := Picture{Width: 1, Height: 1, Title: s, ID: "x"}
		p.Add(Text{Text: s, Class: s})
		var got struct {
			Title string `xml:"title"`
		}
		if err := xml.Unmarshal([]byte(svgOf(t, p)), &got); err != nil {
			return false
		}
		clean := strings.Map(func(r rune) rune {
			if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xfffe || r == 0xffff || r >= 0xd800 && r < 0xe000 {
				return '\ufffd'
			}
			return r
		}, s)
		return got.Title == clean
	}
	require.NoError(t, quick.Check(says, nil))
	assert.True(t, says("\x00\x1b]]> <script>&\ufffe 𝄪"))
}

func TestXMLLint(t *testing.T) {
	lint := outside.Program(t, "xmllint")
	path := filepath.Join(t.TempDir(), "a.svg")
	require.NoError(t, os.WriteFile(path, []byte(svgOf(t, sampler())), 0o666))
	out, err := exec.Command(lint, "--noout", path).CombinedOutput()
	assert.NoError(t, err, string(out))
}

// coverage returns how much of the picture is black, in pixels.
func coverage(img *image.RGBA) float64 {
	sum := 0.0
	for i := 3; i < len(img.Pix); i += 4 {
		sum += float64(img.Pix[i]) / 0xff
	}
	return sum
}

// The areas of elementary geometry.
func TestRasterCoversTheArea(t *testing.T) {
	for _, test := range []struct {
		name  string
		shape Shape
		area  float64
	}{
		{"rectangle", Rect{X: 10.5, Y: 10, W: 30, H: 20, Paint: Paint{Fill: black()}}, 600},
		{"round rectangle", Rect{X: 10, Y: 10, W: 30, H: 20, Radius: 6, Paint: Paint{Fill: black()}}, 600 - (4-math.Pi)*36},
		{"disc", Circle{50, 50, 20, Paint{Fill: black()}}, math.Pi * 400},
		{"ring", Circle{50, 50, 20, Paint{Stroke: black(), Width: 4}}, 2 * math.Pi * 20 * 4},
		{"triangle", Polygon(Paint{Fill: black()}, 10, 10, 50, 10, 10, 40), 600},
		{"line", Line{10, 10, 40, 50, Paint{Stroke: black(), Width: 3}}, 150},
		{"line with round ends", Line{10, 10, 40, 50, Paint{Stroke: black(), Width: 6, Round: true}}, 300 + math.Pi*9},
		{"dashes", Line{10, 10, 60, 10, Paint{Stroke: black(), Width: 2, Dash: []float64{6, 4}}}, 60},
		{"scaled group", Group{X: 10, Y: 10, Scale: 2, Shapes: []Shape{Rect{W: 10, H: 10, Paint: Paint{Fill: black()}}}}, 400},
		{"off the picture", Circle{0, 50, 20, Paint{Fill: black()}}, math.Pi * 200},
	} {
		t.Run(test.name, func(t *testing.T) {
			for _, scale := range []float64{1, 2.5} {
				img, err := Picture{Width: 100, Height: 100, Shapes: []Shape{test.shape}}.Raster(scale)
				require.NoError(t, err)
				assert.InEpsilon(t, test.area*scale*scale, coverage(img), .02, "scale %v", scale)
			}
		})
	}
}

// A half transparent line over itself is no darker: the pieces of a stroke
// add up to one.
func TestStrokeIsEvenlyTransparent(t *testing.T) {
	half := Color{A: 0x80}
	p := (&Path{Paint: Paint{Stroke: half, Width: 6}}).MoveTo(10, 10).LineTo(50, 10).LineTo(10, 14)
	img, err := Picture{Width: 60, Height: 30, Shapes: []Shape{p}}.Raster(1)
	require.NoError(t, err)
	for i := 3; i < len(img.Pix); i += 4 {
		assert.LessOrEqual(t, img.Pix[i], uint8(0x80))
	}
}

func TestTextIsAsWideAsItIsDrawn(t *testing.T) {
	for _, s := range []string{"H", "♭♭H", "♯11", "♮", "MMMMMM", "3"} {
		for _, bold := range []bool{false, true} {
			text := Text{X: 100, Y: 50, Size: 30, Text: s, Bold: bold, Anchor: Middle, Fill: black()}
			img, err := Picture{Width: 200, Height: 100, Shapes: []Shape{text}}.Raster(1)
			require.NoError(t, err)
			var box image.Rectangle
			for y := range 100 {
				for x := range 200 {
					if img.RGBAAt(x, y).A > 0x40 {
						box = box.Union(image.Rect(x, y, x+1, y+1))
					}
				}
			}
			assert.InDelta(t, text.Width(), box.Dx(), 30*.2, s)
			assert.InDelta(t, 100, float64(box.Min.X+box.Max.X)/2, 30*.06, s)
			if s == "H" {
				assert.InDelta(t, 30*CapHeight, box.Dy(), 1)
			}
		}
	}
}

func TestPNGReadsBack(t *testing.T) {
	var b bytes.Buffer
	p := sampler()
	require.NoError(t, p.WritePNG(&b, 2))
	img, err := png.Decode(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 400, 200), img.Bounds())
	var again bytes.Buffer
	require.NoError(t, sampler().WritePNG(&again, 2))
	assert.Equal(t, b.Bytes(), again.Bytes())

	p.Background = Color{}
	clear, err := p.Raster(1)
	require.NoError(t, err)
	assert.Zero(t, clear.RGBAAt(0, 0).A)
}

func TestRasterRefusesSizes(t *testing.T) {
	for _, p := range []Picture{{}, {Width: 1}, {Width: -1, Height: 1}, {Width: math.NaN(), Height: 1}, {Width: 1e6, Height: 1e6}} {
		_, err := p.Raster(1)
		assert.Error(t, err)
	}
	_, err := Picture{Width: 1, Height: 1}.Raster(0)
	assert.Error(t, err)
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestFailingWriters(t *testing.T) {
	assert.ErrorIs(t, sampler().WriteSVG(failing{}), io.ErrClosedPipe)
	assert.ErrorIs(t, sampler().WritePNG(failing{}, 1), io.ErrClosedPipe)
}

func TestNumbersAreShortAndNeverNegativeZero(t *testing.T) {
	for want, f := range map[string]float64{"0": -0.001, "1": 1, "1.5": 1.5, "0.33": 1. / 3, "-2.25": -2.25, "100": 99.999} {
		assert.Equal(t, want, number(f))
	}
}
