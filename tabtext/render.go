package tabtext

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A drawn note is a note as tab writes it: signs before the number, and the
// number with the signs after it.
type drawn struct {
	lead, body string
	conn       bool // the body ends in a sign that leads to the next number
	slide      byte // '/' or '\\' if that may stand for the s at the end
}

// lost is told what tab cannot hold.
type lost func(code, what string)

// drawNote writes a note. tied says that it is held from before; next is the
// note that it is joined to, follows the one after it on the string, joined or
// not.
func drawNote(n *score.Note, tied bool, next, follows *score.Note, report lost) drawn {
	fret := strconv.Itoa(n.Place.Fret)
	if n.Has(score.Dead) {
		fret = "x"
	}
	d := drawn{body: fret}
	var after struct{ bend, trill, tremolo, vibrato, wide, dip, edge string }
	tapped := false
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Mark:
			switch t {
			case score.Dead, score.Tap, score.Ghost:
			case score.Vibrato:
				after.vibrato = "~"
			case score.WideVibrato:
				after.wide = "w"
			case score.TremoloPicking:
				after.tremolo = "TP"
			case score.BarDip:
				after.dip = `\/`
			}
		case score.Bend:
			after.bend = drawBend(n, t, report)
		case score.Trill:
			after.trill = "tr"
			if to := n.Place.Fret + t.To; t.To != 0 && to >= 0 {
				after.trill += strconv.Itoa(to)
			}
		case score.SlideEdge:
			sign := "/"
			if t.In != t.Below {
				sign = `\`
			}
			if t.In {
				d.lead = sign
			} else {
				after.edge = sign
				if follows != nil && !follows.Has(score.Dead) && (sign == "/") == (follows.Place.Fret > n.Place.Fret) {
					after.edge += sign // else it would lead to the next number
				}
			}
		case score.Harmonic:
			switch {
			case n.Has(score.Dead):
				report("tab-lost-harmonic", "a harmonic on a dead note")
			default:
				d.body, tapped = drawHarmonic(n, t, report)
			}
		}
	}
	if n.Has(score.Ghost) && !tied || n.TieStop && tied {
		if strings.HasPrefix(d.body, "<") || strings.HasPrefix(d.body, "[") {
			report("tab-lost-ghost", "a harmonic that is also ghosted or held")
		} else {
			d.body = "(" + d.body + ")"
		}
	}
	if n.Has(score.Tap) || tapped {
		d.lead = "t" + d.lead
	}
	// The number itself is what stands at the column: brackets go before it.
	if i := strings.IndexAny(d.body, "0123456789x"); i > 0 {
		d.lead, d.body = d.lead+d.body[:i], d.body[i:]
	}
	plain := after.bend == "" && after.trill == "" && after.tremolo == "" && after.vibrato == "" && after.wide == "" && after.dip == ""
	d.body += after.bend + after.trill + after.tremolo + after.vibrato + after.wide + after.dip
	conn := drawConnection(n, report)
	switch {
	case conn != 0 && next == nil:
		report("tab-lost-span", "a hammer-on, pull-off or slide to a note that does not follow on the string")
	case conn != 0 && after.edge != "":
		report("tab-lost-slide", "a note that slides out and is joined to the next as well")
		fallthrough
	case conn != 0:
		d.body += string(conn)
		d.conn = true
		if conn == 's' && plain && !n.Has(score.Dead) && next.Place.Fret != n.Place.Fret && !next.Has(score.Dead) {
			d.slide = '/'
			if next.Place.Fret < n.Place.Fret {
				d.slide = '\\'
			}
		}
	case after.edge != "":
		d.body += after.edge
	}
	return d
}

// drawConnection gives the sign of what joins a note to the next, 0 for
// nothing.
func drawConnection(n *score.Note, report lost) byte {
	conn := byte(0)
	for _, t := range n.Techniques {
		s, ok := t.(score.Span)
		if !ok || s.End != score.Start {
			continue
		}
		c := byte(0)
		switch s.Kind {
		case score.HammerOn:
			c = 'h'
		case score.PullOff:
			c = 'p'
		case score.LegatoSlide:
			c = 's'
		case score.ShiftSlide:
			c = 'S'
		case score.Glissando:
			report("tab-lost-glissando", "a glissando (a slide would be written as one)")
		case score.Slur:
			report("tab-lost-slur", "a slur")
		}
		if c != 0 && conn != 0 {
			report("tab-lost-span", "two ways to go to the next note at once")
		} else if c != 0 {
			conn = c
		}
	}
	return conn
}

func drawBend(n *score.Note, b score.Bend, report lost) string {
	if b.WithBar || b.Amount.Sign() <= 0 {
		report("tab-lost-bar", "a bend with the tremolo bar")
		return ""
	}
	text := "b"
	if b.PreBend {
		text = "pb"
	}
	whole := b.Amount.Num() / b.Amount.Den()
	if b.Amount.Den() == 1 && !n.Has(score.Dead) && n.Place.Fret+int(whole) < 100 {
		text += strconv.Itoa(n.Place.Fret + int(whole))
	} else {
		steps := b.Amount.Mul(score.Q(1, 2))
		w := steps.Num() / steps.Den()
		frac := steps.Sub(score.Q(w, 1))
		if frac.Den() != 2 && frac.Den() != 4 && frac.Den() != 8 || w > 9 {
			report("tab-lost-bend", "a bend by "+b.Amount.String()+" semitones")
			return ""
		}
		if w > 0 {
			text += strconv.FormatInt(w, 10) + "+"
		}
		text += fmt.Sprintf("%d/%d", frac.Num(), frac.Den())
	}
	if b.Release {
		text += "r"
		switch {
		case b.ReleaseTo.IsZero():
			if b.ReleaseTo.Den() == 1 {
				text += strconv.Itoa(n.Place.Fret)
			}
		case b.ReleaseTo.Den() == 1 && b.ReleaseTo.Sign() > 0:
			text += strconv.Itoa(n.Place.Fret + int(b.ReleaseTo.Num()))
		default:
			report("tab-lost-bend", "a release to a part of a semitone")
		}
	}
	return text
}

// drawHarmonic writes the number of a harmonic with its brackets.
func drawHarmonic(n *score.Note, h score.Harmonic, report lost) (body string, tapped bool) {
	fret := strconv.Itoa(n.Place.Fret)
	over := 12
	if h.Touch > 0 {
		if node, ok := fretboard.NodeAt(h.Touch - n.Place.Fret); ok {
			over = node.Semitones
		}
	}
	switch h.Kind {
	case score.NaturalHarmonic:
		over = 0
		if node, ok := fretboard.NodeAt(n.Place.Fret); ok {
			over = node.Semitones - n.Place.Fret
		}
		body = "<" + fret + ">"
	case score.PinchHarmonic:
		body = fret + "*"
	case score.ArtificialHarmonic, score.TappedHarmonic:
		body = "[" + fret + "]"
		touch := h.Touch
		if touch == 0 && h.Kind == score.TappedHarmonic {
			touch = n.Place.Fret + 12
			report("tab-lost-harmonic", "that it is not said where a tapped harmonic is touched")
		}
		if touch > 0 && touch < 100 {
			body = fret + "<" + strconv.Itoa(touch) + ">"
			tapped = h.Kind == score.TappedHarmonic
		}
	}
	if over != h.Over {
		report("tab-lost-harmonic", fmt.Sprintf("a harmonic that sounds %d semitones above fret %d", h.Over, n.Place.Fret))
	}
	return body, tapped
}

// rowSigns are the marks that tab writes beside the number or in rows of
// their own; all others have a word in the row of signs.
var rowSigns = []score.Mark{score.Dead, score.Ghost, score.Tap, score.Vibrato, score.WideVibrato, score.TremoloPicking, score.BarDip, score.DownStroke, score.UpStroke}

// signsOver gives what stands over a chord in the row of signs, joined by +,
// and its stroke. A mark that only some notes of the chord have is lost.
func signsOver(notes []*score.Note, report lost) (signs, stroke string) {
	var words []string
	count := map[score.Mark]int{}
	var order []score.Mark
	for _, n := range notes {
		for _, t := range n.Techniques {
			if m, ok := t.(score.Mark); ok && (m == score.DownStroke || m == score.UpStroke || !slices.Contains(rowSigns, m)) {
				if count[m] == 0 {
					order = append(order, m)
				}
				count[m]++
			}
		}
	}
	for _, m := range order {
		switch {
		case count[m] < len(notes):
			report("tab-lost-mark", "a mark on some notes of a chord and not on all ("+signName(m)+")")
		case m == score.DownStroke && stroke == "":
			stroke = "v"
		case m == score.UpStroke && stroke == "":
			stroke = "^"
		case signName(m) != "":
			words = append(words, signName(m))
		default:
			report("tab-lost-mark", fmt.Sprintf("a mark that tab has no sign for (%d)", m))
		}
	}
	return strings.Join(words, "+"), stroke
}
