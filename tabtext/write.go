package tabtext

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// DefaultWidth is how many columns a line of new tab has, if nothing else is
// asked for.
const DefaultWidth = 80

// Write writes a score as new tab: a header, then each part in wrapped
// systems with counts under them. What tab cannot hold goes to opt.Report;
// the rest is written. It fails if no part has a neck, or if w does.
func Write(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	text, err := writeSpaced(s, opt)
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, text)
	return err
}

// write writes a score; spaced tells which of the measures whose rhythm was
// guessed are written by their spacing alone, nil for none.
func write(s *score.Score, opt score.WriteOptions, spaced func(*score.Measure) bool) (string, error) {
	var b bytes.Buffer
	head := func(name, value string) {
		if value = oneLine(value); value != "" {
			fmt.Fprintf(&b, "%s: %s\n", name, value)
		}
	}
	head("Title", s.Title)
	head("Subtitle", s.Subtitle)
	head("Composer", s.Composer)
	reports := newReports(s, opt)
	written := 0
	var legend []string
	for _, p := range s.Parts {
		neck, ok := firstNeck(p)
		if !ok {
			reports.report(p.Src, "", "tab-lost-part", "the part "+strconv.Quote(p.Name)+" (it has no neck, and tab needs strings and frets)")
			continue
		}
		if len(p.Measures) == 0 {
			continue
		}
		if b.Len() > 0 && (written > 0 || len(s.Parts) > 1) {
			b.WriteByte('\n')
		}
		written++
		if p.Name != "" || len(s.Parts) > 1 {
			head("Part", reports.partName(p, written))
		}
		c := &composer{part: p, neck: neck, metre: metre{length: score.Q(4, 1), unit: score.Q(1, 1)}, report: reports.report, running: map[score.SpanKind]int{}}
		c.compose()
		b.WriteString(c.header(neck))
		if written == 1 && underCapo(s, false) {
			b.WriteString(naming{}.String() + "\n") // else its notes might speak for shapes
		}
		pw := &partWriter{neck: neck, bars: c.bars, width: opt.Width}
		if pw.width <= 0 {
			pw.width = DefaultWidth
		}
		if spaced != nil {
			by := map[*composed]bool{}
			for i, bar := range c.bars {
				by[bar] = bar.guessed && spaced(p.Measures[i])
			}
			pw.dropCounts(func(bar *composed) bool { return by[bar] })
		}
		for _, sys := range pw.systems() {
			b.WriteByte('\n')
			for _, line := range sys {
				b.WriteString(line)
				b.WriteByte('\n')
			}
		}
		legend = pw.legend(legend)
	}
	if written == 0 {
		return "", score.Diagnostics{{Severity: score.Error, Code: "tab-no-neck", Msg: "nothing in this music is played on a neck, so that it cannot be written as tab",
			Hint: "give the part a tuning and places first"}}
	}
	if len(legend) > 0 {
		b.WriteByte('\n')
		for _, l := range legend {
			b.WriteString(l + "\n")
		}
	}
	if opt.Report != nil {
		for _, d := range reports.lost.diagnostics() {
			opt.Report(d)
		}
		for _, d := range colorsLost(s) {
			opt.Report(d)
		}
	}
	for i, l := range tabLegend(s.Legend) {
		if i == 0 {
			b.WriteByte('\n')
		}
		b.WriteString(labelsPrefix + l + "\n")
	}
	return b.String(), nil
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// firstNeck returns the neck that a part begins on.
func firstNeck(p *score.Part) (fretboard.Neck, bool) {
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if n, ok := e.(*score.NeckChange); ok && n.Neck.Tuning.Len() > 0 {
				return n.Neck, true
			}
		}
	}
	return fretboard.Neck{}, false
}

// header writes what holds from the beginning of a part.
func (c *composer) header(neck fretboard.Neck) string {
	var b strings.Builder
	line := func(name, value string) { fmt.Fprintf(&b, "%s: %s\n", name, value) }
	line("Tuning", neck.Tuning.String())
	if neck.Capo != 0 {
		line("Capo", strconv.Itoa(neck.Capo))
	}
	if neck.Frets != fretboard.DefaultFrets {
		line("Frets", strconv.Itoa(neck.Frets))
	}
	var metre *score.TimeSignature
	for _, e := range c.marks {
		if t, ok := e.(*score.TimeSignature); ok {
			metre = t
		}
	}
	for _, e := range c.marks {
		switch e := e.(type) {
		case *score.KeySignature:
			if e.ModeSaid || e.Key.Mode != theory.Major {
				line("Key", e.Key.String())
			} else {
				line("Key", e.Key.Tonic.String())
			}
		case *score.TimeSignature:
			line("Time", e.Metre())
		case *score.Tempo:
			if e.QuartersPerMinute > 0 {
				line("Tempo", writeNamedTempo(e.QuartersPerMinute, metre))
			}
		}
	}
	return b.String()
}

// reports tells the caller what tab cannot hold.
type reports struct {
	score *score.Score
	opt   score.WriteOptions
	names map[string]bool // of parts that are written
	lost  summary
}

func newReports(s *score.Score, opt score.WriteOptions) *reports {
	return &reports{score: s, opt: opt, names: map[string]bool{}}
}

func (r *reports) report(at score.Handle, where, code, what string) {
	if r.opt.Report == nil {
		return
	}
	r.lost.add(code, where, what, func() score.Pos { return r.score.PosOf(at) })
}

// notShown is the message about something that is left out, at a bar or "".
func notShown(where, what string) string {
	if where != "" {
		where += ": "
	}
	return where + "tab cannot show " + what + ": left out"
}

// partName gives the name under which a part is written: its own, a number if
// it has none, or its own with a number if another part is called so, since a
// reader takes parts of one name for one.
func (r *reports) partName(p *score.Part, number int) string {
	name := oneLine(p.Name)
	if name == "" {
		name = strconv.Itoa(number)
	}
	if r.names[name] {
		name += " " + strconv.Itoa(number)
		r.report(p.Src, "", "tab-lost-part-name", "that two parts are both called "+strconv.Quote(p.Name))
	}
	r.names[name] = true
	return name
}

// A partWriter lays the bars of a part out in systems.
type partWriter struct {
	neck  fretboard.Neck
	bars  []*composed
	width int
	style style
}

// A style is how an author writes tab, as far as it can be told.
type style struct {
	labels  []string          // of the rows, top first; nil for our own
	edge    string            // between label and bar line
	flipped bool              // the last string is on top
	prefix  string            // before every line
	signs   *strings.Replacer // the author's hyphens and bar lines for the plain ones; nil for these
}

// rowLabels gives the labels of the rows, the first string on top, all of one
// width. A first string that has the name of another is in small letters.
func rowLabels(t fretboard.Tuning) []string {
	labels := make([]string, t.Len())
	wide := 0
	for i := range labels {
		labels[i] = t.Open(i + 1).NoteName.String()
		wide = max(wide, len(labels[i]))
	}
	for _, other := range labels[1:] {
		if other == labels[0] {
			labels[0] = strings.ToLower(labels[0][:1]) + labels[0][1:]
			break
		}
	}
	for i := range labels {
		labels[i] += strings.Repeat(" ", wide-len(labels[i]))
	}
	return labels
}

// systems lays out all bars and wraps them.
func (w *partWriter) systems() [][]string {
	w.placeAll()
	margin := len(rowLabels(w.neck.Tuning)[0])
	if w.style.labels != nil {
		margin = width(w.style.labels[0]) + width(w.style.edge)
	}
	var out [][]string
	for i := 0; i < len(w.bars); {
		j, room := i, margin+len(w.cluster(nil, w.bars[i], false))
		for j < len(w.bars) {
			need := w.bars[j].width + 3
			if j > i && (room+need > w.width || w.bars[j].heading != nil || w.bars[j].guessed != w.bars[i].guessed || w.bars[j].spaced != w.bars[i].spaced) {
				break
			}
			room += w.bars[j].width + len(w.cluster(w.bars[j], w.at(j+1), false))
			j++
		}
		sys := w.system(i, j)
		if head := w.bars[i].heading; head != nil {
			sys = append(append(slices.Clone(head), ""), sys...)
		}
		if w.bars[i].guessed && !w.bars[i].spaced {
			sys = append([]string{guessLine}, sys...)
		}
		out = append(out, sys)
		i = j
	}
	return out
}

func (w *partWriter) at(i int) *composed {
	if i < len(w.bars) {
		return w.bars[i]
	}
	return nil
}

// placeAll lays out the bars: first each as narrow as it may be, then those
// that can be like most others.
func (w *partWriter) placeAll() {
	var sizes []score.Quarters
	pad := 0
	for i, bar := range w.bars {
		if q := bar.place(pad, score.Quarters{}); q.Sign() > 0 {
			sizes = append(sizes, q)
		}
		pad = 0
		if bar.endCount != "" && i+1 < len(w.bars) {
			pad = len(bar.endCount) + 1
		}
	}
	if len(sizes) == 0 {
		return
	}
	slices.SortFunc(sizes, score.Quarters.Cmp)
	common := sizes[len(sizes)*3/4]
	pad = 0
	for i, bar := range w.bars {
		if q := bar.place(pad, common); q.IsZero() {
			bar.place(pad, score.Quarters{})
		}
		pad = 0
		if bar.endCount != "" && i+1 < len(w.bars) {
			pad = len(bar.endCount) + 1
		}
	}
}

// legend adds lines that explain signs which are our own, as far as the part
// uses them.
func (w *partWriter) legend(lines []string) []string {
	var rest, tie, grace, part, shift, over, bent bool
	for _, bar := range w.bars {
		for i, p := range bar.points {
			for t, pc := range p.pieces {
				if t.kind == countLine {
					rest = rest || pc.lead == "("
					tie = tie || pc.lead == "~"
					part = part || strings.HasPrefix(pc.body, "+")
				}
				if t.kind == stringLine {
					grace = grace || strings.Contains(pc.lead, "g")
					shift = shift || pc.tight && strings.HasSuffix(pc.body, "S")
					over = over || pc.slide != 0 && strings.HasSuffix(w.slideOut(bar, i, t, pc), "s")
					bent = bent || strings.Contains(pc.body, "pb")
				}
			}
		}
	}
	add := func(on bool, text string) {
		if on && !slices.Contains(lines, text) {
			lines = append(lines, text)
		}
	}
	add(rest, "Counts in brackets, as (2), begin a rest.")
	add(tie, "A count after ~, as ~3, is held: do not strike what stands in brackets over it.")
	add(part, "A count of +1/5 is a fifth of a beat after the beat.")
	add(shift, "S between two numbers is a slide to a note that is struck again.")
	add(over, "An s behind a number is a slide to the next note.")
	add(bent, "A number before pb is bent before it is struck; with r it is released then.")
	add(grace, "A number after g is a quick grace note.")
	return lines
}
