package diagram

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	inner := o
	inner.Plain, inner.frame = true, true
	e := extentOf(ds, inner)
	var panels []panel
	w, h, steps, captions := 0.0, 0.0, 0.0, 1
	for _, d := range ds {
		p := drawPanel(d, inner, e)
		panels = append(panels, p)
		w, h = math.Max(w, p.w), math.Max(h, p.h)
		steps = math.Max(steps, stepText(d).Width())
		captions = max(captions, len(d.caption(o)))
	}
	const pad, head = 26.0, 46.0
	foot := float64(captions-1) * captionLead
	scale := math.Min(FrameWidth*.94/(w+2*pad), FrameHeight*.9/(h+2*pad+head+foot))
	scale = math.Min(scale, 4) // dots as large as a coin on the screen are enough
	left, top := (FrameWidth-scale*(w+2*pad))/2, FrameHeight*.95-scale*(h+2*pad+head+foot)
	var frames []Picture
	for i, d := range ds {
		pic := Picture{Width: FrameWidth, Height: FrameHeight, Title: d.Title, Desc: d.Describe(), ID: o.ID}
		if pic.Title == "" {
			pic.Title = "the neck"
		}
		g := &ink.Group{X: left, Y: top, Scale: scale, Class: "frame"}
		g.Add(ink.Rect{W: w + 2*pad, H: h + 2*pad + head + foot, Radius: 16, Paint: ink.Paint{Fill: c.paper, Class: "paper"}})
		room := w // of the title and of what stands across from it
		if d.Step != "" {
			_, how, _ := strings.Cut(d.Step, ": ")
			step := stepText(d)
			step.X, step.Y, step.Fill = pad+w/2, pad+16, c.accent
			g.Add(step)
			below := ink.Text{X: pad + w/2, Y: pad + 36, Size: 15, Bold: true, Anchor: ink.Middle, Text: how, Fill: c.accent, Class: "step-how", Fit: true}
			if bw := below.Width(); bw > w {
				below.Size = math.Max(9, below.Size*w/bw)
				below.Text = firstLine(how, below.Size, w)
			}
			if how != "" {
				g.Add(below)
			}
			room = (w-steps)/2 - 12 // in all frames alike
		}
		title := ink.Text{X: pad, Y: pad + 16, Size: 22, Bold: true, Text: printed(d.Title), Fill: c.ink, Class: "title"}
		if tw := title.Width() * slack; tw > room {
			title.Size = math.Max(.98*title.Size*room/tw, 11)
			title.Text = firstLine(title.Text, title.Size, math.Max(room, 40))
		}
		if room >= 40 {
			g.Add(title)
		}
		for k, line := range d.caption(o) {
			caption := ink.Text{X: pad + w/2, Y: pad + head + h + 17 + float64(k)*captionLead, Size: 11.5, Anchor: ink.Middle, Text: line, Fill: c.quiet, Class: "remark", Fit: true}
			if cw, room := caption.Width(), w+pad; cw > room {
				caption.Size *= room / cw
			}
			g.Add(caption)
		}
		if d.Subtitle != "" {
			sub := ink.Text{X: pad + w, Y: pad + 16, Size: 16, Anchor: ink.End, Text: printed(d.Subtitle), Fill: c.quiet, Class: "subtitle"}
			if d.Step == "" {
				room -= title.Width()*slack + 20
			}
			if sub.Width()*slack <= room {
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

// stepText is the number of a step.
func stepText(d Diagram) ink.Text {
	head, _, _ := strings.Cut(d.Step, ": ")
	return ink.Text{Size: 26, Bold: true, Anchor: ink.Middle, Text: head, Class: "step", Fit: true}
}

// captionLead is how far a line below a frame lies from the one before.
const captionLead = 15.0

// caption says in lines what the dots of a step mean, what stands in them, and
// what neck it is.
func (d Diagram) caption(o Options) []string {
	var dots, all []string
	if d.Step != "" {
		for _, w := range []struct {
			words string
			has   func(Dot) bool
		}{
			{"filled: now", func(dot Dot) bool { return !dot.Faint && dot.When == Now }},
			{"dashes: next", func(dot Dot) bool { return !dot.Faint && dot.When == Next }},
			{"dashes round it: and again next", func(dot Dot) bool { return dot.Again }},
			{"thin line: just played", func(dot Dot) bool { return !dot.Faint && dot.When == Before }},
			{"points: the other notes", func(dot Dot) bool { return dot.Faint }},
		} {
			if slices.ContainsFunc(d.Dots, w.has) {
				dots = append(dots, w.words)
			}
		}
	}
	if d.step {
		switch inside, _ := o.shows(d); {
		case inside == Degrees && d.Home != nil:
			all = append(all, "inside: degrees from "+prettyName(*d.Home))
		case inside != Degrees && inside != Nothing:
			all = append(all, "inside: "+labelWords[inside])
		}
	}
	if words := neckWords(d.Neck.Tuning, prettyName); words != "" {
		all = append(all, words)
	}
	if o.LeftHanded {
		all = append(all, leftHanded)
	}
	lines := []string{strings.Join(dots, "   "), strings.Join(all, "   ")}
	return slices.DeleteFunc(lines, func(s string) bool { return s == "" })
}

// leftHanded is said of pictures that are drawn for left-handed players.
const leftHanded = "left-handed"

// A StepOptions says what the picture of a step shows beside the step.
type StepOptions struct {
	Trail int // so many steps just played stay, thinly; 0 for none
	Ahead int // so many steps that come next are shown, in dashes; 0 for none
}

// StepFrames makes a diagram of each step of one in which dots have an order:
// what is played then in full, as what it is to the chord of that time, with what
// was played before it and comes after it as the options say, the rest faintly.
// The last shows all of it.
func StepFrames(d Diagram, opt StepOptions) []Diagram {
	last := 0
	for _, dot := range d.Dots {
		for _, s := range dot.Steps {
			last = max(last, s.Number)
		}
	}
	d.step = true
	var ds []Diagram
	for n := 1; n <= last; n++ {
		one := d
		one.Links, one.Dots, one.Notes, one.Show = nil, nil, nil, nil
		said := d.comingTo(n)
		for _, dot := range d.Dots {
			dot = dot.during(n, opt)
			if !dot.Faint && dot.When == Now {
				if one.Subtitle = dot.Steps[0].Chord; d.chordal && one.Subtitle != "" {
					one.Show = []Label{Functions}
				}
				for _, text := range append(dot.Steps[0].said(), dot.Steps[0].role()) {
					if text != "" && !slices.Contains(said, text) {
						said = append(said, text)
					}
				}
			}
			one.Dots = append(one.Dots, dot)
		}
		one.Links = d.linksAt(n, opt)
		one.Step = fmt.Sprintf("note %d", n)
		if len(said) > 0 {
			one.Step += ": " + strings.Join(said, "  ")
		}
		ds = append(ds, one)
	}
	if last > 0 {
		ds = append(ds, d)
	}
	return ds
}

// comingTo says how a step is reached from the one before it.
func (d Diagram) comingTo(n int) []string {
	var all []string
	for _, l := range d.Links {
		if slices.ContainsFunc(l.Joins, func(j Join) bool { return j.To == n }) {
			all = append(all, strings.TrimSuffix(l.kind(), ","))
		}
	}
	return all
}

// linksAt returns the links that lead to a step, and from it if what comes next
// is shown.
func (d Diagram) linksAt(n int, opt StepOptions) []Link {
	var all []Link
	for _, l := range d.Links {
		l.Joins = slices.DeleteFunc(slices.Clone(l.Joins), func(j Join) bool {
			return j.To != n && !(j.From == n && j.To <= n+opt.Ahead)
		})
		if len(l.Joins) > 0 {
			all = append(all, l)
		}
	}
	return all
}

// during returns a dot as it is at a step: what is played then before what
// comes next, and that before what was just played.
func (d Dot) during(n int, opt StepOptions) Dot {
	out := d
	out.Faint = true
	for _, s := range d.Steps {
		when := Now
		switch {
		case s.Number == n:
		case s.Number > n && s.Number <= n+opt.Ahead:
			when = Next
		case s.Number < n && s.Number >= n-opt.Trail:
			when = Before
		default:
			continue
		}
		if !out.Faint && (out.When == Now || out.When == Next && when == Before) {
			out.Again = out.Again || when == Next
			continue
		}
		out.Again = out.Again || when == Now && !out.Faint && out.When == Next
		out.Faint, out.When, out.Role, out.Steps = false, when, s.Role, []Step{s}
		if s.Function != "" {
			out.Function = s.Function
		}
	}
	out.Again = out.Again && out.When == Now
	return out
}
