package prove

import (
	"encoding/hex"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The worked example of the Standard MIDI Files 1.0 specification, in format 0
// with running status (from memory).
const exampleMIDI = "4d546864 00000006 0000 0001 0060 4d54726b 0000003b" +
	"00ff580404021808 00ff510307a120 00c005 00c12e 00c246 00923060 003c60 60914340 60904c20 8140823040 003c40 00814340 00804c40 00ff2f00"

func TestReadMIDIFile(t *testing.T) {
	data, err := hex.DecodeString(strings.ReplaceAll(exampleMIDI, " ", ""))
	require.NoError(t, err)
	f, wrong := readMIDIFile(data)
	require.Empty(t, wrong)
	assert.EqualValues(t, 96, f.division)
	assert.EqualValues(t, 384, f.end)
	require.Len(t, f.tracks, 1)
	assert.Equal(t, []midiNote{{2, 48, 0, 384}, {2, 60, 0, 384}, {1, 67, 96, 384}, {0, 76, 192, 384}}, f.tracks[0].notes)

	require.EqualValues(t, 48, data[48], "the first key")
	for offset, says := range map[int]string{3: "no Standard MIDI File", 9: "format", 12: "parts of quarter notes", 48: "key 48 of channel 3 ends and does not sound"} {
		bad := append([]byte{}, data...)
		if bad[offset] ^= 0x82; offset == 48 {
			bad[offset] = 49
		}
		_, wrong := readMIDIFile(bad)
		require.NotEmpty(t, wrong, offset)
		assert.Contains(t, strings.Join(wrong, "\n"), says, offset)
	}
}

// onePhrase is an A, a C and an A with E below it on a guitar.
func onePhrase() *score.Score {
	neck := fretboard.Guitar()
	p := &score.Part{ID: "P1", Staves: 1}
	m := &score.Measure{Number: "1", Length: score.Q(4, 1), Nominal: score.Q(4, 1), Events: []score.Event{&score.NeckChange{Neck: neck}}}
	for i, places := range [][]fretboard.Place{{{String: 3, Fret: 2}}, {{String: 2, Fret: 1}}, {{String: 3, Fret: 2}, {String: 4, Fret: 2}}} {
		c := &score.Chord{Common: score.Common{Onset: score.Q(int64(i), 1), Staff: 1}, Duration: score.Q(1, 1), Voice: 1}
		for _, at := range places {
			c.Notes = append(c.Notes, &score.Note{Place: at, Pitch: theory.SpellIn(theory.Key{}, neck.Stopped(at))})
		}
		m.Events = append(m.Events, c)
	}
	p.Measures = []*score.Measure{m}
	return &score.Score{Parts: []*score.Part{p}}
}

// A page that was written by hand, as render/handout documents it.
func TestPrintedHTML(t *testing.T) {
	page := `<!DOCTYPE html><html><head><meta charset="utf-8"><title>x</title></head><body>
<section class="piece" id="section-1"><h2>A minor</h2><svg class="tab system">
<text data-string="2" class="fret" x="10 12 40" y="20"><tspan class="string-name">B</tspan> 1</text>
<text data-string="3" class="fret" x="10 12 30 35 50" y="31"><tspan class="string-name">G</tspan> 2 2</text>
<text data-string="4" class="fret" x="10 12 50" y="42"><tspan class="string-name">D</tspan> 2</text>
</svg></section></body></html>`
	none, up := 0, 2
	same := []Version{{Of: onePhrase(), Semitones: &none, Exact: true}}
	got := PrintedHTML([]byte(page), same)
	assert.Empty(t, got.Faults)
	assert.Equal(t, 4, got.Notes)
	assert.Empty(t, PrintedHTML([]byte(page), []Version{{Heading: "A minor", Of: onePhrase()}}).Faults)
	for from, to := range map[string]string{
		"> 1<": "> 2<", `"10 12 30 35 50"`: `"10 12 45 47 50"`, `>B<`: `>C<`, "> 2 2<": "> 2<", "> 2<": "> 2 3<",
		`class="piece"`: `class="other"`, "y=": "y",
	} {
		require.Contains(t, page, from)
		assert.NotEmpty(t, PrintedHTML([]byte(strings.Replace(page, from, to, 1)), same).Faults, "%s for %s", to, from)
	}
	assert.NotEmpty(t, PrintedHTML([]byte(page), []Version{{Of: onePhrase(), Semitones: &up}}).Faults)
	assert.NotEmpty(t, PrintedHTML([]byte(page), []Version{{Heading: "B minor", Of: onePhrase()}}).Faults)
	assert.NotEmpty(t, PrintedHTML([]byte(page), nil).Unproved, "nothing is promised, and that is said")
}

// No bytes make the readers fail otherwise than by saying so.
func FuzzWritten(f *testing.F) {
	data, err := hex.DecodeString(strings.ReplaceAll(exampleMIDI, " ", ""))
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte(`<section class="piece"><h2>x</h2><svg class="tab wide"><text data-string="1" x="1 2" y="3">5 (7) <tspan data-notes="2">&lt;12&gt;</tspan></text></svg></section>`))
	s := onePhrase()
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, proof := range []Proof{PlayedMIDI(data, []Version{{Of: s}}), PrintedHTML(data, []Version{{Of: s}})} {
			if len(proof.Faults) == 0 {
				assert.Positive(t, proof.Notes+len(proof.Unproved), "nothing wrong and nothing proved")
			}
		}
	})
}
