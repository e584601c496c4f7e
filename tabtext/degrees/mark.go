package degrees

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// markNames are the names of marks; what follows the colon is their value.
var markNames = [...]string{"time", "key", "tempo", "tuning", "capo", "frets", "words", "rehearsal", "dynamics", "lyric", "ending", "bar", "voice", "staff", "skip"}

// isMark tells whether a word is a mark: time:3/4, uncounted.
func isMark(s string) bool {
	name, _, found := strings.Cut(s, ":")
	return found && slices.Contains(markNames[:], name) || s == "counted" || s == "uncounted"
}

// onset is the time of the mark that is read now.
func (p *partReader) onset() score.Quarters {
	at := p.now
	if p.later != nil {
		at = at.Add(*p.later)
		p.later = nil
	}
	return at
}

func (p *partReader) harmony(t token) {
	onset := p.onset()
	if t.open {
		p.fail(t.at, "degrees-chord", "end it with }", "the chord symbol is not closed")
		return
	}
	key := theory.Key{Tonic: p.groundAtTime(onset).NoteName}
	c, err := key.ParseRoman(t.text)
	if err != nil {
		at, hint := t.at+1, ""
		if pe, ok := err.(*theory.ParseError); ok {
			at, hint = at+pe.Offset, pe.Hint
		}
		p.fail(at, "degrees-chord", hint, "%v", err)
		return
	}
	p.bar.Events = append(p.bar.Events, &score.Harmony{Common: score.Common{Onset: onset, Src: p.handle(t.at)}, Chord: c})
}

func (p *partReader) groundAtTime(at score.Quarters) ground {
	now := p.now
	p.now = at
	g := p.ground()
	p.now = now
	return g
}

// mark reads a mark.
func (p *partReader) mark(t token) {
	name, value, _ := strings.Cut(t.text, ":")
	valueAt := t.at + len(t.text) - len(value)
	common := score.Common{Onset: p.onset(), Src: p.handle(t.at)}
	add := func(e score.Event) { p.bar.Events = append(p.bar.Events, e) }
	bad := func(hint, format string, args ...any) { p.fail(valueAt, "degrees-mark", hint, format, args...) }
	number := func(least, most int) (int, bool) {
		n, err := strconv.Atoi(value)
		if err != nil || n < least || n > most {
			bad("write a whole number from "+strconv.Itoa(least)+" to "+strconv.Itoa(most), "%s: %q is no such number", name, value)
			return 0, false
		}
		return n, true
	}
	switch name {
	case "time", "key", "tuning", "capo", "frets":
		if p.segment > 0 {
			bad("write it in the first voice of the bar", "%s: holds for all voices", name)
			return
		}
	}
	switch name {
	case "counted", "uncounted":
		counted := name == "counted"
		p.counted = &counted
	case "time":
		m, ok := score.ParseMetre(value)
		if !ok {
			bad("write beats and what gets a beat, as in 3/4, 6/8 or 3+2/8", "%q is no metre", value)
			return
		}
		m.Common = common
		p.nominal, p.metre = m.Length, m.Length.Sign() > 0
		add(m)
	case "key":
		if value == "none" {
			add(&score.KeySignature{Common: common, NoKey: true})
			return
		}
		d, mode, said, err := parseHome(value)
		if err != nil {
			bad("write the new tonic as a degree of the first one, and the mode: key:5-major", "%s", err.msg)
			return
		}
		g := p.first.on(d)
		p.grounds = append(p.grounds, groundAt{common.Onset, g})
		slices.SortStableFunc(p.grounds, func(a, b groundAt) int { return a.onset.Cmp(b.onset) })
		add(&score.KeySignature{Common: common, Key: theory.Key{Tonic: g.NoteName, Mode: mode}, ModeSaid: said})
	case "tempo":
		tempo, ok := parseTempo(value)
		if !ok {
			bad(`write quarter notes per minute, and words in quotes: tempo:96"easy"`, "%q is no tempo", value)
			return
		}
		tempo.Common = common
		add(tempo)
	case "tuning", "capo", "frets":
		n := fretboard.Neck{Tuning: fretboard.Standard(), Frets: p.opt.FretCount()}
		if p.neck != nil {
			n = *p.neck
		}
		ok := true
		switch name {
		case "tuning":
			tuning, err := fretboard.ParseTuning(value)
			if err != nil {
				bad("write the strings from low to high with commas: tuning:D,A,D,G,A,D", "%v", err)
				return
			}
			n.Tuning = tuning
		case "capo":
			n.Capo, ok = number(0, fretboard.MaxFrets-1)
		case "frets":
			n.Frets, ok = number(1, fretboard.MaxFrets)
		}
		if !ok {
			return
		}
		p.neck = &n
		for _, e := range p.bar.Events { // several words for one change
			if c, ok := e.(*score.NeckChange); ok && c.Onset == common.Onset && len(p.part.Measures) > 0 {
				c.Neck = n
				return
			}
		}
		add(&score.NeckChange{Common: common, Neck: n})
	case "words", "rehearsal", "dynamics", "lyric":
		text, ok := unquote(value)
		if !ok {
			bad(`write the text in quotes: words:"let it breathe"`, "%s: the text is not in quotes", name)
			return
		}
		add(&score.Words{Common: common, Kind: name, Text: text})
	case "ending":
		p.endings(value, common, bad)
	case "bar":
		if strings.Trim(value, "abcdefghijklmnopqrstuvwxyz-") != "" || value == "" {
			bad("write a style of MusicXML: bar:dashed, bar:heavy-heavy", "%q is no style of a bar line", value)
			return
		}
		p.barlineAt(common.Onset, common.Src).Style = value
	case "voice":
		if n, ok := number(1, 999); ok {
			p.voice = n
		}
	case "staff":
		if n, ok := number(1, 99); ok {
			p.staff = n
		}
	case "skip":
		q, rest, err := scanLength(value)
		if err != nil || rest != "" {
			bad("write a length: skip:H.", "%q is no length", value)
			return
		}
		p.advance(q, valueAt)
	}
}

func (p *partReader) endings(value string, common score.Common, bad func(hint, format string, args ...any)) {
	b := p.barlineAt(common.Onset, common.Src)
	switch {
	case value == "stop" || value == "discontinue":
		if p.ending == "" {
			bad("an ending begins with its numbers: ending:1", "no ending is open")
			return
		}
		b.Ending, b.EndingType, p.ending = p.ending, value, ""
	case value != "" && strings.Trim(value, "0123456789,") == "" && !strings.HasPrefix(value, ","):
		b.Ending, b.EndingType = strings.ReplaceAll(value, ",", ", "), "start"
		p.ending = b.Ending
	default:
		bad("write numbers, ending:1 or ending:1,2, and at the end ending:stop or ending:discontinue", "%q is no ending", value)
	}
}

// barlineAt returns the bar line at a time of the bar, making it if need be.
func (p *partReader) barlineAt(at score.Quarters, src score.Handle) *score.Barline {
	for _, e := range p.bar.Events {
		if b, ok := e.(*score.Barline); ok && b.Onset == at {
			return b
		}
	}
	b := &score.Barline{Common: score.Common{Onset: at, Src: src}}
	p.bar.Events = append(p.bar.Events, b)
	return b
}

// barLine reads a bar line.
func (p *partReader) barLine(t token, line int) {
	sign, times, _ := strings.Cut(t.text, "x")
	opens := strings.HasSuffix(sign, "||:")
	switch {
	case p.any:
		p.closeBar(t)
	case opens && !strings.HasPrefix(sign, ":"):
	case sign == "|" && (p.lastBar.text == "" || !p.sameLine(p.lastBar.at, t.at)):
		// A bar line at the end of one line and at the beginning of the next
		// are one.
	default:
		p.fail(t.at, "degrees-bar", "a silent bar is written (bar)", "the bar before this bar line is empty")
		return
	}
	if times != "" {
		n, err := strconv.Atoi(times)
		if err != nil || n < 1 || n > 999 {
			p.fail(t.at, "degrees-bar", "write how often in all: :||x3", "%q does not say how often", t.text)
		}
	}
	p.lastBar = t
	if opens {
		p.begin(t.at + len(t.text))
		p.any = false
		p.barlineAt(score.Quarters{}, p.handle(t.at)).Repeat = score.Forward
		p.source.start = t.at + len(t.text)
	}
}

func (p *partReader) sameLine(a, b int) bool {
	return p.src.pos(a).Line == p.src.pos(b).Line
}

// closeBar ends the bar that is open.
func (p *partReader) closeBar(t token) {
	p.closeTuplets()
	m := p.bar
	if !p.timed && p.faults == p.before {
		p.fail(p.source.start, "degrees-bar", "a silent bar is written (bar)", "the bar has neither a note nor a rest")
	}
	m.Length, m.Nominal = p.end, score.Quarters{}
	if p.metre {
		m.Nominal = p.nominal
	}
	sign, times, _ := strings.Cut(strings.TrimSuffix(t.text, ":"), "x")
	style, back := "", false
	switch sign {
	case "||":
		back = strings.HasPrefix(t.text, ":")
		if !back && !strings.HasSuffix(t.text, ":") {
			style = "light-light"
		}
	case "|||":
		style = "light-heavy"
	case ":||":
		back = true
	}
	if style != "" || back {
		b := p.barlineAt(m.Length, p.handle(t.at))
		if style != "" {
			b.Style = style
		}
		if back {
			b.Repeat = score.Backward
			b.Times, _ = strconv.Atoi(times)
		}
	}
	first := len(p.part.Measures) == 0
	short := m.Length.Less(m.Nominal)
	m.Implicit = first && short
	if p.counted != nil {
		m.Implicit = !*p.counted
	}
	if !m.Implicit && !first && m.Length != m.Nominal && p.metre {
		p.say(score.Info, p.source.start, "degrees-bar-length", "check the rhythm letters; a bar that is meant so stays so", "the bar is %s long, its metre %s", score.BarLengthName(m.Length), score.BarLengthName(m.Nominal))
	}
	m.Number = p.number(m.Implicit)
	m.SortEvents()
	p.part.Measures = append(p.part.Measures, m)
	p.reader.bars[len(p.reader.bars)-1] = append(p.reader.bars[len(p.reader.bars)-1], p.source)
	p.bar, p.any = nil, false
}

// number counts the bars that are counted; another has the number of the bar
// before it, a pickup 0.
func (p *partReader) number(implicit bool) string {
	if !implicit {
		p.countedBars++
	}
	return strconv.Itoa(p.countedBars)
}
