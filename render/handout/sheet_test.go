package handout

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/render/internal/ink"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// example reads one of the bundled licks.
func example(t testing.TB, name string) *score.Score {
	t.Helper()
	path := filepath.Join(outside.Root(), "testdata", "examples", name)
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	if strings.HasSuffix(name, ".tab") {
		d, err := tabtext.Read(f, name, score.ReadOptions{})
		require.NoError(t, err)
		return d.Score()
	}
	d, err := musicxml.Read(f, name, score.ReadOptions{})
	require.NoError(t, err)
	return d.Score()
}

func examples() []string {
	return []string{
		"amber-street.tab", "amber-street.musicxml", "kitchen-waltz.tab", "lantern-riff.tab", "morning-gate.musicxml", "seven-stairs.tab",
		"slow-harbour.tab", "window-chords.tab",
	}
}

func written(t testing.TB, s Sheet) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, WriteSheet(&b, s, score.WriteOptions{}))
	return b.String()
}

// keys is a lick in all keys.
func keys(t testing.TB, name string) Sheet {
	s := example(t, name)
	from, _, ok := transform.KeyAtStart(s)
	require.True(t, ok)
	var sheet Sheet
	for _, to := range transform.AllKeys(from, transform.Semitones) {
		moved, _ := transform.Transpose(s, from.Tonic.IntervalTo(to.Tonic, theory.Up), transform.TransposeOptions{})
		sheet.Sections = append(sheet.Sections, Section{Heading: to.Pretty(), Score: moved})
	}
	return sheet
}

// shapes is a scale in all keys and all five shapes.
func shapes(t testing.TB) Sheet {
	neck := fretboard.Guitar()
	major, err := theory.ScaleByName("major")
	require.NoError(t, err)
	sheet := Sheet{Title: "Five shapes"}
	for _, tonic := range theory.PracticalTonics(theory.Major) {
		tones := fretboard.ScaleTones(tonic, major)
		regions, err := fretboard.ChordShape{}.Regions(neck, tones)
		require.NoError(t, err)
		key, _ := transform.KeyForTones(tones)
		for _, r := range fretboard.Once(regions) {
			l := r.Lay(tones)
			music := transform.LayOut([]transform.Passage{transform.Run(l, transform.Rising)}, transform.LayOutOptions{Neck: neck, Key: &key})
			sheet.Sections = append(sheet.Sections, Section{Heading: tonic.Pretty() + " major, " + r.Name, Score: music, Layouts: []fretboard.Layout{l}})
		}
	}
	require.Len(t, sheet.Sections, 60)
	return sheet
}

// A place is where a number stands on a page: which note of which section.
type place struct{ section, part, bar, at, str string }

// numbersOf reads the numbers of a page, from the systems of one width.
func numbersOf(page *element, narrow bool) map[place][]string {
	out := map[place][]string{}
	for _, x := range page.named("text") {
		if x.attrs["data-string"] == "" || x.within("narrow") != narrow || !x.within("system") {
			continue
		}
		section := x
		for section.name != "section" {
			section = section.parent
		}
		p := place{section.attrs["id"], x.attrs["data-part"], x.attrs["data-bar"], x.attrs["data-at"], x.attrs["data-string"]}
		times, err := strconv.Atoi(x.attrs["data-notes"])
		if err != nil {
			times = 1
		}
		for range times {
			out[p] = append(out[p], x.text)
		}
	}
	return out
}

// numbersWanted are those of the model.
func numbersWanted(s Sheet, id string) map[place][]string {
	out := map[place][]string{}
	for i, sec := range s.Sections {
		for n, p := range sec.Score.Parts {
			for b, m := range p.Measures {
				for c := range m.Chords() {
					for _, note := range c.Notes {
						k := place{fmt.Sprintf("%s-%d", id, i+1), strconv.Itoa(n + 1), strconv.Itoa(b + 1), c.Onset.String(), strconv.Itoa(note.Place.String)}
						out[k] = append(out[k], strconv.Itoa(note.Place.Fret))
					}
				}
			}
		}
	}
	return out
}

var firstNumber = regexp.MustCompile(`[0-9]+`)

// assertNumbers compares the numbers of a page with the model.
func assertNumbers(t *testing.T, want, got map[place][]string) {
	t.Helper()
	assert.Len(t, got, len(want))
	for p, frets := range want {
		var digits []string
		for _, text := range got[p] {
			digits = append(digits, firstNumber.FindString(text))
		}
		assert.ElementsMatch(t, frets, digits, "%+v", p)
	}
}

// The numbers of the page are those of the model.
func TestNumbersAreThoseOfTheModel(t *testing.T) {
	for _, name := range examples() {
		sheet := Sheet{Sections: []Section{{Score: example(t, name)}}}
		page := domOf(t, written(t, sheet))
		want := numbersWanted(sheet, "section")
		require.NotEmpty(t, want)
		assertNumbers(t, want, numbersOf(page, false))
		if narrow := numbersOf(page, true); len(narrow) > 0 {
			assertNumbers(t, want, narrow)
		}
	}
	sheet := keys(t, "slow-harbour.tab")
	assertNumbers(t, numbersWanted(sheet, "section"), numbersOf(domOf(t, written(t, sheet)), false))
	voices := Sheet{Sections: []Section{{Score: ofVoices(t)}}}
	want := numbersWanted(voices, "section")
	page := domOf(t, written(t, voices))
	assertNumbers(t, want, numbersOf(page, false))
	shared := page.all(func(e *element) bool { return e.attrs["data-notes"] == "2" && !e.within("narrow") })
	assert.NotEmpty(t, shared, "equal numbers of two voices are one")
}

// ofVoices is a lick with grace notes and a second voice on the same strings:
// in some places at the same fret, in some at another one, in some alone.
func ofVoices(t *testing.T) *score.Score {
	s := example(t, "amber-street.tab").Clone()
	for _, m := range s.Parts[0].Measures {
		i := 0
		for _, e := range slices.Clone(m.Events) {
			c, ok := e.(*score.Chord)
			if !ok || c.IsRest() {
				continue
			}
			second := score.CopyEvent(c).(*score.Chord)
			second.Voice = 2
			for _, n := range second.Notes {
				n.Techniques = nil
				switch i++; i % 3 {
				case 0:
					n.Place.Fret += 2
				case 1:
					n.Place.String = n.Place.String%6 + 1
				}
			}
			m.Events = append(m.Events, second)
			if i%4 == 0 {
				grace := score.CopyEvent(c).(*score.Chord)
				grace.Grace, grace.Duration, grace.Value = score.Slashed, score.Quarters{}, score.NoteValue{Log: 3, Known: true}
				for _, n := range grace.Notes {
					n.Place.Fret++
					n.Techniques = nil
				}
				m.Events = slices.Insert(m.Events, slices.Index(m.Events, e), score.Event(grace))
			}
		}
		m.SortEvents()
	}
	return s
}

// What a reader who does not see the page is told: language, title, headings
// in order, words for every picture. Source: WCAG 2.2, 1.1.1, 1.3.1, 2.4.2,
// 2.4.6, 3.1.1.
func TestPageIsAccessible(t *testing.T) {
	sheets := []Sheet{keys(t, "amber-street.tab"), {Sections: []Section{{Score: example(t, "morning-gate.musicxml")}}}, shapes(t)}
	work := keys(t, "slow-harbour.tab")
	work.Worksheet = true
	for _, sheet := range append(sheets, work) {
		page := domOf(t, written(t, sheet))
		require.Len(t, page.named("html"), 1)
		assert.Equal(t, "en", page.named("html")[0].attrs["lang"])
		assert.NotEmpty(t, page.named("title")[0].text)
		assert.Len(t, page.named("h1"), 1)
		assert.Len(t, page.named("main"), 1)
		last := 0
		for _, h := range page.all(func(e *element) bool {
			return len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6'
		}) {
			level := int(h.name[1] - '0')
			assert.LessOrEqual(t, level, last+1, "heading %q skips a level", h.text)
			assert.NotEmpty(t, strings.TrimSpace(h.text))
			last = level
		}
		ids := map[string]int{}
		for _, e := range page.all(func(e *element) bool { return e.attrs["id"] != "" }) {
			ids[e.attrs["id"]]++
			assert.Equal(t, 1, ids[e.attrs["id"]], "id %s is there twice", e.attrs["id"])
		}
		pictures := page.named("svg")
		require.NotEmpty(t, pictures)
		for _, s := range pictures {
			if s.attrs["aria-hidden"] == "true" {
				assert.True(t, s.within("own"), "only blank systems have nothing to say")
				continue
			}
			assert.Equal(t, "img", s.attrs["role"])
			labels := strings.Fields(s.attrs["aria-labelledby"])
			require.Len(t, labels, 2)
			for _, l := range labels {
				assert.Equal(t, 1, ids[l], l)
			}
			assert.NotEmpty(t, s.children[0].text)
			assert.Greater(t, len(s.children[1].text), 10, "what is to be seen, in words")
		}
		for _, a := range page.named("a") {
			to, ok := strings.CutPrefix(a.attrs["href"], "#")
			assert.True(t, ok && ids[to] == 1, a.attrs["href"])
		}
	}
}

// The page stands alone: no script, nothing fetched. A policy in it says so to
// the browser.
func TestPageStandsAlone(t *testing.T) {
	text := written(t, keys(t, "amber-street.tab"))
	page := domOf(t, text)
	for _, name := range []string{"script", "link", "img", "iframe", "object", "embed", "audio", "video", "use", "image", "base"} {
		assert.Empty(t, page.named(name), name)
	}
	text = strings.ReplaceAll(text, `xmlns="http://www.w3.org/2000/svg"`, "")
	for _, outside := range []string{"http:", "https:", "//", "url(", "@import", "src=", "onload"} {
		assert.NotContains(t, text, outside)
	}
	assert.Contains(t, text, `content="default-src 'none'; style-src 'unsafe-inline'"`)
}

// Every picture is well-formed XML by itself.
func TestPicturesAreWellFormed(t *testing.T) {
	for _, name := range examples() {
		text := written(t, Sheet{Sections: []Section{{Score: example(t, name)}}})
		n := 0
		for part := range strings.SplitSeq(text, "<svg ") {
			svg, _, ok := strings.Cut("<svg "+part, "</svg>")
			if !ok {
				continue
			}
			n++
			d := xml.NewDecoder(strings.NewReader(svg + "</svg>"))
			for {
				_, err := d.Token()
				if err == io.EOF {
					break
				}
				require.NoError(t, err)
			}
		}
		assert.Positive(t, n)
	}
}

// Whatever stands in titles, words and names stays text.
func TestTextsStayText(t *testing.T) {
	const evil = `</style></title><script>alert("1")</script> & "x" 'y' \9 <b>`
	s := example(t, "amber-street.tab").Clone()
	s.Title, s.Composer = evil, evil
	s.Parts[0].Name = evil
	s.Parts[0].Measures[1].Events = append(s.Parts[0].Measures[1].Events, &score.Words{Kind: "words", Text: evil})
	for n := range score.Notes(s) {
		n.Annotations = []score.Annotation{{Kind: "role", Text: evil, Color: `"><script>`}}
		break
	}
	text := written(t, Sheet{Practise: []string{evil}, Sections: []Section{{Heading: evil, Score: s, Remarks: []string{evil}}, {Heading: "B", Score: s}}})
	assert.NotContains(t, text, "<script")
	page := domOf(t, text)
	assert.Equal(t, evil, page.named("h1")[0].text)
	assert.Empty(t, page.named("b"))
}

// Colours of text against the paper. The two greys are those that WebAIM and
// the W3C's techniques give as the border: #767676 passes, #777777 fails.
func TestContrast(t *testing.T) {
	white := ink.Hex(0xffffff)
	assert.InDelta(t, 21, contrast(ink.Hex(0), white), 1e-9)
	assert.InDelta(t, 1, contrast(white, white), 1e-9)
	assert.InDelta(t, 4.54, contrast(ink.Hex(0x767676), white), 0.005)
	assert.InDelta(t, 4.48, contrast(ink.Hex(0x777777), white), 0.005)

	declared := regexp.MustCompile(`[{;\s]color: *#([0-9a-f]{6})`).FindAllStringSubmatch(sheetCSS+sheetHTML, -1)
	require.NotEmpty(t, declared)
	for _, d := range declared {
		rgb, err := strconv.ParseUint(d[1], 16, 32)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, contrast(ink.Hex(uint32(rgb)), ink.Hex(paperColor)), minContrast, "#"+d[1])
	}
	for _, sheet := range []Sheet{keys(t, "amber-street.tab")} {
		for _, x := range domOf(t, written(t, sheet)).named("text") {
			if !x.within("tab") {
				continue // the neck has its own proof
			}
			rgb, err := strconv.ParseUint(strings.TrimPrefix(x.parent.attrs["fill"], "#"), 16, 32)
			require.NoError(t, err)
			assert.GreaterOrEqual(t, contrast(ink.Hex(uint32(rgb)), white), minContrast)
		}
	}
	for _, color := range []uint32{0xffff00, 0x00ff00, 0xffffff, 0xff8800, 0x123456} {
		assert.GreaterOrEqual(t, contrast(legible(ink.Hex(color)), white), minContrast)
	}
	assert.Contains(t, sheetCSS, fmt.Sprintf("color: #%06x", inkColor))
	assert.Contains(t, sheetCSS, fmt.Sprintf("color: #%06x", quietColor))
}

// Where playing could hurt the sheet says so: a stretch beyond a comfortable
// span, and the long repetition of many keys.
func TestCaution(t *testing.T) {
	easy := written(t, Sheet{Sections: []Section{{Score: example(t, "amber-street.tab")}}})
	assert.NotContains(t, easy, "clinician")
	assert.Contains(t, written(t, keys(t, "amber-street.tab")), "see a teacher or a clinician")

	s := example(t, "window-chords.tab").Clone()
	for c := range s.Parts[0].Measures[0].Chords() {
		c.Notes[0].Place.Fret, c.Notes[len(c.Notes)-1].Place.Fret = 1, 6
		break
	}
	page := written(t, Sheet{Sections: []Section{{Score: s}}})
	assert.Contains(t, page, "fret 1 to fret 6 at once")
	assert.Contains(t, page, "see a teacher or a clinician")
}

// Sizes of the largest lesson, in place of a timed assertion: a page of this
// size opens at once.
func TestLargeLessonStaysSmall(t *testing.T) {
	text := written(t, shapes(t))
	assert.Less(t, len(text), 3<<20, "bytes")
	assert.Less(t, strings.Count(text, "<text"), 30000)
}

func TestWriteOfAScore(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Write(&b, example(t, "amber-street.tab"), score.WriteOptions{}))
	assert.Contains(t, b.String(), "<h1>Amber Street</h1>")
	assert.True(t, strings.HasPrefix(b.String(), "<!DOCTYPE html>"))

	// music without a neck: said, and nothing else on the page
	var said score.Diagnostics
	b.Reset()
	empty := &score.Score{Title: "Song", Parts: []*score.Part{{ID: "P1", Name: "Voice", Staves: 1, Measures: []*score.Measure{{}}}}}
	require.NoError(t, Write(&b, empty, score.WriteOptions{Report: func(d score.Diagnostic) { said = append(said, d) }}))
	require.Len(t, said, 2)
	assert.Contains(t, said[0].Msg, "no strings and frets")
	assert.Equal(t, CodeEmpty, said[1].Code)
}

// A page that would have only its head is reported, so that it does not pass
// for done; a picture alone, or music alone, is enough.
func TestNothingToEngraveIsReported(t *testing.T) {
	voice := &score.Score{Parts: []*score.Part{{ID: "P1", Name: "Voice", Staves: 1, Measures: []*score.Measure{{}}}}}
	lick := example(t, "amber-street.tab")
	pictures := shapes(t).Sections[0].Layouts
	for _, c := range []struct {
		name  string
		sheet Sheet
		empty int
	}{
		{"no section", Sheet{}, 1},
		{"no part", Sheet{Sections: []Section{{Score: &score.Score{Title: "Song"}}}}, 1},
		{"no neck", Sheet{Sections: []Section{{Score: voice}}}, 1},
		{"words alone", Sheet{Sections: []Section{{Remarks: []string{"Listen."}}}}, 1},
		{"one of two", Sheet{Sections: []Section{{Heading: "A", Score: lick}, {Heading: "B", Score: voice}}}, 1},
		{"of a worksheet too, once", Sheet{Worksheet: true, Sections: []Section{{Score: voice}}}, 1},
		{"music", Sheet{Sections: []Section{{Score: lick}}}, 0},
		{"a picture", Sheet{Sections: []Section{{Layouts: pictures}}}, 0},
	} {
		var said score.Diagnostics
		require.NoError(t, WriteSheet(io.Discard, c.sheet, score.WriteOptions{Report: func(d score.Diagnostic) { said = append(said, d) }}), c.name)
		assert.Equal(t, c.empty, said.Count(score.NotDone), "%s: %v", c.name, said)
		for _, d := range said {
			assert.NotEmpty(t, d.Hint, c.name)
		}
	}
	assert.Contains(t, written(t, Sheet{}), "<h1>Practice sheet</h1>")
}

// A line that heads others is not torn from them when it is the same
// everywhere; sentences that are the same are said once.
func TestHeadsStayWithTheirLines(t *testing.T) {
	sheet := shapes(t)
	sheet.Sections = sheet.Sections[:2]
	for i := range sheet.Sections {
		sheet.Sections[i].Remarks = []string{"Slowly first.", "Chord C", fmt.Sprintf("C: shape %d.", i+1), "All the same"}
	}
	page := domOf(t, written(t, sheet))
	practise := page.all(func(e *element) bool { return e.is("practise") })[0]
	assert.Contains(t, practise.text, "Slowly first.")
	assert.Contains(t, practise.text, "All the same")
	assert.NotContains(t, practise.text, "Chord C")
	for i := range sheet.Sections {
		var remarks []string
		for _, e := range elementByID(page, fmt.Sprintf("section-%d", i+1)).all(func(e *element) bool { return e.is("remark") }) {
			remarks = append(remarks, e.text)
		}
		assert.Equal(t, []string{"Chord C", fmt.Sprintf("C: shape %d.", i+1)}, remarks)
	}
}

// Chord tones of a layout are tiles, its root a house. Source: common
// practice: a major scale is heard over the major triad on its tonic, so of
// the seven degrees 1 is the root, and 3 and 5 are the other chord tones.
func TestNeckOfLayoutHasChordTones(t *testing.T) {
	sheet := shapes(t)
	sheet.Sections = sheet.Sections[:5]
	page := domOf(t, written(t, sheet))
	for i, sec := range sheet.Sections {
		var want [3]int
		for _, s := range sec.Layouts[0].Spots {
			switch s.Degree.Number {
			case 1:
				want[0]++
			case 3, 5:
				want[1]++
			default:
				want[2]++
			}
		}
		notes := elementByID(page, fmt.Sprintf("section-%d", i+1)).all(func(e *element) bool { return e.is("note") && e.within("neck") })
		var got [3]int
		for _, e := range notes {
			switch {
			case e.is("root"):
				got[0]++
			case e.is("chord-tone"):
				got[1]++
			case e.is("other"):
				got[2]++
			}
		}
		assert.Equal(t, want, got, sec.Heading)
	}
	assert.Contains(t, page.text, "tile on the neck")
}

func BenchmarkWriteSheet(b *testing.B) {
	sheet := shapes(b)
	notes := 0
	for _, sec := range sheet.Sections {
		for range score.Notes(sec.Score) {
			notes++
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, WriteSheet(io.Discard, sheet, score.WriteOptions{}))
	}
	b.ReportMetric(float64(notes)*float64(b.N)/b.Elapsed().Seconds(), "notes/s")
}

// What is written on pictures of the neck can be read on paper: it is at least
// 9 pt high, and the picture is no wider than the text. Source: CSS Values and
// Units 4: an inch is 96 px and 72 pt, so 9 pt are 12 px.
func TestNeckIsReadOnPaper(t *testing.T) {
	far := example(t, "amber-street.tab").Clone() // from the nut to the last fret
	i := 0
	for n := range score.Notes(far) {
		if i++; i == 1 {
			n.Place.Fret = 0
		} else if i == 2 {
			n.Place.Fret = 22
		}
	}
	all := []Sheet{shapes(t), {Sections: []Section{{Score: far}}}}
	for _, name := range examples() {
		all = append(all, Sheet{Sections: []Section{{Score: example(t, name)}}})
	}
	work := keys(t, "slow-harbour.tab")
	work.Worksheet = true
	widest := 0.0
	for _, sheet := range append(all, work) {
		necks := domOf(t, written(t, sheet)).all(func(e *element) bool { return e.name == "figure" && e.is("neck") })
		require.NotEmpty(t, necks)
		for _, f := range necks {
			var w, h float64
			shown, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimPrefix(f.attrs["style"], "width:"), "px"), 64)
			require.NoError(t, err, f.attrs["style"])
			_, err = fmt.Sscanf(f.named("svg")[0].attrs["viewBox"], "0 0 %f %f", &w, &h)
			require.NoError(t, err)
			widest = max(widest, shown)
			assert.LessOrEqual(t, shown, float64(printWidth))
			n := 0
			for _, x := range f.named("text") {
				if !x.is("tuning") && !x.is("fret") {
					continue
				}
				n++
				size, err := strconv.ParseFloat(x.attrs["font-size"], 64)
				require.NoError(t, err)
				assert.GreaterOrEqual(t, size*shown/w, 12-1e-9, "%s in px", x.text)
			}
			assert.Greater(t, n, 8)
		}
	}
	assert.Greater(t, widest, 560.0, "the whole neck")
}
