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
	// toPage is the transposition in force: a pitch is written so much below
	// its sound.
	toPage theory.Interval
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
	wanted := map[score.Handle]bool{}
	if old, ok := ap.node[part.Src].(*score.Part); ok {
		ap.follow(old, false, func(n *score.Note, l *staffLine) {
			if p, rest, ok := ap.written(ap.refs[n.Src].elem); ok {
				wanted[n.Src] = l.wants(p, bearing{p.Alter, rest}, n.TieStop)
			}
		})
	}
	ap.follow(part, true, func(n *score.Note, l *staffLine) { ap.accidental(n, wanted[n.Src], l) })
}

// follow walks the bars of a part and calls visit for every note with what is
// in force on its staff. after tells whether key signatures are those of the
// file or those that they become.
func (ap *applier) follow(part *score.Part, after bool, visit func(*score.Note, *staffLine)) {
	lines := make([]staffLine, part.Staves+1)
	toPage := make([]theory.Interval, part.Staves+1)
	for _, m := range part.Measures {
		for s := range lines {
			clear(lines[s].shown)
		}
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.PageTranspose:
				inForce(toPage, e)
				for s := range lines {
					lines[s].toPage = toPage[s]
				}
			case *score.KeySignature:
				sig, ok := ap.pageSignature(e, after, toPage)
				for s := 1; ok && s < len(lines); s++ {
					if e.Staff == 0 || e.Staff == s {
						lines[s].key = sig
					}
				}
			case *score.Chord:
				for _, n := range e.Notes {
					visit(n, &lines[e.Staff])
				}
			}
		}
	}
}

// pageSignature returns what a key signature of the page gives to each
// letter; not ok if the page has none.
func (ap *applier) pageSignature(k *score.KeySignature, after bool, toPage []theory.Interval) (signature, bool) {
	if k.Src == 0 {
		return plainSignature(k.Key.Fifths() - toPage[max(k.Staff, 1)].Fifths()), !k.Free
	}
	e := ap.refs[k.Src].elem
	if e == none {
		return signature{}, false // assumed
	}
	if after && k.Free {
		return freeSignature(k.Alters), true
	}
	if change, ok := ap.signed[e]; ok && after {
		fifths, _ := score.ParseQuarters(ap.x.childContent(e, "fifths"))
		return plainSignature(int(fifths.Num()) + change.fifths), true
	}
	return ap.signature(e), true
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

// accidental edits the accidentals of one note, on all its elements. wanted
// tells whether the bar, as it was, wanted one.
func (ap *applier) accidental(n *score.Note, wanted bool, now *staffLine) {
	elem := ap.refs[n.Src].elem
	if elem == none { // a new note
		p := n.Pitch.Transpose(now.toPage.Neg())
		b := bearing{p.Alter, n.Detune}
		if !n.Unpitched && now.wants(p, b, n.TieStop) {
			ap.signs[n], _ = accidentalFor("", b, b)
		}
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
	wants := now.wants(p, to, n.TieStop)
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
