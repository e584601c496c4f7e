package diagram

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Pictures say what neck it is where it is not that of a guitar in standard
// tuning, on the page, in words and in text.
// Source: the tunings and the high g of the ukulele, common practice.
func TestNecksSayWhatTheyAre(t *testing.T) {
	for tuning, want := range map[string]string{
		"standard": "", "drop-d": "drop D: D A D G B E", "ukulele": "ukulele: G C E A, the G string is the high one",
		"ukulele-low-g": "ukulele, low G: G C E A", "bass": "bass: E A D G", "baritone": "baritone guitar: B E A D F♯ B",
		"7-string": "seven-string guitar: B E A D G B E", "banjo": "banjo, open G: G D G B D, string 5 (G) is the high one",
		"dadgad": "tuning: D A D G A D", "C2 G2 D3 G3 B3 E4": "tuning: C G D G B E",
	} {
		tun, err := fretboard.ParseTuning(tuning)
		require.NoError(t, err)
		n := fretboard.Neck{Tuning: tun, Frets: 15}
		c, r := scaleOf(t, "C major")
		d := OfLayout(layouts(t, fretboard.ChordShape{}, n, c.Scale)[0], r, fretboard.ToneSet{})
		assert.Equal(t, want, neckWords(tun, prettyName))
		for _, o := range looks() {
			checkPicture(t, tuning, []Diagram{d}, o)
			page := readSVG(t, Draw("", []Diagram{d}, o))
			said := slices.ContainsFunc(page.all, func(it item) bool { return want != "" && strings.HasPrefix(it.text, want) })
			assert.Equal(t, want != "", said, "%s, %+v", tuning, o)
			assert.Equal(t, want != "", want != "" && strings.Contains(page.desc, want), tuning)
			high := 0
			for _, it := range page.all {
				if it.class == "tuning-high" {
					high++
				}
			}
			assert.Len(t, tun.High(), high, tuning)
		}
		assert.Equal(t, want != "", want != "" && strings.Contains(Text(d, Options{}), neckWords(tun, theory.NoteName.String)), tuning)
	}
	// Two necks on one page are said at each.
	c, r := scaleOf(t, "C major")
	var ds []Diagram
	for _, tuning := range []string{"bass", "ukulele"} {
		tun, err := fretboard.ParseTuning(tuning)
		require.NoError(t, err)
		ds = append(ds, OfLayout(layouts(t, fretboard.ChordShape{}, fretboard.Neck{Tuning: tun, Frets: 15}, c.Scale)[0], r, fretboard.ToneSet{}))
	}
	page := readSVG(t, Draw("C major", ds, Options{}))
	for _, words := range []string{"bass: E A D G", "ukulele: G C E A"} {
		assert.True(t, slices.ContainsFunc(page.all, func(it item) bool { return it.class == "subtitle" && strings.Contains(it.text, words) }), words)
	}
}

// Every bracket of a position has the fret of its own index finger, also where
// that is not in the picture, and a row with two places says how far apart.
// Source: E♭ lydian in the D shape stands at the nut and at fret 12; at the nut
// the index finger has the first fret: common practice.
func TestBracketsHaveTheirIndexFinger(t *testing.T) {
	c, r := scaleOf(t, "Eb lydian")
	n := fretboard.Guitar()
	ls := layouts(t, fretboard.ChordShape{}, n, c.Scale)
	neck, err := OfNeck(n, c.Scale, r, 2, 14, ls, fretboard.ScaleLength)
	require.NoError(t, err)
	got := map[string][]int{}
	for _, s := range neck.Spans {
		got[s.Name] = append(got[s.Name], s.Index)
	}
	assert.Equal(t, map[string][]int{"D shape": {1, 12}, "C shape": {3}, "A shape": {5}, "G shape": {8}, "E shape": {10}}, got)
	rows := OfRows(neck, ls, func(l fretboard.Layout) Diagram { return OfLayout(l, r, fretboard.ToneSet{}) })
	require.Equal(t, "D shape", rows[0].Title)
	assert.Equal(t, "frets 2 to 4, and again 12 frets higher, 12 to 14", rows[0].Subtitle)
	assert.Contains(t, rows[0].Notes, "frets 2 to 4: the index finger is at fret 1, before the picture")
	require.Len(t, rows[0].Spans, 2)
	for _, row := range rows[1:] {
		assert.Empty(t, row.Spans, row.Title)
	}
	for _, o := range looks() {
		checkPicture(t, "brackets", append([]Diagram{neck}, rows...), o)
		pills := 0
		for _, it := range readSVG(t, Draw("", []Diagram{neck}, o)).all {
			if it.class == "span-fret" {
				pills++
			}
		}
		assert.Equal(t, len(neck.Spans), pills)
	}
}

// An arpeggio says that no order is meant, and where one finger rolls over
// neighbouring strings: by hand, from the fingers in the picture.
func TestArpeggioSaysHowItIsPlayed(t *testing.T) {
	d := Diagram{Neck: fretboard.Guitar(), Subtitle: "open position"}
	for _, p := range [][3]int{{6, 3, 3}, {5, 1, 1}, {4, 1, 1}, {4, 0, 0}, {3, 3, 3}, {2, 3, 3}, {1, 3, 3}, {2, 4, 4}} {
		dot := Dot{Place: at(p[0], p[1])}
		if p[2] > 0 {
			dot.Fingers = []score.Finger{score.Index + score.Finger(p[2]-1)}
		}
		d.Dots = append(d.Dots, dot)
	}
	a := d.Arpeggio()
	assert.Equal(t, "arpeggio, open position", a.Subtitle)
	assert.Equal(t, []string{"one note after the other, in any order", "finger 3 at fret 3: laid across the G, B and e strings and rolled",
		"finger 1 at fret 1: laid across the A and D strings and rolled"}, a.Notes)
	assert.Empty(t, d.Notes, "what was given is as it was")
}

// A held chord is named by the string and the finger that its lowest root has.
// Source: the open C7 of a ukulele, 0 0 0 1 from G to A, has its root on the open
// C string: common practice.
func TestRootNameOfAGrip(t *testing.T) {
	tun, err := fretboard.ParseTuning("ukulele")
	require.NoError(t, err)
	c, err := theory.ParseChord("C7")
	require.NoError(t, err)
	pitch := func(s string) theory.Pitch {
		p, err := theory.ParsePitch(s)
		require.NoError(t, err)
		return p
	}
	v := fretboard.Voicing{Spots: []fretboard.Spot{{Place: at(4, 0), Pitch: pitch("G4")}, {Place: at(3, 0), Pitch: pitch("C4")}, {Place: at(2, 0), Pitch: pitch("E4")}, {Place: at(1, 1), Pitch: pitch("Bb4")}}}
	d := OfVoicing(fretboard.Neck{Tuning: tun, Frets: 15}, v, c, "")
	assert.Equal(t, "root on the C string, open", d.RootName())
	assert.True(t, d.SameGrip(d))
	v.Spots = []fretboard.Spot{{Place: at(4, 5), Pitch: pitch("C5")}}
	e := OfVoicing(fretboard.Neck{Tuning: tun, Frets: 15}, v, c, "").WithFingers(map[fretboard.Place][]score.Finger{at(4, 5): {score.Index}})
	assert.Equal(t, "root on the G string, index finger", e.RootName())
	assert.False(t, d.SameGrip(e))
}

// In a frame what is due is filled in one colour and the largest, what comes
// next is in thin dashes.
func TestWhatIsDueIsTheStrongest(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "A minor").chord("Am7")
	for _, f := range []int{5, 8, 7} {
		m.play(at(3, f))
	}
	whole, _ := OfPhrase(m.score(), PhraseOptions{Whole: true})
	for _, o := range looks() {
		steps := StepFrames(whole[0], StepOptions{Trail: 1, Ahead: 1})
		frame := readSVG(t, Frames(steps, o)[1])
		size := map[string]float64{}
		for _, note := range frame.necks[0].notes {
			words := strings.Fields(note.class)
			size[words[len(words)-1]] = note.shape.box.x2 - note.shape.box.x1
		}
		require.Len(t, size, 3, "%v", size)
		for when, s := range size {
			if when == "next" || when == "before" {
				continue
			}
			assert.Greater(t, s, 1.1*size["next"])
			assert.Greater(t, s, 1.1*size["before"])
		}
	}
	light := light()
	assert.Greater(t, contrast(light.accent, light.paper), contrast(light.faint, light.paper))
}

// The numbers of a chord say that its notes sound together, and where a bar
// begins is said where a picture holds several.
func TestNumbersOfAPhraseAreExplained(t *testing.T) {
	m := newMaker(fretboard.Guitar(), "C").chord("C")
	m.play(at(3, 5))
	m.play(at(3, 7))
	m.bar()
	m.play(at(2, 5), at(1, 5))
	ds, _ := OfPhrase(m.score(), PhraseOptions{})
	require.Len(t, ds, 1)
	assert.Equal(t, "bars 1 to 2 (bar 2 from 3)", ds[0].Title)
	has := func(ds []Diagram) bool {
		return slices.ContainsFunc(readSVG(t, Draw("", ds, Options{})).all, func(it item) bool { return it.text == "the same number at several notes: together" })
	}
	assert.True(t, has(ds))
	assert.Contains(t, TextLegend(ds, Options{}), "(the same number: together)")
	m = newMaker(fretboard.Guitar(), "C").chord("C")
	m.play(at(3, 5))
	m.play(at(3, 7))
	one, _ := OfPhrase(m.score(), PhraseOptions{})
	assert.False(t, has(one))
}

// Music that is labelled by degrees alone keeps them; else what is over a chord
// is named by its place in the chord.
func TestWhatStandsInTheDotsOverAChord(t *testing.T) {
	for kind, want := range map[string]Label{"": Functions, score.LabelChordTone: Functions, score.LabelDegree: Degrees} {
		m := newMaker(fretboard.Guitar(), "A minor").chord("D7")
		for _, f := range []int{5, 7, 5, 7} {
			n := m.play(at(3, f))[0]
			if kind != "" {
				n.Annotations = []score.Annotation{{Kind: kind, Text: "b3"}}
			}
		}
		ds, _ := OfPhrase(m.score(), PhraseOptions{})
		inside, _ := Options{}.shows(ds[0])
		assert.Equal(t, want, inside, kind)
	}
}
