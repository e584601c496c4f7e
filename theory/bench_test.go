package theory_test

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

// The calls that transforms make for every note must not allocate.
func TestHotCallsDoNotAllocate(t *testing.T) {
	p, by, k := mustPitch(t, "F#4"), mustInterval(t, "m3"), mustKey(t, "Eb major")
	c, s := mustChord(t, "Bb7"), mustScale(t, "dorian")
	for name, call := range map[string]func(){
		"Pitch.Transpose":    func() { p = p.Transpose(by) },
		"Pitch.To":           func() { _ = p.To(p) },
		"NoteName.Transpose": func() { _ = p.NoteName.Transpose(by) },
		"Key.Signature":      func() { _ = k.Signature(theory.F) },
		"SpellIn":            func() { _ = theory.SpellIn(k, 61) },
		"DegreeOf":           func() { _ = theory.DegreeOf(k.Tonic, p.NoteName) },
		"Chord.Transpose":    func() { c = c.Transpose(by) },
		"Scale.Set":          func() { _ = s.Set() },
		"Scale.Degree":       func() { _ = s.Degree(3) },
		"Scale.DegreeOf":     func() { _, _ = s.DegreeOf(k.Tonic, p.NoteName) },
		"Pitch.Simplest":     func() { _ = p.Simplest() },
	} {
		assert.Zero(t, testing.AllocsPerRun(100, call), name)
	}
}

// Everything may be used from several goroutines at once, from the first call
// on (run with -race).
func TestConcurrentUse(t *testing.T) {
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for _, name := range []string{"dorian", "mixolidian", "mode 5 of harmonic minor", "1 b3 4 5 b7"} {
				_, _ = theory.ScaleByName(name)
			}
			c, err := theory.ParseChord("Bb7(b9,#11)/D")
			if err != nil {
				t.Error(err)
				return
			}
			c.Scales(nil)
			theory.FindScales(c.Tones(), nil)
			theory.FindChords([]theory.WeightedNote{{MIDI: 60, Weight: 1}}, nil)
			theory.FindKey([]theory.WeightedNote{{MIDI: 60, Weight: 1}})
		})
	}
	wg.Wait()
}

// Results are the caller's own: writing to them changes nothing here.
func TestResultsAreTheCallersOwn(t *testing.T) {
	c := mustChord(t, "Bb7")
	c.Degrees()[0] = theory.Degree{Number: 9}
	assert.Equal(t, "1 3 5 b7", degreesOf(c))
	alt := mustChord(t, "C7alt")
	_, degrees := alt.Kind()
	require.NotEmpty(t, degrees)
	degrees[0].Value = 99
	_, again := alt.Kind()
	assert.NotEqual(t, 99, again[0].Value)
	theory.Kinds()[0] = "spoilt"
	assert.Equal(t, "major", theory.Kinds()[0])
	theory.Scales()[0] = theory.Scale{}
	assert.Equal(t, "major", theory.Scales()[0].Name())
	mustScale(t, "altered").Aliases()[0] = "spoilt"
	assert.NotEqual(t, "spoilt", mustScale(t, "altered").Aliases()[0])
}

func BenchmarkTranspose(b *testing.B) {
	p, by := mustPitch(b, "F#4"), mustInterval(b, "m3")
	b.ReportAllocs()
	for b.Loop() {
		p = p.Transpose(by).Transpose(by.Neg())
	}
	b.ReportMetric(2*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

func BenchmarkSpellIn(b *testing.B) {
	k := mustKey(b, "Eb major")
	b.ReportAllocs()
	for b.Loop() {
		for midi := 40; midi < 88; midi++ {
			theory.SpellIn(k, midi)
		}
	}
	b.ReportMetric(48*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

func BenchmarkParseChord(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		for _, s := range []string{"Am7", "F#ø7", "Bb7(b9,#11)", "C6/9", "Gsus4/D"} {
			if _, err := theory.ParseChord(s); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(5*float64(b.N)/b.Elapsed().Seconds(), "chords/s")
}

func BenchmarkChordDegrees(b *testing.B) {
	c := mustChord(b, "Bb7(b9,#11)")
	b.ReportAllocs()
	for b.Loop() {
		c.Degrees()
	}
}

func BenchmarkScaleByName(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := theory.ScaleByName("lydian dominant"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFindScales(b *testing.B) {
	notes := []theory.NoteName{mustName(b, "C"), mustName(b, "Eb"), mustName(b, "F#")}
	b.ReportAllocs()
	for b.Loop() {
		theory.FindScales(notes, nil)
	}
}

func BenchmarkChordScales(b *testing.B) {
	c := mustChord(b, "G7")
	b.ReportAllocs()
	for b.Loop() {
		c.Scales(nil)
	}
}
