package transform

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// Ranks of the places of a bar. Below a beat the rank sinks by one with each
// division: halves of beats (thirds in compound metres) are offBeat, quarters
// of beats one less, and so on.
const (
	barStart   = 4 // the beginning of the bar
	strongBeat = 3 // the middle of four beats or six, the groups of additive metres
	weakBeat   = 2 // any other beat
	offBeat    = 1
)

// A pulse is how the bars of a metre are accented.
//
// Source: common practice on metric accent. Where the page does not say how an
// additive metre is grouped, the usual grouping is assumed: 3+2, 2+2+3, 3+3+2,
// and as many threes as possible before twos.
type pulse struct {
	groups  []pulseGroup
	assumed string // the grouping that was assumed, "2+2+3"; "" if none had to be
	metre   string // as written, for messages
}

// A pulseGroup is a stretch of a bar that begins with a beat of some rank.
type pulseGroup struct {
	start score.Quarters // from the beginning of the bar
	beat  score.Quarters // length of the beats inside
	rank  int            // of its start
	inner int            // rank of the beats inside
}

// freePulse has beats and no bars, for music without metre.
func freePulse() pulse {
	return pulse{groups: []pulseGroup{{beat: score.Q(1, 1), rank: barStart, inner: weakBeat}}}
}

// pulseOf says how a metre is accented.
func pulseOf(t *score.TimeSignature) pulse {
	if len(t.BeatTypes) == 0 {
		return freePulse()
	}
	p := pulse{metre: t.Metre()}
	var at score.Quarters
	for i, beats := range t.Beats {
		unit := max(t.BeatTypes[i], 1)
		groups, assumed := groupsOf(beats, unit)
		if len(groups) == 0 {
			return freePulse()
		}
		if assumed {
			p.assumed = joinInts(groups)
		}
		for _, g := range groups {
			pg := pulseGroup{start: at, beat: score.Q(4, int64(unit)), rank: strongBeat, inner: weakBeat}
			switch {
			case len(p.groups) == 0:
				pg.rank = barStart
			case g.compound && g.units == 3 && !g.strong:
				pg.rank = weakBeat
			}
			if g.compound || len(groups) > 1 && unit >= 8 { // the groups are the beats
				pg.inner = offBeat
			}
			p.groups = append(p.groups, pg)
			at = at.Add(score.Q(4*int64(g.units), int64(unit)))
		}
	}
	return p
}

// A unitGroup is some units of a metre that belong together.
type unitGroup struct {
	units    int
	compound bool // three units that make a beat
	strong   bool
}

func joinInts(groups []unitGroup) string {
	texts := make([]string, len(groups))
	for i, g := range groups {
		texts[i] = strconv.Itoa(g.units)
	}
	return strings.Join(texts, "+")
}

// groupsOf divides the upper number of a metre.
func groupsOf(beats string, unit int) (groups []unitGroup, assumed bool) {
	var stated []unitGroup
	for b := range strings.SplitSeq(beats, "+") {
		n, err := strconv.Atoi(strings.TrimSpace(b))
		if err != nil || n < 1 {
			return nil, false
		}
		stated = append(stated, unitGroup{units: n, strong: true})
	}
	if len(stated) > 1 {
		return stated, false
	}
	n := stated[0].units
	group := func(sizes ...int) {
		for _, s := range sizes {
			groups = append(groups, unitGroup{units: s, strong: true})
		}
	}
	switch {
	case n > 3 && n%3 == 0 && unit >= 8: // compound: beats of three
		for i := range n / 3 {
			middle := i > 0 && (n/3 == 4 && i == 2 || n/3 == 6 && i == 3 || n/3 == 5 && i == 3)
			groups = append(groups, unitGroup{units: 3, compound: true, strong: i == 0 || middle})
		}
		return groups, false
	case n <= 3:
		group(n)
	case n == 4:
		group(2, 2)
	case n == 6:
		group(3, 3)
	case n == 5:
		group(3, 2)
		return groups, true
	case n == 7:
		group(2, 2, 3)
		return groups, true
	default:
		twos := (3 - n%3) % 3
		group(slices.Repeat([]int{3}, (n-2*twos)/3)...)
		group(slices.Repeat([]int{2}, twos)...)
		return groups, true
	}
	return groups, false
}

// rank returns the rank of a place, counted from the beginning of a whole bar.
func (p pulse) rank(at score.Quarters) int {
	g := p.groups[0]
	for _, h := range p.groups {
		if h.start.Cmp(at) <= 0 {
			g = h
		}
	}
	in := at.Sub(g.start)
	if in.IsZero() {
		return g.rank
	}
	return g.inner - divisions(in.Div(g.beat).Den())
}

// divisions counts the prime factors of a number: how often a beat was divided
// to get there. No time that a file can hold needs more than a few.
func divisions(n int64) int {
	count := 0
	for f := int64(2); f*f <= n && f < 64; f++ {
		for n%f == 0 {
			n /= f
			count++
		}
	}
	if n > 1 {
		count++
	}
	return count
}

// pulses returns the pulse of each measure of a part.
func pulses(p *score.Part) []pulse {
	list := make([]pulse, len(p.Measures))
	now := freePulse()
	for i, m := range p.Measures {
		for _, e := range m.Events {
			if t, ok := e.(*score.TimeSignature); ok && t.Onset.IsZero() {
				now = pulseOf(t)
			}
		}
		list[i] = now
	}
	return list
}
