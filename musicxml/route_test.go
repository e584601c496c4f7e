package musicxml

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// routed is a part of measures with one note each, and what stands before and
// after it.
func routed(bars ...[2]string) string {
	var b strings.Builder
	b.WriteString(`<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Guitar</part-name></score-part></part-list><part id="P1">`)
	for i, bar := range bars {
		fmt.Fprintf(&b, `<measure number="%d">`, i+1)
		if i == 0 {
			b.WriteString(`<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`)
		}
		fmt.Fprintf(&b, `%s<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type></note>%s</measure>`, bar[0], bar[1])
	}
	return b.String() + `</part></score-partwise>`
}

// What <sound>, <barline>, <segno/> and <coda/> say about the order of
// measures. Source: the documentation of the types sound, barline, segno and
// coda in the schema of MusicXML 4.0; that of two coda signs the first is where
// to leave is common practice.
func TestRoutes(t *testing.T) {
	direction := func(inside string) string { return "<direction>" + inside + "</direction>" }
	sign := func(s string) string { return "<direction-type>" + s + "</direction-type>" }
	for _, c := range []struct {
		name string
		bars [][2]string
		want []score.Route
	}{
		{"sound alone", [][2]string{{`<sound segno="a"/>`, ""}, {`<sound coda="b"/>`, `<sound dalsegno="a"/>`}, {"", `<sound tocoda="b"/>`}, {"", `<sound fine="yes" dacapo="yes"/>`}},
			[]score.Route{{Segno: "a"}, {Coda: "b", DalSegno: "a"}, {ToCoda: "b"}, {Fine: true, DaCapo: true}}},
		{"in directions", [][2]string{{direction(sign("<segno/>") + `<sound segno="a"/>`), ""}, {"", direction(sign("<words>D.S.</words>") + `<sound dalsegno="a"/>`)}},
			[]score.Route{{Segno: "a"}, {DalSegno: "a"}}},
		{"a final duration", [][2]string{{"", `<sound fine="8"/>`}, {`<sound forward-repeat="yes"/>`, ""}}, []score.Route{{Fine: true}, {ForwardRepeat: true}}},
		{"signs alone", [][2]string{{direction(sign("<segno/>")), ""}, {"", direction(sign("<coda/>"))}, {direction(sign("<coda/>")), ""}},
			[]score.Route{{Segno: "segno"}, {ToCoda: "coda"}, {Coda: "coda"}}},
		{"one sign and words", [][2]string{{direction(sign("<words>To</words>") + sign("<coda/>")), ""}, {direction(sign("<coda/>")), ""}}, []score.Route{{ToCoda: "coda"}, {Coda: "coda"}}},
		{"one sign", [][2]string{{"", ""}, {direction(sign("<coda/>")), ""}}, []score.Route{{}, {Coda: "coda"}}},
		{"behind the notes", [][2]string{{"", `<sound segno="a"/>`}, {"", ""}}, []score.Route{{}, {Segno: "a"}}},
		{"bar lines", [][2]string{{`<barline location="left" segno="a"><segno/></barline>`, ""}, {"", `<barline location="right" coda="b"><coda/></barline>`}, {"", ""}},
			[]score.Route{{Segno: "a"}, {}, {Coda: "b"}}},
		{"nothing", [][2]string{{`<sound tempo="90"/>`, `<sound dacapo="no" fine="no"/>`}}, []score.Route{{}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := routed(c.bars...)
			d, err := Read(strings.NewReader(text), "x.musicxml", score.ReadOptions{})
			require.NoError(t, err)
			var got []score.Route
			for _, m := range d.Score().Parts[0].Measures {
				got = append(got, m.Route)
			}
			assert.Equal(t, c.want, got)

			// the same again from a new file
			var buf bytes.Buffer
			require.NoError(t, Write(&buf, d.Score(), score.WriteOptions{}))
			again, err := Read(&buf, "y.musicxml", score.ReadOptions{})
			require.NoError(t, err)
			got = nil
			for _, m := range again.Score().Parts[0].Measures {
				got = append(got, m.Route)
			}
			assert.Equal(t, c.want, got)
		})
	}
}

// The way on cannot be changed in place; that is said, with the bar, and not
// passed over. A bar that keeps it may lose its music.
func TestChangedRoutesAreRefused(t *testing.T) {
	d, err := Read(strings.NewReader(routed([2]string{`<sound segno="a"/>`, ""}, [2]string{"", `<sound dalsegno="a"/>`})), "x.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	s := d.Score().Clone()
	s.Parts[0].Measures[1].Route = score.Route{Fine: true}
	_, err = d.Apply(s)
	var errs score.Diagnostics
	require.ErrorAs(t, err, &errs)
	require.Len(t, errs, 1)
	assert.Equal(t, "x.musicxml", errs[0].Pos.File)
	assert.Contains(t, errs[0].Msg, "measure 2: the way on from it")

	s = d.Score().Clone()
	m := s.Parts[0].Measures[1]
	m.Events = []score.Event{&score.Chord{Duration: m.Length, Voice: 1, WholeMeasure: true, Common: score.Common{Staff: 1}}}
	out, err := d.Apply(s)
	require.NoError(t, err)
	assert.Equal(t, score.Route{DalSegno: "a"}, out.Score().Parts[0].Measures[1].Route)
}
