package fretboard

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/lickwright/theory"
)

// A Scheme is a way to choose places on a neck: the five chord shapes, three
// notes per string, a position, a window of frets. The set is open: whatever
// has the two methods is one, and [NewRegion] makes its regions.
// Schemes are values and safe for concurrent use.
type Scheme interface {
	// String names the scheme: "chord shapes", "3 notes per string".
	String() string
	// Regions returns where on the neck the scheme can be, from the nut up.
	// There is at least one if err is nil. Errors say why the neck or the
	// tones cannot have the scheme; those of a bad description are of type
	// [*theory.ParseError].
	Regions(n Neck, t ToneSet) ([]Region, error)
}

// A Region is a scheme at one spot of the neck: the E shape of C at fret 8.
// It says of every place whether it belongs and how well, whatever note lies
// there, and lays tones out. It is safe for concurrent use.
type Region struct {
	Name string // what players call it: "E shape", "position V"
	Neck Neck
	// Index is the fret at which the index finger stands, -1 where the
	// scheme puts no hand in one place.
	Index     int
	Low, High int // the lowest and the highest fret that may belong
	// Remarks say what is worth knowing about the region, one line each:
	// where it is cut off, which pitches repeat.
	Remarks []string

	fit fit
	// grip is the fit of a hand that holds a chord, where that stands elsewhere
	// than the hand that plays a run; nil for fit. The same places belong.
	grip   fit
	gripAt int                              // fret of the index finger in a grip
	held   string                           // name of the shape as a chord is held; "" for Name
	lay    func(r Region, t ToneSet) []Spot // nil for one place per sound by fit
	// pattern marks so many notes per string, which one hand stops string by
	// string.
	pattern bool
}

// HeldName returns what players call the region where they hold a chord in it:
// that of the shape, which names the finger that a movable chord has on its
// root. Name has the finger that the hand has there in a run.
func (r Region) HeldName() string { return cmp.Or(r.held, r.Name) }

// A fit says whether a place belongs and how many millimetres a finger has to
// reach for it from where the hand holds it.
type fit func(Place) (mm float64, belongs bool)

// NewRegion makes a region of a rule that says whether a place belongs and
// how far, in millimetres, a finger has to reach out for it; 0 is under the
// hand. index is the fret of the index finger, -1 for none. The rule is asked
// about places on the neck only, by several goroutines if the caller has them.
func NewRegion(name string, n Neck, index int, fit func(Place) (mm float64, belongs bool)) Region {
	r := Region{Name: name, Neck: n, Index: index, fit: fit}
	r.Low, r.High = r.bounds()
	return r
}

func (r Region) bounds() (low, high int) {
	low, high = -1, -1
	for f := 0; f <= r.Neck.TopFret(); f++ {
		for s := 1; s <= r.Neck.Tuning.Len(); s++ {
			if _, ok := r.Fit(Place{s, f}); ok {
				if low < 0 {
					low = f
				}
				high = f
			}
		}
	}
	return low, high
}

// Fit tells whether a place belongs to the region and how many millimetres a
// finger has to reach for it beyond where it stands; 0 is under the hand.
func (r Region) Fit(p Place) (mm float64, belongs bool) {
	if !r.Neck.Has(p) {
		return 0, false
	}
	return r.fit(p)
}

// A Spot is a tone at its place.
type Spot struct {
	Place  Place
	Pitch  theory.Pitch // sounding, spelled as the tone set has it
	Degree theory.Degree
	Reach  float64 // millimetres beyond the hand; 0 under it
	// Repeated marks a sound that the run has had on the string before.
	Repeated bool
}

func spotAt(n Neck, p Place, tone Tone, reach float64) Spot {
	return Spot{Place: p, Pitch: spell(tone.Name, n.Stopped(p)), Degree: tone.Degree, Reach: reach}
}

// A Layout is tones laid out in a region, in the order of a rising run.
type Layout struct {
	Region Region
	Tones  ToneSet
	Spots  []Spot
	// Missing are the tones between the lowest and the highest spot that
	// have no place in the region.
	Missing []theory.Pitch
}

// Lay puts the tones on the region: each sound once, at the place that is
// most under the hand and, of those, the nearest to the nut, rising. Patterns of so many notes per string follow
// their own order, see [PerString].
func (r Region) Lay(t ToneSet) Layout {
	lay := r.lay
	if lay == nil {
		lay = layByFit
	}
	l := Layout{Region: r, Tones: t, Spots: lay(r, t)}
	l.Missing = missing(t, l.Spots)
	return l
}

// Places returns every place of the region at which one of the tones sounds,
// the last string first, low frets first.
func (r Region) Places(t ToneSet) []Spot {
	var spots []Spot
	for s := r.Neck.Tuning.Len(); s >= 1; s-- {
		for f := r.Low; f <= r.High; f++ {
			p := Place{s, f}
			mm, ok := r.Fit(p)
			if !ok {
				continue
			}
			if tone, ok := t.At(r.Neck.Stopped(p)); ok {
				spots = append(spots, spotAt(r.Neck, p, tone, mm))
			}
		}
	}
	return spots
}

// layByFit takes of all places of a sound the one with the smallest reach, of
// those the lowest fret. It looks at each sound alone, so that what is laid
// out of a chord is part of what is laid out of a scale that holds it.
func layByFit(r Region, t ToneSet) []Spot {
	spots := r.Places(t)
	slices.SortStableFunc(spots, func(a, b Spot) int {
		return cmp.Or(cmp.Compare(a.Pitch.MIDI(), b.Pitch.MIDI()), cmp.Compare(a.Reach, b.Reach), cmp.Compare(a.Place.Fret, b.Place.Fret))
	})
	return slices.CompactFunc(spots, func(a, b Spot) bool { return a.Pitch.MIDI() == b.Pitch.MIDI() })
}

// missing returns the tones that a run leaves out between its ends.
func missing(t ToneSet, spots []Spot) []theory.Pitch {
	if len(spots) == 0 {
		return nil
	}
	low, high := spots[0].Pitch.MIDI(), spots[0].Pitch.MIDI()
	has := map[int]bool{}
	for _, s := range spots {
		m := s.Pitch.MIDI()
		low, high, has[m] = min(low, m), max(high, m), true
	}
	var out []theory.Pitch
	for m := low; m <= high; m++ {
		if tone, ok := t.At(m); ok && !has[m] {
			out = append(out, spell(tone.Name, m))
		}
	}
	return out
}

// ByString returns the spots string by string, string 1 first, in order of
// fret.
func (l Layout) ByString() [][]Spot {
	rows := make([][]Spot, l.Region.Neck.Tuning.Len())
	for _, s := range l.Spots {
		rows[s.Place.String-1] = append(rows[s.Place.String-1], s)
	}
	for _, row := range rows {
		slices.SortFunc(row, func(a, b Spot) int { return a.Place.Fret - b.Place.Fret })
	}
	return rows
}

// Places returns the places of the run in its order.
func (l Layout) Places() []Place {
	places := make([]Place, len(l.Spots))
	for i, s := range l.Spots {
		places[i] = s.Place
	}
	return places
}

// A Reach is what one string asks of the hand.
type Reach struct {
	From, To Place
	MM       float64 // millimetres between the frets
}

// reaches returns the widest reach of each string with two fretted notes, the
// last string first, in millimetres at a scale length. In one place of the hand
// and in a pattern that is from the lowest to the highest fretted note of a
// string; where the hand moves along the string, and beyond four notes, from
// each note to the next. Open strings hold no finger.
func (l Layout) reaches(scaleLength float64) []Reach {
	var all []Reach
	for _, row := range slices.Backward(l.ByString()) {
		row = slices.DeleteFunc(row, func(s Spot) bool { return s.Place.Fret == 0 })
		whole := (l.Region.Index >= 0 || l.Region.pattern) && len(row) <= handFingers
		widest := Reach{}
		for i := 1; i < len(row); i++ {
			a, b := row[i-1].Place, row[i].Place
			if whole {
				a = row[0].Place
			}
			if mm := l.Region.Neck.Reach(a.Fret, b.Fret, scaleLength); mm > widest.MM {
				widest = Reach{a, b, mm}
			}
		}
		if widest.MM > 0 {
			all = append(all, widest)
		}
	}
	return all
}

// Stretch returns the widest reach that one string asks of the hand, in
// millimetres at a scale length, and where; of equal ones that on the thinnest
// string. It is 0 if no string has two fretted notes.
func (l Layout) Stretch(scaleLength float64) (mm float64, from, to Place) {
	for _, r := range l.reaches(scaleLength) {
		if r.MM >= mm {
			mm, from, to = r.MM, r.From, r.To
		}
	}
	return mm, from, to
}

// WideStretches returns the reaches beyond [ComfortableSpan], one for each
// string that asks for one, the last string first. scaleLength is in
// millimetres.
func (l Layout) WideStretches(scaleLength float64) []Reach {
	return slices.DeleteFunc(l.reaches(scaleLength), func(r Reach) bool { return r.MM <= ComfortableSpan })
}

// ComfortableSpan is the reach in millimetres, index to little finger, up to
// which no word of caution is due: four frets from the first on, or five from
// the fifth on, of a guitar of 648 mm, as methods begin with. Common
// practice; hands differ.
const ComfortableSpan = 100.5

// Once returns the regions without those of an earlier one's shape or pattern:
// each where it lies nearest to the nut.
func Once(regions []Region) []Region {
	seen := map[string]bool{}
	var once []Region
	for _, r := range regions {
		if name := r.HeldName(); !seen[name] {
			seen[name] = true
			once = append(once, r)
		}
	}
	return once
}

// Roman writes a fret as players name positions: V for 5. 0 is "open".
func Roman(fret int) string {
	if fret == 0 {
		return "open"
	}
	var s string
	for _, d := range [...]struct {
		value int
		sign  string
	}{{40, "XL"}, {10, "X"}, {9, "IX"}, {5, "V"}, {4, "IV"}, {1, "I"}} {
		for ; fret >= d.value; fret -= d.value {
			s += d.sign
		}
	}
	return s
}

// checkTones tells what is wrong with tones that are to be laid out.
func checkTones(n Neck, t ToneSet) error {
	if err := n.Validate(); err != nil {
		return err
	}
	if len(t.Tones) == 0 {
		return fmt.Errorf("there are no notes to lay out")
	}
	return nil
}
