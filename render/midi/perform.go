package midi

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A visit is a bar that is played, with its time from the beginning.
type visit struct {
	measure int
	at      score.Quarters
	length  score.Quarters
	before  score.Quarters // of its metre that a pickup leaves out
	metre   *score.TimeSignature
	swung   bool // its beats are quarters or longer, which swing divides
}

// A struck note is one that is played.
type struck struct {
	on, off  score.Quarters
	slot     int // string of the part, 0 being the first; or voice
	key      int // MIDI key number, unbent
	velocity int
	curves   []curve
	ring     bool
	detune   float64
}

// A curve is how the pitch is moved while a note sounds: semitones at a time
// in quarter notes from the beginning.
type curve func(at float64) float64

// Velocities, of 127. How loud a technique is is a decision of ours.
const (
	plainVelocity = 84
	softVelocity  = 64 // not plucked: hammered, pulled, slid to
	ghostVelocity = 42
	muteVelocity  = 66
	deadVelocity  = 58
)

var (
	thirtySecond = score.Q(1, 8)
	graceLength  = score.Q(1, 16)
)

// A player plays a part.
type player struct {
	part    *score.Part
	opt     Options
	report  func(sev score.Severity, code string, at score.Handle, msg, hint string)
	tempo   float64 // in force, quarter notes per minute
	scale   float64 // how much faster than written it is played
	notes   []*struck
	last    map[holder]*struck              // what a tie may hold
	ringing map[int][]*struck               // under a "let ring", by its id
	on      map[score.SpanKind]map[int]bool // extents that are open, by id
	slides  map[int]*struck                 // slides that lead to the next note, by id
	reach   bool                            // a bend beyond the range was reported
}

// maxVoices is how many voices a tie is looked for in.
const maxVoices = 16

// A holder is where a note sounds that a tie may hold: a string, or in music
// without strings a key of a voice.
type holder struct{ slot, key int }

func holderOf(n *score.Note, slot, key int) holder {
	if n.Place.IsZero() {
		return holder{slot, key}
	}
	return holder{slot, -1}
}

// play plays the bars of a part in their order.
func (p *player) play(visits []visit) {
	p.last, p.ringing, p.slides = map[holder]*struck{}, map[int][]*struck{}, map[int]*struck{}
	p.on = map[score.SpanKind]map[int]bool{}
	for i := range visits {
		if v := &visits[i]; v.measure < len(p.part.Measures) {
			p.measure(v, p.part.Measures[v.measure])
		}
	}
	p.stopStrings()
}

func (p *player) measure(v *visit, m *score.Measure) {
	var graces []*score.Chord
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Tempo:
			if e.QuartersPerMinute > 0 {
				p.tempo = e.QuartersPerMinute * p.scale
			}
		case *score.Chord:
			switch {
			case e.Cue:
				p.report(score.Info, "midi-cue", e.Src, "cue notes are not played", "")
			case e.Grace != score.NotGrace:
				graces = append(graces, e)
			default:
				p.graces(v, graces, e.Onset)
				graces = nil
				p.chord(v, m, e)
			}
		}
	}
	p.graces(v, graces, m.Length)
}

// graces plays grace notes before a time; at the very beginning there is no
// time before, and they begin with it.
func (p *player) graces(v *visit, graces []*score.Chord, until score.Quarters) {
	main := v.at.Add(v.swing(until, p.opt.Swing))
	for i, g := range graces {
		on := main.Sub(graceLength.Mul(score.Q(int64(len(graces)-i), 1)))
		if on.Sign() < 0 {
			on = graceLength.Mul(score.Q(int64(i), int64(len(graces))))
		}
		for _, n := range g.Notes {
			p.note(v, g, n, on, on.Add(graceLength))
		}
	}
}

func (p *player) chord(v *visit, m *score.Measure, c *score.Chord) {
	on, off := v.at.Add(v.swing(c.Onset, p.opt.Swing)), v.at.Add(v.swing(c.End(), p.opt.Swing))
	if !on.Less(off) {
		return
	}
	for _, n := range c.Notes { // extents hold for the whole chord
		p.extents(n, score.Start)
	}
	for _, n := range c.Notes {
		s := p.note(v, c, n, on, off)
		if s != nil && n.Has(score.LetRing) {
			s.off, s.ring = v.at.Add(m.Length), true
			if s.off.Less(off) {
				s.off = off
			}
		}
	}
	for _, n := range c.Notes {
		p.extents(n, score.Stop)
	}
	for id := range p.on[score.LetRingSpan] {
		for _, s := range p.ringing[id] {
			if s.off.Less(off) {
				s.off = off
			}
		}
	}
	for id, list := range p.ringing {
		if !p.on[score.LetRingSpan][id] {
			for _, s := range list {
				if s.off.Less(off) {
					s.off = off
				}
			}
			delete(p.ringing, id)
		}
	}
}

// extents opens or closes palm mutes, let-rings and vibratos.
func (p *player) extents(n *score.Note, end score.SpanEnd) {
	for _, t := range n.Techniques {
		s, ok := t.(score.Span)
		if !ok || s.End != end {
			continue
		}
		switch s.Kind {
		case score.PalmMute, score.LetRingSpan, score.VibratoSpan:
			if p.on[s.Kind] == nil {
				p.on[s.Kind] = map[int]bool{}
			}
			if end == score.Start {
				p.on[s.Kind][s.ID] = true
			} else {
				delete(p.on[s.Kind], s.ID)
			}
		}
	}
}

// note plays one note. It returns nil if it only goes on.
func (p *player) note(v *visit, c *score.Chord, n *score.Note, on, off score.Quarters) *struck {
	if n.Unpitched {
		p.report(score.Warning, "midi-unpitched", n.Src, "percussion without a pitch is not played", "")
		return nil
	}
	slot := n.Place.String - 1
	if n.Place.IsZero() {
		slot = max(c.Voice-1, 0)
	}
	key := n.Pitch.MIDI()
	if h, ok := n.Harmonic(); ok {
		key += h.Over
	}
	if key < 0 || key > 127 {
		p.report(score.Warning, "midi-range", n.Src, fmt.Sprintf("%v is beyond the keys of MIDI and is left out", n.Pitch), "")
		return nil
	}
	holder := holderOf(n, slot, key)
	last := p.last[holder]
	if n.TieStop && n.Place.IsZero() && (last == nil || last.off != on) {
		for voice := range maxVoices { // a tie may lead into another voice
			if other := p.last[holderOf(n, voice, key)]; other != nil && other.off == on {
				last = other
				break
			}
		}
	}
	if (n.TieStop || n.Has(score.Held)) && last != nil && last.key == key && last.off == on {
		last.off = off
		p.color(last, n, on, off)
		p.ringOn(last)
		p.leave(last, n)
		return nil
	}
	s := &struck{on: on, off: off, slot: slot, key: key, velocity: plainVelocity, detune: n.Detune.Float()}
	if n.Place.IsZero() { // other notes of the voice sound on
		last = nil
	}
	half := off.Sub(on).Mul(score.Q(1, 2))
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Mark:
			switch t {
			case score.Ghost:
				s.velocity = ghostVelocity
			case score.Accent:
				s.velocity = min(s.velocity+16, 127)
			case score.StrongAccent, score.SnapPizzicato:
				s.velocity = min(s.velocity+26, 127)
			case score.SoftAccent:
				s.velocity += 8
			case score.Slap, score.Pop:
				s.velocity = 104
			case score.PalmMuted:
				s.off, s.velocity = on.Add(half), muteVelocity
			case score.Staccato:
				s.off = on.Add(half)
			case score.Staccatissimo:
				s.off = on.Add(half.Mul(score.Q(1, 2)))
			}
		case score.Span:
			if t.End != score.Stop {
				continue
			}
			switch t.Kind {
			case score.HammerOn, score.PullOff, score.LegatoSlide, score.Slur:
				s.velocity = min(s.velocity, softVelocity)
			}
			if from := p.slides[t.ID]; from != nil && isSlide(t.Kind) {
				p.slideInto(from, s, n)
				delete(p.slides, t.ID)
			}
		}
	}
	if len(p.on[score.PalmMute]) > 0 && c.Grace == score.NotGrace {
		s.off, s.velocity = on.Add(half), muteVelocity
	}
	if n.Has(score.Dead) {
		s.velocity = deadVelocity
		if end := on.Add(thirtySecond); end.Less(s.off) {
			s.off = end
		}
	}
	p.color(s, n, on, s.off)
	p.ringOn(s)
	p.leave(s, n)
	p.last[holder] = s
	p.notes = append(p.notes, s)
	p.repeated(s, c, n)
	return s
}

// ringOn lets a note sound to the end of the let-rings that are open.
func (p *player) ringOn(s *struck) {
	for id := range p.on[score.LetRingSpan] {
		p.ringing[id] = append(p.ringing[id], s)
		s.ring = true
	}
}

// stopStrings ends each note on a string where the string is struck again.
func (p *player) stopStrings() {
	slices.SortStableFunc(p.notes, func(a, b *struck) int { return a.on.Cmp(b.on) })
	fretted := p.part.Fretted()
	next := map[int]*struck{}
	for i := len(p.notes) - 1; i >= 0; i-- {
		s := p.notes[i]
		slot := s.slot
		if !fretted {
			slot = s.slot*128 + s.key
		}
		if n := next[slot]; n != nil && n.on.Less(s.off) {
			s.off = n.on
		}
		next[slot] = s
	}
}

// neckOf is the neck that a part begins on.
func neckOf(p *score.Part) (fretboard.Neck, bool) {
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if n, ok := e.(*score.NeckChange); ok && n.Neck.Tuning.Len() > 0 {
				return n.Neck, true
			}
		}
	}
	return fretboard.Neck{}, false
}
