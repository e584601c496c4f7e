package musicxml_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
)

// labelled puts labels on every note of a clone.
func labelled(d *musicxml.Document) *score.Score {
	s := d.Score().Clone()
	i := 0
	for n := range score.Notes(s) {
		i++
		n.Annotations = append(n.Annotations, score.Annotation{Kind: "degree", Text: fmt.Sprintf("b%d", i%7+1)},
			score.Annotation{Kind: "chord tone", Text: "R", Color: []string{"", "#12AB9F", "#445566"}[i%3]})
	}
	s.Legend = []string{"degree: a & b < c", "colour: R teal"}
	return s
}

// TestLabels: labels, colours and the legend are put on in place and read back, a file that was valid
// stays so, and taking them off gives the file as it was, byte for byte.
func TestLabels(t *testing.T) {
	dir := t.TempDir()
	var before, after []string
	for _, file := range corpus(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d := read(t, data, file)
		out, err := d.Apply(labelled(d))
		require.NoError(t, err)
		text := written(t, out)
		again := read(t, text, file)
		require.Equal(t, music(labelled(d)), music(again.Score()), file)
		require.Equal(t, labelled(d).Legend, again.Score().Legend, file)
		clear := again.Score().Clone()
		for n := range score.Notes(clear) {
			n.Annotations = nil
		}
		clear.Legend = nil
		off, err := again.Apply(clear)
		require.NoError(t, err)
		require.Equal(t, string(plainXML(t, data)), string(plainXML(t, written(t, off))), file)

		name := filepath.Join(dir, filepath.Base(file)+".xml")
		require.NoError(t, os.WriteFile(name, plainXML(t, text), 0o600))
		orig := filepath.Join(dir, "before "+filepath.Base(file)+".xml")
		require.NoError(t, os.WriteFile(orig, plainXML(t, data), 0o600))
		before, after = append(before, orig), append(after, name)
	}
	valid := validate(t, append(append([]string{}, before...), after...))
	for i := range after {
		if valid[before[i]] {
			assert.True(t, valid[after[i]], after[i])
		}
	}
}

// TestLabelsReadFromTop: the labels of a chord stand with its first note, that
// of the highest note first, below what is sung.
func TestLabelsReadFromTop(t *testing.T) {
	const file = `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">` +
		`<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><lyric number="1"><text>la</text></lyric></note>` +
		`<note><chord/><pitch><step>E</step><octave>4</octave></pitch><duration>1</duration></note></measure></part></score-partwise>`
	d := read(t, []byte(file), "chord")
	s := d.Score().Clone()
	for n := range score.Notes(s) {
		n.Annotations = []score.Annotation{{Kind: "degree", Text: map[string]string{"C4": "1", "E4": "3"}[n.Pitch.String()]}}
	}
	out, err := d.Apply(s)
	require.NoError(t, err)
	assert.Contains(t, string(written(t, out)), `<lyric number="1"><text>la</text></lyric>`+
		`<lyric number="2" name="lickwright degree"><text>3</text></lyric><lyric number="3" name="lickwright degree 2"><text>1</text></lyric></note>`)
	var b bytes.Buffer
	require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{}))
	assert.Equal(t, 3, strings.Count(b.String(), "<lyric "))
	assert.Equal(t, comparable(s), comparable(read(t, b.Bytes(), "new").Score()))
}

// TestHeadColors: noteheads get colours and give them back exactly, whatever
// notehead was there; a note with a colour of its own keeps it.
func TestHeadColors(t *testing.T) {
	head := `<score-partwise><defaults><page-layout><page-height>1600</page-height><page-width>1200</page-width><page-margins><left-margin>70</left-margin><right-margin>70</right-margin><top-margin>80</top-margin><bottom-margin>90</bottom-margin></page-margins></page-layout></defaults>` +
		`<part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">`
	const tail = `</measure></part></score-partwise>`
	for _, tc := range []struct{ was, now, lyric string }{
		{``, `<notehead color="#445566">normal</notehead>`, "#445566"},
		{`<notehead>normal</notehead>`, `<notehead color="#445566">normal</notehead>`, "#FF445566"},
		{`<notehead parentheses="yes" font-size='7'>diamond</notehead>`, `<notehead color="#445566" parentheses="yes" font-size='7'>diamond</notehead>`, "#FF445566"},
		{`<notehead color="#FF0000">normal</notehead>`, `<notehead color="#FF0000">normal</notehead>`, "#FE445566"},
		{`<notehead color="#445566">normal</notehead>`, `<notehead color="#445566">normal</notehead>`, "#FE445566"},
	} {
		file := head + `<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration>` + tc.was + `</note>` + tail
		var said []string
		d, err := musicxml.Read(strings.NewReader(file), "heads", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }})
		require.NoError(t, err)
		color := func(s *score.Score, rgb string) *score.Score {
			s = s.Clone()
			for n := range score.Notes(s) {
				n.Annotations = []score.Annotation{{Kind: "chord-tone", Text: "R", Color: rgb}}
			}
			s.Legend = []string{"one", "two"}
			return s
		}
		on, err := d.Apply(color(d.Score(), "#445566"))
		require.NoError(t, err)
		text := string(written(t, on))
		assert.Contains(t, text, tc.now+`<lyric number="1" name="lickwright chord-tone" color="`+tc.lyric+`"><text>R</text></lyric></note>`)
		assert.Contains(t, text, `</defaults><credit page="1"><credit-type>lickwright legend</credit-type><credit-words default-x="70" default-y="106" font-size="8" justify="left" valign="bottom">one</credit-words></credit>`)
		assert.Equal(t, strings.HasPrefix(tc.lyric, "#FE"), slices.Contains(said, "xml-own-colour"))

		again := read(t, []byte(text), "heads")
		assert.Equal(t, "#445566", again.Score().Parts[0].Measures[0].Events[0].(*score.Chord).Notes[0].Annotations[0].Color)
		other, err := again.Apply(color(again.Score(), "#0000FF"))
		require.NoError(t, err)
		assert.Contains(t, string(written(t, other)), strings.ReplaceAll(tc.lyric, "445566", "0000FF"))
		for _, d := range []*musicxml.Document{again, read(t, written(t, other), "heads")} {
			clear := d.Score().Clone()
			for n := range score.Notes(clear) {
				n.Annotations = nil
			}
			clear.Legend = nil
			off, err := d.Apply(clear)
			require.NoError(t, err)
			assert.Equal(t, file, string(written(t, off)))
		}
	}
}
