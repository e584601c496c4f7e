package fretboard

import (
	"math"
	"slices"
)

// NeedsTones tells whether the places of a scheme depend on the notes that are
// laid out: chord shapes and patterns do, positions, windows and sets of
// strings do not. Schemes that are not of this package are taken to.
func NeedsTones(s Scheme) bool {
	switch s := s.(type) {
	case Position, Window, Open, Strings:
		return false
	case Stance:
		return s.Root != nil
	case Within:
		return NeedsTones(s.Scheme)
	}
	return true
}

// Beside returns the regions next to one of a scheme's: where a run goes on
// that is wider than a hand. Beside a chord shape lie the shapes before and
// after it, whatever shapes the scheme is of; beside a pattern the patterns of
// the other degrees; beside a position and a window those of the same width
// that adjoin. What a scheme is narrowed to holds for them too. There are two
// regions at most, that nearer to the nut first, and none beside a set of
// strings.
func Beside(s Scheme, r Region, t ToneSet) []Region {
	var below, above *Region
	for _, o := range wider(s, r, t) {
		switch here, there := r.Stands(), o.Stands(); {
		case there < here && (below == nil || there > below.Stands()):
			below = &o
		case there > here && (above == nil || there < above.Stands()):
			above = &o
		}
	}
	var list []Region
	for _, o := range [...]*Region{below, above} {
		if o != nil {
			list = append(list, *o)
		}
	}
	return list
}

// wider returns the regions of the kind that a scheme is of.
func wider(s Scheme, r Region, t ToneSet) []Region {
	var kin []Scheme
	switch s := s.(type) {
	case ChordShape:
		kin = []Scheme{ChordShape{}}
	case PerString:
		s.Degree.Number = 0
		kin = []Scheme{s}
	case Position:
		kin = []Scheme{Position{Fret: s.Fret - handFrets}, Position{Fret: s.Fret + handFrets}}
		if s.Fret > 1 && s.Fret <= handFrets {
			kin[0] = Position{Fret: 1}
		}
	case Window:
		width := s.To - s.From + 1
		kin = []Scheme{Window{max(s.From-width, 0), s.From - 1}, Window{s.To + 1, min(s.To+width, r.Neck.TopFret())}}
	case Open:
		kin = []Scheme{Position{Fret: 1 + handFrets}}
	case Strings:
		return nil
	case Within:
		var list []Region
		for _, o := range wider(s.Scheme, r, t) {
			if o = o.only(s.keeps); o.Low >= 0 {
				list = append(list, o)
			}
		}
		return list
	default:
		kin = []Scheme{s}
	}
	var list []Region
	for _, k := range kin {
		// A neighbour that the neck has not is no fault.
		if regions, err := k.Regions(r.Neck, t); err == nil {
			list = append(list, regions...)
		}
	}
	return list
}

// keeps tells whether a place is left by what the scheme is narrowed to.
func (w Within) keeps(p Place) bool {
	return (len(w.Strings) == 0 || slices.Contains(w.Strings, p.String)) && (w.Frets == nil || w.Frets.From <= p.Fret && p.Fret <= w.Frets.To)
}

// Apart returns how far, in millimetres at a scale length, a place lies from
// the region along the neck; 0 if its fret is one of the region's.
func (r Region) Apart(p Place, scaleLength float64) float64 {
	switch {
	case r.Low < 0:
		return math.Inf(1)
	case p.Fret < r.Low:
		return r.Neck.Reach(p.Fret, r.Low, scaleLength)
	case p.Fret > r.High:
		return r.Neck.Reach(p.Fret, r.High, scaleLength)
	}
	return 0
}
