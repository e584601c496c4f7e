package main

import (
	"bytes"
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// labelled annotates a score with all labels and lists those of struck notes by
// when and where they stand.
func labelled(s *score.Score, opt transform.AnnotateOptions) []string {
	opt.Show = score.LabelKinds()
	out, _ := transform.Annotate(s, opt)
	type row struct {
		at   score.Quarters
		midi int
		text string
	}
	var rows []row
	for _, p := range out.Parts {
		var start score.Quarters
		for _, m := range p.Measures {
			for c := range m.Chords() {
				for _, n := range c.Notes {
					if len(n.Annotations) == 0 || n.TieStop || n.Has(score.Held) { // what is tied need not be written as a note everywhere
						continue
					}
					at := start.Add(c.Onset)
					text := fmt.Sprintf("%s %d.%d:", at, n.Place.String, n.Place.Fret)
					for _, a := range n.Annotations {
						text += " " + a.Text
					}
					rows = append(rows, row{at, n.Pitch.MIDI(), text})
				}
			}
			start = start.Add(m.Length)
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Or(a.at.Cmp(b.at), cmp.Compare(a.midi, b.midi)) })
	list := make([]string, len(rows))
	for i, r := range rows {
		list[i] = r.text
	}
	return list
}

// usedDegrees lists how much each degree is used, as an inspection has it.
func usedDegrees(s *score.Score) string {
	var b strings.Builder
	for _, p := range transform.Inspect(s, transform.InspectOptions{}).Parts {
		fmt.Fprintln(&b, p.Key, p.KeyFrom, p.KeyGuesses, p.Range)
		for _, d := range p.Degrees {
			fmt.Fprintf(&b, "%s %s %d\n", d.Degree, d.Note, d.Count)
		}
	}
	return b.String()
}

// asXML converts as the pipeline does.
func asXML(t *testing.T, s *score.Score) (*score.Score, []byte) {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, musicxml.Write(&buf, transform.ChooseLetters(s), score.WriteOptions{}))
	text := bytes.Clone(buf.Bytes())
	doc, err := musicxml.Read(&buf, "made.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	return doc.Score(), text
}

func asTab(t *testing.T, s *score.Score) *score.Score {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, tabtext.Write(&buf, s, score.WriteOptions{}))
	doc, err := tabtext.Read(&buf, "made.tab", score.ReadOptions{})
	require.NoError(t, err)
	return doc.Score()
}

// labelOptions are with nothing said, and with what a user may say.
func labelOptions(t *testing.T) map[string]transform.AnnotateOptions {
	t.Helper()
	blues, err := theory.ScaleByName("blues")
	require.NoError(t, err)
	chords, err := theory.ParseProgression("Am7 | D7 G7 | Bb7", nil)
	require.NoError(t, err)
	return map[string]transform.AnnotateOptions{
		"":         {},
		"--scale":  {Scale: &transform.ScaleOn{Tonic: theory.NoteName{Step: theory.C}, Scale: blues}},
		"--chords": {Chords: chords},
	}
}

// sameNames asks that music has the same labels and degrees in every format.
func sameNames(t *testing.T, tab *score.Score, about string) {
	t.Helper()
	xml, text := asXML(t, tab)
	again := asTab(t, xml)
	// As a program leaves it that drops what it does not know: letters alone.
	bare, err := musicxml.Read(bytes.NewReader(bytes.ReplaceAll(text, []byte("letters chosen"), []byte("?"))), "bare.musicxml", score.ReadOptions{})
	require.NoError(t, err)
	for said, opt := range labelOptions(t) {
		want := labelled(tab, opt)
		require.Equal(t, want, labelled(xml, opt), "%s %s as MusicXML", about, said)
		require.Equal(t, want, labelled(again, opt), "%s %s as tab again", about, said)
	}
	require.Equal(t, usedDegrees(tab), usedDegrees(xml), "%s as MusicXML", about)
	require.Equal(t, usedDegrees(tab), usedDegrees(again), "%s as tab again", about)
	require.Equal(t, usedDegrees(tab), usedDegrees(bare.Score()), "%s as MusicXML with letters alone", about)
	for i, label := range labelled(bare.Score(), transform.AnnotateOptions{}) {
		// Intervals have plain names where letters were chosen.
		want := strings.Fields(labelled(tab, transform.AnnotateOptions{})[i])
		require.Subset(t, want[:len(want)-1], strings.Fields(label)[:len(want)-1], "%s with letters alone", about)
	}
}

// TestOneNoteOneName: a note is called the same in a tab and in what is made of
// it, in every example and in whatever is found in the wild.
func TestOneNoteOneName(t *testing.T) {
	examples, err := filepath.Glob(filepath.Join(outside.Root(), "testdata", "examples", "*.tab"))
	require.NoError(t, err)
	found, err := filepath.Glob(filepath.Join(outside.Root(), "tabtext", "testdata", "found", "*.txt"))
	require.NoError(t, err)
	require.NotEmpty(t, examples)
	require.NotEmpty(t, found)
	for _, path := range slices.Concat(examples, found) {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		doc, err := tabtext.Read(bytes.NewReader(data), path, score.ReadOptions{})
		if err != nil {
			continue
		}
		sameNames(t, doc.Score(), path)
	}
}

// randomTab writes a tab without a key: a line of steps and leaps with bends,
// hammer-ons and repeated notes, mostly over chords.
func randomTab(r *rand.Rand) string {
	var b strings.Builder
	low := 2 + r.IntN(6)
	symbols := strings.Fields("C7 Am7 Dm7 G7 E7 F#m7b5 Bb7 Ebmaj7 A5 Gdim7 D9 Bm C/E Abm7")
	b.WriteString("Time: 4/4\n\n")
	for range 1 + r.IntN(3) {
		rows := [6][]string{}
		var chords []string
		str, fret := r.IntN(6), low+r.IntN(5)
		for i := range 8 {
			switch r.IntN(6) {
			case 0:
				str = min(5, max(0, str+r.IntN(3)-1))
				fret = low + r.IntN(5)
			case 1: // again
			default:
				fret = max(0, fret+[...]int{-2, -1, -1, 1, 1, 2}[r.IntN(6)])
			}
			cell := fmt.Sprint(fret)
			if r.IntN(8) == 0 && fret > 2 {
				cell += fmt.Sprintf("b%d", fret+1+r.IntN(2))
			}
			for s := range rows {
				c := ""
				if s == str {
					c = cell
				}
				rows[s] = append(rows[s], c+strings.Repeat("-", 6-len(c)))
			}
			chord := ""
			if i%4 == 0 && low%3 > 0 && r.IntN(3) > 0 {
				chord = symbols[r.IntN(len(symbols))]
			}
			chords = append(chords, chord+strings.Repeat(" ", 8-len(chord))[:max(6-len(chord), 1)])
		}
		if row := strings.TrimRight("  "+strings.Join(chords, ""), " "); row != "" {
			fmt.Fprintln(&b, row)
		}
		for s, name := range strings.Split("eBGDAE", "") {
			fmt.Fprintf(&b, "%s|-%s|\n", name, strings.Join(rows[s], ""))
		}
		fmt.Fprintln(&b)
	}
	return b.String()
}

// TestOneNoteOneNameOfRandomTab is the same of tab that nobody chose.
func TestOneNoteOneNameOfRandomTab(t *testing.T) {
	tritones := 0
	for seed := range uint64(300) {
		text := randomTab(rand.New(rand.NewPCG(seed, 7)))
		doc, err := tabtext.Read(strings.NewReader(text), "random.tab", score.ReadOptions{})
		require.NoError(t, err, text)
		sameNames(t, doc.Score(), fmt.Sprintf("seed %d\n%s", seed, text))
		for _, label := range labelled(doc.Score(), transform.AnnotateOptions{}) {
			if strings.Contains(label, " b5 ") || strings.Contains(label, " #4 ") {
				tritones++
			}
		}
	}
	assert.Greater(t, tritones, 100, "else nothing was tried")
}

// Where a scale was asked for, its letters stay: the ♭4 of an altered scale is no
// 3. Source: the altered scale as handbooks print it, 1 ♭2 ♭3 ♭4 ♭5 ♭6 ♭7.
func TestLettersOfAnAskedScaleStay(t *testing.T) {
	got := lickwright("remap", "-q", "--from", "A minor pentatonic", "--to", "A altered", "--as", "musicxml", example("amber-street.tab"))
	require.Equal(t, exitDone, got.code, got.err)
	assert.Contains(t, got.out, "<step>D</step>\n          <alter>-1</alter>")
	assert.NotContains(t, got.out, "<step>C</step>\n          <alter>1</alter>")
}

// TestSheetsAndPicturesHaveTheSameNames: what a tab is labelled with is what its
// sheet and its picture say.
func TestSheetsAndPicturesHaveTheSameNames(t *testing.T) {
	text := "Key: A minor\nTime: 4/4\n\ne|-----------------|\nB|-----------------|\nG|-2---1---0-------|\nD|-----2-1-0-------|\nA|-0-------------0-|\nE|-----------------|\n   1 & 2 & 3 & 4 &\n"
	file := write(t, filepath.Join(t.TempDir(), "blue.tab"), text)
	assert.Contains(t, lickwright("annotate", "-q", "--show", "degrees", file).out, "b5")
	for _, args := range [][]string{{"convert", "-q", "--as", "html", file}, {"convert", "-q", "--as", "svg", file}, {"diagram", "-q", "-o", "-", "--as", "svg", file}} {
		out := lickwright(args...)
		require.Equal(t, exitDone, out.code, out.err)
		assert.Contains(t, out.out, "♭5", args)
		assert.NotContains(t, out.out, "♯4", args)
	}
}

// TestChosenLettersAgreeWithEditors takes the letters off published songs and
// chooses them anew: degrees that are not in the key get the letter that the
// editor printed.
// Source: the songs of shared/data (see the notes there), keys as printed.
func TestChosenLettersAgreeWithEditors(t *testing.T) {
	all, right := 0, 0
	for _, path := range readable(t) {
		f, err := os.Open(path)
		require.NoError(t, err)
		doc, err := musicxml.Read(f, path, score.ReadOptions{})
		f.Close()
		if err != nil {
			continue // another test tells
		}
		bare := doc.Score().Clone()
		for n := range score.Notes(bare) {
			n.InferredSpelling = !n.Unpitched
		}
		chosen := transform.ChooseLetters(bare)
		was := labelled(doc.Score(), transform.AnnotateOptions{})
		for i, now := range labelled(chosen, transform.AnnotateOptions{}) {
			degree, now := strings.Fields(was[i])[2], strings.Fields(now)[2]
			if strings.ContainsAny(degree+now, "b#") {
				all++
				if degree == now {
					right++
				}
			}
		}
	}
	require.Greater(t, all, 1000)
	share := float64(right) / float64(all)
	t.Logf("%.3f of %d altered degrees", share, all)
	assert.Greater(t, share, 0.77, "by the key alone it is 0.75")
}
