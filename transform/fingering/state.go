package fingering

import (
	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A state of the hand at a group: where each sounding note is stopped, by
// which finger, and the fret of the hand. All states that one group can have
// are its shape; groups of the same notes share it.
//
// The hand stands at a fret; finger k is at home k-1 frets on. A finger may
// be drawn in by a fret, or reach out by one or by outreach millimetres.

// A stop is a compact [Stop]. A string of 0 is a note that was let go.
type stop struct{ str, fret, finger int8 }

func (s stop) place() fretboard.Place { return fretboard.Place{String: int(s.str), Fret: int(s.fret)} }

// An option is a place that a note may take.
type option struct {
	str, fret int8
	free      bool // no finger is needed
	pref      float64
}

// a voice is a note as a shape sees it: what it may do, not which it is.
type voice struct {
	options []option
	pitch   int
	finger  score.Finger
	held    bool // struck earlier
	ring    bool // must not be let go
	long    bool // takes long
	bend    float64
}

// a lead is the place and the finger of the highest note struck: what comes
// before and after it is priced by it.
type lead struct {
	stop
	bare bool // no finger is down at all
}

// a shape is all states of the notes that sound at one time.
type shape struct {
	voices []voice
	struck int // the first so many voices are struck; the rest are held
	top    int // voice of the highest note struck
	n      int // states

	pos   []int8 // by state
	stops []stop // by state and voice
	lead  []int32
	leads []lead
	span  []float64 // millimetres between the lowest and the highest fret held, by state
	terms []amount  // of all states
	from  []int32   // where the terms of a state begin; n+1 long
}

func (s *shape) at(state int) []stop { return s.stops[state*len(s.voices) : (state+1)*len(s.voices)] }

// rules are what all states of a problem have in common.
type rules struct {
	strings int
	frets   int       // highest written fret
	mm      []float64 // from the nut to a written fret; beyond the neck too
	open    []int     // MIDI key numbers of open strings, by string; 0 is unused
	hand    Hand
	edges   []edge // room for a builder
}

func newRules(p *Problem) *rules {
	r := &rules{strings: p.Neck.Tuning.Len(), frets: p.Neck.TopFret(), hand: p.Hand}
	if r.hand == (Hand{}) {
		r.hand = NormalHand()
	}
	length := p.ScaleLength
	if length <= 0 {
		length = fretboard.ScaleLength
	}
	for f := 0; f <= r.frets+4; f++ {
		r.mm = append(r.mm, fretboard.FretDistance(p.Neck.Capo+f, length))
	}
	r.open = make([]int, r.strings+1)
	for s := 1; s <= r.strings; s++ {
		r.open[s] = p.Neck.Tuning.Open(s).MIDI() + p.Neck.Capo
	}
	return r
}

// outreach is how far the index finger reaches back and the little finger
// forward at most, in millimetres: a fret anywhere on the neck, two at and
// beyond fret 10.
const outreach = 40

// reaches tells whether a finger can stop a fret with the hand at pos.
func (r *rules) reaches(finger, fret, pos int) bool {
	home := pos + finger - 1
	switch d := fret - home; {
	case -1 <= d && d <= 1:
		return true
	case finger == 1 && d < 0:
		return r.mm[pos]-r.mm[fret] <= outreach
	case finger == 4 && d > 0:
		return r.mm[fret]-r.mm[home] <= outreach
	}
	return false
}

// build lists the states of a shape.
func (r *rules) build(s *shape) {
	if len(s.voices) == 0 {
		return
	}
	for i := 1; i < s.struck; i++ {
		if s.voices[i].pitch > s.voices[s.top].pitch {
			s.top = i
		}
	}
	e := enumeration{rules: r, shape: s, now: make([]stop, len(s.voices)), pref: make([]float64, len(s.voices)),
		free: make([]bool, len(s.voices)), leads: map[lead]int32{}}
	for pos := 1; pos <= r.frets; pos++ {
		e.pos = pos
		e.voice(0)
	}
	s.n = len(s.pos)
	s.from = append(s.from, int32(len(s.terms)))
}

// an enumeration goes through the states of a shape.
type enumeration struct {
	*rules
	shape *shape
	pos   int
	now   []stop
	pref  []float64
	free  []bool
	leads map[lead]int32
}

// voice tries all ways to stop the voices from v on.
func (e *enumeration) voice(v int) {
	if v == len(e.now) {
		e.state()
		return
	}
	x := &e.shape.voices[v]
	for _, o := range x.options {
		e.pref[v], e.free[v] = o.pref, o.free || o.fret == 0
		if e.free[v] {
			if e.now[v] = (stop{o.str, o.fret, 0}); e.fits(v) {
				e.voice(v + 1)
			}
			continue
		}
		for k := int8(1); k <= 4; k++ {
			if x.finger >= score.Index && x.finger <= score.Little && x.finger != score.Finger(k) || !e.reaches(int(k), int(o.fret), e.pos) {
				continue
			}
			if e.now[v] = (stop{o.str, o.fret, k}); e.fits(v) {
				e.voice(v + 1)
			}
		}
	}
	if x.held && !x.ring {
		e.now[v] = stop{}
		e.voice(v + 1)
	}
}

// fits tells whether voice v goes with those before it, two by two.
func (e *enumeration) fits(v int) bool {
	b := e.now[v]
	for _, a := range e.now[:v] {
		if a.str == 0 {
			continue
		}
		if a.str == b.str {
			return false
		}
		if a.finger == 0 || b.finger == 0 {
			continue
		}
		if a.finger == b.finger {
			if a.fret != b.fret {
				return false
			}
			continue
		}
		lo, hi := a, b
		if lo.finger > hi.finger {
			lo, hi = hi, lo
		}
		if lo.fret > hi.fret || e.mm[hi.fret]-e.mm[lo.fret] > e.hand.Reach[lo.finger][hi.finger] {
			return false
		}
	}
	return true
}

// barres tells whether the fingers that stop several strings can: the index
// finger lies across all strings between, so what sounds there is stopped
// higher up; another finger takes neighbouring strings only.
func (e *enumeration) barres() (index, others int, ok bool) {
	for k := int8(1); k <= 4; k++ {
		var lo, hi, fret int8
		count := int8(0)
		for _, a := range e.now {
			if a.str == 0 || a.finger != k {
				continue
			}
			if count == 0 || a.str < lo {
				lo = a.str
			}
			if count == 0 || a.str > hi {
				hi = a.str
			}
			fret = a.fret
			count++
		}
		if count < 2 {
			continue
		}
		if k == 1 {
			index++
			for _, a := range e.now {
				if lo < a.str && a.str < hi && a.fret < fret {
					return 0, 0, false
				}
			}
		} else {
			others++
			if hi-lo+1 != count {
				return 0, 0, false
			}
		}
	}
	return index, others, true
}

// state adds the present state, if it can be held.
func (e *enumeration) state() {
	index, others, ok := e.barres()
	if !ok {
		return
	}
	s := e.shape
	s.from = append(s.from, int32(len(s.terms)))
	add := func(t Term, n float64) {
		if n != 0 {
			s.terms = append(s.terms, amount{t, n})
		}
	}
	home := e.mm[e.pos] - e.mm[1]
	var used [5]bool
	var fretOf [5]int8
	down, open := 0, 0
	for v, a := range e.now {
		if a.finger > 0 && !used[a.finger] {
			used[a.finger], fretOf[a.finger] = true, a.fret
			down++
			e.stretch(a, add)
		}
		if v >= s.struck || a.str == 0 {
			continue
		}
		thick := float64(a.str-1) / float64(e.strings-1)
		add(Preference, e.pref[v])
		switch {
		case e.free[v] && a.fret == 0:
			add(Open, 1)
			add(OpenAway, home/100)
			add(OpenThick, thick)
			if s.voices[v].long {
				add(OpenLong, 1)
			}
			open++
		default:
			mm := e.mm[a.fret] - e.mm[0]
			add(Height, mm/100)
			add(High, max(0, float64(a.fret-12)))
			add(ThickString, thick)
			add(ThickHigh, thick*mm/100)
		}
		if a.finger > 0 {
			add(ByIndex+Term(a.finger-1), 1)
		}
		if b := s.voices[v].bend; b > 0 && a.finger > 0 {
			add(BendWound, b*thick)
			add(BendLow, b*max(0, 1-float64(a.fret)/12))
			if a.finger == 1 || a.finger == 4 {
				add(BendWeak, b)
			}
		}
	}
	span := 0.0
	last := 0
	for k := 1; k <= 4; k++ {
		if !used[k] {
			continue
		}
		if last > 0 {
			apart := e.mm[fretOf[k]] - e.mm[fretOf[last]]
			span += apart
			add(Strain, max(0, apart-comfort(last, k))/10)
		}
		last = k
	}
	add(Span, span/10)
	if down > 0 {
		add(OpenInside, float64(open))
	}
	add(FingersDown, max(0, float64(down-1)))
	add(Barre, float64(index))
	add(HalfBarre, float64(others))
	add(Crossed, float64(e.crossings()))
	add(Gap, float64(e.gaps()))
	if down > 0 && e.pos == 1 {
		add(FirstPosition, 1)
	}

	l := lead{e.now[s.top], down == 0}
	id, seen := e.leads[l]
	if !seen {
		id = int32(len(s.leads))
		e.leads[l] = id
		s.leads = append(s.leads, l)
	}
	s.lead = append(s.lead, id)
	s.pos = append(s.pos, int8(e.pos))
	s.stops = append(s.stops, e.now...)
	s.span = append(s.span, span)
}

// stretch adds what it costs a finger to be away from home.
func (e *enumeration) stretch(a stop, add func(Term, float64)) {
	mm := (e.mm[a.fret] - e.mm[e.pos+int(a.finger)-1]) / 10
	switch {
	case mm == 0:
	case a.finger == 1 && mm < 0:
		add(ReachBack, -mm)
	case a.finger == 4 && mm > 0:
		add(ReachForward, mm)
	case a.finger > 1 && mm > 0:
		add(ReachInner, mm)
	case a.finger == 4:
		add(SqueezeLittle, -mm)
	default: // the index finger forward, the others back: towards the middle
		add(Squeeze, max(mm, -mm))
	}
}

// crossings counts the pairs of fingers at one fret of which the lower lies
// on the thinner string.
func (e *enumeration) crossings() int {
	n := 0
	for i, a := range e.now {
		for _, b := range e.now[:i] {
			if a.finger > 0 && b.finger > 0 && a.fret == b.fret && (a.finger < b.finger && a.str < b.str || b.finger < a.finger && b.str < a.str) {
				n++
			}
		}
	}
	return n
}

// gaps counts the strings between those that are struck on which nothing
// sounds: a plectrum that goes across them needs them muted.
func (e *enumeration) gaps() int {
	lo, hi := e.now[0].str, e.now[0].str
	for _, a := range e.now[:e.shape.struck] {
		lo, hi = min(lo, a.str), max(hi, a.str)
	}
	n := int(hi - lo + 1)
	for _, a := range e.now {
		if lo <= a.str && a.str <= hi {
			n--
		}
	}
	return n
}
