package fretboard

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/theory"
)

// MaxPerString is the largest number of notes on one string that a pattern
// may ask for.
const MaxPerString = 12

// PerString is the scheme of so many notes on each string: three notes per
// string, two of a pentatonic, one of an arpeggio. A scale of n notes has n
// patterns, one from each of its degrees on the lowest string. They run in
// order of pitch, so on a re-entrant tuning from its lowest string, wherever
// that lies.
type PerString struct {
	// Notes are the notes on each string, the lowest string first; if there
	// are more strings, they begin again. Each is 1 to [MaxPerString].
	Notes []int
	// Degree is where the pattern begins; the zero value means all degrees.
	Degree theory.Degree
	// Hold keeps the hand in its place where two strings lie closer together
	// than most of the tuning: the next string begins with the sound just
	// played. Such sounds are marked in the layout. Without it the hand
	// moves on with the scale and nothing sounds twice.
	Hold bool
}

// String names the scheme.
func (p PerString) String() string {
	s := p.counts()
	if p.Degree.Number > 0 {
		s += " from " + p.Degree.String()
	}
	if p.Hold {
		s += ", holding position"
	}
	return s
}

func (p PerString) counts() string {
	words := make([]string, len(p.Notes))
	for i, n := range p.Notes {
		words[i] = strconv.Itoa(n)
	}
	if len(words) == 1 && words[0] == "1" {
		return "1 note per string"
	}
	return strings.Join(words, "-") + " notes per string"
}

// Regions returns the patterns wherever the whole of them lies on the neck,
// from the nut up. A pattern that the neck has nowhere whole is there once,
// cut off where it leaves the neck, and says so.
func (p PerString) Regions(n Neck, t ToneSet) ([]Region, error) {
	if err := checkTones(n, t); err != nil {
		return nil, err
	}
	if len(p.Notes) == 0 {
		return nil, fmt.Errorf("how many notes per string is not said")
	}
	for _, k := range p.Notes {
		if k < 1 || k > MaxPerString {
			return nil, fmt.Errorf("a string takes 1 to %d notes, not %d", MaxPerString, k)
		}
	}
	tones := t.rising()
	var regions []Region
	for i, tone := range tones {
		if p.Degree.Number == 0 || p.Degree == tone.Degree {
			regions = append(regions, p.from(n, t, tones, i)...)
		}
	}
	if len(regions) == 0 {
		if p.Degree.Number == 0 {
			return nil, fmt.Errorf("the lowest string of this neck has none of %s", t.Title)
		}
		return nil, p.noDegree(t, tones)
	}
	slices.SortStableFunc(regions, func(a, b Region) int { return cmp.Compare(a.Low, b.Low) })
	return regions, nil
}

func (p PerString) noDegree(t ToneSet, tones []Tone) error {
	var have []string
	for _, tone := range tones {
		if tone.Degree == p.Degree {
			return fmt.Errorf("the lowest string of this neck does not reach %s", tone.Name)
		}
		have = append(have, tone.Degree.String())
	}
	return fmt.Errorf("%s has no degree %s; it has %s", t.Title, p.Degree, strings.Join(have, " "))
}

// from returns the patterns that begin with a tone, one for each octave in
// which it lies whole on the neck, else the one that is cut off the least.
func (p PerString) from(n Neck, t ToneSet, tones []Tone, first int) []Region {
	low := byPitch(n.Tuning)[0]
	name := PerString{Notes: p.Notes, Degree: tones[first].Degree, Hold: p.Hold}.String()
	start := tones[first].Name.Class() - n.Stopped(Place{String: low})
	start = (start%12 + 12) % 12
	var whole []Region
	var best Region
	most := 0
	for ; start <= n.TopFret(); start += 12 {
		spots, off := p.run(n, tones, first, start)
		r := patternRegion(name, n, spots)
		if repeats := repeated(spots); len(repeats) > 0 {
			r.Remarks = append(r.Remarks, "sounds twice, to hold the position: "+strings.Join(repeats, ", "))
		}
		switch {
		case off == "":
			whole = append(whole, r)
		case len(spots) > most:
			r.Remarks = append(r.Remarks, off)
			best, most = r, len(spots)
		}
	}
	if len(whole) == 0 && most > 0 {
		return []Region{best}
	}
	return whole
}

// run lays the pattern that begins with a tone at a fret of the lowest
// string. off says where it leaves the neck, "" if it does not.
func (p PerString) run(n Neck, tones []Tone, first, start int) (spots []Spot, off string) {
	order := byPitch(n.Tuning)
	usual := usualStep(n.Tuning, order)
	next := first // index into the tones, octaves counted on
	base := n.Stopped(Place{order[0], start}) - above(tones, first)
	for i, str := range order {
		if i > 0 && p.Hold {
			step := n.Tuning.Open(str).MIDI() - n.Tuning.Open(order[i-1]).MIDI()
			back := p.Notes[(i-1)%len(p.Notes)] - 1
			next -= repeats(tones, next, usual-step, back)
		}
		for range p.Notes[i%len(p.Notes)] {
			midi := base + above(tones, next)
			place, ok := n.FretOn(str, midi)
			if !ok {
				return spots, fmt.Sprintf("cut off: on string %d it would go on at fret %d of 0 to %d", str, place.Fret, n.TopFret())
			}
			s := spotAt(n, place, tones[next%len(tones)], 0)
			s.Repeated = slices.ContainsFunc(spots, func(o Spot) bool { return o.Pitch.MIDI() == midi })
			spots = append(spots, s)
			next++
		}
	}
	return spots, ""
}

// above returns the semitones from the first tone up to the i-th, counting
// on through the octaves.
func above(tones []Tone, i int) int {
	d := tones[i%len(tones)].Name.Class() - tones[0].Name.Class()
	return 12*(i/len(tones)) + (d%12+12)%12
}

// usualStep returns the distance in semitones that most neighbouring strings
// have; of several that are as frequent, the widest.
func usualStep(t Tuning, order []int) int {
	count := map[int]int{}
	best := 0
	for i := 1; i < len(order); i++ {
		step := t.Open(order[i]).MIDI() - t.Open(order[i-1]).MIDI()
		count[step]++
		if count[step] > count[best] || count[step] == count[best] && step > best {
			best = step
		}
	}
	return best
}

// repeats returns how many tones a pattern goes back for the hand not to move
// up where strings are narrower than usual by so many semitones: the fewest
// that bring the next string's first note down by as much, at most the limit.
func repeats(tones []Tone, next, narrower, limit int) int {
	k := 0
	for k < min(limit, next) && above(tones, next)-above(tones, next-k) < narrower {
		k++
	}
	return k
}

func repeated(spots []Spot) []string {
	var names []string
	for _, s := range spots {
		if s.Repeated {
			names = append(names, fmt.Sprintf("%s (string %d)", s.Pitch, s.Place.String))
		}
	}
	return names
}

// patternRegion is the region of a pattern: its places, and what lies between
// them on each string at the distance to the nearest of them.
func patternRegion(name string, n Neck, spots []Spot) Region {
	rows := make([][]int, n.Tuning.Len()+1)
	for _, s := range spots {
		rows[s.Place.String] = append(rows[s.Place.String], s.Place.Fret)
	}
	fit := func(p Place) (float64, bool) {
		row := rows[p.String]
		if len(row) == 0 || p.Fret < slices.Min(row) || p.Fret > slices.Max(row) {
			return 0, false
		}
		nearest := n.Reach(p.Fret, row[0], ScaleLength)
		for _, f := range row {
			nearest = min(nearest, n.Reach(p.Fret, f, ScaleLength))
		}
		return nearest, true
	}
	r := NewRegion(name, n, -1, fit)
	r.pattern = true
	// A pattern keeps its order and its repeated sounds; of other tones it
	// gives those that it holds.
	r.lay = func(r Region, t ToneSet) []Spot {
		var out []Spot
		for _, s := range spots {
			tone, ok := t.At(s.Pitch.MIDI())
			if _, in := r.Fit(s.Place); !ok || !in {
				continue
			}
			laid := spotAt(n, s.Place, tone, 0)
			laid.Repeated = s.Repeated
			out = append(out, laid)
		}
		return out
	}
	return r
}

// IsPattern tells whether the region is a pattern of so many notes per
// string.
func (r Region) IsPattern() bool { return r.pattern }

// Drift returns how far the hand moves along the neck from the lowest string
// of a layout to the highest, in millimetres at a scale length and in frets,
// measured between the lowest frets on them; towards the nut it is negative.
// Lowest and highest mean pitch.
func (l Layout) Drift(scaleLength float64) (mm float64, frets int) {
	rows := l.ByString()
	first, last := -1, -1
	for _, str := range byPitch(l.Region.Neck.Tuning) {
		if row := rows[str-1]; len(row) > 0 {
			last = row[0].Place.Fret
			if first < 0 {
				first = last
			}
		}
	}
	if first < 0 {
		return 0, 0
	}
	mm = l.Region.Neck.Reach(first, last, scaleLength)
	if last < first {
		mm = -mm
	}
	return mm, last - first
}
