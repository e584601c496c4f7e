package diagram

// Options say how pictures look. The zero value draws degrees on a level neck
// with even frets on white paper.
type Options struct {
	// Show says what stands in each dot and, if there is a second one, below
	// it; nil for what the diagram says. Below one alone stands the order, where
	// there is one and not everything sounds together.
	Show       []Label
	Upright    bool // the nut on top and strings downwards, instead of the nut at the side
	LeftHanded bool
	TrueFrets  bool // distances between frets as on the instrument, else all alike
	Dark       bool // for a dark page
	NoLegend   bool // leave out what the shapes mean
	Plain      bool // leave out titles, for pages that have headings of their own
	// Small draws a level neck tighter and its words larger, for pages that show
	// it at [SmallScale]: numbers, names and labels are 12 px (9 pt) high then,
	// and the whole neck is no wider than 680 px, 180 mm.
	Small bool
	ID    string // begins ids in SVG; pictures in one page need different ones
}

// SmallScale is the size at which a picture with [Options.Small] is shown, in
// CSS pixels to the unit.
const SmallScale = .575

func (o Options) palette() palette {
	if o.Dark {
		return dark()
	}
	return light()
}

// shows returns what stands in the dots of a diagram and below them.
func (o Options) shows(d Diagram) (inside, below Label) {
	show := o.Show
	if len(show) == 0 {
		show = d.Show
	}
	inside, below = Degrees, Nothing
	if len(show) > 0 {
		inside = show[0]
	}
	switch {
	case len(show) > 1:
		below = show[1]
	case d.ordered() && inside != Order:
		below = Order
	}
	// Under every note of a chord the same numbers would read as fingers.
	if below == Order && len(o.Show) < 2 && d.together() {
		below = Nothing
	}
	return inside, below
}
