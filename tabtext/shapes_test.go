package tabtext

import (
	"fmt"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bySound gives a score with chord symbols and keys named by their sound alone: a
// text that names shapes cannot say whether C over a capo at fret 1 sounds C#
// or Db.
func bySound(s *score.Score) *score.Score {
	name := func(n theory.NoteName) theory.NoteName { return theory.SpellIn(theory.Key{}, 60+n.Class()).NoteName }
	out := s.Clone()
	for _, p := range out.Parts {
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Harmony:
					if e.Chord.NoChord {
						continue
					}
					e.Chord.Root = name(e.Chord.Root)
					if e.Chord.HasBass {
						e.Chord.Bass = name(e.Chord.Bass)
					}
				case *score.KeySignature:
					e.Key.Tonic = name(e.Key.Tonic)
				}
			}
		}
	}
	return out
}

const shapesTab = `
  C               G
e|-0-------------|-3-------------|
B|---1-----------|---0-----------|
G|-----0---------|-----0---------|
D|-------2-------|-------0-------|
A|-3-------------|---------2-----|
E|---------------|-----------3---|
`

// TestChordsOverCapo: what chord names over a capo name is told by the notes, or by
// the text. That tabs mostly name the shapes, and that the open C shape
// sounds D with the capo at fret 2, is common practice.
func TestChordsOverCapo(t *testing.T) {
	sounding := strings.NewReplacer("  C   ", "  D   ", "   G\n", "   A\n").Replace(shapesTab)
	unclear := "\n  C\ne|-0-------------|\nB|-----1---------|\nG|---------------|\nD|---------------|\nA|---------------|\nE|---------------|\n"
	flats := "\n  G               D\ne|-3-------------|-2-------------|\nB|---0-----------|---3-----------|\nG|-----0---------|-----2---------|\nD|-------0-------|-------0-------|\nA|-----------2---|---------------|\nE|---------3-----|---------------|\n"
	scale := "\ne|-----------------|\nB|---------------0-|\nG|---------0-2-4---|\nD|---0-2-3---------|\nA|-3---------------|\nE|-----------------|\n"
	for _, c := range []struct {
		name, text, key string
		chords          string
		codes           string
	}{
		{"shapes", "Capo: 2\nKey: C major\n" + shapesTab, "D major", "D A", "tab-capo-shapes"},
		{"shapes with a key that sounds", "Capo: 2\nKey: D major\n" + shapesTab, "D major", "D A", "tab-capo-shapes"},
		{"shapes in a key with flats that sounds", "Capo: 1\nKey: Ab major\n" + flats, "Ab major", "Ab Eb", "tab-capo-shapes"},
		{"shapes without a key", "Capo: 2\n" + shapesTab, "", "D A", "tab-capo-shapes"},
		{"sounding", "Capo: 2\nKey: D\n" + sounding, "D major", "D A", ""},
		{"no capo", "Key: C\n" + shapesTab, "C major", "C G", ""},
		{"capo at fret 12", "Capo: 12\nKey: C\n" + shapesTab, "C major", "C G", ""},
		{"the notes do not tell", "Capo: 2\n" + unclear, "", "C", "tab-capo-chords"},
		{"said to be shapes", "Capo: 2\nChords: shapes\n" + unclear, "", "D", ""},
		{"said to be shapes with the key", "Capo: 2\nKey: C\nChords: shapes, key too\n" + unclear, "D major", "D", ""},
		{"said to be shapes without the key", "Capo: 2\nKey: C\nChords: shapes, key sounding\n" + unclear, "C major", "D", ""},
		{"said to sound, and it counts", "Capo: 2\nKey: C\nChords: sounding\n" + shapesTab, "C major", "C G", ""},
		{"said in words", "capo 2, chords are relative to the capo\n" + unclear, "", "D", ""},
		{"a list of chords says nothing", "Capo: 2\nChords: C G\n" + unclear, "", "C", "tab-capo-chords"},
		{"a key alone that fits the shapes", "Capo: 2\nKey: C\n" + scale, "C major", "", "tab-capo-key"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var said []string
			d, err := Read(strings.NewReader(c.text), "x", score.ReadOptions{Report: func(d score.Diagnostic) {
				if strings.HasPrefix(d.Code, "tab-capo") {
					said = append(said, d.Code)
					assert.Positive(t, d.Pos.Line)
					assert.Positive(t, d.Pos.Col)
					assert.NotEmpty(t, d.Hint)
				}
			}})
			require.NoError(t, err)
			key, chords := names(d.Score())
			assert.Equal(t, c.key, key)
			assert.Equal(t, c.chords, chords)
			assert.Equal(t, c.codes, strings.Join(said, " "))
			same, err := d.Apply(d.Score().Clone())
			require.NoError(t, err)
			assert.Equal(t, c.text, text(t, same))
		})
	}
}

func names(s *score.Score) (key, chords string) {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.KeySignature:
					key = e.Key.String()
				case *score.Harmony:
					chords += " " + e.Chord.String()
				}
			}
		}
	}
	return key, strings.TrimSpace(chords)
}

// TestCapoZeroReadsShapes: with the option the tab is read as if there were no capo.
func TestCapoZeroReadsShapes(t *testing.T) {
	capo := 0
	d, err := Read(strings.NewReader("Capo: 2\nKey: C\n"+shapesTab), "x", score.ReadOptions{Capo: &capo})
	require.NoError(t, err)
	key, chords := names(d.Score())
	assert.Equal(t, "C major", key)
	assert.Equal(t, "C G", chords)
}

// TestShapesStayShapes: in every key and under every capo the text goes on naming
// shapes when the music is moved or written anew, also where the new notes tell
// nothing of it, and what is read again sounds the same.
func TestShapesStayShapes(t *testing.T) {
	for capo := 1; capo <= 7; capo++ {
		for _, move := range []struct {
			frets      int
			by         theory.Interval
			key, first string
		}{{2, theory.Interval{Steps: 1, Semitones: 2}, "D major", "D"}, {3, theory.Interval{Steps: 2, Semitones: 3}, "Eb major", "Eb"}, {5, theory.Interval{Steps: 3, Semitones: 5}, "F major", "F"},
			{11, theory.Interval{Steps: 7, Semitones: 11}, "B major", "B"}} { // not C flat
			d := readText(t, fmt.Sprintf("Capo: %d\nKey: C major\n%s", capo, shapesTab))
			for n := range score.Notes(d.Score()) { // every note is a tone of the chord that it stands under
				assert.Contains(t, []int{0, 4, 7, 11, 2}, ((n.Pitch.MIDI()-capo)%12+12)%12)
			}
			s := d.Score().Clone()
			for _, m := range s.Parts[0].Measures {
				for _, e := range m.Events {
					switch e := e.(type) {
					case *score.KeySignature:
						e.Key = e.Key.Transpose(move.by)
					case *score.Harmony:
						e.Chord = e.Chord.Transpose(move.by)
					case *score.Chord:
						for _, n := range e.Notes {
							n.Place.Fret += move.frets
							n.Pitch = n.Pitch.Transpose(move.by)
						}
					}
				}
			}
			doc, err := d.Apply(s)
			require.NoError(t, err)
			out := text(t, doc)
			assert.Contains(t, out, "Key: "+move.key+"\n", "capo %d", capo)
			assert.Contains(t, out, fmt.Sprintf("Capo: %d\n", capo))
			assert.Contains(t, out, "\n  "+move.first+" ", "%s", out)
			again := readText(t, out)
			assert.Nil(t, compareLoosely(bySound(s), bySound(again.Score())), "%s", out)

			for n := range score.Notes(s) { // all at one place: nothing can be told from these
				n.Place = fretboard.Place{String: 3, Fret: 1}
				n.Pitch = theory.SpellIn(theory.Key{}, 55+capo+1)
				n.Techniques = nil
			}
			s.Parts[0].Measures[0].Events = keepOnePerOnset(s.Parts[0].Measures[0].Events)
			s.Parts[0].Measures[1].Events = keepOnePerOnset(s.Parts[0].Measures[1].Events)
			doc, err = d.Apply(s)
			require.NoError(t, err)
			out = text(t, doc)
			assert.Contains(t, out, "Key: "+move.key+"\n")
			assert.Contains(t, out, "Chords: shapes, key too\n")
			assert.Nil(t, compareLoosely(bySound(s), bySound(readText(t, out).Score())), "%s", out)
		}
	}
}

func keepOnePerOnset(events []score.Event) []score.Event {
	for _, e := range events {
		if c, ok := e.(*score.Chord); ok && len(c.Notes) > 1 {
			c.Notes = c.Notes[:1]
		}
	}
	return events
}

// TestNewTabSaysThatChordsSound: a new tab of music with a capo says what its chords
// name, so that no reader takes them otherwise.
func TestNewTabSaysThatChordsSound(t *testing.T) {
	d := readText(t, "Capo: 2\nKey: C\nChords: sounding\n"+shapesTab) // notes that speak for shapes
	var out strings.Builder
	require.NoError(t, Write(&out, d.Score(), score.WriteOptions{}))
	assert.Contains(t, out.String(), "Chords: sounding\n")
	assert.Nil(t, compare(d.Score(), readText(t, out.String()).Score()))
}

// TestCapoIsTakenOff: without the capo the names are those of what sounds.
func TestCapoIsTakenOff(t *testing.T) {
	d := readText(t, "Capo: 2\nKey: C major\n"+shapesTab)
	s := d.Score().Clone()
	for _, m := range s.Parts[0].Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.NeckChange:
				e.Neck.Capo = 0
			case *score.Chord:
				for _, n := range e.Notes {
					n.Place.Fret += 2
				}
			}
		}
	}
	doc, err := d.Apply(s)
	require.NoError(t, err)
	out := text(t, doc)
	assert.Contains(t, out, "Capo: 0\nKey: D major\n")
	assert.Contains(t, out, "\n  D               A\n")
}
