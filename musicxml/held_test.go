package musicxml_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// heldScore makes a piece for a neck in which notes last for any number of
// sixteenths, or of triplet sixteenths, that the metre has room for: five
// sixteenths, seven eighths, thirteen of a triplet. Most need several tied
// values.
func heldScore(r *rand.Rand, beats, beatType int) *score.Score {
	presets := fretboard.Presets()
	neck := fretboard.Neck{Tuning: presets[r.IntN(len(presets))].Tuning, Capo: r.IntN(3), Frets: 22}
	length := score.Q(int64(4*beats), int64(beatType))
	p := &score.Part{ID: "P1", Name: "Guitar", Staves: 1}
	for bar := range 3 {
		m := &score.Measure{Number: fmt.Sprint(bar + 1), Length: length, Nominal: length}
		if bar == 0 {
			m.Events = append(m.Events, &score.KeySignature{Key: theory.KeyOf(r.IntN(15)-7, theory.Major), ModeSaid: true},
				&score.TimeSignature{Beats: []string{fmt.Sprint(beats)}, BeatTypes: []int{beatType}, Length: length},
				&score.NeckChange{Common: score.Common{Staff: 1}, Neck: neck})
		}
		unit := pick(r, score.Q(1, 4), score.Q(1, 4), score.Q(1, 6), score.Q(1, 8))
		for at := (score.Quarters{}); at.Less(length); {
			d := unit.Mul(score.Q(int64(1+r.IntN(29)), 1))
			if left := length.Sub(at); left.Less(d) {
				d = left
			}
			c := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: d, Voice: 1}
			for i, str := range r.Perm(neck.Tuning.Len())[:pick(r, 1, 1, 2)] {
				n := &score.Note{Place: fretboard.Place{String: str + 1, Fret: r.IntN(15)}}
				n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
				if i > 0 && n.Pitch.MIDI() == c.Notes[0].Pitch.MIDI() {
					continue
				}
				if r.IntN(4) == 0 {
					n.Techniques = append(n.Techniques, pick[score.Technique](r, score.Vibrato, score.Bend{Amount: score.Q(2, 1)}))
				}
				c.Notes = append(c.Notes, n)
			}
			m.Events = append(m.Events, c)
			at = at.Add(d)
		}
		p.Measures = append(p.Measures, m)
	}
	return &score.Score{Title: "Long notes", Parts: []*score.Part{p}}
}

// lasting lists what is struck, for how long and where: notes that are tied to
// from before lengthen those that they are tied to, and must be at their place.
func lasting(t testing.TB, s *score.Score) (out []string) {
	t.Helper()
	type note struct {
		at, dur score.Quarters
		place   fretboard.Place
		pitch   theory.Pitch
	}
	var list []*note
	bar := score.Quarters{}
	for _, m := range s.Parts[0].Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				at := bar.Add(c.Onset)
				joined := false
				for _, o := range list {
					if n.TieStop && o.pitch == n.Pitch && o.at.Add(o.dur) == at {
						assert.Equal(t, o.place, n.Place, "a held note stays at its place")
						o.dur, joined = o.dur.Add(c.Duration), true
					}
				}
				if !joined {
					list = append(list, &note{at, c.Duration, n.Place, n.Pitch})
				}
			}
		}
		bar = bar.Add(m.Length)
	}
	for _, n := range list {
		out = append(out, fmt.Sprintf("%v+%v %v string %d fret %d", n.at, n.dur, n.pitch, n.place.String, n.place.Fret))
	}
	return out
}

var heldMetres = [][2]int{{4, 4}, {3, 4}, {2, 4}, {6, 8}, {9, 8}, {12, 8}, {5, 4}, {7, 8}, {2, 2}, {5, 8}, {11, 16}}

// Long notes are written in tied values, and what is read is the same music at
// the same places. The file is also looked at as XML, without our reader: in
// the tab staff every note of a tie says the string and fret of the first.
// Source: MusicXML 4.0, where <technical> of a note holds its string and fret,
// and <tie> joins notes of one pitch.
func TestEveryTiedNoteHasItsPlace(t *testing.T) {
	most, tied := 0, 0
	for _, metre := range heldMetres {
		for seed := range uint64(12) {
			s := heldScore(rand.New(rand.NewPCG(seed, uint64(metre[0]*100+metre[1]))), metre[0], metre[1])
			var b bytes.Buffer
			require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { t.Errorf("%v", d) }}))
			doc := etree.NewDocument()
			require.NoError(t, doc.ReadFromBytes(b.Bytes()))
			chain := map[string][]string{} // by pitch: string, fret and length so far
			for _, n := range doc.FindElements("//note[staff='2']") {
				pitch := n.SelectElement("pitch")
				if pitch == nil {
					continue
				}
				key := pitch.SelectElement("step").Text() + pitch.SelectElement("octave").Text()
				if a := pitch.SelectElement("alter"); a != nil {
					key += a.Text()
				}
				str, fret := n.FindElement("notations/technical/string"), n.FindElement("notations/technical/fret")
				require.NotNil(t, str, "%v seed %d: a note of the tab says no string\n%s", metre, seed, b.String())
				require.NotNil(t, fret)
				place := str.Text() + "/" + fret.Text()
				if n.FindElement("tie[@type='stop']") != nil {
					require.NotEmpty(t, chain[key])
					assert.Equal(t, chain[key][0], place, "%v seed %d", metre, seed)
					chain[key] = append(chain[key], place)
					most = max(most, len(chain[key]))
					tied++
				} else {
					chain[key] = []string{place}
				}
			}
			d, err := musicxml.Read(bytes.NewReader(b.Bytes()), "written", score.ReadOptions{Report: func(d score.Diagnostic) { t.Errorf("%v", d) }})
			require.NoError(t, err)
			require.Equal(t, lasting(t, s), lasting(t, d.Score()), "%v seed %d", metre, seed)
		}
	}
	assert.GreaterOrEqual(t, most, 4, "values of one note")
	assert.Greater(t, tied, 300)
}

// A tab that shows a held note once, or its later values without a number, is
// read with all of them at one place; taking it up again changes no byte, and
// what moves as a whole is read back as it was applied.
func TestHeldNotesTakeTheirPlace(t *testing.T) {
	for _, metre := range heldMetres {
		for seed := range uint64(6) {
			s := heldScore(rand.New(rand.NewPCG(seed, 77+uint64(metre[0]*100+metre[1]))), metre[0], metre[1])
			var b bytes.Buffer
			require.NoError(t, musicxml.Write(&b, s, score.WriteOptions{}))
			doc := etree.NewDocument()
			require.NoError(t, doc.ReadFromBytes(b.Bytes()))
			for _, n := range doc.FindElements("//note[staff='2']") {
				if n.FindElement("tie[@type='stop']") == nil {
					continue
				}
				technical := n.FindElement("notations/technical")
				for _, e := range technical.ChildElements() {
					if e.Tag == "string" || e.Tag == "fret" {
						technical.RemoveChild(e)
					}
				}
				if len(technical.ChildElements()) == 0 {
					technical.Parent().RemoveChild(technical)
				}
			}
			bare, err := doc.WriteToBytes()
			require.NoError(t, err)
			d, err := musicxml.Read(bytes.NewReader(bare), "bare", score.ReadOptions{Report: func(d score.Diagnostic) { t.Errorf("%v", d) }})
			require.NoError(t, err)
			require.Equal(t, lasting(t, s), lasting(t, d.Score()), "%v seed %d", metre, seed)

			same, err := d.Apply(d.Score().Clone())
			require.NoError(t, err)
			assert.Equal(t, string(bare), string(written(t, same)))

			up := d.Score().Clone()
			for n := range score.Notes(up) {
				n.Place.Fret++
				n.Pitch = n.Pitch.Transpose(theory.Interval{Steps: 0, Semitones: 1})
			}
			moved, err := d.Apply(up)
			require.NoError(t, err)
			again, err := musicxml.Read(bytes.NewReader(written(t, moved)), "moved", score.ReadOptions{})
			require.NoError(t, err)
			require.Equal(t, lasting(t, up), lasting(t, again.Score()), "%v seed %d", metre, seed)
			assert.Equal(t, strings.Count(string(bare), "<fret>"), strings.Count(string(written(t, moved)), "<fret>"), "what the page leaves out stays out")
		}
	}
}

// From tab to MusicXML and back nothing is lost of a long last note.
func TestTabToMusicXMLKeepsLongNotes(t *testing.T) {
	for _, metre := range heldMetres {
		for seed := range uint64(6) {
			s := heldScore(rand.New(rand.NewPCG(seed, 5+uint64(metre[0]*100+metre[1]))), metre[0], metre[1])
			var tab bytes.Buffer
			require.NoError(t, tabtext.Write(&tab, s, score.WriteOptions{}))
			doc, err := tabtext.Read(bytes.NewReader(tab.Bytes()), "long.tab", score.ReadOptions{})
			require.NoError(t, err)
			var b bytes.Buffer
			require.NoError(t, musicxml.Write(&b, doc.Score(), score.WriteOptions{}))
			d, err := musicxml.Read(bytes.NewReader(b.Bytes()), "written", score.ReadOptions{})
			require.NoError(t, err)
			require.Equal(t, lasting(t, doc.Score()), lasting(t, d.Score()), "%v seed %d\n%s", metre, seed, tab.String())
		}
	}
}
