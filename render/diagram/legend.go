package diagram

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A contents says what there is in diagrams that needs a word of explanation.
type contents struct {
	roles                      [3]bool
	links                      [linkKinds]bool
	faint, again, bars, silent bool
	ahead, back                bool          // a finger reaches from the nut, and to it
	slurs                      []string      // their letters
	moves                      string        // what moves lead to: "shape"; "" for no moves
	hands                      bool          // the fret of the index finger is marked
	over                       *theory.Chord // that tiles are tones of
	order                      bool          // stands below the dots
	inside                     string        // "" for degrees, which go without saying
	below                      []Label       // but for the order
	explain                    []string      // of the labels that stand below
	signs                      []string      // behind the numbers of the order
	home                       string        // where that is not plain from the roots
	capo                       int
}

func contentsOf(ds []Diagram, o Options) contents {
	c := contents{over: overOf(ds), inside: insideOf(ds, o), home: homeOf(ds, o)}
	for _, d := range ds {
		c.capo = max(c.capo, d.Neck.Capo)
		c.bars = c.bars || len(d.barres()) > 0
		c.silent = c.silent || len(d.Silent) > 0
		for _, l := range d.Links {
			c.links[l.Kind] = true
			if l.Kind == Slur && !slices.Contains(c.slurs, l.letter()) {
				c.slurs = append(c.slurs, l.letter())
			}
		}
		for _, m := range d.Moves {
			if c.moves == "" {
				c.moves = "position"
			}
			if strings.HasSuffix(m.Label, " shape") {
				c.moves = "shape"
			}
		}
		c.hands = c.hands || d.Index >= 0 || len(d.Hands) > 0
		_, below := o.shows(d)
		c.order = c.order || slices.Contains(below, Order) && d.ordered()
		for _, dot := range d.Dots {
			if dot.Faint {
				c.faint = true
				continue
			}
			c.roles[dot.Role] = true
			c.ahead = c.ahead || dot.Reach > 0 && !dot.Back
			c.back = c.back || dot.Reach > 0 && dot.Back
			c.again = c.again || dot.Repeated
			for _, l := range below {
				if l != Order && dot.label(l) != "" && !slices.Contains(c.below, l) {
					c.below = append(c.below, l)
				}
			}
			for _, s := range dot.Steps {
				for _, w := range s.signWords() {
					if !slices.Contains(c.signs, w) {
						c.signs = append(c.signs, w)
					}
				}
			}
		}
	}
	for _, d := range ds {
		for _, line := range d.Explain {
			l := slices.IndexFunc(c.below, func(l Label) bool { return kindOf[l] != "" && kindOf[l] == score.LegendKind(line) })
			_, text, _ := strings.Cut(line, ": ")
			if l < 0 || c.below[l] == Degrees {
				continue // what degrees count from is said in any case
			}
			if text = belowWords(c.below[l]) + ": " + prettyLabel(text); !slices.Contains(c.explain, text) {
				c.explain = append(c.explain, text)
			}
		}
	}
	slices.Sort(c.signs)
	slices.Sort(c.slurs)
	// A disc needs a word only beside the others.
	c.roles[Other] = c.roles[Other] && (c.roles[Root] || c.roles[ChordTone])
	return c
}

// overOf returns the chord that all tiles are tones of, nil for several.
func overOf(ds []Diagram) *theory.Chord {
	var over *theory.Chord
	for _, d := range ds {
		if !slices.ContainsFunc(d.Dots, func(dot Dot) bool { return dot.Role == ChordTone && !dot.Faint }) {
			continue
		}
		if d.Over == nil || over != nil && *over != *d.Over {
			return nil
		}
		over = d.Over
	}
	return over
}

// tone says what a tile is, with the chord where there is one.
func (c contents) tone(write func(theory.Chord) string) string {
	if c.over == nil {
		return "chord tone"
	}
	return "tone of the " + write(*c.over) + " chord"
}

// labelWords say what a label is.
var labelWords = [...]string{Degrees: "degrees", Names: "note names", Fingers: "fingers", Functions: "place in the chord", Order: "order of playing", Roles: "what the note does", Intervals: "from the note before", Nothing: ""}

// signWords say what the signs round the number of a step mean.
func (s Step) signWords() []string {
	var all []string
	const amount = ": full is two frets, ½ one"
	arrow := func(sign, up string) bool { return strings.HasPrefix(sign, up) }
	back := func(up, down string) bool {
		return arrow(s.Before, up) && s.Sign != "" && strings.HasPrefix(s.Sign, down) || arrow(s.Sign, up) && strings.Contains(s.Sign, down)
	}
	switch {
	case arrow(s.Before, "↑") && back("↑", "↓"):
		all = append(all, "↑full 3↓ bent, then struck, then let back")
	case arrow(s.Before, "↑"):
		all = append(all, "↑full 3 bent, then struck")
	case arrow(s.Sign, "↑") && back("↑", "↓"):
		all = append(all, "3↑full↓ struck, bent and let back")
	case arrow(s.Sign, "↑"):
		all = append(all, "3↑full struck, then bent"+amount)
	case arrow(s.Before, "↓"), arrow(s.Sign, "↓") && back("↓", "↑"):
		all = append(all, "3↓full↑ bent down with the bar and let back")
	case arrow(s.Sign, "↓"):
		all = append(all, "3↓full bent down with the bar"+amount)
	}
	for sign, words := range map[string]string{"°": "° harmonic", "T": "T tapped", "~": "~ vibrato"} {
		if strings.Contains(s.Sign, sign) {
			all = append(all, words)
		}
	}
	return all
}

// belowWords say what stands below a dot; the order goes without saying.
func belowWords(l Label) string {
	if l == Roles || l == Intervals {
		return "in italics, " + labelWords[l]
	}
	return "below, " + labelWords[l]
}

// sayings are what is said of the diagrams in words alone.
func (c contents) sayings() []string {
	all := slices.Clone(c.signs)
	if c.inside != "" {
		all = append(all, c.inside)
	}
	if c.home != "" {
		all = append(all, c.home)
	}
	if c.capo > 0 {
		all = append(all, fmt.Sprintf("capo at fret %d, from which frets count", c.capo))
	}
	return all
}

// insideOf says what stands in the dots where that is not degrees alone, which
// go without saying.
func insideOf(ds []Diagram, o Options) string {
	var all []string
	for _, d := range ds {
		if inside, _ := o.shows(d); inside != Nothing && !slices.Contains(all, labelWords[inside]) {
			all = append(all, labelWords[inside])
		}
	}
	if len(all) == 0 || len(all) == 1 && all[0] == labelWords[Degrees] {
		return ""
	}
	return "inside: " + strings.Join(all, " or ")
}

// homeOf says what degrees count from where that is not plain from the roots.
func homeOf(ds []Diagram, o Options) string {
	if !slices.ContainsFunc(ds, func(d Diagram) bool {
		inside, below := o.shows(d)
		return inside == Degrees || slices.Contains(below, Degrees)
	}) {
		return ""
	}
	var home *theory.NoteName
	plain := true
	for _, d := range ds {
		if d.Home == nil || home != nil && *home != *d.Home {
			return ""
		}
		home = d.Home
		for _, dot := range d.Dots {
			plain = plain && (dot.Role == Root) == (!dot.Dead && dot.Pitch.Class() == home.Class())
		}
	}
	if plain || home == nil {
		return ""
	}
	return "degrees count from " + prettyName(*home)
}

// A key collects what the shapes of a picture mean, in lines of a width.
type key struct {
	group      *ink.Group
	width      float64
	x, y, w, h float64
}

// add explains a sign, which is drawn round a point in room of a width.
func (k *key) add(words string, room float64, c palette, sign func(x, y float64) ink.Shape) {
	t := ink.Text{Size: legendSize, Text: words, Fill: c.quiet, Class: "legend-words"}
	if room > 0 {
		room += 6
	}
	need := room + t.Width()*slack
	if k.x > 0 && k.x+need > k.width {
		k.x, k.y = 0, k.y+legendLead
	}
	t.X, t.Y = k.x+room, k.y+legendSize*ink.CapHeight/2
	if sign != nil {
		k.group.Add(sign(k.x+(room-6)/2, k.y))
	}
	k.group.Add(t)
	k.w, k.h = math.Max(k.w, k.x+need), k.y+legendLead/2
	k.x += need + 20
}

// legend says what the shapes mean that the diagrams have, and nothing else.
// Its height is 0 if there is nothing to say.
func legend(ds []Diagram, o Options, width float64) (g *ink.Group, w, h float64) {
	c, has := o.palette(), contentsOf(ds, o)
	k := &key{group: &ink.Group{Class: "legend"}, width: width, y: legendLead / 2}
	for _, r := range [...]Role{Root, ChordTone, Other} {
		if has.roles[r] {
			k.add([...]string{Root: "root", ChordTone: has.tone(theory.Chord.Pretty), Other: "other note"}[r], 20, c, func(x, y float64) ink.Shape {
				paint, _ := c.paintOf(r)
				return &ink.Group{X: x, Y: y, Scale: .7, Shapes: []ink.Shape{shapeOf(r, 0, 0, paint)}}
			})
		}
	}
	small := func(text string, bold bool, fill ink.Color) func(x, y float64) ink.Shape {
		return func(x, y float64) ink.Shape {
			return ink.Text{X: x, Y: y + belowSize*ink.CapHeight/2, Size: belowSize, Bold: bold, Text: text, Anchor: ink.Middle, Fill: fill}
		}
	}
	if has.faint {
		k.add("on the neck, not played here", 12, c, func(x, y float64) ink.Shape {
			return ink.Circle{X: x, Y: y, R: 4, Paint: ink.Paint{Fill: c.faint}}
		})
	}
	if has.order {
		k.add("order of playing", 34, c, func(x, y float64) ink.Shape {
			first := ink.Text{X: x - 13, Y: y + belowSize*ink.CapHeight/2, Size: belowSize, Bold: true, Text: "1", Anchor: ink.Middle, Fill: c.paper}
			rest := ink.Text{X: x + 5, Y: first.Y, Size: belowSize, Bold: true, Text: "2, 3", Anchor: ink.Middle, Fill: c.accent}
			return &ink.Group{Shapes: []ink.Shape{start(first, c), first, rest}}
		})
	}
	for _, l := range has.below {
		switch {
		case l == Fingers:
			k.add("finger", 36, c, small("1 2 3 4", false, c.ink))
		case !slices.ContainsFunc(has.explain, func(s string) bool { return strings.HasPrefix(s, belowWords(l)) }):
			k.add(belowWords(l), 0, c, nil)
		}
	}
	b := &board{upright: o.Upright, left: o.LeftHanded}
	reaches := func(back bool) func(x, y float64) ink.Shape {
		dx, dy := b.towards(back)
		return func(x, y float64) ink.Shape { return hook(x-dx*hookDepth/2, y-dy*hookDepth/2, dx, dy, c) }
	}
	if has.back {
		k.add("finger reaches back to here", 16, c, reaches(true))
	}
	if has.ahead {
		k.add("finger reaches ahead to here", 16, c, reaches(false))
	}
	for kind, words := range [...]string{Slide: "slide, not struck again", StruckSlide: "slide, then struck", Glissando: "glissando, fret by fret"} {
		if has.links[kind] {
			k.add(words, 26, c, func(x, y float64) ink.Shape {
				g := &ink.Group{Shapes: []ink.Shape{sign(LinkKind(kind), x-13, y, x+13, y, false, c)}}
				if LinkKind(kind).arched() {
					g.Add(arch(x-13, y-4, x+13, y-4, slurRise, false, false, c))
				}
				return g
			})
		}
	}
	for _, s := range has.slurs {
		k.add(map[string]string{"H": "hammer-on", "P": "pull-off"}[s], 26, c, func(x, y float64) ink.Shape {
			curve := sign(Slur, x-13, y+4, x+13, y+4, false, c)
			return &ink.Group{Shapes: []ink.Shape{curve, letter(s, x, y+4-slurRise*.75, c)}}
		})
	}
	if has.hands {
		k.add("index finger", 26, c, func(x, y float64) ink.Shape {
			n := ink.Text{X: x, Y: y + smallSize*ink.CapHeight/2, Size: smallSize, Bold: true, Text: "5", Anchor: ink.Middle, Fill: c.paper}
			return &ink.Group{Shapes: []ink.Shape{indexLabel(x, y, smallSize, c), n}}
		})
	}
	if has.moves != "" {
		k.add("the hand moves to the next "+has.moves, 30, c, func(x, y float64) ink.Shape { return sign(Slide, x-15, y, x+15, y, false, c) })
	}
	if has.bars {
		k.add("one finger across", 26, c, func(x, y float64) ink.Shape {
			return ink.Line{X1: x - 8, Y1: y, X2: x + 8, Y2: y, Paint: ink.Paint{Stroke: c.faint, Width: 9, Round: true}}
		})
	}
	if has.silent {
		k.add("not played", 12, c, func(x, y float64) ink.Shape { return cross(x, y, c) })
	}
	if has.again {
		k.add("the sound before again", 12, c, small("=", true, c.ink))
	}
	for _, words := range has.sayings() {
		k.add(words, 0, c, nil)
	}
	for _, words := range has.explain {
		for _, line := range breakLines(words, legendSize, width) {
			k.x, k.y = 0, k.h+legendLead/2
			k.add(line, 0, c, nil)
		}
	}
	return k.group, k.w, k.h
}

// TextLegend says what the signs of [Text] mean that the diagrams have, and
// their cautions, a line each; "" for none.
func TextLegend(ds []Diagram, o Options) string {
	has := contentsOf(o.read(ds), o)
	var words []string
	for _, w := range []struct {
		on   bool
		text string
	}{
		{has.roles[Root], "{} root"}, {has.roles[ChordTone], "[] " + has.tone(theory.Chord.String)}, {has.roles[Other], "() other note"},
		{has.faint, ". not played here"}, {has.back && !o.LeftHanded || has.ahead && o.LeftHanded, "< finger reaches out this way"}, {has.ahead && !o.LeftHanded || has.back && o.LeftHanded, "> finger reaches out this way"}, {has.again, "= the sound before again"},
	} {
		if w.on {
			words = append(words, w.text)
		}
	}
	var below []string
	if has.order {
		below = append(below, labelWords[Order])
	}
	for _, l := range has.below {
		below = append(below, labelWords[l])
	}
	if len(below) > 0 {
		words = append(words, "after the colon "+strings.Join(below, " or "))
	}
	for _, w := range has.sayings() {
		words = append(words, plainSigns(w))
	}
	var lines []string
	if len(words) > 0 {
		lines = append(lines, strings.Join(words, ", "))
	}
	for _, w := range has.explain {
		lines = append(lines, plainSigns(strings.TrimPrefix(strings.TrimPrefix(w, "below, "), "in italics, ")))
	}
	return strings.Join(append(lines, cautions(ds)...), "\n")
}
