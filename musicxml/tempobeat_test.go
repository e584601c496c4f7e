package musicxml_test

import (
	"bytes"
	"fmt"
	"strconv"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
)

// The mark over the bar counts the beat of the metre, the sound quarter notes,
// and both say one speed. Source: MusicXML 4.0, <metronome> and the attribute
// tempo of <sound>; that 6/8, 9/8 and 12/8 beat dotted quarters is common
// practice.
func TestTempoOfBeats(t *testing.T) {
	for metre, beat := range map[[2]int]string{{4, 4}: "quarter", {3, 8}: "quarter", {7, 8}: "quarter", {2, 2}: "quarter",
		{6, 8}: "quarter.", {9, 8}: "quarter.", {12, 8}: "quarter.", {6, 16}: "eighth."} {
		quarters := map[string]float64{"quarter": 1, "quarter.": 1.5, "eighth.": 0.75}[beat]
		for _, said := range []float64{64, 63.5, 100} {
			length := score.Q(int64(4*metre[0]), int64(metre[1]))
			s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{{Number: "1", Length: length, Nominal: length, Events: []score.Event{
				&score.TimeSignature{Beats: []string{fmt.Sprint(metre[0])}, BeatTypes: []int{metre[1]}, Length: length},
				&score.Tempo{QuartersPerMinute: said * quarters},
				&score.Chord{Common: score.Common{Staff: 1}, Duration: length, Voice: 1, WholeMeasure: true}}}}}}}
			var b bytes.Buffer
			require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{}))
			doc := etree.NewDocument()
			require.NoError(t, doc.ReadFromBytes(b.Bytes()))
			mark := doc.FindElement("//metronome")
			got := mark.SelectElement("beat-unit").Text()
			for range mark.SelectElements("beat-unit-dot") {
				got += "."
			}
			assert.Equal(t, beat, got, "%v", metre)
			assert.Equal(t, strconv.FormatFloat(said, 'f', -1, 64), mark.SelectElement("per-minute").Text())
			assert.Equal(t, strconv.FormatFloat(said*quarters, 'f', -1, 64), doc.FindElement("//sound").SelectAttrValue("tempo", ""))
			assert.Equal(t, said*quarters, tempoOf(read(t, b.Bytes(), "beat.musicxml").Score()))
		}
	}
}

func tempoOf(s *score.Score) float64 {
	for n := range score.Preorder(s) {
		if e, ok := n.(*score.Tempo); ok {
			return e.QuartersPerMinute
		}
	}
	return 0
}
