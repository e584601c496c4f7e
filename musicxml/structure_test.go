package musicxml_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// applied applies a change to a clone of a document's score.
func applied(t *testing.T, d *musicxml.Document, change func(*score.Score)) (*musicxml.Document, *score.Score) {
	t.Helper()
	s := d.Score().Clone()
	change(s)
	out, err := d.Apply(s)
	require.NoError(t, err)
	return out, s
}

const house = `<?xml version="1.0"?>
<score-partwise version="4.0">
  <part-list>
    <score-part id="P1"><part-name>A</part-name></score-part>
  </part-list>
  <part id="P1">
    <measure number="1" width="200">
      <print new-page="yes"/>
      <attributes>
        <divisions>2</divisions>
        <key><fifths>1</fifths></key>
      </attributes>
      <!-- first -->
      <note default-x="10">
        <pitch>
          <step>G</step>
          <octave>4</octave>
        </pitch>
        <duration>2</duration>
        <voice>1</voice>
        <type>quarter</type>
        <lyric><text>la</text></lyric>
      </note>
      <direction><direction-type><words>dolce</words></direction-type></direction>
      <note default-x="20">
        <pitch>
          <step>A</step>
          <octave>4</octave>
        </pitch>
        <duration>2</duration>
        <voice>1</voice>
        <type>quarter</type>
      </note>
    </measure>
    <measure number="2">
      <note>
        <rest/>
        <duration>4</duration>
        <voice>1</voice>
        <type>half</type>
      </note>
      <barline location="right"><bar-style>light-heavy</bar-style></barline>
    </measure>
  </part>
</score-partwise>
`

func firstBar(s *score.Score) *score.Measure { return s.Parts[0].Measures[0] }

func chords(m *score.Measure) (out []*score.Chord) {
	for c := range m.Chords() {
		out = append(out, c)
	}
	return out
}

// TestNotesPutInAndTakenOut: what was there stays as it stood, comments,
// lyrics and layout too, and what is new stands in the house's indentation.
func TestNotesPutInAndTakenOut(t *testing.T) {
	d := read(t, []byte(house), "house.xml")
	split, _ := applied(t, d, func(s *score.Score) {
		m := firstBar(s)
		c := chords(m)[1]
		c.Duration, c.Value = score.Q(1, 2), score.NoteValue{}
		m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: score.Q(3, 2), Staff: 1}, Duration: score.Q(1, 2), Voice: 1,
			Notes: []*score.Note{{Pitch: theory.P(theory.F, 0, 4)}}})
		m.SortEvents()
	})
	text := string(written(t, split))
	for _, kept := range []string{`<print new-page="yes"/>`, "<!-- first -->", `<note default-x="10">`, "<lyric><text>la</text></lyric>", `<measure number="1" width="200">`, "<words>dolce</words>"} {
		assert.Contains(t, text, kept)
	}
	assert.Contains(t, text, `      <note>
        <pitch>
          <step>F</step>
          <octave>4</octave>
        </pitch>
        <duration>1</duration>
        <voice>1</voice>
        <type>eighth</type>
        <accidental>natural</accidental>
        <beam number="1">end</beam>
      </note>
`)
	assert.Contains(t, text, `        <duration>1</duration>
        <voice>1</voice>
        <type>eighth</type>
        <beam number="1">begin</beam>`)
	assert.Less(t, strings.Index(text, "dolce"), strings.Index(text, `default-x="20"`))

	gone, _ := applied(t, d, func(s *score.Score) {
		m := firstBar(s)
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { c, ok := e.(*score.Chord); return ok && c.Onset.IsZero() })
	})
	text = string(written(t, gone))
	assert.NotContains(t, text, "<step>G</step>")
	assert.Contains(t, text, "<forward><duration>2</duration></forward>")
	assert.Equal(t, score.Q(1, 1), chords(firstBar(read(t, []byte(text), "gone").Score()))[0].Onset)
}

// TestFinerTimes: a triplet where the file counts in eighths needs other
// divisions in this bar, and the old ones behind it.
func TestFinerTimes(t *testing.T) {
	d := read(t, []byte(house), "house.xml")
	out, want := applied(t, d, func(s *score.Score) {
		m := firstBar(s)
		c := chords(m)[0]
		ts := []score.Tuplet{{ID: 1, Actual: 3, Normal: 2}}
		c.Duration, c.Tuplets, c.Value = score.Q(1, 3), ts, score.NoteValue{}
		for i := range 2 {
			m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: score.Q(int64(i+1), 3), Staff: 1}, Duration: score.Q(1, 3), Voice: 1, Tuplets: ts,
				Notes: []*score.Note{{Pitch: theory.P(theory.B, 0, 4)}}})
		}
		m.SortEvents()
	})
	again := read(t, written(t, out), "again")
	assert.Equal(t, comparable(want), comparable(again.Score()))
	assert.Equal(t, score.Q(2, 1), again.Score().Parts[0].Measures[1].Length, "the next bar is as long as it was")
}

func TestBarsPutInAndTakenOut(t *testing.T) {
	d := read(t, []byte(house), "house.xml")
	out, want := applied(t, d, func(s *score.Score) {
		p := s.Parts[0]
		m := firstBar(s).Copy()
		m.Number = "1a"
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.KeySignature); return ok })
		p.Measures = slices.Insert(p.Measures, 1, m)
		p.Measures = p.Measures[:2]
	})
	text := string(written(t, out))
	assert.NotContains(t, text, `<measure number="2">`)
	assert.Contains(t, text, "\n    <measure number=\"1a\">\n      <note>")
	assert.Equal(t, comparable(want), comparable(read(t, []byte(text), "bars").Score()))
}

func TestHarmonyKeyAndTieEdits(t *testing.T) {
	d := read(t, []byte(house), "house.xml")
	chord, err := theory.ParseChord("D7/F#")
	require.NoError(t, err)
	out, want := applied(t, d, func(s *score.Score) {
		m := firstBar(s)
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool { _, ok := e.(*score.KeySignature); return ok })
		m.Events = append(m.Events, &score.Harmony{Common: score.Common{Onset: score.Q(1, 1)}, Chord: chord})
		m.SortEvents()
		chordsOf := chords(m)
		chordsOf[0].Notes[0].TieStart = true
		chordsOf[0].Notes[0].Techniques = []score.Technique{score.Span{Kind: score.HammerOn, ID: 7, End: score.Start}}
		chordsOf[1].Notes[0].TieStop = true
		chordsOf[1].Notes[0].Techniques = []score.Technique{score.Span{Kind: score.HammerOn, ID: 7, End: score.Stop}}
	})
	again := read(t, written(t, out), "again")
	assert.Equal(t, comparable(want), comparable(again.Score()))
	assert.NotContains(t, string(written(t, out)), "<fifths>")
	assert.Contains(t, string(written(t, out)), "<divisions>2</divisions>")
	back, err := out.Apply(d.Score())
	require.NoError(t, err)
	assert.Equal(t, house, string(written(t, back)))
}

// TestStructuralEditsOnCorpus makes random changes of structure in every
// shared file and in written random scores: what is read back is what was
// applied, and a file that was schema-valid stays so.
func TestStructuralEditsOnCorpus(t *testing.T) {
	dir := t.TempDir()
	var before, after []string
	refused := 0
	for i, file := range corpus(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d := read(t, data, file)
		for round := range uint64(3) {
			r := rand.New(rand.NewPCG(uint64(i), round))
			s := d.Score().Clone()
			mutate(r, s)
			out, err := d.Apply(s)
			if err != nil {
				refused++
				continue
			}
			text := written(t, out)
			again := read(t, text, file)
			require.Equal(t, struck(s), struck(again.Score()), "%s, round %d", filepath.Base(file), round)
			name := filepath.Join(dir, fmt.Sprintf("%d-%d.xml", i, round))
			require.NoError(t, os.WriteFile(name, plainXML(t, text), 0o600))
			orig := filepath.Join(dir, fmt.Sprintf("%d-%d-before.xml", i, round))
			require.NoError(t, os.WriteFile(orig, plainXML(t, data), 0o600))
			before, after = append(before, orig), append(after, name)
		}
	}
	assert.Less(t, refused, len(after)/5)
	valid := validate(t, append(slices.Clone(before), after...))
	for i := range after {
		if valid[before[i]] {
			assert.True(t, valid[after[i]], after[i])
		}
	}
}

// mutate takes out chords, puts in others, splits and merges durations.
func mutate(r *rand.Rand, s *score.Score) {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			if r.IntN(3) > 0 {
				continue
			}
			list := chords(m)
			for _, c := range list {
				switch {
				case c.Grace != score.NotGrace || c.Duration.IsZero() || tied(c) || len(c.Tuplets) > 0:
				case r.IntN(4) == 0: // split in two
					half := c.Duration.Mul(score.Q(1, 2))
					n := &score.Chord{Common: score.Common{Onset: c.Onset.Add(half), Staff: c.Staff}, Duration: half, Voice: c.Voice}
					for _, note := range c.Notes {
						n.Notes = append(n.Notes, &score.Note{Pitch: note.Pitch, Place: note.Place, Unpitched: note.Unpitched})
					}
					c.Duration, c.Value, c.WholeMeasure = half, score.NoteValue{}, false
					m.Events = append(m.Events, n)
				case r.IntN(6) == 0 && len(c.Notes) > 1: // one note of a chord less
					c.Notes = c.Notes[1:]
				}
			}
			m.SortEvents()
		}
	}
}

func tied(c *score.Chord) bool {
	for _, n := range c.Notes {
		if n.TieStart || n.TieStop || len(n.Techniques) > 0 {
			return true
		}
	}
	return false
}

// struck lists what is struck, part by part and bar by bar, tied pieces as
// one: pitch, place and time.
func struck(s *score.Score) (out []string) {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			var bar []string
			for c := range m.Chords() {
				for _, n := range c.Notes {
					if !n.TieStop {
						bar = append(bar, fmt.Sprint(c.Onset, " ", n.Pitch, n.Place, n.Unpitched))
					}
				}
			}
			slices.Sort(bar)
			out = append(out, fmt.Sprint(p.ID, " ", m.Number, " ", m.Length, " ", strings.Join(bar, ", ")))
		}
	}
	return out
}
