package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
)

// renumber gives every span its own ID where notes were copied, and leaves out
// connections of which one end is gone.
func (v *varied) renumber() {
	type end struct {
		note *score.Note
		at   int
	}
	open := map[spanID]end{}
	next := 0
	keep := map[*score.Note]map[int]score.Span{}
	put := func(e end, s score.Span) {
		if keep[e.note] == nil {
			keep[e.note] = map[int]score.Span{}
		}
		keep[e.note][e.at] = s
	}
	var notes []*score.Note
	for n := range score.Notes(v.part) {
		notes = append(notes, n)
	}
	for _, n := range notes {
		for _, what := range [...]score.SpanEnd{score.Stop, score.Start} {
			for i, t := range n.Techniques {
				s, ok := t.(score.Span)
				if !ok || s.End != what {
					continue
				}
				k := spanID{s.Kind, s.ID}
				if what == score.Start {
					open[k] = end{n, i}
					continue
				}
				if from, ok := open[k]; ok {
					next++
					put(from, score.Span{Kind: s.Kind, ID: next, End: score.Start})
					put(end{n, i}, score.Span{Kind: s.Kind, ID: next, End: score.Stop})
					delete(open, k)
				}
			}
		}
	}
	for _, n := range notes {
		var list []score.Technique
		for i, t := range n.Techniques {
			if _, ok := t.(score.Span); ok {
				if s, kept := keep[n][i]; kept {
					list = append(list, s)
				}
				continue
			}
			list = append(list, t)
		}
		n.Techniques = list
	}
}

// legato makes every hammer-on and pull-off the kind that its direction asks
// for, and takes off what would join a note to itself or to one that no longer
// follows it.
func (v *varied) legato() {
	type begun struct {
		note  *score.Note
		where string
		tone  int
	}
	open := map[spanID]begun{}
	order := map[voiceKey]int{}
	drop := func(n *score.Note, k spanID) {
		n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
			s, ok := t.(score.Span)
			return ok && s.Kind == k.kind && s.ID == k.id
		})
	}
	turn := func(n *score.Note, k spanID, to score.SpanKind) {
		for i, t := range n.Techniques {
			if s, ok := t.(score.Span); ok && s.Kind == k.kind && s.ID == k.id {
				s.Kind = to
				n.Techniques[i] = s
			}
		}
	}
	turned, parted := 0, v.parted
	for i, m := range v.part.Measures {
		for c := range m.Chords() {
			if c.IsRest() {
				continue
			}
			voice := voiceKey{c.Staff, c.Voice}
			if c.Grace == score.NotGrace {
				order[voice]++
			}
			for _, n := range c.Notes {
				for _, what := range [...]score.SpanEnd{score.Stop, score.Start} {
					for _, t := range slices.Clone(n.Techniques) {
						s, ok := t.(score.Span)
						if !ok || s.End != what || !s.Kind.KeepsString() && s.Kind != score.Glissando {
							continue
						}
						k := spanID{s.Kind, s.ID}
						if what == score.Start {
							open[k] = begun{n, v.rep.where(min(i, len(v.rep.beats)-1), c.Onset), order[voice]}
							continue
						}
						from, ok := open[k]
						if !ok {
							continue
						}
						delete(open, k)
						rise := sign(n.Pitch.MIDI() - from.note.Pitch.MIDI())
						switch {
						case v.tooWide(s.Kind, n.Pitch.MIDI()-from.note.Pitch.MIDI()):
							drop(from.note, k)
							drop(n, k)
							wide := n.Pitch.MIDI() - from.note.Pitch.MIDI()
							v.rep.add(score.Info, CodeVaryTechnique, v.part.Src, fmt.Sprintf("%s: %s from %s to %s would be %d frets wide: it is struck instead", from.where, slurName(s.Kind, wide), from.note.Pitch.Pretty(), n.Pitch.Pretty(), max(wide, -wide)), "")
						case order[voice]-from.tone > 1:
							drop(from.note, k)
							drop(n, k)
							parted = true
						case rise == 0 && from.tone != order[voice]:
							drop(from.note, k)
							drop(n, k)
							v.rep.add(score.Info, CodeVaryTechnique, v.part.Src, fmt.Sprintf("%s: %s to the same note is struck instead", from.where, spanName(s.Kind)), "")
						case s.Kind == score.HammerOn && rise < 0:
							turn(from.note, k, score.PullOff)
							turn(n, k, score.PullOff)
							turned++
						case s.Kind == score.PullOff && rise > 0:
							turn(from.note, k, score.HammerOn)
							turn(n, k, score.HammerOn)
							turned++
						}
					}
				}
			}
		}
	}
	if parted {
		v.rep.add(score.Info, CodeVaryTechnique, v.part.Src, v.rep.inPart()+"joined notes that no longer follow each other (hammer-on, pull-off, slide) are struck", "")
	}
	if turned > 0 {
		v.rep.add(score.Info, CodeVaryTechnique, v.part.Src, v.rep.inPart()+turnedWords(turned)+", as the line goes the other way", "")
	}
}

// easySlur is how many frets a hammer-on or pull-off spans with a finger for
// each fret (common practice).
const easySlur = 3

// tooWide tells whether a hammer-on, pull-off or slide over so many semitones, on
// one string that is frets, is wider than is easy and than those of the phrase
// are.
func (v *varied) tooWide(kind score.SpanKind, semitones int) bool {
	v.onNeck(0)
	semitones = max(semitones, -semitones)
	if kind == score.HammerOn || kind == score.PullOff {
		return v.neck != nil && semitones > max(easySlur, v.slurs[0])
	}
	return v.neck != nil && semitones > v.slurs[1]
}

// widestSlurs returns how many semitones the widest hammer-on or pull-off of a
// part spans, and the widest slide.
func widestSlurs(p *score.Part) (widest [2]int) {
	open := map[spanID]int{}
	for n := range score.Notes(p) {
		for _, what := range [...]score.SpanEnd{score.Stop, score.Start} {
			for _, t := range n.Techniques {
				s, ok := t.(score.Span)
				if !ok || s.End != what || !s.Kind.KeepsString() && s.Kind != score.Glissando {
					continue
				}
				k := spanID{s.Kind, s.ID}
				if what == score.Start {
					open[k] = n.Pitch.MIDI()
				} else if from, ok := open[k]; ok {
					delete(open, k)
					i := 1
					if s.Kind == score.HammerOn || s.Kind == score.PullOff {
						i = 0
					}
					d := n.Pitch.MIDI() - from
					widest[i] = max(widest[i], d, -d)
				}
			}
		}
	}
	return widest
}

func spanName(k score.SpanKind) string {
	switch k {
	case score.HammerOn:
		return "a hammer-on"
	case score.PullOff:
		return "a pull-off"
	case score.Glissando:
		return "a glissando"
	}
	return "a slide"
}

// slurName names what joins two notes, by the way it goes.
func slurName(k score.SpanKind, rise int) string {
	switch {
	case k == score.HammerOn && rise < 0:
		k = score.PullOff
	case k == score.PullOff && rise > 0:
		k = score.HammerOn
	}
	return spanName(k)
}

// turnedWords says how often a hammer-on and a pull-off took each other's place.
func turnedWords(n int) string {
	if n == 1 {
		return "a hammer-on became a pull-off, or a pull-off a hammer-on"
	}
	return fmt.Sprintf("at %d places a hammer-on became a pull-off, or a pull-off a hammer-on", n)
}
