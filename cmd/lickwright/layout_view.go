package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// A layoutView is what a scheme makes of scales or chords on a neck.
type layoutView struct {
	Title  string           `json:"title"`
	Tuning string           `json:"tuning"` // from the last string to the first
	Capo   int              `json:"capo"`
	Items  []layoutItemView `json:"items"`
}

type layoutItemView struct {
	Title    string        `json:"title"`
	Tonic    string        `json:"tonic"`
	Home     string        `json:"home"` // what degrees count from
	Regions  []regionView  `json:"regions"`
	Joins    []joinView    `json:"joins"`        // between neighbouring chord shapes
	Overlaps []overlapView `json:"overlaps"`     // of patterns with the chord shapes
	NoPent   string        `json:"noPentatonic"` // why the chain of sets has no pentatonic; "" if it has
}

type regionView struct {
	Name    string      `json:"name"`
	Pattern bool        `json:"pattern"` // so many notes per string
	Index   int         `json:"index"`   // fret of the index finger, -1 for no hand in one place
	Low     int         `json:"low"`
	High    int         `json:"high"`
	Frets   string      `json:"frets"`  // by string, the last one first
	Chord   string      `json:"chord"`  // symbol of the chord that is held
	Chords  []string    `json:"chords"` // frets by string, the last one first
	Spots   []spotView  `json:"spots"`  // in order of the run
	Sets    []setView   `json:"sets"`   // what is practised before the scale
	Missing []string    `json:"missing"`
	Remarks []string    `json:"remarks"`
	Stretch float64     `json:"stretchMM"`
	Caution string      `json:"caution"`
	Drift   float64     `json:"driftMM"`
	DriftBy int         `json:"driftFrets"`
	Strokes changesView `json:"stringChanges"` // of the rising run
}

type spotView struct {
	String   int     `json:"string"`
	Fret     int     `json:"fret"`
	Note     string  `json:"note"`
	Degree   string  `json:"degree"`
	Reach    float64 `json:"reachMM"` // beyond the hand
	Repeated bool    `json:"repeated"`
}

type setView struct {
	Name  string `json:"name"`
	Frets string `json:"frets"`
}

type changesView struct {
	Policy  string `json:"policy"`
	Inside  int    `json:"inside"`
	Outside int    `json:"outside"`
	Sweeps  int    `json:"sweeps"`
}

type joinView struct {
	From    string   `json:"from"`
	To      string   `json:"to"`
	Shift   float64  `json:"shiftMM"`
	Strings []string `json:"strings"` // "string 6: 8 to 10"
}

type overlapView struct {
	Pattern string `json:"pattern"`
	Shape   string `json:"shape"`
	Shared  int    `json:"shared"`
	Of      int    `json:"of"`
}

func viewLayout(title string, n fretboard.Neck, items []layoutItem, scaleLength float64, policy fretboard.StrokePolicy) layoutView {
	v := layoutView{Title: title, Tuning: n.Tuning.String(), Capo: n.Capo}
	for _, it := range items {
		v.Items = append(v.Items, viewItem(it, n, scaleLength, policy))
	}
	return v
}

func viewItem(it layoutItem, n fretboard.Neck, scaleLength float64, policy fretboard.StrokePolicy) layoutItemView {
	v := layoutItemView{Title: it.tones.Title, Tonic: it.tones.Tonic.String(), Home: it.tones.Tonic.String(), Joins: []joinView{}, Overlaps: []overlapView{}, Regions: []regionView{}}
	if it.home != nil {
		v.Home = it.home.String()
	}
	hands := true
	for _, l := range it.made {
		v.Regions = append(v.Regions, viewRegion(it, l, scaleLength, policy))
		hands = hands && l.Region.Index >= 0
	}
	if !hands {
		v.Overlaps = overlapsWithShapes(it, n)
		return v
	}
	if it.chain != nil {
		v.NoPent = it.chain.WhyNot
	}
	for i := 1; i < len(it.made); i++ {
		a, b := it.made[i-1], it.made[i]
		j := joinView{From: a.Region.Name, To: b.Region.Name, Strings: []string{}}
		for _, join := range fretboard.Joins(a, b, scaleLength) {
			j.Shift = join.Shift
			j.Strings = append(j.Strings, fmt.Sprintf("%d: %d-%d", join.From.Place.String, join.From.Place.Fret, join.To.Place.Fret))
		}
		v.Joins = append(v.Joins, j)
	}
	return v
}

// overlapsWithShapes counts the places that patterns of notes per string share
// with the chord shapes, each shape where it shares the most.
func overlapsWithShapes(it layoutItem, n fretboard.Neck) []overlapView {
	out := []overlapView{}
	regions, err := fretboard.ChordShape{}.Regions(n, it.tones)
	if err != nil || !it.made[0].Region.IsPattern() {
		return out
	}
	var shapes []fretboard.Layout
	for _, r := range regions {
		shapes = append(shapes, r.Lay(it.tones))
	}
	for _, o := range fretboard.Overlaps(it.made, shapes) {
		i := slices.IndexFunc(out, func(v overlapView) bool { return v.Pattern == o.A && v.Shape == o.B })
		if i < 0 {
			out = append(out, overlapView{o.A, o.B, o.Shared, o.OfA})
		} else {
			out[i].Shared = max(out[i].Shared, o.Shared)
		}
	}
	return out
}

func viewRegion(it layoutItem, l fretboard.Layout, scaleLength float64, policy fretboard.StrokePolicy) regionView {
	v := regionView{Name: l.Region.Name, Pattern: l.Region.IsPattern(), Index: l.Region.Index, Frets: fretRow(l), Caution: cautionOf(l, scaleLength),
		Spots: []spotView{}, Sets: []setView{}, Chords: []string{}, Missing: []string{}, Remarks: append([]string{}, l.Region.Remarks...)}
	for i, s := range l.Spots {
		if i == 0 {
			v.Low, v.High = s.Place.Fret, s.Place.Fret
		}
		v.Low, v.High = min(v.Low, s.Place.Fret), max(v.High, s.Place.Fret)
		v.Spots = append(v.Spots, spotView{s.Place.String, s.Place.Fret, s.Pitch.String(), s.Degree.String(), round1(s.Reach), s.Repeated})
	}
	for _, p := range l.Missing {
		v.Missing = append(v.Missing, p.String())
	}
	mm, _, _ := l.Stretch(scaleLength)
	v.Stretch = round1(mm)
	drift, by := l.Drift(scaleLength)
	v.Drift, v.DriftBy = round1(drift), by
	_, changes := fretboard.Strokes(l.Places(), policy)
	v.Strokes.Policy = policy.String()
	v.Strokes.Inside, v.Strokes.Outside, v.Strokes.Sweeps = fretboard.CountChanges(changes)
	chordOf := l.Tones
	if it.chain != nil {
		chordOf = it.chain.Triad
		v.Chord = it.chain.Chord.String()
		for _, set := range it.chain.Sets() {
			if set.Title != it.tones.Title {
				v.Sets = append(v.Sets, setView{set.Title, fretRow(l.Region.Lay(set))})
			}
		}
	}
	if it.chord != nil {
		v.Chord = it.chord.String()
	}
	if len(chordOf.Tones) > 0 && (it.chord != nil || l.Region.Index >= 0) {
		for _, c := range fingering.Voicings(l.Region, chordOf, scaleLength) {
			frets := c.String()
			if len(c.Missing) > 0 {
				frets += " (without " + strings.Join(degreesOf(c.Missing), " ") + ")"
			}
			if c.Whole != nil {
				frets += " (" + fingering.Smaller(c, l.Region.Neck, scaleLength) + ")"
			}
			v.Chords = append(v.Chords, frets)
		}
	}
	return v
}

func round1(mm float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(mm, 'f', 1, 64), 64)
	return r
}

// fretRow writes frets string by string, the last one first, as books print
// a position: "7 8 10 | 7 8 10 | …".
func fretRow(l fretboard.Layout) string {
	var rows []string
	for _, row := range slices.Backward(l.ByString()) {
		frets := make([]string, len(row))
		for i, s := range row {
			frets[i] = strconv.Itoa(s.Place.Fret)
		}
		if len(row) == 0 {
			frets = []string{"-"}
		}
		rows = append(rows, strings.Join(frets, " "))
	}
	return strings.Join(rows, " | ")
}

func (v layoutView) write(text *strings.Builder, show []string) {
	fmt.Fprintf(text, "%s\n", v.Title)
	fmt.Fprintf(text, "strings %s", v.Tuning)
	if v.Capo > 0 {
		fmt.Fprintf(text, ", capo at fret %d; frets count from it", v.Capo)
	}
	text.WriteByte('\n')
	caution := false
	for _, it := range v.Items {
		for _, r := range it.Regions {
			text.WriteByte('\n')
			if len(v.Items) > 1 {
				fmt.Fprintf(text, "%s, ", it.Title)
			}
			r.write(text, v.Tuning, show)
			caution = caution || r.Caution != ""
		}
		if it.NoPent != "" {
			fmt.Fprintf(text, "\n%s\n", it.NoPent)
		}
		it.writeJoins(text)
		it.writeOverlaps(text)
		if it.Home != it.Tonic {
			fmt.Fprintf(text, "\ndegrees count from %s; it sounds so when %s or its chord is home\n", it.Home, it.Home)
		}
	}
	if caution {
		fmt.Fprintf(text, "\nCaution: %s.\n", strainHint)
	}
}

func (v layoutItemView) writeJoins(text *strings.Builder) {
	if len(v.Joins) == 0 {
		return
	}
	text.WriteString("\njoins: string, last fret of the one and next of the other\n")
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	for _, j := range v.Joins {
		fmt.Fprintf(w, "  %s to %s\t%.0f mm\t%s\n", j.From, j.To, j.Shift, strings.Join(j.Strings, "  "))
	}
	_ = w.Flush() // a strings.Builder takes everything
}

func (v layoutItemView) writeOverlaps(text *strings.Builder) {
	if len(v.Overlaps) == 0 {
		return
	}
	text.WriteString("\nnotes shared with the chord shapes\n")
	var shapes []string
	shared := map[[2]string]int{}
	for _, o := range v.Overlaps {
		if !slices.Contains(shapes, o.Shape) {
			shapes = append(shapes, o.Shape)
		}
		shared[[2]string{o.Pattern, o.Shape}] = o.Shared
	}
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "  \t%s\tof\n", strings.Join(shapes, "\t"))
	last := ""
	for _, o := range v.Overlaps {
		if o.Pattern == last {
			continue
		}
		last = o.Pattern
		fmt.Fprintf(w, "  %s", o.Pattern)
		for _, s := range shapes {
			fmt.Fprintf(w, "\t%d", shared[[2]string{o.Pattern, s}])
		}
		fmt.Fprintf(w, "\t%d\n", o.Of)
	}
	_ = w.Flush()
}

func (r regionView) write(text *strings.Builder, tuning string, show []string) {
	text.WriteString(r.Name)
	if r.Index >= 0 {
		fmt.Fprintf(text, ": index finger at %s", fretName(r.Index))
	}
	fmt.Fprintf(text, ", frets %d to %d\n", r.Low, r.High)
	r.grid(text, tuning, show)
	w := tabwriter.NewWriter(text, 0, 0, 2, ' ', 0)
	for i, c := range r.Chords {
		label := r.Chord
		if i > 0 {
			label = ""
		}
		fmt.Fprintf(w, "  %s\t%s\n", label, c)
	}
	for _, s := range r.Sets {
		fmt.Fprintf(w, "  %s\t%s\n", s.Name, s.Frets)
	}
	fmt.Fprintf(w, "  all\t%s\n", r.Frets)
	if n := r.Strokes.Inside + r.Strokes.Outside + r.Strokes.Sweeps; n > 0 {
		fmt.Fprintf(w, "  string changes\t%d inside, %d outside, %d swept (rising, %s)\n", r.Strokes.Inside, r.Strokes.Outside, r.Strokes.Sweeps, r.Strokes.Policy)
	}
	if r.Pattern {
		way := "up"
		if r.DriftBy < 0 {
			way = "back"
		}
		fmt.Fprintf(w, "  drift of the hand\t%.0f mm %s, %s\n", math.Abs(r.Drift), way, plural(max(r.DriftBy, -r.DriftBy), "fret"))
	}
	for _, m := range r.Remarks {
		fmt.Fprintf(w, "  note\t%s\n", m)
	}
	if len(r.Missing) > 0 {
		fmt.Fprintf(w, "  no place for\t%s\n", strings.Join(r.Missing, " "))
	}
	if r.Caution != "" {
		fmt.Fprintf(w, "  wide\t%s\n", r.Caution)
	}
	_ = w.Flush() // a strings.Builder takes everything
}

func fretName(fret int) string {
	if fret == 0 {
		return "the nut"
	}
	return fmt.Sprintf("fret %d (position %s)", fret, fretboard.Roman(fret))
}

// grid draws the neck with the thinnest string on top. A note in parentheses
// is reached for from where the hand stands; one after = has sounded before.
func (r regionView) grid(text *strings.Builder, tuning string, show []string) {
	open := strings.Fields(tuning)
	slices.Reverse(open)
	at := map[[2]int]string{}
	reached, repeated := false, false
	for _, s := range r.Spots {
		var words []string
		for _, what := range show {
			if what == "names" {
				words = append(words, strings.TrimRight(s.Note, "-0123456789"))
			} else {
				words = append(words, s.Degree)
			}
		}
		cell := strings.Join(words, " ")
		if s.Reach > 0 {
			cell, reached = "("+cell+")", true
		}
		if s.Repeated {
			cell, repeated = "="+cell, true
		}
		at[[2]int{s.String, s.Fret}] = cell
	}
	w := tabwriter.NewWriter(text, 4, 0, 1, ' ', tabwriter.AlignRight)
	header := "string\t"
	for f := r.Low; f <= r.High; f++ {
		header += fmt.Sprintf("%d\t", f)
	}
	fmt.Fprintln(w, header)
	for i, o := range open {
		row := fmt.Sprintf("%d %s\t", i+1, o)
		for f := r.Low; f <= r.High; f++ {
			row += at[[2]int{i + 1, f}] + "\t"
		}
		fmt.Fprintln(w, row)
	}
	_ = w.Flush() // a strings.Builder takes everything
	if reached {
		text.WriteString("  (…) reached for from where the hand stands\n")
	}
	if repeated {
		text.WriteString("  = sounds like the note before\n")
	}
}
