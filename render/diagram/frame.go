package diagram

import (
	"math"

	"example.org/lickwright/render/internal/ink"
)

// The size of a frame in user units: 16 to 9, and 1920 by 1080 pixels at one
// to one.
const (
	FrameWidth  = 1920.0
	FrameHeight = 1080.0
)

// Frames makes the pictures of a video: one of each diagram, all 16 to 9 and
// transparent round the neck, with one crop and one scale, so that nothing
// jumps at a cut. The diagrams must be of one neck; what they show together is
// the crop.
func Frames(ds []Diagram, o Options) []Picture {
	if len(ds) == 0 {
		return nil
	}
	c := o.palette()
	ds = o.read(ds)
	e := extentOf(ds, o)
	inner := o
	inner.Plain = true
	var panels []panel
	w, h, spread := 0.0, 0.0, 0
	for _, d := range ds {
		p := drawPanel(d, inner, e)
		panels = append(panels, p)
		w, h = math.Max(w, p.w), math.Max(h, p.h)
		spread = max(spread, len(d.Title))
	}
	const pad, head = 26.0, 46.0
	scale := math.Min(FrameWidth*.94/(w+2*pad), FrameHeight*.9/(h+2*pad+head))
	scale = math.Min(scale, 3.2) // dots as large as a coin on the screen are enough
	left, top := (FrameWidth-scale*(w+2*pad))/2, FrameHeight*.95-scale*(h+2*pad+head)
	var frames []Picture
	for i, d := range ds {
		pic := Picture{Width: FrameWidth, Height: FrameHeight, Title: d.Title, Desc: d.Describe(), ID: o.ID}
		if pic.Title == "" {
			pic.Title = "the neck"
		}
		g := &ink.Group{X: left, Y: top, Scale: scale, Class: "frame"}
		g.Add(ink.Rect{W: w + 2*pad, H: h + 2*pad + head, Radius: 16, Paint: ink.Paint{Fill: c.paper, Class: "paper"}})
		title := ink.Text{X: pad, Y: pad + 20, Size: 22, Bold: true, Text: printed(d.Title), Fill: c.ink, Class: "title"}
		if tw := title.Width() * slack; tw > w {
			title.Size = math.Max(title.Size*w/tw, 11)
			if lines := breakLines(title.Text, title.Size, w); len(lines) > 0 {
				title.Text = lines[0]
			}
		}
		g.Add(title)
		if d.Subtitle != "" {
			sub := ink.Text{X: pad + w, Y: pad + 20, Size: 16, Anchor: ink.End, Text: printed(d.Subtitle), Fill: c.quiet, Class: "subtitle"}
			if title.Width()*slack+20+sub.Width()*slack <= w {
				g.Add(sub)
			}
		}
		panels[i].group.X, panels[i].group.Y = pad+(w-panels[i].w)/2, pad+head
		g.Add(panels[i].group)
		pic.Add(g)
		frames = append(frames, pic)
	}
	return frames
}

// StepFrames makes a diagram of each step of one in which dots have an order:
// what is played then in full, as what it is to the chord of that time, the rest
// faintly. The last shows all of it.
func StepFrames(d Diagram) []Diagram {
	last := 0
	for _, dot := range d.Dots {
		for _, s := range dot.Steps {
			last = max(last, s.Number)
		}
	}
	var ds []Diagram
	for n := 1; n <= last; n++ {
		one := d
		one.Links = nil
		one.Dots = nil
		for _, dot := range d.Dots {
			dot.Faint = true
			for _, s := range dot.Steps {
				if s.Number == n {
					dot.Faint, dot.Role = false, s.Role
					dot.Steps = []Step{s}
					one.Subtitle = s.Chord
					break
				}
			}
			one.Dots = append(one.Dots, dot)
		}
		ds = append(ds, one)
	}
	if last > 0 {
		ds = append(ds, d)
	}
	return ds
}
