package degrees

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/lickwright/internal/typo"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A reader turns a source into a score.
type reader struct {
	src   *source
	opt   score.ReadOptions
	diags score.Diagnostics
	score *score.Score
	nodes []int // byte offset of each node, by handle - 1
	// strung has the notes whose string is typed.
	strung map[score.Handle]bool
	bars   [][]sourceBar // by part
	heads  []heading     // by part
	base   theory.NoteName
	key    bool // somebody said a key
	faults int  // that were found
}

// A sourceBar is where a bar stands, without its bar lines.
type sourceBar struct {
	start, end int
	// needs is the length that its first note takes from the bar before, zero
	// if the bar says it itself.
	needs score.Quarters
}

// A heading is what the header lines of a part say.
type heading struct {
	name     string
	home     theory.Degree // the tonic as a degree of the first one
	mode     theory.Mode
	modeSaid bool
	hasHome  bool
	octaves  int
	neck     *fretboard.Neck
	time     *score.TimeSignature
	tempo    *score.Tempo
	at       int
}

func (r *reader) fail(at int, code, hint, format string, args ...any) {
	r.faults++
	r.diags = append(r.diags, score.Diagnostic{Severity: score.Error, Code: code, Pos: r.src.pos(at), Msg: fmt.Sprintf(format, args...), Hint: hint})
}

func (r *reader) say(sev score.Severity, at int, code, hint, format string, args ...any) {
	r.diags = append(r.diags, score.Diagnostic{Severity: sev, Code: code, Pos: r.src.pos(at), Msg: fmt.Sprintf(format, args...), Hint: hint})
}

func (r *reader) handle(at int) score.Handle {
	r.nodes = append(r.nodes, at)
	return score.Handle(len(r.nodes))
}

// Locate returns where a node was read.
func (r *reader) Locate(h score.Handle) score.Pos {
	if h < 1 || int(h) > len(r.nodes) {
		return score.Pos{}
	}
	return r.src.pos(r.nodes[h-1])
}

// run reads the whole source.
func (r *reader) run() {
	r.score = &score.Score{Locator: r}
	r.split()
	for i := range r.heads {
		r.part(i)
	}
}

// headNames are the names of header lines.
var headNames = [...]string{"Degrees", "Title", "Subtitle", "Composer", "Part", "Octave", "Tuning", "Capo", "Frets", "Time", "Tempo"}

// split gives the lines to parts and reads the header lines.
func (r *reader) split() {
	r.heads = []heading{{home: theory.Degree{Number: 1}}}
	named, body := false, false
	for i := range r.src.lines {
		l := &r.src.lines[i]
		if l.kind == headLine && l.name == "Part" {
			if named || body {
				r.heads = append(r.heads, heading{home: theory.Degree{Number: 1}, at: l.start})
			}
			named, body = true, false
		}
		l.part = len(r.heads) - 1
		switch l.kind {
		case bodyLine:
			body = true
		case headLine:
			if body {
				r.fail(l.start, "degrees-header", "a line Part: begins another part; inside of music write marks such as time:3/4", "the line %s: stands inside of the music", l.name)
				continue
			}
			r.head(l, &r.heads[l.part])
		}
	}
	first := &r.heads[0]
	if r.opt.Key != nil {
		r.key = true
		if !r.opt.TonicOnly {
			first.mode, first.modeSaid = r.opt.Key.Mode, true
		}
		first.hasHome = true
		r.base = r.opt.Key.Tonic
	} else {
		r.base = theory.KeyOf(0, first.mode).Tonic
	}
	if !first.hasHome {
		r.say(score.Info, 0, "degrees-mode", "begin with a line such as Degrees: minor", "no line says that these are degrees, nor the mode")
		first.hasHome = true
	}
	for i := range r.heads {
		r.options(&r.heads[i], i == 0)
	}
}

// options lets what was asked for win over what the text says.
func (r *reader) options(h *heading, first bool) {
	if r.opt.Tuning != nil || r.opt.Capo != nil || r.opt.Frets != 0 && h.neck != nil {
		n := fretboard.Neck{Tuning: fretboard.Standard(), Frets: r.opt.FretCount()}
		if h.neck != nil {
			n = *h.neck
		}
		if r.opt.Tuning != nil {
			n.Tuning = *r.opt.Tuning
		}
		if r.opt.Capo != nil {
			n.Capo = *r.opt.Capo
		}
		if r.opt.Frets != 0 {
			n.Frets = r.opt.Frets
		}
		h.neck = &n
	}
	if h.neck != nil {
		if err := h.neck.Validate(); err != nil {
			r.fail(h.at, "degrees-neck", "", "%v", err)
		}
	}
	if first && r.opt.Time != "" {
		if t, ok := score.ParseMetre(r.opt.Time); ok {
			h.time = t
		} else {
			r.fail(h.at, "degrees-option", "write beats and what gets a beat, as in 3/4, 6/8 or 3+2/8", "%q is no metre", r.opt.Time)
		}
	}
	if first && r.opt.Tempo > 0 {
		h.tempo = &score.Tempo{QuartersPerMinute: r.opt.Tempo}
	}
}

// head reads a header line.
func (r *reader) head(l *line, h *heading) {
	neck := func() *fretboard.Neck {
		if h.neck == nil {
			h.neck = &fretboard.Neck{Tuning: fretboard.Standard(), Frets: fretboard.DefaultFrets}
		}
		return h.neck
	}
	number := func(least, most int) (int, bool) {
		n, err := strconv.Atoi(l.value)
		if err != nil || n < least || n > most {
			r.fail(l.valueAt, "degrees-header", fmt.Sprintf("write a whole number from %d to %d", least, most), "%s: %q is no such number", l.name, l.value)
			return 0, false
		}
		return n, true
	}
	switch l.name {
	case "Title":
		r.score.Title = l.value
	case "Subtitle":
		r.score.Subtitle = l.value
	case "Composer":
		r.score.Composer = l.value
	case "Part":
		h.name = l.value
	case "Degrees":
		home, mode, said, err := parseHome(l.value)
		if err != nil {
			r.fail(l.valueAt, "degrees-mode", err.hint, "%s", err.msg)
			return
		}
		if h == &r.heads[0] && home != (theory.Degree{Number: 1}) {
			r.fail(l.valueAt, "degrees-mode", "the first part says the mode alone: Degrees: minor", "the degrees of the first part are counted from its own tonic")
			return
		}
		h.home, h.mode, h.modeSaid, h.hasHome = home, mode, said, true
	case "Octave":
		if n, ok := number(-5, 5); ok {
			h.octaves = n
		}
	case "Capo":
		if n, ok := number(0, fretboard.MaxFrets-1); ok {
			neck().Capo = n
		}
	case "Frets":
		if n, ok := number(1, fretboard.MaxFrets); ok {
			neck().Frets = n
		}
	case "Tuning":
		t, err := fretboard.ParseTuning(l.value)
		if err != nil {
			r.fail(l.valueAt, "degrees-header", "write a name such as drop D, or the strings from low to high: D A D G A D", "%v", err)
			return
		}
		neck().Tuning = t
	case "Time":
		t, ok := score.ParseMetre(l.value)
		if !ok {
			r.fail(l.valueAt, "degrees-time", "write beats and what gets a beat, as in 3/4, 6/8 or 3+2/8", "%q is no metre", l.value)
			return
		}
		h.time = t
	case "Tempo":
		t, ok := parseTempo(l.value)
		if !ok {
			r.fail(l.valueAt, "degrees-tempo", `write quarter notes per minute, and words in quotes: 96 "easy"`, "%q is no tempo", l.value)
			return
		}
		h.tempo = t
	default:
		hint := "header lines are " + strings.Join(headNames[:], ", ") + "; a remark begins with //"
		if i := typo.Nearest(l.name, headNames[:], 2); i >= 0 {
			hint = "did you mean " + headNames[i] + "?"
		}
		r.say(score.Warning, l.start, "degrees-header", hint, "the line %s: is not understood and has no effect", l.name)
	}
}

// parseHome reads "minor", "5-major", "5" or nothing.
func parseHome(s string) (home theory.Degree, mode theory.Mode, said bool, err *slip) {
	home = theory.Degree{Number: 1}
	if d, rest, ok := scanDegree(s); ok && d.Number <= 7 {
		home, s = d, strings.TrimLeft(rest, " -")
	}
	if s == "" {
		return home, theory.Major, false, nil
	}
	mode, perr := theory.ParseMode(s)
	if perr != nil {
		return home, mode, false, slipped(0, "write major, minor, dorian, phrygian, lydian, mixolydian or locrian", "%q is no mode", s)
	}
	return home, mode, true, nil
}

// parseTempo reads quarter notes per minute, words in quotes, or both.
func parseTempo(s string) (*score.Tempo, bool) {
	number, words, quoted := strings.Cut(s, `"`)
	t := &score.Tempo{}
	if quoted {
		text, ok := unquote(`"` + words)
		if !ok {
			return nil, false
		}
		t.Text = text
	}
	if number = strings.TrimSpace(number); number != "" {
		v, err := strconv.ParseFloat(number, 64)
		if err != nil || !(v > 0 && v < 10000) {
			return nil, false
		}
		t.QuartersPerMinute = v
	}
	return t, t.Text != "" || t.QuartersPerMinute > 0
}

// writeTempo writes a tempo, with something between its number and its words.
func writeTempo(t *score.Tempo, between string) string {
	var parts []string
	if t.QuartersPerMinute > 0 {
		parts = append(parts, strconv.FormatFloat(t.QuartersPerMinute, 'f', -1, 64))
	}
	if t.Text != "" {
		parts = append(parts, quote(t.Text))
	}
	return strings.Join(parts, between)
}
