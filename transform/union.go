package transform

// A union keeps disjoint sets of the numbers 0 to n-1 (union–find with path
// halving). The set of a number is named by its smallest member.
type union []int

func newUnion(n int) union {
	u := make(union, n)
	for i := range u {
		u[i] = i
	}
	return u
}

func (u union) find(i int) int {
	for u[i] != i {
		u[i] = u[u[i]]
		i = u[i]
	}
	return i
}

func (u union) join(i, j int) {
	i, j = u.find(i), u.find(j)
	u[max(i, j)] = min(i, j)
}
