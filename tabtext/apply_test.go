package tabtext

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func text(t testing.TB, d *Document) string {
	t.Helper()
	var b bytes.Buffer
	n, err := d.WriteTo(&b)
	require.NoError(t, err)
	require.EqualValues(t, b.Len(), n)
	return b.String()
}

func readText(t testing.TB, s string) *Document {
	t.Helper()
	d, err := Read(strings.NewReader(s), "x.tab", score.ReadOptions{})
	require.NoError(t, err, "%s", s)
	return d
}

// shift moves every fret by so many semitones, pitches along with it.
func shift(s *score.Score, by int) *score.Score {
	c := s.Clone()
	for _, p := range c.Parts {
		var key theory.Key
		neck := fretboard.Neck{}
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					neck = e.Neck
				case *score.KeySignature:
					e.Key = theory.KeyOf(e.Key.Fifths()+1, e.Key.Mode)
					key = e.Key
				case *score.Harmony:
					e.Chord = e.Chord.Transpose(theory.Interval{Steps: 1, Semitones: 2})
				case *score.Chord:
					for _, n := range e.Notes {
						if !n.Has(score.Dead) && n.Place.Fret+by <= neck.TopFret() {
							n.Place.Fret += by
							if h, ok := n.Harmonic(); ok && h.Touch > 0 {
								for i, t := range n.Techniques {
									if g, ok := t.(score.Harmonic); ok {
										g.Touch += by
										n.Techniques[i] = g
									}
								}
							}
							if h, ok := n.Harmonic(); ok && h.Kind == score.NaturalHarmonic {
								n.Place.Fret -= by
							}
						}
						n.Pitch = theory.SpellIn(key, neck.Stopped(n.Place))
					}
				}
			}
		}
	}
	return c
}

// change makes a score that differs from s in a few ways, from a seed.
func change(s *score.Score, r *rand.Rand) *score.Score {
	c := s.Clone()
	switch r.IntN(5) {
	case 0:
		return shift(c, 1+r.IntN(3))
	case 1: // a measure goes
		p := c.Parts[0]
		if len(p.Measures) > 2 {
			i := 1 + r.IntN(len(p.Measures)-1)
			p.Measures = append(p.Measures[:i:i], p.Measures[i+1:]...)
			dropDangling(c)
			for _, p := range c.Parts {
				eachPlaced(p, func(_ *score.Measure, n *score.Note, neck fretboard.Neck) {
					n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
				})
			}
		}
	case 2: // chord symbols
		for n := range score.Preorder(c) {
			if h, ok := n.(*score.Harmony); ok && !h.Chord.NoChord {
				h.Chord.Root = theory.NoteName{Step: theory.Step(r.IntN(7)), Alter: r.IntN(3) - 1}
			}
		}
	case 3: // techniques of single notes
		for n := range score.Notes(c) {
			if n.Techniques == nil && r.IntN(3) == 0 {
				n.Techniques = append(n.Techniques, score.Vibrato)
			}
		}
	case 4: // annotations
		for n := range score.Notes(c) {
			if n.Annotations == nil {
				n.Annotations = append(n.Annotations, score.Annotation{Kind: "name", Text: n.Pitch.NoteName.String()})
			}
		}
	}
	return c
}

// dropDangling takes back ties and connections whose other end is gone, and
// endings that lost an end.
func dropDangling(s *score.Score) {
	for _, p := range s.Parts {
		g := &generator{}
		for n := range score.Notes(p) {
			n.TieStart, n.TieStop = false, false
			kept := n.Techniques[:0]
			for _, t := range n.Techniques {
				if _, ok := t.(score.Span); !ok {
					kept = append(kept, t)
				}
			}
			n.Techniques = kept
		}
		for _, m := range p.Measures {
			for _, e := range m.Events {
				if b, ok := e.(*score.Barline); ok {
					b.Ending, b.EndingType = "", ""
				}
			}
		}
		g.dropOpen(p, nil)
	}
}

// TestApply: the laws of the lens, over generated music: what was read and is
// applied gives the same bytes; what was applied reads as the same model; the
// second of two applications wins.
func TestApply(t *testing.T) {
	for seed := range uint64(250) {
		s := generate(seed, 1+int(seed%7), seed%3 != 0)
		if silent(s) {
			continue
		}
		var b strings.Builder
		require.NoError(t, Write(&b, s, score.WriteOptions{}))
		var lost []string
		d, err := Read(strings.NewReader(b.String()), "x.tab", score.ReadOptions{Report: func(d score.Diagnostic) { lost = append(lost, d.Code) }})
		require.NoError(t, err)
		same, err := d.Apply(d.Score().Clone())
		require.NoError(t, err)
		require.Equal(t, b.String(), text(t, same), "seed %d", seed)

		r := rand.New(rand.NewPCG(seed, 3))
		want := change(d.Score(), r)
		if silent(want) {
			continue
		}
		lost = nil
		edited, err := d.Apply(want)
		require.NoError(t, err, "seed %d\n%s", seed, b.String())
		assert.NotContains(t, lost, "tab-apply-differs", "seed %d", seed)
		again := readText(t, text(t, edited))
		if diff := compare(want, again.Score()); diff != nil && len(lost) == 0 {
			t.Fatalf("seed %d part %d measure %d\n%s\n%s\n%s", seed, diff.part, diff.measure, diff, b.String(), text(t, edited))
		}
		back, err := edited.Apply(d.Score())
		require.NoError(t, err)
		assert.Equal(t, b.String(), text(t, back), "seed %d: the second application wins", seed)
	}
}

// TestAnnotate: labels go into rows of their own under the tab, and all else
// stays; clearing them gives the same bytes, from the file as well.
func TestAnnotate(t *testing.T) {
	tab := "Mind the thirds.\n\ne|-5---8p5---------|-5---------------|\nB|---------8---5---|-5---------------|\nG|-----------------|-----------------|\nD|-----------------|-----------------|\nA|-----------------|-----------------|\nE|-----------------|-----------------|\n\nGood luck.\n"
	d := readText(t, tab)
	named := d.Score().Clone()
	for n := range score.Notes(named) {
		n.Annotations = []score.Annotation{{Kind: "name", Text: n.Pitch.NoteName.String()}}
	}
	e, err := d.Apply(named)
	require.NoError(t, err)
	want := strings.Replace(tab, "E|-----------------|-----------------|\n", "E|-----------------|-----------------|\n   A   C A G   E     A,E  (name)\n", 1)
	assert.Equal(t, want, text(t, e))

	again := readText(t, text(t, e))
	assert.Nil(t, compare(named, again.Score()))
	clear := again.Score().Clone()
	for n := range score.Notes(clear) {
		n.Annotations = nil
	}
	back, err := again.Apply(clear)
	require.NoError(t, err)
	assert.Equal(t, tab, text(t, back))
}

// TestLyricsFollow: a system that is written anew keeps its words under their
// notes.
func TestLyricsFollow(t *testing.T) {
	tab := "   C               G\ne|-0---1---3---1---|-3---3-----------|\nB|-1---------------|-----------------|\nG|-0---------------|-----------------|\nD|-----------------|-----------------|\nA|-----------------|-----------------|\nE|-----------------|-----------------|\n   one two three four  five six\n"
	d := readText(t, tab)
	want := d.Score().Clone()
	m := want.Parts[0].Measures[1]
	var kept []score.Event
	for _, e := range m.Events { // the second bar becomes one long note
		if c, ok := e.(*score.Chord); ok {
			if !c.Onset.IsZero() {
				continue
			}
			c.Duration = m.Length
			c.Value = score.ValueOf(m.Length)
		}
		kept = append(kept, e)
	}
	m.Events = kept
	e, err := d.Apply(want)
	require.NoError(t, err)
	got := text(t, e)
	lines := strings.Split(got, "\n")
	last := lines[len(lines)-2]
	row := lines[1]
	assert.Equal(t, byte('3'), row[strings.Index(last, "three")], got)
	assert.Contains(t, last, "five", got)
	assert.Contains(t, last, "six", got)
	assert.Nil(t, compare(want, readText(t, got).Score()), got)
}

// TestRetune: another tuning is stated by the labels, and by the line that
// stated the old one or by a new line.
func TestRetune(t *testing.T) {
	body := "e|-0---2---3---2---|\nB|-----------------|\nG|-----------------|\nD|-----------------|\nA|-----------------|\nE|-0---------------|\n"
	for _, head := range []string{"Tuning: standard\n\n", "One.\n\n"} {
		d := readText(t, head+body)
		want := d.Score().Clone()
		drop, _ := fretboard.PresetByName("drop-d")
		for n := range score.Preorder(want) {
			if c, ok := n.(*score.NeckChange); ok {
				c.Neck.Tuning = drop.Tuning
			}
		}
		eachPlaced(want.Parts[0], func(_ *score.Measure, n *score.Note, neck fretboard.Neck) {
			n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
		})
		e, err := d.Apply(want)
		require.NoError(t, err)
		got := text(t, e)
		assert.Contains(t, got, "Tuning: D2 A2 D3 G3 B3 E4\n")
		assert.Contains(t, got, "\nD|-0-")
		assert.Nil(t, compare(want, readText(t, got).Score()), got)
		assert.Equal(t, strings.HasPrefix(head, "One."), strings.HasPrefix(got, "One."))
	}
}

// TestKeyByOption: a key that an option says is not written into the text,
// but a line that states another follows.
func TestKeyByOption(t *testing.T) {
	tab := "Key: C\n\n" + plain
	key := theory.Key{Tonic: theory.NoteName{Step: theory.A}, Mode: theory.Minor}
	d, err := Read(strings.NewReader(tab), "x", score.ReadOptions{Key: &key})
	require.NoError(t, err)
	e, err := d.Apply(shift(d.Score(), 0))
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(text(t, e), "Key: E minor\n"), text(t, e))
}

// TestTitle: a title follows where the text states it, and else is put on top.
func TestTitle(t *testing.T) {
	for _, test := range []struct{ head, want string }{
		{"Title: Old\n\n", "Title: New Song\n\n"},
		{"Hello.\n\n", "Title: New Song\nHello.\n\n"},
	} {
		d := readText(t, test.head+plain)
		named := d.Score().Clone()
		named.Title = "New Song"
		e, err := d.Apply(named)
		require.NoError(t, err)
		assert.Equal(t, test.want+plain, text(t, e))
	}
}
