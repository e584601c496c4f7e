package prove

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// A Version is music that a sheet or a MIDI file holds, all of it or under one
// of its headings: other music, moved by the same interval throughout.
type Version struct {
	Heading   string       // "" for a file of one piece
	Of        *score.Score // never nil
	Semitones *int         // by how much, octaves aside; nil for not said
	Exact     bool         // octaves count
}

// fits tells whether a key is another one moved by semitones.
func (v Version) fits(was, now, by int) bool {
	return classOf(was+by, v.Exact) == classOf(now, v.Exact)
}

// offsets lists by how many semitones the music may be moved.
func (v Version) offsets() []int {
	if v.Semitones != nil {
		return []int{*v.Semitones}
	}
	offs := []int{0}
	far := 6
	if v.Exact {
		far = 36
	}
	for i := 1; i <= far; i++ {
		offs = append(offs, i, -i)
	}
	return offs
}

// A due is a note that is to be heard.
type due struct {
	moment
	note    *score.Note
	on, off float64 // quarter notes from the beginning
	half    bool    // it begins between two quarters, which swing moves
	key     int     // of the string as it is stopped, or of the harmonic
	bend    float64 // semitones that it is bent by; 0 for none
	short   bool    // it sounds shorter than it is written
	ring    bool    // or longer
	again   bool    // it is struck again and again while it lasts
}

const graceQuarters = 1.0 / 16 // of a grace note, as render/midi's documentation has it

// A barTime is a bar with the time at which it is played.
type barTime struct {
	bar    int
	at     float64
	before float64 // of its metre that a pickup leaves out
}

// playedBars lists the bars of parts in the order in which they are played. ok
// is false where endings or words of where to go on make that order, which the
// check does not follow.
func playedBars(parts []*score.Part) (list []barTime, end float64, ok bool) {
	bars := len(parts[0].Measures)
	forward, times := make([]bool, bars), make([]int, bars)
	length := make([]float64, bars)
	for _, p := range parts {
		if len(p.Measures) != bars {
			return nil, 0, false
		}
		for i, m := range p.Measures {
			length[i] = max(length[i], m.Length.Float())
			if m.Route != (score.Route{}) {
				return nil, 0, false
			}
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Barline:
					if e.Ending != "" || e.EndingType != "" {
						return nil, 0, false
					}
					forward[i] = forward[i] || e.Repeat == score.Forward
					if e.Repeat == score.Backward {
						times[i] = max(times[i], e.Times, 2)
					}
				case *score.Words:
					if leadsOn(e) {
						return nil, 0, false
					}
				}
			}
		}
	}
	first := parts[0].Measures[0]
	before := 0.0
	if first.Implicit && first.Length.Less(first.Nominal) {
		before = first.Nominal.Sub(first.Length).Float()
	}
	start, pass := 0, 1
	for i := 0; i < bars; {
		if forward[i] && start != i {
			start, pass = i, 1
		}
		b := barTime{bar: i, at: end}
		if i == 0 {
			b.before = before
		}
		list = append(list, b)
		end += length[i]
		if times[i] > pass && len(list) < 100_000 {
			i, pass = start, pass+1
			continue
		}
		if times[i] > 0 {
			start, pass = i+1, 1
		}
		i++
	}
	return list, end, true
}

// leadsOn tells whether words may say where to go on.
func leadsOn(w *score.Words) bool {
	if w.Kind != "words" && w.Kind != "rehearsal" {
		return false
	}
	text := strings.ToLower(w.Text)
	return slices.ContainsFunc([]string{"d.c.", "d.s.", "d. c.", "d. s.", "da capo", "dal segno", "coda", "segno", "fine"}, func(s string) bool { return strings.Contains(text, s) })
}

// dues lists what is to be heard of a part, in order of time.
func dues(p *score.Part, bars []barTime) []due {
	beats := p.BeatLengths()
	var all []due
	last := map[ring][]int{} // indices of what may be held, by string, or by key where there is none
	place := func(n *score.Note, d due) ring {
		if n.Place.String == 0 {
			return ring{key: d.key}
		}
		return ring{str: n.Place.String}
	}
	open := map[score.SpanKind]map[int]bool{score.PalmMute: {}, score.LetRingSpan: {}}
	mark := func(n *score.Note, end score.SpanEnd) {
		for _, t := range n.Techniques {
			if s, ok := t.(score.Span); ok && s.End == end && open[s.Kind] != nil {
				if end == score.Start {
					open[s.Kind][s.ID] = true
				} else {
					delete(open[s.Kind], s.ID)
				}
			}
		}
	}
	for _, b := range bars {
		var graces []*score.Chord
		before := func(until score.Quarters) {
			for i, g := range graces {
				on := b.at + until.Float() - graceQuarters*float64(len(graces)-i) // below 0 before the first note
				for _, n := range g.Notes {
					if d, ok := dueOf(n); ok {
						d.moment, d.on, d.off, d.short = moment{p, b.bar, g, beats[b.bar]}, on, on+graceQuarters, true
						at := place(n, d)
						last[at] = append(last[at], len(all))
						all = append(all, d)
					}
				}
			}
			graces = nil
		}
		for c := range p.Measures[b.bar].Chords() {
			switch {
			case c.Cue:
				continue
			case c.Grace != score.NotGrace:
				graces = append(graces, c)
				continue
			}
			before(c.Onset)
			for _, n := range c.Notes {
				mark(n, score.Start)
			}
			for _, n := range c.Notes {
				d, ok := dueOf(n)
				if !ok {
					continue
				}
				d.moment, d.on, d.off = moment{p, b.bar, c, beats[b.bar]}, b.at+c.Onset.Float(), b.at+c.End().Float()
				d.half = halfWay(b.before + c.Onset.Float())
				d.short = d.short || len(open[score.PalmMute]) > 0
				d.ring = d.ring || len(open[score.LetRingSpan]) > 0
				d.again = d.again || c.Tremolo > 0
				at := place(n, d)
				k := slices.IndexFunc(last[at], func(i int) bool { return all[i].key == d.key && near(all[i].off, d.on) })
				if k < 0 || !n.TieStop && !n.Has(score.Held) {
					last[at] = append(slices.DeleteFunc(last[at], func(i int) bool { return all[i].off < d.on-nearly }), len(all))
					all = append(all, d)
					continue
				}
				was := &all[last[at][k]]
				was.off = d.off
				was.ring, was.short, was.again = was.ring || d.ring, was.short || d.short, was.again || d.again
				if d.bend != 0 {
					was.bend = d.bend
				}
			}
			for _, n := range c.Notes {
				mark(n, score.Stop)
			}
		}
		before(p.Measures[b.bar].Length)
	}
	inTime(all)
	return all
}

func inTime(list []due) {
	slices.SortStableFunc(list, func(a, b due) int {
		switch {
		case near(a.on, b.on):
			return 0
		case a.on < b.on:
			return -1
		}
		return 1
	})
}

// dueOf says what a note alone says of how it is heard; ok is false where it is
// not heard.
func dueOf(n *score.Note) (d due, ok bool) {
	if n.Unpitched {
		return d, false
	}
	d = due{note: n, key: sounds(n.Pitch)}
	if h, is := n.Harmonic(); is {
		d.key += h.Over
	}
	for _, t := range n.Techniques {
		switch t := t.(type) {
		case score.Bend:
			if !t.WithBar {
				d.bend = t.Amount.Float()
			}
		case score.Trill:
			d.again = true
		case score.Mark:
			switch t {
			case score.Dead, score.PalmMuted, score.Staccato, score.Staccatissimo:
				d.short = true
			case score.LetRing:
				d.ring = true
			case score.TremoloPicking:
				d.again = true
			}
		}
	}
	return d, true
}

const nearly = 1e-6 // quarter notes

func near(a, b float64) bool { return a-b < nearly && b-a < nearly }

// halfWay tells whether a time lies in the middle of a quarter.
func halfWay(at float64) bool { return near(at-float64(int(at)), 0.5) }

// fault makes one at a note that is due.
func (d due) fault(kind Kind, heading, format string, args ...any) Fault {
	return Fault{Kind: kind, Bar: d.part.BarName(d.bar), Beat: score.BeatName(d.chord.Onset, d.beat), Msg: prefixed(heading, fmt.Sprintf(format, args...))}
}
