package handout

import (
	"fmt"
	"math/rand"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The chords of random music with the pitch classes of their tones, the root
// first. Source: common practice; Am7 is A C E G.
var chordTones = map[string][]int{
	"Am7": {9, 0, 4, 7}, "D7": {2, 6, 9, 0}, "G": {7, 11, 2}, "Em": {4, 7, 11}, "Cmaj7": {0, 4, 7, 11}, "E7": {4, 8, 11, 2},
}

// openClasses are the pitch classes of a guitar's open strings, the first one
// first. Source: common practice; E B G D A E.
var openClasses = []int{4, 11, 7, 2, 9, 4}

// randomMusic has a chord in most bars, and notes on the neck, some of them
// bent.
func randomMusic(t *testing.T, rng *rand.Rand) *score.Score {
	t.Helper()
	neck := fretboard.Guitar()
	key, _, err := theory.ParseKey("A minor")
	require.NoError(t, err)
	chords := []string{"Am7", "D7", "G", "Em", "Cmaj7", "E7"}[:1+rng.Intn(6)]
	p := &score.Part{ID: "P1", Staves: 1}
	for i := range 1 + rng.Intn(6) {
		m := &score.Measure{Number: strconv.Itoa(i + 1)}
		if i == 0 {
			m.Events = append(m.Events, &score.NeckChange{Neck: neck}, &score.KeySignature{Key: key, ModeSaid: true},
				&score.TimeSignature{Beats: []string{"4"}, BeatTypes: []int{4}})
		}
		if i == 0 || rng.Intn(3) > 0 {
			c, err := theory.ParseChord(chords[rng.Intn(len(chords))])
			require.NoError(t, err)
			m.Events = append(m.Events, &score.Harmony{Chord: c})
		}
		for b := range int64(4) {
			at := fretboard.Place{String: 1 + rng.Intn(6), Fret: rng.Intn(6)}
			n := &score.Note{Place: at, Pitch: theory.SpellIn(theory.Key{}, neck.Tuning.Open(at.String).MIDI()+at.Fret)}
			if rng.Intn(8) == 0 && at.Fret > 0 {
				n.Techniques = []score.Technique{score.Bend{Amount: score.Q(2, 1)}}
			}
			m.Events = append(m.Events, &score.Chord{Common: score.Common{Onset: score.Q(b, 1), Staff: 1}, Duration: score.Q(1, 1), Voice: 1,
				Value: score.NoteValue{Log: 2, Known: true}, Notes: []*score.Note{n}})
		}
		p.Measures = append(p.Measures, m)
	}
	return &score.Score{Title: "made", Parts: []*score.Part{p}}
}

// What the task says is given is what is given, and what the signs say of discs
// is what they are: both are counted anew from the page, from its chord symbols
// and its numbers and where they stand.
func TestTaskSaysWhatIsGiven(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	missing := regexp.MustCompile(`, (\d+) others? (?:is|are) missing\.`)
	seen := map[string]int{}
	for range 150 {
		s := randomMusic(t, rng)
		page := domOf(t, written(t, Sheet{Worksheet: true, Sections: []Section{{Score: s}}}))
		roots, others := map[[2]string][]int{}, map[[2]string][]bool{} // 0 other, 1 tone, 2 root; was it a tone?
		symbols := chordsOfPage(t, page)
		names := map[string]bool{}
		for l, numbers := range numbersOf(t, page, false) {
			if !strings.HasPrefix(l.section, "section") {
				continue
			}
			str, err := strconv.Atoi(l.str)
			require.NoError(t, err)
			for _, n := range numbers {
				fret, err := strconv.Atoi(n.text)
				require.NoError(t, err)
				name := symbolAt(symbols, n)
				require.Contains(t, chordTones, name)
				names[name] = true
				role := 0
				for i, c := range chordTones[name] {
					switch {
					case c == (openClasses[str-1]+fret)%12 && i == 0:
						role = 2
					case c == (openClasses[str-1]+fret)%12:
						role = 1
					}
				}
				at := [2]string{l.str, n.text}
				roots[at] = append(roots[at], role)
				others[at] = append(others[at], role > 0)
			}
		}
		all := func(at [2]string, role int) bool {
			for _, r := range roots[at] {
				if r != role {
					return false
				}
			}
			return true
		}
		task := ""
		for _, e := range elementByID(page, "section-1").all(func(e *element) bool { return e.name == "li" && strings.HasPrefix(e.text, "Fill in") }) {
			task = e.text
		}
		given := placesOn(page, "section-1")
		answers := placesOn(page, "answers-1")
		answer := elementByID(page, "answers-1").text
		if task == "" || strings.Contains(task, "the tonic") {
			for at := range roots {
				assert.False(t, all(at, 2), "%v is a root: the task could be set", at)
			}
			continue
		}
		assert.Len(t, answers, len(roots))
		sometimes := false
		for at, roles := range roots {
			assert.Equal(t, all(at, 2), given[at] == "root", "%v %v", at, roles)
			if !all(at, 2) {
				assert.NotContains(t, given, at)
			}
			was := false
			for _, r := range roles {
				was = was || r == 2
			}
			if was && !all(at, 2) {
				sometimes = true
				name := [...]string{"e", "B", "G", "D", "A", "E"}[at[0][0]-'1'] + " string, fret " + at[1]
				if at[1] == "0" {
					name = strings.Replace(name, "fret 0", "open", 1)
				}
				_, said, ok := strings.Cut(answer, "Sometimes a root: ")
				assert.True(t, ok)
				assert.Contains(t, said, name)
			}
			want := "other"
			for role, class := range []string{"other", "chord-tone", "root"} {
				if all(at, role) {
					want = class
				}
			}
			assert.Equal(t, want, answers[at], "%v %v", at, roles)
		}
		assert.Equal(t, sometimes, strings.Contains(task, "The places that are always the root"), task)
		assert.Equal(t, !sometimes, strings.Contains(task, "Every place that is the root"), task)
		assert.Equal(t, sometimes, strings.Contains(answer, "Sometimes a root"), answer)
		n := missing.FindStringSubmatch(task)
		require.NotNil(t, n, task)
		assert.Equal(t, n[1], strconv.Itoa(len(answers)-len(given)))
		seen[fmt.Sprint("sometimes ", sometimes)]++

		of := "its chord"
		if len(names) == 1 {
			for name := range names {
				of = name
			}
		}
		var want []string
		kinds := [3]bool{}
		for at, class := range answers {
			if class != "other" {
				continue
			}
			tone, none := false, false
			for _, was := range others[at] {
				tone, none = tone || was, none || !was
			}
			kinds[0] = kinds[0] || !tone
			kinds[1] = kinds[1] || !none
			kinds[2] = kinds[2] || tone && none
		}
		for i, text := range []string{"not a note of " + of, "now the root of its chord, now another note of it", "now a note of " + of + ", now not"} {
			if kinds[i] {
				want = append(want, text)
				seen[strconv.Itoa(i)]++
			}
		}
		said := ""
		for _, e := range page.all(func(e *element) bool { return e.name == "dt" && e.text == "disc on the neck" }) {
			said = e.parent.named("dd")[0].text
		}
		assert.Equal(t, strings.Join(want, "; or "), said)
	}
	for _, kind := range []string{"sometimes true", "sometimes false", "0", "1", "2"} {
		assert.Greater(t, seen[kind], 5, "%s: too seldom to be a proof", kind)
	}
}

// placesOn returns what stands on the neck of a section, by string and fret.
func placesOn(page *element, id string) map[[2]string]string {
	out := map[[2]string]string{}
	for _, e := range elementByID(page, id).all(func(e *element) bool { return e.is("note") && e.within("neck") }) {
		for _, role := range []string{"root", "chord-tone", "other"} {
			if e.is(role) {
				out[[2]string{e.attrs["data-string"], e.attrs["data-fret"]}] = role
			}
		}
	}
	return out
}

// A symbol is a chord symbol of a page: in which picture it stands, the nth of
// the section, and how far to the right it begins.
type symbol struct {
	text, picture string
	x             float64
}

func chordsOfPage(t *testing.T, page *element) (out []symbol) {
	t.Helper()
	for _, e := range elementByID(page, "section-1").all(func(e *element) bool { return e.name == "svg" && e.is("tab") && !e.is("narrow") }) {
		out = append(out, symbol{picture: e.attrs["aria-labelledby"]}) // where it begins
		for _, c := range e.all(func(e *element) bool { return e.is("chord") }) {
			parts := c.named("tspan")
			if len(parts) == 0 {
				parts = []*element{c}
			}
			for _, p := range parts {
				xs := strings.Fields(p.attrs["x"])
				offset := 0
				for word := range strings.SplitSeq(p.text, " ") { // a blank has a place too
					if word != "" {
						at, err := strconv.ParseFloat(xs[offset], 64)
						require.NoError(t, err, "%v", p.attrs)
						out = append(out, symbol{word, e.attrs["aria-labelledby"], at})
					}
					offset += len(word) + 1
				}
			}
		}
	}
	return out
}

// symbolAt returns the chord symbol that holds for a number: the last one that
// begins before its middle, in its system or in one before.
func symbolAt(all []symbol, n numeral) (name string) {
	here := false
	for _, s := range all {
		if here && s.picture != n.picture || s.picture == n.picture && s.x > n.x {
			break
		}
		here = here || s.picture == n.picture
		if s.text != "" {
			name = s.text
		}
	}
	return name
}
