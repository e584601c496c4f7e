package handout

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// The neck of a sheet is marked as the pictures are: a house is the root of
// the chord that is heard, a square another note of it, a disc any other note,
// and what is now the one and now the other. Source: common practice; Am7 is
// A C E G, D7 is D F♯ A C.
func TestNeckMarksTonesOfTheChord(t *testing.T) {
	chords := map[string][]int{"Am7": {9, 0, 4, 7}, "D7": {2, 6, 9, 0}}
	s := example(t, "amber-street.tab")
	want := map[[2]string]string{}
	now := ""
	for _, m := range s.Parts[0].Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.Harmony:
				now = e.Chord.String()
			case *score.Chord:
				for _, n := range e.Notes {
					if n.TieStop {
						continue
					}
					role := "other"
					chord := chords[now]
					if now == "" {
						chord = chords["Am7"] // what leads to the first chord is heard towards it
					}
					require.NotEmpty(t, chord, now)
					for i, c := range chord {
						if c == n.Pitch.Class() && i == 0 {
							role = "root"
						} else if c == n.Pitch.Class() {
							role = "chord-tone"
						}
					}
					at := [2]string{fmt.Sprint(n.Place.String), fmt.Sprint(n.Place.Fret)}
					if was, ok := want[at]; ok && was != role {
						role = "other"
					}
					want[at] = role
				}
			}
		}
	}
	page := domOf(t, written(t, Sheet{Sections: []Section{{Score: s}}}))
	got := map[[2]string]string{}
	for _, e := range page.all(func(e *element) bool { return e.is("note") && e.within("neck") }) {
		for _, role := range []string{"root", "chord-tone", "other"} {
			if e.is(role) {
				got[[2]string{e.attrs["data-string"], e.attrs["data-fret"]}] = role
			}
		}
	}
	assert.Equal(t, want, got)
	said := map[string]string{}
	for _, e := range page.named("dt") {
		if e.within("signs") {
			said[e.text] = e.parent.named("dd")[0].text
		}
	}
	assert.Equal(t, "the root of its chord", said["house on the neck"])
	assert.Equal(t, "another note of its chord", said["square on the neck"])
	assert.Equal(t, "degree of the fret, before any bend", said["number on the neck"])
	assert.Equal(t, "the major scale on A; ♭ is one fret lower, ♯ one higher", said["degrees 1 to 7"])
	assert.Equal(t, "not a note of its chord; or now the root of its chord, now another note of it", said["disc on the neck"])
	assert.Equal(t, "pull-off", said["curve and P"])
	for sign := range said {
		assert.False(t, strings.HasPrefix(sign, "curve with"), "curves are explained once: %s", sign)
	}
}

// Without chords the house is the tonic.
func TestNeckWithoutChordsMarksTheTonic(t *testing.T) {
	s := withoutChords(example(t, "amber-street.tab"))
	page := domOf(t, written(t, Sheet{Worksheet: true, Sections: []Section{{Score: s}}}))
	assert.Contains(t, page.text, "Every place that is the tonic is there")
	assert.Contains(t, page.text, "the tonic: 1, from which degrees count")
	for _, e := range page.all(func(e *element) bool { return e.name == "li" || e.name == "dd" }) {
		assert.NotContains(t, e.text, "root")
	}
}

// What is seen where the tasks stand is explained there, and nothing twice.
func TestSignsStandBesideTheTasks(t *testing.T) {
	lists := func(s Sheet) (page *element, out [][]string) {
		page = domOf(t, written(t, s))
		for _, l := range page.all(func(e *element) bool { return e.is("signs") }) {
			var signs []string
			for _, e := range l.named("div") {
				signs = append(signs, e.text)
			}
			out = append(out, signs)
		}
		return page, out
	}
	page, one := lists(Sheet{Worksheet: true, Sections: []Section{{Score: example(t, "amber-street.tab")}}})
	require.Len(t, one, 2)
	tasks := strings.Join(one[0], "\n")
	for _, sign := range []string{"curve and P", "curved arrow", "wavy line", "house on the neck"} {
		assert.Contains(t, tasks, sign)
	}
	assert.Contains(t, strings.Join(one[1], "\n"), "ring around a number")
	for _, s := range one[1] {
		assert.NotContains(t, one[0], s)
	}
	begins := func(class string) int {
		return page.all(func(e *element) bool { return e.is(class) })[0].begins
	}
	assert.Less(t, begins("signs"), begins("behind"))
	assert.Less(t, begins("tasks"), begins("signs"))

	work := keys(t, "amber-street.tab")
	work.Worksheet = true
	page, several := lists(work)
	require.Len(t, several, 2)
	assert.Less(t, begins("signs"), begins("piece"), "on the first page of several")
	looks := map[string]bool{}
	for _, e := range page.all(func(e *element) bool { return e.name == "dt" && e.within("signs") }) {
		assert.False(t, looks[e.text], "%s is explained twice", e.text)
		looks[e.text] = true
	}
}

// On a screen the answers are closed until they are asked for; in print they
// are always there.
func TestAnswersAreClosedOnScreen(t *testing.T) {
	text := written(t, Sheet{Worksheet: true, Sections: []Section{{Score: example(t, "amber-street.tab")}}})
	text = regexp.MustCompile(`<meta http-equiv="Content-Security-Policy"[^>]*>`).ReplaceAllString(text, "")
	print := strings.ReplaceAll(strings.ReplaceAll(text, "@media print", "@media all"), "@media screen", "@media speech")
	const ask = `</main><script>addEventListener('load', () => {
const shown = q => document.querySelector(q).getClientRects().length > 0, out = [shown('.behind'), shown('.to-answers')];
document.querySelector('.to-answers a').click();
setTimeout(() => { out.push(shown('.behind')); document.body.innerHTML = '<pre>' + out.join(' ') + '</pre>' }, 0);
})</script>`
	for _, c := range []struct{ page, want string }{{text, "false true true"}, {print, "true false true"}} {
		out, _ := chromium(t, strings.Replace(c.page, "</main>", ask, 1), "--dump-dom", "--virtual-time-budget=5000")
		assert.Equal(t, c.want, domOf(t, out).named("pre")[0].text)
	}
}
