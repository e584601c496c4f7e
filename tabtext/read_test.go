package tabtext

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const plain = "e|-0---0---0---0---|\nB|-5---5---5---5---|\nG|-9---9---9---9---|\nD|-14--14--14--14--|\nA|-----------------|\nE|-----------------|\n"

// TestSamePitchOnFourStrings: MIDI 64 is at (string, fret) (1,0) (2,5) (3,9)
// (4,14) in standard tuning. Source: Lombardo & Radicioni, "Guitar fingering
// for music performance", fig. 1.
func TestSamePitchOnFourStrings(t *testing.T) {
	d := readText(t, plain)
	n := 0
	for note := range score.Notes(d.Score()) {
		assert.Equal(t, 64, note.Pitch.MIDI(), "string %d", note.Place.String)
		n++
	}
	assert.Equal(t, 16, n)
}

// TestOpenStrings: open strings of guitar, bass and seven-string as MIDI key
// numbers. Source: common practice; E4 = 64 follows from A4 = 69 = 440 Hz
// (ISO 16:1975, MIDI 1.0).
func TestOpenStrings(t *testing.T) {
	for _, test := range []struct {
		labels string
		want   []int
	}{
		{"e B G D A E", []int{64, 59, 55, 50, 45, 40}},
		{"G D A E", []int{43, 38, 33, 28}},
		{"e B G D A E B", []int{64, 59, 55, 50, 45, 40, 35}},
		{"d A G D A D", []int{62, 57, 55, 50, 45, 38}},
		{"A E C G", []int{69, 64, 60, 67}}, // re-entrant ukulele
	} {
		var b strings.Builder
		for _, l := range strings.Fields(test.labels) {
			b.WriteString(l + "|-0---0---0---0---|\n")
		}
		d := readText(t, b.String())
		got := make([]int, len(test.want))
		for n := range score.Notes(d.Score()) {
			got[n.Place.String-1] = n.Pitch.MIDI()
		}
		assert.Equal(t, test.want, got, test.labels)
	}
}

// TestCapo: with a capo, written frets count from the capo. Source: common
// practice.
func TestCapo(t *testing.T) {
	d := readText(t, "Capo 2\n\n"+plain)
	for n := range score.Notes(d.Score()) {
		assert.Equal(t, 66, n.Pitch.MIDI())
	}
}

func TestErrors(t *testing.T) {
	for _, test := range []struct{ name, in, code, pos string }{
		{"empty", "", "tab-empty", "x"},
		{"blank", " \n\t\n", "tab-empty", "x"},
		{"binary", "PK\x03\x04\x00\x00\x01", "tab-binary", "x"},
		{"controls", strings.Repeat("\x01\x02ab", 40), "tab-binary", "x"},
		{"prose", "Dear all,\nno tab today.\n", "tab-none", "x"},
		{"no notes", "e|-----|\nB|-----|\nG|-----|\n", "tab-no-notes", "x:1:2"},
	} {
		t.Run(test.name, func(t *testing.T) {
			d, err := Read(strings.NewReader(test.in), "x", score.ReadOptions{})
			assert.Nil(t, d)
			var ds score.Diagnostics
			require.True(t, errors.As(err, &ds))
			require.Len(t, ds, 1)
			assert.Equal(t, test.code, ds[0].Code)
			assert.Equal(t, test.pos, ds[0].Pos.String())
			assert.NotEmpty(t, ds[0].Hint)
			assert.Equal(t, score.Error, ds[0].Severity)
			assert.False(t, Looks([]byte(test.in)) && test.code != "tab-no-notes")
		})
	}
	_, err := Read(iotest.ErrReader(errors.New("broken pipe")), "x", score.ReadOptions{})
	assert.ErrorContains(t, err, "broken pipe")
	_, err = Read(strings.NewReader(plain), "x", score.ReadOptions{Time: "4/5"})
	assert.ErrorContains(t, err, "no metre")
}

func TestOneByteReader(t *testing.T) {
	d, err := Read(iotest.OneByteReader(strings.NewReader(plain)), "x", score.ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, plain, text(t, d))
}

// TestPositions: the source at the position of a note begins with its number,
// in every encoding of the corpus.
func TestPositions(t *testing.T) {
	files, err := filepath.Glob("testdata/found/*.txt")
	require.NoError(t, err)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		d, err := Read(strings.NewReader(string(data)), "x", score.ReadOptions{})
		require.NoError(t, err)
		src := d.origin.built.lay.src
		for n := range score.Notes(d.Score()) {
			if n.Src == 0 {
				continue
			}
			pos := d.Score().PosOf(n.Src)
			line := src.lines[pos.Line-1]
			require.Equal(t, pos.Offset, line.start+pos.Col-1, name)
			rest := src.decode(data[pos.Offset:line.end])
			want := "x"
			if !n.Has(score.Dead) {
				want = string(rune('0' + n.Place.Fret%10))
				if n.Place.Fret > 9 {
					want = string(rune('0'+n.Place.Fret/10)) + want
				}
			}
			assert.True(t, strings.HasPrefix(rest, want), "%s %v: %q", name, pos, rest)
		}
	}
}

// TestAuthority: options win over lines, lines over labels.
func TestAuthority(t *testing.T) {
	tab := "Tuning: D A D G B E\nKey: G\nTime: 3/4\nTempo: 80\nCapo: 1\n\n" + strings.ReplaceAll(plain, "E|", "D|")
	neck := func(d *Document) fretboard.Neck { n, _ := firstNeck(d.Score().Parts[0]); return n }
	d := readText(t, tab)
	assert.Equal(t, "drop D", neck(d).Tuning.Name)
	assert.Equal(t, 1, neck(d).Capo)

	open, _ := fretboard.PresetByName("open-g")
	capo := 3
	key := theory.Key{Tonic: theory.NoteName{Step: theory.D}, Mode: theory.Minor}
	d, err := Read(strings.NewReader(tab), "x", score.ReadOptions{Tuning: &open.Tuning, Capo: &capo, Frets: 24, Key: &key, Time: "6/8", Tempo: 60})
	require.NoError(t, err)
	assert.Equal(t, "open G", neck(d).Tuning.Name)
	assert.Equal(t, 3, neck(d).Capo)
	assert.Equal(t, 24, neck(d).Frets)
	var got []string
	for _, e := range d.Score().Parts[0].Measures[0].Events {
		switch e.(type) {
		case *score.KeySignature, *score.TimeSignature, *score.Tempo:
			got = append(got, digestEvent(e))
		}
	}
	assert.Equal(t, []string{"(key D minor)", "(6/8)", "(tempo 60)"}, got)
	same, err := d.Apply(d.Score())
	require.NoError(t, err)
	assert.Equal(t, tab, text(t, same))
}

// TestSpelling: notes are spelled in the key: MIDI 61 is D flat in F minor
// and C sharp in A major. Source: the circle of fifths.
func TestSpelling(t *testing.T) {
	tab := "G|-6---6---6---6---|\nD|-----------------|\nA|-----------------|\nE|-----------------|\n"
	tab = "e|-----------------|\nB|-----------------|\n" + tab
	for key, want := range map[string]string{"Fm": "Db4", "A": "C#4"} {
		d := readText(t, "Key: "+key+"\n\n"+tab)
		for n := range score.Notes(d.Score()) {
			assert.Equal(t, want, n.Pitch.String())
			assert.True(t, n.InferredSpelling)
		}
	}
}

// TestHarmonicsSound: natural harmonics at 12, 7 and 5 sound 12, 19 and 24
// semitones above the open string. Source: partials 2, 3 and 4 of a string.
func TestHarmonicsSound(t *testing.T) {
	d := readText(t, "e|-<12>--<7>---<5>---|\nB|-------------------|\nG|-------------------|\nD|-------------------|\nA|-------------------|\nE|-------------------|\n")
	var got []int
	for n := range score.Notes(d.Score()) {
		got = append(got, n.Sounding()-64)
	}
	assert.Equal(t, []int{12, 19, 24}, got)
}

func TestApplyRefuses(t *testing.T) {
	d := readText(t, plain)
	bad := d.Score().Clone()
	for n := range score.Notes(bad) {
		n.Place.Fret++ // and not the pitch
		break
	}
	_, err := d.Apply(bad)
	require.Error(t, err)
	assert.ErrorContains(t, err, "x.tab:1:4: bar 1: string 1 fret 1 sounds 65 (MIDI), but the note's pitch is E4, 64")

	more := d.Score().Clone()
	more.Parts = append(more.Parts, more.Parts[0])
	_, err = d.Apply(more)
	assert.ErrorContains(t, err, "parts")
}

// TestApplyWithoutPlace: a note that lost its place leaves the tab; no fret
// is invented, and that is said.
func TestApplyWithoutPlace(t *testing.T) {
	var said []string
	d, err := Read(strings.NewReader(plain), "x.tab", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }})
	require.NoError(t, err)
	lost := d.Score().Clone()
	for n := range score.Notes(lost) {
		n.Place = fretboard.Place{}
		break
	}
	said = nil
	e, err := d.Apply(lost)
	require.NoError(t, err)
	assert.Contains(t, said, "tab-lost-note")
	assert.Equal(t, strings.Replace(plain, "e|-0-", "e|---", 1), text(t, e))
}

func TestWriteReports(t *testing.T) {
	d := readText(t, plain)
	s := d.Score().Clone()
	m := s.Parts[0].Measures[0]
	m.Events = append(m.Events, &score.Words{Kind: "words", Text: "gently"})
	c := m.Events[1].(*score.Chord)
	c.Notes[0].Place = fretboard.Place{}
	var said []string
	var b strings.Builder
	require.NoError(t, Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { said = append(said, d.Error()) }}))
	all := strings.Join(said, "\n")
	assert.Contains(t, all, "tab cannot show words over the music (gently): left out")
	assert.Contains(t, all, "bar 1: tab cannot show a note that has no place on the neck (E4)")

	err := Write(&b, &score.Score{Parts: []*score.Part{{Name: "Voice"}}}, score.WriteOptions{})
	assert.ErrorContains(t, err, "neck")
}

func TestWriteErr(t *testing.T) {
	d := readText(t, plain)
	r, w, err := os.Pipe()
	require.NoError(t, err)
	r.Close()
	defer w.Close()
	assert.Error(t, Write(failing{}, d.Score(), score.WriteOptions{}))
	_, err = d.WriteTo(failing{})
	assert.Error(t, err)
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("full") }

// TestVoices: two voices become one line of time; every note stands at its
// onset, and what is lost is said.
func TestVoices(t *testing.T) {
	at := func(onset, dur score.Quarters, voice, str, fret int) *score.Chord {
		n := &score.Note{Place: fretboard.Place{String: str, Fret: fret}}
		n.Pitch = theory.SpellIn(theory.Key{}, fretboard.Guitar().Stopped(n.Place))
		return &score.Chord{Common: score.Common{Onset: onset, Staff: 1}, Duration: dur, Voice: voice, Notes: []*score.Note{n}}
	}
	m := &score.Measure{Number: "1", Length: score.Q(4, 1), Nominal: score.Q(4, 1), Events: []score.Event{
		&score.NeckChange{Neck: fretboard.Guitar()},
		at(score.Q(0, 1), score.Q(2, 1), 1, 1, 5), at(score.Q(2, 1), score.Q(2, 1), 1, 1, 3),
		at(score.Q(0, 1), score.Q(1, 1), 2, 6, 0), at(score.Q(1, 1), score.Q(3, 1), 2, 6, 3),
	}}
	m.SortEvents()
	s := &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}}
	var said []string
	var b strings.Builder
	require.NoError(t, Write(&b, s, score.WriteOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }}))
	assert.Equal(t, []string{"tab-lost-voices"}, said)
	assert.Contains(t, b.String(), "e|-5-------3-------|")
	assert.Contains(t, b.String(), "E|-0---3-----------|")
}

// TestLineEndsStay: a system that is written anew has the line ends of the
// text, and so has what is added.
func TestLineEndsStay(t *testing.T) {
	d := readText(t, strings.ReplaceAll(plain, "\n", "\r\n"))
	want := d.Score().Clone()
	m := want.Parts[0].Measures[0]
	m.Events = m.Events[:len(m.Events)-1]
	last := m.Events[len(m.Events)-1].(*score.Chord)
	last.Duration = m.Length.Sub(last.Onset)
	e, err := d.Apply(want)
	require.NoError(t, err)
	got := text(t, e)
	assert.Equal(t, strings.Count(got, "\n"), strings.Count(got, "\r\n"), "%q", got)
	assert.Nil(t, compare(want, readText(t, got).Score()))

	for n := range score.Notes(want) {
		n.Annotations = []score.Annotation{{Kind: "degree", Text: "1"}}
	}
	short := readText(t, strings.TrimSuffix(plain, "\n")) // no end of the last line
	labelled := short.Score().Clone()
	for n := range score.Notes(labelled) {
		n.Annotations = []score.Annotation{{Kind: "degree", Text: "1"}}
	}
	e, err = short.Apply(labelled)
	require.NoError(t, err)
	assert.Nil(t, compare(labelled, readText(t, text(t, e)).Score()), text(t, e))
}

// TestLooks tells tab from other text.
func TestLooks(t *testing.T) {
	assert.True(t, Looks([]byte(plain)))
	for _, no := range []string{"", "<?xml version=\"1.0\"?><score-partwise/>", "a list:\n- one\n- two\n- three\n", "-----\n-----\n-----\n",
		"| a | b | c |\n|---|---|---|\n| 1 | 2 | 3 |\n", "+----+\n| hi |\n+----+\n", "2024-01-02 10:00\n2024-01-03 11:00\n2024-01-04 12:00\n"} {
		assert.False(t, Looks([]byte(no)), "%q", no)
	}
}
