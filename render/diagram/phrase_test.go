package diagram

import (
	"fmt"
	"image"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
	assert.Equal(t, "bars 1 to 2", ds[0].Title)
	assert.Equal(t, "Am", ds[0].Subtitle)
	checkPicture(t, "phrase", ds, Options{})
	neck := readSVG(t, Draw("", ds, Options{})).necks[0]
	got := map[string]string{}
	for _, n := range neck.notes {
		got[n.data["string"]+":"+n.data["fret"]] = n.label + " " + n.shape.class + " " + n.below + " " + n.data["finger"]
	}
	assert.Equal(t, map[string]string{
		"3:5": "♭3 tile 1 ", "3:7": "4 disc 2, 4↑full 3", "2:5": "5 tile 3 ", "1:5": "1 house 3 ", "4:7": "1 house 5 ", "6:5": "× disc 6 ",
	}, got)
	require.Len(t, neck.links, 1)
	assert.Equal(t, "link slur", neck.links[0].class)
	assert.Equal(t, "H", neck.links[0].text)
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
		assert.Equal(t, []string{"H5", "P8"}, letters)
	}
	var signs []string
	for i := range 5 {
		signs = append(signs, ds[0].at(at(2, 5+i)).Steps[0].Sign)
	}
	assert.Equal(t, []string{"↑½", "↑full", "↑1½", "↓full", "↑"}, signs)
	text := Text(ds[0], Options{})
	assert.Contains(t, text, "hammer-on: 1: 5-8\npull-off: 1: 8-5\n")
	assert.Contains(t, text, "6^1 1/2", "as it is typed")
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
			assert.Equal(t, play.shown, below == Order, "%v", play.places)
			assert.Equal(t, play.shown, strings.Contains(TextLegend(ds, o), "order"), "%v", play.places)
			checkPicture(t, "together", ds, o)
		}
		_, below := Options{Show: []Label{Degrees, Order}}.shows(ds[0])
		assert.Equal(t, Order, below, "who asks for it has it")
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
// with a number; within a picture numbers run from 1 without a gap; pictures
// keep their limits where they may.
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
				require.Equal(t, i+1, s, "round %d", round)
			}
			numbers += len(steps)
		}
		assert.Equal(t, struck, got, "round %d", round)
		assert.Equal(t, moments, numbers, "round %d", round)
		look := looks()[round%8]
		checkPicture(t, fmt.Sprintf("round %d", round), ds, look)

		whole, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
		require.Len(t, whole, 1)
		frames := StepFrames(whole[0])
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

// A page of a phrase over several chords has one kind of root: the tonic of
// the key where degrees are shown, which is the degree 1, the root of the
// chord where functions are, which is R. In one picture over several chords
// too, and step by step.
// Source: common practice, movable degrees of the key and Roman analysis by
// chord; notes of Am7 (A C E G) and D7 (D F# A C) from any handbook.
func TestOneKindOfRootOnAPage(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "A minor")
	line := []fretboard.Place{at(3, 5), at(3, 7), at(2, 5), at(1, 5), at(4, 7)} // C D E A A
	for _, symbol := range []string{"Am7", "D7", "Am7"} {
		m.chord(symbol)
		for _, p := range line {
			m.play(p)
		}
		m.bar()
	}
	chords := map[string][]int{"Am7": {9, 0, 4, 7}, "D7": {2, 6, 9, 0}}
	check := func(ds []Diagram, o Options, show Label) {
		roots := map[string]int{}
		for _, d := range ds {
			one := readSVG(t, Draw("", []Diagram{d}, o))
			for _, n := range one.necks[0].notes {
				want := map[Label]string{Degrees: "1", Functions: "R"}[show]
				assert.Equal(t, n.label == want, n.shape.class == "house", "%s: %s is a %s", d.Subtitle, n.label, n.shape.class)
				if n.shape.class == "house" {
					roots[n.label]++
				}
			}
			dot := *o.read([]Diagram{d})[0].at(at(3, 7)) // D
			tones, single := chords[d.Subtitle]
			if single && !dot.Faint && show == Degrees {
				assert.Equal(t, slices.Contains(tones, dot.Pitch.Class()), dot.Role == ChordTone, d.Subtitle)
			}
		}
		assert.NotEmpty(t, roots)
		for _, d := range ds {
			text := Text(d, o)
			assert.Equal(t, show == Degrees, strings.Contains(text, "{1"), text)
			assert.Equal(t, show == Functions, strings.Contains(text, "{R"), text)
		}
	}
	for _, whole := range []bool{false, true} {
		ds, _ := OfPhrase(m.score(), PhraseOptions{Whole: whole})
		require.NotEmpty(t, ds)
		check(ds, Options{Show: []Label{Degrees, Order}}, Degrees)
		assert.NotContains(t, TextLegend(ds, Options{Show: []Label{Degrees, Order}}), "count from", "it is plain from the roots")
		if !whole {
			check(ds, Options{Show: []Label{Functions, Order}}, Functions)
		}
	}
}
