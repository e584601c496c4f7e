package theory

// ScaleOfSet returns the scale of the pitch classes above a tonic, which is
// class 0 and is added if it is missing, spelled sensibly and with its name
// if it has one. So all 2,048 sets that hold the tonic are scales.
//
// A named scale is spelled as books do. Else a seven-note set takes one
// letter per degree, unless a degree would need more than two accidentals;
// other sets take the usual chromatic degrees (♭2 ♭3 ♯4 or ♭5 ♭6 ♭7), and
// others where they spare two notes on one letter.
func ScaleOfSet(set PitchSet) Scale {
	set = set.With(0)
	if s, ok := scaleWithSet(set); ok {
		return s
	}
	if set.Len() == 7 {
		if s, ok := lettered(set); ok {
			return s
		}
	}
	return spelledSet(set)
}

// lettered gives every class of a seven-note set its own letter.
func lettered(set PitchSet) (Scale, bool) {
	s := Scale{length: 7}
	i := 0
	for class := range set.Classes() {
		alter := class - diatonicSemitones[i]
		if abs(alter) > 2 {
			return Scale{}, false
		}
		s.degrees[i] = scaleDegree{int8(i + 1), int8(alter)}
		i++
	}
	return s, true
}

// setSpellings lists the degrees that a class may be, the usual one first,
// with what the others cost. The cost of two notes on one letter is
// sharedLetter.
var setSpellings = [12][]struct {
	degree scaleDegree
	cost   int
}{
	0:  {{scaleDegree{1, 0}, 0}},
	1:  {{scaleDegree{2, -1}, 0}},
	2:  {{scaleDegree{2, 0}, 0}},
	3:  {{scaleDegree{3, -1}, 0}, {scaleDegree{2, 1}, 2}},
	4:  {{scaleDegree{3, 0}, 0}, {scaleDegree{4, -1}, 6}},
	5:  {{scaleDegree{4, 0}, 0}},
	6:  {{scaleDegree{4, 1}, 0}, {scaleDegree{5, -1}, 0}},
	7:  {{scaleDegree{5, 0}, 0}},
	8:  {{scaleDegree{6, -1}, 0}, {scaleDegree{5, 1}, 2}},
	9:  {{scaleDegree{6, 0}, 0}, {scaleDegree{7, -2}, 6}},
	10: {{scaleDegree{7, -1}, 0}, {scaleDegree{6, 1}, 6}},
	11: {{scaleDegree{7, 0}, 0}},
}

const sharedLetter = 4

// spelledSet finds the cheapest spelling by trying all, 64 at most.
func spelledSet(set PitchSet) Scale {
	minor := set.Has(3) && !set.Has(4)
	free := set & choosable
	var best Scale
	bestCost := -1
	// choice runs through the subsets of free: those classes take their
	// second spelling.
	for choice := free; ; choice = (choice - 1) & free {
		s, cost := Scale{}, 0
		var letters [8]int
		for class := range set.Classes() {
			pick := 0
			if choice.Has(class) {
				pick = 1
			}
			spelling := setSpellings[class][pick]
			cost += spelling.cost
			if class == 6 && minor != (pick == 1) {
				cost++ // flat fifth in minor, sharp fourth else, where nothing else decides
			}
			letters[spelling.degree.number]++
			s.degrees[s.length] = spelling.degree
			s.length++
		}
		for _, n := range letters {
			cost += sharedLetter * max(0, n-1)
		}
		if bestCost < 0 || cost < bestCost {
			best, bestCost = s, cost
		}
		if choice == 0 {
			return best
		}
	}
}

// choosable holds the classes that have two spellings.
const choosable = 1<<3 | 1<<4 | 1<<6 | 1<<8 | 1<<9 | 1<<10
