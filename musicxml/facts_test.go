package musicxml_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
)

// facts are what files of the unofficial MusicXML test suite hold, by the
// suite's own descriptions (each file's "description" field), quoted or
// paraphrased as the reason.
var facts = []struct {
	file, reason string
	fact         func(*score.Score) string
	want         string
}{
	{"01b-Pitches-Intervals.xml", "all pitch intervals in ascending jump size: unisons, then second by second", firstNotes(5), "C5 C5 C#5 Cb5 Db5"},
	{"01d-Pitches-Microtones.xml", "c flat-and-a-half, d half-flat, e half-sharp, f sharp-and-a-half", microtones(4), "C-3/2 D-1/2 E1/2 F3/2"},
	{"02a-Rests-Durations.xml", "a two-bar rest, a whole rest, a half, etc. until a 1024th", restLengths(5), "4 4 4 2 1"},
	{"03ab-Rhythm-Durations.xml", "long and (down to) 128th, plain, dotted and doubly dotted", noteLengths(3), "16 1/16 1/32"},
	{"03c-Rhythm-DivisionChange.xml", "the divisions of a quarter note change from 1 to 8 to 38", barLengths, "4 4"},
	{"11a-TimeSignatures.xml", "2/2 (cut), 4/4 (common), 2/2, 3/2, 2/4, 3/4, 4/4, 5/4, 3/8, 6/8, 12/8", times, "2/2 cut, 4/4 common, 2/2, 3/2, 2/4, 3/4, 4/4, 5/4, 3/8, 6/8, 12/8"},
	{"11c-TimeSignatures-CompoundSimple.xml", "(3+2)/8 and (5+3+1)/4", times, "3+2/8, 5+3+1/4"},
	{"11e-TimeSignatures-CompoundMixed.xml", "(3+2)/8+3/4", times, "3+2/8+3/4"},
	{"11e-TimeSignatures-CompoundMixed.xml", "five eighths and three quarters are 11/2 quarters", nominals, "11/2"},
	{"12ab-Clefs-Percussion-NonTrad.xml", "percussion, treble 8vb, bass 8vb, F3, G1, C5, C2, C1, treble 8va, bass 8va", clefs, "percussion0 G2v1 F4v1 F3 G1 C5 C2 C1 G2^1 F4^1"},
	{"12ac-Clefs-TAB-Switch.xml", "none clef, TAB clef, Treble", clefSigns, "none TAB G"},
	{"13a-KeySignatures.xml", "from 7 flats to 7 sharps, each first in major, then in minor", keys(4), "Cb major, Ab minor, Gb major, Eb minor"},
	{"13aa-KeySignatures-Extreme.xml", "from 11 flats to 7 flats and 7 sharps to 11 sharps", keyFifths, "-11 -10 -9 -8 -7 7 8 9 10 11"},
	{"13c-KeySignatures-NonTraditional.xml", "(f sharp, a flat, b flat) and (c flatflat, g sharp sharp, d flat, b sharp, f natural)", freeKeys, "F# Ab Bb; Cbb G## Db B# F"},
	{"13d-KeySignatures-Microtones.xml", "(g flat-and-a-half, a flat, b half-flat, c natural, d half-sharp, e sharp, f sharp-and-a-half)", freeKeys, "G-3/2 Ab B-1/2 C D1/2 E# F3/2"},
	{"21a-Chord-Basic.xml", "one simple chord consisting of two notes", chordSizes, "2"},
	{"21b-Chords-TwoNotes.xml", "some subsequent (identical) two-note chords", chordSizes, "2 2 2 2 2 2 2 2"},
	{"21f-Chord-ElementInBetween.xml", "directions and harmonies between the notes of a chord do not break it", chordSizes, "3"},
	{"23a-Tuplets.xml", "3:2, 3:2, 3:2, 4:2, 4:1, 7:3, 6:2", tuplets, "3:2 3:2 3:2 4:2 4:1 7:3 6:2"},
	{"23d-Tuplets-Nested.xml", "a 5:2 tuplet inside a 3:2 tuplet", tuplets, "3:2 5:2"},
	{"24b-ChordAsGraceNote.xml", "chords as grace notes", graceSizes, "2 2"},
	{"24c-GraceNote-MeasureEnd.xml", "a grace note at the measure end", lastOfFirstBar, "grace"},
	{"33b-Spanners-Tie.xml", "two simple tied whole notes", ties, "start, stop"},
	{"41c-StaffGroups.xml", "28 parts", partCount, "28"},
	{"42a-MultiVoice-TwoVoicesOnStaff-Lyrics.xml", "two voices share one staff", voices, "1 2"},
	{"43b-MultiStaff-DifferentKeys.xml", "a piano staff with different keys for each of its staves", keysByStaff, "1:0 2:2"},
	{"45c-RepeatMultipleTimes.xml", "repeats a stated number of times", repeats, "|: x5 x3"},
	{"45g-Repeats-NotEnded.xml", "a forward repeat without an ending repeat bar", repeats, "|:"},
	{"46b-MidmeasureBarline.xml", "bar lines inside of a measure", insideBarlines, "2"},
	{"46e-PickupMeasure-SecondVoiceStartsLater.xml", "voice 2 starts at the 2nd beat of the first full measure", secondVoice, "bar 1, 1"},
	{"51b-Header-Quotes.xml", "quotes in part names", partNames, `Staff "Test"`},
	{"51d-EmptyTitle.xml", "the movement title is chosen where the work title is empty", title, "Empty work-title, non-empty movement-title"},
	{"61j-Lyrics-Elisions.xml", "two syllables with an elision are one lyric of two texts", lyrics, "a|b c|d e|f g h"},
	{"71e-TabStaves.xml", "different string tunings given in the file", tunings, "E2 A2 D3 G3 B3 E4, E2 A2 D3 G3 B3 E4, D2 A2 D3 F#3 A3 E4, D2 A2 D3 G3 B3 D4, E1 A1 D2 G2, G4 D3 G3 C4 D4, G2 C3 F3 A3 D4 G4, A4 E4 C4 G4"},
	{"71f-AllChordTypes.xml", "all chord types defined in MusicXML, and some with degrees and a bass", chordCount, "38"},
	{"71g-MultipleChordnames.xml", "a harmony change during a note", harmonyOnsets, "0:C 0:F#m6 2:Dm7 2:G7"},
	{"72a-TransposingInstruments.xml", "trumpet in Bb with 2 sharps, horn in Eb with 3: all of them show the C major scale", firstOfParts(8), "C4 D4 E4 F4 G4 A4 B4 C5; C4 D4 E4 F4 G4 A4 B4 C5; C4 D4 E4 F4 G4 A4 B4 C5"},
	{"72a-TransposingInstruments.xml", "they sound in C major", keyFifths, "0 0 0"},
	{"72c-TransposingInstruments-Change.xml", "the whole piece is in Bb major (sounding)", keyFifths, "-2 -2"},
}

func TestFactsOfTheSuite(t *testing.T) {
	dir := outside.Shared(t, "data", "musicxml-suite")
	files := map[string]bool{}
	for _, f := range facts {
		t.Run(f.file, func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join(dir, f.file))
			require.NoError(t, err)
			assert.Equal(t, f.want, f.fact(read(t, data, f.file).Score()), f.reason)
		})
		files[f.file] = true
	}
	assert.GreaterOrEqual(t, len(files), 30)
}

// list collects words over the events of a score.
func list[T score.Node](s *score.Score, sep string, word func(T) string) string {
	var out []string
	for n := range score.Preorder(s) {
		if n, ok := n.(T); ok {
			if w := word(n); w != "" {
				out = append(out, w)
			}
		}
	}
	return strings.Join(out, sep)
}

func head(s string, sep string, n int) string {
	parts := strings.Split(s, sep)
	return strings.Join(parts[:min(n, len(parts))], sep)
}

func firstNotes(n int) func(*score.Score) string {
	return func(s *score.Score) string {
		return head(list(s, " ", func(n *score.Note) string { return n.Pitch.String() }), " ", n)
	}
}

func alteration(alter int, rest score.Quarters) string {
	if q := rest.Add(score.Q(int64(alter), 1)); !q.IsZero() {
		return q.String()
	}
	return ""
}

func microtones(n int) func(*score.Score) string {
	return func(s *score.Score) string {
		return head(list(s, " ", func(n *score.Note) string { return n.Pitch.Step.String() + alteration(n.Pitch.Alter, n.Detune) }), " ", n)
	}
}

func restLengths(n int) func(*score.Score) string {
	return func(s *score.Score) string {
		return head(list(s, " ", func(c *score.Chord) string { return c.Duration.String() }), " ", n)
	}
}

var noteLengths = restLengths

func barLengths(s *score.Score) string {
	return list(s, " ", func(m *score.Measure) string { return m.Length.String() })
}

func nominals(s *score.Score) string {
	return head(list(s, " ", func(m *score.Measure) string { return m.Nominal.String() }), " ", 1)
}

func times(s *score.Score) string {
	return list(s, ", ", func(t *score.TimeSignature) string {
		var parts []string
		for i := range t.Beats {
			parts = append(parts, fmt.Sprintf("%s/%d", t.Beats[i], t.BeatTypes[i]))
		}
		return strings.TrimSpace(strings.Join(parts, "+") + " " + t.Symbol)
	})
}

func clefSigns(s *score.Score) string {
	return list(s, " ", func(c *score.Clef) string { return c.Sign })
}

func clefs(s *score.Score) string {
	return list(s, " ", func(c *score.Clef) string {
		w := fmt.Sprint(c.Sign, c.Line)
		if c.OctaveChange > 0 {
			w += fmt.Sprint("^", c.OctaveChange)
		} else if c.OctaveChange < 0 {
			w += fmt.Sprint("v", -c.OctaveChange)
		}
		return w
	})
}

func keys(n int) func(*score.Score) string {
	return func(s *score.Score) string {
		return head(list(s, ", ", func(k *score.KeySignature) string { return k.Key.String() }), ", ", n)
	}
}

func keyFifths(s *score.Score) string {
	return list(s, " ", func(k *score.KeySignature) string { return fmt.Sprint(k.Key.Fifths()) })
}

func keysByStaff(s *score.Score) string {
	return list(s, " ", func(k *score.KeySignature) string { return fmt.Sprintf("%d:%d", k.Staff, k.Key.Fifths()) })
}

func freeKeys(s *score.Score) string {
	return list(s, "; ", func(k *score.KeySignature) string {
		var out []string
		for _, a := range k.Alters {
			if a.Detune.IsZero() {
				out = append(out, a.Name.String())
			} else {
				out = append(out, a.Name.Step.String()+alteration(a.Name.Alter, a.Detune))
			}
		}
		return strings.Join(out, " ")
	})
}

func chordSizes(s *score.Score) string {
	return list(s, " ", func(c *score.Chord) string {
		if c.IsRest() {
			return ""
		}
		return fmt.Sprint(len(c.Notes))
	})
}

func graceSizes(s *score.Score) string {
	return list(s, " ", func(c *score.Chord) string {
		if c.Grace == score.NotGrace {
			return ""
		}
		return fmt.Sprint(len(c.Notes))
	})
}

func tuplets(s *score.Score) string {
	seen := map[int]bool{}
	return list(s, " ", func(c *score.Chord) string {
		var out []string
		for _, t := range c.Tuplets {
			if !seen[t.ID] {
				seen[t.ID] = true
				out = append(out, fmt.Sprintf("%d:%d", t.Actual, t.Normal))
			}
		}
		return strings.Join(out, " ")
	})
}

func lastOfFirstBar(s *score.Score) string {
	var last *score.Chord
	for c := range s.Parts[0].Measures[0].Chords() {
		last = c
	}
	if last.Grace != score.NotGrace {
		return "grace"
	}
	return "plain"
}

func ties(s *score.Score) string {
	return list(s, ", ", func(n *score.Note) string {
		switch {
		case n.TieStart:
			return "start"
		case n.TieStop:
			return "stop"
		}
		return ""
	})
}

func partCount(s *score.Score) string { return fmt.Sprint(len(s.Parts)) }

func partNames(s *score.Score) string {
	return list(s, ", ", func(p *score.Part) string { return p.Name })
}

func title(s *score.Score) string { return s.Title }

func voices(s *score.Score) string {
	seen := map[int]bool{}
	return list(s, " ", func(c *score.Chord) string {
		if seen[c.Voice] {
			return ""
		}
		seen[c.Voice] = true
		return fmt.Sprint(c.Voice)
	})
}

func repeats(s *score.Score) string {
	return list(s, " ", func(b *score.Barline) string {
		switch {
		case b.Repeat == score.Forward:
			return "|:"
		case b.Repeat == score.Backward:
			return fmt.Sprintf("x%d", b.Times)
		}
		return ""
	})
}

func insideBarlines(s *score.Score) string {
	var out []string
	for _, m := range s.Parts[0].Measures {
		for _, e := range m.Events {
			if b, ok := e.(*score.Barline); ok && b.Onset.Sign() > 0 && b.Onset.Less(m.Length) {
				out = append(out, b.Onset.String())
			}
		}
	}
	return strings.Join(out, " ")
}

func secondVoice(s *score.Score) string {
	for _, m := range s.Parts[0].Measures {
		for c := range m.Chords() {
			if c.Voice == 2 {
				return fmt.Sprintf("bar %s, %s", m.Number, c.Onset)
			}
		}
	}
	return ""
}

func lyrics(s *score.Score) string {
	return list(s, "|", func(w *score.Words) string {
		if w.Kind != "lyric" {
			return ""
		}
		return w.Text
	})
}

func tunings(s *score.Score) string {
	return list(s, ", ", func(n *score.NeckChange) string { return n.Neck.Tuning.String() })
}

func chordCount(s *score.Score) string {
	return fmt.Sprint(len(strings.Fields(list(s, " ", func(*score.Harmony) string { return "x" }))))
}

func harmonyOnsets(s *score.Score) string {
	return list(s, " ", func(h *score.Harmony) string { return h.Onset.String() + ":" + h.Chord.String() })
}

func firstOfParts(n int) func(*score.Score) string {
	return func(s *score.Score) string {
		var out []string
		for _, p := range s.Parts {
			out = append(out, firstNotes(n)(&score.Score{Parts: []*score.Part{p}}))
		}
		return strings.Join(out, "; ")
	}
}
