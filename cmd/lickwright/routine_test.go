package main

import (
	"encoding/xml"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
)

// What follows reads practice sheets with a parser of its own and judges them
// by tables of its own: it shares nothing with what makes them.

// A sheetNote is a number on a string.
type sheetNote struct{ str, fret int }

// A sheetExercise is the notes under a title, system after system.
type sheetExercise struct {
	title string
	words []string
	notes []sheetNote
}

type sheetPage struct {
	title     string
	facts     string
	low, high int
	exercises []sheetExercise
}

func (p sheetPage) named(t *testing.T, title string) sheetExercise {
	t.Helper()
	for _, e := range p.exercises {
		if e.title == title {
			return e
		}
	}
	require.Failf(t, "no such exercise", "%s has no %q", p.title, title)
	return sheetExercise{}
}

var (
	sheetFrets = regexp.MustCompile(`[Ff]rets (\d+) to (\d+)`)
	sheetRow   = regexp.MustCompile(`^[A-Ga-g][#b]?\s*\|(.*)$`)
	sheetNum   = regexp.MustCompile(`\(?\d+\)?`)
)

// readSheet reads a sheet in standard tuning: pages between "== … ==",
// paragraphs of words, and systems of six rows.
func readSheet(t *testing.T, text string) []sheetPage {
	t.Helper()
	var pages []sheetPage
	lines := strings.Split(text, "\n")
	fresh := false // a paragraph has begun since the last system
	for i := 0; i < len(lines); i++ {
		l := lines[i]
		switch {
		case strings.HasPrefix(l, "== "):
			pages = append(pages, sheetPage{title: strings.Trim(l, "= ")})
			fresh = false
		case len(pages) == 0:
		case sheetRow.MatchString(l):
			require.Less(t, i+5, len(lines))
			type at struct {
				col int
				n   sheetNote
			}
			var found []at
			for r := range 6 {
				require.Regexp(t, sheetRow, lines[i+r])
				for _, m := range sheetNum.FindAllStringIndex(lines[i+r], -1) {
					text := lines[i+r][m[0]:m[1]]
					if strings.HasPrefix(text, "(") {
						continue // held
					}
					fret, err := strconv.Atoi(text)
					require.NoError(t, err)
					found = append(found, at{m[0], sheetNote{r + 1, fret}})
				}
			}
			slices.SortStableFunc(found, func(a, b at) int { return a.col - b.col })
			p := &pages[len(pages)-1]
			require.NotEmpty(t, p.exercises, "music before any title: %s", p.title)
			e := &p.exercises[len(p.exercises)-1]
			for _, f := range found {
				e.notes = append(e.notes, f.n)
			}
			i += 5
			fresh = false
		case strings.HasPrefix(l, "Counts in brackets"): // the legend at the end
			return pages
		case strings.TrimSpace(l) == "", strings.HasPrefix(l, " "):
			if strings.TrimSpace(l) == "" && i+1 < len(lines) && lines[i+1] != "" && !strings.HasPrefix(lines[i+1], " ") {
				fresh = true
			}
		default:
			p := &pages[len(pages)-1]
			switch {
			case p.facts == "":
				for ; i < len(lines) && lines[i] != ""; i++ {
					p.facts += lines[i] + "\n"
				}
				i--
				m := sheetFrets.FindStringSubmatch(p.facts)
				require.NotNil(t, m, "the page names no frets: %q", p.facts)
				p.low, _ = strconv.Atoi(m[1])
				p.high, _ = strconv.Atoi(m[2])
			case fresh:
				p.exercises = append(p.exercises, sheetExercise{title: l})
				fresh = false
			case len(p.exercises) > 0:
				e := &p.exercises[len(p.exercises)-1]
				e.words = append(e.words, l)
			}
		}
	}
	return pages
}

// openStrings are the open strings of a guitar as MIDI key numbers, string 1
// first. Source: Lombardo & Radicioni, Guitar fingering for music performance,
// fig. 1 (64…76 on string 1, 40…52 on string 6); common practice for the rest.
var openStrings = [...]int{64, 59, 55, 50, 45, 40}

func (n sheetNote) midi() int { return openStrings[n.str-1] + n.fret }

// sheetScales are semitones above the tonic. Source: common practice, as any
// handbook of scales prints them.
var sheetScales = []struct {
	name  string
	steps []int
}{
	{"major", []int{0, 2, 4, 5, 7, 9, 11}},
	{"natural minor", []int{0, 2, 3, 5, 7, 8, 10}},
	{"harmonic minor", []int{0, 2, 3, 5, 7, 8, 11}},
	{"melodic minor", []int{0, 2, 3, 5, 7, 9, 11}},
	{"major pentatonic", []int{0, 2, 4, 7, 9}},
	{"minor pentatonic", []int{0, 3, 5, 7, 10}},
}

func classOf(t *testing.T, name string) int {
	t.Helper()
	class, ok := map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}[name[0]]
	require.True(t, ok, name)
	for _, sign := range name[1:] {
		class += map[rune]int{'#': 1, 'b': -1}[sign]
	}
	return (class + 12) % 12
}

// checkRun judges a rising run: only notes of the scale and all of them, in
// the promised frets, no sound twice, each a step of the scale above the last.
func checkRun(t *testing.T, p sheetPage, notes []sheetNote, tonic int, steps []int) {
	t.Helper()
	require.NotEmpty(t, notes, p.title)
	seen := map[int]bool{}
	degree := func(n sheetNote) int { return slices.Index(steps, ((n.midi()-tonic)%12+12)%12) }
	for i, n := range notes {
		d := degree(n)
		require.GreaterOrEqual(t, d, 0, "%s: string %d fret %d is no note of the scale", p.title, n.str, n.fret)
		seen[d] = true
		require.GreaterOrEqual(t, n.fret, p.low, p.title)
		require.LessOrEqual(t, n.fret, p.high, p.title)
		if i > 0 {
			require.Greater(t, n.midi(), notes[i-1].midi(), "%s: note %d", p.title, i+1)
			require.Equal(t, (degree(notes[i-1])+1)%len(steps), d, "%s: note %d is no step from the last", p.title, i+1)
			require.Less(t, n.midi()-notes[i-1].midi(), 12, p.title)
		}
	}
	require.Len(t, seen, len(steps), "%s lacks a note of the scale", p.title)
}

func routineText(t *testing.T, args ...string) string {
	t.Helper()
	got := lickwright(append([]string{"routine", "-q"}, args...)...)
	require.Equal(t, exitDone, got.code, "%v\n%s", args, got.err)
	return got.out
}

// The proof of the sheets: twelve keys × five shapes, and × all patterns of
// notes per string (n for an n-note scale), of six scales.
func TestRoutineEveryPageIsTheScale(t *testing.T) {
	for _, s := range sheetScales {
		perString := "3"
		if len(s.steps) == 5 {
			perString = "2"
		}
		for _, scheme := range []struct {
			args  []string
			pages int
			wide  int // frets that a page may span
		}{
			// The hand covers four frets, and one reach beyond: common practice.
			{[]string{"--scheme", "chord-shape"}, 5, 4},
			{[]string{"--scheme", "notes-per-string", "--notes", perString}, len(s.steps), 9},
		} {
			t.Run(s.name+" "+scheme.args[1], func(t *testing.T) {
				args := append([]string{"C", s.name, "--show", "scale", "--run", "up", "--all-keys"}, scheme.args...)
				pages := readSheet(t, routineText(t, args...))
				require.Len(t, pages, 12*scheme.pages)
				places := map[int]map[string]bool{}
				for _, p := range pages {
					name, _, _ := strings.Cut(p.title, " ")
					tonic := classOf(t, name)
					if places[tonic] == nil {
						places[tonic] = map[string]bool{}
					}
					places[tonic][p.title] = true
					require.LessOrEqual(t, p.high-p.low, scheme.wide, p.title)
					checkRun(t, p, p.named(t, fmt.Sprintf("%s %s, up", name, s.name)).notes, tonic, s.steps)
				}
				assert.Len(t, places, 12)
				for tonic, titles := range places {
					assert.Len(t, titles, scheme.pages, "%d", tonic)
				}
			})
		}
	}
}

// The mode that a pattern names has exactly the pattern's notes and begins on
// its lowest one. Source: the modes by their steps, common practice.
func TestRoutineNamesTheModes(t *testing.T) {
	modes := map[string][]int{
		"major": {0, 2, 4, 5, 7, 9, 11}, "dorian": {0, 2, 3, 5, 7, 9, 10}, "phrygian": {0, 1, 3, 5, 7, 8, 10}, "lydian": {0, 2, 4, 6, 7, 9, 11},
		"mixolydian": {0, 2, 4, 5, 7, 9, 10}, "natural minor": {0, 2, 3, 5, 7, 8, 10}, "locrian": {0, 1, 3, 5, 6, 8, 10},
	}
	pages := readSheet(t, routineText(t, "Bb", "major", "--scheme", "notes-per-string", "--notes", "3", "--show", "scale", "--run", "up", "--all-keys", "--order", "fifths"))
	require.Len(t, pages, 84)
	holds := regexp.MustCompile(`Holds the notes of ([A-G][#b]*) ([a-z ]+):`)
	for _, p := range pages {
		m := holds.FindStringSubmatch(p.facts)
		require.NotNil(t, m, p.facts)
		require.Contains(t, modes, m[2])
		checkRun(t, p, p.exercises[0].notes, classOf(t, m[1]), modes[m[2]])
		assert.Equal(t, classOf(t, m[1]), p.exercises[0].notes[0].midi()%12, p.title)
	}
}

// The five positions of C major as books print them, frets from string 6 to
// string 1. Source: common practice.
func TestRoutineCMajorPositions(t *testing.T) {
	want := map[string]string{
		"C major, E shape": "7 8 10 7 8 10 7 9 10 7 9 10 8 10 7 8 10",
		"C major, D shape": "10 12 13 10 12 9 10 12 9 10 12 10 12 13 10 12 13",
		"C major, A shape": "3 5 2 3 5 2 3 5 2 4 5 3 5 6 3 5",
		"C major, G shape": "5 7 8 5 7 8 5 7 4 5 7 5 6 8 5 7 8",
	}
	pages := readSheet(t, routineText(t, "C", "major", "--show", "scale", "--run", "up"))
	require.Len(t, pages, 5)
	for _, p := range pages {
		var frets []string
		for _, n := range p.exercises[0].notes {
			frets = append(frets, strconv.Itoa(n.fret))
		}
		if w, ok := want[p.title]; ok {
			assert.Equal(t, w, strings.Join(frets, " "), p.title)
		}
		delete(want, p.title)
	}
	assert.Empty(t, want)
	assert.Equal(t, "C major, C shape", pages[0].title, "the C shape is the first from the nut in C")
}

// names spells sounds of C major.
func names(notes []sheetNote) string {
	letters := map[int]string{0: "C", 2: "D", 4: "E", 5: "F", 7: "G", 9: "A", 11: "B"}
	var out []string
	for _, n := range notes {
		out = append(out, letters[n.midi()%12])
	}
	return strings.Join(out, " ")
}

// Sequences as players say them. Source: common practice.
func TestRoutineSequences(t *testing.T) {
	page := readSheet(t, routineText(t, "C", "major", "--shape", "E", "--octaves", "1", "--show", "sequences", "--run", "up"))[0]
	for title, want := range map[string]string{
		"Thirds, up":          "C E D F E G F A G B A C",
		"Fourths, up":         "C F D G E A F B G C",
		"Sixths, up":          "C A D B E C",
		"Groups of three, up": "C D E D E F E F G F G A G A B A B C",
		"Groups of four, up":  "C D E F D E F G E F G A F G A B G A B C",
		"Triads, up":          "C E G D F A E G B F A C",
	} {
		assert.Equal(t, want, names(page.named(t, title).notes), title)
	}
	page = readSheet(t, routineText(t, "C", "major", "--shape", "E", "--octaves", "1", "--show", "sequences", "--run", "down"))[0]
	assert.Equal(t, "C A B G A F G E F D E C", names(page.named(t, "Thirds, down").notes))
}

// The guide tones of ii V I: the seventh falls to the third, the third stays
// and becomes the seventh. Source: common practice.
func TestRoutineGuideTones(t *testing.T) {
	page := readSheet(t, routineText(t, "C", "major", "--shape", "E", "--show", "guide-tones", "--over", "Dm7 | G7 | Cmaj7"))[0]
	assert.Equal(t, "F F E", names(page.named(t, "Guide tones over Dm7 | G7 | Cmaj7, from the third").notes))
	assert.Equal(t, "C B B", names(page.named(t, "Guide tones over Dm7 | G7 | Cmaj7, from the seventh").notes))
	page = readSheet(t, routineText(t, "C", "major", "--shape", "E", "--show", "formula", "--over", "ii7 | V7 | Imaj7", "--formula", "1 2 3 5"))[0]
	assert.Equal(t, "D E F A D E F A G A B D G A B D C D E G C D E G", names(page.exercises[0].notes))
}

// Between neighbouring modes one degree moves: from Lydian down it is 4, 7, 3,
// 6, 2, 5. Source: common practice, and computed in any handbook of modes.
func TestRoutineNeighbours(t *testing.T) {
	for mode, moves := range map[string][]string{
		"lydian": {"#4 (F#) becomes 4 (F)"}, "major": {"7 (B) becomes b7 (Bb)", "4 (F) becomes #4 (F#)"}, "mixolydian": {"3 (E) becomes b3 (Eb)", "b7 (Bb) becomes 7 (B)"},
		"dorian": {"6 (A) becomes b6 (Ab)", "b3 (Eb) becomes 3 (E)"}, "natural minor": {"2 (D) becomes b2 (Db)", "b6 (Ab) becomes 6 (A)"},
		"phrygian": {"5 (G) becomes b5 (Gb)", "b2 (Db) becomes 2 (D)"}, "locrian": {"b5 (Gb) becomes 5 (G)"},
	} {
		text := routineText(t, "C", mode, "--scheme", "notes-per-string", "--notes", "3", "--degree", "1", "--show", "neighbours")
		for _, m := range moves {
			assert.Contains(t, text, m, mode)
		}
		assert.Equal(t, len(moves), strings.Count(text, " becomes "), mode)
		for _, e := range readSheet(t, text)[0].exercises {
			require.Len(t, e.notes, 18, e.title)
		}
	}
}

// A pattern of three notes per string holds the chords of its scale; each is
// swept with at most two notes on a string.
func TestRoutineSweeps(t *testing.T) {
	// The chords of C major. Source: common practice (I ii iii IV V vi vii°).
	chords := map[string]string{"C": "C E G", "Dm": "D F A", "Em": "E G B", "F": "F A C", "G": "G B D", "Am": "A C E", "Bdim": "B D F",
		"Cmaj7": "C E G B", "Dm7": "D F A C", "Em7": "E G B D", "Fmaj7": "F A C E", "G7": "G B D F", "Am7": "A C E G", "Bm7b5": "B D F A"}
	for _, p := range readSheet(t, routineText(t, "C", "major", "--scheme", "notes-per-string", "--notes", "3", "--show", "sweeps")) {
		require.Len(t, p.exercises, 14, p.title)
		for symbol, want := range chords {
			notes := p.named(t, "Sweep "+symbol).notes
			half := len(notes) / 2
			have := map[string]bool{}
			for i, n := range notes {
				have[names(notes[i:i+1])] = true
				assert.Contains(t, want, names(notes[i:i+1]), "%s, %s", p.title, symbol)
				assert.Equal(t, n, notes[len(notes)-1-i], "down is up turned round")
				if i > 1 && i < half {
					assert.False(t, n.str == notes[i-1].str && n.str == notes[i-2].str && len(strings.Fields(want)) == 3, "%s, %s: three on string %d", p.title, symbol, n.str)
				}
			}
			assert.Len(t, have, len(strings.Fields(want)), "%s, %s", p.title, symbol)
		}
	}
}

// Joins lead along one string from the last note here to one that only the
// next position has.
func TestRoutineJoins(t *testing.T) {
	text := routineText(t, "C", "major", "--shape", "E", "--show", "scale,joins", "--run", "up")
	e := readSheet(t, text)[0].named(t, "To the next position: D shape")
	require.NotEmpty(t, e.words)
	assert.Contains(t, text, "  string 6  from fret 10 (little) to fret 12 (ring)\n")
	// E shape string 6 is 7 8 10, D shape 10 12 13: see TestRoutineCMajorPositions.
	var frets []int
	for _, n := range e.notes {
		if n.str == 6 {
			frets = append(frets, n.fret)
		}
	}
	assert.Equal(t, []int{7, 8, 10, 12, 13}, frets)
}

// The same sheet in MusicXML has the same places in the same order, under the
// same headings.
func TestRoutineMusicXMLIsTheSame(t *testing.T) {
	args := []string{"A", "natural minor", "--show", "arpeggio,pentatonic,scale,sequences"}
	text := readSheet(t, routineText(t, args...))
	file := filepath.Join(t.TempDir(), "sheet.musicxml")
	routineText(t, append(args, "-o", file)...)
	type placed struct {
		String int `xml:"notations>technical>string"`
		Fret   int `xml:"notations>technical>fret"`
		Pitch  *struct {
			Step   string `xml:"step"`
			Alter  int    `xml:"alter"`
			Octave int    `xml:"octave"`
		} `xml:"pitch"`
	}
	var doc struct {
		Measures []struct {
			Rehearsals []string `xml:"direction>direction-type>rehearsal"`
			Notes      []placed `xml:"note"`
		} `xml:"part>measure"`
	}
	require.NoError(t, xml.Unmarshal([]byte(read(t, file)), &doc))
	var pages []sheetPage
	for _, m := range doc.Measures {
		for _, r := range m.Rehearsals {
			pages = append(pages, sheetPage{title: r, exercises: []sheetExercise{{}}})
		}
		for _, n := range m.Notes {
			if n.Pitch == nil || n.String == 0 {
				continue
			}
			sounds := classOf(t, n.Pitch.Step) + n.Pitch.Alter + 12*(n.Pitch.Octave+1)
			place := sheetNote{n.String, n.Fret}
			require.Equal(t, place.midi(), sounds)
			e := &pages[len(pages)-1].exercises[0]
			e.notes = append(e.notes, place)
		}
	}
	require.Len(t, pages, len(text))
	for i, p := range text {
		assert.Equal(t, p.title, pages[i].title)
		var all []sheetNote
		for _, e := range p.exercises {
			all = append(all, e.notes...)
		}
		assert.Equal(t, all, pages[i].exercises[0].notes, p.title)
	}
}

// A sheet in tab is read back as music without a word of doubt, in every
// metre and note value, and its bars are full.
func TestRoutineTabIsReadBack(t *testing.T) {
	for _, metre := range []string{"4/4", "3/4", "6/8", "7/8", "5/4", "3+2/8"} {
		for _, value := range []string{"1/4", "1/8", "1/16", "1/12", "1/24", "1/2", "3/16", "1/6"} {
			args := []string{"G", "mixolydian", "--shape", "A", "--time", metre, "--value", value, "--tempo", "60", "--tempo-step", "5", "--tempo-goal", "90"}
			text := routineText(t, args...)
			doc, err := tabtext.Read(strings.NewReader(text), "sheet", score.ReadOptions{Report: func(d score.Diagnostic) {
				assert.Fail(t, "reported", "%s %s: %v", metre, value, d)
			}})
			require.NoError(t, err)
			s := doc.Score()
			require.Len(t, s.Parts, 1)
			for i, m := range s.Parts[0].Measures {
				assert.Equal(t, m.Nominal, m.Length, "%s %s: bar %d", metre, value, i+1)
			}
			var got []sheetNote
			for n := range score.Notes(s) {
				if !n.TieStop {
					got = append(got, sheetNote{n.Place.String, n.Place.Fret})
				}
			}
			var want []sheetNote
			for _, e := range readSheet(t, text)[0].exercises {
				want = append(want, e.notes...)
			}
			// Notes of a chord stand in another order.
			less := func(a, b sheetNote) int { return (a.str-b.str)*100 + a.fret - b.fret }
			slices.SortFunc(got, less)
			slices.SortFunc(want, less)
			assert.Equal(t, want, got, "%s %s", metre, value)
		}
	}
}

// Every scheme on every kind of neck gives sheets or says why not.
func TestRoutineOnOtherNecks(t *testing.T) {
	for k, tuning := range []string{"standard", "drop-d", "dadgad", "open-g", "ukulele", "bass", "F#1 B1 E2 A2 D3 G3 B3 E4"} {
		for i, scheme := range [][]string{{"--scheme", "chord-shape"}, {"--notes", "3"}, {"--notes", "2"}, {"--notes", "1"}, {"--position", "5"}, {"--frets", "5-9"}, {"--strings", "1-3"}, {"--scheme", "open"}} {
			if (i+k)%2 == 1 {
				continue // every other pair is enough
			}
			capo := strconv.Itoa(k % 3 * 2)
			args := append([]string{"routine", "-q", "--key", "Eb", "--scale", "harmonic minor", "--tuning", tuning, "--capo", capo, "--show",
				"chord,arpeggio,pentatonic,scale,neighbours,sweeps,sequences,formula,guide-tones,views,joins", "--over", "Ebm | Bb7 / Ab7(b9) / | N.C. | Fm7b5", "--formula", "1 b3 5 9"}, scheme...)
			got := lickwright(args...)
			require.LessOrEqual(t, got.code, exitPartly, "%v\n%s", args, got.err)
			assert.Equal(t, got.code == exitDone, got.err == "", "%v\n%s", args, got.err)
			assert.Contains(t, got.out, "== Eb harmonic minor, ", "%v", args)
			doc, err := tabtext.Read(strings.NewReader(got.out), "sheet", score.ReadOptions{})
			require.NoError(t, err, "%v\n%s", args, got.out)
			for n := range score.Notes(doc.Score()) {
				assert.GreaterOrEqual(t, n.Place.Fret, 0)
			}
		}
	}
}

func TestRoutineFilesForEachPage(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "sheets")
	got := lickwright("routine", "--key", "G", "--shape", "A", "--show", "scale", "--all-keys", "--order", "fourths", "-d", dir)
	require.Equal(t, exitDone, got.code, got.err)
	files, err := filepath.Glob(filepath.Join(dir, "*.tab"))
	require.NoError(t, err)
	require.Len(t, files, 12)
	// The circle of fourths from G. Source: common practice.
	for i, key := range []string{"G", "C", "F", "Bb", "Eb", "Ab", "Db", "F-sharp", "B", "E", "A", "D"} {
		assert.Equal(t, fmt.Sprintf("%02d-%s-major-A-shape.tab", i+1, key), filepath.Base(files[i]))
	}
	assert.Contains(t, read(t, files[1]), "Title: C major, A shape\n")
}

// All is everything that the other flags give what it needs.
func TestRoutineShowAll(t *testing.T) {
	all := routineText(t, "C", "major", "--shape", "E", "--show", "all")
	assert.Equal(t, routineText(t, "C", "major", "--shape", "E", "--show", "chord,arpeggio,pentatonic,scale,neighbours,sweeps,sequences,views,joins"), all)
	assert.NotContains(t, all, "Guide tones")
	assert.Contains(t, routineText(t, "C", "major", "--shape", "E", "--show", "all", "--over", "Dm7"), "Guide tones over Dm7")
}

// A stretch beyond a comfortable span is said on the page and on standard
// error, and every sheet says the usual caution.
func TestRoutineCautions(t *testing.T) {
	got := lickwright("routine", "F", "major", "--notes", "3", "--show", "scale")
	require.Equal(t, exitDone, got.code)
	assert.Contains(t, got.err, "beyond a comfortable span")
	assert.Contains(t, got.out, "A wide stretch: frets 1 to 5")
	text := routineText(t, "F", "major", "--shape", "E", "--show", "scale")
	assert.NotContains(t, text, "A wide stretch")
	for _, word := range []string{"warm up", "stop if it hurts or tingles", "rest", "a teacher or a clinician"} {
		assert.Contains(t, strings.ReplaceAll(text, "\n", " "), word)
	}
	strict := lickwright("routine", "F", "major", "--notes", "3", "--show", "scale", "--strict", "-o", filepath.Join(t.TempDir(), "x.tab"))
	assert.Equal(t, exitPartly, strict.code)
}

func TestRoutineWrongUsage(t *testing.T) {
	for _, tt := range []struct {
		args []string
		says string
		hint string
	}{
		{nil, "it is not said what to practise", "C major"},
		{[]string{"dorian"}, "has no tonic", "--key C"},
		{[]string{"C", "mjor"}, "", "major"},
		{[]string{"--key", "H"}, "--key", ""},
		{[]string{"--key", "D", "--scale", "C major"}, "--key says D and the scale C", "leave one"},
		{[]string{"C", "major", "--show", "scales"}, "--show", "did you mean scale?"},
		{[]string{"C", "major", "--shape", "H"}, "--shape", "C, A, G, E"},
		{[]string{"C", "major", "--value", "1/7"}, "note value", "1/12"},
		{[]string{"C", "major", "--value", "x"}, "--value", "1/8"},
		{[]string{"C", "major", "--time", "4/5"}, "--time", "4/4"},
		{[]string{"C", "major", "--time", "free"}, "--time", "4/4"},
		{[]string{"C", "major", "--show", "formula", "--formula", "1 3 5"}, "progression", "--over"},
		{[]string{"C", "major", "--show", "formula", "--over", "Dm7"}, "formula", "--formula"},
		{[]string{"C", "major", "--over", "Dm7"}, "--over is for", "guide-tones"},
		{[]string{"C", "major", "--show", "guide-tones", "--over", "Dm7 | Q"}, "--over", ""},
		{[]string{"C", "major", "--tempo-goal", "100"}, "--tempo-step and --tempo-goal", "60"},
		{[]string{"C", "major", "--tempo-goal", "100", "--tempo-step", "5"}, "beginning", "60"},
		{[]string{"C", "major", "--tempo", "100", "--tempo-goal", "60", "--tempo-step", "5"}, "below", ""},
		{[]string{"C", "major", "--order", "fourths"}, "--all-keys", ""},
		{[]string{"C", "major", "--all-keys", "--order", "forths"}, "--order", "fourths"},
		{[]string{"C", "major", "--octaves", "-1"}, "--octaves", "1 or more"},
		{[]string{"C", "major", "--run", "left"}, "--run", ""},
		{[]string{"C", "major", "--scale", "C major"}, "twice", ""},
		{[]string{"C", "major", "--home", "Q"}, "--home", ""},
	} {
		got := lickwright(append([]string{"routine"}, tt.args...)...)
		assert.Equal(t, exitUsage, got.code, "%v\n%s%s", tt.args, got.out, got.err)
		assert.Contains(t, got.err, tt.says, "%v", tt.args)
		assert.Contains(t, got.err, tt.hint, "%v", tt.args)
		assert.Empty(t, got.out, "%v", tt.args)
	}
}
