package transform

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

var noPlace fretboard.Place

// A phraseTone is what a voice strikes at a time: one note or several, with
// the grace notes before it, as long as it sounds with all that is tied to it.
type phraseTone struct {
	at, length score.Quarters // from the start of the part
	chord      *score.Chord
	graces     []*score.Chord
	held       []*score.Chord // that hold it on, in the score it was read from
}

func (t *phraseTone) end() score.Quarters { return t.at.Add(t.length) }

// notes ranges over the notes of the tone and of its grace notes.
func (t *phraseTone) notes() []*score.Note {
	var list []*score.Note
	for _, g := range t.graces {
		list = append(list, g.Notes...)
	}
	return append(list, t.chord.Notes...)
}

// top returns the sounding pitch of the highest note, as a MIDI key number.
func (t *phraseTone) top() int {
	top := t.chord.Notes[0].Sounding()
	for _, n := range t.chord.Notes[1:] {
		top = max(top, n.Sounding())
	}
	return top
}

// topNote returns the note that sounds highest.
func (t *phraseTone) topNote() *score.Note {
	top := t.chord.Notes[0]
	for _, n := range t.chord.Notes[1:] {
		if n.Sounding() > top.Sounding() {
			top = n
		}
	}
	return top
}

// copy returns the tone with notes of its own, which have no source.
func (t *phraseTone) copy() *phraseTone {
	c := &phraseTone{at: t.at, length: t.length, chord: score.CopyEvent(t.chord).(*score.Chord)}
	for _, g := range t.graces {
		c.graces = append(c.graces, score.CopyEvent(g).(*score.Chord))
	}
	return c
}

// A phraseLine is one voice of a part as a row of tones, one after the other.
type phraseLine struct {
	key   voiceKey
	tones []*phraseTone
}

// phraseLines takes a part apart into its voices. Notes that are tied on are
// one tone; a chord of which only some notes are is two, and cut counts those
// ties.
func phraseLines(p *score.Part) (lines []*phraseLine, cut int) {
	byVoice := map[voiceKey]*phraseLine{}
	begins := starts(p)
	graces := map[voiceKey][]*score.Chord{}
	for i, m := range p.Measures {
		for c := range m.Chords() {
			if c.IsRest() || c.Cue || !slices.ContainsFunc(c.Notes, func(n *score.Note) bool { return !n.Unpitched }) {
				continue
			}
			k := voiceKey{c.Staff, c.Voice}
			if c.Grace != score.NotGrace {
				graces[k] = append(graces[k], c)
				continue
			}
			l := byVoice[k]
			if l == nil {
				l = &phraseLine{key: k}
				byVoice[k] = l
				lines = append(lines, l)
			}
			at := begins[i].Add(c.Onset)
			if n := len(l.tones); n > 0 && holdsOn(l.tones[n-1], c, at) {
				t := l.tones[n-1]
				t.length = t.length.Add(c.Duration)
				t.held = append(t.held, c)
				continue
			}
			for _, n := range c.Notes {
				if n.TieStop {
					cut++
				}
			}
			l.tones = append(l.tones, &phraseTone{at: at, length: c.Duration, chord: c, graces: graces[k]})
			graces[k] = nil
		}
	}
	slices.SortStableFunc(lines, func(a, b *phraseLine) int {
		return cmp.Or(cmp.Compare(a.key.staff, b.key.staff), cmp.Compare(a.key.voice, b.key.voice))
	})
	return lines, cut
}

// holdsOn tells whether a chord holds on all of a tone that ends as it begins.
func holdsOn(t *phraseTone, c *score.Chord, at score.Quarters) bool {
	if t.end() != at || len(c.Notes) != len(t.chord.Notes) {
		return false
	}
	last := t.chord
	if n := len(t.held); n > 0 {
		last = t.held[n-1]
	}
	for _, n := range c.Notes {
		if !n.TieStop || !slices.ContainsFunc(last.Notes, func(m *score.Note) bool { return m.TieStart && m.Pitch == n.Pitch }) {
			return false
		}
	}
	return true
}

// follow gives the notes that hold a tone on its pitches. before has the
// pitches that the tone had, in the order of its notes.
func (t *phraseTone) follow(before []score.Note) {
	for _, c := range t.held {
		for _, n := range c.Notes {
			for i := range before {
				if before[i].Pitch == n.Pitch {
					n.Pitch, n.Place, n.Finger = t.chord.Notes[i].Pitch, t.chord.Notes[i].Place, score.NoFinger
					break
				}
			}
		}
	}
}

// change does something to the notes of every tone and lets what holds them on
// follow.
func (l *phraseLine) change(f func(*phraseTone)) {
	for _, t := range l.tones {
		before := make([]score.Note, len(t.chord.Notes))
		for i, n := range t.chord.Notes {
			before[i] = *n
		}
		f(t)
		t.follow(before)
	}
}

// gather makes each tone one chord again for steps that move it in time: what
// is marked on the notes that hold it on, such as the slide that leaves the
// last of them, is marked on the tone.
func (v *varied) gather() {
	for _, l := range v.lines {
		for _, t := range l.tones {
			for _, c := range t.held {
				for _, n := range c.Notes {
					i := slices.IndexFunc(t.chord.Notes, func(m *score.Note) bool { return m.Pitch == n.Pitch })
					if i < 0 {
						continue
					}
					for _, x := range n.Techniques {
						if !t.chord.Notes[i].Has(x) {
							t.chord.Notes[i].Techniques = append(t.chord.Notes[i].Techniques, x)
						}
					}
				}
			}
			t.held = nil
		}
	}
	v.timed = true
}
