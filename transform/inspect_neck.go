package transform

import (
	"cmp"
	"math"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// A NeckInspection is what a part asks of the hands, at the places that it
// has. Positions come from the cheapest fingers for those places, see package
// fingering: another player may well stand elsewhere.
type NeckInspection struct {
	Tuning     string          `json:"tuning"` // at the start, the last string first
	Capo       int             `json:"capo"`
	Unplaced   int             `json:"unplaced"`   // notes without string and fret, which are left out here
	Positions  []HandPosition  `json:"positions"`  // in order of time
	Shifts     []HandShift     `json:"shifts"`     // from each position to the next
	Unplayable []Unplayable    `json:"unplayable"` // what no hand can do at these places
	Widest     *Stretch        `json:"widest"`     // nil if no two frets are held or played in one position
	Picking    Picking         `json:"picking"`
	Repeated   []RepeatedPitch `json:"repeated"` // one pitch twice in a row, on neighbouring strings
	Demands    []BarDemand     `json:"demands"`  // bar by bar
	Hardest    []string        `json:"hardest"`  // bars, the most demanding first, three at most
}

// A HandPosition is a stretch of music that the hand plays without moving.
type HandPosition struct {
	From  Moment `json:"from"`
	To    Moment `json:"to"`    // of the last note
	Index int    `json:"index"` // fret at which the index finger stands
	Low   int    `json:"low"`   // lowest and highest fret that is held
	High  int    `json:"high"`
}

// A HandShift is a move of the hand along the neck.
type HandShift struct {
	Moment
	From        int     `json:"from"` // fret of the index finger
	To          int     `json:"to"`
	Millimetres float64 `json:"millimetres"`
	// With is what gives time for it: "slide", "open string", "rest", or
	// "none" if it falls between two notes of a run.
	With string `json:"with"`
}

// Unplayable is something that no hand can do.
type Unplayable struct {
	Moment
	Reason string `json:"reason"`
}

// A Stretch is a reach of the hand along the neck.
type Stretch struct {
	Moment
	Millimetres float64 `json:"millimetres"`
	Low         int     `json:"low"` // frets
	High        int     `json:"high"`
	Together    bool    `json:"together"` // held at one time, or else within one position
	Caution     bool    `json:"caution"`  // beyond [fretboard.ComfortableSpan]
}

// Picking is how the pick changes strings under a policy. Lines begin anew
// after chords and rests.
type Picking struct {
	Policy  string `json:"policy"`
	Inside  int    `json:"inside"`
	Outside int    `json:"outside"`
	Sweeps  int    `json:"sweeps"`
}

// A RepeatedPitch is one pitch twice in a row, on neighbouring strings.
type RepeatedPitch struct {
	Moment
	Pitch string          `json:"pitch"`
	From  fretboard.Place `json:"from"`
	To    fretboard.Place `json:"to"`
}

// A BarDemand is what a bar asks for. Demand weighs it up by a yardstick of
// our own: notes a second over 8, millimetres of shift a second over 200, the
// widest reach over the comfortable one, and outside changes a second over 4,
// added up. It orders the bars of one piece and measures nothing else.
type BarDemand struct {
	Bar            string  `json:"bar"`
	NotesPerSecond float64 `json:"notesPerSecond"` // strokes, at the tempo or the usual one
	Shift          float64 `json:"shift"`          // millimetres that the hand moves
	Reach          float64 `json:"reach"`          // millimetres of the widest reach
	Changes        int     `json:"changes"`        // of string
	Outside        int     `json:"outside"`
	Demand         float64 `json:"demand"`

	index int
}

const maxHardest = 3

// A struck group is what is struck at one time, with the hand that plays it.
type struck struct {
	notes []*neckNote // that have a place
	hand  int         // fret of the index finger
	seen  bool        // the hand is held by a fretted note here
}

// neck looks at the part on its neck. s and p are a copy that is free to use.
func (v *inspector) neck(s *score.Score, p *score.Part) *NeckInspection {
	ni := &NeckInspection{Positions: []HandPosition{}, Shifts: []HandShift{}, Unplayable: []Unplayable{}, Repeated: []RepeatedPitch{}, Demands: []BarDemand{}, Hardest: []string{}}
	rep := &reporter{score: s, parts: 1}
	rep.enter(p)
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if c, ok := e.(*score.Chord); ok {
				c.Notes = slices.DeleteFunc(c.Notes, func(n *score.Note) bool {
					gone := n.Place.IsZero() && !n.Unpitched
					if gone {
						ni.Unplaced++
					}
					return gone
				})
			}
		}
	}
	np := collectNeck(p, rep)
	if len(np.notes) > 0 {
		ni.Tuning, ni.Capo = np.notes[0].neck.Tuning.String(), np.notes[0].neck.Capo
	}
	np.link()
	np.findSets()
	ni.Demands = v.bars()
	opt := RefingerOptions{ScaleLength: v.opt.ScaleLength, KeepStrings: true, KeepFrets: true, KeepFingers: true}
	for _, f := range newFingered(s, p, np, opt) {
		solved, err := fingering.Solve(f.problem, opt.weights())
		if err != nil {
			continue // a neck that is none: its reader has said so
		}
		groups := make([]struck, len(f.notes))
		for g := range f.notes {
			groups[g].hand = solved.Hand[g]
			for k, members := range f.notes[g] {
				if len(members) == 0 {
					continue
				}
				n := &np.notes[members[0]]
				groups[g].notes = append(groups[g].notes, n)
				groups[g].seen = groups[g].seen || solved.Stops[g][k].Finger != score.NoFinger
			}
		}
		v.positions(ni, groups)
		for _, b := range solved.Breaks {
			if b.Group < len(groups) && len(groups[b.Group].notes) > 0 {
				n := groups[b.Group].notes[0]
				ni.Unplayable = append(ni.Unplayable, Unplayable{v.moment(n.measure, n.chord.Onset), b.Reason})
			}
		}
	}
	v.together(ni, np)
	v.picking(ni, np)
	v.rank(ni, s, p)
	return ni
}

func (v *inspector) scaleLength() float64 { return cmp.Or(v.opt.ScaleLength, fretboard.ScaleLength) }

// reach returns the millimetres between two frets of a note's neck.
func (v *inspector) reach(n *neckNote, a, b int) float64 { return n.neck.Reach(a, b, v.scaleLength()) }

func (v *inspector) bars() []BarDemand {
	list := make([]BarDemand, len(v.part.Measures))
	for i := range list {
		list[i] = BarDemand{Bar: v.rep.bar(i), index: i}
	}
	return list
}

// positions divides the music by where the hand stands. Open strings belong to
// the position in which they are played.
func (v *inspector) positions(ni *NeckInspection, groups []struck) {
	var last *neckNote
	gap := "none"
	var cur *HandPosition
	for _, g := range groups {
		if len(g.notes) == 0 {
			continue
		}
		n := g.notes[0]
		if last != nil && last.end.Less(n.at) {
			gap = "rest"
		}
		for _, m := range g.notes {
			for _, t := range m.note.Techniques {
				if s, ok := t.(score.Span); ok && s.End == score.Stop && (s.Kind == score.LegatoSlide || s.Kind == score.ShiftSlide || s.Kind == score.Glissando) {
					gap = "slide"
				}
			}
		}
		if !g.seen {
			if gap == "none" {
				gap = "open string"
			}
			last = n
			if cur != nil {
				cur.To = v.moment(n.measure, n.chord.Onset)
			}
			continue
		}
		at := v.moment(n.measure, n.chord.Onset)
		if cur == nil || cur.Index != g.hand {
			if cur != nil {
				shift := HandShift{Moment: at, From: cur.Index, To: g.hand, Millimetres: round1(v.reach(n, cur.Index, g.hand)), With: gap}
				ni.Shifts = append(ni.Shifts, shift)
				ni.Demands[n.measure].Shift += shift.Millimetres
			}
			ni.Positions = append(ni.Positions, HandPosition{From: at, Index: g.hand})
			cur = &ni.Positions[len(ni.Positions)-1]
		}
		cur.To = at
		for _, m := range g.notes {
			if f := m.note.Place.Fret; m.fretted() {
				if cur.Low == 0 {
					cur.Low, cur.High = f, f
				}
				cur.Low, cur.High = min(cur.Low, f), max(cur.High, f)
			}
		}
		v.widest(ni, n, cur.Low, cur.High, false)
		gap, last = "none", n
	}
}

// widest keeps the widest reach, of the part and of the bar.
func (v *inspector) widest(ni *NeckInspection, n *neckNote, low, high int, together bool) {
	if low <= 0 || low == high {
		return
	}
	mm := round1(v.reach(n, low, high))
	ni.Demands[n.measure].Reach = max(ni.Demands[n.measure].Reach, mm)
	if ni.Widest == nil || mm > ni.Widest.Millimetres || mm == ni.Widest.Millimetres && together && !ni.Widest.Together {
		ni.Widest = &Stretch{v.moment(n.measure, n.chord.Onset), mm, low, high, together, mm > fretboard.ComfortableSpan}
	}
}

func round1(x float64) float64 { return math.Round(x*10) / 10 }

// together looks at what is held at one time: what sounds together, and both
// ends of a hammer-on or pull-off.
func (v *inspector) together(ni *NeckInspection, np *neckPart) {
	look := func(set []int) {
		low, high, first := 0, 0, -1
		for _, i := range set {
			n := &np.notes[i]
			if !n.fretted() {
				continue
			}
			f := n.note.Place.Fret
			if first < 0 {
				low, high, first = f, f, i
			}
			low, high = min(low, f), max(high, f)
		}
		if first >= 0 {
			v.widest(ni, &np.notes[first], low, high, true)
		}
	}
	for _, set := range np.sets {
		look(set)
	}
	for _, l := range np.links {
		if l.kind == score.HammerOn || l.kind == score.PullOff {
			look([]int{l.a, l.b})
		}
	}
}

// struckByPick tells whether the picking hand strikes a note: not if it is
// hammered on, pulled off, slid into without a stroke or held over.
func struckByPick(n *score.Note) bool {
	if n.TieStop || n.Has(score.Held) || n.Has(score.Tap) || n.Has(score.TapLeft) {
		return false
	}
	for _, t := range n.Techniques {
		if s, ok := t.(score.Span); ok && s.End == score.Stop && (s.Kind == score.HammerOn || s.Kind == score.PullOff || s.Kind == score.LegatoSlide) {
			return false
		}
	}
	return true
}

// picking follows the pick through the lines of the part.
func (v *inspector) picking(ni *NeckInspection, np *neckPart) {
	ni.Picking.Policy = v.opt.Policy.String()
	var line []*neckNote
	flush := func() {
		places := make([]fretboard.Place, len(line))
		for i, n := range line {
			places[i] = n.note.Place
		}
		_, changes := fretboard.Strokes(places, v.opt.Policy)
		inside, outside, sweeps := fretboard.CountChanges(changes)
		ni.Picking.Inside += inside
		ni.Picking.Outside += outside
		ni.Picking.Sweeps += sweeps
		for _, c := range changes {
			d := &ni.Demands[line[c.After+1].measure]
			d.Changes++
			if c.Kind == fretboard.Outside {
				d.Outside++
			}
		}
		line = nil
	}
	var last *neckNote
	for i := range np.notes {
		n := &np.notes[i]
		alone := len(n.chord.Notes) == 1
		if last != nil && (last.end.Less(n.at) || last.at == n.at && !last.passing) {
			flush()
		}
		switch {
		case !alone:
			flush()
		case struckByPick(n.note):
			line = append(line, n)
		}
		if last != nil && alone && last.note.Pitch.MIDI() == n.note.Pitch.MIDI() && last.at != n.at && !n.note.TieStop {
			if d := last.note.Place.String - n.note.Place.String; d == 1 || d == -1 {
				ni.Repeated = append(ni.Repeated, RepeatedPitch{v.moment(n.measure, n.chord.Onset), n.note.Pitch.String(), last.note.Place, n.note.Place})
			}
		}
		last = n
	}
	flush()
}

// rank weighs the bars up.
func (v *inspector) rank(ni *NeckInspection, s *score.Score, p *score.Part) {
	tempos := temposOf(s, p)
	var start score.Quarters
	for i, m := range v.part.Measures {
		d := &ni.Demands[i]
		perMinute := float64(fingering.DefaultTempo)
		for _, t := range tempos {
			if t.from <= start.Float() {
				perMinute = t.perMinute
			}
		}
		strokes := 0
		for c := range m.Chords() {
			if !c.IsRest() && !c.Cue && slices.ContainsFunc(c.Notes, func(n *score.Note) bool { return !n.TieStop && !n.Has(score.Held) }) {
				strokes++
			}
		}
		if seconds := m.Length.Float() * 60 / perMinute; seconds > 0 {
			d.NotesPerSecond = math.Round(float64(strokes)/seconds*100) / 100
			d.Demand = d.NotesPerSecond/8 + d.Shift/seconds/200 + d.Reach/fretboard.ComfortableSpan + float64(d.Outside)/seconds/4
			d.Demand = math.Round(d.Demand*100) / 100
		}
		start = start.Add(m.Length)
	}
	order := slices.Clone(ni.Demands)
	slices.SortStableFunc(order, func(a, b BarDemand) int { return cmp.Compare(b.Demand, a.Demand) })
	for _, d := range order[:min(maxHardest, len(order))] {
		if d.Demand > 0 {
			ni.Hardest = append(ni.Hardest, d.Bar)
		}
	}
}
