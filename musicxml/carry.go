package musicxml

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
)

// keep notes down something that <attributes> say, if no event stands for it.
func (sh *sheet) keep(a int32) bool {
	c := carried{a, sh.x.name(a), sh.x.attrOr(a, "number")}
	if c.name == "divisions" || c.name == "measure-style" || sh.isModelled(a) {
		return false
	}
	sh.carry = slices.DeleteFunc(sh.carry, func(o carried) bool { return o.name == c.name && o.number == c.number })
	sh.carry = append(sh.carry, c)
	return true
}

// isModelled tells whether an event that was read stands for an element.
func (ap *applier) isModelled(e int32) bool {
	if ap.modelled == nil {
		ap.modelled = map[int32]bool{}
		for n := range score.Preorder(ap.base) {
			if ev, ok := n.(score.Event); ok {
				r := ap.refs[ev.Source()]
				ap.modelled[r.elem], ap.modelled[r.twin] = true, true
			}
		}
	}
	return ap.modelled[e]
}

// takeCarried returns the children for <attributes> that were kept and that a
// bar does not say itself.
func (sh *sheet) takeCarried(bar int32) (children []attributeText) {
	for _, c := range sh.carry {
		if bar == none || !sh.saysAtStart(bar, c.name, c.number) {
			children = append(children, sh.elementText(c.elem))
		}
	}
	sh.carry = nil
	return children
}

// saysAtStart tells whether a bar has an attribute before its first note.
func (sh *sheet) saysAtStart(bar int32, name, number string) bool {
	for c := range sh.x.children(bar) {
		switch sh.x.name(c) {
		case "note", "forward", "backup":
			return false
		case "attributes":
			for a := range sh.x.children(c) {
				if sh.x.name(a) == name && sh.x.attrOr(a, "number") == number {
					return true
				}
			}
		}
	}
	return false
}

// An attributeText is the text of a child of <attributes>.
type attributeText struct {
	name string
	text func() string
}

// elementText is the text of an element of the file, with the edits inside of
// it.
func (sh *sheet) elementText(e int32) attributeText {
	r := sh.x.elems[e]
	return attributeText{sh.x.name(e), func() string { return sh.ed.extract(r.start, r.end) }}
}

// attributesOf writes <attributes> in the order of the schema.
func (sh *sheet) attributesOf(children []attributeText) func() string {
	slices.SortStableFunc(children, func(a, b attributeText) int {
		return cmp.Compare(slices.Index(attributesOrder, a.name), slices.Index(attributesOrder, b.name))
	})
	return func() string {
		texts := make([]string, len(children))
		for i, c := range children {
			texts[i] = c.text()
		}
		return sh.attributes(texts)
	}
}
