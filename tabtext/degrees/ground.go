package degrees

import (
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// lowestTonic is the lowest sound (a MIDI key number) that the unmarked tonic
// may have, E3: so its octave is the one around which most phrases on a
// guitar in standard tuning lie.
const lowestTonic = 52

// A ground is the pitch of the degree 1 without octave marks. Degrees are
// counted from it.
type ground struct{ theory.Pitch }

// groundOf returns the ground of a tonic, so many octaves away from the usual
// one.
func groundOf(tonic theory.NoteName, octaves int) ground {
	p := theory.Pitch{NoteName: tonic}
	for p.MIDI() < lowestTonic {
		p.Octave++
	}
	for p.MIDI() >= lowestTonic+12 {
		p.Octave--
	}
	p.Octave += octaves
	return ground{p}
}

// on returns the ground of another tonic, named as a degree of this one.
func (g ground) on(d theory.Degree) ground { return ground{g.Transpose(d.Interval())} }

// A tone is a degree in an octave; octave 0 begins at the ground.
type tone struct {
	degree theory.Degree
	octave int
}

// pitch returns the pitch of a tone.
func (g ground) pitch(t tone) theory.Pitch {
	return g.Transpose(t.degree.Interval()).Transpose(theory.Octaves(t.octave))
}

// tone returns what a pitch is, its number 1 to 7.
func (g ground) tone(p theory.Pitch) tone {
	by := g.To(p)
	octave, steps := floorDiv(by.Steps, 7)
	d := theory.Degree{Number: steps + 1}
	d.Alter = by.Semitones - 12*octave - d.Semitones()
	return tone{d, octave}
}

func floorDiv(a, b int) (q, r int) {
	q, r = a/b, a%b
	if r < 0 {
		q, r = q-1, r+b
	}
	return q, r
}

// above returns how many semitones above a sound the degree lies next, 1 to 12.
func (g ground) above(midi int, d theory.Degree) int {
	if _, r := floorDiv(g.MIDI()+d.Semitones()-midi, 12); r > 0 {
		return r
	}
	return 12
}

// name gives a degree to a sound that has no letter.
func (g ground) name(midi int) theory.Degree {
	return g.tone(theory.SpellIn(theory.Key{Tonic: g.NoteName}, midi)).degree
}

// String writes the tone: "b3", "+5" an octave up, "--1" two octaves down.
func (t tone) String() string {
	mark := "+"
	if t.octave < 0 {
		mark = "-"
	}
	return strings.Repeat(mark, max(t.octave, -t.octave)) + t.degree.String()
}

// limits of what is typed: more is a slip of the hand.
const (
	maxOctaves = 9
	maxAlter   = 9
)

// scanTone reads a tone at the beginning of s and returns what follows.
func scanTone(s string) (t tone, rest string, ok bool) {
	for ; len(s) > 0 && (s[0] == '+' || s[0] == '-'); s = s[1:] {
		if s[0] == '+' {
			t.octave++
		} else {
			t.octave--
		}
	}
	t.degree, rest, ok = scanDegree(s)
	if t.degree.Number > 7 { // 9 is 2 an octave up
		octaves, number := floorDiv(t.degree.Number-1, 7)
		t.octave, t.degree.Number = t.octave+octaves, number+1
	}
	return t, rest, ok && max(t.octave, -t.octave) <= maxOctaves
}

// scanDegree reads a degree at the beginning of s.
func scanDegree(s string) (d theory.Degree, rest string, ok bool) {
	i := 0
	for _, r := range s {
		if !strings.ContainsRune("b#♭♯", r) {
			break
		}
		i += len(string(r))
	}
	// Of two figures only those that are no two degrees, or that the trade
	// says for one: 10, 11, 13.
	j := min(i+1, len(s))
	if two := s[i:min(i+2, len(s))]; two == "10" || two == "11" || two == "13" {
		j = i + 2
	}
	d, err := theory.ParseDegree(s[:j])
	return d, s[j:], err == nil && max(d.Alter, -d.Alter) <= maxAlter
}

// writeHome writes a key as its tonic's degree and its mode: "5-major"; the
// tonic alone if the mode is not said.
func writeHome(d theory.Degree, k *score.KeySignature) string {
	if !k.ModeSaid && k.Key.Mode == theory.Major {
		return d.String()
	}
	return d.String() + "-" + k.Key.Mode.String()
}
