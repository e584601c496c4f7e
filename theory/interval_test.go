package theory_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

// Source: the usual table of simple and compound intervals (Kostka & Payne,
// Tonal Harmony, ch. 1; from memory).
func TestIntervalForms(t *testing.T) {
	tests := []struct {
		short            string
		words            string
		steps, semitones int
	}{
		{"P1", "perfect unison", 0, 0},
		{"A1", "augmented unison up", 0, 1},
		{"-A1", "augmented unison down", 0, -1},
		{"d2", "diminished second up", 1, 0},
		{"m2", "minor second up", 1, 1},
		{"M2", "major second up", 1, 2},
		{"A2", "augmented second up", 1, 3},
		{"m3", "minor third up", 2, 3},
		{"-m3", "minor third down", -2, -3},
		{"M3", "major third up", 2, 4},
		{"P4", "perfect fourth up", 3, 5},
		{"A4", "augmented fourth up", 3, 6},
		{"d5", "diminished fifth up", 4, 6},
		{"P5", "perfect fifth up", 4, 7},
		{"-P5", "perfect fifth down", -4, -7},
		{"m6", "minor sixth up", 5, 8},
		{"M6", "major sixth up", 5, 9},
		{"d7", "diminished seventh up", 6, 9},
		{"dd7", "doubly diminished seventh up", 6, 8},
		{"m7", "minor seventh up", 6, 10},
		{"M7", "major seventh up", 6, 11},
		{"AA4", "doubly augmented fourth up", 3, 7},
		{"AAA4", "3 times augmented fourth up", 3, 8},
		{"P8", "perfect octave up", 7, 12},
		{"M9", "major ninth up", 8, 14},
		{"M10", "major tenth up", 9, 16},
		{"P15", "perfect fifteenth up", 14, 24},
		{"M17", "major 17th up", 16, 28},
		{"dd2", "doubly diminished second up", 1, -1},
	}
	for _, tt := range tests {
		want := theory.Interval{Steps: tt.steps, Semitones: tt.semitones}
		assert.Equal(t, want, mustInterval(t, tt.short))
		assert.Equal(t, tt.short, want.String())
		assert.Equal(t, tt.words, want.Words())
		if tt.words[0] != '3' {
			assert.Equal(t, want, mustInterval(t, tt.words), tt.words)
		}
	}
	for text, want := range map[string]string{
		"−m3": "-m3", "+P5": "P5", " m3 ": "m3", "octave": "P8", "-octave": "-P8", "unison": "P1",
		"octave down": "-P8", "Minor Third": "m3", "double augmented fourth": "AA4", "p5": "P5", "a4": "A4",
		"maj3": "M3", "-min7": "-m7", "aug4": "A4", "dim5": "d5", "Perfect 5th": "P5", "minor 3rd down": "-m3", "maj 2nd": "M2", "major 17th": "M17",
	} {
		assert.Equal(t, want, mustInterval(t, text).String(), text)
	}
}

func TestIntervalsThatAreNone(t *testing.T) {
	tests := []struct {
		in, msg string
		offset  int
	}{
		{"", "no number", 0},
		{"m5", "a fifth is perfect, never minor", 0},
		{"M4", "a fourth is perfect, never major", 0},
		{"P3", "a third is major or minor", 0},
		{"P13", "a thirteenth is major or minor", 0},
		{"3", "does not say which third", 0},
		{"-m51", "1 to 50", 2},
		{" -m0 ", "1 to 50", 3},
		{"x3", `"x" is no quality`, 0},
		{"Ad3", `"Ad" is no quality`, 0},
		{"AAAAAAAAA4", "more than 8 times", 0},
		{"semitone", "two names", 0},
		{"tritone", "two names", 0},
		{"minor banana", `unexpected word "banana"`, 6},
		{"minor third banana", `unexpected word "banana"`, 12},
		{"major minor third", `unexpected word "minor"`, 6},
		{"minor third fourth", `unexpected word "fourth"`, 12},
		{"minor fifth", "never minor", 0},
		{"up down", "needs a quality", 0},
		{"İ third", "unexpected word", 0},
		{"m3\xff", "1 to 50", 1},
	}
	for _, tt := range tests {
		_, err := theory.ParseInterval(tt.in)
		var parse *theory.ParseError
		if assert.ErrorAs(t, err, &parse, "%q", tt.in) {
			assert.Contains(t, parse.Error(), tt.msg, "%q", tt.in)
			assert.Equal(t, tt.offset, parse.Offset, "%q", tt.in)
			assert.NotEmpty(t, parse.Hint, "%q", tt.in)
		}
	}
}

func TestIntervalTextRoundTrip(t *testing.T) {
	for steps := -40; steps <= 40; steps++ {
		for semis := -80; semis <= 80; semis++ {
			i := theory.Interval{Steps: steps, Semitones: semis}
			text := i.String()
			back, err := theory.ParseInterval(text)
			if err != nil {
				assert.ErrorContains(t, err, "more than 8 times", text)
				continue
			}
			require.Equal(t, i, back, text)
		}
	}
}

// For every interval of up to two octaves, doubly altered ones included, and
// every name: the group laws, spelling included.
func TestTranspositionLaws(t *testing.T) {
	all := namedIntervals(14)
	require.Greater(t, len(all), 150)
	for _, n := range allNames() {
		p := theory.Pitch{NoteName: n, Octave: 4}
		assert.Equal(t, p, p.Transpose(theory.Interval{}), "a unison")
		for _, a := range all {
			q := p.Transpose(a)
			require.Equal(t, p, q.Transpose(a.Neg()), "%v up and down %v", p, a)
			require.Equal(t, a, p.To(q), "%v to %v", p, q)
			require.Equal(t, p.MIDI()+a.Semitones, q.MIDI())
			require.Equal(t, p.Diatonic()+a.Steps, q.Diatonic())
			require.Equal(t, n.Fifths()+a.Fifths(), q.Fifths(), "line of fifths")
			require.Equal(t, q.NoteName, n.Transpose(a), "names move like pitches")
		}
	}
	p := mustPitch(t, "F#3")
	for _, a := range all {
		for _, b := range all {
			require.Equal(t, p.Transpose(a.Add(b)), p.Transpose(a).Transpose(b), "%v then %v", a, b)
		}
		require.Equal(t, a.Add(a).Add(a), a.Times(3))
		require.Equal(t, a.Neg(), a.Times(-1))
	}
}

// The same laws for keys, with respelling for sound.
func TestKeyTranspositionLaws(t *testing.T) {
	for _, m := range modes {
		for fifths := -7; fifths <= 7; fifths++ {
			k := theory.KeyOf(fifths, m)
			for _, a := range namedIntervals(14) {
				moved := k.Transpose(a)
				require.Equal(t, k, moved.Transpose(a.Neg()))
				require.Equal(t, fifths+a.Fifths(), moved.Fifths())
				practical := moved.Practical()
				require.Equal(t, moved.Tonic.Class(), practical.Tonic.Class(), "respelling keeps the sound")
				require.LessOrEqual(t, max(practical.Fifths(), -practical.Fifths()), 7)
				if f := moved.Fifths(); -7 <= f && f <= 7 {
					require.Equal(t, moved, practical)
				}
				require.Equal(t, k.Practical().Tonic.Class(), practical.Transpose(a.Neg()).Tonic.Class())
			}
		}
	}
}

func TestNameToIsTheSmallestRisingInterval(t *testing.T) {
	for _, a := range allNames() {
		for _, b := range allNames() {
			i := a.To(b)
			require.Equal(t, b, a.Transpose(i), "%v to %v", a, b)
			require.GreaterOrEqual(t, i.Steps, 0)
			require.Less(t, i.Steps, 7)
		}
	}
	assert.Equal(t, "A7", mustName(t, "C").To(mustName(t, "B#")).String())
	assert.Equal(t, "d2", mustName(t, "B#").To(mustName(t, "C")).String())
}

func TestIntervalToTakesTheDirectionAskedFor(t *testing.T) {
	tests := []struct {
		from, to, nearest, up, down string
	}{
		{"C", "Eb", "m3", "m3", "-M6"},
		{"C", "A", "-m3", "M6", "-m3"},
		{"C", "F#", "A4", "A4", "-d5"},
		{"C", "Gb", "d5", "d5", "-A4"},
		{"B", "C", "m2", "m2", "-M7"},
		{"C", "C", "P1", "P1", "P1"},
		{"E", "F#", "M2", "M2", "-m7"},
		{"B#", "C", "d2", "d2", "d2"},
	}
	for _, tt := range tests {
		from, to := mustName(t, tt.from), mustName(t, tt.to)
		assert.Equal(t, tt.nearest, from.IntervalTo(to, theory.Nearest).String(), "%s to %s", from, to)
		assert.Equal(t, tt.up, from.IntervalTo(to, theory.Up).String(), "%s up to %s", from, to)
		assert.Equal(t, tt.down, from.IntervalTo(to, theory.Down).String(), "%s down to %s", from, to)
	}
	for _, a := range allNames() {
		for _, b := range allNames() {
			for _, dir := range []theory.Direction{theory.Nearest, theory.Up, theory.Down} {
				i := a.IntervalTo(b, dir)
				require.Equal(t, b, a.Transpose(i))
				require.Less(t, max(i.Semitones, -i.Semitones), 12)
				if dir == theory.Nearest {
					require.LessOrEqual(t, max(i.Semitones, -i.Semitones), 6)
				}
			}
		}
	}
}

func FuzzParseInterval(f *testing.F) {
	for _, s := range []string{"m3", "-A4", "dd7", "minor third down", "octave", "P50", "−d2", "A1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		i, err := theory.ParseInterval(s)
		if err != nil {
			_ = err.Error()
			return
		}
		back, err := theory.ParseInterval(i.String())
		require.NoError(t, err)
		require.Equal(t, i, back)
	})
}
