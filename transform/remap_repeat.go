package transform

import (
	"reflect"
	"slices"
	"strconv"

	"example.org/lickwright/score"
)

// lengthen repeats the phrase until the progression is through.
func (o *overs) lengthen(p *score.Part, lead int) {
	n := len(p.Measures) - lead
	if n < 1 || n >= len(o.over) {
		return
	}
	phrase := slices.Clone(p.Measures[lead:])
	final := takeFinalBarline(phrase[n-1])
	ids := highestID(p)
	number, numbered := 0, false
	if v, err := strconv.Atoi(p.Measures[len(p.Measures)-1].Number); err == nil {
		number, numbered = v, true
	}
	for round := 1; len(p.Measures)-lead < len(o.over); round++ {
		for _, m := range phrase {
			if len(p.Measures)-lead == len(o.over) {
				break
			}
			c := m.Copy()
			withoutRepeatedSigns(c, p)
			renumberIDs(c, round*(ids+1))
			if numbered {
				number++
				c.Number = strconv.Itoa(number)
			}
			p.Measures = append(p.Measures, c)
		}
	}
	if final != nil {
		end := p.Measures[len(p.Measures)-1]
		final.Onset = end.Length
		end.Events = append(end.Events, final)
		end.SortEvents()
	}
}

// takeFinalBarline takes the bar line that ends a piece out of a bar.
func takeFinalBarline(m *score.Measure) *score.Barline {
	for i, e := range m.Events {
		if b, ok := e.(*score.Barline); ok && b.Style == "light-heavy" && b.Repeat == score.NoRepeat && b.EndingType == "" {
			m.Events = slices.Delete(m.Events, i, i+1)
			c := *b
			c.Src = 0
			return &c
		}
	}
	return nil
}

// withoutRepeatedSigns leaves out of a copied bar what is in force already:
// key, metre, clef, neck, tempo.
func withoutRepeatedSigns(m *score.Measure, p *score.Part) {
	type kind struct {
		kind  reflect.Type
		staff int
	}
	inForce := map[kind]score.Event{}
	for _, before := range p.Measures {
		for _, e := range before.Events {
			inForce[kind{reflect.TypeOf(e), e.OnStaff()}] = e
		}
	}
	m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool {
		switch e.(type) {
		case *score.KeySignature, *score.TimeSignature, *score.Clef, *score.NeckChange, *score.Tempo, *score.PageTranspose:
			was, ok := inForce[kind{reflect.TypeOf(e), e.OnStaff()}]
			return ok && reflect.DeepEqual(withoutTime(e), withoutTime(was))
		}
		return false
	})
}

// withoutTime returns a copy of an event at the start of a bar.
func withoutTime(e score.Event) score.Event {
	c := score.CopyEvent(e)
	switch c := c.(type) {
	case *score.KeySignature:
		c.Onset = score.Quarters{}
	case *score.TimeSignature:
		c.Onset = score.Quarters{}
	case *score.Clef:
		c.Onset = score.Quarters{}
	case *score.NeckChange:
		c.Onset = score.Quarters{}
	case *score.Tempo:
		c.Onset = score.Quarters{}
	case *score.PageTranspose:
		c.Onset = score.Quarters{}
	}
	return c
}

// highestID returns the highest number of a span or tuplet of the part.
func highestID(p *score.Part) (id int) {
	for n := range score.Preorder(p) {
		switch n := n.(type) {
		case *score.Note:
			for _, t := range n.Techniques {
				if s, ok := t.(score.Span); ok {
					id = max(id, s.ID)
				}
			}
		case *score.Chord:
			for _, t := range n.Tuplets {
				id = max(id, t.ID)
			}
		}
	}
	return id
}

func renumberIDs(m *score.Measure, by int) {
	for n := range score.Preorder(m) {
		switch n := n.(type) {
		case *score.Note:
			for i, t := range n.Techniques {
				if s, ok := t.(score.Span); ok {
					s.ID += by
					n.Techniques[i] = s
				}
			}
		case *score.Chord:
			for i := range n.Tuplets {
				n.Tuplets[i].ID += by
			}
		}
	}
}
