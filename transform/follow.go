package transform

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Following the chords: under each chord symbol the hand plays in a shape of
// that chord, and of its shapes in the one that lies nearest, so that a whole
// progression is played in one region of the neck. The shapes are the cheapest
// path through those of all chords: millimetres that the hand goes from each to
// the next, and a price for every note that a shape has no place for.

// Prices of the path, in millimetres.
const (
	outsideMM = 30.0  // a note that has no place in the shape, on top of the way to it
	farMM     = 200.0 // the most that it costs
	foldedMM  = 30.0  // what it costs if it may move by an octave
	higherMM  = 0.01  // each fret up the neck: of two ways the lower
	awayShare = 0.25  // share of the way from the first shape, so that the hand comes back
)

// A shapedSpan is the time of a chord symbol, with the shape that is chosen for it.
type shapedSpan struct {
	chord    theory.Chord
	src      score.Handle
	measure  int
	from, to score.Quarters
	notes    []int // struck in it
	homes    []home
	chosen   *home
}

// shapedSpans lists the chord symbols over a part: its own, or those of the
// first part that has any. The first reaches back to the beginning.
func shapedSpans(s *score.Score, p *score.Part) []*shapedSpan {
	for _, q := range append([]*score.Part{p}, s.Parts...) {
		var spans []*shapedSpan
		var start score.Quarters
		for i, m := range q.Measures {
			for _, e := range m.Events {
				if h, ok := e.(*score.Harmony); ok {
					at := start.Add(h.Onset)
					if n := len(spans); n > 0 {
						spans[n-1].to = at
					}
					spans = append(spans, &shapedSpan{chord: h.Chord, src: h.Src, measure: i, from: at})
				}
			}
			start = start.Add(m.Length)
		}
		if n := len(spans); n > 0 {
			spans[0].from = score.Quarters{}
			spans[n-1].to = start.Add(score.Q(1, 1))
			return spans
		}
	}
	return nil
}

// follow gives the notes of one neck their homes by the chords over them.
func (np *neckPart) follow(s *score.Score, p *score.Part, neck *fretboard.Neck, notes []int, opt *RefingerOptions) {
	scheme := opt.Scheme
	if scheme == nil {
		scheme = fretboard.ChordShape{}
	}
	spans := shapedSpans(s, p)
	if len(spans) == 0 {
		np.rep.add(score.NotDone, CodeRefingerFollow, p.Src, np.rep.inPart()+"there are no chord symbols to follow", "write them over the music; it is fingered freely")
		return
	}
	k := 0
	for _, i := range notes {
		for k+1 < len(spans) && spans[k].to.Cmp(np.notes[i].at) <= 0 {
			k++
		}
		spans[k].notes = append(spans[k].notes, i)
	}
	spans = slices.DeleteFunc(spans, func(c *shapedSpan) bool { return len(c.notes) == 0 })
	known := map[string][]home{}
	for _, c := range spans {
		name := c.chord.String()
		homes, ok := known[name]
		if !ok {
			homes = np.shapesOf(c, scheme, neck)
			known[name] = homes
		}
		c.homes = homes
	}
	np.shapePath(spans, neck, opt)
	// A chord without a shape leaves the hand where it is.
	var last *home
	for _, c := range spans {
		if c.chosen != nil {
			last = c.chosen
			break
		}
	}
	for _, c := range spans {
		if c.chosen != nil {
			last = c.chosen
		}
		if last != nil {
			np.giveHome(c.notes, last)
		}
	}
	np.reportShapes(spans)
}

// shapesOf returns the regions of a chord, with what lies beside them.
func (np *neckPart) shapesOf(c *shapedSpan, scheme fretboard.Scheme, neck *fretboard.Neck) []home {
	tones := fretboard.ChordTones(c.chord)
	if len(tones.Tones) == 0 {
		return nil // N.C., or a symbol that nobody understands
	}
	regions, err := scheme.Regions(*neck, tones)
	if err != nil {
		np.rep.add(score.Warning, CodeRefingerFollow, c.src, fmt.Sprintf("%sbar %s: %s: %v", np.rep.inPart(), np.rep.bar(c.measure), c.chord.Pretty(), err), "the hand stays where it was")
		return nil
	}
	var homes []home
	for _, r := range regions {
		homes = append(homes, home{r, fretboard.Beside(scheme, r, tones)})
	}
	return homes
}

// shapePath chooses a shape for every chord that has any. The path is looked
// for from each shape of the first chord, since every other shape is drawn
// towards that one.
func (np *neckPart) shapePath(spans []*shapedSpan, neck *fretboard.Neck, opt *RefingerOptions) {
	var path []*shapedSpan
	var worth [][]float64 // of each shape by itself
	for _, c := range spans {
		if len(c.homes) == 0 {
			continue
		}
		w := make([]float64, len(c.homes))
		for i := range c.homes {
			r := &c.homes[i].region
			w[i] = np.awayMM(c.notes, r, opt.Fold) + higherMM*float64(r.Grips())
		}
		path, worth = append(path, c), append(worth, w)
	}
	if len(path) == 0 {
		return
	}
	mm := func(a, b *fretboard.Region) float64 { return neck.Reach(a.Grips(), b.Grips(), fretboard.ScaleLength) }
	least := math.Inf(1)
	var best []int
	for start := range path[0].homes {
		first := &path[0].homes[start].region
		cost := make([]float64, len(path[0].homes))
		for i := range cost {
			cost[i] = math.Inf(1)
		}
		cost[start] = worth[0][start] + np.startMM(path[0], neck, first)
		back := make([][]int, len(path))
		for k := 1; k < len(path); k++ {
			next := make([]float64, len(path[k].homes))
			back[k] = make([]int, len(next))
			for i := range next {
				r := &path[k].homes[i].region
				next[i] = math.Inf(1)
				for j := range cost {
					if x := cost[j] + mm(&path[k-1].homes[j].region, r); x < next[i] {
						next[i], back[k][i] = x, j
					}
				}
				next[i] += worth[k][i] + awayShare*mm(first, r)
			}
			cost = next
		}
		end := 0
		for i := range cost {
			if cost[i] < cost[end] {
				end = i
			}
		}
		if cost[end] >= least {
			continue
		}
		least, best = cost[end], make([]int, len(path))
		for k := len(path) - 1; k >= 0; k-- {
			if best[k] = end; k > 0 {
				end = back[k][end]
			}
		}
	}
	for k, i := range best {
		path[k].chosen = &path[k].homes[i]
	}
}

// awayMM is what the notes cost that have no place in a shape.
func (np *neckPart) awayMM(notes []int, r *fretboard.Region, fold bool) float64 {
	total := 0.0
	for _, i := range notes {
		n := &np.notes[i]
		if n.muted() || n.note.TieStop {
			continue
		}
		if _, ok := np.reachIn(i, r, 0); ok {
			continue
		}
		away := farMM
		for _, c := range n.candidates(n.note.Pitch) {
			away = min(away, outsideMM+r.Apart(c.place, fretboard.ScaleLength))
		}
		if fold {
			away = min(away, foldedMM)
		}
		total += away
	}
	return total
}

// startMM is how far the hand goes from where the source has it to the first
// shape; 0 where the source has it nowhere.
func (np *neckPart) startMM(c *shapedSpan, neck *fretboard.Neck, r *fretboard.Region) float64 {
	low := 0
	for _, i := range c.notes[:min(len(c.notes), 2*aroundNotes)] {
		if n := &np.notes[i]; n.wasFretted && (low == 0 || n.from.Fret < low) {
			low = n.from.Fret
		}
	}
	if low == 0 {
		return 0
	}
	return neck.Reach(low, r.Grips(), fretboard.ScaleLength)
}

// maxShapes is how many changes of shape are listed.
const maxShapes = 24

// reportShapes lists the shapes of the chords, in one line.
func (np *neckPart) reportShapes(spans []*shapedSpan) {
	var words []string
	last := ""
	for _, c := range spans {
		if c.chosen == nil {
			continue
		}
		r := &c.chosen.region
		if word := fmt.Sprintf("%s %s at fret %d", c.chord.Pretty(), r.Name, r.Grips()); word != last {
			words, last = append(words, word), word
		}
	}
	if len(words) == 0 {
		np.rep.add(score.NotDone, CodeRefingerFollow, np.rep.part.Src, np.rep.inPart()+"no chord symbol has a shape on this neck", "the notes are fingered freely")
		return
	}
	if more := len(words) - maxShapes; more > 0 {
		words = append(words[:maxShapes], fmt.Sprintf("and %d more", more))
	}
	np.rep.add(score.Info, CodeRefingerFollow, spans[0].src, np.rep.inPart()+"shapes: "+strings.Join(words, ", "), "")
}
