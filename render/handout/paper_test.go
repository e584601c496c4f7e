package handout

import (
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

// A blank has room for a sign and a digit by hand, 7 mm wide and, from what
// stands above, 6 mm high; the answers have their labels on the same lines, told
// from those that were given by more than their colour. Source: CSS Values and
// Units 4: an inch, 25.4 mm, is 96 px.
func TestBlanksCanBeWrittenOn(t *testing.T) {
	const mm = 96 / 25.4
	line := regexp.MustCompile(`h([0-9.]+)`)
	page := domOf(t, written(t, Sheet{Worksheet: true, Sections: []Section{{Score: example(t, "amber-street.tab")}}}))
	lengths := map[string][]string{}
	for _, id := range []string{"section-1", "answers-1"} {
		blank := elementByID(page, id).all(func(e *element) bool { return e.name == "path" && e.is("blank") && !e.within("narrow") })
		require.NotEmpty(t, blank)
		for _, p := range blank {
			d := p.attrs["d"]
			for _, m := range line.FindAllStringSubmatch(d, -1) {
				lengths[id] = append(lengths[id], m[1])
			}
			_, rest, ok := strings.Cut(d, " ")
			require.True(t, ok)
			lineY, err := strconv.ParseFloat(regexp.MustCompile(`^[0-9.]+`).FindString(rest), 64)
			require.NoError(t, err, d)
			stems := 0.0 // as far as rhythm reaches down
			for _, x := range p.parent.all(func(e *element) bool { return e.name == "path" && e.is("string") }) {
				y := regexp.MustCompile(`^M[0-9.]+ ([0-9.]+)`).FindStringSubmatch(x.attrs["d"])
				require.NotNil(t, y)
				top, err := strconv.ParseFloat(y[1], 64)
				require.NoError(t, err)
				stems = top + 5*stringGap
			}
			assert.Greater(t, lineY-stems, 6*mm)
		}
	}
	require.Equal(t, len(lengths["section-1"]), len(lengths["answers-1"]))
	for _, l := range lengths["section-1"] {
		w, err := strconv.ParseFloat(l, 64)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, w, 7*mm-.05)
	}
	rules := map[string]string{}
	for _, r := range regexp.MustCompile(`\.tab \.(label[-0-9]*) \{ ([^}]*)\}`).FindAllStringSubmatch(written(t, Sheet{Worksheet: true, Sections: []Section{{Score: example(t, "amber-street.tab")}}}), -1) {
		rules[r[1]] = r[2]
	}
	require.Len(t, rules, 2)
	bold := 0
	for _, r := range rules {
		if strings.Contains(r, "font-weight: 700") {
			bold++
		}
	}
	assert.Equal(t, 1, bold)
}

// Task and answer can be laid over each other: neck and music have the same
// measures.
func TestAnswersLieOverTheTasks(t *testing.T) {
	work := keys(t, "amber-street.tab")
	work.Worksheet = true
	page := domOf(t, written(t, work))
	for i := range work.Sections {
		n := strconv.Itoa(i + 1)
		sizes := func(id string) (out []string) {
			for _, e := range elementByID(page, id).all(func(e *element) bool { return e.name == "figure" || e.name == "svg" && e.is("wide") }) {
				out = append(out, e.attrs["style"]+e.attrs["width"])
			}
			for _, e := range elementByID(page, id).named("text") {
				if e.attrs["data-string"] != "" && !e.within("narrow") {
					out = append(out, e.attrs["x"])
				}
			}
			return out
		}
		assert.Equal(t, sizes("section-"+n), sizes("answers-"+n))
	}
}

// Strings have the same names on the neck, beside the tab and in the room that
// is left; the first E of a guitar is written small.
func TestStringsHaveOneName(t *testing.T) {
	page := domOf(t, written(t, Sheet{Sections: []Section{{Score: example(t, "amber-street.tab")}}}))
	var neck, tab, own []string
	for _, e := range page.named("text") {
		switch {
		case e.is("tuning") && e.within("neck"):
			neck = append(neck, e.text)
		case e.within("own") && e.text != "":
			own = append(own, e.text)
		case e.within("tab") && (e.is("string-name") || e.attrs["data-string"] != "") && !e.within("narrow"):
			tab = append(tab, strings.Fields(e.text)[0])
		}
	}
	want := []string{"e", "B", "G", "D", "A", "E"}
	assert.Equal(t, want, neck)
	require.Zero(t, len(tab)%len(want))
	for i, name := range tab { // system by system
		assert.Equal(t, want[i%len(want)], name)
	}
	assert.Equal(t, want, own)
}

// A house reaches no dot on the string above it. The measures are those of the
// picture: what is drawn of each, its outline included.
func TestHousesAreClearOfDotsAbove(t *testing.T) {
	s := example(t, "amber-street.tab").Clone()
	i := 0
	for n := range score.Notes(s) { // a root under a note that is none
		n.Place = fretboard.Place{String: 1 + i%6, Fret: 5}
		n.Pitch = theory.SpellIn(theory.Key{}, fretboard.Guitar().Tuning.Open(n.Place.String).MIDI()+5)
		i++
	}
	page := domOf(t, written(t, Sheet{Sections: []Section{{Score: s}}}))
	tops, bottoms := map[string]float64{}, map[string]float64{}
	value := func(e *element, name string) float64 {
		v, err := strconv.ParseFloat(e.attrs[name], 64)
		require.NoError(t, err, "%s of %v", name, e.attrs)
		return v
	}
	for _, g := range page.all(func(e *element) bool { return e.is("note") && e.within("neck") }) {
		str := g.attrs["data-string"]
		for _, e := range g.children {
			half := 0.0
			if e.attrs["stroke-width"] != "" {
				half = value(e, "stroke-width") / 2
			}
			switch {
			case e.is("house"):
				tops[str] = value(&element{attrs: map[string]string{"y": regexp.MustCompile(`^M[0-9.]+[ ,]([0-9.]+)`).FindStringSubmatch(e.attrs["d"])[1]}}, "y") - half
			case e.is("tile"):
				bottoms[str] = value(e, "y") + value(e, "height") + half
			case e.is("disc"):
				bottoms[str] = value(e, "cy") + value(e, "r") + half
			}
		}
	}
	require.NotEmpty(t, tops)
	met := 0
	for str, top := range tops {
		n, err := strconv.Atoi(str)
		require.NoError(t, err)
		if bottom, ok := bottoms[strconv.Itoa(n-1)]; ok {
			met++
			assert.Greater(t, top, bottom+1, "string %s", str)
		}
	}
	assert.Positive(t, met)
}

// A short sheet is laid out at once, so that a picture of all of it is whole; a
// long one is laid out as far as it is seen.
func TestOnlyLongPagesAreLaidOutLater(t *testing.T) {
	long := func(s Sheet) bool {
		return domOf(t, written(t, s)).named("main")[0].is("long")
	}
	assert.False(t, long(Sheet{Worksheet: true, Sections: []Section{{Score: example(t, "amber-street.tab")}}}))
	assert.True(t, long(keys(t, "amber-street.tab")))
	assert.Regexp(t, `\.long \.piece \{ content-visibility: auto`, sheetCSS)
	assert.NotRegexp(t, `\n  \.piece \{ content-visibility`, sheetCSS)
}

// What is read aloud calls a bar before the first one the pickup.
func TestPickupIsNotBarZero(t *testing.T) {
	text := written(t, Sheet{Sections: []Section{{Score: example(t, "amber-street.tab")}}})
	assert.Contains(t, text, "Pickup. Beat ")
	assert.Contains(t, text, "Tab, pickup to bar 4")
	assert.NotContains(t, strings.ToLower(text), "bar 0")
	assert.NotContains(t, strings.ToLower(text), "bars 0")
}

// What to take care of is said once on a page, whoever says it, and what else
// was said with it stays.
func TestCautionIsSaidOnce(t *testing.T) {
	sheet := shapes(t)
	sheet.Sections = sheet.Sections[:3]
	own := "Slowly and cleanly first. Long practice can strain a hand: " + strings.ToLower(strain[:1]) + strain[1:]
	for i := range sheet.Sections {
		sheet.Sections[i].Remarks = []string{own}
		if i == 1 {
			sheet.Sections[i].Remarks = []string{strain, own + " Then rest."}
		}
	}
	text := written(t, sheet)
	assert.Equal(t, 1, strings.Count(text, "clinician"))
	assert.Equal(t, 3, strings.Count(text, "Slowly and cleanly first."))
	assert.Contains(t, text, "Slowly and cleanly first. Then rest.")

	one := Sheet{Sections: sheet.Sections[:1]} // which has no word of caution of its own
	assert.Equal(t, 1, strings.Count(written(t, one), "clinician"))
}

// Boxes to tick stand in the order of the page when they are read across, as
// text is.
func TestTicksAreReadAcross(t *testing.T) {
	sheet := shapes(t)
	sheet.Sections = sheet.Sections[:5]
	text := regexp.MustCompile(`<meta http-equiv="Content-Security-Policy"[^>]*>`).ReplaceAllString(written(t, sheet), "")
	out, _ := chromium(t, strings.Replace(text, "</main>", `</main><script>addEventListener('load', () => {
const all = [...document.querySelectorAll('.ticks a')].map(a => ({ name: a.textContent, r: a.getBoundingClientRect() }));
all.sort((a, b) => Math.round(a.r.top - b.r.top) || a.r.left - b.r.left);
document.body.innerHTML = '<pre>' + all.map(a => a.name).join('\n') + '</pre>' })</script>`, 1), "--dump-dom", "--window-size=728,900")
	var want []string
	for _, sec := range sheet.Sections {
		want = append(want, sec.Heading)
	}
	assert.Equal(t, want, strings.Split(domOf(t, out).named("pre")[0].text, "\n"))
}
