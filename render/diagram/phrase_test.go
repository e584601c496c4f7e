package diagram

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A maker makes a part note by note, a quarter each.
type maker struct {
	part *score.Part
	neck fretboard.Neck
	at   score.Quarters
	ids  int
}

func newMaker(n fretboard.Neck, key string) *maker {
	m := &maker{part: &score.Part{ID: "P1", Name: "Guitar", Staves: 1}, neck: n}
	m.bar()
	m.add(&score.NeckChange{Neck: n})
	if k, _, err := theory.ParseKey(key); err == nil {
		m.add(&score.KeySignature{Key: k, ModeSaid: true})
	}
	return m
}

func (m *maker) bar() *maker {
	m.part.Measures = append(m.part.Measures, &score.Measure{Number: strconv.Itoa(len(m.part.Measures) + 1), Length: score.Q(4, 1)})
	m.at = score.Quarters{}
	return m
}

func (m *maker) add(e score.Event) {
	last := m.part.Measures[len(m.part.Measures)-1]
	last.Events = append(last.Events, e)
}

func (m *maker) chord(symbol string) *maker {
	c, _ := theory.ParseChord(symbol)
	m.add(&score.Harmony{Common: score.Common{Onset: m.at}, Chord: c})
	return m
}

// play strikes places together and returns their notes.
func (m *maker) play(places ...fretboard.Place) []*score.Note {
	c := &score.Chord{Common: score.Common{Onset: m.at, Staff: 1}, Duration: score.Q(1, 1), Voice: 1}
	for _, p := range places {
		c.Notes = append(c.Notes, &score.Note{Pitch: theory.SpellIn(theory.Key{}, m.neck.Stopped(p)), Place: p})
	}
	m.add(c)
	m.at = m.at.Add(score.Q(1, 1))
	return c.Notes
}

func (m *maker) link(kind score.SpanKind, a, b *score.Note) {
	m.ids++
	a.Techniques = append(a.Techniques, score.Span{Kind: kind, ID: m.ids, End: score.Start})
	b.Techniques = append(b.Techniques, score.Span{Kind: kind, ID: m.ids, End: score.Stop})
}

func (m *maker) score() *score.Score {
	return &score.Score{Title: "made", Parts: []*score.Part{m.part}}
}

func at(str, fret int) fretboard.Place { return fretboard.Place{String: str, Fret: fret} }

func TestPhraseSaysOrderDegreesAndFingers(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "A minor")
	m.chord("Am")
	a := m.play(at(3, 5))[0]
	b := m.play(at(3, 7))[0]
	m.link(score.HammerOn, a, b)
	m.play(at(2, 5), at(1, 5))
	c := m.play(at(3, 7))[0]
	c.Techniques = append(c.Techniques, score.Bend{Amount: score.Q(2, 1)})
	c.Finger, b.Finger = score.Ring, score.Ring
	m.bar()
	d := m.play(at(4, 7))[0]
	e := m.play(at(4, 7))[0]
	d.TieStart, e.TieStop = true, true
	dead := m.play(at(6, 5))[0]
	dead.Techniques = append(dead.Techniques, score.Dead)

	ds, say := OfPhrase(m.score(), PhraseOptions{})
	assert.Empty(t, say)
	require.Len(t, ds, 1)
	assert.Equal(t, "bars 1 to 2 (bar 2 from 5)", ds[0].Title)
	assert.Equal(t, "Am", ds[0].Subtitle)
	checkPicture(t, "phrase", ds, Options{})
	neck := readSVG(t, Draw("", ds, Options{})).necks[0]
	got := map[string]string{}
	for _, n := range neck.notes {
		got[n.data["string"]+":"+n.data["fret"]] = n.label + " " + n.shape.class + " " + n.below + " " + n.data["finger"]
	}
	assert.Equal(t, map[string]string{
		"3:5": "♭3 tile 1 ", "3:7": "11 disc 2, 4 4: bend full 3", "2:5": "5 tile 3 ", "1:5": "R house 3 ", "4:7": "R house 5 ", "6:5": "× disc 6 ",
	}, got)
	require.Len(t, neck.links, 1)
	assert.Equal(t, "link slur", neck.links[0].class)
	assert.Equal(t, "H 1-2", neck.links[0].text)
	assert.Equal(t, map[string]string{"string": "3", "from": "5", "to": "7"}, neck.links[0].data)
}

// Slurs have the letters of tab, by direction, and a half tone of bend is ½ of
// a whole tone, which is full.
// Source: common practice of tab.
func TestSlursAndBendsSayWhatTheyAre(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "C")
	a, b, c := m.play(at(1, 5))[0], m.play(at(1, 8))[0], m.play(at(1, 5))[0]
	m.link(score.HammerOn, a, b)
	m.ids++
	m.link(score.PullOff, b, c)
	for i, semitones := range []int64{1, 2, 3, -2, 0} {
		n := m.play(at(2, 5+i))[0]
		n.Techniques = append(n.Techniques, score.Bend{Amount: score.Q(semitones, 1)})
	}
	ds, _ := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 1)
	for _, o := range looks() {
		checkPicture(t, "slurs", ds, o)
		var letters []string
		for _, l := range readSVG(t, Draw("", ds, o)).necks[0].links {
			letters = append(letters, l.text+l.data["from"])
		}
		assert.Equal(t, []string{"H 1-25", "P 2-38"}, letters)
	}
	var signs []string
	for i := range 5 {
		_, after := ds[0].at(at(2, 5+i)).Steps[0].Bend.arrows()
		signs = append(signs, after)
	}
	assert.Equal(t, []string{"↑½", "↑full", "↑1½", "↓full", "↑"}, signs)
	text := Text(ds[0], Options{})
	assert.Contains(t, text, "hammer-on: 1: 5-8 (notes 1-2)\npull-off: 1: 8-5 (notes 2-3)\n")
	assert.Contains(t, text, "6^1 1/2", "as it is typed")
}

// A slide is an arrow: with a curve if the second note is not struck, as in
// notation (a slur over the line), without one if it is; a glissando
// is a wave, as in notation. Source: common practice, and MusicXML 4.0, where
// slide is a solid and glissando a wavy line by default.
func TestSlidesAreToldApart(t *testing.T) {
	seen := map[string]score.SpanKind{}
	for kind, want := range map[score.SpanKind]string{score.LegatoSlide: "slide way arch sl. 1-2", score.ShiftSlide: "struck-slide way sl. 1-2 struck", score.Glissando: "glissando way gliss. 1-2"} {
		m := newMaker(fretboard.Guitar(), "C")
		m.link(kind, m.play(at(3, 5))[0], m.play(at(3, 9))[0])
		ds, _ := OfPhrase(m.score(), PhraseOptions{})
		require.Len(t, ds, 1)
		for _, o := range looks() {
			checkPicture(t, want, ds, o)
			links := readSVG(t, Draw("", ds, o)).necks[0].links
			require.Len(t, links, 1)
			got := strings.TrimPrefix(links[0].class, "link ")
			for _, p := range links[0].parts {
				if p.class != "link-words" {
					got += " " + p.class
				}
			}
			assert.Equal(t, want, got+" "+links[0].text)
		}
		legend := contentsOf(ds, Options{})
		assert.True(t, legend.links[ds[0].Links[0].Kind])
		words := ds[0].Links[0].words()
		require.Empty(t, seen[words], "%s is said of two kinds", words)
		seen[words] = kind
	}
}

// What is bent before it is struck is a pre-bend, what is let back a release,
// each on a line of its own, whatever else the place is played for.
// Source: common practice of tab and of tutors.
func TestBendsAreToldApart(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "C")
	full, half := score.Q(2, 1), score.Q(1, 1)
	bends := []score.Bend{
		{Amount: full}, {Amount: full, Release: true}, {Amount: full, Release: true, ReleaseTo: half}, {Amount: half, PreBend: true},
		{Amount: full, PreBend: true, Release: true}, {Amount: full.Neg(), WithBar: true, Release: true}, {Release: true},
	}
	for i, b := range bends {
		n := m.play(at(2, 5+i))[0]
		n.Techniques = append(n.Techniques, b)
	}
	for _, b := range bends[:2] {
		m.play(at(1, 8))
		n := m.play(at(1, 8))[0]
		n.Techniques = append(n.Techniques, b)
	}
	ds, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
	var got []string
	for i := range bends {
		got = append(got, ds[0].at(at(2, 5+i)).label(Order))
	}
	assert.Equal(t, []string{"1↑full", "2↑full↓", "3↑full↓½", "↑½ 4", "↑full 5↓", "6↓full↑", "7↑↓"}, got)
	assert.Equal(t, []string{
		"bar down: struck, then lowered with the bar", "bend: struck, then bent", "full: as far as two frets, ½ as one", "pre-bend: bent, then struck", "rel.: released again",
	}, contentsOf(ds, Options{}).signs)
	for _, o := range looks() {
		checkPicture(t, "bends", ds, o)
		lines := map[string]bool{}
		for _, n := range readSVG(t, Draw("", ds, o)).necks[0].notes {
			// The first number stands on its ground, beside its bend.
			if n.below != "1: bend full" {
				for _, it := range n.belows {
					lines[it.text] = true
				}
			}
		}
		if o.Upright || o.TrueFrets {
			continue // where what is long may be broken
		}
		for _, line := range []string{"2: bend full, rel.", "3: bend full, rel. to ½", "4: pre-bend ½", "5: pre-bend full, rel.", "6: bar down full, rel.", "7: bend, rel.", "8, 9, 10, 11", "9: bend full", "11: bend full, rel."} {
			assert.True(t, lines[line], "%q in %v", line, lines)
		}
	}
	assert.Contains(t, TextLegend(ds, Options{}), "3^fullv struck, then bent, then released")
}

// Curves that share room on a string do not touch: their ends lie apart, and
// the one that spans the other is higher all along it.
func TestCurvesDoNotCross(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 2))
	pairs := 0
	for round := range 40 {
		m := newMaker(fretboard.Guitar(), "C")
		for range 5 {
			a := 3 + rnd.IntN(5)
			b := a + 1 + rnd.IntN(4)
			m.link([]score.SpanKind{score.HammerOn, score.LegatoSlide}[rnd.IntN(2)], m.play(at(1+rnd.IntN(2), a))[0], m.play(at(1, b))[0])
		}
		ds, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
		o := looks()[round%8]
		checkPicture(t, "curves", ds, o)
		links := readSVG(t, Draw("", ds, o)).necks[0].links
		top := func(l seenLink) (box, bool) {
			for _, p := range l.parts {
				if p.class == "arch" {
					return p.box, true
				}
			}
			return box{}, false
		}
		for i, a := range links {
			for _, b := range links[i+1:] {
				x, ok := top(a)
				y, also := top(b)
				if !ok || !also || a.data["string"] != b.data["string"] {
					continue
				}
				if o.Upright {
					x, y = box{x.y1, -x.x2, x.y2, -x.x1}, box{y.y1, -y.x2, y.y2, -y.x1}
				}
				if x.x2 <= y.x1+.1 || y.x2 <= x.x1+.1 {
					continue // beside each other
				}
				pairs++
				assert.Greater(t, math.Abs(x.y1-y.y1), 9.0, "round %d: %v and %v are as high", round, a.data, b.data)
			}
		}
	}
	assert.Greater(t, pairs, 40)
}

// Labels of the music stand below the order, a line each, as they were written,
// and make roles where no chord is known. Words over the music are said by the
// number of their note.
func TestLabelsOfTheMusicAreShown(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "none")
	label := func(n *score.Note, degree, tone, role string) {
		n.Annotations = []score.Annotation{{Kind: score.LabelDegree, Text: degree}, {Kind: score.LabelChordTone, Text: tone}}
		if role != "" {
			n.Annotations = append(n.Annotations, score.Annotation{Kind: score.LabelRole, Text: role})
		}
	}
	label(m.play(at(3, 5))[0], "b3", "b3", "")
	label(m.play(at(3, 7))[0], "4", "(11)", "p")
	m.add(&score.Words{Common: score.Common{Onset: m.at}, Kind: "words", Text: "lean  on it"})
	label(m.play(at(2, 5))[0], "5", "5", "")
	label(m.play(at(3, 7))[0], "4", "(11)", ">n")
	m.bar()
	label(m.play(at(1, 5))[0], "1", "R", "")
	m.add(&score.Words{Common: score.Common{Onset: m.at}, Kind: "words", Text: "let ring"})
	s := m.score()
	s.Legend = []string{"degree: counted from A minor", "chord-tone: R is the root", "role: p passing, n neighbour, > accented"}
	ds, _ := OfPhrase(s, PhraseOptions{})
	require.Len(t, ds, 1)
	assert.Equal(t, []string{"at 3: lean on it; 5: let ring"}, ds[0].Notes)
	inside, below := Options{}.shows(ds[0])
	assert.Equal(t, Degrees, inside)
	assert.Equal(t, []Label{Order, Functions, Roles}, below)
	neck := readSVG(t, Draw("", ds, Options{})).necks[0]
	got := map[string]string{}
	for _, n := range neck.notes {
		got[n.data["string"]+":"+n.data["fret"]] = n.label + " " + n.shape.class + " " + n.below
	}
	assert.Equal(t, map[string]string{"3:5": "♭3 tile 1 ♭3", "3:7": "4 disc 2, 4 (11) 2: pass. 4: lean. neigh.", "2:5": "5 tile 3 5", "1:5": "1 house 5 R"}, got)
	for _, o := range looks() {
		for _, show := range [][]Label{nil, {Roles}, {Names, Roles, Degrees}, {Functions, Order, Intervals}} {
			o.Show = show
			checkPicture(t, "labels", ds, o)
		}
	}
	text := TextLegend(ds, Options{})
	assert.Contains(t, text, "what the note does: pass. = passing; neigh. = neighbour; lean. = leaning: played on a stronger beat")
	for in, want := range map[string]string{"b3": "♭3", "(#11)": "(♯11)", "Bb": "B♭", "bb7": "♭♭7", "-P4": "-P4", "enc": "enc", "Ebb": "E♭♭"} {
		assert.Equal(t, want, prettyLabel(in))
	}
}

// Where everything sounds together an order says nothing.
func TestNoOrderOfOneChord(t *testing.T) {
	for _, play := range []struct {
		places [][]fretboard.Place
		shown  bool
	}{
		{[][]fretboard.Place{{at(4, 5), at(3, 5), at(2, 5)}}, false},
		{[][]fretboard.Place{{at(4, 5), at(3, 5), at(2, 5)}, {at(4, 5), at(3, 5), at(2, 5)}}, false},
		{[][]fretboard.Place{{at(4, 5), at(3, 5), at(2, 5)}, {at(4, 5)}}, true},
		{[][]fretboard.Place{{at(4, 5)}, {at(4, 5)}}, true},
	} {
		m := newMaker(fretboard.Guitar(), "C").chord("C")
		for _, p := range play.places {
			m.play(p...)
		}
		ds, _ := OfPhrase(m.score(), PhraseOptions{})
		require.Len(t, ds, 1)
		for _, o := range []Options{{}, {Show: []Label{Degrees}}} {
			_, below := o.shows(ds[0])
			assert.Equal(t, play.shown, slices.Contains(below, Order), "%v", play.places)
			assert.Equal(t, play.shown, strings.Contains(TextLegend(ds, o), "order"), "%v", play.places)
			checkPicture(t, "together", ds, o)
		}
		_, below := Options{Show: []Label{Degrees, Order}}.shows(ds[0])
		assert.Equal(t, []Label{Order}, below, "who asks for it has it")
	}
}

// A note keeps its function under each chord, and a picture is cut where its
// roles would contradict each other.
func TestPhraseIsCutAtChords(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "C")
	for _, symbol := range []string{"Dm7", "G7", "C"} {
		m.chord(symbol)
		for _, f := range []int{5, 6, 7, 8} {
			m.play(at(3, f))
		}
		m.bar()
	}
	ds, _ := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 3)
	for i, want := range []Role{ChordTone, Other, Root} { // C over Dm7, G7 and C
		assert.Equal(t, want, ds[i].at(at(3, 5)).Role, ds[i].Subtitle)
		assert.Equal(t, []string{"♭7", "11", "R"}[i], ds[i].at(at(3, 5)).Function)
	}
	over := theory.Chord{Root: theory.NoteName{Step: theory.A}, Quality: "m"}
	ds, _ = OfPhrase(m.score(), PhraseOptions{Chord: &over})
	require.Len(t, ds, 1, "all of it over one chord")
	assert.Equal(t, ChordTone, ds[0].at(at(3, 5)).Role)
	assert.Equal(t, "♭3", ds[0].at(at(3, 5)).Function)
}

func TestPhraseReportsWhatItCannotDraw(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "C")
	m.play(at(3, 5))
	m.play(at(3, 5))[0].Place = fretboard.Place{}
	m.play(at(3, 5))[0].Place = at(3, 99)
	ds, say := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 1)
	require.Len(t, say, 1)
	assert.Equal(t, "picture-no-place", say[0].Code)
	assert.Contains(t, say[0].Msg, "2 notes")

	_, say = OfPhrase(&score.Score{Parts: []*score.Part{{ID: "P1", Measures: []*score.Measure{{}}}}}, PhraseOptions{})
	require.Len(t, say, 1)
	assert.Equal(t, score.NotDone, say[0].Severity)
}

// Of any music on a neck: every struck note is in one picture, at its place,
// with a number; the numbers run on from picture to picture without a gap;
// pictures keep their limits where they may.
func TestRandomPhrases(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 9))
	for round := range 60 {
		presets := fretboard.Presets()
		n := fretboard.Neck{Tuning: presets[rnd.IntN(len(presets))].Tuning, Frets: 12 + rnd.IntN(12), Capo: rnd.IntN(3)}
		m := newMaker(n, []string{"C", "A minor", "Eb", "none"}[rnd.IntN(4)])
		struck := map[fretboard.Place]int{}
		total, moments, low := 0, 0, 0
		var last []*score.Note
		for range 2 + rnd.IntN(6) {
			if rnd.IntN(2) == 0 {
				m.chord([]string{"Am7", "D7", "Bbmaj7", "N.C."}[rnd.IntN(4)])
			}
			for range 4 {
				if rnd.IntN(4) == 0 {
					low = rnd.IntN(n.TopFret() - 4)
				}
				var places []fretboard.Place
				for range 1 + rnd.IntN(3)/2 {
					p := at(1+rnd.IntN(n.Tuning.Len()), low+rnd.IntN(5))
					if !slices.ContainsFunc(places, func(q fretboard.Place) bool { return q.String == p.String }) {
						places = append(places, p)
					}
				}
				notes := m.play(places...)
				if last != nil && rnd.IntN(4) == 0 && last[0].Place.String == notes[0].Place.String {
					m.link([]score.SpanKind{score.HammerOn, score.LegatoSlide}[rnd.IntN(2)], last[0], notes[0])
				}
				last = notes
				moments++
				for _, p := range places {
					struck[p]++
					total++
				}
			}
			m.bar()
		}
		ds, say := OfPhrase(m.score(), PhraseOptions{})
		require.Empty(t, say)
		got, numbers := map[fretboard.Place]int{}, 0
		for _, d := range ds {
			var steps []int
			for _, dot := range d.Dots {
				got[dot.Place] += len(dot.Steps)
				for _, s := range dot.Steps {
					steps = append(steps, s.Number)
				}
				assert.True(t, d.From <= dot.Place.Fret && dot.Place.Fret <= d.To, "round %d", round)
			}
			slices.Sort(steps)
			steps = slices.Compact(steps)
			for i, s := range steps {
				require.Equal(t, numbers+i+1, s, "round %d", round)
			}
			numbers += len(steps)
		}
		assert.Equal(t, struck, got, "round %d", round)
		assert.Equal(t, moments, numbers, "round %d", round)
		look := looks()[round%8]
		checkPicture(t, fmt.Sprintf("round %d", round), ds, look)

		whole, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
		require.Len(t, whole, 1)
		frames := StepFrames(whole[0], StepOptions{})
		require.Len(t, frames, moments+1)
		for i, f := range frames[:moments] {
			for _, dot := range f.Dots {
				full := slices.ContainsFunc(whole[0].at(dot.Place).Steps, func(s Step) bool { return s.Number == i+1 })
				assert.Equal(t, !full, dot.Faint, "round %d, step %d", round, i+1)
			}
		}
	}
}

// Frames are 16 to 9, transparent round the neck, and nothing of the neck
// moves from one to the next.
func TestFramesDoNotJump(t *testing.T) {
	c, r := scaleOf(t, "D dorian")
	n := fretboard.Guitar()
	for _, o := range looks() {
		var ds []Diagram
		for _, l := range layouts(t, fretboard.ChordShape{}, n, c.Scale) {
			ds = append(ds, OfLayout(l, r, fretboard.ToneSet{}))
		}
		require.Greater(t, len(ds), 5)
		frames := Frames(ds, o)
		require.Len(t, frames, len(ds))
		var first seenNeck
		for i, f := range frames {
			assert.InDelta(t, 16.0/9, f.Width/f.Height, 1e-9)
			assert.Zero(t, f.Background.A)
			got := readSVG(t, f)
			require.Len(t, got.necks, 1)
			neck := got.necks[0]
			if i == 0 {
				first = neck
			}
			assert.Equal(t, first.wires, neck.wires, "frame %d", i)
			assert.Equal(t, first.strings, neck.strings, "frame %d", i)
			var numbers []string
			for _, f := range neck.frets {
				numbers = append(numbers, f.text)
			}
			assert.Len(t, numbers, len(neck.wires)-1)
			for _, note := range neck.notes {
				p := neck.placeOf(t, note, o.Upright, o.LeftHanded, .2)
				assert.NotNil(t, ds[i].at(p), "frame %d: %v", i, p)
			}
			for _, it := range got.all {
				assert.True(t, it.box.x1 > 0 && it.box.y1 > 0 && it.box.x2 < f.Width && it.box.y2 < f.Height, "%s %q %v", it.class, it.text, it.box)
			}
		}
	}
	img, err := Frames([]Diagram{OfLayout(layouts(t, fretboard.ChordShape{}, n, c.Scale)[2], r, fretboard.ToneSet{})}, Options{})[0].Raster(.25)
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 480, 270), img.Bounds())
	assert.Zero(t, img.RGBAAt(2, 2).A, "transparent outside")
	assert.Equal(t, uint8(0xff), img.RGBAAt(240, 250).A, "the neck's own ground is not")
}

// Beside what is played at a step stands what was just played and what comes
// next, as many steps as were asked for, with nothing on anything else. On a
// phone held upright (360 px wide) figures in dots are 6.5 px high or more.
func TestFramesShowWhatWasAndWhatComes(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 1))
	agains := 0
	for round := range 12 {
		m := newMaker(fretboard.Guitar(), "A minor").chord("Am7")
		for range 8 {
			m.play(at(1+rnd.IntN(4), 5+rnd.IntN(4)))
		}
		whole, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
		opt := StepOptions{Trail: rnd.IntN(4), Ahead: rnd.IntN(3)}
		steps := StepFrames(whole[0], opt)
		o := looks()[round%8]
		frames := Frames(steps, o)
		for i, f := range frames[:8] {
			got := readSVG(t, f)
			checkRoom(t, "frame", got)
			neck := got.necks[0]
			for _, note := range neck.notes {
				dot := whole[0].at(neck.placeOf(t, note, o.Upright, o.LeftHanded, .2))
				has := func(from, to int) bool {
					return slices.ContainsFunc(dot.Steps, func(s Step) bool { return s.Number >= from && s.Number <= to })
				}
				n := i + 1
				want := "faint"
				switch {
				case has(n, n):
					want = "now"
				case has(n+1, n+opt.Ahead):
					want = "next"
				case has(n-opt.Trail, n-1):
					want = "before"
				}
				is := strings.Fields(note.class + " now")
				last := is[len(is)-2]
				if last != "faint" && last != "next" && last != "before" {
					last = "now"
				}
				assert.Equal(t, want, last, "round %d, step %d, %v", round, n, note.data)
				again := has(n, n) && has(n+1, n+opt.Ahead)
				assert.Equal(t, again, slices.ContainsFunc(got.all, func(it item) bool {
					x, y := it.box.middle()
					nx, ny := note.shape.box.middle()
					return it.class == "again" && math.Hypot(x-nx, y-ny) < 20
				}), "round %d, step %d", round, n)
				if again {
					agains++
				}
			}
			var step string
			for _, it := range got.all {
				if it.class == "step" {
					step = it.text
				}
			}
			assert.Equal(t, fmt.Sprintf("note %d", i+1), step)
			if !o.Upright {
				for _, g := range f.Shapes {
					assert.GreaterOrEqual(t, Options{frame: true}.measures(4).label*g.(*ink.Group).Scale*360/FrameWidth*ink.CapHeight, 6.5, "capitals")
				}
			}
		}
	}
	assert.Positive(t, agains)
}

// Over a chord the house is the chord's root and a tile another of its tones,
// whatever stands in the dots; without chords the house is the tonic.
// Source: notes of Am7 (A C E G) and D7 (D F# A C) from any handbook; chord
// symbols as MusicXML has them, root first.
func TestHouseIsTheRootOfTheChord(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "A minor")
	line := []fretboard.Place{at(3, 5), at(3, 7), at(2, 5), at(1, 5), at(4, 7), at(4, 4)} // C D E A A F#
	for _, symbol := range []string{"", "Am7", "D7", "Am7"} {
		if symbol != "" {
			m.chord(symbol)
		}
		for _, p := range line {
			m.play(p)
		}
		m.bar()
	}
	roots := map[string]int{"": 9, "Am7": 9, "D7": 2}
	tones := map[string][]int{"Am7": {0, 4, 7}, "D7": {6, 9, 0}}
	ds, _ := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 4)
	for i, symbol := range []string{"", "Am7", "D7", "Am7"} {
		require.Equal(t, symbol, ds[i].Subtitle)
		for _, show := range [][]Label{nil, {Degrees, Order}, {Functions, Order}, {Names}} {
			o := Options{Show: show}
			notes := readSVG(t, Draw("", ds[i:i+1], o)).necks[0].notes
			require.Len(t, notes, len(line))
			for k, p := range line {
				n := notes[k]
				class := fretboard.Guitar().Stopped(p) % 12
				want := "disc"
				switch {
				case class == roots[symbol]:
					want = "house"
				case slices.Contains(tones[symbol], class):
					want = "tile"
				}
				assert.Equal(t, want, n.shape.class, "%s %v", symbol, n.data)
				assert.Equal(t, want == "house" && symbol != "", n.data["function"] == "R")
			}
		}
		legend := "{} root of the chord " + symbol
		if symbol == "" {
			legend = "{} tonic"
		}
		assert.Contains(t, TextLegend(ds[i:i+1], Options{}), legend)
	}
	assert.Contains(t, TextLegend(ds[1:], Options{}), "{} root of the chord, [] other chord tone")

	// Of the whole a note has the shape that it has each time, else a disc.
	whole, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
	for p, want := range map[fretboard.Place]Role{at(3, 5): Other, at(3, 7): Other, at(2, 5): Other, at(1, 5): Other, at(4, 4): Other} {
		assert.Equal(t, want, whole[0].at(p).Role, "%v is now one and now the other", p)
	}
}

// Of random music under random chords every house is the root of the chord over
// its picture, step by step in the frames of a video too.
// Source: the root is what a chord symbol begins with, as in MusicXML's root-step.
func TestHousesOfRandomScores(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 4))
	symbols, roots := []string{"Am7", "D7", "Bbmaj7", "F#m7b5", "E7#9"}, []int{9, 2, 10, 6, 4}
	houses := 0
	for range 30 {
		m := newMaker(fretboard.Guitar(), []string{"C", "A minor", "Eb"}[rnd.IntN(3)])
		for range 3 {
			m.chord(symbols[rnd.IntN(len(symbols))])
			for range 5 {
				m.play(at(1+rnd.IntN(6), 5+rnd.IntN(4)))
			}
			m.bar()
		}
		check := func(d Diagram, symbol string) {
			i := slices.IndexFunc(symbols, func(name string) bool {
				c, err := theory.ParseChord(name)
				return err == nil && c.Pretty() == symbol
			})
			require.GreaterOrEqual(t, i, 0, symbol)
			root := roots[i]
			for _, n := range readSVG(t, Draw("", []Diagram{d}, Options{})).necks[0].notes {
				if n.shape.class == "speck" {
					continue
				}
				str, _ := strconv.Atoi(n.data["string"])
				fret, _ := strconv.Atoi(n.data["fret"])
				is := fretboard.Guitar().Stopped(at(str, fret))%12 == root
				assert.Equal(t, is, n.shape.class == "house", "%s: %v", symbol, n.data)
				if is {
					houses++
				}
			}
		}
		ds, _ := OfPhrase(m.score(), PhraseOptions{})
		for _, d := range ds {
			check(d, d.Subtitle)
		}
		whole, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
		frames := StepFrames(whole[0], StepOptions{})
		for _, d := range frames[:len(frames)-1] {
			check(d, d.Subtitle)
		}
	}
	assert.Greater(t, houses, 50)
}

// The words at links name the steps that they join: those numbers stand at the
// notes at their ends, the letter is H up the string and P down it, and they
// stand beside their own curve, on no other one.
// Source: common practice of tab, H up and P down.
func TestWordsAtLinksNameTheirNotes(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 7))
	joins := 0
	for round := range 40 {
		m := newMaker(fretboard.Guitar(), "C")
		if round%2 == 0 {
			m.chord("Am7")
		}
		want := map[string][]string{} // by string, from, to: kinds
		str, fret, number := 1+rnd.IntN(3), 3+rnd.IntN(4), 1
		last := m.play(at(str, fret))[0]
		for range 9 {
			to := 3 + rnd.IntN(7)
			number++
			if to == fret || rnd.IntN(4) == 0 {
				str, fret = 1+rnd.IntN(3), to
				last = m.play(at(str, fret))[0]
				continue
			}
			kind := score.HammerOn
			letter := "H"
			switch k := rnd.IntN(4); {
			case k == 0:
				kind, letter = score.LegatoSlide, "sl."
			case k == 1:
				kind, letter = score.ShiftSlide, "sl."
			case to < fret:
				kind, letter = score.PullOff, "P"
			}
			var next *score.Note
			if other := 4 + rnd.IntN(3); rnd.IntN(3) == 0 { // another string sounds with it
				next = m.play(at(str, to), at(other, to))[0]
			} else {
				next = m.play(at(str, to))[0]
			}
			m.link(kind, last, next)
			key := fmt.Sprintf("%d:%d-%d", str, fret, to)
			text := fmt.Sprintf("%s %d-%d", letter, number-1, number)
			if kind == score.ShiftSlide {
				text += " struck"
			}
			want[key] = append(want[key], text)
			last, fret = next, to
		}
		ds, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
		require.Len(t, ds, 1)
		o := looks()[round%8]
		checkPicture(t, "links", ds, o)
		neck := readSVG(t, Draw("", ds, o)).necks[0]
		at := map[string][]string{}
		for _, n := range neck.notes {
			at[n.data["string"]+":"+n.data["fret"]] = strings.Split(n.data["order"], ", ")
		}
		got := map[string][]string{}
		for _, l := range neck.links {
			from, to := at[l.data["string"]+":"+l.data["from"]], at[l.data["string"]+":"+l.data["to"]]
			letter, rest, _ := strings.Cut(strings.TrimSuffix(l.text, " struck"), " ")
			for _, pair := range strings.Split(rest, ", ") {
				a, b, ok := strings.Cut(pair, "-")
				require.True(t, ok, l.text)
				assert.Contains(t, from, a, "%s at %v", l.text, l.data)
				assert.Contains(t, to, b, "%s at %v", l.text, l.data)
				text := letter + " " + pair
				if strings.HasSuffix(l.text, " struck") {
					text += " struck"
				}
				key := l.data["string"] + ":" + l.data["from"] + "-" + l.data["to"]
				got[key] = append(got[key], text)
				joins++
			}
		}
		for _, of := range []map[string][]string{want, got} {
			for _, words := range of {
				slices.Sort(words)
			}
		}
		assert.Equal(t, want, got, "round %d", round)
	}
	assert.Greater(t, joins, 150)
}

// A link that a cut parts is told where it ends.
func TestLinksAcrossPicturesAreSaid(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "C").chord("Dm7")
	var last *score.Note
	for _, f := range []int{5, 7, 5, 6} {
		last = m.play(at(3, f))[0]
	}
	m.bar().chord("G7")
	m.link(score.HammerOn, last, m.play(at(3, 8))[0])
	m.play(at(3, 5))
	ds, _ := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 2)
	assert.Empty(t, ds[0].Notes)
	assert.Equal(t, []string{"5 comes by hammer-on from 4 in the picture before, fret 6 of the same string"}, ds[1].Notes)
	assert.Contains(t, readSVG(t, Draw("", ds, Options{})).desc, "5 comes by hammer-on")
}

// The notes of a pickup are told by their numbers, which run on.
func TestPickupIsNamed(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "A minor")
	m.part.Measures[0].Number, m.part.Measures[0].Implicit = "0", true
	m.play(at(3, 5))
	m.play(at(3, 7))
	m.bar().chord("Am7")
	for _, f := range []int{5, 8, 5, 7} {
		m.play(at(2, f))
	}
	m.bar().chord("D7")
	for _, f := range []int{7, 5, 4, 7} {
		m.play(at(4, f))
	}
	m.part.Measures[1].Number, m.part.Measures[2].Number = "1", "2"
	ds, _ := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 2)
	assert.Equal(t, "pickup (notes 1 to 2) and bar 1", ds[0].Title)
	assert.Equal(t, "bar 2", ds[1].Title)
	assert.Equal(t, 7, ds[1].firstStep())
	for _, d := range ds {
		marked := 0
		for _, n := range readSVG(t, Draw("", []Diagram{d}, Options{})).necks[0].notes {
			for _, r := range n.reach {
				if r.class == "start" {
					marked++
					assert.Equal(t, strconv.Itoa(d.firstStep()), strings.Split(n.data["order"], ", ")[0])
				}
			}
		}
		assert.Equal(t, 1, marked, "the first number of each picture is marked")
	}
}

// A frame shows how its note is reached, and the words of its legend.
func TestFramesShowHowTheNoteIsReached(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "A minor").chord("Am7")
	a := m.play(at(2, 5))[0]
	b := m.play(at(2, 8), at(4, 7))
	m.link(score.HammerOn, a, b[0])
	bent := m.play(at(3, 7))[0]
	bent.Techniques = append(bent.Techniques, score.Bend{Amount: score.Q(2, 1)}, score.Vibrato)
	bent.Annotations = []score.Annotation{{Kind: score.LabelRole, Text: ">p"}}
	whole, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
	for _, left := range []bool{false, true} {
		frames := Frames(StepFrames(whole[0], StepOptions{Trail: 1, Ahead: 1}), Options{LeftHanded: left})
		var got []map[string]string
		for _, f := range frames {
			words := map[string]string{}
			s := readSVG(t, f)
			for _, it := range s.all {
				switch it.class {
				case "remark":
					words[it.class] = strings.TrimSpace(words[it.class] + "   " + it.text)
				case "step", "step-how", "link-words":
					words[it.class] = it.text
				}
			}
			got = append(got, words)
			checkRoom(t, "frame", s)
		}
		caption := func(s string) string {
			s += "   inside: place in the chord"
			if left {
				s += "   left-handed"
			}
			return s
		}
		assert.Equal(t, map[string]string{"step": "note 1", "remark": caption("filled: now   dashes: next   points: the other notes"), "link-words": "H 1-2"}, got[0])
		assert.Equal(t, map[string]string{"step": "note 2", "step-how": "hammer-on", "remark": caption("filled: now   dashes: next   thin line: just played"), "link-words": "H 1-2"}, got[1])
		assert.Equal(t, map[string]string{"step": "note 3", "step-how": "bend full  vibrato  passing, leaning", "remark": caption("filled: now   thin line: just played   points: the other notes")}, got[2])
	}
}

// What the music says that a note does is written in words that are no signs
// for the thumb or an accent. Other words stay as they are.
// Source: thumb p as in p i m a, accent >, common practice of notation.
func TestRolesAreWords(t *testing.T) {
	for short, want := range map[string]string{"p": "pass.", ">n": "lean. neigh.", ">f": "free", ">app": "appog.", ">s": "susp.", ">r": "retard.", "ca": "chrom. appr.", "guide tone": "guide tone", ">x": ">x"} {
		assert.Equal(t, want, roleInWords(short))
	}
	assert.Equal(t, "pass. = passing; free = free (none of these)", rolesExplained("p passing, f free (none of these)"))
	for short := range roleWords {
		assert.Greater(t, len(roleInWords(short)), 3, "%s reads as a sign", short)
	}
}

// A page with a chord that is struck as one names all notes over chords by
// their place in the chord, so that a 5 is not now of the key and now of it.
func TestOnePageHasOneKindOfNumbers(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "C").chord("Dm7")
	for _, f := range []int{5, 7, 5, 6} {
		m.play(at(3, f))
	}
	m.bar().chord("G7")
	m.play(at(4, 5), at(3, 4), at(2, 3))
	m.play(at(3, 5))
	ds, _ := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 2)
	for _, d := range ds {
		inside, below := Options{}.shows(d)
		assert.Equal(t, Functions, inside)
		assert.Equal(t, []Label{Order}, below)
	}
}
