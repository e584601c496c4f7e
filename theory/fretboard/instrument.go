package fretboard

import (
	"slices"
	"strings"
)

// An Instrument is what a tuning is usually played on.
type Instrument struct {
	Name        string  // "guitar", "bass", "ukulele"; "" where the tuning does not tell
	ScaleLength float64 // usual length of the open strings in millimetres
	inlays      []int   // frets with one point, from the nut to the octave
}

// instruments are found by the group of a preset. Source of lengths and inlays:
// common practice; makers differ.
var instruments = [...]Instrument{
	{"guitar", ScaleLength, guitarInlays()}, // 25.5 inches
	{"seven-string guitar", ScaleLength, guitarInlays()},
	{"eight-string guitar", 686, guitarInlays()}, // 27 inches
	{"baritone guitar", 686, guitarInlays()},     // 27 inches
	{"bass", 864, guitarInlays()},                // 34 inches
	{"ukulele", 381, []int{5, 7, 10}},            // 15 inches, a concert ukulele
	{"mandolin", 352, []int{3, 5, 7, 10}},        // 13 7/8 inches
	{"banjo", 667, []int{3, 5, 7, 10}},           // 26 1/4 inches
	{"lute", 600, nil},                           // its frets are tied, and nothing marks them
}

func guitarInlays() []int { return []int{3, 5, 7, 9} }

// Instrument returns what the tuning is usually played on: that of the preset
// which sounds alike, else of the one with as many strings that is nearest, if
// no string is more than a fifth from it. Other tunings have no name, no inlays
// and the strings of a guitar.
func (t Tuning) Instrument() Instrument {
	best, least, group := -1, 0, ""
	for i, p := range Presets() {
		if p.Tuning.Len() != t.Len() {
			continue
		}
		sum, far := 0, 0
		for k := range t.Strings {
			d := dist(t.Strings[k], p.Tuning.Strings[k])
			sum, far = sum+d, max(far, d)
		}
		if far <= 7 && (best < 0 || sum < least) {
			best, least, group = i, sum, p.Group
		}
	}
	i := slices.IndexFunc(instruments[:], func(of Instrument) bool { return of.Name == group })
	if i < 0 {
		return Instrument{ScaleLength: ScaleLength}
	}
	return instruments[i]
}

// PartName returns the name that a part of music has for the instrument: "Guitar",
// "Bass", "Seven-string guitar"; "Fretted instrument" where the tuning does not tell.
func (i Instrument) PartName() string {
	if i.Name == "" {
		return "Fretted instrument"
	}
	return strings.ToUpper(i.Name[:1]) + i.Name[1:]
}

// Inlays returns how many points the side of the neck has at a fret, counted
// from the nut: two at the octaves, one at the frets that the instrument
// marks, which repeat above the octave.
func (i Instrument) Inlays(fret int) int {
	switch {
	case len(i.inlays) == 0 || fret < 1:
		return 0
	case fret%12 == 0:
		return 2
	case slices.Contains(i.inlays, fret%12):
		return 1
	}
	return 0
}

// High returns the strings that sound as high as the next thinner one or
// higher, lowest number first: the fourth of a ukulele, the fifth of a banjo.
// It is empty unless the tuning is re-entrant.
func (t Tuning) High() []int {
	var high []int
	for s := 2; s <= t.Len(); s++ {
		if t.Open(s).MIDI() >= t.Open(s-1).MIDI() {
			high = append(high, s)
		}
	}
	return high
}
