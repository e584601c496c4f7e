package compare

// indel is what leaving out an element of one side costs in an alignment,
// against 0 for a pair of equals.
const indel = 1.0

// never is the cost of a pair that must not be made.
const never = 1e9

// maxCells bounds the table of an alignment. Larger ones are searched in a
// band around the diagonal, which finds the cheapest alignment that stays in
// it; equal beginnings and ends are taken off before.
const maxCells = 1 << 20

// minBand is how far from the diagonal the band reaches at least.
const minBand = 32

// A pair joins an element of each side; -1 is none.
type pair struct{ a, b int }

// align finds the cheapest order-preserving alignment of n elements with m.
// Of two equally cheap ones it takes the one that pairs earlier elements. It
// takes time and memory in proportion to n·m up to maxCells, and to maxCells
// or the longer side beyond. Source: Needleman & Wunsch 1970; the band is
// that of Ukkonen 1985.
func align(n, m int, cost func(i, j int) float64) []pair {
	lead := 0
	for lead < n && lead < m && cost(lead, lead) == 0 {
		lead++
	}
	tail := 0
	for tail < n-lead && tail < m-lead && cost(n-1-tail, m-1-tail) == 0 {
		tail++
	}
	pairs := make([]pair, 0, max(n, m))
	for i := range lead {
		pairs = append(pairs, pair{i, i})
	}
	pairs = append(pairs, middle(lead, n-tail, lead, m-tail, cost)...)
	for i := range tail {
		pairs = append(pairs, pair{n - tail + i, m - tail + i})
	}
	return pairs
}

// The steps back through the table.
const (
	together byte = iota + 1
	onlyA
	onlyB
)

// middle aligns a0…a1 with b0…b1.
func middle(a0, a1, b0, b1 int, cost func(i, j int) float64) []pair {
	n, m := a1-a0, b1-b0
	if n == 0 || m == 0 {
		var pairs []pair
		for i := range n {
			pairs = append(pairs, pair{a0 + i, -1})
		}
		for j := range m {
			pairs = append(pairs, pair{-1, b0 + j})
		}
		return pairs
	}
	reach := max(n, m) // of the band to either side of the diagonal
	if int64(n)*int64(m) > maxCells {
		reach = max(minBand, maxCells/(2*n), m/n+1)
	}
	diagonal := func(i int) int { return int(int64(i) * int64(m) / int64(n)) }
	from := func(i int) int { return max(0, diagonal(i)-reach) }
	to := func(i int) int { return min(m, diagonal(i)+reach) }
	back := make([][]byte, n+1)
	above := row{}
	for i := 0; i <= n; i++ {
		here := row{from: from(i), cost: make([]float64, to(i)-from(i)+1)}
		back[i] = make([]byte, len(here.cost))
		for j := here.from; j <= to(i); j++ {
			best, step := never*2, byte(0)
			if i > 0 && j > 0 {
				if before := above.at(j - 1); before < never {
					if c := before + cost(a0+i-1, b0+j-1); c < best {
						best, step = c, together
					}
				}
			}
			if i > 0 {
				if c := above.at(j) + indel; c < best {
					best, step = c, onlyA
				}
			}
			if j > here.from {
				if c := here.at(j-1) + indel; c < best {
					best, step = c, onlyB
				}
			}
			if i == 0 && j == 0 {
				best = 0
			}
			here.cost[j-here.from], back[i][j-here.from] = best, step
		}
		above = here
	}
	pairs := make([]pair, 0, n+m)
	for i, j := n, m; i > 0 || j > 0; {
		switch back[i][j-from(i)] {
		case together:
			i, j = i-1, j-1
			pairs = append(pairs, pair{a0 + i, b0 + j})
		case onlyA:
			i--
			pairs = append(pairs, pair{a0 + i, -1})
		default:
			j--
			pairs = append(pairs, pair{-1, b0 + j})
		}
	}
	for i, j := 0, len(pairs)-1; i < j; i, j = i+1, j-1 {
		pairs[i], pairs[j] = pairs[j], pairs[i]
	}
	return pairs
}

// A row of the table, from a column on.
type row struct {
	from int
	cost []float64
}

func (r row) at(j int) float64 {
	if j < r.from || j-r.from >= len(r.cost) {
		return never * 2
	}
	return r.cost[j-r.from]
}
