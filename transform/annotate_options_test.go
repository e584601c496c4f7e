package transform

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// line builds a score of one passage, as testdata/annotate/README.md has it.
func line(t *testing.T, key, metre string, lines ...string) *score.Score {
	t.Helper()
	s, _ := passage{id: t.Name(), fields: map[string]string{"key": key, "time": metre}, lines: lines}.score(t)
	return s
}

func progression(t *testing.T, s string) theory.Progression {
	t.Helper()
	p, err := theory.ParseProgression(s, nil)
	require.NoError(t, err)
	return p
}

func saidCodes(ds score.Diagnostics) (list []string) {
	for _, d := range ds {
		list = append(list, d.Severity.String()+" "+d.Code)
	}
	return list
}

func noKey(s *score.Score) *score.Score {
	m := s.Parts[0].Measures[0]
	m.Events = m.Events[1:]
	return s
}

// TestAnnotateScale: with a scale, what is outside stands in brackets, and a
// step is from one of its notes to the next: in A minor pentatonic from G to A
// and from A to C. Without it the leap makes an escape of the A.
func TestAnnotateScale(t *testing.T) {
	s := line(t, "A minor", "4/4", "G4:1 A4:1 C5:1 B4:1")
	chords := progression(t, "C")
	out, _ := Annotate(s, AnnotateOptions{Chords: chords})
	assert.Equal(t, []string{"", "e", "", ">f"}[:3], labelTexts(out, score.LabelRole)[:3])
	assert.Equal(t, []string{"b7", "1", "b3", "2"}, labelTexts(out, score.LabelDegree))
	_, _, minorPentatonic, err := theory.ParseScale("A minor pentatonic")
	require.NoError(t, err)
	out, ds := Annotate(s, AnnotateOptions{Chords: chords, Scale: &ScaleOn{theory.NoteName{Step: theory.A}, minorPentatonic}})
	assert.Equal(t, []string{"", "p", "", "f"}, labelTexts(out, score.LabelRole))
	assert.Equal(t, []string{"b7", "1", "b3", "(2)"}, labelTexts(out, score.LabelDegree))
	assert.Empty(t, ds)
	assert.Equal(t, "degree: counted from A minor pentatonic; in brackets what is outside", out.Legend[0])
}

// TestAnnotateKeys: a key that changes on the way, one that is found, one that
// stays open, and a home that is not the tonic.
func TestAnnotateKeys(t *testing.T) {
	s := line(t, "C major", "4/4", "C5:4 | C5:4")
	g := theory.Key{Tonic: theory.NoteName{Step: theory.G}}
	s.Parts[0].Measures[1].Events = append([]score.Event{&score.KeySignature{Key: g, ModeSaid: true}}, s.Parts[0].Measures[1].Events...)
	out, ds := Annotate(s, AnnotateOptions{Show: []string{score.LabelDegree}})
	assert.Equal(t, []string{"1", "4"}, labelTexts(out, score.LabelDegree))
	assert.Equal(t, []string{"degree: counted from C major, then G major"}, out.Legend)
	assert.Empty(t, ds)

	s = noKey(line(t, "C major", "4/4", "C5:1 D5:1 E5:1 F5:1 | G5:1 A5:1 B5:1 C6:1 | G4:2 E4:2 | C5:4"))
	out, ds = Annotate(s, AnnotateOptions{Show: []string{score.LabelDegree}})
	assert.Equal(t, "1", labelTexts(out, score.LabelDegree)[0])
	require.Equal(t, []string{"info annotate-key"}, saidCodes(ds))
	assert.Regexp(t, `C major, the key that the notes speak for \(\d+ %\)`, ds[0].Msg)

	_, ds = Annotate(noKey(line(t, "C major", "4/4", "C5:4 | G4:4")), AnnotateOptions{Show: []string{score.LabelDegree}})
	require.Equal(t, []string{"warning annotate-key"}, saidCodes(ds))
	assert.Equal(t, "say the key or the scale", ds[0].Hint)

	d := theory.NoteName{Step: theory.D}
	out, ds = Annotate(line(t, "C major", "4/4", "D5:1 F5:1 B5:2"), AnnotateOptions{Show: []string{score.LabelDegree}, Home: &d})
	assert.Equal(t, []string{"1", "b3", "6"}, labelTexts(out, score.LabelDegree))
	require.Equal(t, []string{"info annotate-key"}, saidCodes(ds))
	assert.Contains(t, ds[0].Msg, "D dorian")
	_, ds = Annotate(line(t, "C major", "4/4", "D5:1"), AnnotateOptions{Home: &theory.NoteName{Step: theory.F, Alter: 1}, Show: []string{score.LabelDegree}})
	assert.Equal(t, []string{"warning annotate-key"}, saidCodes(ds))
}

// TestAnnotateChords: chords from symbols, from another part, none, ones that
// begin again and ones that nobody knows.
func TestAnnotateChords(t *testing.T) {
	chord := func(symbol string) theory.Chord {
		c, err := theory.ParseChord(symbol)
		require.NoError(t, err)
		return c
	}
	s := line(t, "C major", "4/4", "E5:4 | E5:4 | E5:4")
	out, ds := Annotate(s, AnnotateOptions{})
	assert.Equal(t, []string{"info annotate-chord"}, saidCodes(ds))
	assert.Equal(t, []string{"", "", ""}, labelTexts(out, score.LabelChordTone))
	_, ds = Annotate(s, AnnotateOptions{Show: []string{score.LabelChordTone}})
	assert.Contains(t, saidCodes(ds), "warning annotate-chord")

	out, ds = Annotate(s, AnnotateOptions{Chords: progression(t, "C | Am")})
	assert.Equal(t, []string{"3", "5", "3"}, labelTexts(out, score.LabelChordTone))
	assert.Equal(t, []string{"info annotate-chord"}, saidCodes(ds), "they begin again")
	_, ds = Annotate(s, AnnotateOptions{Chords: progression(t, "C | Am | F | G")})
	assert.Equal(t, []string{"warning annotate-chord"}, saidCodes(ds), "the music is over")

	other := line(t, "C major", "4/4", "C3:4 | C3:4 | C3:4").Parts[0]
	other.ID = "P2"
	add := func(m *score.Measure, c theory.Chord) {
		m.Events = append([]score.Event{&score.Harmony{Chord: c}}, m.Events...)
	}
	add(other.Measures[0], chord("C"))
	add(other.Measures[1], chord("F"))
	s.Parts = append(s.Parts, other)
	out, ds = Annotate(s, AnnotateOptions{Parts: []string{"P1"}})
	assert.Equal(t, []string{"3", "(7)", "(7)", "", "", ""}, labelTexts(out, score.LabelChordTone))
	require.Equal(t, []string{"info annotate-chord"}, saidCodes(ds))
	assert.Contains(t, ds[0].Msg, "another part")

	add(s.Parts[0].Measures[2], theory.Chord{Root: theory.NoteName{Step: theory.G}, Quality: "what"})
	out, ds = Annotate(s, AnnotateOptions{Parts: []string{"P1"}})
	assert.Equal(t, []string{"", "", ""}, labelTexts(out, score.LabelChordTone)[:3])
	assert.Contains(t, saidCodes(ds), "warning annotate-chord")
	assert.Contains(t, saidCodes(ds), "info annotate-chord", "notes before the first chord")
}

// TestAnnotateReports: what was assumed, and what was replaced.
func TestAnnotateReports(t *testing.T) {
	s := line(t, "C major", "7/8", "C5:7/2")
	out, ds := Annotate(s, AnnotateOptions{Chords: progression(t, "C")})
	require.Equal(t, []string{"info annotate-metre"}, saidCodes(ds))
	assert.Contains(t, ds[0].Msg, "7/8 is accented as 2+2+3")
	assert.Contains(t, ds[0].Hint, "2+2+3/8")
	_, ds = Annotate(out, AnnotateOptions{Chords: progression(t, "C"), Show: []string{score.LabelDegree}})
	assert.Equal(t, []string{"info annotate-replaced"}, saidCodes(ds))
	_, ds = Annotate(line(t, "C major", "4/4", "r:4"), AnnotateOptions{})
	assert.Equal(t, []string{"warning annotate-nothing"}, saidCodes(ds))
}

// TestAnnotateColors: chord tones get colours, and labels that say the same.
func TestAnnotateColors(t *testing.T) {
	s := line(t, "C major", "4/4", "C5:1/2 D5:1/2 E5:1/2 F5:1/2 G5:1/2 A5:1/2 B5:1 | C5:4")
	out, _ := Annotate(s, AnnotateOptions{Chords: progression(t, "C6 G7sus4"), Show: []string{score.LabelDegree}, Color: true})
	names := map[string]string{"": "-"}
	for _, c := range ChordToneColors() {
		names[c.RGB] = c.Job
	}
	var got []string
	for n := range score.Notes(out.Parts[0].Measures[0]) {
		for _, a := range n.Annotations {
			if a.Kind == score.LabelChordTone {
				got = append(got, a.Text+" "+names[a.Color])
			}
		}
	}
	assert.Equal(t, []string{"R root", "(9) -", "3 third", "(11) -", "R root", "(9) -", "(3) -"}, got)
	assert.Equal(t, "colour: root blue, third ochre", out.Legend[len(out.Legend)-1][:len("colour: root blue, third ochre")])
	clear := ClearAnnotations(out, []string{score.LabelChordTone}, nil)
	assert.Equal(t, []string{"degree: counted from C major"}, clear.Legend)
	assert.Nil(t, ClearAnnotations(out, nil, nil).Legend)
	assert.NotNil(t, ClearAnnotations(out, nil, []string{"elsewhere"}).Legend)
}

// TestFlatFifth: tab has no letters; over a minor tonic its tritone is b5, but
// #4 where it leads up to 5. Source: common practice of the blues scale.
func TestFlatFifth(t *testing.T) {
	s := line(t, "A minor", "4/4", "D5:1 D#5:1 E5:1 D#5:1 | D5:4")
	for n := range score.Notes(s) {
		n.InferredSpelling = true
	}
	out, _ := Annotate(s, AnnotateOptions{Show: []string{score.LabelDegree, score.LabelName}})
	assert.Equal(t, "4 #4 5 b5 4", strings.Join(labelTexts(out, score.LabelDegree), " "))
	assert.Equal(t, "D D# E Eb D", strings.Join(labelTexts(out, score.LabelName), " "))
}

// TestTieAcrossNotes: a string may ring on while others are struck, so that its
// tie leads past them; what it does over the next chord is seen all the same.
func TestTieAcrossNotes(t *testing.T) {
	s := line(t, "C major", "4/4", "E4:2 C4:1 G3:1 | C4:2 B3:2")
	var notes []*score.Note
	for n := range score.Notes(s) {
		notes = append(notes, n)
	}
	notes[1].TieStart, notes[3].TieStop = true, true
	out, _ := Annotate(s, AnnotateOptions{Chords: progression(t, "C | G7")})
	assert.Equal(t, []string{"3", "1", "5", "", "7"}, labelTexts(out, score.LabelDegree))
	assert.Equal(t, []string{"", "", "", ">s", ""}, labelTexts(out, score.LabelRole))

	// Held over, resolved, and back before the next chord: no pedal.
	s = line(t, "C major", "4/4", "C4:4~ | C4:2 B3:1 C4:1~ | C4:4")
	out, _ = Annotate(s, AnnotateOptions{Chords: progression(t, "C | G7 | C")})
	assert.Equal(t, []string{"", ">s", "", "ant", ""}, labelTexts(out, score.LabelRole))
}
