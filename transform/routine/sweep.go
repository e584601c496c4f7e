package routine

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// sweeps plays the triads and seventh chords of the scale inside of a
// position, up and down, with the strokes of a pick that goes through in one
// stroke where it changes strings.
func (b *builder) sweeps(l fretboard.Layout, hand fingers) []Exercise {
	var all []Exercise
	for _, size := range [...]int{3, 4} {
		for _, c := range b.chordsIn(size) {
			spots := l.Region.Lay(fretboard.ChordTones(c)).Spots
			if len(spots) < size {
				continue
			}
			e := Exercise{Kind: Sweeps, Title: fmt.Sprintf("Sweep %s", c)}
			if len(all) == 0 {
				e.Words = []string{"Chord after chord, one stroke through the strings. R is the root of each chord."}
			}
			down := slices.Clone(spots)
			slices.Reverse(down)
			e.Lines = []Line{stroked(spots, hand).under(c), stroked(down, hand).under(c)}
			all = append(all, e)
		}
	}
	if len(all) == 0 {
		all = []Exercise{{Kind: Sweeps, Title: "Sweeps", Words: []string{sentence(b.chain.Scale.Title + " has no triads here")}}}
	}
	return all
}

func stroked(spots []fretboard.Spot, hand fingers) Line {
	l := line(spots, hand)
	places := make([]fretboard.Place, len(spots))
	for i, s := range spots {
		places[i] = s.Place
	}
	strokes, _ := fretboard.Strokes(places, fretboard.Swept)
	for i, s := range strokes {
		l[i].Notes[0].OverChord = true
		switch s {
		case fretboard.Down:
			l[i].Notes[0].Marks = []score.Mark{score.DownStroke}
		case fretboard.Up:
			l[i].Notes[0].Marks = []score.Mark{score.UpStroke}
		}
	}
	return l
}

// chordsIn returns the chords of so many notes on the degrees of the scale:
// stacked thirds where it has seven notes, else those that it holds.
func (b *builder) chordsIn(size int) []theory.Chord {
	from := b.Scale.ChordsIn(b.Tonic)
	if b.Scale.Len() == 7 {
		from = b.Scale.Harmonise(b.Tonic, size)
	}
	var all []theory.Chord
	for _, c := range from {
		if c.Named && len(c.Tones) == size {
			all = append(all, c.Chord)
		}
	}
	return all
}
