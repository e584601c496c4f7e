package degrees

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// A segment is chords of a voice, one after the other.
type segment struct {
	key    voiceKey
	chords []*score.Chord
	end    score.Quarters
}

// segments parts a measure into voices; chords that overlap within a voice
// make another segment of it.
func segments(m *score.Measure) []*segment {
	var list []*segment
	for ch := range m.Chords() {
		k := voiceKey{max(ch.Staff, 1), max(ch.Voice, 1)}
		var in *segment
		for _, s := range list {
			if s.key == k && !ch.Onset.Less(s.end) {
				in = s
				break
			}
		}
		if in == nil {
			in = &segment{key: k}
			list = append(list, in)
		}
		in.chords = append(in.chords, ch)
		in.end = ch.End()
	}
	slices.SortStableFunc(list, func(a, b *segment) int {
		return cmp.Or(cmp.Compare(a.key.staff, b.key.staff), cmp.Compare(a.key.voice, b.key.voice))
	})
	return list
}

// voices writes the chords of a measure and the marks among them.
func (c *composer) voices(m *score.Measure) {
	list := segments(m)
	if len(list) == 0 {
		list = []*segment{{key: voiceKey{1, 1}}}
	}
	longest := score.Quarters{}
	for _, s := range list {
		if longest.Less(s.end) {
			longest = s.end
		}
	}
	if m.Length.Less(longest) {
		c.loses("length", m.Src, "a bar that is shorter than its notes is written as long as they are")
	}
	for i, s := range list {
		if i > 0 {
			c.say(";")
		}
		if s.key.voice != i+1 {
			c.say("voice:" + strconv.Itoa(s.key.voice))
		}
		if s.key.staff != 1 {
			c.say("staff:" + strconv.Itoa(s.key.staff))
		}
		c.now = score.Quarters{}
		c.segment(s)
		if i == 0 {
			if longest.Less(m.Length) {
				c.marksUntil(m.Length, true)
				c.skip(m.Length)
			}
			c.marksUntil(score.Q(1<<30, 1), true)
		}
	}
}

func (c *composer) say(tokens ...string) { c.bar.tokens = append(c.bar.tokens, tokens...) }

// marksUntil writes the marks that come before a time, or at it.
func (c *composer) marksUntil(end score.Quarters, at bool) {
	for len(c.marks) > 0 {
		m := c.marks[0]
		if !m.at.Less(end) && !(at && m.at == end) {
			return
		}
		if after := m.at.Sub(c.now); after.Sign() > 0 {
			c.say("+" + writeLength(after) + " " + m.text)
		} else {
			c.say(m.text)
		}
		c.marks = c.marks[1:]
	}
}

func (c *composer) skip(to score.Quarters) {
	if gap := to.Sub(c.now); gap.Sign() > 0 {
		c.say("skip:" + writeLength(gap))
		c.timed = true
		c.now = to
	}
}

// segment writes the chords of a voice.
func (c *composer) segment(s *segment) {
	var stack []score.Tuplet
	for i, ch := range s.chords {
		// A grace note stands inside of the tuplets that its main note is in.
		keep := 0
		if main := mainChord(s.chords[i:]); main != nil && !c.now.Less(ch.Onset) {
			for keep < len(stack) && keep < len(main.Tuplets) && stack[keep].ID == main.Tuplets[keep].ID {
				keep++
			}
		}
		c.closeTuplets(&stack, keep)
		c.marksUntil(ch.Onset, false)
		c.skip(ch.Onset)
		if ch.Grace == score.NotGrace {
			for _, t := range ch.Tuplets[len(stack):] {
				if t.Actual < 1 || t.Normal < 1 || t.Actual > 999 || t.Normal > 999 {
					c.loses("tuplet", ch.Src, "a tuplet without its numbers cannot be written")
					t.Actual, t.Normal = 1, 1
				}
				if c.seen[t.ID] {
					c.lose(score.Info, "degrees-lost-tuplet-torn", ch.Src, "a tuplet that goes on after other notes, or over a bar line, is written as two", "")
				}
				c.say(fmt.Sprintf("[%d:%d", t.Actual, t.Normal))
				stack = append(stack, t)
			}
		}
		// Marks inside of what sounds come before it.
		c.marksUntil(ch.End(), ch.Duration.IsZero())
		c.chord(ch, stack)
		c.timed = c.timed || ch.Grace == score.NotGrace
		c.now = ch.End()
	}
	c.closeTuplets(&stack, 0)
}

// mainChord returns the first chord that is no grace note, nil for none.
func mainChord(chords []*score.Chord) *score.Chord {
	for _, ch := range chords {
		if ch.Grace == score.NotGrace {
			return ch
		}
	}
	return nil
}

func (c *composer) closeTuplets(stack *[]score.Tuplet, keep int) {
	for len(*stack) > keep {
		last := (*stack)[len(*stack)-1]
		c.seen[last.ID] = true
		*stack = (*stack)[:len(*stack)-1]
		c.bar.tokens[len(c.bar.tokens)-1] += "]"
	}
}
