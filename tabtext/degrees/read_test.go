package degrees

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

func keyNamed(t testing.TB, s string) theory.Key {
	k, _, err := theory.ParseKey(s)
	require.NoError(t, err)
	return k
}

// heard lists what sounds: pitches with onset and duration.
func heard(s *score.Score) string {
	var list []string
	start := score.Quarters{}
	for _, m := range s.Parts[0].Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				list = append(list, fmt.Sprintf("%v@%v+%v", n.Pitch, start.Add(c.Onset), c.Duration))
			}
		}
		start = start.Add(m.Length)
	}
	return strings.Join(list, " ")
}

// TestScales: the degrees of a mode in a key are the notes that handbooks
// list for it. Source: the modes of the major scale and of the minor scales
// as in Kostka & Payne, Tonal Harmony; common practice for the pentatonic
// and blues scales.
func TestScales(t *testing.T) {
	for _, tc := range []struct{ degrees, key, notes string }{
		{"1 2 3 4 5 6 7", "D", "D E F# G A B C#"},
		{"1 2 b3 4 5 6 b7", "D", "D E F G A B C"},
		{"1 2 b3 4 5 b6 b7", "F#", "F# G# A B C# D E"},
		{"1 b2 b3 4 5 b6 b7", "E", "E F G A B C D"},
		{"1 2 3 #4 5 6 7", "Bb", "Bb C D E F G A"},
		{"1 2 b3 4 5 b6 7", "C", "C D Eb F G Ab B"},
		{"1 b3 4 b5 5 b7", "A", "A C D Eb E G"},
		{"1 2 3 5 6", "Eb", "Eb F G Bb C"},
	} {
		d := readIn(t, "Degrees:\n"+tc.degrees, keyNamed(t, tc.key), score.ReadOptions{})
		var names []string
		for n := range score.Notes(d.Score()) {
			names = append(names, n.Pitch.NoteName.String())
		}
		assert.Equal(t, tc.notes, strings.Join(names, " "), "%s in %s", tc.degrees, tc.key)
	}
}

// TestTimes: rhythm letters, dots, sums, tuplets and rests take the time of
// their note values (common practice: W is four quarter notes, three eighths
// of a triplet take one quarter).
func TestTimes(t *testing.T) {
	for text, want := range map[string]string{
		"Q 1 2":                     "C4@0+1 D4@1+1",
		"E 1 Q. 2 S 3":              "C4@0+1/2 D4@1/2+3/2 E4@2+1/4",
		"E1 H2":                     "C4@0+1/2 D4@1/2+2",
		"[3:2 E 1 2 3] Q 4":         "C4@0+1/3 D4@1/3+1/3 E4@2/3+1/3 F4@1+1",
		"[3:2 Q 1 [3:2 E 2 3 4]]":   "C4@0+2/3 D4@2/3+2/9 E4@8/9+2/9 F4@10/9+2/9",
		"H+E 1 () 2":                "C4@0+5/2 D4@5+5/2",
		"Q 1 (E) 2":                 "C4@0+1 D4@3/2+1/2",
		"Q*1/7 1 2":                 "C4@0+1/7 D4@1/7+1/7",
		"W 1 | (bar) | 2":           "C4@0+4 D4@8+4",
		"Q 1 | 2 3 4 5 |":           "C4@0+1 D4@1+1 E4@2+1 F4@3+1 G4@4+1",
		"Q 1&3&5 ; H -1":            "C4@0+1 E4@0+1 G4@0+1 C3@0+2",
		"g7 Q +1":                   "B4@0+0 C5@0+1",
		"skip:H Q 1":                "C4@2+1",
		"Q 1 2 3 4 |\n| 5 |":        "C4@0+1 D4@1+1 E4@2+1 F4@3+1 G4@4+1",
		"Q 9 11 8 -9":               "D5@0+1 F5@1+1 C5@2+1 D4@3+1",
		"♭3 ♯4":                     "Eb4@0+1 F#4@1+1",
		"time:3/4 H. 1 | (bar) | 1": "C4@0+3 C4@6+3",
	} {
		d := readIn(t, "Degrees: major\n"+text+"\n", theory.Key{}, score.ReadOptions{})
		assert.Equal(t, want, heard(d.Score()), text)
	}
}

// TestBends: a bend is a pair of degrees, so its width depends on the mode:
// from 1 to 2 it is a whole tone, to b2 a semitone; 5 from 4 is a whole tone
// in every key (common practice).
func TestBends(t *testing.T) {
	for text, want := range map[string]score.Bend{
		"1^2": {Amount: score.Q(2, 1)}, "1^b2": {Amount: score.Q(1, 1)}, "4^5": {Amount: score.Q(2, 1)}, "b7^1": {Amount: score.Q(2, 1)}, "7^1": {Amount: score.Q(1, 1)},
		"4^(1/2)": {Amount: score.Q(1, 2)}, "4p^5": {Amount: score.Q(2, 1), PreBend: true}, "4^5r": {Amount: score.Q(2, 1), Release: true},
		"4^5r#4": {Amount: score.Q(2, 1), Release: true, ReleaseTo: score.Q(1, 1)}, "1bar^(-2)": {Amount: score.Q(-2, 1), WithBar: true},
		"1^1": {Amount: score.Q(12, 1)}, "++4^5r(1/2)": {Amount: score.Q(2, 1), Release: true, ReleaseTo: score.Q(1, 2)},
	} {
		for _, key := range everyKey() {
			d := readIn(t, "Degrees:\n"+text, key, score.ReadOptions{})
			for n := range score.Notes(d.Score()) {
				b, ok := n.Bend()
				assert.True(t, ok)
				assert.Equal(t, want, b, "%s in %v", text, key)
			}
		}
	}
}

// TestFaults: what is wrong is said with its line and column and a hint.
func TestFaults(t *testing.T) {
	for _, tc := range []struct{ text, at, says string }{
		{"Degrees: minor\nQ 1 2 y", "2:7", `"y" is no degree`},
		{"Degrees: minor\nQ 1 27", "2:6", `"7" does not belong to a note`},
		{"Degrees: purple\nQ 1", "1:10", `"purple" is no mode`},
		{"Degrees: minor\nTime: 4/3\nQ 1", "2:7", "is no metre"},
		{"Degrees: minor\nQ 1 | | 2", "2:7", "the bar before this bar line is empty"},
		{"Degrees: minor\nQ 1 [3:2 E 1 2 3 | 4", "2:5", "the tuplet is not ended"},
		{"Degrees: minor\nQ 1 [E 1 2 3]", "2:5", "the tuplet does not say its numbers"},
		{"Degrees: minor\nQ 1 2]", "2:6", "no tuplet is open"},
		{"Degrees: minor\nQ {H7} 1", "2:4", "Roman numeral"},
		{"Degrees: minor\nQ {V7 1", "2:3", "the chord symbol is not closed"},
		{"Degrees: minor\nQ h1", "2:3", "no note before to come from"},
		{"Degrees: minor\nQ 1 ~2", "2:5", "no note before that ~ could hold"},
		{"Degrees: minor\nQ x", "2:3", "on which string"},
		{"Degrees: minor\nQ x@9", "2:3", "no string 9 on a neck of 6"},
		{"Degrees: minor\nQ --1@1", "2:3", "is not on string 1"},
		{"Degrees: minor\nQ 1:vibe", "2:5", `there is no word "vibe"`},
		{"Degrees: minor\nQ 1 mute) 2", "2:5", "is no degree"},
		{"Degrees: minor\nQ 1:mute)", "2:3", "mute) ends what has not begun"},
		{"Degrees: minor\nQ 4^y", "2:4", "says no target of a bend"},
		{"Degrees: minor\n(Y) 1", "2:1", "is no length"},
		{"Degrees: minor\nQ 1\nTitle: late", "3:1", "stands inside of the music"},
		{"Degrees: minor\nCapo: many\nQ 1", "2:7", "no such number"},
		{"Degrees: minor\nTempo: fast\nQ 1", "2:8", "is no tempo"},
		{"Degrees: minor\nQ 1 words:\"open", "2:5", "the quote is not ended"},
		{"Degrees: minor\nQ +E 1", "2:3", "nothing to come later"},
		{"Degrees: minor\ntime:free (bar)", "2:11", "no metre that says how long"},
		{"Degrees: minor\n\n", "", "there is no music"},
		{"Degrees: minor\nQ 1 | ||:", "2:9", "nothing follows"},
		{"Degrees: minor\nQ 1 ; time:3/4 2", "2:12", "holds for all voices"},
		{"Degrees: minor\nQ 1 ending:stop |", "2:12", "no ending is open"},
		{"", "", "the file is empty"},
		{"Degrees: minor\nQ 1\x00", "2:4", "is no text"},
		{"Degrees: minor\nQ \xe9", "2:3", "is no text"},
	} {
		_, err := Read(strings.NewReader(tc.text), "x", score.ReadOptions{})
		var ds score.Diagnostics
		require.ErrorAs(t, err, &ds, tc.text)
		assert.Contains(t, ds[0].Msg, tc.says, tc.text)
		if tc.at != "" {
			assert.Equal(t, "x:"+tc.at, ds[0].Pos.String(), "%s: %s", tc.text, ds[0].Msg)
		}
		if tc.says != "no such number" {
			assert.NotEmpty(t, ds[0].Hint, tc.text)
		}
	}
}

// TestReports: what is doubtful is read, and said.
func TestReports(t *testing.T) {
	for _, tc := range []struct{ text, code string }{
		{"Degrees: minor\nQ 1 2 3 4 | 1 2 3 |", "degrees-bar-length"},
		{"Q 1 2 3 4", "degrees-mode"},
		{"Degrees: minor\nMood: happy\nQ 1", "degrees-header"},
		{"Degrees: minor\nQ 1:mute( 2", "degrees-span"},
		{"Degrees: dorian\nQ 1", "degrees-key"},
	} {
		var said []string
		_, err := Read(strings.NewReader(tc.text), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d.Code) }})
		require.NoError(t, err)
		assert.Contains(t, said, tc.code, tc.text)
	}
}

// TestKeyAsked: the tonic that was asked for counts, with the mode of the
// text unless one was said with it; without a key the tonic is the one whose
// mode has no sharps or flats: D for dorian (common practice).
func TestKeyAsked(t *testing.T) {
	key := func(opt score.ReadOptions) theory.Key {
		d, err := Read(strings.NewReader("Degrees: dorian\nQ 1"), "x", opt)
		require.NoError(t, err)
		k, ok := firstKey(d.Score())
		require.True(t, ok)
		return k.Key
	}
	g, gMinor := keyNamed(t, "G"), keyNamed(t, "G minor")
	assert.Equal(t, keyNamed(t, "D dorian"), key(score.ReadOptions{}))
	assert.Equal(t, keyNamed(t, "G dorian"), key(score.ReadOptions{Key: &g, TonicOnly: true}))
	assert.Equal(t, gMinor, key(score.ReadOptions{Key: &gMinor}))
}

// TestNeck: tuning and capo come from the text or from what was asked for.
func TestNeck(t *testing.T) {
	dropD, err := fretboard.ParseTuning("drop-d")
	require.NoError(t, err)
	capo := 3
	neck := func(head string, opt score.ReadOptions) *score.NeckChange {
		d, err := Read(strings.NewReader("Degrees: minor\n"+head+"Q 1"), "x", opt)
		require.NoError(t, err)
		for n := range score.Preorder(d.Score()) {
			if c, ok := n.(*score.NeckChange); ok {
				return c
			}
		}
		return nil
	}
	assert.Nil(t, neck("", score.ReadOptions{}))
	n := neck("Tuning: drop D\nFrets: 24\n", score.ReadOptions{Capo: &capo})
	assert.Equal(t, dropD.Strings, n.Neck.Tuning.Strings)
	assert.Equal(t, [2]int{3, 24}, [2]int{n.Neck.Capo, n.Neck.Frets})
	assert.Equal(t, dropD.Strings, neck("Tuning: standard\n", score.ReadOptions{Tuning: &dropD}).Neck.Tuning.Strings)
}

// TestPositions: every node of a score stands where its text is.
func TestPositions(t *testing.T) {
	text := "Degrees: minor\nQ 1 b3@2 [3:2 E 4 5 g6 7] | {V7} time:3/4 H. x@3 |\n"
	d := readIn(t, text, theory.Key{}, score.ReadOptions{})
	want := []string{"1", "b3@2", "4", "5", "g6", "7", "x@3"}
	i := 0
	for n := range score.Notes(d.Score()) {
		pos := d.Score().PosOf(n.Src)
		require.True(t, pos.IsValid())
		assert.True(t, strings.HasPrefix(text[pos.Offset:], want[i]), "%s at %v", want[i], pos)
		assert.Equal(t, 2, pos.Line)
		assert.Equal(t, pos.Offset-len("Degrees: minor\n")+1, pos.Col)
		i++
	}
	assert.Equal(t, len(want), i)
}

// TestReadersAndWriters: what the reader or the writer of the caller does
// wrong comes out as an error.
func TestReadersAndWriters(t *testing.T) {
	_, err := Read(iotest.ErrReader(errors.New("gone")), "x", score.ReadOptions{})
	assert.ErrorContains(t, err, "gone")
	d, err := Read(iotest.OneByteReader(strings.NewReader("\xef\xbb\xbfDegrees: minor\r\nQ 1 |\r\n")), "x", score.ReadOptions{})
	require.NoError(t, err)
	_, err = d.WriteTo(failing{})
	assert.ErrorContains(t, err, "full")
	assert.ErrorContains(t, Write(failing{}, d.Score(), score.WriteOptions{}), "full")
	var b bytes.Buffer
	_, err = d.WriteTo(&b)
	require.NoError(t, err)
	assert.Equal(t, "\xef\xbb\xbfDegrees: minor\r\nQ 1 |\r\n", b.String())
	err = Write(&b, &score.Score{Parts: []*score.Part{{}}}, score.WriteOptions{})
	assert.ErrorContains(t, err, "in which key")
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("full") }

// TestEveryTechniqueHasAWord: the set of techniques is closed, and so are the
// words for it.
func TestEveryTechniqueHasAWord(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range score.Marks() {
		w := writeTechnique(m)
		require.NotEmpty(t, w, "mark %d", m)
		assert.False(t, seen[w], w)
		seen[w] = true
		back, ok := parseTechnique(w)
		assert.True(t, ok)
		assert.Equal(t, score.Technique(m), back)
	}
	for k := score.HammerOn; k <= score.VibratoSpan; k++ {
		for _, end := range [...]score.SpanEnd{score.Start, score.Stop} {
			for number := 1; number < 12; number++ {
				e := spanEnd{k, number, end}
				back, ok := parseSpanEnd(e.String())
				assert.True(t, ok)
				assert.Equal(t, e, back)
				_, mark := parseTechnique(e.String())
				assert.False(t, mark)
			}
		}
	}
}

// TestLost: what the text cannot hold is reported, and the rest is written.
func TestLost(t *testing.T) {
	s := readIn(t, "Degrees: minor\nQ 1 2 3 4 |", theory.Key{}, score.ReadOptions{}).Score().Clone()
	var notes []*score.Note
	for n := range score.Notes(s) {
		notes = append(notes, n)
	}
	notes[0].Detune = score.Q(1, 4)
	notes[1].TieStart = true
	notes[2].Finger = score.Index
	notes[2].Annotations = []score.Annotation{{Kind: "degree", Text: "3"}}
	notes[3].Techniques = []score.Technique{score.Span{Kind: score.Slur, ID: 1, End: score.Start}}
	text, said := written(t, s)
	assert.True(t, strings.HasSuffix(text, "\nQ 1 2 3 4 |\n"), text)
	var codes []string
	for _, l := range said {
		code, _, _ := strings.Cut(l, ":")
		codes = append(codes, code)
	}
	assert.Equal(t, []string{"degrees-lost-detune", "degrees-lost-fingers", "degrees-lost-labels", "degrees-lost-span", "degrees-lost-tie"}, codes)
}
