package diagram

import (
	"cmp"
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
	pills                      bool          // and stands at brackets too
	over                       *theory.Chord // that tiles are tones of
	order                      bool          // stands below the dots
	chords                     bool          // several dots have a number of it
	inside                     string        // "" for degrees, which go without saying
	below                      []Label       // but for the order
	explain                    []string      // of the labels that stand below
	signs                      []string      // at the numbers of the order
	typed                      []string      // the same as a terminal has them
	root                       string        // what a house is
	numbers                    bool          // at links
	dead, points, spans, cut   bool          // a dead note, points at the neck, brackets, those that go on
	pattern                    bool          // brackets are of patterns
	mixed                      bool          // discs that are now a chord tone and now none
	home                       string        // where that is not plain from the roots
	capo                       int
}

func contentsOf(ds []Diagram, o Options) contents {
	c := contents{over: overOf(ds), inside: insideOf(ds, o), home: homeOf(ds, o), root: rootOf(ds)}
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
		c.numbers = c.numbers || d.numbered(o)
		made := d.Neck.Tuning.Instrument()
		for f := max(d.From, 1); f <= d.To; f++ {
			c.points = c.points || made.Inlays(f+d.Neck.Capo) > 0
		}
		for _, s := range d.Spans {
			c.spans, c.cut = true, c.cut || s.Before || s.Beyond
			c.pills = c.pills || s.Index > 0
			c.pattern = c.pattern || strings.Contains(d.Title+d.Subtitle+s.Name, "per string")
		}
		c.hands = c.hands || d.Index >= 0 || len(d.Hands) > 0
		_, below := o.shows(d)
		if slices.Contains(below, Order) && d.ordered() {
			c.order, c.chords = true, c.chords || d.struckTogether()
		}
		for _, dot := range d.Dots {
			if dot.Faint {
				c.faint = true
				continue
			}
			c.roles[dot.Role] = c.roles[dot.Role] || !dot.Dead
			c.dead = c.dead || dot.Dead
			for _, s := range dot.Steps {
				c.mixed = c.mixed || !dot.Dead && s.Role != dot.Role && !d.step
			}
			c.ahead = c.ahead || dot.Reach > 0 && !dot.Back
			c.back = c.back || dot.Reach > 0 && dot.Back
			c.again = c.again || dot.Repeated
			for _, l := range below {
				if l != Order && dot.label(l) != "" && !slices.Contains(c.below, l) {
					c.below = append(c.below, l)
				}
			}
			if !slices.Contains(below, Order) && c.insideIs(d, o) != Order {
				continue
			}
			for _, s := range dot.Steps {
				add := func(list *[]string, words ...string) {
					for _, w := range words {
						if !slices.Contains(*list, w) {
							*list = append(*list, w)
						}
					}
				}
				add(&c.signs, s.Bend.explained()...)
				add(&c.typed, s.Bend.typed()...)
				for _, sign := range s.Sign {
					add(&c.signs, signShort[sign]+": "+signWords[sign])
					add(&c.typed, string(sign)+" "+signWords[sign])
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
			if c.below[l] == Roles {
				text = rolesExplained(text)
			}
			if text = belowWords(c.below[l]) + ": " + prettyLabel(text); !slices.Contains(c.explain, text) {
				c.explain = append(c.explain, text)
			}
		}
	}
	slices.Sort(c.signs)
	slices.Sort(c.typed)
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

func (contents) insideIs(d Diagram, o Options) Label {
	inside, _ := o.shows(d)
	return inside
}

// rootOf says what a house is: over a chord its root, else the tonic.
func rootOf(ds []Diagram) string {
	var chords []string
	none := false
	for _, d := range ds {
		for _, dot := range d.Dots {
			if dot.Faint || dot.Dead {
				continue
			}
			over := ""
			if d.Over != nil {
				over = d.Over.Pretty()
			}
			for _, s := range dot.Steps {
				over = cmp.Or(over, s.Chord)
			}
			if none = none || over == "" && dot.Role == Root; over != "" && !slices.Contains(chords, over) {
				chords = append(chords, over)
			}
		}
	}
	switch {
	case len(chords) == 0:
		return "tonic"
	case none:
		return "root of the chord; where there is none, tonic"
	case len(chords) > 1:
		return "root of the chord"
	}
	return "root of the chord " + chords[0]
}

// tone says what a tile is, with the chord where there is one.
func (c contents) tone(write func(theory.Chord) string) string {
	if c.over == nil {
		return "other chord tone"
	}
	return "other tone of the chord " + write(*c.over)
}

// labelWords say what a label is.
var labelWords = [...]string{Degrees: "degrees", Names: "note names", Fingers: "fingers", Functions: "place in the chord", Order: "order of playing", Roles: "what the note does", Intervals: "from the note before", Nothing: ""}

// belowWords say what stands below a dot; the order goes without saying.
func belowWords(l Label) string {
	if l == Roles || l == Intervals {
		return "in italics, " + labelWords[l]
	}
	return "below, " + labelWords[l]
}

// fingerWords say what the marked number of a fret is.
func (c contents) fingerWords() string {
	if c.pills {
		return "fret of the index finger, at a bracket that of its own place"
	}
	return "fret of the index finger"
}

// numbersFrom says what the numbers in the dots are, which is to be known before
// they are read.
func (c contents) numbersFrom() []string {
	return slices.DeleteFunc([]string{c.inside, c.home}, func(s string) bool { return s == "" })
}

// sayings are what is said of the diagrams in words alone.
func (c contents) sayings() []string {
	var all []string
	if c.mixed {
		all = append(all, "a disc also where a note is a chord tone over one chord and none over another")
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
	if len(all) == 2 && slices.Contains(all, labelWords[Degrees]) && slices.Contains(all, labelWords[Functions]) {
		return "inside: " + labelWords[Functions] + "; where there is no chord, degrees"
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
	return "degrees are counted from " + prettyName(*home) + ", not from the root of the chord"
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
	for _, words := range has.numbersFrom() {
		k.add(words, 0, c, nil)
	}
	for _, r := range [...]Role{Root, ChordTone, Other} {
		if has.roles[r] {
			k.add([...]string{Root: has.root, ChordTone: has.tone(theory.Chord.Pretty), Other: "other note"}[r], 20, c, func(x, y float64) ink.Shape {
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
		k.add("order of playing; the first number of a picture is marked", 34, c, func(x, y float64) ink.Shape {
			first := ink.Text{X: x - 14, Y: y + belowSize*ink.CapHeight/2, Size: belowSize, Bold: true, Text: "1", Anchor: ink.Middle, Fill: c.paper}
			rest := ink.Text{X: x + 6.5, Y: first.Y, Size: belowSize, Bold: true, Text: "2, 3", Anchor: ink.Middle, Fill: c.accent}
			return &ink.Group{Shapes: []ink.Shape{start(first, c), first, rest}}
		})
	}
	if has.chords {
		k.add("the same number at several notes: together", 0, c, nil)
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
		k.add("a finger stretches back for it, out of the position", 16, c, reaches(true))
	}
	if has.ahead {
		k.add("a finger stretches ahead for it, out of the position", 16, c, reaches(false))
	}
	at := func(x, y float64) func(u, h float64) (float64, float64) {
		return func(u, h float64) (float64, float64) { return x + u, y - h }
	}
	bowed := func(x, y float64) ink.Shape {
		p := &ink.Path{Paint: ink.Paint{Stroke: c.accent, Width: 1.8, Round: true, Class: "arch"}}
		return slur(p, at(x, y), -13, 0, 13, 0, slurRise)
	}
	named := func(l Link, x, y float64) ink.Text {
		l.Joins = []Join{{1, 2}}
		return ink.Text{X: x, Y: y, Size: smallestName, Bold: true, Anchor: ink.Middle, Text: strings.Join(l.label(has.numbers)[:1], ""), Fill: c.accent}
	}
	for kind, words := range [...]string{Slide: "slide, the second note not struck", StruckSlide: "slide, the second note struck too", Glissando: "glissando, fret by fret"} {
		if !has.links[kind] {
			continue
		}
		k.add(words, 34, c, func(x, y float64) ink.Shape {
			g := &ink.Group{Shapes: []ink.Shape{sign(LinkKind(kind), x-13, y+7, x+13, y+7, c)}}
			if LinkKind(kind).arched() {
				g.Add(bowed(x, y+3))
			}
			if has.numbers {
				g.Add(named(Link{Kind: LinkKind(kind)}, x, y-6))
			}
			return g
		})
	}
	for _, s := range has.slurs {
		l := Link{Kind: Slur}
		words := "pull-off"
		if s == "H" {
			l.To.Fret, words = 1, "hammer-on"
		}
		if has.numbers {
			words += " from note 1 to note 2"
		}
		k.add(words, 34, c, func(x, y float64) ink.Shape {
			return &ink.Group{Shapes: []ink.Shape{bowed(x, y+6), named(l, x, y-2)}}
		})
	}
	if has.spans {
		words := "frets of a position"
		if has.pattern {
			words = "frets of a pattern"
		}
		if has.moves != "" {
			words = "frets of a " + has.moves
		}
		k.add(words, 34, c, func(x, y float64) ink.Shape {
			p := &ink.Path{Paint: ink.Paint{Stroke: c.mark, Width: 1.6, Round: true}}
			return p.MoveTo(x-15, y+4).LineTo(x-15, y-1).LineTo(x+15, y-1).LineTo(x+15, y+4)
		})
	}
	if has.cut {
		k.add("goes on beyond the picture", 34, c, func(x, y float64) ink.Shape {
			p := &ink.Path{Paint: ink.Paint{Stroke: c.mark, Width: 1.6, Round: true}}
			p.MoveTo(x-15, y+4).LineTo(x-15, y-1).LineTo(x+3, y-1)
			return &ink.Group{Shapes: []ink.Shape{p, goesOn(at(x+3, y-1), 1, c)}}
		})
	}
	if has.hands {
		k.add(has.fingerWords(), 26, c, func(x, y float64) ink.Shape {
			n := ink.Text{X: x, Y: y + smallSize*ink.CapHeight/2, Size: smallSize, Bold: true, Text: "5", Anchor: ink.Middle, Fill: c.paper}
			return &ink.Group{Shapes: []ink.Shape{indexLabel(x, y, smallSize, c), n}}
		})
	}
	if has.moves != "" {
		k.add("the hand moves to the next "+has.moves, 30, c, func(x, y float64) ink.Shape { return sign(Slide, x-15, y, x+15, y, c) })
	}
	if has.bars {
		k.add("one finger across", 26, c, func(x, y float64) ink.Shape {
			return ink.Line{X1: x - 8, Y1: y, X2: x + 8, Y2: y, Paint: ink.Paint{Stroke: c.faint, Width: 9, Round: true}}
		})
	}
	if has.silent {
		k.add("not played", 12, c, func(x, y float64) ink.Shape { return cross(x, y, c) })
	}
	if has.dead {
		k.add("dead note, without a pitch", 26, c, func(x, y float64) ink.Shape {
			paint, on := c.paintOf(Other)
			t := ink.Text{X: x, Y: y + labelSize*.7*ink.CapHeight/2, Size: labelSize * .7, Bold: true, Text: "×", Anchor: ink.Middle, Fill: on}
			return &ink.Group{Shapes: []ink.Shape{&ink.Group{X: x, Y: y, Scale: .7, Shapes: []ink.Shape{shapeOf(Other, 0, 0, paint)}}, t}}
		})
	}
	if has.points && !o.thumb.noNumber {
		k.add("inlay of the neck", 10, c, func(x, y float64) ink.Shape {
			return ink.Circle{X: x, Y: y, R: 1.6, Paint: ink.Paint{Fill: c.quiet}}
		})
	}
	if has.again {
		k.add("the sound before again", 12, c, small("=", true, c.ink))
	}
	for _, words := range append(slices.Clone(has.signs), has.sayings()...) {
		k.add(words, 0, c, nil)
	}
	for _, words := range has.explain {
		for i, line := range breakLines(words, legendSize, width) {
			if k.x, k.y = 0, k.y+legendSize*1.4; i == 0 { // what goes on is nearer
				k.y = k.h + legendLead/2
			}
			k.add(line, 0, c, nil)
		}
	}
	return k.group, k.w, k.h
}

// TextLegend says what the signs of [Text] mean that the diagrams have, and
// their cautions, a line each; "" for none.
func TextLegend(ds []Diagram, o Options) string {
	has := contentsOf(ds, o)
	var words []string
	for _, w := range has.numbersFrom() {
		words = append(words, plainSigns(w))
	}
	for _, w := range []struct {
		on   bool
		text string
	}{
		{has.roles[Root], "{} " + plainSigns(has.root)}, {has.roles[ChordTone], "[] " + has.tone(theory.Chord.String)}, {has.roles[Other], "() other note"},
		{has.faint, ". not played here"}, {has.back && !o.LeftHanded || has.ahead && o.LeftHanded, "< a finger stretches out this way"}, {has.ahead && !o.LeftHanded || has.back && o.LeftHanded, "> a finger stretches out this way"}, {has.again, "= the sound before again"}, {has.dead, "x dead note"}, {has.hands, "<5> fret of the index finger"},
	} {
		if w.on {
			words = append(words, w.text)
		}
	}
	var below []string
	if has.order {
		words := labelWords[Order]
		if has.chords {
			words += " (the same number: together)"
		}
		below = append(below, words)
	}
	for _, l := range has.below {
		below = append(below, labelWords[l])
	}
	if len(below) > 0 {
		words = append(words, "after the colon "+strings.Join(below, " or "))
	}
	for _, w := range append(slices.Clone(has.typed), has.sayings()...) {
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
