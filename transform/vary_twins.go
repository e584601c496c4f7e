package transform

// tuneOf lists what the first voice strikes, as MIDI key numbers, without its times.
func tuneOf(v *varied) (keys []int) {
	if len(v.lines) > 0 {
		for _, t := range v.lines[0].tones {
			keys = append(keys, t.top())
		}
	}
	return keys
}

// turnsOf lists by how many steps of the scale each note of the first voice lies
// above the one before it.
func turnsOf(v *varied) (turns []int) {
	if len(v.lines) > 0 {
		for i, t := range v.lines[0].tones[1:] {
			turns = append(turns, v.ladder.at(v.heard(t)).step-v.ladder.at(v.heard(v.lines[0].tones[i])).step)
		}
	}
	return turns
}

// areTwins tells whether two tunes differ mostly in when they come: at least three
// quarters of the notes of the longer one are struck in the same order in the other,
// with others between them or not (their longest common subsequence). Of their turns
// it tells whether they differ mostly in where they lie.
func areTwins(a, b []int) bool {
	long := max(len(a), len(b))
	if float64(min(len(a), len(b))) < twinShare*float64(long) {
		return false
	}
	return float64(commonNotes(a, b)) >= twinShare*float64(long)
}

// commonNotes returns the length of the longest common subsequence of two tunes.
// Source: Wagner & Fischer, Journal of the ACM 21, 1974, from memory.
func commonNotes(a, b []int) int {
	row := make([]int, len(b)+1)
	for _, x := range a {
		before := 0 // of the row above, one to the left
		for j, y := range b {
			above := row[j+1]
			switch {
			case x == y:
				row[j+1] = before + 1
			case row[j] > above:
				row[j+1] = row[j]
			}
			before = above
		}
	}
	return row[len(b)]
}
