package diagram

// Options say how pictures look. The zero value draws degrees on a level neck
// with even frets on white paper.
type Options struct {
	// Show says what stands in each dot and, if there is a second one, below
	// it; nil for degrees, and their order below where there is one.
	Show       []Label
	Upright    bool // the nut on top and strings downwards, instead of the nut at the side
	LeftHanded bool
	TrueFrets  bool   // distances between frets as on the instrument, else all alike
	Dark       bool   // for a dark page
	NoLegend   bool   // leave out what the shapes mean
	Plain      bool   // leave out titles, for pages that have headings of their own
	ID         string // begins ids in SVG; pictures in one page need different ones
}

func (o Options) palette() palette {
	if o.Dark {
		return dark()
	}
	return light()
}

// shows returns what stands in the dots and below them.
func (o Options) shows(ordered bool) (inside, below Label) {
	inside, below = Degrees, Nothing
	if len(o.Show) > 0 {
		inside = o.Show[0]
	}
	switch {
	case len(o.Show) > 1:
		below = o.Show[1]
	case ordered && inside != Order:
		below = Order
	}
	return inside, below
}
