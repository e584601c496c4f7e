package tabtext

import (
	"strconv"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const strings6 = "\ne|-----------------|\nB|-5---5---8---5---|\nG|-----------------|\nD|-----------------|\nA|-----------------|\nE|-----------------|\n"

// TestChordRows reads rows of chord symbols as people write them and moves
// every symbol up a whole tone; the other words stay. What a symbol is, the
// minus for minor too, is common practice.
func TestChordRows(t *testing.T) {
	for _, c := range []struct{ row, want string }{
		{"   E-7     A7", "   F#-7    B7"},
		{"   D-7 G-7", "   E-7 A-7"},
		{"   E-7b5   A7", "   F#-7b5  B7"},
		{"   Dm7     (G7)    Cmaj7", "   Em7     (A7)    Dmaj7"},
		{"   Dm7 G7 x2", "   Em7 A7 x2"},
		{"   Am7 D7 (repeat)", "   Bm7 E7 (repeat)"},
		{"   Am7 let ring", "   Bm7 let ring"},
		{"   Am7   P.M.---|", "   Bm7   P.M.---|"},
		{"   A7 (V)", "   B7 (V)"},
		{"   Am7*    Am7?", "   Bm7*    Bm7?"},
		{"   Am7 → D7", "   Bm7 → E7"},
		{"   Am7 . D7 .", "   Bm7 . E7 ."},
		{"   [Am7]   E♭maj7  C♯m7", "   [Bm7]   Fmaj7   D♯m7"},
		{"   Em (verse)   Am", "   F#m (verse)  Bm"},
		{"   |Em     |Am     |", "   |F#m    |Bm     |"},
		{"Verse: Em Am", "Verse: F#m Bm"},
		{"   PM---|  Am", "   PM---|  Bm"},
		{"   C               G", "   D               A"},
		{"   C                  G", "   D                  A"},
		{"A nice lick in E", "A nice lick in E"},
		{"Am I blue tonight", "Am I blue tonight"},
	} {
		t.Run(strings.TrimSpace(c.row), func(t *testing.T) {
			d := readText(t, "Time: 4/4\n\n"+c.row+strings6)
			edited, err := d.Apply(toneUp(d.Score()))
			require.NoError(t, err)
			assert.Equal(t, c.want, strings.Split(text(t, edited), "\n")[2])
		})
	}
	t.Run("under the tab", func(t *testing.T) {
		d := readText(t, "Time: 4/4\n"+strings6+"   Am7\n")
		edited, err := d.Apply(toneUp(d.Score()))
		require.NoError(t, err)
		assert.Contains(t, text(t, edited), "\n   Bm7\n")
	})
	t.Run("doubtful lines are reported", func(t *testing.T) {
		var said score.Diagnostics
		_, err := Read(strings.NewReader("Am I blue tonight"+strings6), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d) }})
		require.NoError(t, err)
		assert.Contains(t, codes(said), "tab-chord-row")
	})
}

func codes(ds score.Diagnostics) []string {
	var out []string
	for _, d := range ds {
		out = append(out, d.Code)
	}
	return out
}

// toneUp moves the chord symbols up a whole tone.
func toneUp(s *score.Score) *score.Score {
	s = s.Clone()
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			for _, e := range m.Events {
				if h, ok := e.(*score.Harmony); ok {
					h.Chord = h.Chord.Transpose(theory.Interval{Steps: 1, Semitones: 2})
				}
			}
		}
	}
	return s
}

// TestFaults holds texts that were once misread, each with the line of the
// reading that was written by hand from the text. Common practice all.
func TestFaults(t *testing.T) {
	const three = "\nB|-----------------|\nG|-----------------|\n"
	for _, c := range []struct{ name, text, want string }{
		{"legend of two signs", "x = dead note, ~ = vibrato\n\ne|-x-------5~------|" + three, "0+2=1.0/dead 2+2=1.5/vib"},
		{"legend in the other order", "p = pull-off, h = hammer-on\n\ne|-7p5-----5h7-----|" + three, "0+1/2=1.7/p> 1/2+3/2=1.5/>p 2+1/2=1.5/h> 5/2+3/2=1.7/>h"},
		{"legend parted by strokes", "h = hammer-on / p = pull-off\n\ne|-7p5-----5h7-----|" + three, "0+1/2=1.7/p> 1/2+3/2=1.5/>p 2+1/2=1.5/h> 5/2+3/2=1.7/>h"},
		{"legend of slaps", "s = slap\n\ne|-5---s7--5---s7--|" + three, "0+1=1.5 1+1=1.7/slap 2+1=1.5 3+1=1.7/slap"},
		{"legend of stars", "* = natural harmonic\n\ne|-12*-----7*------|" + three, "0+2=1.12/harm1:0:0 2+2=1.7/harm1:12:0"},
		{"bracket over its count", "e|---------5-------|\nB|-5---(5)-----5---|\nG|-----------------|\n   1   2   3   4\n", "0+1=2.5 1+1=2.5/ghost 2+1=1.5 3+1=2.5"},
		{"tap over its count", "e|-t12-----5-------|\nB|-----5-------5---|\nG|-----------------|\n   1   2   3   4\n", "0+1=1.12/tap 1+1=2.5 2+1=1.5 3+1=2.5"},
		{"a column beside its count", "e|-5----5--5---5---|" + three + "   1   2   3   4\n", "0+1=1.5 1+1=1.5 2+1=1.5 3+1=1.5"},
		{"bracket first without counts", "e|-<12>-------|\nB|--------5---|\nG|------------|\n", "0+2=1.12/harm1:0:0 2+2=2.5"},
		{"triplet a column beside", "Time: 4/4\n\n   |-----3-----|\ne|------------------|\nB|-5---6---8---6----|\nG|------------------|\n   1  trip let 2\n", "0+1/3(3:2)=2.5 1/3+1/3(3:2)=2.6 2/3+1/3(3:2)=2.8 1+3=2.6"},
		{"metre before", "Slow 6/8\n\ne|-5--5--5--5--5--5--|\nB|-------------------|\nG|-------------------|\n", "bar 1, 3: (G3 B3 E4) (6/8)"},
		{"metre between commas", "Waltz, 3/4, normal tuning\n\nG|-5---5---5---|\nD|-------------|\nA|-------------|\nE|-------------|\n", "bar 1, 3: (E1 A1 D2 G2) (3/4)"},
		{"a bar of another metre is none", "that's a 2/4 bar in the middle\n\ne|-5---5---5---5---|" + three, "bar 1, 4: (G3 B3 E4) 0"},
		{"metre of the counts", "e|-5---5---5---|\nB|-------------|\nG|-------------|\n   1   2   3\n", "(3/4) 0+1=1.5 1+1=1.5 2+1=1.5"},
		{"a held last note is no metre", "e|-5---5---5-------|" + three + "   1   2   3\n", "bar 1, 4: (G3 B3 E4) 0+1=1.5 1+1=1.5 2+2=1.5"},
		{"a broken bar", "e|-0-3-5-7-0-3-5-7-|-0-3-5-7-\nB|-----------------|---------\nG|-----------------|---------\n\ne--8-7-5-3-|-0-3-5-7-0-3-5-7-|\nB----------|-----------------|\nG----------|-----------------|\n",
			"bar 2, 2: 0+1/2=1.0 1/2+1/2=1.3 1+1/2=1.5 3/2+1/2=1.7\nbar 3, 2: 0+1/2=1.8 1/2+1/2=1.7 1+1/2=1.5 3/2+1/2=1.3\n"},
		{"endings without ends", " |1.                |2.\ne|-0-------3-------:|-0---------------|\nB|-----------------:|-----------------|\nG|-----------------:|-----------------|\n", "{back x0 stop 1}\nbar 2, 4: { start 2} 0+4=1.0 { discontinue 2}"},
		{"a tab after the label", "G\t|-0---3---5---0---|\nD\t|-----------------|\nA\t|-----------------|\nE\t|-----------------|\n", "(E1 A1 D2 G2) 0+1=1.0 1+1=1.3 2+1=1.5 3+1=1.0"},
		{"small e on top", "tune down a whole step\n" + strings6, "(D2 G2 C3 F3 A3 D4) 0+1=2.5"},
		{"small e at the bottom", "tune down a whole step\n\nE|-----------------|\nA|-----------------|\nD|-----------------|\nG|-----------------|\nB|-5---5---8---5---|\ne|-----------------|\n", "(D2 G2 C3 F3 A3 D4) 0+1=2.5"},
		{"strings named, labels of habit", "Tuning: D G C F A D\n" + strings6, "(D2 G2 C3 F3 A3 D4) 0+1=2.5"},
		{"bass half a step down", "tuned half a step down\n\nG|-0---3---5---0---|\nD|-----------------|\nA|-----------------|\nE|-----------------|\n", "0+1=1.0 1+1=1.3"},
		{"players", "Gtr 1\ne|-0---0---0---0---|" + three + "\nGtr 2\ne|-5---5---5---5---|" + three, "part \"Gtr 2\"\nbar 1, 4: (G3 B3 E4) 0+1=1.5"},
		{"metres among chords", "   Em                2/4\ne|-0---0---0---0---|-0---0---|\nB|-----------------|---------|\nG|-----------------|---------|\n", "0:Em 0+1=1.0 1+1=1.0 2+1=1.0 3+1=1.0\nbar 2, 2: (2/4) 0+1=1.0 1+1=1.0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Contains(t, digest(readText(t, c.text).Score(), nil), c.want)
		})
	}
}

// TestIndentStays: tabs before and after the strings stay bytes of their own.
func TestIndentStays(t *testing.T) {
	const in = "\tG|-5---\t\n\tD|-----\t\n\tA|-----\t\n"
	d := readText(t, in)
	edited, err := d.Apply(shift(d.Score(), 2))
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(in, "5", "7", 1), text(t, edited))
}

// TestUnheld: prose is reported to whoever writes another format.
func TestUnheld(t *testing.T) {
	assert.Empty(t, readText(t, "Title: Low Lamp\n"+strings6).Unheld())
	ds := readText(t, "Low Lamp\nby the pond\n"+strings6).Unheld()
	require.Len(t, ds, 1)
	assert.Equal(t, 1, ds[0].Pos.Line)
	assert.Contains(t, ds[0].Msg, "2 lines")
}

// Extents and tuplet brackets may stand in one line, and what is above it
// belongs to the system too.
func TestExtentsBesideBrackets(t *testing.T) {
	d := readText(t, `Am
PM------|            |-3-|
e|-5-7-8-5-7-8-5-7-|-5-7-8-5---5-----|
B|-----------------|-----------------|
G|-----------------|-----------------|
`)
	got := digest(d.Score(), nil)
	assert.Contains(t, got, "0:Am")
	assert.Contains(t, got, "1.5/PM>")
	assert.Contains(t, got, "(3:2)=1.7")
}

// TestPositionsInRaggedRows: a number stands where its position says, also in
// a row that has fewer columns than the others.
func TestPositionsInRaggedRows(t *testing.T) {
	for _, text := range []string{
		"e|-3-|\nB|---|\nG||--3)",
		"e|-1---2---3---4---|\n\nM|-----------------|\n\nG|----{-------------|\n\n\n\nA|-----------------|\n\nE|--------------,--|6\nD|----------------|6",
		"e|-----------------|-----------------|\nB|-5---6---8---6---|-5---------------|\nG|----------------|-----7---5---7---|\n",
		"e|-----------------|-----------------|\nB|-5---6---8---6----|-5---------------|\nG|-----------------|-----7---5---7---|\n",
	} {
		d := readText(t, text)
		lines := strings.Split(text, "\n")
		for n := range score.Notes(d.Score()) {
			pos := d.Score().PosOf(n.Src)
			require.Less(t, pos.Col-1, len(lines[pos.Line-1]), text)
			assert.Equal(t, strconv.Itoa(n.Place.Fret), lines[pos.Line-1][pos.Col-1:pos.Col], "%s\n%v", text, pos)
		}
	}
}
