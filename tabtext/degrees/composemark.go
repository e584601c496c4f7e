package degrees

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A mark is an event that is no chord, as text.
type mark struct {
	at    score.Quarters
	staff int
	text  string
}

func (c *composer) mark(e score.Event, text string) {
	for _, m := range c.marks {
		if m.at == e.At() && m.text == text && m.staff != e.OnStaff() { // said for each staff
			return
		}
	}
	c.marks = append(c.marks, mark{e.At(), e.OnStaff(), text})
}

// rank puts marks of one moment into an order: what holds from there first,
// the chord symbol last, beside its note.
func (m mark) rank() int {
	name, _, _ := strings.Cut(m.text, ":")
	if i := slices.Index(markNames[:], name); i >= 0 && m.text[0] != '{' {
		return i
	}
	return len(markNames)
}

// event writes an event that is no chord.
func (c *composer) event(index int, e score.Event, head func(name, value string)) {
	at := e.At()
	start := index == 0 && at.IsZero()
	switch e := e.(type) {
	case *score.KeySignature:
		switch {
		case e == c.key && start:
		case e.Free:
			c.loses("key", e.Src, "a key signature that is not of the circle of fifths cannot be written")
		case e.NoKey:
			c.mark(e, "key:none")
		default:
			if e == c.key {
				c.lose(score.Info, "degrees-lost-key-late", e.Src, "the key is said from the beginning", "")
			}
			d := theory.DegreeOf(c.first.NoteName, e.Key.Tonic)
			c.mark(e, "key:"+writeHome(d, e))
			c.grounds = append(c.grounds, groundAt{at, c.first.on(d)})
		}
	case *score.TimeSignature:
		c.nominal = e.Length
		if e.Symbol != "" && e.Symbol != "common" && e.Symbol != "cut" {
			c.lose(score.Info, "degrees-lost-metre-sign", e.Src, "a metre that the page shows by another sign is written in numbers", "")
		}
		if start && !c.said["Time"] {
			c.said["Time"] = true
			head("Time", writeMetre(e))
		} else {
			c.mark(e, "time:"+writeMetre(e))
		}
	case *score.Tempo:
		text := writeTempo(e, "")
		switch {
		case text == "":
		case start && !c.said["Tempo"]:
			c.said["Tempo"] = true
			head("Tempo", writeTempo(e, " "))
		default:
			c.mark(e, "tempo:"+text)
		}
	case *score.NeckChange:
		c.neckChange(start, e, head)
	case *score.Harmony:
		if text, ok := c.roman(e); ok {
			c.mark(e, "{"+text+"}")
		} else {
			c.loses("chord", e.Src, "the chord symbol "+e.Chord.String()+" cannot be written as a numeral")
		}
	case *score.Words:
		if slices.Contains(markNames[:], e.Kind) && e.Text != "" {
			c.mark(e, e.Kind+":"+quote(e.Text))
		} else if e.Text != "" {
			c.loses("words", e.Src, "words of the kind "+strconv.Quote(e.Kind)+" cannot be written")
		}
	case *score.Barline:
		c.barline(e)
	}
}

// writeMetre writes a metre without the sign of a bar line.
func writeMetre(t *score.TimeSignature) string {
	if t.Symbol == "common" || t.Symbol == "cut" {
		return t.Symbol
	}
	return t.Metre()
}

func (c *composer) neckChange(start bool, e *score.NeckChange, head func(name, value string)) {
	before := c.neck
	c.neck = e.Neck
	if e.Inferred || c.plain != nil && c.plain(e) {
		return
	}
	say := func(name, value string) {
		if start {
			head(strings.ToUpper(name[:1])+name[1:], value)
		} else {
			c.mark(e, name+":"+strings.ReplaceAll(value, " ", ","))
		}
	}
	// The usual guitar goes without saying: degrees are for any neck.
	if start {
		before = fretboard.Guitar()
	}
	if !slices.Equal(e.Neck.Tuning.Strings, before.Tuning.Strings) {
		say("tuning", e.Neck.Tuning.String())
	}
	if e.Neck.Capo != before.Capo {
		say("capo", strconv.Itoa(e.Neck.Capo))
	}
	if e.Neck.Frets != before.Frets {
		say("frets", strconv.Itoa(e.Neck.Frets))
	}
}

// roman writes a chord symbol in the key of its moment, in its writer's style
// if that reads back.
func (c *composer) roman(e *score.Harmony) (string, bool) {
	key := theory.Key{Tonic: c.groundFor(e.Onset).NoteName}
	text := key.Roman(e.Chord)
	back, err := key.ParseRoman(text)
	clean := !strings.ContainsAny(text, "{}\n\r")
	if err == nil && back == e.Chord && clean {
		return text, true
	}
	plain := theory.Chord{Root: e.Chord.Root, Bass: e.Chord.Bass, HasBass: e.Chord.HasBass}
	numeral, bass, _ := strings.Cut(key.Roman(plain), "/")
	for _, between := range [...]string{"", ":"} {
		own := numeral + between + e.Chord.Quality
		if e.Chord.HasBass {
			own += "/" + bass
		}
		if again, err := key.ParseRoman(own); err == nil && again == e.Chord && !strings.ContainsAny(own, "{}\n\r") {
			return own, true
		}
	}
	if err == nil && back.Same(e.Chord) && clean {
		c.lose(score.Info, "degrees-lost-chord-style", e.Src, "the chord symbol "+e.Chord.String()+" is written in another style", "")
		return text, true
	}
	return "", false
}

func (c *composer) barline(e *score.Barline) {
	m := c.measure
	atEnd := e.Onset == m.Length
	switch {
	case e.Repeat == score.Forward && e.Onset.IsZero():
		c.bar.open = true
	case e.Repeat == score.Backward && atEnd:
		c.bar.close = ":||"
		if e.Times > 0 {
			c.bar.close += "x" + strconv.Itoa(e.Times)
		}
	case e.Repeat != score.NoRepeat:
		c.loses("repeat", e.Src, "a repeat sign inside of a bar cannot be written")
	case atEnd && e.Style == "light-light" && c.bar.close == "|":
		c.bar.close = "||"
	case atEnd && e.Style == "light-heavy" && c.bar.close == "|":
		c.bar.close = "|||"
	case e.Style != "" && e.Style != "regular":
		c.mark(e, "bar:"+e.Style)
	}
	switch e.EndingType {
	case "start":
		numbers := strings.ReplaceAll(e.Ending, " ", "")
		if numbers == "" || strings.Trim(numbers, "0123456789,") != "" || strings.HasPrefix(numbers, ",") || strings.ReplaceAll(numbers, ",", ", ") != e.Ending {
			c.loses("ending", e.Src, "an ending named "+strconv.Quote(e.Ending)+" cannot be written")
			return
		}
		c.ending = e.Ending
		c.mark(e, "ending:"+numbers)
	case "stop", "discontinue":
		if c.ending == "" {
			c.loses("ending", e.Src, "an ending without a beginning cannot be written")
			return
		}
		c.ending = ""
		c.mark(e, "ending:"+e.EndingType)
	}
}
