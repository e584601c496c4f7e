package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
	"example.org/lickwright/transform/fingering"
)

// pngScale is how many pixels of a PNG go to the unit of a picture, in which
// a fret is 50 wide: sharp on paper and on screens of high density.
const pngScale = 2.0

// bindSVG and bindPNG make one picture of one score or several.
func bindSVG(w io.Writer, b binding, opt score.WriteOptions) error {
	pic, err := b.picture(opt)
	if err != nil {
		return err
	}
	return pic.WriteSVG(w)
}

func bindPNG(w io.Writer, b binding, opt score.WriteOptions) error {
	pic, err := b.picture(opt)
	if err != nil {
		return err
	}
	return pic.WritePNG(w, pngScale)
}

// writeSVG and writePNG draw a score on the neck.
func writeSVG(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	return bindSVG(w, binding{pages: []page{{score: s}}}, opt)
}

func writePNG(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	return bindPNG(w, binding{pages: []page{{score: s}}}, opt)
}

// picture draws the pages of a binding: their layouts where they have them,
// else their notes in order.
func (b binding) picture(opt score.WriteOptions) (diagram.Picture, error) {
	report := opt.Report
	if report == nil {
		report = func(score.Diagnostic) {}
	}
	title := b.title
	var ds []diagram.Diagram
	rhythm := false
	for _, p := range b.pages {
		heading := p.heading
		if title == "" {
			title = p.score.Title
		}
		if heading == title {
			heading = ""
		}
		var of []diagram.Diagram
		for _, l := range p.layouts {
			of = append(of, diagram.OfLayout(l, diagram.ReadingOf(l.Tones), fretboard.ToneSet{}))
		}
		if len(p.layouts) == 0 {
			phrase, said := diagram.OfPhrase(p.score, diagram.PhraseOptions{})
			for _, d := range said {
				report(d)
			}
			of, rhythm = phrase, true
		}
		for _, d := range of {
			if heading != "" && heading != d.Title {
				d.Title = strings.Trim(heading+", "+d.Title, ", ")
			}
			ds = append(ds, d)
		}
	}
	if len(ds) == 0 {
		return diagram.Picture{}, score.Diagnostics{{Severity: score.Error, Code: "picture-empty", Msg: "there is no note on a neck to draw",
			Hint: "a picture needs notes on strings and frets"}}
	}
	if rhythm {
		report(score.Diagnostic{Severity: score.Info, Code: "picture-lost", Msg: "a picture of the neck shows places and their order; rhythm is not in it"})
	}
	return diagram.Draw(title, ds, diagram.Options{}), nil
}

// isPicture tells whether a format is one of pictures.
func isPicture(f format) bool { return f.name == "svg" || f.name == "png" }

// encode writes a picture in a format. pixels is the width of a PNG, 0 for its
// natural size.
func encode(p diagram.Picture, f string, pixels int) ([]byte, error) {
	var buf bytes.Buffer
	if f == "svg" {
		err := p.WriteSVG(&buf)
		return buf.Bytes(), err
	}
	scale := pngScale
	if pixels > 0 {
		scale = float64(pixels) / p.Width
	}
	err := p.WritePNG(&buf, scale)
	return buf.Bytes(), err
}

// A pictured is what is drawn of scales or chords that are laid out.
type pictured struct {
	neck     fretboard.Neck
	scale    float64 // length of the strings in millimetres
	draw     []string
	over     []theory.Chord // chords whose tones are marked; none for those of the item
	from, to int            // frets of the whole neck
	all      [][]fretboard.Layout
	fingers  bool // labels show fingers
	say      func(score.Diagnostic)
}

// The things that can be drawn of a layout.
const (
	drawNeck      = "neck"
	drawOverview  = "overview"
	drawPositions = "positions"
	drawBoxes     = "boxes"
	drawChain     = "chain"
)

func drawNames() []string {
	return []string{drawNeck, drawOverview, drawPositions, drawBoxes, drawChain}
}

// diagrams draws items. all holds, item by item, the layouts at every fret;
// made of the item those that are drawn one by one.
func (p pictured) diagrams(items []layoutItem) ([]diagram.Diagram, error) {
	var ds []diagram.Diagram
	for i, it := range items {
		readings := p.readings(it)
		for k, r := range readings {
			one, err := p.item(it, r, p.all[i])
			if err != nil {
				return nil, err
			}
			over := ""
			if len(p.over) > 1 {
				over = "over " + r.Chord.Pretty()
			}
			for _, d := range one {
				if len(items) > 1 && !d.Held && d.Title != it.tones.Title {
					d.Title = it.tones.Title + ", " + d.Title
				}
				if over != "" {
					d.Title += ", " + over
				}
				if len(p.over) > 0 && d.Show == nil { // as the house is its root
					d.Show = []diagram.Label{diagram.Functions}
				}
				if k > 0 {
					d.Notes = append(d.Notes, fmt.Sprintf("the same places as over %s, named over %s", readings[0].Chord.Pretty(), r.Chord.Pretty()))
				}
				ds = append(ds, d)
			}
		}
	}
	return ds, nil
}

// readings returns the ways in which an item is read: one, or one for each
// chord that it is heard over.
func (p pictured) readings(it layoutItem) []diagram.Reading {
	home := it.tones.Tonic
	if it.home != nil {
		home = *it.home
	}
	if len(p.over) == 0 {
		if it.chord != nil {
			return []diagram.Reading{{Home: &home, Chord: it.chord}}
		}
		return []diagram.Reading{diagram.ReadingOf(it.tones.Against(home))}
	}
	var all []diagram.Reading
	for _, c := range p.over {
		all = append(all, diagram.Reading{Home: &home, Chord: &c})
	}
	return all
}

func (p pictured) item(it layoutItem, r diagram.Reading, all []fretboard.Layout) ([]diagram.Diagram, error) {
	tones := it.tones
	if it.home != nil {
		tones = tones.Against(*it.home)
	}
	var ds []diagram.Diagram
	if slices.Contains(p.draw, drawNeck) || slices.Contains(p.draw, drawOverview) {
		d, err := diagram.OfNeck(p.neck, tones, r, p.from, p.to, all, p.scale)
		if err != nil {
			return nil, &usageError{err.Error(), ""}
		}
		ds = append(ds, d)
		if slices.Contains(p.draw, drawNeck) {
			position := p.position
			if slices.Contains(p.draw, drawPositions) { // where it is said what is to be said
				position = func(l fretboard.Layout, r diagram.Reading) diagram.Diagram {
					return diagram.OfLayout(l, r, fretboard.ToneSet{})
				}
			}
			ds = append(ds, diagram.OfRows(d, all, func(l fretboard.Layout) diagram.Diagram { return position(l, r) })...)
		}
	}
	var held []diagram.Diagram
	for _, l := range it.made {
		if slices.Contains(p.draw, drawBoxes) {
			boxes := p.boxes(it, l)
			if !slices.Contains(p.draw, drawPositions) { // beside which each has its place
				boxes = slices.DeleteFunc(boxes, func(d diagram.Diagram) bool {
					return strings.HasPrefix(d.Subtitle, "root on") && slices.ContainsFunc(held, d.SameGrip)
				})
			}
			held = append(held, boxes...)
			ds = append(ds, boxes...)
		}
		if slices.Contains(p.draw, drawPositions) {
			d := p.position(l, r)
			if it.chord != nil {
				// As in the boxes, beside which it stands.
				d = d.Arpeggio()
				d.Turned = slices.Contains(p.draw, drawBoxes)
			}
			ds = append(ds, d)
		}
		if slices.Contains(p.draw, drawChain) {
			ds = append(ds, p.chain(it, l, r)...)
		}
	}
	return ds, nil
}

// position draws a layout, with fingers and what is to be said of it.
func (p pictured) position(l fretboard.Layout, r diagram.Reading) diagram.Diagram {
	d := diagram.OfLayout(l, r, fretboard.ToneSet{})
	if p.fingers && l.Region.Index < 0 && !l.Region.IsPattern() {
		groups := make([][]fretboard.Spot, len(l.Spots))
		for i, s := range l.Spots {
			groups[i] = []fretboard.Spot{s}
		}
		d = d.WithFingers(fingersOf(p.neck, groups))
	}
	if c := cautionOf(l, p.scale); c != "" {
		d.Notes = append(d.Notes, "wide stretch: "+c)
		d.Caution = "Caution with wide stretches: " + strainHint + "."
		p.say(score.Diagnostic{Severity: score.Warning, Code: "wide-stretch", Msg: d.Title + ": " + c, Hint: strainHint})
	}
	return d
}

// boxes draws the chord of an item as the hand holds it in a region.
func (p pictured) boxes(it layoutItem, l fretboard.Layout) []diagram.Diagram {
	chord, tones := it.chord, l.Tones
	if it.chain != nil {
		if len(it.chain.Triad.Tones) == 0 {
			return nil
		}
		chord, tones = &it.chain.Chord, it.chain.Triad
	}
	if chord == nil {
		return nil
	}
	var ds []diagram.Diagram
	for _, v := range fingering.Voicings(l.Region, tones, p.scale) {
		ds = append(ds, p.box(v, *chord, l.Region.HeldName()))
	}
	return ds
}

// box draws a chord, with the fingers that cost a hand least.
func (p pictured) box(v fretboard.Voicing, c theory.Chord, name string) diagram.Diagram {
	d := diagram.OfVoicing(p.neck, v, c, name)
	if fingers, ok := p.holding(v.Spots); ok {
		d = d.WithFingers(fingers)
	} else {
		d.Notes = append(d.Notes, "no fingers are named: no hand holds this at one time")
	}
	if v.Whole != nil {
		d.Notes = append(d.Notes, fingering.Smaller(v, p.neck, p.scale))
	}
	if root := d.RootName(); root != "" && strings.HasPrefix(name, "root on") {
		d.Subtitle = root // as it is held, and not as the hand of the scale has it
	}
	return d
}

// holding finds the fingers of a chord, and whether a hand can hold it.
func (p pictured) holding(spots []fretboard.Spot) (map[fretboard.Place][]score.Finger, bool) {
	found, ok := fingering.Hold(p.neck, fingering.Hand{}, p.scale, fingering.PlacesOf(spots))
	fingers := map[fretboard.Place][]score.Finger{}
	for i, f := range found {
		if f != score.NoFinger {
			fingers[spots[i].Place] = []score.Finger{f}
		}
	}
	return fingers, ok
}

// chain draws what is practised in a position, the smaller set before the
// larger, each on the marks of the scale.
func (p pictured) chain(it layoutItem, l fretboard.Layout, r diagram.Reading) []diagram.Diagram {
	if it.chain == nil {
		return []diagram.Diagram{p.position(l, r)}
	}
	var ds []diagram.Diagram
	draw := func(spots []fretboard.Spot, chord *theory.Chord, title string, held *fretboard.Voicing) {
		made := fretboard.Layout{Region: l.Region, Tones: it.chain.Scale, Spots: spots}
		reading := r
		if chord != nil && len(p.over) == 0 {
			reading.Chord = chord
		}
		d := diagram.OfLayout(made, reading, it.chain.Scale)
		if held != nil { // the fingers of a chord are not those of a run
			for i := range d.Dots {
				d.Dots[i].Fingers = nil
			}
			fingers, _ := p.holding(spots)
			d = d.WithFingers(fingers)
			if held.Whole != nil {
				d.Notes = append(d.Notes, fingering.Smaller(*held, p.neck, p.scale))
			}
		}
		d.Title = l.Region.Name + ", " + title
		ds = append(ds, d)
	}
	chain := it.chain
	if len(chain.Triad.Tones) > 0 && l.Region.Index >= 0 {
		for _, v := range fingering.Voicings(l.Region, chain.Triad, p.scale) {
			draw(v.Spots, &chain.Chord, chain.Chord.Pretty(), &v)
		}
	}
	for _, set := range chain.Sets() {
		var chord *theory.Chord
		if c, err := theory.ParseChord(strings.TrimSuffix(set.Title, " arpeggio")); err == nil && strings.HasSuffix(set.Title, " arpeggio") {
			chord = &c
		}
		draw(l.Region.Lay(set).Spots, chord, set.Title, nil)
	}
	return ds
}

// fingersOf finds the fingers that cost a hand least for places that are
// given, sounding one group after the other, several where they take turns. A
// place that no hand can play there has none.
func fingersOf(n fretboard.Neck, groups [][]fretboard.Spot) map[fretboard.Place][]score.Finger {
	s := transform.LayOut([]transform.Passage{{Groups: groups}}, transform.LayOutOptions{Neck: n})
	s, _ = transform.Refinger(s, transform.RefingerOptions{KeepStrings: true, KeepFrets: true, Fingers: true})
	fingers := map[fretboard.Place][]score.Finger{}
	for note := range score.Notes(s) {
		if f := note.Finger; f != score.NoFinger && !slices.Contains(fingers[note.Place], f) {
			fingers[note.Place] = append(fingers[note.Place], f)
		}
	}
	return fingers
}

// writeLayoutPictures draws what scales and chords lay out: all on one page,
// or with -d a file each.
func (a *app) writeLayoutPictures(f *layoutFlags, title string, n fretboard.Neck, items []layoutItem, form format) error {
	j := &job{app: a, write: f.write, say: &collector{}, sources: map[string][]byte{}}
	opt := diagram.Options{}
	for _, s := range f.show {
		l, err := diagram.ParseLabel(s)
		if err != nil {
			return flagError("show", err)
		}
		opt.Show = append(opt.Show, l)
	}
	if f.fingers && len(opt.Show) < 2 {
		opt.Show = append(opt.Show, diagram.Fingers)
	}
	p := pictured{neck: n, scale: f.neck.scale, to: n.TopFret(), fingers: f.fingers, say: j.say.add, draw: []string{drawPositions}}
	for _, it := range items {
		p.all = append(p.all, it.made)
		if it.chord != nil {
			p.draw = []string{drawBoxes, drawPositions}
		}
		if len(it.made) > 1 && it.chord == nil {
			p.draw = []string{drawNeck}
		}
	}
	ds, err := p.diagrams(items)
	if err != nil {
		return err
	}
	outs, err := pictureFiles(title, ds, opt, form, &f.write, 0, nil)
	if err != nil {
		return err
	}
	return j.finishLayout(outs)
}

// pictureFiles draws diagrams on one page, or with -d each into a file of its
// own. What a PNG of few pixels leaves out goes to say, which may be nil.
func pictureFiles(title string, ds []diagram.Diagram, opt diagram.Options, form format, w *writeFlags, pixels int, say func(score.Diagnostic)) ([]output, error) {
	var left []string
	drawn := func(title string, ds []diagram.Diagram) diagram.Picture {
		pic, lacks := diagram.DrawAt(title, ds, opt, float64(pixels))
		for _, what := range lacks {
			if !slices.Contains(left, what) {
				left = append(left, what)
			}
		}
		return pic
	}
	defer func() {
		if len(left) > 0 && say != nil {
			say(score.Diagnostic{Severity: score.Info, Code: "picture-small", Msg: fmt.Sprintf("at a width of %d pixels there is no room for %s", pixels, strings.Join(left, ", ")),
				Hint: "say more --pixels, or draw less"})
		}
	}()
	from := &input{name: title, base: fileWord(title)}
	if w.dir == "" {
		data, err := encode(drawn(title, ds), form.name, pixels)
		if err != nil {
			return nil, err
		}
		out := output{data: data, from: from}
		if w.output != "-" {
			out.path = w.output
		}
		return []output{out}, nil
	}
	var pics []diagram.Picture
	var names []string
	for _, d := range ds {
		pics = append(pics, drawn("", []diagram.Diagram{d}))
		names = append(names, strings.Trim(d.Title+", "+d.Subtitle, ", "))
	}
	return numberedFiles(from, pics, names, form, w, pixels)
}

// numberedFiles names files in the order in which they are shown.
func numberedFiles(from *input, pics []diagram.Picture, names []string, form format, w *writeFlags, pixels int) ([]output, error) {
	var outs []output
	digits := max(len(fmt.Sprint(len(pics))), 2)
	for i, p := range pics {
		data, err := encode(p, form.name, pixels)
		if err != nil {
			return nil, err
		}
		name := fmt.Sprintf("%s-%0*d%s%s", from.base, digits, i+1, nonEmpty("-", fileWord(names[i])), form.extensions[0])
		outs = append(outs, output{data: data, from: from, path: filepath.Join(w.dir, name)})
	}
	return outs, nil
}
