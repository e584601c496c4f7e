package prove

import (
	"slices"
	"strings"
)

// runCells are the cells of sequences by their titles: steps of the scale
// above the note on which each cell begins. Source: common practice.
var runCells = map[string][]int{
	"Groups of three": {0, 1, 2}, "Groups of four": {0, 1, 2, 3},
	"Thirds": {0, 2}, "Every other note": {0, 2}, "Fourths": {0, 3}, "Leaving out two notes": {0, 3},
	"Sixths": {0, 5}, "Leaving out four notes": {0, 5}, "Triads": {0, 2, 4}, "Every other note, three at a time": {0, 2, 4},
}

// run proves the order of the notes: a scale goes up by steps (and down), an
// arpeggio in one direction, a sequence cell by cell.
func (pr *prover) run(title string) {
	name, up, down := "", false, false
	for suffix, way := range map[string][2]bool{", up and down": {true, true}, ", up": {true, false}, ", down": {false, true}} {
		if rest, ok := strings.CutSuffix(title, suffix); ok {
			name, up, down = rest, way[0], way[1]
		}
	}
	if name == "" || pr.gaps || len(pr.notes) == 0 {
		return
	}
	if cell, ok := runCells[name]; ok {
		pr.cells(cell, up, down)
		return
	}
	scale := pr.scale
	arpeggio := strings.HasSuffix(name, " arpeggio")
	if !arpeggio {
		if named, known := ParseScale(name); known {
			scale = named // the pentatonic of the page is a part of its scale
		}
	}
	rising := pr.notes
	if up && down {
		top := 0
		for i, n := range rising {
			if n.key > rising[top].key {
				top = i
			}
		}
		falling := slices.Clone(rising[top:])
		rising = rising[:top+1]
		if len(falling) != len(rising) {
			pr.fault(Order, falling[0], "the way down has %d notes and the way up %d", len(falling), len(rising))
		}
		if !arpeggio {
			pr.steps(falling, scale, -1)
		}
	}
	way := 1
	if !up {
		way = -1
	}
	if arpeggio {
		for i := 1; i < len(rising); i++ {
			if (rising[i].key-rising[i-1].key)*way <= 0 {
				pr.fault(Order, rising[i], "the arpeggio turns at %s", where(rising[i].n))
			}
		}
		return
	}
	pr.steps(rising, scale, way)
	seen := map[int]bool{}
	for _, n := range rising {
		seen[n.key%12] = true
	}
	if len(seen) != scale.Len() {
		pr.fault(NotScale, rising[0], "the run has %d of the %d notes of %s", len(seen), scale.Len(), scale.Name)
	}
}

// steps proves that each note is one step of a scale from the last.
func (pr *prover) steps(notes []noteAt, scale Scale, way int) {
	if pr.gaps {
		return
	}
	for i := 1; i < len(notes); i++ {
		a, b := notes[i-1], notes[i]
		if !scale.Has(a.key) || !scale.Has(b.key) {
			continue // said already
		}
		if scale.step(b.key)-scale.step(a.key) != way {
			pr.fault(Order, b, "from %s to %s is no step of %s", where(a.n), where(b.n), scale.Name)
		}
	}
}

// cells proves a sequence: each cell has its steps, and each begins one step
// from where the last one did. What goes down is the mirror of what goes up.
func (pr *prover) cells(cell []int, up, down bool) {
	notes := pr.notes
	way := 1
	if !up {
		way = -1
	}
	if up && down {
		half := len(notes) / 2
		pr.cellsOneWay(notes[:half], cell, 1)
		notes, way = notes[half:], -1
	}
	pr.cellsOneWay(notes, cell, way)
}

func (pr *prover) cellsOneWay(notes []noteAt, cell []int, way int) {
	if len(notes)%len(cell) != 0 {
		pr.fault(Order, notes[0], "%d notes are no whole number of cells of %d", len(notes), len(cell))
		return
	}
	first := pr.scale.step(notes[0].key)
	for i, n := range notes {
		want := first + way*(i/len(cell)+cell[i%len(cell)])
		if pr.scale.Has(n.key) && pr.scale.step(n.key) != want {
			pr.fault(Order, n, "%s is not the next note of the sequence", where(n.n))
		}
	}
}
