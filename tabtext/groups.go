package tabtext

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
)

// A group is what begins at one time in a bar: the signs of several rows
// whose numbers stand over each other.
type group struct {
	col, end int // columns of the numbers
	lead     int // first column of the signs before them
	signs    []int
	chord    *score.Chord // once it is made
	grace    bool
}

// barMusic is a bar as it was read: its signs in order of column and then
// from the top row down, its groups, and when they sound.
type barMusic struct {
	bar
	signs  []sign
	groups []group
	odd    []oddSign
	repeat bool // %: as the bar before

	guessed   bool   // its counts are a guess, as a line says
	number    string // of its measure, once it is made
	timing    timing
	grid      grid
	adopted   *score.TimeSignature // the metre that the first part has from here on
	cut       bool                 // one of the bars that a system without bar lines is cut into
	loose     *reading             // how its notes stand on the grid, if not all fit it
	byGaps    bool                 // the grid counts gaps, not columns
	bracketed bool                 // its times follow the tuplet brackets over it
	byNumbers []bracket            // those that stand for numbers without brackets
	byLead    bool                 // its notes begin with the signs before their numbers
	nominal   score.Quarters       // length by the metre
	beat      score.Quarters       // of the metre: a quarter note, or a dotted one
	start     score.Quarters       // count at which the bar begins, as time after count 1
	length    score.Quarters
	events    []timed
	anchors   []anchor // columns of known time, in order
}

// An anchor is a column whose time is known.
type anchor struct {
	col int
	at  score.Quarters // from the start of the bar
}

// timing is where the times of a bar come from.
type timing int8

const (
	bySpacing timing = iota
	byCounts
	byLetters
)

// timed is a chord or rest with its time.
type timed struct {
	onset, dur score.Quarters
	group      int // index in groups, -1 for a rest or what is held over a cut
	col        int // where a rest is counted; else the group's
	tied       bool
	over       bool // the notes before it sound on: the reader cut the bar, no bar line does
	value      score.NoteValue
	tuplets    []score.Tuplet
}

// readBar scans the rows of a bar.
func readBar(s *system, b bar, sc *rowScanner) *barMusic {
	m := &barMusic{bar: b}
	sc.again, sc.odds, sc.out = false, nil, sc.out[:0]
	for i := range s.rows {
		sc.scanRow(s, i, b)
	}
	m.signs = slices.Clone(sc.out)
	m.odd = sc.odds
	m.repeat = sc.again && len(m.signs) == 0
	slices.SortStableFunc(m.signs, func(x, y sign) int { return cmp.Compare(x.col, y.col) })
	before := make([]*sign, len(s.rows)) // the last sign of each row
	sc.groups = sc.groups[:0]
	in := make([]int, len(m.signs)) // group of each sign
	for i := range m.signs {
		sg := &m.signs[i]
		lead := sg.lead
		// In 4-p0 the p stands before its number like a bracket.
		if b := before[sg.row]; b != nil && b.conn != 0 && b.connAt.to == lead && b.connAt.from > b.fretSpan.to {
			lead = b.connAt.from
		}
		before[sg.row] = sg
		if n := len(sc.groups); n > 0 {
			g := &sc.groups[n-1]
			if sg.col < g.end && g.grace == sg.grace && !rowIn(m, in[:i], n-1, sg.row) {
				in[i] = n - 1
				g.end = max(g.end, sg.fretSpan.to)
				g.lead = min(g.lead, lead)
				continue
			}
		}
		in[i] = len(sc.groups)
		sc.groups = append(sc.groups, group{col: sg.col, end: sg.fretSpan.to, lead: lead, grace: sg.grace})
	}
	m.groups = slices.Clone(sc.groups)
	all := make([]int, len(m.signs)) // the signs of all groups, one after another, as they are in order
	from := 0
	for k := range m.groups {
		to := from
		for ; to < len(in) && in[to] == k; to++ {
			all[to] = to
		}
		m.groups[k].signs = all[from:to:to]
		from = to
		slices.SortFunc(m.groups[k].signs, func(a, b int) int { return cmp.Compare(m.signs[a].row, m.signs[b].row) })
	}
	return m
}

// rowIn tells whether a group has a sign on a row already.
func rowIn(m *barMusic, in []int, group, row int) bool {
	for i := len(in) - 1; i >= 0 && in[i] == group; i-- {
		if m.signs[i].row == row {
			return true
		}
	}
	return false
}

// onsets lists the columns of the groups that take time.
func (m *barMusic) onsets() []int {
	var cols []int
	for _, g := range m.groups {
		if !g.grace {
			cols = append(cols, g.col)
		}
	}
	return cols
}
