package theory_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/lickwright/theory"
)

// Source: ISO 16:1975 (A4 = 440 Hz); the MIDI 1.0 specification (key 60 is
// middle C, 69 the A above it); the frequencies of the open strings and of
// the lowest and highest piano keys are handbook values (from memory).
func TestPitchSounds(t *testing.T) {
	tests := []struct {
		pitch string
		midi  int
		hertz float64
	}{
		{"A4", 69, 440}, {"C4", 60, 261.626}, {"A0", 21, 27.5}, {"C8", 108, 4186.009},
		{"E2", 40, 82.407}, {"A2", 45, 110}, {"D3", 50, 146.832}, {"G3", 55, 195.998}, {"B3", 59, 246.942}, {"E4", 64, 329.628},
		{"C-1", 0, 8.1758}, {"G9", 127, 12543.854},
	}
	for _, tt := range tests {
		p := mustPitch(t, tt.pitch)
		assert.Equal(t, tt.midi, p.MIDI(), tt.pitch)
		assert.InEpsilon(t, tt.hertz, p.Hertz(), 1e-5, tt.pitch)
	}
}

// Source: scientific pitch notation, in which the octave number changes at C
// whatever the accidental (Young 1939; common practice).
func TestOctaveBelongsToTheLetter(t *testing.T) {
	for enharmonic, natural := range map[string]string{
		"B#3": "C4", "Cb4": "B3", "B##3": "C#4", "Cbb4": "Bb3", "E#4": "F4", "Fb4": "E4", "A####3": "C#4",
	} {
		assert.Equal(t, mustPitch(t, natural).MIDI(), mustPitch(t, enharmonic).MIDI(), enharmonic)
	}
}

func TestParseNoteNameSpellings(t *testing.T) {
	tests := []struct {
		want  string
		forms []string
	}{
		{"F#", []string{"F#", "f#", "F♯", "f♯"}},
		{"Bb", []string{"Bb", "bb", "B♭", "b♭"}},
		{"C##", []string{"C##", "Cx", "C𝄪", "C♯♯", "C♯#"}},
		{"Bbb", []string{"Bbb", "bbb", "B♭♭", "B𝄫", "Bb♭"}},
		{"Abbb", []string{"A𝄫♭", "Abbb"}},
		{"F###", []string{"Fx#", "F𝄪♯"}},
		{"E", []string{"E", "e", "E♮"}},
	}
	for _, tt := range tests {
		for _, form := range tt.forms {
			assert.Equal(t, tt.want, mustName(t, form).String(), form)
		}
	}
	assert.Equal(t, "C𝄪", mustName(t, "C##").Pretty())
	assert.Equal(t, "B𝄫♭", mustName(t, "Bbbb").Pretty())
	assert.Equal(t, "F♯4", mustPitch(t, "F#4").Pretty())
}

func TestNamesThatAreNone(t *testing.T) {
	for _, s := range []string{"", "H", "#F", "C#b", "Cb#", "C4", "Do", "C########", "♭", "C ", "Ç", "\xff", "C\xff"} {
		_, err := theory.ParseNoteName(s)
		var parse *theory.ParseError
		if assert.ErrorAs(t, err, &parse, "%q", s) {
			assert.LessOrEqual(t, parse.Offset, len(s), "%q", s)
			assert.NotEmpty(t, parse.Error())
		}
	}
	for _, s := range []string{"", "C", "C#", "4", "C4.5", "C99", "C--1", "H4"} {
		_, err := theory.ParsePitch(s)
		assert.Error(t, err, "%q", s)
	}
}

func TestPitchTextRoundTrip(t *testing.T) {
	for _, n := range allNames() {
		assert.Equal(t, n, mustName(t, n.String()))
		assert.Equal(t, n, mustName(t, n.Pretty()))
		for oct := -1; oct <= 9; oct++ {
			p := theory.Pitch{NoteName: n, Octave: oct}
			assert.Equal(t, p, mustPitch(t, p.String()))
		}
	}
}

// Source: the line of fifths, F C G D A E B and again with sharps, backwards
// with flats (Temperley, The Cognition of Basic Musical Structures, ch. 5).
func TestLineOfFifths(t *testing.T) {
	line := []string{"Fbb", "Cbb", "Gbb", "Dbb", "Abb", "Ebb", "Bbb", "Fb", "Cb", "Gb", "Db", "Ab", "Eb", "Bb",
		"F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#", "E#", "B#", "F##", "C##"}
	fifth := mustInterval(t, "P5")
	for i, s := range line {
		n := mustName(t, s)
		assert.Equal(t, i-15, n.Fifths(), s)
		assert.Equal(t, n, theory.NameAtFifths(i-15))
		if i > 0 {
			assert.Equal(t, n, mustName(t, line[i-1]).Transpose(fifth))
		}
	}
}

// Simplest is held to its definition by search over all names.
func TestSimplest(t *testing.T) {
	for want, from := range map[string][]string{
		"C4": {"B#3", "Dbb4", "C4"}, "F#4": {"F#4", "E##4"}, "Gb4": {"Gb4", "Abbb4"}, "G4": {"F##4", "E###4", "Abb4"}, "D#4": {"C###4"},
	} {
		for _, f := range from {
			assert.Equal(t, want, mustPitch(t, f).Simplest().String(), f)
		}
	}
	for step := theory.C; step <= theory.B; step++ {
		for alter := -6; alter <= 6; alter++ {
			p := theory.P(step, alter, 4)
			got := p.Simplest()
			assert.Equal(t, p.MIDI(), got.MIDI())
			for _, n := range allNames() {
				if n.Class() == p.Class() {
					assert.LessOrEqual(t, max(got.Alter, -got.Alter), max(n.Alter, -n.Alter), "%v is simpler than %v for %v", n, got, p)
				}
			}
			assert.GreaterOrEqual(t, got.Alter*p.Alter, 0, "%v changed sides to %v", p, got)
		}
	}
}

// Source: the chromatic scale with raised fourth and lowered others (common
// practice; Kostka & Payne, Tonal Harmony, on chromatic spelling).
func TestSpellIn(t *testing.T) {
	tests := map[string]string{
		"C major":    "C Db D Eb E F F# G Ab A Bb B",
		"A minor":    "C C# D D# E F F# G G# A Bb B",
		"E major":    "C C# D D# E F F# G G# A A# B",
		"Eb major":   "C Db D Eb Fb F Gb G Ab A Bb Cb",
		"D dorian":   "C C# D Eb E F F# G G# A Bb B",
		"F# major":   "B# C# D D# E E# F# G G# A A# B",
		"Gb major":   "C Db Ebb Eb Fb F Gb Abb Ab Bbb Bb Cb",
		"B locrian":  "C C# D D# E F F# G G# A A# B",
		"G lydian":   "C C# D Eb E F F# G Ab A Bb B",
		"E phrygian": "C C# D D# E F F# G G# A A# B",
	}
	for key, want := range tests {
		k := mustKey(t, key)
		var got string
		for midi := 60; midi < 72; midi++ {
			p := theory.SpellIn(k, midi)
			assert.Equal(t, midi, p.MIDI(), "%s in %s", p, key)
			if midi > 60 {
				got += " "
			}
			got += p.NoteName.String()
		}
		assert.Equal(t, want, got, key)
	}
}

func TestSpellInKeepsTheKeysOwnNames(t *testing.T) {
	for _, m := range modes {
		for fifths := -7; fifths <= 7; fifths++ {
			k := theory.KeyOf(fifths, m)
			for f := fifths - 1; f <= fifths+5; f++ {
				n := theory.NameAtFifths(f)
				p := theory.Pitch{NoteName: n, Octave: 3}
				assert.Equal(t, p, theory.SpellIn(k, p.MIDI()), "%s in %s", n, k)
			}
		}
	}
}
