package compare

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// A twin is two notes that are aligned, or one that stands alone.
type twin struct{ a, b *tone }

// cost tells how unlike two notes are: 0 for equals; less than leaving out
// one and putting in another (2) for those that may be one note changed. What
// is heard weighs most. A note that has both another time and another pitch
// is another note.
func (c *comparison) cost(a, b *tone) float64 {
	graces := (a.grace != score.NotGrace) != (b.grace != score.NotGrace)
	when := a.at != b.at || graces
	pitch := !c.samePitch(a, b)
	if when && pitch {
		return never
	}
	cost := 0.0
	if when {
		cost += 0.9
	}
	if pitch {
		cost += 0.8
		if placed(a, b) && a.note.Place.String != b.note.Place.String {
			cost += 0.1
		}
	}
	if a.dur != b.dur || a.grace != b.grace {
		cost += 0.1
	}
	if a.tied != b.tied {
		cost += 0.1
	}
	if !samePlace(a, b) {
		cost += 0.2
	}
	if !slices.Equal(a.techs, b.techs) {
		cost += 0.1
	}
	if !sameFingers(a, b) || labelNames(a.note) != labelNames(b.note) {
		cost += 0.05
	}
	return cost
}

// samePitch compares what two notes sound and, where both have letters, how
// they are spelled.
func (c *comparison) samePitch(a, b *tone) bool {
	sameString := a.note.Place.String == b.note.Place.String && !a.note.Place.IsZero()
	switch {
	case a.dead != b.dead:
		return a.note.Pitch.MIDI() == b.note.Pitch.MIDI() || sameString
	case a.dead && !a.note.Place.IsZero() && !b.note.Place.IsZero():
		return sameString
	case a.detune != b.detune:
		return false
	case a.note.InferredSpelling || b.note.InferredSpelling || a.up != 0 || b.up != 0:
		return a.midi() == b.midi()
	}
	return a.note.Pitch == b.note.Pitch
}

// samePlace compares where two notes are played, if both scores say places at
// all: then a note that has none has lost it.
func samePlace(a, b *tone) bool {
	if onNeck(a, b) && (a.note.Place.IsZero() != b.note.Place.IsZero() || !slices.Equal(a.then, b.then)) {
		return false
	}
	return !placed(a, b) || a.place() == b.place() || a.dead != b.dead && a.note.Place.String == b.note.Place.String
}

// onNeck tells whether both scores say places.
func onNeck(a, b *tone) bool { return !a.offNeck && !b.offNeck }

// placed tells whether both notes have places to compare.
func placed(a, b *tone) bool {
	return onNeck(a, b) && !a.note.Place.IsZero() && !b.note.Place.IsZero()
}

// sameFingers compares fingers, which belong to places.
func sameFingers(a, b *tone) bool {
	return !placed(a, b) || fingerName(a.note) == fingerName(b.note)
}

// twins pairs the notes of two bars: first those in which nothing differs,
// then the rest at the least cost. They come voice by voice in order of time,
// so that what changed together stands together.
func (c *comparison) twins(x, y []*tone) []twin {
	var list []twin
	left := slices.Clone(y)
	var changed []*tone
	for _, a := range x {
		// Both are sorted by onset, so equals are near.
		k := slices.IndexFunc(left, func(b *tone) bool { return !b.at.Less(a.at) })
		for ; k >= 0 && k < len(left) && left[k].at == a.at; k++ {
			if c.cost(a, left[k]) == 0 {
				break
			}
		}
		if k < 0 || k == len(left) || left[k].at != a.at {
			changed = append(changed, a)
			continue
		}
		list = append(list, twin{a, left[k]})
		left = slices.Delete(left, k, k+1)
	}
	for _, p := range align(len(changed), len(left), func(k, l int) float64 { return c.cost(changed[k], left[l]) }) {
		var t twin
		if p.a >= 0 {
			t.a = changed[p.a]
		}
		if p.b >= 0 {
			t.b = left[p.b]
		}
		list = append(list, t)
	}
	slices.SortStableFunc(list, func(s, t twin) int {
		a, b := s.first(), t.first()
		return cmp.Or(cmp.Compare(a.voice, b.voice), a.at.Cmp(b.at), cmp.Compare(graceLast(b), graceLast(a)))
	})
	return list
}

// first returns the note of the first side, or the only one.
func (t twin) first() *tone {
	if t.a != nil {
		return t.a
	}
	return t.b
}

// fewNotes is how many notes of a bar are always compared one by one.
const fewNotes = 4

// others tells whether bars have other notes and not changed ones: less than
// half of them are at a time at which the other side has one, and half or more
// have no counterpart at all.
func others(twins []twin, n int) bool {
	inTime, alone := 0, 0
	for _, t := range twins {
		switch {
		case t.a == nil || t.b == nil:
			alone++
		case t.a.at == t.b.at:
			inTime++
		}
	}
	return n >= fewNotes && inTime*2 < n && alone*2 >= n
}

// notes compares the notes of two bars.
func (w *partWork) notes(i, j int, x, y *barView) {
	twins := w.c.twins(x.tones, y.tones)
	if n := max(len(x.tones), len(y.tones)); others(twins, n) {
		d := w.add(Bar, i, j, score.Quarters{}, score.Quarters{}, 0, 0, counted(len(x.tones), "note"), counted(len(y.tones), "note")+", nearly all of them others")
		d.A.Beat, d.B.Beat = "", ""
		d.Notes, d.Bars = n, 1
		return
	}
	for k := 0; k < len(twins); {
		if run := w.rhythm(twins[k:]); run > 0 {
			w.timeChange(i, j, twins[k:k+run])
			for _, t := range twins[k : k+run] {
				w.rest(i, j, t)
			}
			k += run
			continue
		}
		if run := w.shift(twins[k:]); run > 1 {
			w.pitchChange(i, j, twins[k:k+run])
			for _, t := range twins[k : k+run] {
				w.rest(i, j, t)
			}
			k += run
			continue
		}
		w.one(i, j, twins[k])
		k++
	}
}

// rhythm tells how many notes from here on make one change of rhythm: notes
// that follow each other of which each begins or ends at another time, or is
// there on one side only; but one that is only there or not is no change of
// rhythm.
func (w *partWork) rhythm(twins []twin) int {
	run, timed := 0, false
	for _, t := range twins {
		moved := t.a != nil && t.b != nil && w.timeDiffers(t) && w.c.samePitch(t.a, t.b)
		alone := t.a == nil || t.b == nil
		if !moved && !alone {
			break
		}
		timed = timed || moved
		run++
	}
	if !timed {
		return 0
	}
	return run
}

func (w *partWork) timeDiffers(t twin) bool {
	return t.a.at != t.b.at || t.a.dur != t.b.dur || t.a.grace != t.b.grace || t.a.tied != t.b.tied
}

// shift tells how many notes from here on moved by the same interval.
func (w *partWork) shift(twins []twin) int {
	run := 0
	for _, t := range twins {
		if t.a == nil || t.b == nil || t.a.dead || t.b.dead || w.c.samePitch(t.a, t.b) || w.timeDiffers(t) {
			break
		}
		if first := twins[0]; t.b.note.Pitch.MIDI()-t.a.note.Pitch.MIDI() != first.b.note.Pitch.MIDI()-first.a.note.Pitch.MIDI() {
			break
		}
		run++
	}
	return run
}

// one tells of all differences of a pair of notes.
func (w *partWork) one(i, j int, t twin) {
	switch {
	case t.b == nil:
		d := w.add(Note, i, j, t.a.at, t.a.at, t.a.note.Src, 0, w.noteName(t.a)+w.length(t.a), "")
		d.Notes = 1
	case t.a == nil:
		d := w.add(Note, i, j, t.b.at, t.b.at, 0, t.b.note.Src, "", w.noteName(t.b)+w.length(t.b))
		d.Notes = 1
	default:
		if !w.c.samePitch(t.a, t.b) {
			w.pitchChange(i, j, []twin{t})
		}
		if w.timeDiffers(t) {
			w.timeChange(i, j, []twin{t})
		}
		w.rest(i, j, t)
	}
}

// noteName names a note by pitch and place: "C♯4 (string 2, fret 2)".
func (w *partWork) noteName(t *tone) string {
	s := t.note.Pitch.Pretty() + detuneName(t.note.Detune)
	if t.dead {
		s = "dead note"
	}
	if t.note.Place.IsZero() {
		return s
	}
	if t.dead {
		return s + " (string " + strconv.Itoa(t.note.Place.String) + ")"
	}
	return s + " (" + placeName(t.note.Place) + ")"
}

// length says how long a note lasts.
func (w *partWork) length(t *tone) string {
	if t.grace != score.NotGrace {
		return ", a grace note"
	}
	return ", " + score.LengthName(t.dur)
}

// pitchChange tells of notes that moved by one interval: one with its places,
// more of them by their pitches.
func (w *partWork) pitchChange(i, j int, run []twin) {
	f := run[0]
	was, is := w.noteName(f.a), w.noteName(f.b)
	if len(run) > 1 {
		var a, b []*tone
		for _, t := range run {
			a, b = append(a, t.a), append(b, t.b)
		}
		was, is = pitches(a), pitches(b)
	}
	d := w.add(Pitch, i, j, f.a.at, f.b.at, f.a.note.Src, f.b.note.Src, was, is)
	d.Notes = len(run)
}

// pitches writes pitches in a row, those that begin together joined by +.
func pitches(tones []*tone) string {
	var text strings.Builder
	for k, t := range tones {
		switch {
		case k == 0:
		case t.at == tones[k-1].at && t.grace == tones[k-1].grace:
			text.WriteByte('+')
		default:
			text.WriteByte(' ')
		}
		text.WriteString(t.note.Pitch.Pretty() + detuneName(t.detune))
	}
	return text.String()
}

// timeChange tells of one change of rhythm over some notes.
func (w *partWork) timeChange(i, j int, run []twin) {
	var a, b []*tone
	for _, t := range run {
		if t.a != nil {
			a = append(a, t.a)
		}
		if t.b != nil {
			b = append(b, t.b)
		}
	}
	d := w.add(Time, i, j, a[0].at, b[0].at, a[0].note.Src, b[0].note.Src, w.times(a, w.a.beats[i]), w.times(b, w.b.beats[j]))
	d.Notes = max(len(a), len(b))
}

// times writes when notes begin and how long they last: the beat of the first
// and of each that does not follow the one before at once, and each length
// after the notes that have it: "beat 1: E4 eighth, G4 A4 quarters".
func (w *partWork) times(tones []*tone, beat score.Quarters) string {
	tones = slices.Clone(tones)
	slices.SortStableFunc(tones, func(x, y *tone) int { return x.at.Cmp(y.at) })
	var text strings.Builder
	for k := 0; k < len(tones); {
		first, from, struck := tones[k], k, 1
		switch {
		case k == 0:
			text.WriteString("beat " + score.BeatName(first.at, beat) + ": ")
		case first.at == tones[k-1].ends():
			text.WriteString(", ")
		default:
			text.WriteString("; beat " + score.BeatName(first.at, beat) + ": ")
		}
		for ; k < len(tones) && tones[k].dur == first.dur && tones[k].grace == first.grace; k++ {
			t := tones[k]
			if k > from {
				last := tones[k-1]
				if t.at == last.at && t.grace == score.NotGrace {
					text.WriteByte('+')
				} else if t.at == last.ends() {
					text.WriteByte(' ')
					struck++
				} else {
					break
				}
			}
			text.WriteString(t.note.Pitch.Pretty())
			if t.tied {
				text.WriteString(" (held from before)")
			}
		}
		text.WriteString(" " + lengthOf(first, struck))
	}
	return text.String()
}

// ends returns when a note is over; a grace note takes no time of the bar.
func (t *tone) ends() score.Quarters {
	if t.grace != score.NotGrace {
		return t.at
	}
	return t.at.Add(t.dur)
}

// lengthOf names the length of so many notes that are as long as one.
func lengthOf(t *tone, n int) string {
	switch {
	case t.grace == score.Unslashed && n > 1:
		return "grace notes without slash"
	case t.grace == score.Unslashed:
		return "grace note without slash"
	case t.grace != score.NotGrace && n > 1:
		return "grace notes"
	case t.grace != score.NotGrace:
		return "grace note"
	case n > 1:
		return score.LengthNames(t.dur)
	}
	return score.LengthName(t.dur)
}

// rest tells of what is neither heard as pitch nor as time.
func (w *partWork) rest(i, j int, t twin) {
	w.ordinal++
	if t.a == nil || t.b == nil {
		return
	}
	add := func(aspect Aspect, was, is string) {
		d := w.add(aspect, i, j, t.a.at, t.b.at, t.a.note.Src, t.b.note.Src, was, is)
		d.Notes, d.Of = 1, w.noteName(t.a)
	}
	if w.c.samePitch(t.a, t.b) && !samePlace(t.a, t.b) {
		add(Place, placesName(t.a), placesName(t.b))
		w.c.found[len(w.c.found)-1].Of = t.a.note.Pitch.Pretty()
	}
	if !slices.Equal(t.a.techs, t.b.techs) {
		w.technique(i, j, t)
	}
	if !sameFingers(t.a, t.b) {
		add(Finger, fingerName(t.a.note), fingerName(t.b.note))
	}
	if was, is := labelNames(t.a.note), labelNames(t.b.note); was != is {
		add(Label, was, is)
	}
}

// technique tells of techniques that only one of two notes has.
func (w *partWork) technique(i, j int, t twin) {
	var lost, gained []string
	for _, s := range t.a.techs {
		if !slices.Contains(t.b.techs, s) {
			lost = append(lost, s)
		}
	}
	for _, s := range t.b.techs {
		if !slices.Contains(t.a.techs, s) {
			gained = append(gained, s)
		}
	}
	d := w.add(Technique, i, j, t.a.at, t.b.at, t.a.note.Src, t.b.note.Src, strings.Join(lost, ", "), strings.Join(gained, ", "))
	d.Notes, d.Of, d.ordinal = 1, w.noteName(t.a), w.ordinal
}

// settle makes one difference of those that are one: an extent over notes
// that follow each other, and a technique of all notes of a chord.
func (w *partWork) settle(from int) {
	found := w.c.found[:from:from]
	last := -1 // of techniques
	for _, d := range w.c.found[from:] {
		if d.Aspect == Technique && last >= 0 {
			e := &found[last]
			together := d.A.Measure == e.A.Measure && d.A.Onset == e.A.Onset
			if d.Was == e.Was && d.Is == e.Is && d.ordinal == e.ordinal+1 && (together || w.c.names.extent(d.Was) && w.c.names.extent(d.Is)) {
				e.ordinal = d.ordinal
				e.Notes++
				continue
			}
		}
		if d.Aspect == Technique {
			last = len(found)
		}
		found = append(found, d)
	}
	w.c.found = found
}

// extent tells whether a technique may extend over a run of notes; none may.
func (n *names) extent(name string) bool {
	if name == "" {
		return true
	}
	for k, s := range n.spans {
		if s == name && extends(k) {
			return true
		}
	}
	return false
}
