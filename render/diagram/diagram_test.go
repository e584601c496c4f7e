package diagram

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func scaleOf(t testing.TB, s string) (fretboard.Chain, Reading) {
	t.Helper()
	tonic, _, sc, err := theory.ParseScale(s)
	require.NoError(t, err)
	c := fretboard.ChainOf(tonic, sc)
	r := Reading{Home: &tonic}
	if len(c.Triad.Tones) > 0 {
		r.Chord = &c.Chord
	}
	return c, r
}

func layouts(t testing.TB, s fretboard.Scheme, n fretboard.Neck, tones fretboard.ToneSet) []fretboard.Layout {
	t.Helper()
	regions, err := s.Regions(n, tones)
	if err != nil {
		return nil // the neck has not room for it
	}
	var ls []fretboard.Layout
	for _, r := range regions {
		ls = append(ls, r.Lay(tones))
	}
	return ls
}

// The C major scale in the E shape, as method books print it, string 6 first.
// Source: common practice, and the positions of the trade page.
func TestPublishedPositionOnThePage(t *testing.T) {
	c, r := scaleOf(t, "C major")
	shape, err := fretboard.ParseShape(fretboard.Standard(), "E")
	require.NoError(t, err)
	l := layouts(t, fretboard.ChordShape{Shapes: []fretboard.Shape{shape}}, fretboard.Guitar(), c.Scale)[0]
	want := map[string]string{
		"6:7": "7", "6:8": "1", "6:10": "2", "5:7": "3", "5:8": "4", "5:10": "5", "4:7": "6", "4:9": "7", "4:10": "1",
		"3:7": "2", "3:9": "3", "3:10": "4", "2:8": "5", "2:10": "6", "1:7": "7", "1:8": "1", "1:10": "2",
	}
	for _, o := range []Options{{}, {Upright: true}, {LeftHanded: true}, {Upright: true, LeftHanded: true}, {TrueFrets: true, Dark: true}} {
		neck := readSVG(t, Draw("", []Diagram{OfLayout(l, r, fretboard.ToneSet{})}, o)).necks[0]
		got := map[string]string{}
		for _, n := range neck.notes {
			p := neck.placeOf(t, n, o.Upright, o.LeftHanded, .1)
			got[fmt.Sprintf("%d:%d", p.String, p.Fret)] = n.label
			switch n.label {
			case "1":
				assert.Equal(t, "house", n.shape.class)
			case "3", "5":
				assert.Equal(t, "tile", n.shape.class)
			default:
				assert.Equal(t, "disc", n.shape.class)
			}
		}
		assert.Equal(t, want, got, "%+v", o)
	}
}

// schemes are one of each kind.
func schemes() []fretboard.Scheme {
	return []fretboard.Scheme{
		fretboard.ChordShape{}, fretboard.PerString{Notes: []int{3}}, fretboard.Position{Fret: 5}, fretboard.Window{From: 0, To: 12},
		fretboard.Strings{1, 2}, fretboard.Open{}, fretboard.Within{Scheme: fretboard.ChordShape{}, Strings: []int{1, 2, 3}},
	}
}

func looks() []Options {
	var all []Options
	for _, upright := range []bool{false, true} {
		for _, left := range []bool{false, true} {
			for _, even := range []bool{false, true} {
				all = append(all, Options{Upright: upright, LeftHanded: left, TrueFrets: !even, Dark: left})
			}
		}
	}
	return all
}

// Every dot of every diagram is where the model has it, says what the model
// says, and touches nothing: in all tunings, by all schemes, in all looks.
func TestEveryDotIsWhereTheModelHasIt(t *testing.T) {
	shows := [][]Label{nil, {Names, Degrees}, {Functions}, {Fingers, Names}, {Nothing}}
	scales := []string{"C major", "Bb minor pentatonic", "F# lydian", "E 1 b2 bb3 4 b5 b6 bb7"}
	count, pictures := 0, 0
	for i, preset := range fretboard.Presets() {
		c, r := scaleOf(t, scales[i%len(scales)])
		n := fretboard.Neck{Tuning: preset.Tuning, Frets: 18 + i%7, Capo: i % 3}
		for k, s := range schemes() {
			ls := layouts(t, s, n, c.Scale)
			if len(ls) == 0 {
				continue
			}
			var ds []Diagram
			for _, l := range ls[:min(len(ls), 3)] {
				if len(l.Spots) > 0 {
					ds = append(ds, OfLayout(l, r, fretboard.ToneSet{}))
				}
			}
			if k < 2 && (i+k)%3 == 0 {
				whole, err := OfNeck(n, c.Scale, r, 0, n.TopFret(), ls, fretboard.ScaleLength)
				require.NoError(t, err)
				ds = append(ds, whole)
			}
			look := looks()[(i+k)%8]
			look.Show = shows[(i+2*k)%len(shows)]
			count += checkPicture(t, preset.Key+", "+s.String(), ds, look)
			pictures++
		}
	}
	assert.Greater(t, pictures, 150)
	assert.Greater(t, count, 4000, "dots compared")
}

// checkPicture draws diagrams and compares what is on the page with them. It
// returns the number of dots.
func checkPicture(t *testing.T, name string, ds []Diagram, o Options) int {
	t.Helper()
	name = fmt.Sprintf("%s %+v", name, o)
	got := readSVG(t, Draw("a title", ds, o))
	require.Len(t, got.necks, len(ds), name)
	count := 0
	for i, d := range ds {
		neck := got.necks[i]
		upright := d.upright(o)
		require.Len(t, neck.notes, len(d.Dots), name)
		require.Len(t, neck.strings, d.Neck.Tuning.Len(), name)
		for _, note := range neck.notes {
			// Upright, a dot moves up in its fret if something stands below it.
			slip := .1
			if upright {
				slip = 28 // four lines
			}
			p := neck.placeOf(t, note, upright, o.LeftHanded, slip)
			dot := d.at(p)
			require.NotNil(t, dot, "%s: a dot at %v that the model has not", name, p)
			count++
			assert.Equal(t, fmt.Sprint(p.String), note.data["string"], name)
			assert.Equal(t, fmt.Sprint(p.Fret), note.data["fret"], name)
			if dot.Faint {
				assert.Equal(t, "speck", note.shape.class, name)
				continue
			}
			assert.Equal(t, map[Role]string{Root: "house", ChordTone: "tile", Other: "disc"}[dot.Role], note.shape.class, name)
			inside, below := o.shows(d)
			assert.Equal(t, dot.inside(inside), note.label, name)
			var lines []string
			for _, l := range below {
				switch text := dot.label(l); {
				case l == Order:
					lines = append(lines, dot.orderLines()...)
				case l == Roles && text != "":
					lines = append(lines, strings.Split(text, ", ")...)
				case text != "":
					lines = append(lines, text)
				}
			}
			assert.Equal(t, strings.Join(lines, " "), note.below, name)
			assert.Contains(t, got.desc, strings.Join(dot.says(d), " "), name)
		}
		for _, s := range neck.silent {
			x, y := s.middle()
			v := pick(upright, x, y)
			assert.True(t, slices.ContainsFunc(neck.strings, func(b box) bool { mx, my := b.middle(); return math.Abs(pick(upright, mx, my)-v) < .6 }), name)
		}
	}
	checkRoom(t, name, got)
	return count
}

// checkRoom looks for what touches and what is cut off.
func checkRoom(t *testing.T, name string, got seen) {
	t.Helper()
	page := box{0, 0, got.width, got.height}
	for _, it := range got.all {
		if it.class == "paper" {
			continue
		}
		const pen = 1.5
		b := it.box
		if b.x1 < page.x1+pen || b.y1 < page.y1+pen || b.x2 > page.x2-pen || b.y2 > page.y2-pen {
			assert.Fail(t, "cut off", "%s: %s %q at %v beyond %v", name, it.class, it.text, b, page)
		}
	}
	type solid struct {
		of int // note it belongs to, -1 for none
		item
	}
	for _, neck := range got.necks {
		checkWords(t, name, neck)
		var solids []solid
		for i, n := range neck.notes {
			solids = append(solids, solid{i, n.shape})
			for _, text := range n.texts {
				if text.class == "label" {
					assert.True(t, text.box.x1 >= n.shape.box.x1 && text.box.x2 <= n.shape.box.x2 && text.box.y1 >= n.shape.box.y1 && text.box.y2 <= n.shape.box.y2,
						"%s: %q leaves its shape", name, text.text)
					continue
				}
				solids = append(solids, solid{i, text})
			}
			for _, reach := range n.reach {
				solids = append(solids, solid{i, reach})
			}
		}
		for _, it := range got.all {
			switch it.class {
			case "fret", "tuning", "span-name", "title", "subtitle", "remark", "head", "caution", "index", "point", "bracket", "move-way", "link-words", "step", "step-how", "goes-on":
				solids = append(solids, solid{-1, it})
			}
		}
		for i, a := range solids {
			for _, b := range solids[i+1:] {
				if a.class == "index" || b.class == "index" { // the number stands in it
					if a.of < 0 && b.of < 0 && (a.class == "fret" || b.class == "fret") {
						continue
					}
				}
				own := a.of >= 0 && a.of == b.of && (a.class != "below" && b.class != "below" || a.class == "start" || b.class == "start") // its label, its reach
				if !own && a.box.overlaps(b.box) {
					assert.Fail(t, "overlap", "%s: %s %q %v and %s %q %v", name, a.class, a.text, a.box, b.class, b.text, b.box)
				}
			}
		}
	}
}

// checkWords looks for curves and arrows that run through words at links or
// at notes. They are followed from point to point.
func checkWords(t *testing.T, name string, neck seenNeck) {
	t.Helper()
	var words []item
	for _, l := range neck.links {
		for _, p := range l.parts {
			if p.class == "link-words" {
				words = append(words, p)
			}
		}
	}
	for _, n := range neck.notes {
		words = append(words, n.belows...)
	}
	for _, l := range neck.links {
		for _, p := range l.parts {
			for _, w := range words {
				// An arrow may pass under the words of notes that it goes past.
				if p.class == "way" && w.class == "below" && w.box.y1 > p.box.y1+2 && w.box.y2 < p.box.y2-2 {
					continue
				}
				if slices.ContainsFunc(p.trace, func(at [2]float64) bool {
					return at[0] > w.box.x1 && at[0] < w.box.x2 && at[1] > w.box.y1 && at[1] < w.box.y2
				}) {
					assert.Fail(t, "crossed", "%s: %q by the %s of %v", name, w.text, p.class, l.data)
				}
			}
		}
	}
}

// What is long is made to fit.
func TestLongLabelsFit(t *testing.T) {
	d := Diagram{Neck: fretboard.Guitar(), From: 5, To: 8, Index: -1}
	for i, degree := range []theory.Degree{{Number: 13, Alter: -1}, {Number: 7, Alter: -3}, {Number: 11, Alter: 2}} {
		d.Dots = append(d.Dots, Dot{Place: fretboard.Place{String: i + 1, Fret: 6}, Degree: degree, Pitch: theory.P(theory.B, -3, 3), Role: Role(i), Repeated: true,
			Fingers: []score.Finger{1, 2, 3, 4}, Steps: []Step{{Number: 9}, {Number: 10, Bend: Bending{Kind: FingerBend}}, {Number: 11}, {Number: 12}, {Number: 113}}})
	}
	for _, o := range looks() {
		for _, show := range [][]Label{{Degrees, Order}, {Names, Fingers}, {Fingers, Names}, {Order, Degrees}} {
			o.Show = show
			checkPicture(t, "long", []Diagram{d}, o)
		}
	}
}

// Titles from files may be of any length and hold anything.
func TestLongTitles(t *testing.T) {
	long := strings.Repeat("a lick with a long name ", 60) + strings.Repeat("W", 3000) + "\x00<&"
	d := Diagram{Title: long, Subtitle: long, Neck: fretboard.Guitar(), From: 5, To: 8, Index: -1, Notes: []string{long}, Caution: long, Spans: []Span{{Name: long, From: 5, To: 8}}}
	for _, o := range looks() {
		pic := Draw(long, []Diagram{d, d}, o)
		got := readSVG(t, pic)
		checkRoom(t, "long titles", got)
		assert.Less(t, pic.Width, 2000.0)
		for _, f := range Frames([]Diagram{d}, o) {
			for _, it := range readSVG(t, f).all {
				assert.True(t, it.box.x1 >= 0 && it.box.x2 <= f.Width, "%s %v", it.class, it.box)
			}
		}
	}
}

// A chord box shows the open C chord of every guitar method, with its fingers:
// x 3 2 0 1 0. Source: common practice.
func TestOpenChordBox(t *testing.T) {
	chord, err := theory.ParseChord("C")
	require.NoError(t, err)
	n := fretboard.Guitar()
	ls := layouts(t, fretboard.ChordShape{}, n, fretboard.ChordTones(chord))
	v := ls[0].Region.Voicings(fretboard.ChordTones(chord))[0]
	require.Equal(t, "x 3 2 0 1 0", v.String())
	d := OfVoicing(n, v, chord, "C shape").WithFingers(map[fretboard.Place][]score.Finger{
		{String: 5, Fret: 3}: {score.Ring}, {String: 4, Fret: 2}: {score.Middle}, {String: 2, Fret: 1}: {score.Index},
	})
	checkPicture(t, "C", []Diagram{d}, Options{})
	neck := readSVG(t, Draw("", []Diagram{d}, Options{})).necks[0]
	assert.Len(t, neck.silent, 1)
	var got []string
	for _, note := range neck.notes {
		p := neck.placeOf(t, note, true, false, 10)
		got = append(got, fmt.Sprintf("%d:%d %s %s", p.String, p.Fret, note.label, note.below))
	}
	assert.Equal(t, []string{"5:3 R 3", "4:2 3 2", "3:0 5 ", "2:1 R 1", "1:0 3 "}, got)
}

// A finger across several strings is a bar from the first to the last.
func TestBarre(t *testing.T) {
	chord, _ := theory.ParseChord("F")
	d := Diagram{Neck: fretboard.Guitar(), Held: true, Index: -1, From: 1, To: 4}
	for str, fret := range map[int]int{6: 1, 5: 3, 4: 3, 3: 2, 2: 1, 1: 1} {
		finger := map[int]score.Finger{1: score.Index, 2: score.Middle, 3: score.Ring}[fret]
		if str == 4 {
			finger = score.Little
		}
		d.Dots = append(d.Dots, Dot{Place: fretboard.Place{String: str, Fret: fret}, Pitch: theory.P(theory.C, 0, 3), Fingers: []score.Finger{finger}})
	}
	assert.Equal(t, []barre{{score.Index, 1, 1, 6}}, d.barres(), chord.String())
	d.Held = false
	assert.Empty(t, d.barres(), "a scale is not held")
}

// Nut to fret n: L·(1 − 2^(−n/12)). Source: at 648 mm fret 1 lies at 36.4 mm,
// 5 at 162.5, 7 at 215.5, 12 at 324.0, 24 at 486.0, as luthiers' tables print it.
func TestTrueSpacing(t *testing.T) {
	table := map[int]float64{1: 36.4, 5: 162.5, 7: 215.5, 12: 324, 24: 486}
	c, r := scaleOf(t, "C major")
	n := fretboard.Neck{Tuning: fretboard.Standard(), Frets: 24}
	d, err := OfNeck(n, c.Scale, r, 1, 24, nil, 0)
	require.NoError(t, err)
	neck := readSVG(t, Draw("", []Diagram{d}, Options{TrueFrets: true})).necks[0]
	require.Len(t, neck.wires, 25)
	unit := (neck.wires[24].x1 - neck.wires[0].x1) / table[24]
	for fret, mm := range table {
		assert.InDelta(t, mm, (neck.wires[fret].x1-neck.wires[0].x1)/unit, .1, "fret %d", fret)
	}
	even := readSVG(t, Draw("", []Diagram{d}, Options{})).necks[0]
	assert.InDelta(t, (even.wires[24].x1-even.wires[0].x1)/2, even.wires[12].x1-even.wires[0].x1, .1)
}

// Each two positions that follow each other have one move of the hand, in its
// lane beyond the numbers, from the one index finger to the other, and may make
// it on the strings that package fretboard says.
func TestOneMovePerShift(t *testing.T) {
	c, r := scaleOf(t, "G major")
	n := fretboard.Guitar()
	ls := layouts(t, fretboard.ChordShape{}, n, c.Scale)
	d, err := OfNeck(n, c.Scale, r, 0, n.TopFret(), ls, fretboard.ScaleLength)
	require.NoError(t, err)
	require.Len(t, d.Moves, len(ls)-1)
	for i, m := range d.Moves {
		assert.Equal(t, max(ls[i].Region.Index, 1), m.From, "in open position the index finger has the first fret")
		assert.Equal(t, ls[i+1].Region.Index, m.To)
		assert.Len(t, m.Ways, len(fretboard.Joins(ls[i], ls[i+1], fretboard.ScaleLength)))
	}
	for _, o := range looks() {
		checkPicture(t, "moves", []Diagram{d}, o)
		neck := readSVG(t, Draw("", []Diagram{d}, o)).necks[0]
		assert.Empty(t, neck.links)
		assert.Len(t, neck.spans, len(ls))
		require.Len(t, neck.moves, len(d.Moves))
		for i, m := range neck.moves {
			assert.Equal(t, map[string]string{"from": strconv.Itoa(d.Moves[i].From), "to": strconv.Itoa(d.Moves[i].To)}, m.data)
			for what, fret := range map[string]int{"from": d.Moves[i].From, "to": d.Moves[i].To} {
				k := slices.IndexFunc(neck.frets, func(f item) bool { return f.text == strconv.Itoa(fret) })
				if k < 0 {
					continue // the open strings have no number
				}
				x, y := neck.frets[k].box.middle()
				at := pick(o.Upright, y, x)
				first, last := pick(o.Upright, m.box.y1, m.box.x1), pick(o.Upright, m.box.y2, m.box.x2)
				end := pick((what == "to") != (o.LeftHanded && !o.Upright), last, first)
				assert.InDelta(t, at, end, 6, "%+v: %s of %v", o, what, m.data)
			}
		}
	}
}

// However a neck is cut, moves lead from a position with a bracket to another.
func TestMovesLeadToBrackets(t *testing.T) {
	c, r := scaleOf(t, "C major")
	n := fretboard.Guitar()
	ls := layouts(t, fretboard.ChordShape{}, n, c.Scale)
	moves, fewer := 0, 0
	for to := 4; to <= n.TopFret(); to++ {
		d, err := OfNeck(n, c.Scale, r, 0, to, ls, fretboard.ScaleLength)
		require.NoError(t, err)
		for _, m := range d.Moves {
			from, next, _ := strings.Cut(m.Label, " to ")
			i := slices.IndexFunc(d.Spans, func(s Span) bool { return s.Name == next && s.From <= m.To && m.To <= s.To })
			require.Greater(t, i, 0, "to fret %d: %v", to, m)
			assert.Equal(t, from, d.Spans[i-1].Name)
		}
		if moves > len(d.Moves) {
			fewer++
		}
		moves = len(d.Moves)
		if moves > 0 {
			assert.Equal(t, "shape", contentsOf([]Diagram{d}, Options{}).moves)
		}
	}
	assert.Positive(t, moves)
	assert.Zero(t, fewer, "a longer neck has no fewer moves")
}

// A row has in full what its position has, wherever that lies, and the other
// notes as specks: in all tunings, by all schemes. All rows are on the frets of
// the neck above them.
func TestEachNoteIsInTheRowsOfItsPositions(t *testing.T) {
	scales := []string{"C major", "A minor pentatonic", "F# lydian"}
	pages, shared := 0, 0
	for i, preset := range fretboard.Presets() {
		c, r := scaleOf(t, scales[i%len(scales)])
		n := fretboard.Neck{Tuning: preset.Tuning, Frets: 15 + i%9, Capo: i % 2}
		for k, s := range []fretboard.Scheme{fretboard.ChordShape{}, fretboard.PerString{Notes: []int{3}}, fretboard.PerString{Notes: []int{2}}} {
			ls := layouts(t, s, n, c.Scale)
			if len(ls) == 0 {
				continue
			}
			from, to := (i%3)*(i%2), n.TopFret()-i%2
			neck, err := OfNeck(n, c.Scale, r, from, to, ls, fretboard.ScaleLength)
			require.NoError(t, err)
			rows := OfRows(neck, ls, func(l fretboard.Layout) Diagram { return OfLayout(l, r, fretboard.ToneSet{}) })
			if len(rows) == 0 {
				continue
			}
			want := map[string]map[fretboard.Place]bool{}
			for _, l := range ls {
				low, high := frets(l)
				if half := min(high, to) - max(low, from) + 1; low < 0 || 2*half < high-low+1 {
					continue
				}
				name := stringsNamed(l.Region.Name, preset.Tuning)
				if want[name] == nil {
					want[name] = map[fretboard.Place]bool{}
				}
				for _, s := range l.Spots {
					if from <= s.Place.Fret && s.Place.Fret <= to {
						want[name][s.Place] = true
					}
				}
			}
			require.Len(t, rows, len(want))
			o := looks()[(i+k)%8]
			checkPicture(t, preset.Key+", rows", append([]Diagram{neck}, rows...), o)
			pages++
			page := readSVG(t, Draw("", append([]Diagram{neck}, rows...), o))
			count := map[fretboard.Place]int{}
			for j, row := range rows {
				got := map[fretboard.Place]bool{}
				all := page.necks[j+1]
				require.Len(t, all.notes, len(neck.Dots))
				for _, note := range all.notes {
					if note.shape.class != "speck" {
						p := all.placeOf(t, note, o.Upright, o.LeftHanded, 17)
						got[p] = true
						count[p]++
					}
				}
				assert.Equal(t, want[row.Title], got, "%s, %s", preset.Key, row.Title)
				// Level, wires stand above each other.
				if !o.Upright {
					for w := range all.wires {
						assert.InDelta(t, page.necks[0].wires[w].x1, all.wires[w].x1, .01)
					}
				}
			}
			for _, n := range count {
				if n > 1 {
					shared++
				}
			}
		}
	}
	assert.Greater(t, pages, 30)
	assert.Greater(t, shared, 1000, "notes in several positions")
}

// luminance is the relative luminance of WCAG 2.1.
func luminance(c ink.Color) float64 {
	lin := func(v uint8) float64 {
		f := float64(v) / 255
		if f <= .04045 {
			return f / 12.92
		}
		return math.Pow((f+.055)/1.055, 2.4)
	}
	return .2126*lin(c.R) + .7152*lin(c.G) + .0722*lin(c.B)
}

func contrast(a, b ink.Color) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + .05) / (math.Min(x, y) + .05)
}

// WCAG 2.1: 4.5 to 1 for words (1.4.3), 3 to 1 for shapes (1.4.11). In greys
// the roles are as far apart.
func TestContrast(t *testing.T) {
	assert.InDelta(t, 21, contrast(ink.Hex(0), ink.Hex(0xffffff)), .01, "the standard's own example")
	for name, c := range map[string]palette{"light": light(), "dark": dark()} {
		for what, pair := range map[string][2]ink.Color{
			"words": {c.ink, c.paper}, "numbers": {c.quiet, c.paper}, "root": {c.onRoot, c.root}, "tile": {c.onTone, c.tone}, "disc": {c.onOther, c.other}, "order": {c.accent, c.paper}, "index": {c.paper, c.quiet},
		} {
			assert.GreaterOrEqual(t, contrast(pair[0], pair[1]), 4.5, "%s %s", name, what)
		}
		for what, pair := range map[string][2]ink.Color{
			"root": {c.root, c.paper}, "outline": {c.outline, c.paper}, "outline of tiles": {c.outline, c.paper}, "root and tile": {c.root, c.tone}, "wedges": {c.accent, c.paper}, "strings": {c.str, c.paper},
		} {
			bar := 3.0
			if what == "root and tile" {
				bar = 2
			}
			assert.GreaterOrEqual(t, contrast(pair[0], pair[1]), bar, "%s %s", name, what)
		}
	}
}

// No two roles have the same outline.
func TestRolesDifferByShape(t *testing.T) {
	kinds := map[string]bool{}
	for _, r := range []Role{Root, ChordTone, Other} {
		kinds[fmt.Sprintf("%T", shapeOf(r, 0, 0, ink.Paint{}))] = true
	}
	assert.Len(t, kinds, 3)
}

func TestPicturesAreTheSameEveryTime(t *testing.T) {
	c, r := scaleOf(t, "A blues")
	n := fretboard.Guitar()
	make := func() []byte {
		var ds []Diagram
		for _, l := range layouts(t, fretboard.ChordShape{}, n, c.Scale) {
			ds = append(ds, OfLayout(l, r, fretboard.ToneSet{}))
		}
		var b bytes.Buffer
		require.NoError(t, Draw("A blues", ds, Options{}).WriteSVG(&b))
		require.NoError(t, Draw("A blues", ds[:1], Options{}).WritePNG(&b, 1))
		return b.Bytes()
	}
	assert.Equal(t, make(), make())
}

func TestXMLLint(t *testing.T) {
	lint := outside.Program(t, "xmllint")
	c, r := scaleOf(t, "A blues")
	n := fretboard.Guitar()
	ls := layouts(t, fretboard.ChordShape{}, n, c.Scale)
	d, err := OfNeck(n, c.Scale, r, 0, 15, ls, fretboard.ScaleLength)
	require.NoError(t, err)
	d.Title = `<"lick" & 'riff'>`
	path := filepath.Join(t.TempDir(), "a.svg")
	var b bytes.Buffer
	require.NoError(t, Draw("A & B", []Diagram{d}, Options{}).WriteSVG(&b))
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o666))
	out, err := exec.Command(lint, "--noout", path).CombinedOutput()
	assert.NoError(t, err, string(out))
}

// A Diagram from anywhere draws: no strings to speak of, no dots, one fret.
func TestBareDiagrams(t *testing.T) {
	n := fretboard.Guitar()
	for _, d := range []Diagram{
		Diagram{Neck: n, Index: -1}.sized(),
		{Neck: n, From: 22, To: 22, Index: -1},
		Diagram{Neck: fretboard.Neck{Tuning: fretboard.Standard(), Frets: 1}, Index: -1}.sized(),
		{Neck: n, From: 0, To: 1, Index: -1, Silent: []int{1, 2, 3, 4, 5, 6}},
	} {
		for _, o := range looks() {
			checkPicture(t, "bare", []Diagram{d}, o)
			assert.NotEmpty(t, Text(d, o))
		}
	}
	assert.NotPanics(t, func() { Draw("", nil, Options{}) })
	assert.Empty(t, Frames(nil, Options{}))
}

// A position that is cut by the frets that are shown has points at that end of
// its bracket, and says so in its row.
func TestWhatIsCutOffSaysSo(t *testing.T) {
	c, r := scaleOf(t, "G major")
	n := fretboard.Guitar()
	ls := layouts(t, fretboard.ChordShape{}, n, c.Scale)
	cuts := 0
	for _, cut := range [][2]int{{0, 15}, {3, 9}, {6, 16}, {1, 21}} {
		d, err := OfNeck(n, c.Scale, r, cut[0], cut[1], ls, fretboard.ScaleLength)
		require.NoError(t, err)
		open := 0
		for _, s := range d.Spans {
			i := slices.IndexFunc(ls, func(l fretboard.Layout) bool {
				low, high := frets(l)
				return l.Region.Name == s.Name && max(low, cut[0]) == s.From && min(high, cut[1]) == s.To
			})
			require.GreaterOrEqual(t, i, 0, "%v", s)
			low, high := frets(ls[i])
			assert.Equal(t, low < cut[0], s.Before, "%v of %v", s, cut)
			assert.Equal(t, high > cut[1], s.Beyond, "%v of %v", s, cut)
			open += int(boolToFloat(s.Before) + boolToFloat(s.Beyond))
		}
		for _, o := range looks() {
			checkPicture(t, "cut", []Diagram{d}, o)
			points := 0
			for _, it := range readSVG(t, Draw("", []Diagram{d}, Options{LeftHanded: o.LeftHanded, Upright: o.Upright, NoLegend: true})).all {
				if it.class == "goes-on" {
					points++
				}
			}
			assert.Equal(t, 3*open, points, "%v", cut)
		}
		cuts += open
		said := 0
		for _, row := range OfRows(d, ls, func(l fretboard.Layout) Diagram { return OfLayout(l, r, fretboard.ToneSet{}) }) {
			for _, note := range row.Notes {
				said += strings.Count(note, "goes on beyond") + strings.Count(note, "begins before")
			}
		}
		assert.Equal(t, open, said, "%v", cut)
	}
	assert.Greater(t, cuts, 3)
}

// Pictures for left-handed players say that they are.
func TestLeftHandedIsSaid(t *testing.T) {
	c, r := scaleOf(t, "A minor pentatonic")
	d := OfLayout(layouts(t, fretboard.ChordShape{}, fretboard.Guitar(), c.Scale)[1], r, fretboard.ToneSet{})
	for _, o := range looks() {
		for _, title := range []string{"", "A minor pentatonic"} {
			said := slices.ContainsFunc(readSVG(t, Draw(title, []Diagram{d}, o)).all, func(it item) bool { return it.text == "left-handed" })
			assert.Equal(t, o.LeftHanded, said, "%+v", o)
		}
		assert.Equal(t, o.LeftHanded, strings.Contains(Text(d, o), "left-handed"))
	}
}

// The legend explains what is in the picture, and nothing else.
func TestLegendIsThatOfThePicture(t *testing.T) {
	c, r := scaleOf(t, "A minor pentatonic")
	n := fretboard.Guitar()
	ls := layouts(t, fretboard.ChordShape{}, n, c.Scale)
	neck, err := OfNeck(n, c.Scale, r, 0, 15, ls, fretboard.ScaleLength)
	require.NoError(t, err)
	m := newMaker(n, "A minor").chord("Am7")
	a, b := m.play(at(3, 5))[0], m.play(at(3, 7))[0]
	m.link(score.ShiftSlide, a, b)
	m.play(at(6, 5))[0].Techniques = []score.Technique{score.Dead}
	phrase, _ := OfPhrase(m.score(), PhraseOptions{})
	signs := map[string]string{ // words of the legend, by class in the picture
		"frets of a": "bracket", "fret of the index finger": "index", "inlay of the neck": "point", "the hand moves": "move-way",
		"order of playing": "start", "slide, the second note struck too": "way", "goes on beyond": "goes-on", "stretches": "reach",
		"root of": "house", "other tone of": "tile",
	}
	for name, ds := range map[string][]Diagram{"neck": {neck}, "position": {OfLayout(ls[1], r, fretboard.ToneSet{})}, "phrase": phrase} {
		bare := readSVG(t, Draw("", ds, Options{NoLegend: true}))
		var words []string
		for _, it := range readSVG(t, Draw("", ds, Options{})).all {
			if it.class == "legend-words" {
				words = append(words, it.text)
			}
		}
		for text, class := range signs {
			there := slices.ContainsFunc(bare.all, func(it item) bool { return it.class == class })
			assert.Equal(t, there, slices.ContainsFunc(words, func(w string) bool { return strings.Contains(w, text) }), "%s: %s in %v", name, text, words)
		}
		dead := slices.ContainsFunc(bare.all, func(it item) bool { return it.text == "×" })
		assert.Equal(t, dead, slices.Contains(words, "dead note, without a pitch"), name)
	}
}

// Positions named by their strings have the names that stand at the strings,
// where those tell them apart.
// Source: tunings as package fretboard lists them.
func TestStringsOfPositionsAreNamed(t *testing.T) {
	for _, c := range []struct{ tuning, name, want string }{
		{"bass", "root on string 3, index finger", "root on the A string, index finger"},
		{"standard", "root on string 1, index finger", "root on the e string, index finger"},
		{"standard", "root on string 6, little finger", "root on the E string, little finger"},
		{"dadgad", "root on string 4, index finger", "root on string 4, index finger"},
		{"standard", "E shape", "E shape"}, {"standard", "3 notes per string from 2", "3 notes per string from 2"}, {"bass", "string 9", "string 9"},
	} {
		tuning, err := fretboard.ParseTuning(c.tuning)
		require.NoError(t, err)
		assert.Equal(t, c.want, stringsNamed(c.name, tuning))
	}
}
