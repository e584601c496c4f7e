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
// along the neck, becomes several pictures. What cannot be drawn is reported:
// notes without a place, and that a picture has no rhythm.
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
		cut := r.cut()
		for _, units := range cut {
			d := phraseDiagram(units, r.links)
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

// A moment is what is struck together.
type moment struct {
	measure  int
	bar      string
	neck     fretboard.Neck
	implicit bool
	home     *theory.NoteName
	chord    *theory.Chord
	notes    []struckNote
	joined   bool // a slide, hammer-on or pull-off leads here from the moment before
}

type struckNote struct {
	dot  Dot
	sign string
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
			case *score.Chord:
				neck, ok := r.neckOf(e.Staff)
				if e.IsRest() || e.Cue || !ok {
					continue
				}
				if !open || e.Onset != at || e.Grace != score.NotGrace {
					r.moments = append(r.moments, moment{measure: i, bar: m.Number, implicit: m.Implicit, neck: neck, home: r.home(), chord: r.chordNow()})
				}
				at, open = e.Onset, e.Grace == score.NotGrace
				without += r.strike(e, neck)
			}
		}
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
	index := make([]int, len(r.moments))
	var kept []moment
	for i, m := range r.moments {
		index[i] = len(kept)
		if len(m.notes) > 0 {
			kept = append(kept, m)
		}
	}
	for i := range r.links {
		l := &r.links[i]
		l.from, l.to = index[l.from], index[l.to]
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
		r.moments[now].notes = append(r.moments[now].notes, struckNote{Dot{Place: n.Place, Pitch: n.Pitch, Fingers: fingersOf(n), Dead: n.Has(score.Dead)}, signOf(n)})
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
	case score.LegatoSlide, score.ShiftSlide, score.Glissando:
		return Slide, true
	}
	return 0, false
}

// signOf says how a note is played where its place does not say what sounds.
func signOf(n *score.Note) string {
	if b, ok := n.Bend(); ok {
		if b.Amount.Sign() < 0 {
			return "↓"
		}
		return "↑"
	}
	if _, ok := n.Harmonic(); ok {
		return "°"
	}
	if n.Has(score.Tap) || n.Has(score.TapLeft) {
		return "T"
	}
	return ""
}

// A piece is the moments of one picture, given by the first and the one after
// the last.
type piece struct {
	moments []moment
	first   int
}

// cut divides the moments into pictures: whole bars under one chord as long
// as they fit together, and inside of those only what does not fit otherwise.
func (r *phraseReader) cut() []piece {
	if len(r.moments) == 0 {
		return nil
	}
	if r.opt.Whole {
		return []piece{{r.moments, 0}}
	}
	var pieces []piece
	start := 0
	flush := func(end int) {
		if end > start {
			pieces = append(pieces, piece{r.moments[start:end], start})
		}
		start = end
	}
	for i := 0; i < len(r.moments); {
		end := i + 1
		for end < len(r.moments) && sameUnit(r.moments[end-1], r.moments[end]) {
			end++
		}
		switch {
		case fits(r.moments[start:end]) && goTogether(r.moments[start:i], r.moments[i:end]):
		case fits(r.moments[i:end]):
			flush(i)
		default:
			flush(i)
			for k := i + 1; k < end; k++ {
				if !r.moments[k].joined && !fits(r.moments[start:k+1]) {
					flush(k)
				}
			}
		}
		i = end
	}
	flush(len(r.moments))
	return pieces
}

func sameUnit(a, b moment) bool {
	return a.measure == b.measure && sameChord(a.chord, b.chord) && a.neck.Equal(b.neck)
}

// goTogether tells whether what is under different chords shares a picture,
// which then cannot show what notes are to their chords: only where one of
// the two is too short to be a picture.
func goTogether(a, b []moment) bool {
	const short = 4
	return len(a) < short || len(b) < short || sameChord(a[len(a)-1].chord, b[0].chord)
}

func sameChord(a, b *theory.Chord) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// fits tells whether moments can be drawn in one picture.
func fits(ms []moment) bool {
	low, high := -1, -1
	visits := map[fretboard.Place]int{}
	for _, m := range ms {
		if !m.neck.Equal(ms[0].neck) {
			return false
		}
		for _, n := range m.notes {
			p := n.dot.Place
			if p.Fret > 0 {
				if low < 0 || p.Fret < low {
					low = p.Fret
				}
				high = max(high, p.Fret)
			}
			if visits[p]++; visits[p] > maxVisits {
				return false
			}
		}
	}
	return len(ms) <= maxSteps && high-low <= maxSpread
}

// phraseDiagram draws the moments of a piece.
func phraseDiagram(p piece, links []phraseLink) Diagram {
	ms := p.moments
	d := Diagram{Neck: ms[0].neck, Index: -1, Home: ms[0].home}
	var chords []string
	one := ms[0].chord
	for _, m := range ms {
		if m.chord == nil {
			continue
		}
		if c := m.chord.Pretty(); len(chords) == 0 || chords[len(chords)-1] != c {
			chords = append(chords, c)
		}
		if one == nil {
			one = m.chord // what comes before the first chord leads to it
		}
	}
	if len(chords) > 1 {
		one = nil // roots of several chords would contradict each other
	}
	for i, m := range ms {
		for _, n := range m.notes {
			d.play(n, i+1, Reading{m.home, one}, Reading{m.home, m.chord})
		}
	}
	for _, l := range links {
		if l.from >= p.first && l.to < p.first+len(ms) && !slices.Contains(d.Links, l.Link) {
			d.Links = append(d.Links, l.Link)
		}
	}
	d.Title = barsOf(ms)
	d.Subtitle = strings.Join(chords, "  ")
	return d.sized()
}

// play adds a note to the dot at its place. Roles are read in the one way that
// holds for the picture, the function under the chord of the moment.
func (d *Diagram) play(n struckNote, number int, roles, chord Reading) {
	name := n.dot.Pitch.NoteName
	if !n.dot.Dead {
		n.dot.Role, n.dot.Degree, n.dot.Function = roles.role(name), roles.degree(name), chord.function(name)
	}
	dot := d.at(n.dot.Place)
	switch {
	case dot == nil:
		d.Dots = append(d.Dots, n.dot)
		dot = &d.Dots[len(d.Dots)-1]
	case dot.Dead && !n.dot.Dead: // struck both ways
		steps := dot.Steps
		*dot = n.dot
		dot.Steps = steps
	case !n.dot.Dead:
		for _, f := range n.dot.Fingers {
			if !slices.Contains(dot.Fingers, f) {
				dot.Fingers = append(dot.Fingers, f)
			}
		}
		// A label cannot say what changes from chord to chord.
		if dot.Function != n.dot.Function {
			dot.Function = ""
		}
	}
	dot.Steps = append(dot.Steps, Step{number, n.sign})
}

func fingersOf(n *score.Note) []score.Finger {
	if n.Finger == score.NoFinger {
		return nil
	}
	return []score.Finger{n.Finger}
}

// barsOf names the bars of a piece: "bar 2", "bars 1 to 3".
func barsOf(ms []moment) string {
	first, last := ms[0], ms[len(ms)-1]
	name := func(m moment) string {
		if m.bar == "" && m.implicit || m.bar == "0" {
			return "pickup"
		}
		if m.bar == "" {
			return fmt.Sprint(m.measure + 1)
		}
		return m.bar
	}
	switch {
	case first.measure == last.measure && name(first) == "pickup":
		return "pickup"
	case name(first) == "pickup":
		return "pickup and " + barsOf(ms[slices.IndexFunc(ms, func(m moment) bool { return m.measure != first.measure }):])
	case first.measure == last.measure:
		return "bar " + name(first)
	}
	return fmt.Sprintf("bars %s to %s", name(first), name(last))
}
