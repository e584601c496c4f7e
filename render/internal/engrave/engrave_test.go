package engrave

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

const seeds = 50

// frets returns the numbers of a system in their order.
func frets(s System) []*Text {
	var out []*Text
	for _, it := range s.Items {
		if t, ok := it.(*Text); ok && t.Class == "fret" {
			out = append(out, t)
		}
	}
	return out
}

var firstNumber = regexp.MustCompile(`[0-9]+`)

// Every note that has a place is one number, on its string, with its fret;
// and in a system the numbers of a part go to the right as time goes on.
func TestEveryNoteIsOneNumber(t *testing.T) {
	for seed := range uint64(seeds) {
		s := generated(seed)
		for _, width := range []float64{336, 680} {
			e := Engrave(s, Options{Width: width})
			drawn := map[*score.Note]*Text{}
			for _, sys := range e.Systems {
				type where struct{ part, bar int }
				last := map[where]*Text{}
				byX := frets(sys)
				slices.SortStableFunc(byX, func(a, b *Text) int { return cmp.Compare(a.X, b.X) })
				for _, x := range byX {
					for _, n := range append([]*score.Note{x.Note}, x.Also...) {
						require.Nil(t, drawn[n], "drawn twice")
						drawn[n] = x
					}
					w := where{x.Part, x.Bar}
					if p := last[w]; p != nil && x.X > p.X {
						assert.GreaterOrEqual(t, x.At.Cmp(p.At), 0, "seed %d: %s before %s", seed, x.At, p.At)
					}
					last[w] = x
					assert.True(t, sys.First <= x.Bar && x.Bar <= sys.Last)
				}
			}
			for n := range score.Notes(s) {
				x := drawn[n]
				require.NotNil(t, x, "seed %d: a note at %v is missing", seed, n.Place)
				digits := firstNumber.FindString(x.Text)
				if n.Has(score.Dead) {
					assert.Equal(t, "x", x.Text)
				} else {
					assert.Equal(t, fmt.Sprint(n.Place.Fret), digits)
				}
			}
		}
	}
}

// Numbers of one string stand on one line, strings lie 11 units apart, the
// first on top.
func TestStringsAreLines(t *testing.T) {
	for seed := range uint64(seeds) {
		for _, sys := range Engrave(generated(seed), Options{}).Systems {
			type line struct{ part, str int }
			y := map[line]float64{}
			for _, x := range frets(sys) {
				b := x.Bounds()
				mid := (b.Y0 + b.Y1) / 2
				k := line{x.Part, x.Note.Place.String}
				if was, ok := y[k]; ok {
					assert.InDelta(t, was, mid, 0.01)
				}
				y[k] = mid
			}
			for k, a := range y {
				for l, b := range y {
					if k.part == l.part {
						assert.InDelta(t, stringGap*float64(l.str-k.str), b-a, 0.01)
					}
				}
			}
		}
	}
}

// Nothing lies outside of the page, and no text over another.
func TestNothingIsCutAndNoTextsOverlap(t *testing.T) {
	for seed := range uint64(seeds) {
		for _, width := range []float64{336, 680} {
			e := Engrave(generated(seed), Options{Width: width})
			for n, sys := range e.Systems {
				var texts []*Text
				for _, it := range sys.Items {
					b := it.Bounds()
					name := fmt.Sprintf("seed %d width %v system %d: %s", seed, width, n, describeItem(it))
					assert.GreaterOrEqual(t, b.X0, -0.5, name)
					assert.GreaterOrEqual(t, b.Y0, -0.5, name)
					assert.LessOrEqual(t, b.X1, sys.Width+0.5, name)
					assert.LessOrEqual(t, b.Y1, sys.Height+0.5, name)
					if x, ok := it.(*Text); ok {
						texts = append(texts, x)
					}
				}
				for i, a := range texts {
					for _, b := range texts[:i] {
						assert.False(t, a.Bounds().Overlaps(b.Bounds(), 0.6), "seed %d width %v system %d: %s over %s", seed, width, n, describeItem(a), describeItem(b))
					}
				}
				if t.Failed() {
					return
				}
			}
		}
	}
}

func describeItem(it Item) string {
	switch it := it.(type) {
	case *Text:
		return fmt.Sprintf("%s %q at %.1f %.1f", it.Class, it.Text, it.X, it.Y)
	case *Path:
		return fmt.Sprintf("%s %+v", it.Class, it.Bounds())
	}
	return "?"
}

// The same music is laid out the same, and systems hold all bars in order.
func TestDeterminismAndBars(t *testing.T) {
	for seed := range uint64(20) {
		s := generated(seed)
		a, b := Engrave(s, Options{}), Engrave(s, Options{})
		require.Equal(t, fmt.Sprint(positions(a)), fmt.Sprint(positions(b)))
		next := 0
		for _, sys := range a.Systems {
			assert.Equal(t, next, sys.First)
			next = sys.Last + 1
		}
		longest := 0
		for _, p := range s.Parts {
			longest = max(longest, len(p.Measures))
		}
		assert.Equal(t, longest, next)
	}
}

func positions(e Engraving) []Rect {
	var out []Rect
	for _, s := range e.Systems {
		for _, it := range s.Items {
			out = append(out, it.Bounds())
		}
	}
	return out
}

// lick makes a bar of quarter notes on string 2 with techniques.
func lick(techniques ...[]score.Technique) *score.Score {
	m := &score.Measure{Number: "1", Length: score.Q(4, 1), Nominal: score.Q(4, 1)}
	m.Events = append(m.Events, &score.NeckChange{Neck: fretboard.Guitar()}, &score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}, Length: score.Q(4, 1)})
	for i := range 4 {
		n := &score.Note{Place: fretboard.Place{String: 2, Fret: 5 + i}, Pitch: theory.SpellIn(theory.Key{}, 64+i)}
		if i < len(techniques) {
			n.Techniques = techniques[i]
		}
		m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: score.Q(int64(i), 1), Staff: 1}, Duration: score.Q(1, 1), Voice: 1, Notes: []*score.Note{n}})
	}
	return &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
}

func shapes(s *score.Score) string {
	var b strings.Builder
	for _, sys := range Engrave(s, Options{}).Systems {
		for _, it := range sys.Items {
			b.WriteString(describeItem(it) + "\n")
		}
	}
	return b.String()
}

// No technique is left out: each changes the picture.
func TestEveryTechniqueIsDrawn(t *testing.T) {
	plain := shapes(lick())
	for _, m := range score.Marks() {
		assert.NotEqual(t, plain, shapes(lick([]score.Technique{m})), "mark %d", m)
	}
	one := func(k score.SpanKind, end score.SpanEnd) []score.Technique {
		return []score.Technique{score.Span{Kind: k, ID: 1, End: end}}
	}
	for k := score.HammerOn; k <= score.VibratoSpan; k++ {
		assert.NotEqual(t, plain, shapes(lick(one(k, score.Start), one(k, score.Stop))), "span %d", k)
	}
	for _, x := range []score.Technique{
		score.Bend{Amount: score.Q(2, 1)}, score.Bend{Amount: score.Q(-2, 1), WithBar: true}, score.Harmonic{Kind: score.NaturalHarmonic},
		score.Harmonic{Kind: score.ArtificialHarmonic, Touch: 17}, score.Harmonic{Kind: score.PinchHarmonic}, score.Harmonic{Kind: score.TappedHarmonic, Touch: 17},
		score.SlideEdge{In: true}, score.SlideEdge{}, score.Trill{To: 2},
	} {
		assert.NotEqual(t, plain, shapes(lick([]score.Technique{x})), "%#v", x)
	}
}

// Every sign that is used has its words, but for those that need none.
func TestSignsAreExplained(t *testing.T) {
	plain := []string{"rest", "tuplet"}
	for seed := range uint64(seeds) {
		for _, name := range Engrave(generated(seed), Options{}).Signs {
			look, meaning := SignMeaning(name)
			if !slices.Contains(plain, name) {
				assert.NotEmpty(t, look, name)
				assert.NotEmpty(t, meaning, name)
			}
		}
	}
}

// What has no place is said, not dropped.
func TestWhatHasNoPlaceIsReported(t *testing.T) {
	s := lick()
	for n := range score.Notes(s) {
		n.Place = fretboard.Place{}
		break
	}
	var said score.Diagnostics
	e := Engrave(s, Options{Report: func(d score.Diagnostic) { said = append(said, d) }})
	require.Len(t, said, 1)
	assert.Equal(t, CodeNoPlace, said[0].Code)
	assert.Contains(t, shapes(s), `name "E4"`, "its name stands over the strings")
	assert.Len(t, frets(e.Systems[0]), 3)

	s.Parts[0].Measures[0].Events = s.Parts[0].Measures[0].Events[1:] // no neck
	said = nil
	assert.Empty(t, Engrave(s, Options{Report: func(d score.Diagnostic) { said = append(said, d) }}).Systems)
	require.Len(t, said, 1)
	assert.Equal(t, CodeNoNeck, said[0].Code)
}

// The amount of a bend in whole tones, as players say it. Source: common
// practice.
func TestBendAmount(t *testing.T) {
	for semitones, want := range map[score.Quarters]string{
		score.Q(1, 2): "¼", score.Q(1, 1): "½", score.Q(3, 2): "¾", score.Q(2, 1): "full", score.Q(5, 2): "1¼", score.Q(3, 1): "1½",
		score.Q(4, 1): "2", score.Q(5, 1): "2½", score.Q(-2, 1): "−1", score.Q(-1, 1): "−½", score.Q(1, 3): "1/6",
	} {
		assert.Equal(t, want, BendAmount(semitones))
	}
}

func TestLabelsHaveTheSignsOfMusic(t *testing.T) {
	for _, c := range []struct{ kind, text, want string }{
		{score.LabelDegree, "b3", "♭3"}, {score.LabelDegree, "##4", "♯♯4"}, {score.LabelChordTone, "(b9)", "(♭9)"}, {score.LabelChordTone, "R", "R"},
		{score.LabelName, "Bb", "B♭"}, {score.LabelName, "b", "B"}, {score.LabelRole, ">b", ">b"}, {"own", "b3", "b3"},
	} {
		assert.Equal(t, c.want, prettyLabel(score.Annotation{Kind: c.kind, Text: c.text}))
	}
}

// Whatever the music, the numbers on the page stand for as many notes as it
// has, and lie on it.
func FuzzEngrave(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed, uint16(200+100*seed))
	}
	f.Add(uint64(129), uint16(700)) // voices in unison
	f.Fuzz(func(t *testing.T, seed uint64, width uint16) {
		s := generated(seed)
		notes, numbers := 0, 0
		for range score.Notes(s) {
			notes++
		}
		for _, sys := range Engrave(s, Options{Width: float64(width)}).Systems {
			for _, x := range frets(sys) {
				numbers += 1 + len(x.Also) // voices in unison are one number
			}
			for _, it := range sys.Items {
				b := it.Bounds()
				require.True(t, b.X0 > -0.6 && b.Y0 > -0.6 && b.X1 < sys.Width+0.6 && b.Y1 < sys.Height+0.6, describeItem(it))
			}
		}
		require.Equal(t, notes, numbers)
	})
}

func BenchmarkEngrave(b *testing.B) {
	s := generated(7)
	notes := 0
	for range score.Notes(s) {
		notes++
	}
	b.ReportAllocs()
	for b.Loop() {
		Engrave(s, Options{})
	}
	b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}
