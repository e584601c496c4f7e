package prove

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// A Page is what was proved of a page of a practice sheet.
type Page struct {
	Title     string
	Exercises int
	Notes     int
	Faults    []Fault
	// Unproved says what the page promises and the check cannot judge.
	Unproved []string
}

// Pages proves a practice sheet by what its pages say of themselves: the notes
// of the scale, the frets, the mode, and what the titles of the exercises
// promise (a run in steps, a sequence, an arpeggio, a neighbouring mode). text
// is the tab that the music was read from, "" for formats whose words are in
// the model. It returns nil for music that has no such page.
//
// Not proved are pages that say they have no place for some note, as to the
// order of their runs.
func Pages(s *score.Score, text string) []Page {
	secs := sections(s, text)
	if len(secs) == 0 {
		return nil
	}
	// All that is struck, and the chord symbols, bar by bar.
	byBar := make([][]moment, len(s.Parts[0].Measures))
	for _, m := range moments(s.Parts[0]) {
		byBar[m.bar] = append(byBar[m.bar], m)
	}
	var pages []Page
	var pr *prover
	for _, sec := range secs {
		if sec.page != "" {
			pr = newProver(s, sec)
			pr.byBar = byBar
			pages = append(pages, Page{Title: sec.page, Faults: pr.faults})
			pages[len(pages)-1].Unproved = pr.unproved
		}
		if pr == nil || !pr.sheet {
			continue
		}
		pr.faults, pr.unproved = nil, nil
		pr.exercise(sec)
		p := &pages[len(pages)-1]
		p.Unproved = append(p.Unproved, pr.unproved...)
		p.Exercises++
		p.Notes += len(pr.notes)
		p.Faults = append(p.Faults, pr.faults...)
	}
	return slices.DeleteFunc(pages, func(p Page) bool { return p.Exercises == 0 })
}

// A prover proves the exercises of one page.
type prover struct {
	s         *score.Score
	byBar     [][]moment
	sheet     bool // the page says what it promises
	low, high int
	scale     Scale
	home      string // the tonic that degrees count from
	gaps      bool   // the page has no place for some notes
	faults    []Fault
	unproved  []string

	// of the exercise
	sec   section
	notes []noteAt
}

type noteAt struct {
	m   moment
	n   *score.Note
	key int
}

var (
	factFrets = regexp.MustCompile(`[Ff]rets (\d+) to (\d+)`)
	factNotes = regexp.MustCompile(`(?:Holds the notes|Notes) of ([^:]+): ([^.]+)\.`)
	factHome  = regexp.MustCompile(`Degrees count from ([A-G][#b]*);`)
	factThere = regexp.MustCompile(`Its notes: ([^.]+)\.`)
	factFret  = regexp.MustCompile(`Fret (\d+) is needed too`)
)

func newProver(s *score.Score, sec section) *prover {
	pr := &prover{s: s}
	all := strings.Join(strings.Fields(strings.Join(sec.paragraphs, " ")), " ")
	frets, notes := factFrets.FindStringSubmatch(all), factNotes.FindStringSubmatch(all)
	if frets == nil || notes == nil {
		return pr
	}
	pr.sheet = true
	pr.low, _ = strconv.Atoi(frets[1])
	pr.high, _ = strconv.Atoi(frets[2])
	pr.gaps = strings.Contains(all, "No place here for") || strings.Contains(all, "Sounds twice") || strings.Contains(all, "Cut off")
	page := func(kind Kind, format string, args ...any) {
		pr.faults = append(pr.faults, Fault{Kind: kind, Bar: s.Parts[0].BarName(sec.from), Msg: fmt.Sprintf(format, args...)})
	}
	var ok bool
	if pr.scale, ok = ScaleOf(notes[1], notes[2]); !ok {
		page(NotScale, "%q are no note names", notes[2])
		return pr
	}
	// The title names the scale, and the mode that is held has its notes.
	title, _, _ := strings.Cut(sec.page, ",")
	pr.home, _, _ = strings.Cut(title, " ")
	if home := factHome.FindStringSubmatch(all); home != nil {
		pr.home = home[1]
	}
	for _, name := range slices.Compact([]string{title, notes[1]}) {
		named, known := ParseScale(name)
		switch {
		case !known:
			pr.unproved = append(pr.unproved, fmt.Sprintf("that %s are the notes of %s", notes[2], name))
		case !sameNotes(named, pr.scale):
			page(NotScale, "%s has other notes than %s", name, notes[2])
		}
	}
	if !strings.Contains(all, "stop if it hurts") {
		page(Caution, "the page does not say what to do when it hurts")
	}
	return pr
}

func sameNotes(a, b Scale) bool {
	for key := range 12 {
		if a.Has(key) != b.Has(key) {
			return false
		}
	}
	return true
}

// collect gathers the notes of a section that are struck.
func (pr *prover) collect(sec section) {
	pr.sec, pr.notes = sec, nil
	for _, bar := range pr.byBar[sec.from:sec.to] {
		for _, m := range bar {
			for _, n := range m.chord.Notes {
				if !n.TieStop {
					pr.notes = append(pr.notes, noteAt{m, n, sounds(n.Pitch)})
				}
			}
		}
	}
}

func (pr *prover) fault(kind Kind, at noteAt, format string, args ...any) {
	pr.faults = append(pr.faults, at.m.at(pr.s, kind, at.n, format, args...))
}

// exercise proves what an exercise's title promises.
func (pr *prover) exercise(sec section) {
	pr.collect(sec)
	title, words := sec.title(), sec.words()
	from, to, modes := strings.Cut(title, " to ")
	low, high := pr.low, pr.high
	for _, m := range factFret.FindAllStringSubmatch(words, -1) {
		f, _ := strconv.Atoi(m[1])
		low, high = min(low, f), max(high, f)
	}
	switch {
	case strings.HasPrefix(title, "To the next position"):
		pr.inScale(pr.scale)
		pr.degrees(pr.home)
	case modes && strings.HasPrefix(words, "One note moves"):
		pr.neighbour(from, to, words)
	case strings.HasPrefix(title, "Formula "), strings.HasPrefix(title, "Guide tones "):
		pr.inFrets(low, high)
		if strings.HasPrefix(title, "Guide") {
			pr.overChords(score.LabelChordTone, true)
		} else {
			pr.overChords(score.LabelDegree, false)
		}
	default:
		pr.inFrets(low, high)
		pr.inScale(pr.scale)
		pr.overChords(score.LabelChordTone, false)
		if !strings.HasPrefix(title, "Sweep ") {
			pr.degrees(pr.home)
		}
		pr.run(title)
	}
}

func (pr *prover) inFrets(low, high int) {
	for _, n := range pr.notes {
		if f := n.n.Place.Fret; f < low || f > high {
			pr.fault(OutOfPos, n, "%s lies outside of frets %d to %d", where(n.n), low, high)
		}
	}
}

func (pr *prover) inScale(scale Scale) {
	for _, n := range pr.notes {
		if !scale.Has(n.key) {
			pr.fault(NotScale, n, "%s is no note of %s", where(n.n), scale.Name)
		}
	}
}

// neighbour proves that a run is another mode on the same tonic, and that one
// note moved by a semitone makes the difference.
func (pr *prover) neighbour(from, to, words string) {
	if len(pr.notes) == 0 {
		return
	}
	// The page holds the mode from which it goes; the other is named, and its
	// notes are listed under the title.
	a := pr.scale
	home, _, _ := cutNote(from)
	a.tonic, a.steps = home, turned(pr.scale, home)
	b := Scale{}
	if listed := factThere.FindStringSubmatch(words); listed != nil {
		b, _ = ScaleOf(to, listed[1])
	}
	if named, known := ParseScale(to); !known {
		pr.unproved = append(pr.unproved, "which notes "+to+" has")
	} else if !sameNotes(named, b) {
		pr.fault(NotScale, pr.notes[0], "the notes that are listed are not those of %s", to)
	}
	pr.inScale(b)
	differ := 0
	for key := range 12 {
		if a.Has(key) != b.Has(key) {
			differ++
		}
	}
	if differ != 2 || a.tonic != b.tonic {
		pr.fault(NotScale, pr.notes[0], "%s and %s differ in more than one note", from, to)
	}
	for _, n := range pr.notes {
		if n.n.Has(score.Accent) == a.Has(n.key) {
			pr.fault(NotScale, n, "the accent stands at the wrong note: %s", where(n.n))
		}
	}
	if !strings.Contains(words, "No place here for") {
		pr.steps(pr.notes, b, 1)
	}
}

// turned returns the steps of a scale above another tonic.
func turned(s Scale, tonic int) (steps [12]bool) {
	for i := range steps {
		steps[i] = s.Has(tonic + i)
	}
	return steps
}
