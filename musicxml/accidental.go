package musicxml

import (
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A bearing is what an accidental says: whole semitones and a microtone.
type bearing struct {
	alter int
	rest  score.Quarters
}

// plainAccidentals and quarterAccidentals are the accidental-value names of
// MusicXML 4.0 for alterations in semitones, the second for half a semitone
// more.
var (
	plainAccidentals = map[int]string{-3: "triple-flat", -2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp",
		2: "double-sharp", 3: "triple-sharp"}
	quarterAccidentals = map[int]string{-2: "three-quarters-flat", -1: "quarter-flat", 0: "quarter-sharp", 1: "three-quarters-sharp"}
)

// accidentalFor names the accidental of a note that moved, from the one that
// was shown, "" if none was. It is not ok where the sign has no counterpart.
func accidentalFor(was string, from, to bearing) (name string, ok bool) {
	if was != "" && from == to {
		return was, true
	}
	for _, arrow := range []string{"-up", "-down"} {
		base, found := strings.CutSuffix(was, arrow)
		if !found {
			continue
		}
		for alter, n := range plainAccidentals {
			if n == base {
				name, ok = plainAccidentals[alter+to.alter-from.alter]
				return name + arrow, ok && -2 <= alter+to.alter-from.alter && alter+to.alter-from.alter <= 2
			}
		}
		return "", false
	}
	switch {
	case to.rest.IsZero():
		name, ok = plainAccidentals[to.alter]
	case to.rest == score.Q(1, 2) && (was == "" || isIn(quarterAccidentals, was)):
		name, ok = quarterAccidentals[to.alter]
	}
	return name, ok
}

func isIn(m map[int]string, want string) bool {
	for _, v := range m {
		if v == want {
			return true
		}
	}
	return false
}

// A signature is what a key signature gives to each letter.
type signature [7]bearing

func plainSignature(fifths int) signature {
	var s signature
	for st := range s {
		s[st].alter = theory.SignatureAlter(fifths, theory.Step(st))
	}
	return s
}

// staffLine follows what accidentals are in force on one staff of a measure.
type staffLine struct {
	key   signature
	shown map[int]bearing // by staff position: what was last played there in this bar
}

// wants tells whether a note needs an accidental, and remembers it.
func (l *staffLine) wants(p theory.Pitch, b bearing, tied bool) bool {
	if tied {
		return false
	}
	now, ok := l.shown[p.Diatonic()]
	if !ok {
		now = l.key[p.Step]
	}
	if l.shown == nil {
		l.shown = map[int]bearing{}
	}
	l.shown[p.Diatonic()] = b
	return now != b
}

// accidentals edits the displayed accidentals of all parts in which something
// moved. Each bar is followed twice, as it was and as it will be: where the
// page showed an accidental just when the bar wanted one, it will again; one
// that the bar did not want is a courtesy and stays; one that the bar wanted
// and the page did not show stays away.
func (ap *applier) accidentals(s *score.Score) {
	for _, part := range s.Parts {
		if _, ok := ap.parts[part]; ok {
			ap.accidentalsOf(part)
		}
	}
}

func (ap *applier) accidentalsOf(part *score.Part) {
	was := make([]staffLine, part.Staves+1)
	now := make([]staffLine, part.Staves+1)
	for _, m := range part.Measures {
		for s := range was {
			clear(was[s].shown)
			clear(now[s].shown)
		}
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.KeySignature:
				ap.followKey(e, was, now)
			case *score.Chord:
				for _, n := range e.Notes {
					ap.accidental(n, &was[e.Staff], &now[e.Staff])
				}
			}
		}
	}
}

// followKey brings a key signature of the page into force.
func (ap *applier) followKey(k *score.KeySignature, was, now []staffLine) {
	e := ap.refs[k.Src].elem
	if e == none {
		return // assumed: the page has none
	}
	before := ap.signature(e)
	after := before
	if k.Free {
		after = freeSignature(k.Alters)
	} else if change, ok := ap.signed[e]; ok {
		fifths, _ := score.ParseQuarters(ap.x.childContent(e, "fifths"))
		after = plainSignature(int(fifths.Num()) + change.fifths)
	}
	for s := 1; s < len(was); s++ {
		if k.Staff == 0 || k.Staff == s {
			was[s].key, now[s].key = before, after
		}
	}
}

// signature reads what a <key> gives to each letter.
func (ap *applier) signature(e int32) signature {
	if f := ap.x.child(e, "fifths"); f != none {
		q, _ := score.ParseQuarters(ap.x.content(f))
		return plainSignature(int(max(min(q.Num(), 50), -50)))
	}
	return freeSignature(ap.keyAlters(e))
}

func freeSignature(alters []score.KeyAlter) (sig signature) {
	for _, a := range alters {
		sig[a.Name.Step] = bearing{a.Name.Alter, a.Detune}
	}
	return sig
}

// accidental edits the accidentals of one note, on all its elements.
func (ap *applier) accidental(n *score.Note, was, now *staffLine) {
	elem := ap.refs[n.Src].elem
	if elem == none {
		return
	}
	old, rest, ok := ap.written(elem)
	if !ok {
		return
	}
	p, moved := ap.moved[elem]
	if !moved {
		p = old
	}
	from, to := bearing{old.Alter, rest}, bearing{p.Alter, rest}
	wanted, wants := was.wants(old, from, n.TieStop), now.wants(p, to, n.TieStop)
	for _, e := range []int32{elem, ap.refs[n.Src].twin} {
		if e == none {
			continue
		}
		acc := ap.x.child(e, "accidental")
		shown := acc != none
		show := shown
		if shown == wanted {
			show = wants
		}
		text := ""
		if shown {
			text = ap.x.content(acc)
		}
		name, ok := accidentalFor(text, from, to)
		switch {
		case shown && (!show || !ok):
			ap.ed.remove(acc)
		case shown:
			if name != text {
				ap.ed.setContent(acc, name)
			}
		case show && ok:
			ap.ed.insertChild(e, "accidental", "<accidental>"+name+"</accidental>", noteOrder)
		}
	}
}
