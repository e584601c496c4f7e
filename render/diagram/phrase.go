package diagram

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// PhraseOptions say how a phrase is read and cut.
type PhraseOptions struct {
	Home  *theory.NoteName // what degrees count from; nil for the key of the music
	Chord *theory.Chord    // what notes are tones of; nil for the chord symbols of the music
	// Whole makes one picture of a part, however long and wide it is.
	Whole bool
}

// Limits of one picture of a phrase: beyond them it is cut, at a bar line or a
// change of chord if there is one.
const (
	maxSteps  = 16 // notes and chords in order
	maxSpread = 6  // frets from the lowest fretted note to the highest
	maxVisits = 4  // times that one place is played
)

// OfPhrase draws the parts of a score that lie on a neck: where each note is
// played, in what order, with which finger. A long phrase, or one that moves
// along the neck, becomes several pictures, in which the numbers run on. Over a
// chord the root is that of the chord, and notes are named by their place in it,
// unless the music is labelled by degrees alone; else it is the tonic of the key. Where a
// picture of the whole has several chords a note has the shape that it has to the
// chord of its time, and is a disc if that changes. Labels of the music, as transform.Annotate
// makes them, are shown as they are, and words over it by the number of the note
// they stand over. Notes without a place are reported.
func OfPhrase(s *score.Score, opt PhraseOptions) ([]Diagram, score.Diagnostics) {
	var ds []Diagram
	var say score.Diagnostics
	several := 0
	for _, p := range s.Parts {
		if p.Fretted() {
			several++
		}
	}
	for _, p := range s.Parts {
		r := phraseReader{opt: opt, s: s, spans: map[spanKey]fretboard.Place{}, necks: map[int]fretboard.Neck{}}
		r.read(p)
		say = append(say, r.say...)
		var of []Diagram
		for _, units := range r.cut() {
			of = append(of, phraseDiagram(units, r.links))
		}
		asChords(of)
		for _, d := range of {
			d.Explain = s.Legend
			if several > 1 {
				d.Title = strings.TrimSpace(p.Name + ", " + d.Title)
			}
			ds = append(ds, d)
		}
	}
	if len(ds) == 0 {
		say = append(say, score.Diagnostic{Severity: score.NotDone, Code: "picture-empty", Msg: "there is no note on a neck to draw",
			Hint: "give music with strings and frets"})
	}
	return ds, say
}

// asChords names the notes of all pictures of a part that are over a chord by
// their place in it, as the house is its root. Music that is labelled by degrees
// alone keeps them, unless a chord is struck as one.
func asChords(ds []Diagram) {
	held := slices.ContainsFunc(ds, func(d Diagram) bool { return d.Show != nil })
	if !held && labelledBy(ds, score.LabelDegree) && !labelledBy(ds, score.LabelChordTone) {
		return
	}
	for k := range ds {
		if ds[k].chordal = true; ds[k].Over != nil {
			ds[k].Show = []Label{Functions, Order}
		}
	}
}

// labelledBy tells whether the music has labels of a kind.
func labelledBy(ds []Diagram, kind string) bool {
	for _, d := range ds {
		for _, dot := range d.Dots {
			for _, s := range dot.Steps {
				if slices.ContainsFunc(s.Labels, func(a score.Annotation) bool { return a.Kind == kind && a.Text != "" }) {
					return true
				}
			}
		}
	}
	return false
}

// A moment is what is struck together.
type moment struct {
	measure  int
	bar      string
	neck     fretboard.Neck
	implicit bool
	home     *theory.NoteName
	chord    *theory.Chord
	notes    []struckNote
	words    []string // that stand over it
	joined   bool     // a slide, hammer-on or pull-off leads here from the moment before
}

type struckNote struct {
	dot    Dot
	bend   Bending
	sign   string
	labels []score.Annotation
}

type spanKey struct {
	kind score.SpanKind
	id   int
}

// phraseLink is a link with the moments at its ends.
type phraseLink struct {
	Link
	from, to int
}

type phraseReader struct {
	opt     PhraseOptions
	s       *score.Score
	moments []moment
	links   []phraseLink
	spans   map[spanKey]fretboard.Place // that have begun
	begun   map[spanKey]int             // at which moment
	necks   map[int]fretboard.Neck      // by staff; 0 is all of them
	key     *theory.Key
	chord   *theory.Chord
	say     score.Diagnostics
}

func (r *phraseReader) neckOf(staff int) (fretboard.Neck, bool) {
	if n, ok := r.necks[staff]; ok {
		return n, true
	}
	n, ok := r.necks[0]
	return n, ok
}

// read gathers the moments of a part.
func (r *phraseReader) read(p *score.Part) {
	r.begun = map[spanKey]int{}
	without := 0
	var words []string // that stand before the next note
	for i, m := range p.Measures {
		var at score.Quarters
		open := false // a moment has begun at that time
		for _, e := range inOrder(m.Events) {
			switch e := e.(type) {
			case *score.NeckChange:
				if e.Staff == 0 {
					clear(r.necks)
				}
				r.necks[e.Staff] = e.Neck
			case *score.KeySignature:
				if r.key = nil; !e.Free && !e.NoKey {
					k := e.Key
					r.key = &k
				}
			case *score.Harmony:
				c := e.Chord
				if r.chord = &c; c.NoChord || c.Check() != nil {
					r.chord = nil
				}
				open = open && e.Onset == at
			case *score.Words:
				if text := strings.Join(strings.Fields(e.Text), " "); text != "" {
					words = append(words, text)
				}
			case *score.Chord:
				neck, ok := r.neckOf(e.Staff)
				if e.IsRest() || e.Cue || !ok {
					continue
				}
				if !open || e.Onset != at || e.Grace != score.NotGrace {
					r.moments = append(r.moments, moment{measure: i, bar: m.Number, implicit: m.Implicit, neck: neck, home: r.home(), chord: r.chordNow()})
				}
				now := &r.moments[len(r.moments)-1]
				now.words, words = append(now.words, words...), nil
				at, open = e.Onset, e.Grace == score.NotGrace
				without += r.strike(e, neck)
			}
		}
	}
	if n := len(r.moments); n > 0 {
		r.moments[n-1].words = append(r.moments[n-1].words, words...)
	}
	r.moments = r.withNotes()
	if without > 0 {
		r.say = append(r.say, score.Diagnostic{Severity: score.Warning, Code: "picture-no-place",
			Msg: fmt.Sprintf("%d notes have no place on the neck and are not in the picture", without), Hint: "put them on strings and frets first, as lickwright refinger does"})
	}
}

// inOrder puts what holds from a time on before what is struck then.
func inOrder(events []score.Event) []score.Event {
	sorted := slices.Clone(events)
	slices.SortStableFunc(sorted, func(a, b score.Event) int {
		_, x := a.(*score.Chord)
		_, y := b.(*score.Chord)
		return cmp.Or(a.At().Cmp(b.At()), boolToInt(x)-boolToInt(y))
	})
	return sorted
}

func boolToInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (r *phraseReader) chordNow() *theory.Chord {
	if r.opt.Chord != nil {
		return r.opt.Chord
	}
	return r.chord
}

// withNotes drops moments in which nothing was struck and keeps what points to
// the others right.
func (r *phraseReader) withNotes() []moment {
	index, struck := make([]int, len(r.moments)), make([]bool, len(r.moments))
	var kept []moment
	var words []string // over what is only held on, for what is struck next
	for i, m := range r.moments {
		index[i] = len(kept)
		if words = append(words, m.words...); len(m.notes) > 0 {
			m.words, words = words, nil
			struck[i] = true
			kept = append(kept, m)
		}
	}
	for i := range r.links {
		l := &r.links[i]
		for _, end := range []*int{&l.from, &l.to} {
			if i := *end; struck[i] {
				*end = index[i]
			} else {
				*end = max(index[i]-1, 0) // what is held on was struck before
			}
		}
		if l.to > 0 && l.from == l.to-1 {
			kept[l.to].joined = true
		}
	}
	return kept
}

// strike adds the notes of a chord to the last moment, and returns how many
// have no place.
func (r *phraseReader) strike(c *score.Chord, neck fretboard.Neck) (without int) {
	now := len(r.moments) - 1
	for _, n := range c.Notes {
		if n.Unpitched {
			continue
		}
		if n.Place.IsZero() || !neck.Has(n.Place) {
			if !n.Place.IsZero() || !n.TieStop {
				without++
			}
			continue
		}
		r.follow(n, now)
		if n.TieStop || n.Has(score.Held) {
			continue
		}
		r.moments[now].notes = append(r.moments[now].notes, struckNote{Dot{Place: n.Place, Pitch: n.Pitch, Fingers: fingersOf(n), Dead: n.Has(score.Dead)}, bendingOf(n), signsOf(n), n.Annotations})
	}
	return without
}

func (r *phraseReader) home() *theory.NoteName {
	if r.opt.Home != nil {
		return r.opt.Home
	}
	if r.key == nil {
		return nil
	}
	return &r.key.Tonic
}

// follow remembers where slides and slurs begin, and links them where they
// end. Ties end links too, so they are seen before tied notes are left out.
func (r *phraseReader) follow(n *score.Note, now int) {
	for _, end := range [...]score.SpanEnd{score.Stop, score.Start} {
		for _, t := range n.Techniques {
			span, ok := t.(score.Span)
			if !ok || span.End != end {
				continue
			}
			kind, drawn := linkKind(span.Kind)
			if !drawn {
				continue
			}
			key := spanKey{span.Kind, span.ID}
			if end == score.Start {
				r.spans[key], r.begun[key] = n.Place, now
				continue
			}
			if from, ok := r.spans[key]; ok && from.String == n.Place.String && from != n.Place {
				r.links = append(r.links, phraseLink{Link{From: from, To: n.Place, Kind: kind}, r.begun[key], now})
			}
			delete(r.spans, key)
		}
	}
}

func linkKind(k score.SpanKind) (LinkKind, bool) {
	switch k {
	case score.HammerOn, score.PullOff:
		return Slur, true
	case score.LegatoSlide:
		return Slide, true
	case score.ShiftSlide:
		return StruckSlide, true
	case score.Glissando:
		return Glissando, true
	}
	return 0, false
}

// signsOf returns the signs of tab for how a note is played.
func signsOf(n *score.Note) string {
	sign := ""
	if _, ok := n.Harmonic(); ok {
		sign += "°"
	}
	if n.Has(score.Tap) || n.Has(score.TapLeft) {
		sign += "T"
	}
	if n.Has(score.Vibrato) || n.Has(score.WideVibrato) {
		sign += "~"
	}
	return sign
}
