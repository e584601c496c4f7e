package transform

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// mostLeftOut is how many notes at the end a variation leaves out so that it ends
// well, if it does not break off in a longer cell.
const mostLeftOut = 3

// endWell lets the first voice end on a beat and at the end of a cell where it would
// break off between them, as a player would: what comes after a root, third or
// fifth of the chord on a beat is left out, if that is a few short notes in the same
// bar. A phrase that itself ends off the beat, or has no chords, is left as it is.
func (v *varied) endWell() {
	if len(v.lines) == 0 || !v.onBeat || len(v.spans) == 0 {
		return
	}
	l := v.lines[0]
	spans := v.chordSets()
	settled := func(t *phraseTone) bool {
		i := v.spanAt(t.at)
		return i >= 0 && spans[i].triad.Has(t.top())
	}
	last := len(l.tones) - 1
	if last < 0 || v.strongAt(l.tones[last].at) && settled(l.tones[last]) && !v.breaksOff() && !reached(l.tones[last]) {
		return
	}
	best := -1
	for i := last - 1; i >= max(1, last-max(mostLeftOut, v.cut)); i-- {
		t := l.tones[i]
		if score.Q(1, 1).Less(l.tones[i+1].length) && v.cut == 0 || v.barAt(t.at) != v.barAt(l.tones[last].at) {
			break // a long note is the close itself, and no bar is to fall silent
		}
		if !v.strongAt(t.at) || !settled(t) || reached(t) {
			continue
		}
		if left := last - i; v.cut > 0 && (left == v.cut || left == v.cut-1) {
			best = i // at the end of a cell, or with the first note of the next one
			break
		}
		if best < 0 && v.cut <= 1 {
			best = i
		}
	}
	if best < 0 {
		return
	}
	l.tones = l.tones[:best+1]
	gone := last - best
	if v.cut > 0 {
		cell := min(v.cut, gone)
		v.cut, gone = v.cut-cell, gone-cell
		v.sayCells(v.cut)
	}
	for _, n := range l.tones[best].notes() {
		n.Techniques = slices.DeleteFunc(n.Techniques, leadsOn)
	}
	if gone > 0 {
		v.say("%s at the end left out: it ends with %s at %s", countOf(gone, "note"), l.tones[best].chord.Notes[0].Pitch.Pretty(), v.placeOf(l.tones[best].at))
	}
}

// land adds a last note where the line would end off a strong beat, or with a bend,
// though the last bar has a strong beat left: the root, third or fifth of the chord that
// is nearest, on that beat. A phrase that itself ends like that is left as it is.
func (v *varied) land() {
	if len(v.lines) == 0 || !v.onBeat || len(v.spans) == 0 {
		return
	}
	l := v.lines[0]
	if len(l.tones) < 2 {
		return
	}
	last := l.tones[len(l.tones)-1]
	if len(last.chord.Notes) != 1 || v.strongAt(last.at) && !reached(last) {
		return
	}
	total := v.total()
	at := last.at
	for step := score.Q(1, 4); ; {
		if at = at.Add(step); !at.Less(total) {
			return
		}
		if d := at.Sub(last.at); !d.Less(score.Q(1, 2)) && !d.Less(last.length.Mul(score.Q(1, 2))) && v.strongAt(at) {
			break
		}
	}
	i := v.spanAt(at)
	if i < 0 || len(v.spans[i].chord.Degrees()) == 0 {
		return
	}
	triad := v.chordSets()[i].triad
	from := last.top()
	for far := 1; far <= v.leap; far++ {
		for _, key := range [...]int{from - far, from + far} {
			if !triad.Has(key) || !v.onNeck(key) || key < v.span[0]-beyondFold || v.span[1]+beyondFold < key {
				continue
			}
			t := last.copy()
			n := t.chord.Notes[0]
			n.Techniques, n.Annotations, n.Place, n.Finger = nil, nil, noPlace, score.NoFinger
			n.Pitch = v.spelled(theory.SpellIn(v.key, key))
			t.graces, t.at = nil, at
			room := ""
			if at.Less(last.end()) {
				last.length = at.Sub(last.at)
				room = ", the note before it cut short"
			}
			t.length = score.Q(1, 1)
			if rest := total.Sub(at); rest.Less(t.length) {
				t.length = rest
			}
			for _, n := range last.notes() {
				n.Techniques = slices.DeleteFunc(n.Techniques, leadsOn)
			}
			l.tones = append(l.tones, t)
			v.moved = true
			v.say("a last note added: %s at %s%s", n.Pitch.Pretty(), v.placeOf(at), room)
			return
		}
	}
}

// sayPending says what is true only when the end is known: how many notes were moved
// to chord tones that are still there.
func (v *varied) sayPending() {
	left := 0
	for _, t := range v.aimed {
		if slices.ContainsFunc(v.lines, func(l *phraseLine) bool { return slices.Contains(l.tones, t) }) {
			left++
		}
	}
	if left > 0 {
		v.say("%s on strong beats, or at the end, moved to chord tones", countOf(left, "note"))
	}
}

// breaksOff tells whether the line ends within a cell of a sequence, after its
// first note.
func (v *varied) breaksOff() bool { return v.cut > 1 }

// beatBegins tells whether a time is one at which a beat begins.
func (v *varied) beatBegins(at score.Quarters) bool {
	v.remember()
	i := v.barAt(at)
	return v.pulses[i].rank(at.Sub(v.begins[i]).Add(shortBy(v.part, i))) >= weakBeat
}

// reached tells whether a tone is bent, or joined to the one before it, so that
// nothing is struck and left alone there.
func reached(t *phraseTone) bool {
	return joinedBefore(t) || slices.ContainsFunc(t.chord.Notes, func(n *score.Note) bool { return bendBy(n) > 0 })
}

// sayBeyond says that a displacement made the end go over into another bar, if it
// still does.
func (v *varied) sayBeyond() {
	total := v.total()
	if v.beyond && slices.ContainsFunc(v.lines, func(l *phraseLine) bool { return total.Less(l.tones[len(l.tones)-1].end()) }) {
		v.say("the end goes over into another bar")
	}
}

// mostFolds is how often a variation goes on in another octave, and beyondFold how
// many semitones beyond the range of the phrase.
const (
	mostFolds  = 3
	beyondFold = 3
)

// fold lets the lines go on an octave lower or higher where a step would make them
// leap further than the phrase does, if that makes the leap one of its own and
// leads into its range: a seventh up becomes a step down. Notes that are joined are
// not parted.
func (v *varied) fold() {
	if v.widest() <= v.leap {
		return
	}
	fits := func(key int) bool {
		return v.span[0]-beyondFold <= key && key <= v.span[1]+beyondFold && v.onNeck(key)
	}
	var said []string
	for _, l := range v.lines {
		off, by := 0, make([]int, len(l.tones))
		folds := 0
		for i, t := range l.tones {
			by[i] = off
			if i == 0 {
				continue
			}
			top, before := t.top(), l.tones[i-1].top()+by[i-1]
			if d := top + off - before; max(d, -d) <= v.leap {
				continue
			}
			for _, k := range [...]int{-off, off - 12, off + 12} {
				d := top + off + k - before
				if k != 0 && max(off+k, -off-k) <= 12 && max(d, -d) <= v.leap && fits(top+off+k) && !joinedBefore(t) {
					off += k
					by[i] = off
					folds++
					break
				}
			}
		}
		if folds == 0 || folds > mostFolds {
			continue
		}
		v.folds += folds
		for i, t := range l.tones {
			if by[i] == 0 {
				continue
			}
			if i == 0 || by[i] != by[i-1] {
				way := "an octave up"
				if by[i] < 0 {
					way = "an octave down"
				}
				way += " from " + v.placeOf(t.at)
				for k := i; k < len(by); k++ {
					if by[k] != by[i] {
						way += " until " + v.placeOf(l.tones[k].at)
						break
					}
				}
				said = append(said, way)
			}
			before := make([]score.Note, len(t.chord.Notes))
			for k, n := range t.chord.Notes {
				before[k] = *n
			}
			for _, n := range t.notes() {
				v.ladder.moveNote(n, v.key, moving{to: func(p theory.Pitch) theory.Pitch { return p.Transpose(theory.Octaves(by[i] / 12)) }})
			}
			t.follow(before)
		}
	}
	if said != nil {
		v.moved = true
		v.say("%s, so that it leaps no further than the phrase", strings.Join(said, ", "))
	}
}

// placeOf names a time of the part: "bar 3, beat 2".
func (v *varied) placeOf(at score.Quarters) string {
	i := v.barAt(at)
	return fmt.Sprintf("%s, beat %s", barWords(v.rep, i), v.rep.beat(i, at.Sub(v.begins[i]).Add(shortBy(v.part, i))))
}

// barWords names a bar: "bar 3", "the pickup".
func barWords(r *reporter, i int) string {
	if !shortBy(r.part, i).IsZero() {
		return "the pickup"
	}
	return "bar " + r.bar(i)
}

// calmBrief takes vibrato off notes so short that there is no time for it, where the
// phrase has it on longer ones only.
func (v *varied) calmBrief() {
	calmed := 0
	for _, l := range v.lines {
		for _, t := range l.tones {
			if v.shaken.IsZero() || !tooBrief(t.length, v.shaken) {
				continue
			}
			if len(takeVibrato(t.chord)) > 0 {
				calmed++
			}
		}
	}
	if calmed > 0 {
		v.say("no vibrato on %s of no more than an eighth note", countOf(calmed, "note"))
	}
}

// joinedBefore tells whether a tone is joined to the one before it.
func joinedBefore(t *phraseTone) bool {
	for _, n := range t.notes() {
		for _, x := range n.Techniques {
			if s, ok := x.(score.Span); ok && (s.Kind.KeepsString() || s.Kind == score.Glissando) && s.End == score.Stop {
				return true
			}
		}
	}
	return false
}

// holdEnd lets the last note of the first voice sound as long as that of the
// phrase did, as far as bars and chord have room.
func (v *varied) holdEnd() {
	if len(v.lines) == 0 || len(v.lines[0].tones) == 0 {
		return
	}
	last := v.lines[0].tones[len(v.lines[0].tones)-1]
	end := last.at.Add(v.lasts)
	if total := v.total(); total.Less(end) {
		end = total
	}
	if i := v.spanAt(last.at); i >= 0 && v.spans[i].to.Less(end) {
		end = v.spans[i].to
	}
	if !last.end().Less(end) {
		return
	}
	last.length = end.Sub(last.at)
	v.say("the last note held longer: %s", v.spanWords(last.length))
}
