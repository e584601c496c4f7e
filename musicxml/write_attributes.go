package musicxml

import (
	"strings"

	"github.com/beevik/etree"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// attributes writes one <attributes> with all of the events, in the order of
// the schema. The first one of a part also gives divisions, staves, and the
// clefs and the key that are not said.
func (w *measureWriter) attributes(events []score.Event, first bool) {
	el := etree.NewElement("attributes")
	if first {
		el.CreateElement("divisions").SetText(decimal(score.Q(w.divisions, 1)))
	}
	necks := make([]*fretboard.Neck, len(w.plans))
	for _, e := range events {
		switch e := e.(type) {
		case *score.PageTranspose:
			for s := range w.transpose {
				if e.Staff == 0 || e.Staff == s {
					w.transpose[s] = e.Interval
				}
			}
		case *score.NeckChange:
			for s := range necks {
				if e.Staff == 0 || e.Staff == s {
					necks[s] = &e.Neck
				}
			}
		}
	}
	for _, e := range events {
		if k, ok := e.(*score.KeySignature); ok {
			w.key(el, k)
		}
	}
	for _, e := range events {
		if t, ok := e.(*score.TimeSignature); ok {
			w.time(el, t)
		}
	}
	if first && w.total > 1 {
		el.CreateElement("staves").SetText(intText(w.total))
	}
	for s := 1; s < len(w.plans); s++ {
		w.clefs(el, events, s, necks[s], first)
	}
	for s := 1; s < len(w.plans); s++ {
		switch {
		case necks[s] == nil:
		case w.plans[s].tab > 0:
			w.staffDetails(el, w.plans[s].tab, necks[s])
		case w.plans[s].places:
			w.staffDetails(el, w.plans[s].notation, necks[s])
		}
	}
	for _, e := range events {
		if t, ok := e.(*score.PageTranspose); ok {
			w.transposeEl(el, t)
		}
	}
	if len(el.ChildElements()) > 0 {
		w.el.AddChild(el)
	}
}

func (w *measureWriter) numberAttr(el *etree.Element, staff int) {
	if w.total > 1 {
		el.CreateAttr("number", intText(staff))
	}
}

func (w *measureWriter) key(el *etree.Element, k *score.KeySignature) {
	if k.Free {
		w.lose("xml-write-key", "a key signature outside the circle of fifths is left out", k.Src)
		return
	}
	for s := 1; s < len(w.plans); s++ {
		if k.Staff != 0 && k.Staff != s {
			continue
		}
		fifths := k.Key.Fifths() - w.transpose[s].Fifths()
		if k.NoKey {
			fifths = 0
		}
		w.lines[s].key = plainSignature(fifths)
		staves := []int{w.plans[s].notation}
		if w.plans[s].tab > 0 {
			staves = append(staves, w.plans[s].tab)
		}
		if k.Staff == 0 && w.sameTransposition() {
			staves = []int{0}
		}
		for _, st := range staves {
			ke := el.CreateElement("key")
			if st > 0 {
				w.numberAttr(ke, st)
			}
			ke.CreateElement("fifths").SetText(intText(fifths))
			switch {
			case k.NoKey:
				ke.CreateElement("mode").SetText("none")
			case k.ModeSaid:
				ke.CreateElement("mode").SetText(k.Key.Mode.String())
			}
		}
		if staves[0] == 0 {
			for o := range w.lines {
				w.lines[o].key = plainSignature(fifths)
			}
			return
		}
	}
}

// sameTransposition tells whether one signature serves all staves.
func (w *measureWriter) sameTransposition() bool {
	for s := 2; s < len(w.transpose); s++ {
		if w.transpose[s].Fifths() != w.transpose[1].Fifths() {
			return false
		}
	}
	return true
}

func (w *measureWriter) time(el *etree.Element, t *score.TimeSignature) {
	w.beats = beamGroups(t)
	te := timeElement(t)
	if t.Staff > 0 && t.Staff < len(w.plans) {
		w.numberAttr(te, w.plans[t.Staff].notation)
	}
	el.AddChild(te)
}

// timeElement writes a time signature without its staff.
func timeElement(t *score.TimeSignature) *etree.Element {
	te := etree.NewElement("time")
	if t.Symbol != "" {
		te.CreateAttr("symbol", t.Symbol)
	}
	if len(t.Beats) == 0 {
		te.CreateElement("senza-misura")
	}
	for i := range t.Beats {
		te.CreateElement("beats").SetText(t.Beats[i])
		te.CreateElement("beat-type").SetText(intText(t.BeatTypes[i]))
	}
	return te
}

// clefs writes the clef of a staff of the model, and with the first
// attributes also that of its tab.
func (w *measureWriter) clefs(el *etree.Element, events []score.Event, s int, neck *fretboard.Neck, first bool) {
	var clef *score.Clef
	for _, e := range events {
		if c, ok := e.(*score.Clef); ok && c.Staff == s && c.Sign != "TAB" {
			clef = c
		}
	}
	if clef == nil && first {
		c := w.clefFor(s, neck)
		if neck != nil && w.transpose[s] != (theory.Interval{}) {
			c.OctaveChange = 0 // the transposition says it
		}
		clef = &c
	}
	if clef != nil {
		ce := el.CreateElement("clef")
		w.numberAttr(ce, w.plans[s].notation)
		ce.CreateElement("sign").SetText(clef.Sign)
		if clef.Line > 0 {
			ce.CreateElement("line").SetText(intText(clef.Line))
		}
		if clef.OctaveChange != 0 {
			ce.CreateElement("clef-octave-change").SetText(intText(clef.OctaveChange))
		}
	}
	if tab := w.plans[s].tab; first && tab > 0 {
		ce := el.CreateElement("clef")
		w.numberAttr(ce, tab)
		ce.CreateElement("sign").SetText("TAB")
		ce.CreateElement("line").SetText("5")
	}
}

func (w *measureWriter) staffDetails(el *etree.Element, staff int, neck *fretboard.Neck) {
	sd := el.CreateElement("staff-details")
	w.numberAttr(sd, staff)
	n := neck.Tuning.Len()
	sd.CreateElement("staff-lines").SetText(intText(n))
	for line := 1; line <= n; line++ {
		p := neck.Tuning.Open(n + 1 - line)
		st := sd.CreateElement("staff-tuning")
		st.CreateAttr("line", intText(line))
		st.CreateElement("tuning-step").SetText(p.Step.String())
		if p.Alter != 0 {
			st.CreateElement("tuning-alter").SetText(intText(p.Alter))
		}
		st.CreateElement("tuning-octave").SetText(intText(p.Octave))
	}
	if neck.Capo > 0 {
		sd.CreateElement("capo").SetText(intText(neck.Capo))
	}
}

// transposeEl writes a transposition for the staves of notation only: tab is
// written at tuning + fret.
func (w *measureWriter) transposeEl(el *etree.Element, t *score.PageTranspose) {
	for s := 1; s < len(w.plans); s++ {
		if t.Staff != 0 && t.Staff != s {
			continue
		}
		te := el.CreateElement("transpose")
		all := t.Staff == 0 && w.total == len(w.plans)-1
		if !all {
			w.numberAttr(te, w.plans[s].notation)
		}
		oct := t.Interval.Steps / 7
		rest := t.Interval.Add(theory.Octaves(-oct))
		te.CreateElement("diatonic").SetText(intText(rest.Steps))
		te.CreateElement("chromatic").SetText(intText(rest.Semitones))
		if oct != 0 {
			te.CreateElement("octave-change").SetText(intText(oct))
		}
		if all {
			return
		}
	}
}

// lyricsAt returns the words sung at a chord.
func (w *measureWriter) lyricsAt(c *score.Chord) []string {
	var out []string
	for _, e := range w.m.Events {
		if l, ok := e.(*score.Words); ok && l.Kind == "lyric" && l.Onset == c.Onset && l.Staff == c.Staff {
			out = append(out, strings.TrimSpace(l.Text))
		}
	}
	return out
}
