package theory

// quality decides which kind of chord the words make.
func (p *qualityParser) quality() (quality, error) {
	var q quality
	switch {
	case p.alt:
		if p.third != wordNone || p.fifth != wordNone || p.sus2 || p.sus4 || p.number != 0 && p.number != 7 {
			return q, p.fail(0, "only a dominant seventh can be altered as a whole")
		}
		q = ofKind("dominant")
		q.degrees = append(q.degrees, alteredDegrees...)
	case p.sus2 || p.sus4:
		q = p.suspended()
	case p.fifth == wordDim:
		q = p.diminished()
	case p.fifth == wordHalfDim || p.flatFive:
		q = p.halfDiminished()
	case p.third == wordMinor:
		q = p.minor()
	default:
		var msg string
		if q, msg = p.majorOrDominant(); msg != "" {
			return q, p.fail(0, msg)
		}
	}
	p.apply(&q)
	return q, nil
}

func ofKind(name string) quality { return quality{kind: kindIndex(name)} }

// stack adds ninth, eleventh and thirteenth up to a number.
func (q *quality) stack(number int) {
	for n := 9; n <= number; n += 2 {
		q.add(n, 0)
	}
}

// suspended writes 7sus4 as suspended-fourth with an added seventh. A minor
// third that is said too ("m7sus4") gives way.
func (p *qualityParser) suspended() quality {
	q := ofKind("suspended-fourth")
	if p.sus2 && !p.sus4 {
		q = ofKind("suspended-second")
	}
	if p.sus2 && p.sus4 {
		q.add(2, 0)
	}
	if p.fifth == wordAug {
		q.alter(Degree{5, 1})
	}
	if p.flatFive {
		q.alter(Degree{5, -1})
	}
	seventh := 0
	if p.major {
		seventh = 1
	}
	switch n := p.number; {
	case n == 6, n == 2, n == 4:
		q.add(n, 0)
	case n >= 7:
		q.add(7, seventh)
		for ext := 9; ext <= n; ext += 2 {
			if ext != 11 || !p.sus4 { // the fourth is the eleventh
				q.add(ext, 0)
			}
		}
	case p.triangle:
		q.add(7, 1)
	}
	return q
}

func (p *qualityParser) diminished() quality {
	if p.major { // dim(maj7)
		q := ofKind("diminished")
		if p.number >= 7 || p.triangle {
			q.add(7, 1)
		}
		q.stack(p.number)
		return q
	}
	if p.number < 7 {
		q := ofKind("diminished")
		if p.number != 0 && p.number != 5 {
			q.add(p.number, 0)
		}
		return q
	}
	q := ofKind("diminished-seventh")
	q.stack(p.number)
	return q
}

func (p *qualityParser) halfDiminished() quality {
	q := ofKind("half-diminished")
	if n := p.number; n != 0 && n < 7 {
		q.add(n, 0)
	} else {
		q.stack(n)
	}
	return q
}

func (p *qualityParser) minor() quality {
	var q quality
	switch n := p.number; {
	case p.major && (n >= 7 || p.triangle):
		q = ofKind("major-minor")
		q.stack(n)
	case n == 6:
		q = ofKind("minor-sixth")
	case n == 7:
		q = ofKind("minor-seventh")
	case n == 9:
		q = ofKind("minor-ninth")
	case n == 11:
		q = ofKind("minor-11th")
	case n == 13:
		q = ofKind("minor-13th")
	default:
		q = ofKind("minor")
		if n == 2 || n == 4 {
			q.add(n, 0)
		}
	}
	if p.fifth == wordAug {
		q.alter(Degree{5, 1})
	}
	return q
}

// majorOrDominant covers major, dominant and augmented chords and the power chord.
func (p *qualityParser) majorOrDominant() (q quality, msg string) {
	aug := p.fifth == wordAug
	n := p.number
	if n == 0 && p.dominant {
		n = 7
	}
	switch {
	case n == 0 && p.triangle || p.major && n == 7:
		q = ofKind("major-seventh")
	case p.major && n == 9:
		q = ofKind("major-ninth")
	case p.major && n == 11:
		q = ofKind("major-11th")
	case p.major && n == 13:
		q = ofKind("major-13th")
	case n == 7 && aug:
		return ofKind("augmented-seventh"), ""
	case n == 7:
		q = ofKind("dominant")
	case n == 9:
		q = ofKind("dominant-ninth")
	case n == 11:
		q = ofKind("dominant-11th")
	case n == 13:
		q = ofKind("dominant-13th")
	case n == 5 && (aug || p.major):
		return q, "5 alone is a power chord, which is neither major nor augmented"
	case n == 5:
		q = ofKind("power")
	case n == 4:
		q = ofKind("suspended-fourth")
	case n == 0 && aug:
		return ofKind("augmented"), ""
	case n == 6:
		q = ofKind("major-sixth")
	default:
		q = ofKind("major")
		if n == 2 {
			q.add(2, 0)
		}
	}
	if aug {
		q.alter(Degree{5, 1})
	}
	return q, ""
}
