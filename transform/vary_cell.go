package transform

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// sequence repeats the first notes of each line, each time a step further,
// until the time of the line is filled. Where the neck ends it turns round.
func (v *varied) sequence(step Variation) {
	var said []string
	short := 0
	for _, l := range v.lines {
		if len(l.tones) <= step.Size {
			short++
			continue
		}
		said = append(said, v.sequenceLine(l, step))
	}
	if said == nil {
		v.refuse("say fewer", "the line has no more than %s", countOf(step.Size, "note"))
		return
	}
	v.moved = true
	text := "sequence: the first " + countOf(step.Size, "note") + " " + strings.Join(slices.Compact(said), "; in another voice ") + v.onlyThese()
	if short > 0 {
		text += fmt.Sprintf("; %s with no more notes left alone", countOf(short, "voice"))
	}
	v.say("%s", text)
	if i, was := len(v.rep.list)-1, beginningWords(v.cut); v.cut > 0 && v.opt.trim {
		v.sayCells = func(cut int) {
			v.rep.list[i].Msg = strings.Replace(v.rep.list[i].Msg, was, beginningWords(cut), 1)
		}
	}
}

// sequenceLine makes the sequence in one line and says how often the notes
// came, which way they went and where they turned.
func (v *varied) sequenceLine(l *phraseLine, step Variation) string {
	dir := step.Steps
	if dir == 0 {
		if dir = sign(l.tones[len(l.tones)-1].top() - l.tones[0].top()); dir == 0 {
			dir = 1
		}
	}
	motif := l.tones[:step.Size]
	span := l.tones[step.Size].at.Sub(motif[0].at)
	end := l.tones[len(l.tones)-1].end()
	list := slices.Clone(motif)
	shift, steps := span, dir
	times, cut := 1, 0 // whole ones, and the notes of one that is cut off
	total, cutTo := v.total(), ""
	var way strings.Builder
	fmt.Fprintf(&way, ", each %s in %s", stepWords(dir), v.scale.Pretty())
	for turned := 0; list[0].at.Add(shift).Less(end); {
		copies := make([]*phraseTone, 0, len(motif))
		fits := true
		for _, t := range motif {
			c := t.copy()
			c.at = t.at.Add(shift)
			for _, n := range c.notes() {
				v.ladder.moveNote(n, v.key, moving{to: func(p theory.Pitch) theory.Pitch { return v.along(p, steps) }, along: true})
				fits = fits && (n.Unpitched || n.Has(score.Dead) || v.onNeck(n.Pitch.MIDI()))
			}
			copies = append(copies, c)
		}
		if !fits && turned < times { // not twice at one place
			turned = times
			dir = -dir
			steps += 2 * dir
			fmt.Fprintf(&way, "; after the first %d, where the neck ends, each %s", times, stepWords(dir))
			continue
		}
		for _, c := range copies {
			if !c.at.Less(end) {
				break
			}
			if over := c.end().Sub(total); over.Sign() > 0 {
				c.length = c.length.Sub(over)
				cutTo = ", the last note cut to " + v.spanWords(c.length)
			}
			list = append(list, c)
			cut++
		}
		if cut == len(motif) {
			times, cut = times+1, 0
		}
		shift, steps = shift.Add(span), steps+dir
	}
	l.tones = list
	if l == v.lines[0] {
		v.cut = cut
	}
	text := fmt.Sprintf("%d times", times)
	switch {
	case times == 1:
		text = "once"
	case times == 2:
		text = "twice"
	}
	text += beginningWords(cut)
	return text + cutTo + way.String()
}

// beginningWords says how much of a cell comes at the end that breaks off in it.
func beginningWords(cut int) string {
	if cut == 0 {
		return ""
	}
	return " and their beginning once more (" + countOf(cut, "note") + ")"
}

// stepWords says which way and how far: "a step up", "2 steps down".
func stepWords(steps int) string {
	way := "up"
	if steps < 0 {
		way, steps = "down", -steps
	}
	if steps == 1 {
		return "a step " + way
	}
	return fmt.Sprintf("%d steps %s", steps, way)
}

// group lets the first notes come over and over in the rhythm that there is,
// beginning anew with each chord. A pickup belongs to the first chord.
func (v *varied) group(step Variation) {
	changed, cells := 0, 0
	for _, l := range v.lines {
		var list []*phraseTone
		mine := 0
		for from := 0; from < len(l.tones); {
			to := from + 1
			for to < len(l.tones) && !v.chordChanges(l.tones[from].at, l.tones[to].at) {
				to++
			}
			mine++
			cell := l.tones[from:min(from+step.Size, to)]
			for i, t := range l.tones[from:to] {
				if i < len(cell) {
					list = append(list, t)
					continue
				}
				c := cell[i%len(cell)].copy()
				c.at, c.length = t.at, t.length
				list = append(list, c)
				changed++
			}
			from = to
		}
		l.tones = list
		cells = max(cells, mine)
	}
	if changed == 0 {
		v.nothing("no line is longer than the cell")
		return
	}
	if cells > 1 {
		v.say("grouped: the first %s under each chord, begun again when they are through, in the rhythm that there was%s", countOf(step.Size, "note"), v.onlyThese())
		return
	}
	v.say("grouped: the first %s, begun again when they are through, in the rhythm that there was%s", countOf(step.Size, "note"), v.onlyThese())
}

// onlyThese limits what was said before a step that takes some notes and drops
// the others.
func (v *varied) onlyThese() string {
	if !v.partly {
		return ""
	}
	return "; of what was done before only what is in these is left"
}

// chordChanges tells whether a chord begins after one time and not after
// another. What comes before the first chord leads to it.
func (v *varied) chordChanges(a, b score.Quarters) bool {
	return max(v.spanAt(a), 0) != max(v.spanAt(b), 0)
}

// permute puts the notes of each bar into another order, in groups; the rhythm
// stays.
func (v *varied) permute(step Variation) {
	order := step.Order
	if order == nil {
		r := rand.New(rand.NewPCG(v.opt.Seed, 40))
		size := 4
		if beats, unit := v.beats(); len(beats) > 0 && beats[0].Div(unit) == score.Q(3, 1) {
			size = 3
		}
		for order = r.Perm(size); slices.IsSorted(order); {
			order = r.Perm(size)
		}
		for i := range order {
			order[i]++
		}
	}
	v.oneEach()
	begins := starts(v.part)
	bar := func(at score.Quarters) int {
		i, found := slices.BinarySearchFunc(begins, at, score.Quarters.Cmp)
		if !found {
			i--
		}
		return i
	}
	groups, left := 0, 0
	for _, l := range v.lines {
		where := map[*score.Note]int{} // the place of a note in its line
		var list []*phraseTone
		for from := 0; from < len(l.tones); {
			to := from + 1
			for to < len(l.tones) && to-from < len(order) && bar(l.tones[to].at) == bar(l.tones[from].at) {
				to++
			}
			group := l.tones[from:to]
			if to-from == len(order) {
				groups++
				group = make([]*phraseTone, len(order))
				marks := make([][]score.Technique, len(order))
				for i, k := range order {
					t := *l.tones[from+k-1]
					t.at, t.length = l.tones[from+i].at, l.tones[from+i].length
					if t.length.Less(l.tones[from+k-1].length) {
						marks[k-1] = takeVibrato(t.chord)
					}
					group[i] = &t
				}
				for i, list := range marks {
					for _, n := range group[i].chord.Notes {
						n.Techniques = append(n.Techniques, list...)
					}
				}
			} else {
				left += to - from
			}
			list = append(list, group...)
			from = to
		}
		l.tones = list
		for i, t := range l.tones {
			for _, n := range t.chord.Notes {
				where[n] = i
			}
		}
		v.parted = rejoin(l, where) || v.parted
	}
	if groups == 0 {
		v.nothing(fmt.Sprintf("no bar has %d notes in a row", len(order)))
		return
	}
	text := fmt.Sprintf("permuted: of each %s in a bar the order %s", countOf(len(order), "note"), strings.Trim(fmt.Sprint(order), "[]"))
	if left > 0 {
		text += fmt.Sprintf("; %s left over in the old order", countOf(left, "note"))
	}
	v.say("%s", text)
}

// oneEach gives what joins two notes an ID of its own where notes were copied, each
// start with the next stop.
func (v *varied) oneEach() {
	next := 0
	for _, l := range v.lines {
		for _, t := range l.tones {
			for _, n := range t.notes() {
				for _, x := range n.Techniques {
					if s, ok := x.(score.Span); ok {
						next = max(next, s.ID)
					}
				}
			}
		}
	}
	for _, l := range v.lines {
		open := map[spanID]int{}
		for _, t := range l.tones {
			for _, what := range [...]score.SpanEnd{score.Stop, score.Start} {
				for _, n := range t.notes() {
					for i, x := range n.Techniques {
						s, ok := x.(score.Span)
						if !ok || s.End != what || !s.Kind.KeepsString() && s.Kind != score.Glissando {
							continue
						}
						k := spanID{s.Kind, s.ID}
						if what == score.Start {
							next++
							open[k] = next
						}
						if id, ok := open[k]; ok {
							s.ID = id
							n.Techniques[i] = s
						}
						if what == score.Stop {
							delete(open, k)
						}
					}
				}
			}
		}
	}
}

// takeVibrato takes the vibrato off a chord and returns it: it stays on the long
// note of a rhythm, where there is time for it.
func takeVibrato(c *score.Chord) (marks []score.Technique) {
	for _, n := range c.Notes {
		n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool {
			if t != score.Vibrato && t != score.WideVibrato {
				return false
			}
			if !slices.Contains(marks, t) {
				marks = append(marks, t)
			}
			return true
		})
	}
	return marks
}

// rejoin keeps what joins two notes where they still follow each other, turns
// it round where they do the other way, and takes it off elsewhere, which it tells.
// What extends over notes begins at the one that is first now.
func rejoin(l *phraseLine, where map[*score.Note]int) (parted bool) {
	type ends struct {
		start, stop *score.Note
	}
	spans := map[spanID]*ends{}
	for _, t := range l.tones {
		for _, n := range t.chord.Notes {
			for _, x := range n.Techniques {
				if s, ok := x.(score.Span); ok {
					k := spanID{s.Kind, s.ID}
					if spans[k] == nil {
						spans[k] = &ends{}
					}
					if s.End == score.Start {
						spans[k].start = n
					} else {
						spans[k].stop = n
					}
				}
			}
		}
	}
	for _, t := range l.tones {
		for _, n := range t.chord.Notes {
			n.Techniques = slices.DeleteFunc(n.Techniques, func(x score.Technique) bool {
				s, ok := x.(score.Span)
				if !ok || !s.Kind.KeepsString() && s.Kind != score.Glissando {
					return false
				}
				e := spans[spanID{s.Kind, s.ID}]
				if e.start == nil || e.stop == nil {
					return false // the other end is a grace note or another voice
				}
				if d := where[e.stop] - where[e.start]; d == 1 || d == -1 {
					return false
				}
				parted = true
				return true
			})
			for i, x := range n.Techniques {
				s, ok := x.(score.Span)
				if !ok {
					continue
				}
				e := spans[spanID{s.Kind, s.ID}]
				if e.start != nil && e.stop != nil && where[e.stop] < where[e.start] {
					n.Techniques[i] = backwards(s)
				}
			}
		}
	}
	return parted
}
