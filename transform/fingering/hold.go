package fingering

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// Hold returns the fingers with which a hand holds places at one time at the least
// cost, NoFinger for open strings, and whether it can hold them all. No two places
// are on one string. The zero Hand is [NormalHand]; scaleLength is in millimetres,
// 0 is [fretboard.ScaleLength].
func Hold(n fretboard.Neck, h Hand, scaleLength float64, places []fretboard.Place) ([]score.Finger, bool) {
	g := Group{}
	for _, p := range places {
		g.Notes = append(g.Notes, Note{Pitch: n.Stopped(p), Duration: 4, Strings: 1 << p.String, Fret: 1 + p.Fret})
	}
	found, err := Solve(&Problem{Neck: n, Hand: h, ScaleLength: scaleLength, Groups: []Group{g}}, Plectrum())
	if err != nil || len(found.Breaks) > 0 {
		return nil, false
	}
	fingers := make([]score.Finger, len(places))
	for i, s := range found.Stops[0] {
		fingers[i] = s.Finger
	}
	return fingers, true
}

// Voicings returns the chord as it is held in a region: what
// [fretboard.Region.VoicingsHeld] prefers of all that a normal hand has
// fingers for.
func Voicings(r fretboard.Region, t fretboard.ToneSet, scaleLength float64) []fretboard.Voicing {
	return r.VoicingsHeld(t, func(spots []fretboard.Spot) bool {
		_, ok := Hold(r.Neck, Hand{}, scaleLength, PlacesOf(spots))
		return ok
	})
}

// Smaller says of a smaller grip of [Voicings] what it stands for, whether a large
// hand has fingers for that, and which strings are left out; "" if it is the whole.
func Smaller(v fretboard.Voicing, n fretboard.Neck, scaleLength float64) string {
	if v.Whole == nil {
		return ""
	}
	text := fmt.Sprintf("no hand holds %s as it stands", v.Whole)
	if fingers, ok := Hold(n, LargeHand(), scaleLength, PlacesOf(v.Whole.Spots)); ok {
		text = fmt.Sprintf("%s takes a large hand (fingers %s)", v.Whole, fingerRow(fingers))
	}
	var out []string
	for _, s := range v.LeftOut() {
		out = append(out, strconv.Itoa(s))
	}
	switch last := len(out) - 1; last {
	case -1:
		return text + ": this is the nearest smaller grip"
	case 0:
		return text + ": string " + out[0] + " is left out"
	default:
		return text + ": strings " + strings.Join(out[:last], ", ") + " and " + out[last] + " are left out"
	}
}

// fingerRow writes fingers as numbers, 0 for an open string.
func fingerRow(fingers []score.Finger) string {
	row := make([]string, len(fingers))
	for i, f := range fingers {
		row[i] = "0"
		if f >= score.Index && f <= score.Little {
			row[i] = strconv.Itoa(int(f - score.Index + 1))
		}
	}
	return strings.Join(row, " ")
}

// PlacesOf returns the places of spots.
func PlacesOf(spots []fretboard.Spot) []fretboard.Place {
	places := make([]fretboard.Place, len(spots))
	for i, s := range spots {
		places[i] = s.Place
	}
	return places
}
