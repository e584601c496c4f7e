package score

import (
	"fmt"
	"slices"
)

// Clone returns a deep copy of the score that shares nothing with it that can
// be changed. It is the same music from the same source, so source handles
// stay: the clone can be applied to the document that the score came from.
func (s *Score) Clone() *Score {
	c := *s
	c.Parts = cloneAll(s.Parts, (*Part).clone)
	c.Legend = slices.Clone(s.Legend)
	return &c
}

func cloneAll[T any](in []T, clone func(T) T) []T {
	if in == nil {
		return nil
	}
	out := make([]T, len(in))
	for i, x := range in {
		out[i] = clone(x)
	}
	return out
}

func (p *Part) clone() *Part {
	c := *p
	c.Measures = cloneAll(p.Measures, (*Measure).clone)
	return &c
}

func (m *Measure) clone() *Measure {
	c := *m
	c.Events = cloneAll(m.Events, cloneEvent)
	return &c
}

func cloneEvent(e Event) Event {
	switch e := e.(type) {
	case *Chord:
		c := *e
		c.Notes = cloneAll(e.Notes, (*Note).clone)
		c.Tuplets = slices.Clone(e.Tuplets)
		return &c
	case *Harmony:
		c := *e
		return &c
	case *KeySignature:
		c := *e
		c.Alters = slices.Clone(e.Alters)
		return &c
	case *TimeSignature:
		c := *e
		c.Beats = slices.Clone(e.Beats)
		c.BeatTypes = slices.Clone(e.BeatTypes)
		return &c
	case *Tempo:
		c := *e
		return &c
	case *NeckChange:
		c := *e
		return &c
	case *PageTranspose:
		c := *e
		return &c
	case *Clef:
		c := *e
		return &c
	case *Barline:
		c := *e
		return &c
	case *Words:
		c := *e
		return &c
	default:
		panic(fmt.Sprintf("score: unknown event %T", e))
	}
}

func (n *Note) clone() *Note {
	c := *n
	c.Techniques = slices.Clone(n.Techniques)
	c.Annotations = slices.Clone(n.Annotations)
	return &c
}

// Copy returns a deep copy of the measure as a new one: it and all below it
// have no source.
func (m *Measure) Copy() *Measure {
	c := m.clone()
	clearSources(c)
	return c
}

// CopyEvent returns a deep copy of an event as a new one, without source.
func CopyEvent(e Event) Event {
	c := cloneEvent(e)
	clearSources(c)
	return c
}

func clearSources(n Node) {
	for n := range Preorder(n) {
		switch n := n.(type) {
		case *Measure:
			n.Src = 0
		case *Note:
			n.Src = 0
		case Event:
			n.(interface{ clearSource() }).clearSource()
		}
	}
}

func (c *Common) clearSource() { c.Src = 0 }
