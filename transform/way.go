package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// A Way is one way to play a part on its neck, and what it asks of a player.
// Its JSON names are stable.
type Way struct {
	Cost float64 `json:"cost"` // of [fingering.Solve], by the weights asked for
	// Low and High are the lowest and the highest fret that a finger stops, 0
	// if none does; Strings are those that are struck, rising.
	Low     int   `json:"low"`
	High    int   `json:"high"`
	Strings []int `json:"strings"`
	// Shape is the chord shape that holds the stopped notes, all but Beyond of
	// them, a quarter at most; "" if there is none or the key is not known.
	Shape  string `json:"shape"`
	Beyond int    `json:"beyond"`
	Index  int    `json:"index"` // fret of the index finger at the first stopped note; 0 if nothing is stopped
	// Stretch is the widest reach from the lowest to the highest fret that is
	// stopped while the hand stays where it is, in millimetres.
	Stretch float64 `json:"stretch"`
	Caution bool    `json:"caution"` // Stretch is beyond [fretboard.ComfortableSpan]
	Shifts  int     `json:"shifts"`  // moves of the hand along the neck
	ShiftMM float64 `json:"shiftMM"` // millimetres of all of them
	Changes int     `json:"changes"` // of string from one single note to the next
	Open    int     `json:"open"`    // open strings struck
	// Unplaced is how many notes have no place, and Cut how many are let go
	// before their time.
	Unplaced int  `json:"unplaced"`
	Cut      int  `json:"cut"`
	Octaves  int  `json:"octaves"` // by which everything is moved
	Written  bool `json:"written"` // it is the way that the score has now

	places []fretboard.Place // by note of the part
}

// WayOf describes the way in which a part is written now. The part is given by
// its index. It fails if the part has no neck or several, and if notes have no
// place; what no hand can play counts as unplaced.
func WayOf(s *score.Score, part int, opt RefingerOptions) (Way, error) {
	if part < 0 || part >= len(s.Parts) {
		return Way{}, fmt.Errorf("there is no part %d", part+1)
	}
	f, err := oneNeck(s.Clone(), s, part, 0, opt)
	if err != nil {
		return Way{}, err
	}
	for i := range f.np.notes {
		if n := &f.np.notes[i]; n.from.IsZero() || !n.onString() {
			return Way{}, fmt.Errorf("%s: %s has no place", f.np.whereIs(i), n.note.Pitch.Pretty())
		}
	}
	f.prescribe(func(k int) fretboard.Place { return f.np.notes[k].from })
	way, err := fingering.Solve(f.problem, f.opt.weights())
	if err != nil {
		return Way{}, err
	}
	w := f.describe(way, f.shapes(s, &opt))
	w.Written = true
	return w, nil
}

// shapes returns the chord shapes of the key, none if it is not known.
func (f *fingered) shapes(s *score.Score, opt *RefingerOptions) []fretboard.Region {
	o := RefingerOptions{Tones: opt.Tones, Scheme: fretboard.ChordShape{}}
	tones, err := o.tones(s)
	if err != nil {
		return nil
	}
	// A neck without shapes has no names for them.
	regions, _ := fretboard.ChordShape{}.Regions(*f.neck, tones)
	return regions
}

// describe says what a fingering asks of a player. What the homes of the notes
// cost is not counted.
func (f *fingered) describe(way *fingering.Fingering, shapes []fretboard.Region) Way {
	w := Way{Cost: way.Cost, Strings: []int{}, Cut: len(way.Cut), places: make([]fretboard.Place, len(f.np.notes))}
	length := f.problem.ScaleLength
	if length <= 0 {
		length = fretboard.ScaleLength
	}
	weights := f.opt.weights()
	hand, low, high := 0, 0, 0
	lastString := 0
	for g := range f.notes {
		stopped := false
		for i, shared := range f.notes[g] {
			stop := way.Stops[g][i]
			p := stop.Place
			for _, k := range shared {
				w.places[k] = p
			}
			if p.IsZero() {
				w.Unplaced++
				continue
			}
			if f.problem.Prefer != nil {
				cost, _ := f.problem.Prefer(g, i, p)
				w.Cost -= cost * weights[fingering.Preference]
			}
			if !slices.Contains(w.Strings, p.String) {
				w.Strings = append(w.Strings, p.String)
			}
			if p.Fret == 0 && !f.np.notes[shared[0]].muted() {
				w.Open++
			}
			if stop.Finger == score.NoFinger || p.Fret == 0 {
				continue
			}
			if w.Low == 0 || p.Fret < w.Low {
				w.Low = p.Fret
			}
			w.High = max(w.High, p.Fret)
			if hand != way.Hand[g] {
				if hand != 0 {
					w.Shifts++
					w.ShiftMM += f.neck.Reach(hand, way.Hand[g], length)
				} else {
					w.Index = way.Hand[g]
				}
				hand, low, high = way.Hand[g], p.Fret, p.Fret
			}
			low, high, stopped = min(low, p.Fret), max(high, p.Fret), true
		}
		if stopped {
			w.Stretch = max(w.Stretch, f.neck.Reach(low, high, length))
		}
		str := 0
		if len(f.notes[g]) == 1 {
			str = way.Stops[g][0].Place.String
		}
		if str > 0 && lastString > 0 && str != lastString {
			w.Changes++
		}
		lastString = str
	}
	slices.Sort(w.Strings)
	w.Stretch, w.ShiftMM = round1(w.Stretch), round1(w.ShiftMM)
	w.Caution = w.Stretch > fretboard.ComfortableSpan
	w.Shape, w.Beyond = shapeOf(w.places, shapes)
	return w
}

// shapeOf names the shape that holds the most stopped places, of several that
// with the least reach. Open strings are left out.
func shapeOf(places []fretboard.Place, shapes []fretboard.Region) (name string, beyond int) {
	const most = 4 // one in so many may lie beyond it
	least := 0.0
	for i := range shapes {
		total, out, stopped := 0.0, 0, 0
		for _, p := range places {
			if p.IsZero() || p.Fret == 0 {
				continue
			}
			stopped++
			mm, ok := shapes[i].Fit(p)
			total += mm
			if !ok {
				out++
			}
		}
		if stopped == 0 || out*most > stopped {
			continue
		}
		if name == "" || out < beyond || out == beyond && total < least {
			name, beyond, least = shapes[i].Name, out, total
		}
	}
	return name, beyond
}
