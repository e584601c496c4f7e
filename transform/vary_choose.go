package transform

// choose picks the most different ones. Until a candidate is fingered its
// distance is taken to be as great as any places can make it: so only those that
// may be the next have to be fingered, and what is chosen is the same as if all
// were.
func (x *choosing) choose(count int) []Varied {
	shapes := []*PhraseShape{x.home} // of what is chosen
	for _, c := range x.pool {
		c.near = x.near(c, shapes)
	}
	var chosen []Varied
	kinds := map[VariationKind]int{}
	uses := map[string]int{} // of steps
	ofPhrase, displaced := 0, 0
	rank := func(c *candidateVariation) int {
		rank := c.flaws + likeFlaws*c.like + twinFlaws*c.twins
		if c.ofPhrase {
			rank += 1 + ofPhrase
		}
		if c.displaced {
			rank += max(0, displaced-mostDisplaced*((count+9)/10)+1)
		}
		rank += max(0, kinds[c.kind]-mostOfKind*(len(chosen)/10+1)+1)
		for _, name := range c.names {
			rank += max(0, uses[name]-mostUses+1)
		}
		return rank
	}
	for len(chosen) < count {
		var best *candidateVariation
		for _, c := range x.pool {
			if !c.gone && c.near > 0 && kinds[c.kind] < mostOfKind*((count+9)/10) && (c.twins == 0 || c.twins == 1 && c.near >= leastApart) && (!c.ofPhrase || ofPhrase < mostOfPhrase*((count+9)/10)) && (best == nil || rank(c) < rank(best) || rank(c) == rank(best) && c.near > best.near) {
				best = c
			}
		}
		if best == nil {
			for _, c := range x.pool {
				if !c.gone && c.near > 0 {
					x.failed[faultAlike]++
				}
			}
			break
		}
		if !best.fingered {
			if fault := x.finger(best); fault >= 0 {
				x.failed[fault]++
				best.gone = true
			} else if best.near = x.near(best, shapes); best.near == 0 {
				x.failed[faultSame]++
			}
			continue
		}
		best.gone = true
		chosen = append(chosen, Varied{Score: best.out, Steps: best.steps, Distance: best.near, Said: best.said, rank: rank(best)})
		kinds[best.kind]++
		if best.ofPhrase {
			ofPhrase++
		}
		if best.displaced {
			displaced++
		}
		for _, name := range best.names {
			uses[name]++
		}
		shapes = append(shapes, best.shape)
		for _, c := range x.pool {
			if !c.gone {
				if areTwins(c.tune, best.tune) {
					c.twins++
				}
				if areTwins(c.turns, best.turns) {
					c.like++
				}
				c.near = min(c.near, x.near(c, shapes[len(shapes)-1:]))
			}
		}
	}
	return chosen
}

// near returns how far a candidate is from the nearest of some shapes; at most,
// if it is not fingered yet.
func (x *choosing) near(c *candidateVariation, shapes []*PhraseShape) float64 {
	best := 0.0
	for i, s := range shapes {
		far := c.farthest
		if c.fingered || c.placed {
			far = nil
		}
		d := c.shape.distance(s, x.length, far)
		if i == 0 || d < best {
			best = d
		}
	}
	return best
}

// farthest returns how far apart a step of the candidate and one of another
// shape may lie on the neck at most.
func (c *candidateVariation) farthest(x, y ShapeStep) float64 {
	if x.Rest {
		return placeBetween(x, y)
	}
	list := c.may[x.At]
	if len(list) == 0 || y.Rest || y.Place.IsZero() {
		return placeUnlike
	}
	far := 0.0
	for _, p := range list {
		x.Place = p
		far = max(far, placeBetween(x, y))
	}
	return far
}
