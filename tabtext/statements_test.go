package tabtext

import (
	"slices"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stated gives the metre, the tempo and the tuning with which a text begins,
// and what was reported.
func stated(t *testing.T, text string) (metre string, tempo float64, tuning string, said []string) {
	t.Helper()
	d, err := Read(strings.NewReader(text), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }})
	require.NoError(t, err, "%s", text)
	for _, e := range d.Score().Parts[0].Measures[0].Events {
		switch e := e.(type) {
		case *score.TimeSignature:
			metre = e.Metre()
		case *score.Tempo:
			tempo = e.QuartersPerMinute
		case *score.NeckChange:
			tuning = e.Neck.Tuning.String()
		}
	}
	return metre, tempo, tuning, said
}

const plainRows = "e|-5---5---5---|\nB|-------------|\nG|-------------|\nD|-------------|\nA|-------------|\nE|-------------|\n"

// TestMetresInWords: how people write a metre into a heading, and what only
// looks like one. What is meant is common practice.
func TestMetresInWords(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Slow waltz in A 3/4", "3/4"},
		{"3/4 waltz in A", "3/4"},
		{"3/4 tempo 90", "3/4"},
		{"tempo 90 3/4", "3/4"},
		{"time sig 3/4", "3/4"},
		{"Time sig.: 3/4", "3/4"},
		{"Slow blues in A     12/8     dotted quarter = 58", "12/8"},
		{"Tin Lamp Shuffle     12/8     110", "12/8"},
		{"4/4 90 bpm", "4/4"},
		{"Am, 6/8, swing it", "6/8"},
		{"Key of D minor - 6/8 - slow", "6/8"},
		{"[3/4]", "3/4"},
		{"(6/8, q. = 60)", "6/8"},
		{"in common time", "C"},
		{"cut time, quick", "C|"},
		{"Jig 6/8", "6/8"},
		{"Bossa in Dm 2/2 h=80", "2/2"},
		{"3/4 / quarter = 90", "3/4"},
		{"5/4 groove in E", "5/4"},
		{"7/8 (2+2+3), fast", "7/8"},
		{"RIFF A (5 beats!!)", "5/4"},
		{"5 beats to the bar", "5/4"},
		{"Verse 6/8", "6/8"},
		{"Verse: 6/8", "6/8"},
		{"Verse (6/8)", "6/8"},
		{"Verse (6/8, strum)", "6/8"},
		{"Verse - 6/8", "6/8"},
		{"[Verse] 6/8", "6/8"},
		{"[Verse 2] 6/8", "6/8"},
		{"Verse 2 6/8 slow", "6/8"},
		{"Guitar solo 12/8", "12/8"},
		{"SOLO 6/8 q. = 60", "6/8"},
		{"Pre-Chorus, 3/4", "3/4"},
		// These are no metres.
		{"the verse 3/4 of the way is loud", ""},
		{"play the chorus 3/4 as loud", ""},
		{"that verse 6/8", ""},
		{"rest 5 beats, then in", ""},
		{"Lesson 3/4", ""},
		{"page 2/4 of the handout", ""},
		{"posted on 12/8", ""},
		{"Date: 12/8", ""},
		{"take 2/4, slow", ""},
		{"about 3/4 of the way in it gets fast", ""},
		{"a slow 1/2 step bend", ""},
		{"practice this 3/4 times a week", ""},
		{"that's a 2/4 bar in A, slow", ""},
	} {
		got, _, _, _ := stated(t, c.text+"\n\n"+plainRows)
		assert.Equal(t, c.want, got, c.text)
	}
	for _, over := range []string{"3/4", " 3/4", "3/4 tempo 90", "3/4 90 bpm", "Am  3/4", "(3/4)"} {
		got, _, _, _ := stated(t, over+"\n"+plainRows)
		assert.Equal(t, "3/4", got, "straight over the tab: %s", over)
	}
}

// TestTemposInWords: a beat that is not a quarter is turned into quarters per
// minute (a dotted quarter at 58 is 87 quarters).
func TestTemposInWords(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{
		{"q = 90", 90}, {"q=90", 90}, {"quarter = 72", 72}, {"quarter note = 72", 72}, {"crotchet = 72", 72},
		{"dotted quarter = 58", 87}, {"Slow blues in A     12/8     dotted quarter = 58", 87}, {"q. = 60", 90},
		{"half = 60", 120}, {"h = 60", 120}, {"minim = 60", 120}, {"eighth = 180", 90}, {"8th note = 180", 90},
		{"♩=104", 104}, {"♩ = 104", 104}, {"♩. = 60", 90}, {"♪ = 120", 60}, {"1/4 = 100", 100},
		{"120ish", 120}, {"about 120", 120}, {"~ 120", 120}, {"~120 bpm", 120}, {"around 92 bpm", 92}, {"ca. 96", 96}, {"120ish, all even", 120},
		{"tempo about 100", 100}, {"tempo: 100ish", 100}, {"Tempo = 84", 84}, {"Tempo: dotted quarter = 58", 87}, {"Tempo: ♩=66", 66},
		{"BPM 140", 140}, {"bpm: 140", 140}, {"@ 120 bpm", 120}, {"click at 80", 80}, {"120 beats per minute", 120}, {"metronome 66", 66}, {"MM = 72", 72},
		// These are none.
		{"about 120 people came", 0}, {"I have about 50, maybe more", 0}, {"bar 20ish", 0}, {"page 120", 0}, {"h = hammer-on", 0}, {"q = quarter", 0},
		{"track 90", 0}, {"room 101", 0},
	} {
		_, got, _, _ := stated(t, c.text+"\n\n"+plainRows)
		assert.InDelta(t, c.want, got, 1e-9, c.text)
	}
}

// TestStandardOfWhat: "standard" and "normal" mean the instrument that labels
// or words name. Sources: the tunings are those of theory/fretboard, checked
// there.
func TestStandardOfWhat(t *testing.T) {
	uke := func(rows string) string {
		var b strings.Builder
		for _, l := range strings.Split(rows, ",") {
			b.WriteString(l + "|-3---3---0-----|\n")
		}
		return b.String()
	}
	for _, c := range []struct{ text, want string }{
		{"uke, normal tuning with the high g\n\n" + uke("A ,E ,C ,g "), "G4 C4 E4 A4"},
		{"Ukulele, standard tuning\n\n" + uke("A,E,C,G"), "G4 C4 E4 A4"},
		{"Ukulele in standard tuning (GCEA)\n\n" + uke("A,E,C,G"), "G4 C4 E4 A4"},
		{"Ukulele in standard tuning (GCEA)\n\n" + uke(",,,"), "G4 C4 E4 A4"},
		{"Standard uke tuning\n\n" + uke(",,,"), "G4 C4 E4 A4"},
		{"Tuning: standard\n\n" + uke("A,E,C,G"), "G4 C4 E4 A4"},
		{"Baritone ukulele, standard tuning\n\n" + uke("E,B,G,D"), "D3 G3 B3 E4"},
		{"mandolin (standard tuning)\n\n" + uke("E,A,D,G"), "G3 D4 A4 E5"},
		{"Mandolin, normal tuning\n\n" + uke(",,,"), "G3 D4 A4 E5"},
		{"5 string banjo in standard tuning\n\n" + uke("D,B,G,D,g"), "G4 D3 G3 B3 D4"},
		{"bass, standard tuning\n\n" + uke("G,D,A,E"), "E1 A1 D2 G2"},
		{"standard tuning\n\n" + uke("G,D,A,E"), "E1 A1 D2 G2"},
		{"standard tuning\n\n" + uke(",,,"), "E1 A1 D2 G2"},
		{"standard tuning, 5 string bass\n\n" + uke("G,D,A,E,B"), "B0 E1 A1 D2 G2"},
		{"Ukulele\n\n" + uke(",,,"), "G4 C4 E4 A4"},
		{"for mandolin\n\n" + uke(",,,"), "G3 D4 A4 E5"},
		{"standard tuning\n\n" + plainRows, "E2 A2 D3 G3 B3 E4"},
		{"7 string guitar, standard tuning\n\n" + uke("e,B,G,D,A,E,B"), "B1 E2 A2 D3 G3 B3 E4"},
		{"ukulele tuned half a step down\n\n" + uke("A,E,C,G"), "F#4 B3 D#4 G#4"},
		// The word is said of something else.
		{"standard tuning. this was a uke song once\n\n" + plainRows, "E2 A2 D3 G3 B3 E4"},
	} {
		_, _, got, said := stated(t, c.text)
		assert.Equal(t, c.want, got, c.text)
		assert.Equal(t, strings.Contains(c.text, "half a step"), slices.Contains(said, "tab-tuning-labels"), c.text)
	}
}
