package fretboard_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// The voicing in a hand is the best of all that four fingers can hold there,
// by the order of preference that is documented; all are tried here, with
// fingers counted in another way.
func TestVoicingsAreTheBestOfAll(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	qualities := theory.ChordQualities()
	for _, tuning := range []string{"standard", "drop-d", "open-g", "dadgad", "bass", "mandolin", "ukulele", "baritone"} {
		n := neckOf(t, tuning)
		n.Frets = 16
		for range 12 {
			c := qualities[r.IntN(len(qualities))]
			c.Root = theory.NameAtFifths(r.IntN(12) - 5)
			set := fretboard.ChordTones(c)
			if len(set.Tones) == 0 {
				continue
			}
			for _, region := range regions(t, fretboard.ChordShape{}, n, set) {
				want, cost := bestHeld(region, set)
				got := region.Voicings(set)
				if len(want) < 2 {
					assert.Empty(t, got, "%s in %s", c, region.Name)
					continue
				}
				require.Len(t, got, 1, "%s in %s on %s", c, region.Name, tuning)
				assert.Equal(t, cost, heldCost(set, n.Tuning.Len(), gripped(region, places(got[0]))), "%s in %s on %s: %s", c, region.Name, tuning, got[0])
				assert.Equal(t, fingersNeeded(places(got[0])), got[0].Fingers)
			}
		}
	}
}

func places(v fretboard.Voicing) []fretboard.Spot { return v.Spots }

// gripped gives spots the reach of the hand that holds a chord: four fingers from
// the fret where it grips.
func gripped(r fretboard.Region, spots []fretboard.Spot) []fretboard.Spot {
	if r.Grips() == r.Stands() {
		return spots
	}
	spots = slices.Clone(spots)
	for i := range spots {
		fret, first, last := spots[i].Place.Fret, r.Grips(), r.Grips()+3
		switch {
		case fret < first:
			spots[i].Reach = r.Neck.Reach(fret, first, fretboard.ScaleLength)
		case fret > last:
			spots[i].Reach = r.Neck.Reach(last, fret, fretboard.ScaleLength)
		default:
			spots[i].Reach = 0
		}
	}
	return spots
}

// bestHeld tries every choice of a place or none on each string.
func bestHeld(r fretboard.Region, set fretboard.ToneSet) (best []fretboard.Spot, cost []int) {
	n := r.Neck.Tuning.Len()
	byString := make([][]fretboard.Spot, n)
	for _, s := range gripped(r, r.Places(set)) {
		byString[n-s.Place.String] = append(byString[n-s.Place.String], s)
	}
	root := fretboard.Spot{}
	if !r.Neck.Tuning.ReEntrant() {
		for _, under := range []bool{true, false} {
			for _, row := range byString {
				for _, s := range row {
					if root.Place.IsZero() && s.Degree.Number == 1 && (s.Reach == 0) == under {
						root = s
					}
				}
			}
		}
		if root.Place.IsZero() {
			return nil, nil
		}
	}
	var try func(i int, chosen []fretboard.Spot)
	try = func(i int, chosen []fretboard.Spot) {
		if i == n {
			if len(chosen) == 0 || !root.Place.IsZero() && chosen[0].Place != root.Place || fingersNeeded(chosen) > 4 {
				return
			}
			for _, s := range chosen[1:] {
				if !root.Place.IsZero() && s.Pitch.MIDI() < root.Pitch.MIDI() {
					return
				}
			}
			if c := heldCost(set, n, chosen); best == nil || slices.Compare(c, cost) < 0 {
				best, cost = slices.Clone(chosen), c
			}
			return
		}
		// The lowest string that has the chord at all is played.
		if len(chosen) > 0 || len(byString[i]) == 0 || !root.Place.IsZero() {
			try(i+1, chosen)
		}
		for _, s := range byString[i] {
			try(i+1, append(slices.Clone(chosen), s))
		}
	}
	try(0, nil)
	return best, cost
}

// heldCost lists what is preferred, the most important first.
func heldCost(set fretboard.ToneSet, strings int, chosen []fretboard.Spot) []int {
	var guides, others, gaps, fifth, reached, frets int
	for _, tone := range set.Tones {
		if slices.ContainsFunc(chosen, func(s fretboard.Spot) bool { return s.Pitch.Class() == tone.Name.Class() }) {
			continue
		}
		d := tone.Degree
		isFifth := d == theory.Degree{Number: 5} && len(set.Tones) > 2
		isColour := d.Number > 7 && len(set.Tones) > 4
		switch {
		case isFifth:
			fifth++
		case isColour:
			others++
		default:
			guides++
		}
	}
	for i := 1; i < len(chosen); i++ {
		gaps += chosen[i-1].Place.String - chosen[i].Place.String - 1
	}
	for _, s := range chosen {
		if s.Reach > 0 {
			reached++
		}
		frets += s.Place.Fret
	}
	left := chosen[len(chosen)-1].Place.String - 1
	return []int{guides, others, gaps, fifth, left, reached, frets}
}

// fingersNeeded is the smallest number of fingers, by trying to give each
// place to a finger that is down already or to a new one.
func fingersNeeded(chosen []fretboard.Spot) int {
	fretOn := map[int]int{}
	lowest := 99
	var stopped []fretboard.Place
	for _, s := range chosen {
		fretOn[s.Place.String] = s.Place.Fret
		if s.Place.Fret > 0 {
			lowest = min(lowest, s.Place.Fret)
			stopped = append(stopped, s.Place)
		}
	}
	lies := func(a, b fretboard.Place) bool {
		for str := min(a.String, b.String); str <= max(a.String, b.String); str++ {
			f, played := fretOn[str]
			if !played || f < a.Fret || a.Fret != lowest && f != a.Fret {
				return false
			}
		}
		return a.Fret == b.Fret
	}
	best := len(stopped)
	var give func(i int, fingers [][]fretboard.Place)
	give = func(i int, fingers [][]fretboard.Place) {
		if len(fingers) >= best && i < len(stopped) {
			return
		}
		if i == len(stopped) {
			best = min(best, len(fingers))
			return
		}
		for j := range fingers {
			if lies(fingers[j][0], stopped[i]) {
				next := slices.Clone(fingers)
				next[j] = append(slices.Clone(fingers[j]), stopped[i])
				give(i+1, next)
			}
		}
		give(i+1, append(slices.Clone(fingers), []fretboard.Place{stopped[i]}))
	}
	give(0, nil)
	return best
}

func FuzzParseShape(f *testing.F) {
	for _, s := range []string{"E", "c shape", "string 5, little", "6 index", "ring 3", "root on string 4, middle finger"} {
		f.Add(s)
	}
	std := fretboard.Standard()
	f.Fuzz(func(t *testing.T, text string) {
		s, err := fretboard.ParseShape(std, text)
		if err != nil {
			return
		}
		back, err := fretboard.ParseShape(std, s.Name(std))
		require.NoError(t, err)
		require.Equal(t, s, back)
	})
}
