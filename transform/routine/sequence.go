package routine

import (
	"fmt"
	"slices"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// A cell is what a melodic sequence repeats from each note of the scale:
// steps of the scale above that note.
type cell struct {
	name  string // in a scale of seven notes
	other string // in scales of more or fewer, where a third note is no third
	steps []int
}

// cells lists the sequences. Source: common practice.
func cells() []cell {
	return []cell{
		{"Groups of three", "Groups of three", []int{0, 1, 2}},
		{"Groups of four", "Groups of four", []int{0, 1, 2, 3}},
		{"Thirds", "Every other note", []int{0, 2}},
		{"Fourths", "Leaving out two notes", []int{0, 3}},
		{"Sixths", "Leaving out four notes", []int{0, 5}},
		{"Triads", "Every other note, three at a time", []int{0, 2, 4}},
	}
}

// play takes a cell from each note of a rising run up, and mirrored down.
func (c cell) play(spots []fretboard.Spot, down bool) []fretboard.Spot {
	n := len(spots)
	top := slices.Max(c.steps)
	var out []fretboard.Spot
	for i := 0; i+top < n; i++ {
		for _, s := range c.steps {
			at := i + s
			if down {
				at = n - 1 - at
			}
			out = append(out, spots[at])
		}
	}
	return out
}

// sequences plays every cell up, down or both; down begins on a new line.
func (b *builder) sequences(run []fretboard.Spot, hand fingers) []Exercise {
	var all []Exercise
	spots := slices.DeleteFunc(slices.Clone(run), func(s fretboard.Spot) bool { return s.Repeated })
	for _, c := range cells() {
		e := Exercise{Kind: Sequences, Title: c.name + b.wayWords()}
		if b.Scale.Len() != 7 {
			e.Title = c.other + b.wayWords()
		}
		if b.Run != transform.Falling {
			e.Lines = append(e.Lines, line(c.play(spots, false), hand))
		}
		if b.Run != transform.Rising {
			e.Lines = append(e.Lines, line(c.play(spots, true), hand))
		}
		if len(e.Lines[0]) == 0 {
			e.Lines = nil
			e.Words = []string{fmt.Sprintf("The run of %s is too short for it.", count(len(spots), "note"))}
		}
		all = append(all, e)
	}
	return all
}
