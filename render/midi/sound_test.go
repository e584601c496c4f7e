package midi_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/render/midi"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
)

func tab(t testing.TB, text string) *score.Score {
	t.Helper()
	d, err := tabtext.Read(strings.NewReader(text), "x.tab", score.ReadOptions{})
	require.NoError(t, err)
	return d.Score()
}

// wheel gives the pitch wheel of a channel at a tick, in semitones by the range
// that the file itself states with registered parameter 0.
func wheel(t *testing.T, p played, channel, tick int64) float64 {
	t.Helper()
	sensitivity, value, parameter := 2.0, 0.0, [2]float64{127, 127} // 2 semitones if nothing is said: General MIDI 1
	for _, e := range p.Events {
		if e["channel"] != float64(channel) || int64(e["tick"].(float64)) > tick {
			continue
		}
		switch e["type"] {
		case "controller":
			switch v := e["value"].(float64); e["controllerType"].(float64) {
			case 101:
				parameter[0] = v
			case 100:
				parameter[1] = v
			case 6:
				if parameter == [2]float64{0, 0} {
					sensitivity = v
				}
			}
		case "pitchBend":
			value = e["value"].(float64)
		}
	}
	return value / 8192 * sensitivity
}

// Bends reach their target in the first quarter of the note and leave it in
// the second half; each string moves alone. The wheel is 14 bits around 8192, its
// range is registered parameter 0 (MIDI 1.0 Detailed Specification).
func TestBendsAreHeard(t *testing.T) {
	s := tab(t, `Time: 4/4
Tempo: 60

e|-----------------------------------|
B|-8b10r8----------------------------|
G|-------------------7b9-------------|
D|-7-------------------------5/7-----|
   1       2       3       4   &
`)
	p := play(t, write(t, s, score.Sound{}))[0]
	q := int64(p.Division)
	at := func(channel, tick int64) float64 { return wheel(t, p, channel, tick) }
	assert.InDelta(t, 0, at(1, 0), 0.01)
	assert.InDelta(t, 2, at(1, q/2), 0.02, "at its target")
	assert.InDelta(t, 0, at(1, 2*q-1), 0.02, "and back")
	assert.Zero(t, at(3, q/2), "the string beside it does not move")
	assert.InDelta(t, 2, at(2, 3*q), 0.02)
	slide := at(3, 7*q/2-1)
	assert.Greater(t, slide, 1.5, "a slide arrives as its next note begins")
	assert.InDelta(t, 0, at(3, 7*q/2), 0.01, "which is in tune")
}

// Vibrato swings around the note and comes back.
func TestVibratoIsHeard(t *testing.T) {
	s := tab(t, "Tempo: 60\n\ne|-5~--------------|\nB|---------------5-|\nG|-----------------|\n")
	p := play(t, write(t, s, score.Sound{}))[0]
	low, high := 0.0, 0.0
	for _, e := range p.Events {
		if e["type"] == "pitchBend" {
			v := e["value"].(float64) / 8192 * midi.BendRange
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	assert.InDelta(t, -0.3, low, 0.03)
	assert.InDelta(t, 0.3, high, 0.03)
}

const riff = `Time: 4/4
Tempo: 120

   Am              N.C.
e|-----------------|-----------------|
B|-----------------|-----------------|
G|-5-7-5-7-8-5-----|-5---------------|
   1 & 2 & 3 &       1
`

func keys(p played, channel int64) (on []int64) {
	for _, n := range p.Notes {
		if n[1] == channel {
			on = append(on, n[3])
		}
	}
	slices.Sort(on)
	return on
}

// Swing moves the second eighth note of each quarter and nothing else.
func TestSwing(t *testing.T) {
	s := tab(t, riff)
	all := play(t, write(t, s, score.Sound{}), write(t, s, score.Sound{Swing: score.Q(2, 3)}))
	q := int64(all[0].Division)
	assert.Equal(t, []int64{0, q / 2, q, 3 * q / 2, 2 * q, 5 * q / 2, 4 * q}, keys(all[0], 2))
	assert.Equal(t, []int64{0, 2 * q / 3, q, 5 * q / 3, 2 * q, 8 * q / 3, 4 * q}, keys(all[1], 2))
	assert.Equal(t, all[0].Ends, all[1].Ends)
}

// A count-in goes before the music, clicks go along, repetition follows.
func TestCountInClicksAndLoop(t *testing.T) {
	s := tab(t, riff)
	all := play(t, write(t, s, score.Sound{CountIn: 1, Click: true, Loop: 3}), write(t, s, score.Sound{CountIn: 2}))
	q := int64(all[0].Division)
	for _, end := range all[0].Ends {
		assert.Equal(t, (4+3*8)*q, end)
	}
	clicks := keys(all[0], 9)
	var want []int64
	for i := range int64(4 + 3*8) {
		want = append(want, i*q)
	}
	assert.Equal(t, want, clicks)
	notes := keys(all[0], 2)
	assert.Len(t, notes, 21)
	assert.Equal(t, 4*q, notes[0])
	assert.Equal(t, 12*q, notes[7])
	assert.Len(t, keys(all[1], 9), 8, "without clicks only the count")
}

// The bar of a pickup is counted up to it.
func TestCountInBeforeAPickup(t *testing.T) {
	s := tab(t, "Time: 4/4\nTempo: 90\n\ne|-5-|-7---8---5---3---|\nB|---|-----------------|\nG|---|-----------------|\n   4   1   2   3   4\n")
	p := play(t, write(t, s, score.Sound{CountIn: 1}))[0]
	q := int64(p.Division)
	assert.Len(t, keys(p, 9), 7)
	assert.Equal(t, []int64{7 * q, 8 * q, 9 * q, 10 * q, 11 * q}, keys(p, 0))
}

// The backing holds each chord until the next, and is silent for no chord. Am
// is A C E: common practice.
func TestBacking(t *testing.T) {
	p := play(t, write(t, tab(t, riff), score.Sound{Chords: true}))[0]
	q := int64(p.Division)
	classes := map[int64]bool{}
	for _, n := range p.Notes {
		if n[1] == 15 {
			classes[n[2]%12] = true
			assert.Equal(t, [2]int64{0, 4 * q}, [2]int64{n[3], n[4]})
		}
	}
	assert.Equal(t, map[int64]bool{9: true, 0: true, 4: true}, classes)
}

// A repeat is played out: the file of |:A:| B is that of A A B.
func TestRepeatsArePlayedOut(t *testing.T) {
	const rows = "e|%s\nB|%s\nG|%s\n"
	short := tab(t, "Time: 4/4\nTempo: 90\n\n"+fmt.Sprintf(rows, "|:-5---7---8---7---:||-3---------------|", "|:-----------------:||-----------------|", "|:-----------------:||-----------------|"))
	long := tab(t, "Time: 4/4\nTempo: 90\n\n"+fmt.Sprintf(rows, "-5---7---8---7---|-5---7---8---7---|-3---------------|", strings.Repeat("-----------------|", 3), strings.Repeat("-----------------|", 3)))
	all := play(t, write(t, short, score.Sound{}), write(t, long, score.Sound{}))
	assert.Equal(t, all[1].Notes, all[0].Notes)
	assert.Equal(t, all[1].Ends, all[0].Ends)
}

// Tempo, metre, key and names stand in the file; a tempo that is asked for
// scales all of them.
func TestWhatTheFileSays(t *testing.T) {
	s := tab(t, "Title: Stairs\nKey: Eb\nTime: 6/8\nTempo: 90\n\n                     tempo:120;key:C-minor\ne|-5---7---8---5---7---8---|-5-----------------------|\nB|-------------------------|-------------------------|\nG|-------------------------|-------------------------|\n")
	s = s.Clone()
	s.Parts[0].Name = "Lead"
	all := play(t, write(t, s, score.Sound{}), write(t, s, score.Sound{Tempo: 45}))
	find := func(p played, kind string) (out []map[string]any) {
		for _, e := range p.Events {
			if e["type"] == kind {
				out = append(out, e)
			}
		}
		return out
	}
	names := find(all[0], "trackName")
	require.Len(t, names, 2)
	assert.Equal(t, "Stairs", names[0]["text"])
	assert.Equal(t, "Lead", names[1]["text"])
	metre := find(all[0], "timeSignature")
	require.Len(t, metre, 1)
	assert.Equal(t, 6.0, metre[0]["numerator"])
	assert.Equal(t, 8.0, metre[0]["denominator"])
	assert.Equal(t, 36.0, metre[0]["metronome"], "MIDI clocks of a dotted quarter")
	key := find(all[0], "keySignature")
	require.Len(t, key, 2)
	assert.Equal(t, []any{-3.0, 0.0}, []any{key[0]["key"], key[0]["scale"]})
	assert.Equal(t, []any{-3.0, 1.0}, []any{key[1]["key"], key[1]["scale"]})
	// A tempo that names no note counts the beats, here dotted quarters; MIDI and
	// what is asked for count quarter notes (SMF 1.0, FF 51).
	for i, want := range [][]float64{{60e6 / 135, 60e6 / 180}, {60e6 / 45, 60e6 / 60}} {
		tempo := find(all[i], "setTempo")
		require.Len(t, tempo, 2)
		for k := range tempo {
			assert.InDelta(t, want[k], tempo[k]["microsecondsPerBeat"], 1)
		}
	}
	assert.Equal(t, 25.0, find(all[0], "programChange")[0]["programNumber"])
}

// What cannot be done is said.
func TestSoundReports(t *testing.T) {
	said := func(s *score.Score) (codes []string) {
		require.NoError(t, midi.Write(&bytes.Buffer{}, s, score.WriteOptions{Report: func(d score.Diagnostic) { codes = append(codes, d.Code) }}))
		return codes
	}
	assert.Equal(t, []string{"midi-tempo"}, said(tab(t, "e|-5---7---8---5---|\nB|-----------------|\nG|-----------------|\n")))
	three := tab(t, riff).Clone()
	for i := range 5 {
		p := tab(t, riff).Clone().Parts[0]
		p.Name = fmt.Sprint("More ", i)
		three.Parts = append(three.Parts, p)
	}
	assert.Contains(t, said(three), "midi-channels")
	err := midi.Write(&bytes.Buffer{}, &score.Score{}, score.WriteOptions{})
	require.Error(t, err)
	assert.Contains(t, err.Error(), "no music")
}

// Remarks and headings are texts and markers, and several pieces follow each
// other.
func TestSeveralPieces(t *testing.T) {
	var b bytes.Buffer
	one := tab(t, riff)
	require.NoError(t, midi.WriteAll(&b, "Week 14", []midi.Piece{{Heading: "A", Score: one}, {Heading: "B", Score: one}},
		midi.Options{Sound: score.Sound{CountIn: 1}, Remarks: []string{"Lean on the third."}}))
	p := play(t, b.Bytes())[0]
	q := int64(p.Division)
	assert.Equal(t, 24*q, p.Ends[0])
	assert.Len(t, p.Ends, 3, "one track for what holds for all, one for the part of both, one for clicks")
	var texts []string
	for _, e := range p.Events {
		if e["type"] == "marker" || e["type"] == "text" {
			texts = append(texts, fmt.Sprint(e["tick"].(float64)/float64(q), " ", e["text"]))
		}
	}
	assert.Equal(t, []string{"0 Lean on the third.", "0 A", "12 B"}, texts)
}

// Grace notes come before their note; let-ring notes sound to the end of it, or
// until their string is struck; trills and tremolos are played out.
func TestWhatIsPlayedOut(t *testing.T) {
	s := tab(t, `Time: 4/4
Tempo: 90

   let ring----------|
e|---------5---------------|-------------------------|
B|-----5---------6---------|-----5tr7----------------|
G|-5-----------------------|-g4--5---------5TP-------|
   1   2   3     4           1   2   3     4
`)
	p := play(t, write(t, s, score.Sound{}))[0]
	q := int64(p.Division)
	times := func(channel int64) (out [][3]float64) {
		for _, n := range p.Notes {
			if n[1] == channel {
				out = append(out, [3]float64{float64(n[2]), float64(n[3]) / float64(q), float64(n[4]) / float64(q)})
			}
		}
		slices.SortFunc(out, func(a, b [3]float64) int { return int(1000 * (a[1] - b[1])) })
		return out
	}
	assert.Equal(t, [][3]float64{{69, 2, 4}}, times(0))
	third := times(2)
	assert.Equal(t, [3]float64{60, 0, 4}, third[0], "it rings on")
	assert.Equal(t, [3]float64{59, 5 - 1.0/16, 5}, third[1], "a grace note")
	assert.Equal(t, [3]float64{60, 5, 7}, third[2])
	assert.Len(t, third[3:], 8, "a quarter note of thirty-seconds")
	second := times(1)
	assert.Equal(t, [3]float64{64, 1, 3}, second[0], "until its string is struck")
	require.Len(t, second, 2+16)
	assert.Equal(t, []float64{64, 66, 64, 66}, []float64{second[2][0], second[3][0], second[4][0], second[5][0]})
	assert.Equal(t, 0, p.Dangling)
}

// Published music becomes files that another reader takes whole: every note
// that begins ends, and all tracks end together.
func TestSharedFilesAreHeard(t *testing.T) {
	var files [][]byte
	var names []string
	for _, pattern := range []string{"musicxml-suite/*.*ml", "musicxml-songs/*.mxl", "musicxml-tab/*.musicxml"} {
		found, err := filepath.Glob(filepath.Join(outside.Shared(t, "data"), pattern))
		require.NoError(t, err)
		for _, name := range found {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			d, err := musicxml.Read(bytes.NewReader(data), name, score.ReadOptions{})
			if err != nil {
				continue // the suite has files that are no scores
			}
			var b bytes.Buffer
			if err := midi.Write(&b, d.Score(), score.WriteOptions{Sound: score.Sound{Click: true, Chords: true}}); err != nil {
				assert.Contains(t, err.Error(), "no music", name)
				continue
			}
			files, names = append(files, b.Bytes()), append(names, filepath.Base(name))
		}
	}
	require.Greater(t, len(files), 80)
	for i, p := range play(t, files...) {
		assert.Zero(t, p.Dangling, names[i])
		for _, end := range p.Ends {
			assert.Equal(t, p.Ends[0], end, names[i])
		}
	}
}

// A failing writer's error comes back.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, fmt.Errorf("no room") }

func TestWriterFails(t *testing.T) {
	require.ErrorContains(t, midi.Write(full{}, tab(t, riff), score.WriteOptions{}), "no room")
}

func BenchmarkWrite(b *testing.B) {
	s := tab(b, "Time: 4/4\nTempo: 90\n\n"+strings.Repeat("e|-5-7-8-5-7-8-5-7-|-5---7b9-8~--5---|\nB|-----------------|-----------------|\nG|-----------------|-----------------|\n\n", 500))
	notes := 0
	for range score.Notes(s) {
		notes++
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := midi.Write(&bytes.Buffer{}, s, score.WriteOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

// The file begins with its header: format 1, three tracks, 480 ticks to a
// quarter note (Standard MIDI Files 1.0).
func ExampleWrite() {
	d, err := tabtext.Read(strings.NewReader("Tempo: 90\n\ne|-5---7---8---5---|\nB|-----------------|\nG|-----------------|\n"), "riff.tab", score.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	var b bytes.Buffer
	if err := midi.Write(&b, d.Score(), score.WriteOptions{Sound: score.Sound{CountIn: 1}}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s %x\n", b.Bytes()[:4], b.Bytes()[4:14])
	// Output: MThd 000000060001000301e0
}
