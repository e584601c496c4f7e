package people

import (
	"math/rand/v2"
	"slices"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// Rules makes lines of the patterns that players with a plectrum are taught:
// three notes per string, pentatonic boxes and wandering in them, swept
// arpeggios, power chords, grips, triads on one set of strings. The data of
// people hold next to nothing of this kind. The lines are drawn from a seed,
// and are no part of testdata/trade.txt, which judges; but they are of the
// same trade, so a score there says that a rule was learnt, not found.
//
// Source of the patterns: common practice.
func Rules(seed uint64, n int) []*Piece {
	r := rand.New(rand.NewPCG(seed, 1))
	kinds := []func(*rand.Rand) [][]fretboard.Place{threePerString, box, wander, sweep, power, grips, openGrips, triads}
	var list []*Piece
	for i := range n {
		places := kinds[i%len(kinds)](r)
		if r.IntN(2) == 0 {
			slices.Reverse(places)
		}
		list = append(list, rulePiece(places, []float64{0.25, 1.0 / 3, 0.5}[r.IntN(3)], 90+float64(r.IntN(60))))
	}
	return list
}

func rulePiece(places [][]fretboard.Place, step, tempo float64) *Piece {
	neck := fretboard.Guitar()
	p := &Piece{Name: "rule", Rule: true, Problem: &fingering.Problem{Neck: neck}}
	for g, chord := range places {
		group := fingering.Group{Onset: float64(g) * step, Tempo: tempo}
		for i, pl := range chord {
			group.Notes = append(group.Notes, fingering.Note{Pitch: neck.Stopped(pl), Duration: step})
			p.Stated = append(p.Stated, Stated{At: fingering.Ref{Group: g, Note: i}, Place: pl})
		}
		p.Problem.Groups = append(p.Problem.Groups, group)
	}
	return p
}

// chord makes places of pairs of a string and a fret.
func chord(pairs ...int) (out []fretboard.Place) {
	for i := 0; i < len(pairs); i += 2 {
		out = append(out, fretboard.Place{String: pairs[i], Fret: pairs[i+1]})
	}
	return out
}

// threePerString is a mode of the major scale over six strings.
func threePerString(r *rand.Rand) (out [][]fretboard.Place) {
	neck := fretboard.Guitar()
	steps := []int{2, 2, 1, 2, 2, 2, 1}
	midi, mode := neck.Stopped(fretboard.Place{String: 6, Fret: 3 + r.IntN(8)}), r.IntN(7)
	for i := range 18 {
		p, _ := neck.FretOn(6-i/3, midi)
		out = append(out, []fretboard.Place{p})
		midi += steps[(mode+i)%7]
	}
	return out
}

// boxAt is the minor pentatonic with its root under the index finger on
// string 6, from the lowest note to the highest.
func boxAt(f int) (out [][]fretboard.Place) {
	upper := []int{3, 3, 2, 2, 2, 3}
	for s := 6; s >= 1; s-- {
		out = append(out, chord(s, f), chord(s, f+upper[s-1]))
	}
	return out
}

func box(r *rand.Rand) [][]fretboard.Place { return boxAt(1 + r.IntN(12)) }

// wander goes up and down a box by steps and small leaps, from its top to its
// bottom string so that no other position holds it.
func wander(r *rand.Rand) (out [][]fretboard.Place) {
	all := boxAt(3 + r.IntN(9))
	at := 0
	for at < len(all) {
		out = append(out, all[at])
		at = max(0, at+[]int{1, 1, 2, 2, -1}[r.IntN(5)])
	}
	return append(out, all[len(all)-1])
}

// sweep is a triad with its root on string 5, one note on each string and two
// on the first.
func sweep(r *rand.Rand) [][]fretboard.Place {
	f := 5 + r.IntN(11)
	minor := r.IntN(2)
	return [][]fretboard.Place{chord(5, f), chord(4, f-1-minor), chord(3, f-3), chord(2, f-2), chord(1, f-3-minor), chord(1, f)}
}

// power is a run of power chords on one pair of strings.
func power(r *rand.Rand) (out [][]fretboard.Place) {
	low := 6 - r.IntN(2)
	f := 1 + r.IntN(7)
	for range 5 {
		out = append(out, chord(low, f, low-1, f+2))
		f = max(1, f+[]int{2, 1, 3, -2, -1}[r.IntN(5)])
	}
	return out
}

// grips are barré chords in two shapes, two of each.
func grips(r *rand.Rand) (out [][]fretboard.Place) {
	f := 1 + r.IntN(7)
	e := chord(6, f, 5, f+2, 4, f+2, 3, f+r.IntN(2), 2, f, 1, f)
	a := chord(5, f, 4, f+2, 3, f+2, 2, f+1+r.IntN(2), 1, f)
	return [][]fretboard.Place{e, a, e, a}
}

// openGrips are the chords of the first months.
func openGrips(r *rand.Rand) (out [][]fretboard.Place) {
	all := [][]fretboard.Place{
		chord(5, 3, 4, 2, 3, 0, 2, 1, 1, 0), chord(6, 3, 5, 2, 4, 0, 3, 0, 2, 0, 1, 3), chord(4, 0, 3, 2, 2, 3, 1, 2),
		chord(5, 0, 4, 2, 3, 2, 2, 1, 1, 0), chord(6, 0, 5, 2, 4, 2, 3, 1, 2, 0, 1, 0), chord(6, 0, 5, 2, 4, 2, 3, 0, 2, 0, 1, 0),
		chord(5, 0, 4, 2, 3, 2, 2, 2, 1, 0), chord(4, 0, 3, 2, 2, 3, 1, 1),
	}
	for range 4 {
		out = append(out, all[r.IntN(len(all))])
	}
	return out
}

// triads are the inversions of a minor triad on the first three strings.
func triads(r *rand.Rand) [][]fretboard.Place {
	f := 1 + r.IntN(3)
	return [][]fretboard.Place{chord(3, f+2, 2, f+2, 1, f+1), chord(3, f+5, 2, f+4, 1, f+5), chord(3, f+10, 2, f+11, 1, f+10)}
}
