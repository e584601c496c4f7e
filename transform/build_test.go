package transform

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The tests build their scores from a few words. lick lays quarter notes on a
// neck: "6.0 5.2" are string 6 open, string 5 fret 2; "6.0+5.2" sound
// together; "-" is a rest of a quarter; "|" begins a new bar. A note may have
// marks after it: h p s (to the next note, hammer-on, pull-off, slide), b
// (bend of a whole tone), ~ (tie to the next), x (dead), n (natural harmonic),
// v (vibrato), o (open-string mark), f1 (finger).
func lick(t testing.TB, neck fretboard.Neck, text string) *score.Score {
	t.Helper()
	part := &score.Part{ID: "P1", Name: "Guitar", Staves: 1}
	var m *score.Measure
	newBar := func() {
		m = &score.Measure{Number: strconv.Itoa(len(part.Measures) + 1)}
		part.Measures = append(part.Measures, m)
	}
	newBar()
	m.Events = append(m.Events, &score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}, Length: score.Q(4, 1)})
	m.Events = append(m.Events, &score.NeckChange{Neck: neck})
	span := 0
	var stops []score.Technique // for the next chord's first note
	tieStop := false
	for _, word := range strings.Fields(text) {
		if word == "|" {
			newBar()
			continue
		}
		c := &score.Chord{Duration: score.Q(1, 1), Voice: 1}
		c.Onset = m.Length
		m.Length = m.Length.Add(c.Duration)
		m.Events = append(m.Events, c)
		if word == "-" {
			continue
		}
		for i, w := range strings.Split(word, "+") {
			n := &score.Note{InferredSpelling: true}
			if i == 0 {
				n.Techniques, stops = stops, nil
				n.TieStop, tieStop = tieStop, false
			}
			str, rest, _ := strings.Cut(w, ".")
			digits := len(rest) - len(strings.TrimLeft(rest, "0123456789"))
			n.Place = fretboard.Place{String: atoi(t, str), Fret: atoi(t, rest[:digits])}
			n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
			for marks := rest[digits:]; marks != ""; marks = marks[1:] {
				kind := score.SpanKind(0)
				switch marks[0] {
				case 'h':
					kind = score.HammerOn
				case 'p':
					kind = score.PullOff
				case 's':
					kind = score.ShiftSlide
				case 'b':
					n.Techniques = append(n.Techniques, score.Bend{Amount: score.Q(2, 1)})
				case '~':
					n.TieStart, tieStop = true, true
				case 'x':
					n.Techniques = append(n.Techniques, score.Dead)
				case 'v':
					n.Techniques = append(n.Techniques, score.Vibrato)
				case 'o':
					n.Techniques = append(n.Techniques, score.OpenString)
				case 'n':
					node, ok := fretboard.NodeAt(n.Place.Fret)
					require.True(t, ok)
					n.Techniques = append(n.Techniques, score.Harmonic{Kind: score.NaturalHarmonic, Over: node.Semitones - n.Place.Fret})
				case 'f':
					marks = marks[1:]
					n.Finger = score.Finger(marks[0] - '0')
				default:
					t.Fatalf("mark %q", marks)
				}
				if kind != 0 {
					span++
					n.Techniques = append(n.Techniques, score.Span{Kind: kind, ID: span, End: score.Start})
					stops = append(stops, score.Span{Kind: kind, ID: span, End: score.Stop})
				}
			}
			c.Notes = append(c.Notes, n)
		}
	}
	return &score.Score{Parts: []*score.Part{part}}
}

// places writes the places of a score as lick reads them, without marks; a
// note that has lost its place is "?".
func places(s *score.Score) string {
	var words []string
	for i, m := range s.Parts[0].Measures {
		if i > 0 {
			words = append(words, "|")
		}
		for c := range m.Chords() {
			if c.IsRest() {
				words = append(words, "-")
				continue
			}
			var notes []string
			for _, n := range c.Notes {
				if n.Place.IsZero() {
					notes = append(notes, "?")
				} else {
					notes = append(notes, strconv.Itoa(n.Place.String)+"."+strconv.Itoa(n.Place.Fret))
				}
			}
			words = append(words, strings.Join(notes, "+"))
		}
	}
	return strings.Join(words, " ")
}

func atoi(t testing.TB, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	require.NoError(t, err)
	return n
}

// melody builds a part without a neck, in a key: quarter notes by name.
func melody(t testing.TB, key string, notes string) *score.Score {
	t.Helper()
	part := &score.Part{ID: "P1", Staves: 1}
	m := &score.Measure{Number: "1"}
	part.Measures = append(part.Measures, m)
	if key != "" {
		k, said, err := theory.ParseKey(key)
		require.NoError(t, err)
		m.Events = append(m.Events, &score.KeySignature{Key: k, ModeSaid: said})
	}
	for _, w := range strings.Fields(notes) {
		p, err := theory.ParsePitch(w)
		require.NoError(t, err)
		c := &score.Chord{Duration: score.Q(1, 1), Voice: 1, Notes: []*score.Note{{Pitch: p}}}
		c.Onset = m.Length
		m.Length = m.Length.Add(c.Duration)
		m.Events = append(m.Events, c)
	}
	return &score.Score{Parts: []*score.Part{part}}
}

// pitches writes the pitches of a score.
func pitches(s *score.Score) string {
	var words []string
	for n := range score.Notes(s) {
		words = append(words, n.Pitch.String())
	}
	return strings.Join(words, " ")
}

func firstKey(t testing.TB, s *score.Score) theory.Key {
	t.Helper()
	k, _, ok := KeyAtStart(s)
	require.True(t, ok)
	return k
}

func interval(t testing.TB, s string) theory.Interval {
	t.Helper()
	i, err := theory.ParseInterval(s)
	require.NoError(t, err)
	return i
}

func codes(ds score.Diagnostics) []string {
	var list []string
	for _, d := range ds {
		list = append(list, d.Code)
	}
	return list
}
