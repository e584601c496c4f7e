package transform

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// TestAnnotateChangesNothingElse: taking the labels off gives the score back,
// and the input is not changed.
func TestAnnotateChangesNothingElse(t *testing.T) {
	for seed := range uint64(150) {
		s := generated(rand.New(rand.NewPCG(seed, 41)), 4)
		before := s.Clone()
		out, _ := Annotate(s, AnnotateOptions{Show: score.LabelKinds(), Color: seed%2 == 0})
		require.Equal(t, before, s, "seed %d: the input", seed)
		require.Equal(t, before, ClearAnnotations(out, nil, nil), "seed %d", seed)
		again, _ := Annotate(out, AnnotateOptions{Show: score.LabelKinds(), Color: seed%2 == 0})
		require.Equal(t, out, again, "seed %d: annotated twice", seed)
		// Kind by kind, what is left is what would have been put on alone.
		part := ClearAnnotations(out, []string{score.LabelChordTone, score.LabelRole}, nil)
		alone, _ := Annotate(s, AnnotateOptions{Show: []string{score.LabelDegree, score.LabelName, score.LabelInterval}})
		require.Equal(t, alone, part, "seed %d", seed)
	}
}

// labelTexts lists the labels of a kind, note by note.
func labelTexts(s *score.Score, kind string) []string {
	var list []string
	for n := range score.Notes(s) {
		text := ""
		for _, a := range n.Annotations {
			if a.Kind == kind {
				text = a.Text
			}
		}
		list = append(list, text)
	}
	return list
}

// TestAnnotateTransposes: degrees, chord tones, roles and intervals are the
// same in every key.
func TestAnnotateTransposes(t *testing.T) {
	kinds := []string{score.LabelDegree, score.LabelChordTone, score.LabelRole, score.LabelInterval}
	for seed := range uint64(100) {
		s := generated(rand.New(rand.NewPCG(seed, 42)), 4)
		for p := range score.Notes(s) { // as pages have them: letters are known
			p.InferredSpelling = false
		}
		s.Parts = s.Parts[1:] // no neck that a move could leave
		was, _ := Annotate(s, AnnotateOptions{Show: kinds})
		by, err := theory.ParseInterval([]string{"m2", "M2", "-m3", "P4", "A4", "-P5", "m6"}[seed%7])
		require.NoError(t, err)
		moved, _ := Transpose(s, by, TransposeOptions{Respell: RespellNever})
		now, _ := Annotate(moved, AnnotateOptions{Show: kinds})
		for _, kind := range kinds {
			require.Equal(t, labelTexts(was, kind), labelTexts(now, kind), "seed %d, %s", seed, kind)
		}
	}
}

// TestAnnotateLabelsAreRight checks each label against the note by what it
// says, with theory alone: a degree names the sound of its note over the tonic,
// a chord tone has no brackets, and only notes without the right to that have
// roles.
func TestAnnotateLabelsAreRight(t *testing.T) {
	for seed := range uint64(100) {
		s := generated(rand.New(rand.NewPCG(seed, 43)), 4)
		out, _ := Annotate(s, AnnotateOptions{Show: score.LabelKinds()})
		key, _, ok := KeyAtStart(s)
		require.True(t, ok)
		for _, p := range out.Parts {
			var chord *theory.Chord
			for _, m := range p.Measures {
				for _, e := range m.Events {
					if h, ok := e.(*score.Harmony); ok {
						chord = &h.Chord
					}
					c, ok := e.(*score.Chord)
					if !ok {
						continue
					}
					for _, n := range c.Notes {
						label := map[string]string{}
						for _, a := range n.Annotations {
							require.NotContains(t, label, a.Kind, "one label of a kind")
							label[a.Kind] = a.Text
						}
						if n.Has(score.Dead) || n.Unpitched {
							assert.Empty(t, label)
							continue
						}
						if text := label[score.LabelDegree]; text != "" {
							d, err := theory.ParseDegree(text)
							require.NoError(t, err)
							assert.Equal(t, (n.Sounding()%12+12)%12, d.Name(key.Tonic).Class(), "seed %d %s", seed, n.Pitch)
							name, err := theory.ParseNoteName(label[score.LabelName])
							require.NoError(t, err)
							assert.Equal(t, (n.Sounding()%12+12)%12, name.Class())
						}
						text := label[score.LabelChordTone]
						if chord == nil || text == "" {
							continue
						}
						inside := chord.Classes().Has(n.Sounding())
						assert.Equal(t, !inside, strings.HasPrefix(text, "("), "seed %d: %s over %s is %s", seed, n.Pitch, chord, text)
						if role := label[score.LabelRole]; inside && role != "" { // held on into another chord
							assert.Contains(t, ">s >r >ped s r ped >ant ant", role)
						} else if !inside {
							assert.NotEmpty(t, role)
						}
					}
				}
			}
		}
	}
}

// TestChordJobs: the twelve sounds over chords.
// Source: common practice of chord symbols as in handbook tables (root, 9, 11,
// 13 and their alterations), from memory.
func TestChordJobs(t *testing.T) {
	key := theory.Key{Tonic: theory.NoteName{Step: theory.C}, Mode: theory.Major}
	for symbol, want := range map[string]string{
		"C7":       "R (b9) (9) (#9) 3 (11) (#11) 5 (b13) (13) b7 (7)",
		"Cmaj7":    "R (b9) (9) (#9) 3 (11) (#11) 5 (b13) (13) (b7) 7",
		"Cm7":      "R (b9) (9) b3 (3) (11) (b5) 5 (b13) (13) b7 (7)",
		"Cm7b5":    "R (b9) (9) b3 (3) (11) b5 (5) (b13) (13) b7 (7)",
		"Cdim7":    "R (b9) (9) b3 (3) (11) b5 (5) (b13) bb7 (b7) (7)",
		"C9":       "R (b9) 9 (#9) 3 (11) (#11) 5 (b13) (13) b7 (7)",
		"C6":       "R (b9) (9) (#9) 3 (11) (#11) 5 (b13) 6 (b7) (7)",
		"Csus4":    "R (b9) (9) (b3) (3) 4 (#11) 5 (b13) (13) (b7) (7)",
		"C7(#9)":   "R (b9) (9) #9 3 (11) (#11) 5 (b13) (13) b7 (7)",
		"C/D":      "R (b9) 9 (#9) 3 (11) (#11) 5 (b13) (13) (b7) (7)",
		"C5":       "R (b9) (9) (b3) 3 (11) (#11) 5 (b13) (13) (b7) (7)", // E is in C major
		"Caug":     "R (b9) (9) (#9) 3 (11) (#11) (5) #5 (13) (b7) (7)",
		"nonsense": "",
	} {
		c, err := theory.ParseChord(symbol)
		if err != nil {
			continue
		}
		var got []string
		for semis := range 12 {
			got = append(got, jobIn(c, letterOver(c, key, 60+semis), key.Scale().Set()).text)
		}
		assert.Equal(t, want, strings.Join(got, " "), symbol)
	}
	// The letter decides where there is one.
	c, _ := theory.ParseChord("C7")
	assert.Equal(t, "(b5)", jobIn(c, theory.P(theory.G, -1, 4), 0).text)
	assert.Equal(t, "(#11)", jobIn(c, theory.P(theory.F, 1, 4), 0).text)
	assert.Equal(t, "(#5)", jobIn(c, theory.P(theory.G, 1, 4), 0).text)
	assert.Equal(t, "(b13)", jobIn(c, theory.P(theory.A, -1, 4), 0).text)
	assert.False(t, jobIn(theory.Chord{NoChord: true}, theory.P(theory.C, 0, 4), 0).known)
}

// lab returns a colour in CIELAB (white point D65) after a matrix was applied
// to its linear red, green and blue.
// Source: IEC 61966-2-1 for sRGB, CIE 15 for L*a*b*.
func lab(rgb [3]float64, m [3][3]float64) [3]float64 {
	var seen [3]float64
	for i := range 3 {
		for j := range 3 {
			seen[i] += m[i][j] * rgb[j]
		}
		seen[i] = min(1, max(0, seen[i]))
	}
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*seen[0] + 0.3575761*seen[1] + 0.1804375*seen[2]) / 0.95047)
	y := f(0.2126729*seen[0] + 0.7151522*seen[1] + 0.0721750*seen[2])
	z := f((0.0193339*seen[0] + 0.1191920*seen[1] + 0.9503041*seen[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// TestChordToneColors: legible on white paper, and apart for everybody.
// Source: WCAG 2.1, success criterion 1.4.3 (4.5 to 1) and its relative
// luminance; Machado, Oliveira & Fernandes, "A physiologically-based model for
// simulation of color vision deficiency", 2009, matrices of severity 1 (values
// from memory).
func TestChordToneColors(t *testing.T) {
	views := map[string][3][3]float64{
		"all colours": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
		"protanopia":  {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
		"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413},
			{-0.011820, 0.042940, 0.968881}},
		"tritanopia": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	}
	colors := append(ChordToneColors(), ToneColor{Job: "no chord tone", RGB: "#000000"})
	linear := map[string][3]float64{}
	for _, c := range colors {
		var raw [3]int
		_, err := fmt.Sscanf(c.RGB, "#%02X%02X%02X", &raw[0], &raw[1], &raw[2])
		require.NoError(t, err)
		var rgb [3]float64
		for i, v := range raw {
			rgb[i] = float64(v) / 255
			if rgb[i] <= 0.04045 {
				rgb[i] /= 12.92
			} else {
				rgb[i] = math.Pow((rgb[i]+0.055)/1.055, 2.4)
			}
		}
		linear[c.RGB] = rgb
		contrast := 1.05 / (0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2] + 0.05)
		assert.GreaterOrEqual(t, contrast, 4.5, "%s on white", c.Job)
	}
	for name, m := range views {
		for i, c := range colors {
			for _, d := range colors[:i] {
				x, y := lab(linear[c.RGB], m), lab(linear[d.RGB], m)
				distance := math.Sqrt((x[0]-y[0])*(x[0]-y[0]) + (x[1]-y[1])*(x[1]-y[1]) + (x[2]-y[2])*(x[2]-y[2]))
				assert.GreaterOrEqual(t, distance, 30.0, "%s: %s and %s", name, c.Job, d.Job)
			}
		}
	}
}

// letterOver chooses the letter of a sound that stands alone over a chord.
func letterOver(c theory.Chord, k theory.Key, midi int) theory.Pitch {
	a := &annotator{keys: []keySpan{keyFrom(score.Quarters{}, k)}, spans: []chordSpan{{chord: c}}}
	a.keys[0].set = theory.SetOf(a.keys[0].names...)
	p := theory.SpellIn(k, midi)
	return named(p, a.letter(&tone{pitch: p, leaves: midi}))
}
