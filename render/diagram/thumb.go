package diagram

import (
	"math"
	"slices"
	"strings"

	"example.org/lickwright/render/internal/ink"
)

// A thumb is what a picture of few pixels leaves out, and how large the rest
// must be. Its zero value is a picture at its natural size.
type thumb struct {
	on                         bool // pictures in one column, titles alone round them
	label, small               float64
	noLabel, noBelow, noNumber bool
	noTitle                    bool
}

// Sizes of words in small pictures.
const (
	readable  = 8.0  // pixels, below which words are left out
	labelMost = 20.0 // what a dot has room for, in user units
	smallMost = 24.0 // what a fret has room for
)

// DrawAt draws as [Draw] does for a picture that is shown so many pixels wide.
// Where words would be too small to be read they are drawn larger, as far as
// there is room, else left out; left says what is missing then, as the
// description of the picture does.
func DrawAt(title string, ds []Diagram, o Options, pixels float64) (pic Picture, left []string) {
	pic = Draw(title, ds, o)
	if belowSize*pixels/pic.Width >= readable || pixels <= 0 {
		return pic, nil
	}
	whole := o
	o.NoLegend, o.thumb = true, thumb{on: true, label: labelSize, small: smallSize}
	fits := fittest(ds, o)
	// What is larger makes the picture wider, so that it is looked at again.
	// What was left out stays out.
	for range 4 {
		pic = Draw(title, ds, o)
		need := readable * pic.Width / pixels
		t := &o.thumb
		t.label, t.small = math.Max(labelSize, math.Min(need, labelMost)), math.Max(smallSize, math.Min(need, smallMost))
		t.noBelow = t.noBelow || need > belowSize
		t.noLabel = t.noLabel || need > fits*1.25
		t.noNumber = t.noNumber || need > smallMost
		t.noTitle = t.noTitle || need > titleSize
	}
	pic = Draw(title, ds, o)
	t := o.thumb
	say := func(gone bool, what string) {
		if gone {
			left = append(left, what)
		}
	}
	say(!whole.NoLegend, "what the shapes mean")
	say(t.noTitle && !o.Plain, "titles")
	say(!whole.Plain && slices.ContainsFunc(ds, func(d Diagram) bool { return len(d.Notes) > 0 || d.Caution != "" }), "remarks")
	say(t.noLabel, "what stands in the dots")
	say(t.noBelow && slices.ContainsFunc(ds, func(d Diagram) bool { _, below := whole.shows(d); return len(below) > 0 }), "what stands below the dots")
	say(slices.ContainsFunc(ds, func(d Diagram) bool { return len(d.Spans) > 0 }), "names of positions")
	say(t.noNumber, "numbers of frets and names of strings")
	if len(left) > 0 {
		pic.Desc += " Left out at this size: " + strings.Join(left, ", ") + "."
	}
	return pic, left
}

// titleWidth returns where titles are broken that would be broken at a width
// else: no wider than a position in a small picture.
func (o Options) titleWidth(width float64) float64 {
	if o.thumb.on {
		return 260
	}
	return width
}

// fittest returns the size at which all labels fit into their dots.
func fittest(ds []Diagram, o Options) float64 {
	size := labelMost
	for _, d := range ds {
		inside, _ := o.shows(d)
		for _, dot := range d.Dots {
			if w := (ink.Text{Text: dot.inside(inside), Size: 1, Bold: true}).Width(); w > 0 && !dot.Faint {
				size = math.Min(size, 1.62*dotR/w)
			}
		}
	}
	return size
}
