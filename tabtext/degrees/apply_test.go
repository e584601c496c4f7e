package degrees

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

func text(t testing.TB, d *Document) string {
	t.Helper()
	var b strings.Builder
	n, err := d.WriteTo(&b)
	require.NoError(t, err)
	require.EqualValues(t, b.Len(), n)
	return b.String()
}

// change makes a score that differs in one way.
func change(s *score.Score, r *rand.Rand) *score.Score {
	c := s.Clone()
	p := c.Parts[0]
	switch r.IntN(7) {
	case 0: // another key
		by := theory.Interval{Steps: r.IntN(5) - 2, Semitones: 0}
		by.Semitones = 2 * by.Steps
		c, _ = transform.Transpose(c, by, transform.TransposeOptions{})
	case 1: // a bar goes
		if i := r.IntN(len(p.Measures)); i > 0 {
			p.Measures = append(p.Measures[:i:i], p.Measures[i+1:]...)
			whole(c)
		}
	case 2: // a bar comes
		m := p.Measures[len(p.Measures)-1].Copy()
		for ch := range m.Chords() {
			for k := range ch.Tuplets {
				ch.Tuplets[k].ID += 10000
			}
		}
		p.Measures = append(p.Measures, m)
		whole(c)
	case 3: // other chords
		for n := range score.Preorder(c) {
			if h, ok := n.(*score.Harmony); ok && !h.Chord.NoChord {
				h.Chord.Root = theory.NoteName{Step: theory.Step(r.IntN(7))}
			}
		}
	case 4: // marks on some notes
		for n := range score.Notes(c) {
			if n.Techniques == nil && r.IntN(5) == 0 {
				n.Techniques = append(n.Techniques, score.Vibrato)
			}
		}
	case 5: // some pitches
		for n := range score.Notes(c) {
			if r.IntN(8) == 0 && !onString(n) && !n.TieStart && !n.TieStop {
				n.Pitch = n.Pitch.Transpose(theory.Interval{Steps: 1, Semitones: 1 + r.IntN(2)})
			}
		}
	case 6: // header lines
		c.Title, c.Composer = "Another", ""
		for _, e := range p.Measures[0].Events {
			if e, ok := e.(*score.Tempo); ok {
				e.QuartersPerMinute = 77
			}
		}
	}
	return c
}

// whole takes back the ties, spans and endings that lost an end.
func whole(s *score.Score) {
	for _, p := range s.Parts {
		ends := map[score.Span]int{}
		for n := range score.Notes(p) {
			n.TieStart, n.TieStop = false, false
			for _, t := range n.Techniques {
				if s, ok := t.(score.Span); ok {
					ends[s]++
				}
			}
		}
		for n := range score.Notes(p) {
			var kept []score.Technique
			for _, t := range n.Techniques {
				if s, ok := t.(score.Span); ok {
					other := s
					other.End = score.Start + score.Stop - s.End
					if ends[s] != 1 || ends[other] != 1 {
						continue
					}
				}
				kept = append(kept, t)
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
	}
}

// TestApply: the laws of the lens, over generated music: what was read and is
// applied gives the same bytes; what was applied reads as the same music; the
// second of two applications wins.
func TestApply(t *testing.T) {
	keys := everyKey()
	for seed := range uint64(600) {
		r := rand.New(rand.NewPCG(seed, 5))
		key := keys[int(seed*7)%len(keys)]
		key.Mode = theory.Major
		before, _ := written(t, generate(seed, 1+int(seed%5), key))
		if seed%3 == 0 {
			before = "// remark\n" + strings.ReplaceAll(before, "\n", "\r\n")
		}
		d := readIn(t, before, key, score.ReadOptions{})
		same, err := d.Apply(d.Score().Clone())
		require.NoError(t, err)
		require.Equal(t, before, text(t, same), "seed %d", seed)

		want := change(d.Score(), r)
		edited, err := d.Apply(want)
		require.NoError(t, err, "seed %d\n%s", seed, before)
		now := key
		if k, ok := firstKey(want); ok {
			now.Tonic = k.Key.Tonic
		}
		again := readIn(t, text(t, edited), now, score.ReadOptions{})
		require.Equal(t, describe(want), describe(again.Score()), "seed %d\n%s\n%s", seed, before, text(t, edited))
		back, err := edited.Apply(d.Score())
		require.NoError(t, err)
		require.Equal(t, before, text(t, back), "seed %d: the second application wins", seed)
	}
}

// typed is what somebody typed by hand.
const typed = `// warm-up of the week
Degrees: minor
Title:   Back Stairs
Mood: patient

   E 1 b3   4 5 | Q b7^1 +1 b7 5   // not a remark: it would be a note
`

// TestApplyIsGentle: an edit changes the bar that differs and nothing else;
// lengths that the next bar took over are written there.
func TestApplyIsGentle(t *testing.T) {
	before := strings.Split(typed, "  //")[0] + "|\n\n// second line\n 4 b3 1   -b7 | H 1 (H)\n"
	before = strings.Replace(before, " // not", "", 1)
	d := readIn(t, before, theory.Key{Tonic: theory.NoteName{Step: theory.A}}, score.ReadOptions{})
	c := d.Score().Clone()
	first := c.Parts[0].Measures[1] // Q b7^1 +1 b7 5
	for ch := range first.Chords() {
		ch.Notes[0].Techniques = []score.Technique{score.Accent}
		break
	}
	e, err := d.Apply(c)
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(before, "b7^1 +1 b7 5", "b7:acc +1 b7 5", 1), text(t, e))

	// The bar gets eighths at its end; the next one, which had its quarters
	// from there, says them itself.
	c = d.Score().Clone()
	m := c.Parts[0].Measures[1]
	last := m.Events[len(m.Events)-1].(*score.Chord)
	half := score.CopyEvent(last).(*score.Chord)
	last.Duration = score.Q(1, 2)
	half.Duration, half.Onset = score.Q(1, 2), last.End()
	m.Events = append(m.Events, half)
	e, err = d.Apply(c)
	require.NoError(t, err)
	want := strings.Replace(before, "Q b7^1 +1 b7 5", "Q b7^1 +1 b7 E 5 5", 1)
	want = strings.Replace(want, " 4 b3 1   -b7", " Q 4 b3 1   -b7", 1)
	assert.Equal(t, want, text(t, e))

	// Another mode changes a header line, and a title keeps its spaces.
	c = d.Score().Clone()
	for n := range score.Preorder(c) {
		if k, ok := n.(*score.KeySignature); ok {
			k.Key.Mode = theory.Dorian
		}
	}
	c.Title = ""
	e, err = d.Apply(c)
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(strings.Replace(before, "minor", "dorian", 1), "Title:   Back Stairs\n", "", 1), text(t, e))
}

// TestPlacesAreNotWritten: strings and frets that were found for the notes
// change nothing in the text, but for notes whose string was typed.
func TestPlacesAreNotWritten(t *testing.T) {
	before := "Degrees: minor\n\nQ 1 b3@3 4 5 |\n"
	d := readIn(t, before, theory.Key{Tonic: theory.NoteName{Step: theory.A}}, score.ReadOptions{})
	c := d.Score().Clone()
	neck := fretboard.Guitar()
	for n := range score.Notes(c) {
		n.Place = neck.Places(n.Pitch.MIDI())[0]
	}
	e, err := d.Apply(c)
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(before, "b3@3", "b3@2", 1), text(t, e))
}
