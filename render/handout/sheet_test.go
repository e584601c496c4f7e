package handout

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

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

// A line is a string of a part in a section of a page.
type line struct{ section, part, str string }

// A numeral is one on a string: what it says, in which picture it stands, how
// far down the first string of its system lies, and how far to the right its
// middle is.
type numeral struct {
	text    string
	picture string
	top, x  float64
}

// stringGap is the distance of two strings in CSS pixels.
const stringGap = 11

// numbersOf reads the numbers of a page, from the music for one width: those
// of each string in their order. Where they stand comes from the places of
// their digits alone.
func numbersOf(t *testing.T, page *element, narrow bool) map[line][]numeral {
	t.Helper()
	out := map[line][]numeral{}
	for _, x := range page.named("text") {
		if !x.within("tab") || x.within("narrow") != narrow || !x.is("fret") && !x.is("string-name") && x.attrs["data-string"] == "" {
			continue
		}
		section := x
		for section.name != "section" {
			section = section.parent
		}
		at := strings.Fields(x.attrs["x"])
		texts := strings.Fields(x.text)
		require.NotEmpty(t, texts)
		if x.attrs["data-string"] == "" {
			require.Len(t, texts, 1, "the name of a string without numbers")
			continue
		}
		l := line{section.attrs["id"], x.attrs["data-part"], x.attrs["data-string"]}
		shared := map[int]int{} // by the offset of a number: how many notes it stands for
		for _, e := range x.named("tspan") {
			if n, err := strconv.Atoi(e.attrs["data-notes"]); err == nil {
				shared[e.begins-x.begins] = n
			}
		}
		ys := strings.Fields(x.attrs["y"])
		top, err := strconv.ParseFloat(ys[len(ys)-1], 64)
		require.NoError(t, err)
		str, err := strconv.Atoi(l.str)
		require.NoError(t, err)
		top -= float64(str-1) * stringGap
		offset, nth := 0, 0
		for i, text := range strings.Split(x.text, " ") {
			n := utf8.RuneCountInString(text)
			require.LessOrEqual(t, nth+n, len(at), "each digit has its place: %q", x.text)
			first, err := strconv.ParseFloat(at[nth], 64)
			require.NoError(t, err)
			last, err := strconv.ParseFloat(at[nth+n-1], 64)
			require.NoError(t, err)
			if i > 0 { // before them stands the name of the string
				for range max(shared[offset], 1) {
					out[l] = append(out[l], numeral{text, x.parent.attrs["aria-labelledby"], top, (first + last) / 2})
				}
			}
			offset, nth = offset+len(text)+1, nth+n+1
		}
		require.Equal(t, len(at)+1, nth, "there are as many places as signs: %q", x.text)
	}
	return out
}

var firstNumber = regexp.MustCompile(`[0-9]+`)

// assertNumbers compares the numbers of a page with the model: on each string
// they are the same in the same order, those of a chord stand under each other,
// and what is struck later stands further to the right.
func assertNumbers(t *testing.T, s Sheet, id string, got map[line][]numeral) {
	t.Helper()
	total := 0
	for _, numbers := range got {
		total += len(numbers)
	}
	next := map[line]int{}
	wanted := 0
	for i, sec := range s.Sections {
		for p, part := range sec.Score.Parts {
			var before numeral // of what was struck before
			var onset score.Quarters
			for _, m := range part.Measures {
				for c := range m.Chords() {
					for k, note := range c.Notes {
						wanted++
						l := line{section: fmt.Sprintf("%s-%d", id, i+1), str: strconv.Itoa(note.Place.String)}
						if p > 0 {
							l.part = strconv.Itoa(p + 1)
						}
						require.Less(t, next[l], len(got[l]), "%+v", l)
						n := got[l][next[l]]
						next[l]++
						require.Equal(t, strconv.Itoa(note.Place.Fret), firstNumber.FindString(n.text), "%+v, the %dth", l, next[l])
						same := before.picture == n.picture && math.Abs(before.top-n.top) < 4
						switch {
						case k > 0:
							assert.InDelta(t, before.x, n.x, 0.15, "a chord stands under each other")
							assert.True(t, same)
						case same && onset.Less(c.Onset):
							assert.Greater(t, n.x, before.x)
						}
						before, onset = n, c.Onset
					}
				}
				onset = score.Quarters{}.Sub(score.Q(1, 1)) // the next bar is later
			}
		}
	}
	assert.Equal(t, wanted, total, "no number more")
}

// The numbers of the page are those of the model.
func TestNumbersAreThoseOfTheModel(t *testing.T) {
	for _, name := range examples() {
		sheet := Sheet{Sections: []Section{{Score: example(t, name)}}}
		page := domOf(t, written(t, sheet))
		assertNumbers(t, sheet, "section", numbersOf(t, page, false))
		if narrow := numbersOf(t, page, true); len(narrow) > 0 {
			assertNumbers(t, sheet, "section", narrow)
		}
	}
	for _, sheet := range []Sheet{keys(t, "slow-harbour.tab"), shapes(t)} {
		page := domOf(t, written(t, sheet))
		assertNumbers(t, sheet, "section", numbersOf(t, page, false))
		assertNumbers(t, sheet, "section", numbersOf(t, page, true))
	}
	voices := Sheet{Sections: []Section{{Score: ofVoices(t)}}}
	page := domOf(t, written(t, voices))
	assertNumbers(t, voices, "section", numbersOf(t, page, false))
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
			for _, l := range labels {
				assert.Equal(t, 1, ids[l], l)
			}
			if s.is("narrow") { // said by those for wide screens, all of them
				assert.NotEmpty(t, labels)
				assert.Len(t, labels, 2*len(s.parent.all(func(e *element) bool { return e.is("wide") })))
				continue
			}
			require.Len(t, labels, 2)
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
	named := keys(t, "amber-street.tab")
	for i := range named.Sections {
		named.Sections[i].Score, _ = transform.Annotate(named.Sections[i].Score, transform.AnnotateOptions{Show: []string{score.LabelDegree}, Color: true})
	}
	text := written(t, named)
	fills := map[string]string{}
	for _, rule := range regexp.MustCompile(`\.tab \.([a-z0-9-]+) \{ fill: #([0-9a-f]{6})`).FindAllStringSubmatch(text, -1) {
		fills[rule[1]] = rule[2]
	}
	colored := 0
	for _, x := range domOf(t, text).all(func(e *element) bool { return (e.name == "text" || e.name == "tspan") && e.within("tab") }) {
		fill, own := strings.CutPrefix(x.attrs["style"], "fill:#")
		if own {
			colored++
		} else {
			class, _, _ := strings.Cut(x.attrs["class"], " ")
			if fill = fills[class]; class == "" { // a row of words, or a number apart
				continue
			}
		}
		rgb, err := strconv.ParseUint(fill, 16, 32)
		require.NoError(t, err, "%v", x.attrs)
		assert.GreaterOrEqual(t, contrast(ink.Hex(uint32(rgb)), white), minContrast)
	}
	assert.Positive(t, colored)
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

// What a page takes for a note, in place of a timed assertion: what a browser
// does before it shows a page grows with its elements and its bytes, so that a
// lesson of twelve keys opens nearly as fast as one key. Every note stands there
// twice, for wide screens and for phones, with its degree. Element by element it
// was 1,029 bytes and 11.7 elements.
func TestPageIsSmall(t *testing.T) {
	for name, sheet := range map[string]Sheet{
		"twelve keys of a lick":     keys(t, "amber-street.tab"),
		"one section, twelve times": {Sections: []Section{{Score: repeated(example(t, "amber-street.tab"), 12)}}},
	} {
		for i := range sheet.Sections {
			sheet.Sections[i].Score, _ = transform.Annotate(sheet.Sections[i].Score, transform.AnnotateOptions{Show: []string{score.LabelDegree}})
		}
		bytes, elements := sizeOf(t, sheet)
		t.Logf("%s: %.0f bytes and %.2f elements per note", name, bytes, elements)
		assert.Less(t, bytes, 520.0, "%s: bytes per note", name)
		assert.Less(t, elements, 5.0, "%s: elements per note", name)
	}
}

// repeated is the music so many times.
func repeated(s *score.Score, times int) *score.Score {
	out := s.Clone()
	for range times - 1 {
		for i, p := range s.Clone().Parts {
			out.Parts[i].Measures = append(out.Parts[i].Measures, p.Measures...)
		}
	}
	return out
}

// sizeOf returns how many bytes and elements the sections of a page take for a
// note, pictures of the neck left out.
func sizeOf(t testing.TB, s Sheet) (bytes, elements float64) {
	notes := 0
	for _, sec := range s.Sections {
		for range score.Notes(sec.Score) {
			notes++
		}
	}
	_, text, ok := strings.Cut(written(t, s), "<section class=\"piece")
	require.True(t, ok)
	text = regexp.MustCompile(`(?s)<figure class="neck.*?</figure>`).ReplaceAllString(text, "")
	return float64(len(text)) / float64(notes), float64(strings.Count(text, "<")-strings.Count(text, "</")) / float64(notes)
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
	assert.Contains(t, page.text, "square on the neck")
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
	bytes, elements := sizeOf(b, sheet)
	b.ReportMetric(bytes, "bytes/note")
	b.ReportMetric(elements, "elements/note")
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
