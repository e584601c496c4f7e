package prove

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A scaleSet is pitch classes that belong together.
type scaleSet [12]bool

// keys returns the notes of the signature in force in each measure of a part;
// none where there is none, or one off the circle of fifths.
func keys(p *score.Part) []scaleSet {
	var out []scaleSet
	var now scaleSet
	for _, m := range p.Measures {
		for _, e := range m.Events {
			k, is := e.(*score.KeySignature)
			if !is {
				continue
			}
			now = scaleSet{}
			sharps, ok := signature(k.Key.Tonic.String() + " " + k.Key.Mode.String())
			if !ok || k.Free || k.NoKey {
				continue
			}
			for _, above := range letters { // the major key with this signature
				now[((7*sharps+above)%12+12)%12] = true
			}
		}
		out = append(out, now)
	}
	return out
}

// plain names a pitch as players say it alone: F and not E#, G and not F##.
// One sharp or flat before a black key stays. Source: common practice.
func plain(p theory.Pitch) theory.Pitch {
	key := sounds(p)
	class := (key%12 + 12) % 12
	said := theory.Pitch{}
	said.Octave = (key-class)/12 - 1
	for ; said.Step < 7; said.Step++ {
		if letters[said.Step] == class {
			return said
		}
	}
	if p.Alter == 1 || p.Alter == -1 {
		return p
	}
	said.Alter = 1
	if p.Alter < 0 {
		said.Alter = -1
	}
	for said.Step = 0; letters[said.Step]+said.Alter != class; {
		said.Step++ // every black key is beside a white one on either side
	}
	return said
}

// wrong names a note that is not the one asked for. A tab has no names; the
// reader spells what lies outside of the key by where the line goes, as notation
// needs it. To the student it is said by its plain name, unless it is of the
// scale, or, where none is said, of the key.
func (mk *marker) wrong(h *played) string {
	n := h.note
	class := (sounds(n.Pitch)%12 + 12) % 12
	inside := mk.key[class]
	if mk.scale != nil {
		inside = mk.scale.Has(class)
	}
	if !n.InferredSpelling || n.Unpitched || inside {
		return where(n)
	}
	said := *n
	said.Pitch = plain(n.Pitch)
	return where(&said)
}
