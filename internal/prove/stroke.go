package prove

import (
	"slices"

	"example.org/lickwright/score"
)

// A played is a note that is struck, with all it is held for.
type played struct {
	note  *score.Note
	tied  []*score.Note // that go on with it
	onset score.Quarters
	lasts score.Quarters
	key   int // sounding
	known bool
	guess bool // its time was read from spacing
}

// touch names the techniques of a note, and of those that it is tied to.
func (n *played) touch() []string {
	names := touchNames(n.note)
	for _, t := range n.tied {
		for _, name := range touchNames(t) {
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// A stroke is all that is struck at a moment. Each grace note is a stroke of
// its own.
type stroke struct {
	moment
	notes []*played
}

// A ringing finds the note that a tie holds: by the string, or by the key
// where the tied note stands on none. Small notes that are not played are
// apart.
type ringing[T any] map[ring]T

type ring struct {
	str, key int
	cue      bool
}

func (r ringing[T]) find(c *score.Chord, n *score.Note) (T, bool) {
	at := ring{str: n.Place.String, cue: c.Cue}
	if at.str == 0 {
		at.key = sounds(n.Pitch)
	}
	was, ok := r[at]
	return was, ok
}

func (r ringing[T]) hold(c *score.Chord, n *score.Note, it T) {
	if n.Place.String > 0 {
		r[ring{str: n.Place.String, cue: c.Cue}] = it
	}
	r[ring{key: sounds(n.Pitch), cue: c.Cue}] = it
}

// strokes lists what a part strikes, in order. A tied note belongs to the
// stroke that it holds, however often notation has to write it. Notes struck
// at once are one stroke, in whichever voices they stand.
func strokes(p *score.Part) []stroke {
	var all []stroke
	held := ringing[*played]{}
	for _, m := range moments(p) {
		c := m.chord
		var notes []*played
		for _, n := range c.Notes {
			if was, ok := held.find(c, n); ok && n.TieStop && (n.Place.IsZero() || was.note.Place == n.Place) {
				was.lasts = was.lasts.Add(c.Duration)
				was.tied = append(was.tied, n)
				continue
			}
			key, known := heard(n)
			if !known {
				key = -1 - n.Place.String // dead notes are alike on a string
			}
			struck := &played{note: n, onset: c.Onset, lasts: c.Duration, key: key, known: known, guess: c.InferredTime}
			notes = append(notes, struck)
			held.hold(c, n, struck)
		}
		if len(notes) == 0 {
			continue
		}
		now := stroke{m, notes}
		if i := len(all) - 1; i >= 0 && all[i].bar == m.bar && all[i].chord.Onset == c.Onset && all[i].plain() && now.plain() {
			all[i].notes = append(all[i].notes, notes...)
			continue
		}
		all = append(all, now)
	}
	return all
}

// Struck counts the notes that are struck: those that a tie holds are not.
func Struck(s *score.Score) int {
	n := 0
	for _, p := range s.Parts {
		for _, st := range strokes(p) {
			n += len(st.notes)
		}
	}
	return n
}

// plain tells whether notes are neither grace notes nor cues.
func (st stroke) plain() bool { return st.chord.Grace == score.NotGrace && !st.chord.Cue }

// heard lists the keys of a stroke moved by semitones, in order; pitch classes
// where octaves do not count.
func (st stroke) heard(by int, exact bool) []int {
	var all []int
	for _, n := range st.notes {
		if n.known {
			all = append(all, classOf(n.key+by, exact))
		}
	}
	slices.Sort(all)
	return all
}

// A lasting is how long a key sounds, -1 for one that is not known.
type lasting struct {
	key   int
	lasts score.Quarters
}

// lengths lists how long each key of a stroke lasts, in the order of heard.
func (st stroke) lengths(by int, exact bool) []lasting {
	var all []lasting
	for _, n := range st.notes {
		l := lasting{-1, n.lasts}
		if n.known {
			l.key = classOf(n.key+by, exact)
		}
		all = append(all, l)
	}
	slices.SortFunc(all, func(a, b lasting) int {
		if a.key != b.key {
			return a.key - b.key
		}
		return a.lasts.Cmp(b.lasts)
	})
	return all
}

// classOf is a key itself where octaves count, and its pitch class where not.
func classOf(key int, exact bool) int {
	if exact {
		return key
	}
	return (key%12 + 12) % 12
}

// A playedBar is the notes of a bar in order of time, low ones first.
type playedBar struct {
	name   string
	beat   score.Quarters
	length score.Quarters
	key    scaleSet // of its signature
	notes  []*played
	keys   []int // of the notes, sorted, once bars are paired
}

// play lists what a part strikes, bar by bar.
func play(p *score.Part) []playedBar {
	beats := p.BeatLengths()
	signed := keys(p)
	out := make([]playedBar, len(p.Measures))
	for i, m := range p.Measures {
		out[i] = playedBar{name: p.BarName(i), beat: beats[i], length: m.Length, key: signed[i]}
	}
	for _, st := range strokes(p) {
		if !st.chord.Cue {
			out[st.bar].notes = append(out[st.bar].notes, st.notes...)
		}
	}
	for i := range out {
		slices.SortStableFunc(out[i].notes, inOrder)
	}
	return out
}
