package tabtext

import (
	"math"
	"strconv"

	"example.org/lickwright/score"
)

// A countedTempo is a tempo that is a number alone, and where it stands.
type countedTempo struct {
	tempo     *score.Tempo
	line, col int
	doubt     bool // a number in words
}

// tempo makes the tempo that a statement brings. A number alone counts the
// beats of a metre that may be found out later; see [builder.countTempos].
func (b *builder) tempo(h header, c score.Common, line, col int) *score.Tempo {
	t := &score.Tempo{Common: c, QuartersPerMinute: h.tempo}
	if h.beats {
		b.counted = append(b.counted, countedTempo{t, line, col, h.doubt})
	}
	return t
}

// countTempos makes quarter notes per minute of tempos that count beats, when
// all metres are known: dotted quarters in 6/8, 9/8 and 12/8, else quarters.
// Source: common practice on compound metres.
func (b *builder) countTempos() {
	counted := map[*score.Tempo]countedTempo{}
	for _, c := range b.counted {
		counted[c.tempo] = c
	}
	if len(counted) == 0 {
		return
	}
	for _, p := range b.sc.Parts {
		eachTempo(p, func(t *score.Tempo, metre *score.TimeSignature) {
			c, ok := counted[t]
			if !ok {
				return
			}
			said, beat := t.QuartersPerMinute, metre.TempoBeat()
			if beat != score.Q(1, 1) {
				t.QuartersPerMinute = said * beat.Float()
				b.reportOnce(score.Info, "tab-tempo-beat", "", b.lay.src.at(c.line, c.col),
					"a tempo that is a number alone counts the beats of "+metre.Metre()+", "+score.LengthNames(beat)+": "+number(said)+" is "+number(t.QuartersPerMinute)+" quarter notes a minute",
					"write q = "+number(said)+" if it counts quarter notes")
			}
			if c.doubt {
				b.report(score.Info, "tab-tempo-prose", b.lay.src.pos(c.line, 0), "a number in words is taken for the tempo: "+number(t.QuartersPerMinute)+" quarter notes a minute", "write Tempo: and the number if it is another")
			}
		})
	}
}

// eachTempo visits the tempos of a part with the metre that is in force, nil
// if there is none. The metre of a bar holds for all that begins with it.
func eachTempo(p *score.Part, visit func(*score.Tempo, *score.TimeSignature)) {
	var metre *score.TimeSignature
	for _, m := range p.Measures {
		metre = metreOf(m, metre)
		for _, e := range m.Events {
			if t, ok := e.(*score.Tempo); ok {
				visit(t, metre)
			}
		}
	}
}

// metreOf returns the metre that a measure begins with, if it says none the
// one before.
func metreOf(m *score.Measure, before *score.TimeSignature) *score.TimeSignature {
	for _, e := range m.Events {
		if t, ok := e.(*score.TimeSignature); ok && t.Onset.IsZero() {
			before = t
		}
	}
	return before
}

// number writes a number as short as it can be read back.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// writeTempo writes quarter notes per minute in the beats of a metre, so that
// reading it gives the same; with a note value where beats would be no plain
// number.
func writeTempo(qpm float64, metre *score.TimeSignature) string {
	beat := metre.TempoBeat()
	if beat == score.Q(1, 1) {
		return number(qpm)
	}
	const decimals = 1000
	if v := math.Round(qpm/beat.Float()*decimals) / decimals; v*beat.Float() == qpm {
		return number(v)
	}
	return "q=" + number(qpm)
}

// writeNamedTempo writes a tempo that no line of the text said before: with the
// note that it counts, where that is not a quarter note.
func writeNamedTempo(qpm float64, metre *score.TimeSignature) string {
	s := writeTempo(qpm, metre)
	if _, err := strconv.ParseFloat(s, 64); err == nil && metre.TempoBeat() == score.Q(3, 2) {
		return "dotted quarter = " + s
	}
	return s
}

// tempoEdit changes the line of a tempo that is another one now, or that counts
// beats and stands in a metre of other beats.
func (e *editor) tempoEdit(ref nodeRef, old score.Event, now *score.Tempo, was, is *score.TimeSignature, edit func(header, string)) {
	var h header
	if ref.kind == nodeHeader {
		h = e.o.built.lay.headers[ref.sign]
	}
	o, ok := old.(*score.Tempo)
	counts := h.beats || ref.kind == nodeMark
	if ok && (o.QuartersPerMinute != now.QuartersPerMinute || counts && was.TempoBeat() != is.TempoBeat()) {
		edit(h, writeTempo(now.QuartersPerMinute, is))
	}
}
