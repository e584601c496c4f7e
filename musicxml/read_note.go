package musicxml

import (
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// noteElems are the children of a <note> that bear on its meaning, found in
// one pass.
type noteElems struct {
	chord, grace, cue, pitch, unpitched, rest, duration, voice, typ, timeMod int32
	notehead, staff, play                                                    int32
	dots                                                                     int8
	tieStart, tieStop                                                        bool
}

func (p *partReader) scan(e int32) noteElems {
	n := noteElems{none, none, none, none, none, none, none, none, none, none, none, none, none, 0, false, false}
	for c := range p.x.children(e) {
		switch p.x.name(c) {
		case "chord":
			n.chord = c
		case "grace":
			n.grace = c
		case "cue":
			n.cue = c
		case "pitch":
			n.pitch = c
		case "unpitched":
			n.unpitched = c
		case "rest":
			n.rest = c
		case "duration":
			n.duration = c
		case "voice":
			n.voice = c
		case "type":
			n.typ = c
		case "dot":
			n.dots++
		case "time-modification":
			n.timeMod = c
		case "notehead":
			n.notehead = c
		case "staff":
			n.staff = c
		case "play":
			n.play = c
		case "tie":
			switch p.x.attrOr(c, "type") {
			case "start":
				n.tieStart = true
			case "stop":
				n.tieStop = true
			}
		}
	}
	return n
}

// note reads a <note>: a note, a rest, or one more note of a chord.
func (p *partReader) note(e int32) {
	in := p.scan(e)
	staff := 1
	if in.staff != none {
		staff = p.staffOf(e)
	}
	voice := 1
	if in.voice != none {
		voice = p.voiceOf(p.x.content(in.voice))
	}
	value := score.NoteValue{}
	if in.typ != none {
		value = noteValue(p.x.content(in.typ))
		value.Dots = in.dots
	}
	var dur score.Quarters
	switch {
	case in.grace != none:
	case in.duration != none:
		dur = p.duration(e)
	default:
		dur = value.Quarters()
		if in.timeMod != none {
			if a, n := p.timeModification(in.timeMod); a > 0 && n > 0 {
				dur = dur.Mul(score.Q(int64(n), int64(a)))
			}
		}
		p.say(score.Warning, "xml-duration", e, "", "measure %s: a note without duration; its type is taken for it", p.m.Number)
	}
	if dur.Invalid() {
		p.bad, dur = true, score.Quarters{}
	}

	if in.chord == none {
		p.endShortMutes()
	}
	c := p.last
	member := in.chord != none && c != nil
	if member && (c.Staff != staff || c.Duration != dur || c.Voice != voice) {
		// Struck together, but not one stem: a chord of its own.
		nc := *c
		nc.Notes, nc.Tuplets = nil, nil
		nc.Staff, nc.Duration, nc.Voice, nc.Value = staff, dur, voice, value
		nc.Src = p.handle(&nc, e)
		p.add(&nc)
		c = &nc
		p.last = c
	} else if !member {
		c = &score.Chord{Common: score.Common{Onset: p.cursor, Staff: staff}, Duration: dur, Voice: voice, Value: value, Cue: in.cue != none}
		if in.grace != none {
			c.Grace = score.Unslashed
			if p.x.attrOr(in.grace, "slash") == "yes" {
				c.Grace = score.Slashed
			}
		}
		if in.rest != none {
			c.WholeMeasure = p.x.attrOr(in.rest, "measure") == "yes"
		}
		c.Src = p.handle(c, e)
		p.add(c)
		p.last = c
		p.cursor = p.cursor.Add(dur)
		p.tuplet(c, e, in.timeMod)
	}
	p.lyrics(c, e)
	if in.pitch == none && in.unpitched == none {
		p.notations(e, c, nil)
		return
	}

	n := &score.Note{TieStart: in.tieStart, TieStop: in.tieStop}
	if in.pitch != none {
		name, ok := p.noteName(in.pitch, "step", "alter")
		if !ok {
			p.say(score.Warning, "xml-pitch", in.pitch, "", "measure %s: a pitch without a step; read as C", p.m.Number)
		}
		_, n.Detune = splitAlter(p.x.childContent(in.pitch, "alter"))
		n.Pitch = theory.Pitch{NoteName: name, Octave: p.number(p.x.childContent(in.pitch, "octave"))}
	} else {
		n.Unpitched = true
		name, _ := p.noteName(in.unpitched, "display-step", "")
		n.Pitch = theory.Pitch{NoteName: name, Octave: p.number(p.x.childContent(in.unpitched, "display-octave"))}
	}
	n.Src = p.handle(n, e)
	c.Notes = append(c.Notes, n)
	p.muteNote(c, n)
	if in.notehead != none {
		if p.x.content(in.notehead) == "x" && !n.Unpitched {
			n.Techniques = append(n.Techniques, score.Dead)
		}
		if p.x.attrOr(in.notehead, "parentheses") == "yes" {
			n.Techniques = append(n.Techniques, score.Ghost)
		}
	}
	if in.play != none {
		for m := range p.x.children(in.play) {
			if p.x.name(m) == "mute" && p.x.content(m) == "palm" {
				n.Techniques = append(n.Techniques, score.PalmMuted)
			}
		}
	}
	p.notations(e, c, n)
	if len(n.Techniques) == 0 {
		n.Techniques = nil
	}
}

// lyrics keeps the words that are sung, so that a conversion can say that it
// leaves them out.
func (p *partReader) lyrics(c *score.Chord, e int32) {
	for l := range p.x.children(e) {
		if p.x.name(l) != "lyric" {
			continue
		}
		var text []string
		kind, index, ours := parseLabelName(p.x.attrOr(l, "name"))
		for t := range p.x.children(l) {
			if p.x.name(t) == "text" {
				text = append(text, p.x.content(t))
			}
		}
		if ours {
			color, _, _ := parseMark(p.x.attrOr(l, "color"))
			p.labels = append(p.labels, pendingLabel{c, kind, index, strings.Join(text, " "), color})
			continue
		}
		w := &score.Words{Common: score.Common{Onset: c.Onset, Staff: c.Staff}, Kind: "lyric", Text: strings.Join(text, " ")}
		w.Src = p.handle(w, l)
		p.add(w)
	}
}

var noteTypes = map[string]int8{
	"maxima": -3, "long": -2, "breve": -1, "whole": 0, "half": 1, "quarter": 2, "eighth": 3, "16th": 4,
	"32nd": 5, "64th": 6, "128th": 7, "256th": 8, "512th": 9, "1024th": 10,
}

// noteValue reads a note type by its name.
func noteValue(name string) score.NoteValue {
	log, ok := noteTypes[name]
	return score.NoteValue{Log: log, Known: ok}
}

func (p *partReader) timeModification(e int32) (actual, normal int) {
	return p.number(p.x.childContent(e, "actual-notes")), p.number(p.x.childContent(e, "normal-notes"))
}

// A tupletState follows the tuplets of one voice.
type tupletState struct {
	open []openTuplet
	// A ratio without tuplet brackets is grouped by length: so much of it has
	// been written, of so much that makes it whole.
	ratio      score.Tuplet
	done, full score.Quarters
}

type openTuplet struct {
	number string
	tuplet score.Tuplet
}

// tuplet finds out which tuplets hold a chord, from <time-modification> and
// the <tuplet> brackets.
func (p *partReader) tuplet(c *score.Chord, e, timeMod int32) {
	st := p.tuplets[c.Voice]
	if timeMod == none {
		if st != nil && c.Grace == score.NotGrace {
			*st = tupletState{}
		}
		return
	}
	if st == nil {
		st = &tupletState{}
		p.tuplets[c.Voice] = st
	}
	actual, normal := p.timeModification(timeMod)
	if actual < 1 || normal < 1 || actual > 1000 || normal > 1000 {
		return
	}
	var stops []string
	for n := range p.x.children(e) {
		if p.x.name(n) != "notations" {
			continue
		}
		for t := range p.x.children(n) {
			if p.x.name(t) != "tuplet" {
				continue
			}
			number := p.x.attrOr(t, "number")
			if p.x.attrOr(t, "type") == "stop" {
				stops = append(stops, number)
				continue
			}
			p.nextTuple++
			st.open = append(st.open, openTuplet{number, p.tupletRatio(t, st, actual, normal)})
			st.ratio = score.Tuplet{}
		}
	}
	switch {
	case len(st.open) > 0:
		for _, o := range st.open {
			c.Tuplets = append(c.Tuplets, o.tuplet)
		}
	case c.Grace == score.NotGrace:
		written := c.Duration.Mul(score.Q(int64(actual), int64(normal)))
		if st.ratio.Actual != actual || st.ratio.Normal != normal || st.done.Cmp(st.full) >= 0 {
			p.nextTuple++
			st.ratio = score.Tuplet{ID: p.nextTuple, Actual: actual, Normal: normal}
			st.done, st.full = score.Quarters{}, written.Mul(score.Q(int64(actual), 1))
		}
		st.done = st.done.Add(written)
		c.Tuplets = append(c.Tuplets, st.ratio)
	}
	for _, number := range stops {
		for i, o := range st.open {
			if o.number == number {
				st.open = append(st.open[:i:i], st.open[i+1:]...)
				break
			}
		}
	}
}

// tupletRatio returns the ratio of a bracket that begins: what the bracket
// says, else what remains of the note's whole ratio inside the open ones.
func (p *partReader) tupletRatio(e int32, st *tupletState, actual, normal int) score.Tuplet {
	t := score.Tuplet{ID: p.nextTuple, Actual: actual, Normal: normal}
	said := func(name string) int {
		if c := p.x.child(e, name); c != none {
			return p.number(p.x.childContent(c, "tuplet-number"))
		}
		return 0
	}
	if a, n := said("tuplet-actual"), said("tuplet-normal"); a > 0 && n > 0 && a <= 1000 && n <= 1000 {
		t.Actual, t.Normal = a, n
		return t
	}
	rest := score.Q(int64(actual), int64(normal))
	for _, o := range st.open {
		rest = rest.Mul(score.Q(int64(o.tuplet.Normal), int64(o.tuplet.Actual)))
	}
	if len(st.open) > 0 && !rest.Invalid() && rest.Num() > 0 && rest.Num() <= 1000 && rest.Den() <= 1000 {
		t.Actual, t.Normal = int(rest.Num()), int(rest.Den())
	}
	return t
}

// place sets string and fret of a note, if both are said.
func place(n *score.Note, str, fret int) {
	if str >= 1 && str <= fretboard.MaxStrings && fret >= 0 && fret <= 99 {
		n.Place = fretboard.Place{String: str, Fret: fret}
	}
}
