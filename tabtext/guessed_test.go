package tabtext

import (
	"strings"
	"testing"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inferred counts the chords whose rhythm is a guess, and all.
func inferred(s *score.Score) (n, all int) {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			for c := range m.Chords() {
				if !c.IsRest() {
					all++
					n += b2i(c.InferredTime)
				}
			}
		}
	}
	return n, all
}

// uneven is a lick whose columns fit no simple rhythm.
const unevenRows = "e|------------------------------------|-12-----------|\nB|-5s8----8------8v------5------------|----15-12-----|\nG|-----------7------7-----7s9---------|----------14--|\nD|------------------------------------|--------------|\nA|------------------------------------|--------------|\nE|------------------------------------|--------------|\n"

// TestGuessesStay: a rhythm that was guessed from spacing stays a guess where the
// text is written anew, as it is or in another tuning: its spacing carries it, or a
// line says it.
func TestGuessesStay(t *testing.T) {
	texts := []string{fullRows, unevenRows, "Time: 3/4\n\n" + strings.ReplaceAll(unevenRows, "14", "14v")}
	dropD, _ := fretboard.PresetByName("drop D")
	for _, tab := range texts {
		d := readText(t, tab)
		n, all := inferred(d.Score())
		require.Equal(t, all, n)
		var out strings.Builder
		require.NoError(t, Write(&out, d.Score(), score.WriteOptions{}))
		again := readText(t, out.String())
		assert.Nil(t, compare(d.Score(), again.Score()), out.String())
		n, all = inferred(again.Score())
		assert.Equal(t, all, n, "%s", out.String())

		retuned := d.Score().Clone()
		for _, m := range retuned.Parts[0].Measures {
			for _, e := range m.Events {
				if nc, ok := e.(*score.NeckChange); ok {
					nc.Neck.Tuning = dropD.Tuning
				}
			}
			for note := range score.Notes(m) {
				if note.Place.String == 6 {
					note.Place.Fret += 2
				}
			}
		}
		e, err := d.Apply(retuned)
		require.NoError(t, err)
		again = readText(t, text(t, e))
		assert.Nil(t, compareLoosely(retuned, again.Score()), text(t, e))
		n, all = inferred(again.Score())
		assert.Equal(t, all, n, "%s", text(t, e))
	}
}

// TestGuessSaid: counts under a line that says they were guessed are a guess, those
// of the next system are not; a line about another rhythm says nothing.
func TestGuessSaid(t *testing.T) {
	counted := strings.TrimRight(fullRows, "\n") + "\n   1 & 2 & 3 & 4 &\n"
	var said score.Diagnostics
	d, err := Read(strings.NewReader("Rhythm: guessed from the spacing\n"+counted+"\n"+counted), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d) }})
	require.NoError(t, err)
	n, all := inferred(d.Score())
	assert.Equal(t, all/2, n)
	require.NotEmpty(t, said)
	assert.Equal(t, "tab-rhythm-guessed", said[0].Code)
	assert.Equal(t, 1, said[0].Pos.Line)
	n, _ = inferred(readText(t, "Rhythm: straight eighths\n"+counted).Score())
	assert.Zero(t, n)
	// It goes with its system when that is written anew, and is not doubled.
	want := d.Score().Clone()
	var cs []*score.Chord
	for c := range want.Parts[0].Measures[0].Chords() {
		cs = append(cs, c)
	}
	cs[0].Duration, cs[1].Onset, cs[1].Duration = score.Q(1, 4), score.Q(1, 4), score.Q(3, 4)
	cs[0].Value, cs[1].Value = score.ValueOf(score.Q(1, 4)), score.ValueOf(score.Q(3, 4))
	e, err := d.Apply(want)
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(text(t, e), "Rhythm:"), text(t, e))
	n, _ = inferred(readText(t, text(t, e)).Score())
	assert.Equal(t, all/2, n, text(t, e))
}
