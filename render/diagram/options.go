package diagram

import "slices"

// Options say how pictures look. The zero value draws degrees on a level neck
// with even frets on white paper.
type Options struct {
	// Show says what stands in each dot and, if there are more, line by line
	// below it; nil for what the diagram says and the labels that its music has.
	// Below one alone stands the order, where there is one and not everything
	// sounds together.
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
	thumb thumb  // what a picture of few pixels leaves out
	frame bool   // a level neck of a video, tighter and with larger words
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

// shows returns what stands in the dots of a diagram and, line by line, below
// them.
func (o Options) shows(d Diagram) (inside Label, below []Label) {
	show := o.Show
	if len(show) == 0 {
		show = d.Show
	}
	inside = Degrees
	if len(show) > 0 {
		inside, below = show[0], show[1:]
	}
	if len(show) < 2 && d.ordered() && inside != Order {
		below = []Label{Order}
	}
	// Under every note of a chord the same numbers would read as fingers.
	if len(o.Show) < 2 && d.together() {
		below = slices.DeleteFunc(slices.Clone(below), func(l Label) bool { return l == Order })
	}
	if d.step {
		below = slices.DeleteFunc(slices.Clone(below), func(l Label) bool { return l == Order && !slices.Contains(o.Show, Order) })
	} else if len(o.Show) == 0 {
		below = append(slices.Clone(below), d.labelled(inside)...)
	}
	if o.thumb.noLabel {
		inside = Nothing
	}
	if o.thumb.noBelow {
		below = nil
	}
	return inside, slices.DeleteFunc(slices.Clone(below), func(l Label) bool { return l == Nothing })
}

// labelled returns the labels that the music has beyond what stands in the
// dots.
func (d Diagram) labelled(inside Label) []Label {
	var all []Label
	for _, l := range [...]Label{Degrees, Functions, Roles, Names, Intervals} {
		if l != inside && slices.ContainsFunc(d.Dots, func(dot Dot) bool { return dot.said(l) != "" }) {
			all = append(all, l)
		}
	}
	return all
}
