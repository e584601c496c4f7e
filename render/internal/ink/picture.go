package ink

import "image/color"

// Color is a colour with its opacity, not premultiplied. The zero value is
// none: nothing is drawn.
type Color = color.NRGBA

// Hex makes an opaque colour of a number such as 0x1f2d3d.
func Hex(rgb uint32) Color {
	return Color{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: 0xff}
}

// A Picture is a drawing with its size and its words for those who do not see
// it.
type Picture struct {
	Width, Height float64 // user units, above 0
	Title         string  // a few words: the accessible name
	Desc          string  // what is to be seen; "" for nothing beyond Title
	// ID begins the ids in the picture, so that several can stand in one
	// page: letters, digits and hyphens. "" is "picture".
	ID         string
	Background Color // the zero value is transparent
	Shapes     []Shape
}

// Add puts shapes on top of what is there.
func (p *Picture) Add(shapes ...Shape) { p.Shapes = append(p.Shapes, shapes...) }

// A Shape is [Rect], [Circle], [Line], [Path], [Text] or [Group]. The set is
// closed.
type Shape interface{ shape() }

// Paint is how a shape is filled and outlined.
type Paint struct {
	Fill   Color
	Stroke Color
	Width  float64   // of the stroke; 0 for none
	Dash   []float64 // lengths of dashes and gaps in turn; nil for a plain line
	Round  bool      // ends of the line are round, not cut; corners are round always
	Class  string    // class attribute in SVG; "" for none
}

// Rect is a rectangle, with round corners if Radius is not 0.
type Rect struct {
	X, Y, W, H float64
	Radius     float64
	Paint
}

// Circle is a circle.
type Circle struct {
	X, Y, R float64
	Paint
}

// Line is a straight line.
type Line struct {
	X1, Y1, X2, Y2 float64
	Paint
}

// A Group is shapes that belong together, moved and scaled as one.
type Group struct {
	X, Y   float64 // where its origin lies
	Scale  float64 // 0 for 1
	Title  string  // what it shows; browsers say it when pointed at
	Class  string
	Data   []Data // data- attributes in SVG, in this order
	Shapes []Shape
}

// Add puts shapes on top of what is there.
func (g *Group) Add(shapes ...Shape) { g.Shapes = append(g.Shapes, shapes...) }

// Data is a data- attribute: {"fret", "7"} is data-fret="7".
type Data struct{ Name, Value string }

// An Anchor says which point of a text its X is.
type Anchor int8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// A Text is a line of text.
type Text struct {
	X, Y   float64 // of the anchor, on the base line
	Size   float64 // height of the font
	Text   string
	Anchor Anchor
	Bold   bool
	Italic bool
	Mono   bool // equally wide characters; with Bold or Italic too
	Fill   Color
	Class  string
	// Fit makes the text as wide as [Width] says in any font that a viewer
	// may have. For labels that must not leave their shapes.
	Fit bool
	// Halo is drawn round the letters so that they can be read over lines;
	// the zero value is none. HaloWidth is how far it reaches.
	Halo      Color
	HaloWidth float64
}

func (Rect) shape()   {}
func (Circle) shape() {}
func (Line) shape()   {}
func (*Path) shape()  {}
func (Text) shape()   {}
func (Group) shape()  {}
