package fretboard

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/theory"
)

// Position is the scheme of a fixed position: one finger per fret, the index
// finger at Fret, and a stretch of one fret either side. In the first
// position open strings belong as if they were under the hand.
type Position struct {
	Fret int // 1 and up
}

// String names the position with a Roman numeral.
func (p Position) String() string { return "position " + Roman(p.Fret) }

// Regions returns the position.
func (p Position) Regions(n Neck, t ToneSet) ([]Region, error) {
	if err := checkTones(n, t); err != nil {
		return nil, err
	}
	if p.Fret < 1 || p.Fret > n.TopFret() {
		return nil, fmt.Errorf("the index finger can stand at fret 1 to %d of this neck, not %d", n.TopFret(), p.Fret)
	}
	h := hand{neck: n, index: p.Fret, cover: handFrets, back: 1, forward: 1, open: p.Fret == 1}
	return []Region{h.region(p.String())}, nil
}

// Window is the scheme of a range of frets, the first and the last included.
// All places in it fit equally well.
type Window struct {
	From, To int
}

// String names the window.
func (w Window) String() string { return fmt.Sprintf("frets %d to %d", w.From, w.To) }

// Regions returns the window.
func (w Window) Regions(n Neck, t ToneSet) ([]Region, error) {
	if err := checkTones(n, t); err != nil {
		return nil, err
	}
	if w.From < 0 || w.From > w.To || w.To > n.TopFret() {
		return nil, fmt.Errorf("the frets of this neck are 0 to %d, and %d to %d are not a range of them", n.TopFret(), w.From, w.To)
	}
	r := NewRegion(w.String(), n, -1, func(p Place) (float64, bool) { return 0, w.From <= p.Fret && p.Fret <= w.To })
	return []Region{r}, nil
}

// Open is the scheme of the open position: the open strings and the frets
// from the nut that a hand covers there. A sound that an open string has is
// played on it.
type Open struct{}

// String names the scheme.
func (Open) String() string { return "open position" }

// Regions returns the open position.
func (o Open) Regions(n Neck, t ToneSet) ([]Region, error) {
	if err := checkTones(n, t); err != nil {
		return nil, err
	}
	h := hand{neck: n, index: 1, cover: handFrets, open: true}
	return []Region{h.region(o.String())}, nil
}

// Strings is the scheme of a set of strings, or of a single one, over the
// whole neck.
type Strings []int

// String names the strings.
func (s Strings) String() string {
	if len(s) == 1 {
		return fmt.Sprintf("string %d", s[0])
	}
	sorted := slices.Sorted(slices.Values(s))
	var parts []string
	for i := 0; i < len(sorted); {
		j := i
		for j+1 < len(sorted) && sorted[j+1] <= sorted[j]+1 {
			j++
		}
		switch {
		case sorted[j] > sorted[i]:
			parts = append(parts, fmt.Sprintf("%d to %d", sorted[i], sorted[j]))
		default:
			parts = append(parts, strconv.Itoa(sorted[i]))
		}
		i = j + 1
	}
	return "strings " + strings.Join(parts, ", ")
}

// Regions returns the strings.
func (s Strings) Regions(n Neck, t ToneSet) ([]Region, error) {
	if err := checkTones(n, t); err != nil {
		return nil, err
	}
	if err := s.check(n); err != nil {
		return nil, err
	}
	strs := slices.Clone(s)
	r := NewRegion(s.String(), n, -1, func(p Place) (float64, bool) { return 0, slices.Contains(strs, p.String) })
	return []Region{r}, nil
}

func (s Strings) check(n Neck) error {
	if len(s) == 0 {
		return fmt.Errorf("no strings are named")
	}
	for _, str := range s {
		if str < 1 || str > n.Tuning.Len() {
			return fmt.Errorf("this neck has strings 1 to %d, not %d", n.Tuning.Len(), str)
		}
	}
	return nil
}

// ParseStrings reads strings as players list them: "1-3", "2", "1,3,5".
// Errors are of type [*theory.ParseError].
func ParseStrings(text string) (Strings, error) {
	var s Strings
	for part := range strings.SplitSeq(text, ",") {
		from, to, err := parseRange(part)
		if err != nil || from < 1 || to > MaxStrings {
			return nil, &theory.ParseError{What: "set of strings", Input: text, Msg: fmt.Sprintf("%q names no strings", strings.TrimSpace(part)),
				Hint: "strings count from the thinnest: 1-3 are the top three, 2 is one string, 1,3 are two"}
		}
		for str := from; str <= to; str++ {
			if !slices.Contains(s, str) {
				s = append(s, str)
			}
		}
	}
	slices.Sort(s)
	return s, nil
}

// ParseWindow reads a range of frets, "5-9", or one fret. Errors are of type
// [*theory.ParseError].
func ParseWindow(text string) (Window, error) {
	from, to, err := parseRange(text)
	if err != nil || to > MaxFrets {
		return Window{}, &theory.ParseError{What: "range of frets", Input: text, Msg: "it takes the lowest and the highest fret",
			Hint: "write them with a hyphen, as in 5-9"}
	}
	return Window{from, to}, nil
}

// parseRange reads "5-9" or "5"; from is not above to.
func parseRange(text string) (from, to int, err error) {
	a, b, found := strings.Cut(strings.ReplaceAll(text, "–", "-"), "-")
	if from, err = strconv.Atoi(strings.TrimSpace(a)); err != nil {
		return 0, 0, err
	}
	if !found {
		return from, from, nil
	}
	if to, err = strconv.Atoi(strings.TrimSpace(b)); err != nil {
		return 0, 0, err
	}
	if from > to {
		from, to = to, from
	}
	return from, to, nil
}

// Within narrows a scheme to some strings, some frets, or both: the E shape
// on the top three strings.
type Within struct {
	Scheme  Scheme
	Strings Strings // none for all
	Frets   *Window // nil for all
}

// String names the scheme and what it is narrowed to.
func (w Within) String() string {
	s := w.Scheme.String()
	if len(w.Strings) > 0 {
		s += ", " + w.Strings.String()
	}
	if w.Frets != nil {
		s += ", " + w.Frets.String()
	}
	return s
}

// Regions returns the regions of which at least half of the places remain
// within the frets, narrowed; if there are none, those that keep a place.
func (w Within) Regions(n Neck, t ToneSet) ([]Region, error) {
	if len(w.Strings) > 0 {
		if err := w.Strings.check(n); err != nil {
			return nil, err
		}
	}
	regions, err := w.Scheme.Regions(n, t)
	if err != nil {
		return nil, err
	}
	var half, some []Region
	for _, r := range regions {
		if len(w.Strings) > 0 {
			r = r.only(func(p Place) bool { return slices.Contains(w.Strings, p.String) })
		}
		whole := len(r.Lay(t).Spots)
		if w.Frets != nil {
			r = r.only(func(p Place) bool { return w.Frets.From <= p.Fret && p.Fret <= w.Frets.To })
		}
		kept := len(r.Lay(t).Spots)
		if kept > 0 {
			some = append(some, r)
		}
		if kept > 0 && 2*kept >= whole {
			half = append(half, r)
		}
	}
	switch {
	case len(half) > 0:
		return half, nil
	case len(some) > 0:
		return some, nil
	}
	return nil, fmt.Errorf("nothing of %s lies in %s", t.Title, w)
}

// only returns the region without the places that a rule refuses.
func (r Region) only(keep func(Place) bool) Region {
	narrow := func(of fit) fit {
		return func(p Place) (float64, bool) {
			if !keep(p) {
				return 0, false
			}
			return of(p)
		}
	}
	r.fit = narrow(r.fit)
	if r.grip != nil {
		r.grip = narrow(r.grip)
	}
	r.Low, r.High = r.bounds()
	return r
}
