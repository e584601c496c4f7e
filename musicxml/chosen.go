package musicxml

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// Letters that nobody wrote (the music was tab) are chosen anew where a key or a
// scale is said later. So a new file says that its letters were chosen, and which
// they are, in a field of its own: the name of each sound with the number of
// notes that have it. Once somebody has written another letter into the file,
// the names differ from the field and all letters count as written.

const chosenField = "lickwright letters chosen"

// chosenLetters returns what the field says of a score, "" if a letter of it was
// written by its source.
func chosenLetters(s *score.Score) string {
	count := map[theory.NoteName]int{}
	for n := range score.Notes(s) {
		if n.Unpitched || n.Has(score.Dead) {
			continue
		}
		if !n.InferredSpelling {
			return ""
		}
		if !n.TieStop && !n.Has(score.Held) { // a bar line may cut a note in two
			count[n.Pitch.NoteName]++
		}
	}
	return countedNames(count)
}

func countedNames(count map[theory.NoteName]int) string {
	var names []theory.NoteName
	for n := range count {
		names = append(names, n)
	}
	slices.SortFunc(names, func(a, b theory.NoteName) int { return cmp.Compare(a.Fifths(), b.Fifths()) })
	words := make([]string, len(names))
	for i, n := range names {
		words[i] = n.String() + ":" + strconv.Itoa(count[n])
	}
	return strings.Join(words, " ")
}

// readChosen marks the letters of the score that was read as chosen, if a field
// of the file says so and names the letters that are there.
func (r *reader) readChosen(s *score.Score) {
	field := r.x.chosenField()
	if field == none {
		return
	}
	count := map[theory.NoteName]int{}
	for n := range score.Notes(s) {
		if !n.Unpitched && !n.Has(score.Dead) && !n.TieStop && !n.Has(score.Held) {
			count[n.Pitch.NoteName]++
		}
	}
	if len(count) == 0 || r.x.content(field) != countedNames(count) {
		return
	}
	for n := range score.Notes(s) {
		n.InferredSpelling = !n.Unpitched
	}
}

// applyChosen lets the field say which letters there are now.
func (ap *applier) applyChosen(s *score.Score) {
	was := chosenLetters(ap.base)
	if was == "" {
		return
	}
	if now := chosenLetters(s); now != was {
		ap.ed.setContent(ap.x.chosenField(), now)
	}
}

// chosenField finds the field, none if there is none.
func (x *index) chosenField() int32 {
	id := x.child(0, "identification")
	if id == none {
		return none
	}
	misc := x.child(id, "miscellaneous")
	if misc == none {
		return none
	}
	for c := range x.children(misc) {
		if x.name(c) == "miscellaneous-field" && x.attrOr(c, "name") == chosenField {
			return c
		}
	}
	return none
}
