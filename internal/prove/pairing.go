package prove

import (
	"slices"

	"example.org/lickwright/score"
)

// maxPairs is how many pairs of bars are compared; of longer pieces only those
// that lie near each other.
const maxPairs = 200_000

// pairBars pairs the bars of task and student in order, so that the notes that
// differ are the fewest; a bar alone has a nil partner.
func (mk *marker) pairBars(a, b []playedBar) [][2]*playedBar {
	n, m := len(a), len(b)
	near := max(n, m)
	if n*m > maxPairs {
		near = max(n-m, m-n) + maxPairs/max(n, m)
	}
	for _, bars := range [...][]playedBar{a, b} {
		for i := range bars {
			for _, n := range bars[i].notes {
				bars[i].keys = append(bars[i].keys, n.key)
			}
			slices.Sort(bars[i].keys)
		}
	}
	// A bar that has no partner costs as much as its notes; two bars what
	// they do not share.
	alone := func(x playedBar) int { return 2 + 2*len(x.notes) }
	const never = 1 << 30
	cost := make([][]int, n+1)
	differ := make([][]int, n+1)
	for i := range cost {
		cost[i] = make([]int, m+1)
		differ[i] = make([]int, m+1)
	}
	for i := n; i >= 0; i-- {
		for j := m; j >= 0; j-- {
			differ[i][j] = never
			if i < n && j < m && max(i-j, j-i) <= near {
				differ[i][j] = unlike(a[i], b[j])
			}
			switch {
			case i == n && j == m:
			case i == n:
				cost[i][j] = cost[i][j+1] + alone(b[j])
			case j == m:
				cost[i][j] = cost[i+1][j] + alone(a[i])
			default:
				cost[i][j] = min(cost[i+1][j+1]+differ[i][j], cost[i+1][j]+alone(a[i]), cost[i][j+1]+alone(b[j]))
			}
		}
	}
	var pairs [][2]*playedBar
	for i, j := 0, 0; i < n || j < m; {
		switch {
		case i < n && j < m && cost[i][j] == cost[i+1][j+1]+differ[i][j]:
			pairs = append(pairs, [2]*playedBar{&a[i], &b[j]})
			i, j = i+1, j+1
		case i < n && cost[i][j] == cost[i+1][j]+alone(a[i]):
			pairs = append(pairs, [2]*playedBar{&a[i], nil})
			i++
		default:
			pairs = append(pairs, [2]*playedBar{nil, &b[j]})
			j++
		}
	}
	return pairs
}

// unlike counts how far two bars differ: two for each note that one has and
// the other has not, one if only its time is another.
func unlike(a, b playedBar) int {
	both := common(a.keys, b.keys, func(x, y int) int { return x - y })
	inTime := common(a.notes, b.notes, inOrder)
	return max(len(a.notes), len(b.notes))*2 - both - min(inTime, both)
}

// common counts what two sorted lists have in common.
func common[T any](a, b []T, order func(T, T) int) int {
	n := 0
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch d := order(a[i], b[j]); {
		case d < 0:
			i++
		case d > 0:
			j++
		default:
			n, i, j = n+1, i+1, j+1
		}
	}
	return n
}

func inOrder(a, b *played) int {
	if d := a.onset.Cmp(b.onset); d != 0 {
		return d
	}
	return a.key - b.key
}

// after returns when the next note of a bar is struck, 0 if none is.
func after(notes []*played, n *played) score.Quarters {
	for _, o := range notes {
		if n.onset.Less(o.onset) {
			return o.onset
		}
	}
	return score.Quarters{}
}

// align pairs the notes of two bars in order of time, at the least cost: the
// same note at the same time costs nothing, at another time or place a little,
// another note at the same time more, and a note alone most.
func align(a, b []*played) [][2]*played {
	const alone, never = 12, 1 << 20
	price := func(w, h *played) int {
		switch {
		case w.key == h.key && w.onset == h.onset && w.note.Place == h.note.Place:
			return 0
		case w.key == h.key && w.onset == h.onset:
			return 1
		case w.key == h.key:
			return 6
		case w.onset == h.onset && w.known && h.known && (w.key-h.key)%12 == 0:
			return 9
		case w.onset == h.onset:
			return 10
		}
		return never
	}
	n, m := len(a), len(b)
	cost := make([][]int, n+1)
	for i := range cost {
		cost[i] = make([]int, m+1)
	}
	for i := n; i >= 0; i-- {
		for j := m; j >= 0; j-- {
			switch {
			case i == n:
				cost[i][j] = alone * (m - j)
			case j == m:
				cost[i][j] = alone * (n - i)
			default:
				cost[i][j] = min(cost[i+1][j+1]+price(a[i], b[j]), cost[i+1][j]+alone, cost[i][j+1]+alone)
			}
		}
	}
	var pairs [][2]*played
	for i, j := 0, 0; i < n || j < m; {
		switch {
		case i < n && j < m && cost[i][j] == cost[i+1][j+1]+price(a[i], b[j]):
			pairs = append(pairs, [2]*played{a[i], b[j]})
			i, j = i+1, j+1
		case i < n && cost[i][j] == cost[i+1][j]+alone:
			pairs = append(pairs, [2]*played{a[i], nil})
			i++
		default:
			pairs = append(pairs, [2]*played{nil, b[j]})
			j++
		}
	}
	return pairs
}
