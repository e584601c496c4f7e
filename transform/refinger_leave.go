package transform

import (
	"math"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A slide, a hammer-on, a pull-off or a bend may leave a shape and come back to
// it: players hear the joined notes as one, and the hand knows the way from
// the note that lies inside. A slide goes as far as it goes, the others two
// frets (common practice).

// leaveFrets is by how many frets joined notes may leave their region.
const leaveFrets = 2

// reached tells for notes at given places by what they are reached from inside
// of a region: "" for those that lie inside, "slide", "hammer-on", "pull-off"
// or "bend" for those that leave it. What is not in the map lies outside. Of
// the notes those are looked at that are given.
func (np *neckPart) reached(notes []int, place func(int) fretboard.Place, r *fretboard.Region) map[int]string {
	by := make(map[int]string, len(notes))
	given := make(map[int]bool, len(notes))
	for _, k := range notes {
		given[k] = true
		p := place(k)
		if p.IsZero() {
			continue
		}
		if _, in := r.Fit(p); in {
			by[k] = ""
		} else if b, ok := np.notes[k].note.Bend(); ok && !b.WithBar {
			frets := int(math.Round(b.Amount.Float()))
			_, in := r.Fit(fretboard.Place{String: p.String, Fret: p.Fret + frets})
			if in && 0 < frets && frets <= leaveFrets {
				by[k] = "bend"
			}
		}
	}
	for grown := true; grown; {
		grown = false
		for _, k := range notes {
			if _, known := by[k]; known {
				continue
			}
			for _, i := range np.linksOf[k] {
				l := np.links[i]
				other := l.a + l.b - k
				from, ok := by[other]
				if !ok || !given[other] || place(other).String != place(k).String {
					continue
				}
				word := joinWord(l)
				if l.tie {
					word = from
				} else if word != "slide" && !near(place(k), r) {
					continue
				}
				by[k], grown = word, true
				break
			}
		}
	}
	return by
}

// near tells whether a place is a few frets from a region on its string.
func near(p fretboard.Place, r *fretboard.Region) bool {
	for d := -leaveFrets; d <= leaveFrets; d++ {
		if _, ok := r.Fit(fretboard.Place{String: p.String, Fret: p.Fret + d}); ok && p.Fret+d >= 0 {
			return true
		}
	}
	return false
}

func joinWord(l link) string {
	switch l.kind {
	case score.HammerOn:
		return "hammer-on"
	case score.PullOff:
		return "pull-off"
	}
	return "slide"
}

// reachedBy tells by what a note is reached, where it is now, from a note
// inside of its region; "" if it is not.
func (np *neckPart) reachedBy(k int, r *fretboard.Region) string {
	chain := np.members[np.notes[k].chain]
	if len(chain) == 0 || len(chain) > maxChain {
		chain = []int{k}
	}
	return np.reached(chain, func(i int) fretboard.Place { return np.notes[i].note.Place }, r)[k]
}
