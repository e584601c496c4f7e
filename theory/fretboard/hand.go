package fretboard

// A Finger is a finger of the hand on the neck. With one finger per fret each
// stands as many frets above the index finger as its number says.
type Finger int8

// The fingers.
const (
	Index Finger = iota
	Middle
	Ring
	Little
)

var fingerNames = [...]string{Index: "index", Middle: "middle", Ring: "ring", Little: "little"}

// String returns the name of the finger: "index", "middle", "ring", "little".
func (f Finger) String() string { return fingerNames[f] }

// handFingers is how many fingers a hand has to stop strings with.
const handFingers = int(Little-Index) + 1

// handFrets is how many frets lie under a hand with one finger on each.
const handFrets = handFingers

// A hand stands on a neck. The frets under it cost no reach, those beyond
// cost the millimetres to the finger that stands nearest.
type hand struct {
	neck          Neck
	index         int  // fret of the index finger
	cover         int  // frets under the hand, the index finger's the first
	back, forward int  // frets that it may reach beyond
	open          bool // open strings belong, whatever the fret
}

func (h hand) fit(p Place) (mm float64, belongs bool) {
	last := h.index + h.cover - 1
	switch {
	case h.open && p.Fret == 0, h.index <= p.Fret && p.Fret <= last:
		return 0, true
	case h.index-h.back <= p.Fret && p.Fret < h.index:
		return h.neck.Reach(p.Fret, h.index, ScaleLength), true
	case last < p.Fret && p.Fret <= last+h.forward:
		return h.neck.Reach(last, p.Fret, ScaleLength), true
	}
	return 0, false
}

func (h hand) region(name string) Region { return NewRegion(name, h.neck, h.index, h.fit) }
