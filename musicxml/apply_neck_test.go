package musicxml_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

const twoEighths = `<?xml version="1.0"?>
<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>Tune</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1">
      <attributes>
        <divisions>2</divisions>
        <time><beats>1</beats><beat-type>4</beat-type></time>
        <clef><sign>G</sign><line>2</line></clef>
      </attributes>
      <note><pitch><step>D</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>eighth</type><stem>up</stem></note>
      <note><pitch><step>A</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>eighth</type><stem>up</stem></note>
    </measure>
  </part>
</score-partwise>
`

// fingeredOn gives the notes of a score the lowest places of a neck that the
// score does not name.
func fingeredOn(s *score.Score, n fretboard.Neck) *score.Score {
	c := s.Clone()
	m := c.Parts[0].Measures[0]
	m.Events = append([]score.Event{&score.NeckChange{Common: score.Common{Staff: 1}, Neck: n, Inferred: true}}, m.Events...)
	for note := range score.Notes(c) {
		note.Place = n.Places(note.Pitch.MIDI())[0]
	}
	return c
}

// Notation that gets strings and frets gets the tuning with them, unless it is
// the one that everybody takes for granted.
func TestApplyWritesTheTuningOfNewPlaces(t *testing.T) {
	dadgad, ok := fretboard.PresetByName("dadgad")
	require.True(t, ok)
	for _, tt := range []struct {
		neck  fretboard.Neck
		wants bool
	}{
		{fretboard.Guitar(), false},
		{fretboard.Neck{Tuning: dadgad.Tuning, Frets: 22}, true},
		{fretboard.Neck{Tuning: fretboard.Standard(), Frets: 22, Capo: 2}, true},
	} {
		doc := read(t, []byte(twoEighths), "tune.musicxml")
		s := fingeredOn(doc.Score(), tt.neck)
		applied, err := doc.Apply(s)
		require.NoError(t, err)
		text := written(t, applied)
		assert.Equal(t, tt.wants, strings.Contains(string(text), "<staff-details>"))
		assert.NotContains(t, string(text), "<beam", "the rhythm stays as it stood")
		again := read(t, text, "tune.musicxml")
		for n := range score.Preorder(again.Score()) {
			if c, ok := n.(*score.NeckChange); ok {
				assert.True(t, c.Neck.Tuning.Sounds(tt.neck.Tuning), "%s", c.Neck.Tuning)
				assert.Equal(t, tt.neck.Capo, c.Neck.Capo)
			}
		}
		var want, got []fretboard.Place
		for n := range score.Notes(s) {
			want = append(want, n.Place)
		}
		for n := range score.Notes(again.Score()) {
			got = append(got, n.Place)
		}
		assert.Equal(t, want, got)
	}
}

// What is put in at one place stands in the order of the schema. Source: the
// MusicXML 4.0 schema, in which beams stand before notations.
func TestWhatIsPutInStandsInOrder(t *testing.T) {
	// The file beams its notes, so the new ones are beamed too.
	const stem = "<stem>up</stem>"
	beamed := strings.Replace(twoEighths, stem, stem+`<beam number="1">begin</beam>`, 1)
	last := strings.LastIndex(beamed, stem) + len(stem)
	beamed = beamed[:last] + `<beam number="1">end</beam>` + beamed[last:]
	doc := read(t, []byte(beamed), "tune.musicxml")
	s := fingeredOn(doc.Score(), fretboard.Guitar())
	// Another rhythm: the bar is put together anew, with beams.
	m := s.Parts[0].Measures[0]
	sixteenth := score.Q(1, 4)
	k := int64(0)
	for c := range m.Chords() {
		c.Onset, c.Duration = score.Q(k, 4), sixteenth
		c.Value = score.NoteValue{Log: 4, Known: true}
		k++
	}
	rest := &score.Chord{Duration: score.Q(1, 2), Voice: 1}
	rest.Onset, rest.Staff = score.Q(1, 2), 1
	m.Events = append(m.Events, rest)
	applied, err := doc.Apply(s)
	require.NoError(t, err)
	text := string(written(t, applied))
	both := 0
	for note := range strings.SplitSeq(text, "<note>") {
		if beam, notations := strings.Index(note, "<beam"), strings.Index(note, "<notations"); beam >= 0 && notations >= 0 {
			assert.Less(t, beam, notations, "%s", note)
			both++
		}
	}
	assert.Positive(t, both)
	_, err = musicxml.Read(strings.NewReader(text), "tune.musicxml", score.ReadOptions{})
	require.NoError(t, err)
}
