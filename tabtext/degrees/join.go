package degrees

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A voiceKey names a voice of a part.
type voiceKey struct{ staff, voice int }

// A joiner knows, while a part is read or written in the order of its text,
// which note a sign before a note refers to. Reader and writer share it, so
// that they never differ.
type joiner struct {
	last map[voiceKey]*score.Chord
	held map[voiceKey]map[theory.Pitch]*score.Note
}

func newJoiner() *joiner {
	return &joiner{map[voiceKey]*score.Chord{}, map[voiceKey]map[theory.Pitch]*score.Note{}}
}

// before returns the note to which h, p, / and s join the i-th of n notes: the
// one note before it in its voice, of several the one in the same place of a
// stack as high, else the nearest in pitch, of two the lower one. notes are
// those of the chord that the sign stands in, low ones first as they are
// written.
func (j *joiner) before(k voiceKey, p theory.Pitch, i, n int) *score.Note {
	c := j.last[k]
	switch {
	case c == nil:
		return nil
	case len(c.Notes) == n:
		return ordered(c)[i]
	}
	var best *score.Note
	off := 1 << 10
	for _, note := range ordered(c) {
		d := note.Pitch.MIDI() - p.MIDI()
		if d = max(d, -d); d < off {
			best, off = note, d
		}
	}
	return best
}

// tied returns the note that ~ holds: the latest of its voice with its pitch.
func (j *joiner) tied(k voiceKey, p theory.Pitch) *score.Note { return j.held[k][p] }

// add says that a chord is done.
func (j *joiner) add(k voiceKey, c *score.Chord) {
	if len(c.Notes) == 0 {
		return
	}
	j.last[k] = c
	if j.held[k] == nil {
		j.held[k] = map[theory.Pitch]*score.Note{}
	}
	for _, n := range ordered(c) {
		if !onString(n) {
			j.held[k][n.Pitch] = n
		}
	}
}
