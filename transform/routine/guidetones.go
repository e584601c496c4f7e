package routine

import (
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// guideTones leads two voices of thirds and sevenths through the progression,
// each line written alone. Where one has the third the other has the seventh.
func (b *builder) guideTones(p *Page, l fretboard.Layout, hand fingers) []Exercise {
	bars, err := b.bars()
	if err != nil {
		b.say(p, score.NotDone, "routine-progression", err.Error(), "")
		return []Exercise{{Kind: GuideTones, Title: "Guide tones", Words: []string{sentence(err.Error())}}}
	}
	var all []stretch
	for _, bar := range bars {
		all = append(all, bar...)
	}
	voices, missing := lead(all, hold(l.Region))
	var out []Exercise
	for voice, name := range [...]string{"third", "seventh"} {
		e := Exercise{Kind: GuideTones, Title: "Guide tones over " + b.Over.String() + ", from the " + name}
		if voice == 0 {
			e.Words = []string{"Thirds and sevenths, or what stands for them, by the smallest steps."}
			if len(missing) > 0 {
				text := "no guide tones here for " + strings.Join(missing, " ")
				e.Words = append(e.Words, sentence(text))
				b.say(p, score.NotDone, "routine-no-room", text, "")
			}
		}
		var ln Line
		for i, st := range all {
			m := Moment{Length: st.length, Chord: &st.chord}
			if s := voices[i][voice]; s != nil {
				n := hand.under(*s, l.Region)
				n.OverChord = true
				m.Notes = []Note{n}
			}
			ln = append(ln, m)
		}
		e.Lines = []Line{ln}
		e.beyond(p)
		out = append(out, e)
	}
	return out
}

// A pair is what two voices have at a time.
type pair struct {
	midi  [2]int
	spots [2]*fretboard.Spot
	cost  int // of the best way to it
	back  int // the pair before on that way, -1 for none
}

// lead finds the two voices that move the fewest semitones in all through the
// guide tones of chords, the first beginning on a third, the second on a
// seventh; of equal ways the one nearest to the middle of the position. A
// chord with one guide tone gives it to both. Chords without any in the
// position leave the voices nil and are named.
func lead(all []stretch, places map[int]fretboard.Spot) (voices [][2]*fretboard.Spot, missing []string) {
	mid := middle(places)
	voices = make([][2]*fretboard.Spot, len(all))
	rows := make([][]pair, len(all))
	last := -1
	for i, st := range all {
		rows[i] = pairs(st.chord, places)
		if len(rows[i]) == 0 {
			if !st.chord.NoChord {
				missing = append(missing, st.chord.String())
			}
			continue
		}
		for k := range rows[i] {
			c := &rows[i][k]
			c.back = -1
			if last < 0 && c.spots[0].Degree.Number > c.spots[1].Degree.Number {
				c.cost = 1 << 30 // the first voice begins on the third
				continue
			}
			if last >= 0 {
				for o, was := range rows[last] {
					// Steps count first; the distance from the middle decides between equals.
					if cost := was.cost + 1000*(apart(c.midi[0], was.midi[0])+apart(c.midi[1], was.midi[1])); c.back < 0 || cost < c.cost {
						c.cost, c.back = cost, o
					}
				}
			}
			c.cost += apart(c.midi[0], mid) + apart(c.midi[1], mid)
		}
		last = i
	}
	at := -1
	for i := last; i >= 0; i-- {
		if len(rows[i]) == 0 {
			continue
		}
		if at < 0 {
			at = 0
			for k, c := range rows[i] {
				if c.cost < rows[i][at].cost {
					at = k
				}
			}
		}
		voices[i] = rows[i][at].spots
		at = rows[i][at].back
	}
	return voices, missing
}

func apart(a, b int) int { return max(a-b, b-a) }

// pairs lists where two voices can have the guide tones of a chord, low ones
// first.
func pairs(c theory.Chord, places map[int]fretboard.Spot) []pair {
	guides := c.GuideTones()
	var at [2][]pair
	for g, d := range guides[:min(len(guides), 2)] {
		class := d.Name(c.Root).Class()
		for midi := class; midi < 128; midi += 12 {
			if s, ok := places[midi]; ok {
				spot := named(s, midi, d, c.Root)
				at[g] = append(at[g], pair{midi: [2]int{midi, midi}, spots: [2]*fretboard.Spot{&spot, &spot}})
			}
		}
	}
	if len(at[0]) == 0 || len(at[1]) == 0 {
		return append(at[0], at[1]...)
	}
	var out []pair
	for _, x := range at[0] {
		for _, y := range at[1] {
			out = append(out,
				pair{midi: [2]int{x.midi[0], y.midi[0]}, spots: [2]*fretboard.Spot{x.spots[0], y.spots[0]}},
				pair{midi: [2]int{y.midi[0], x.midi[0]}, spots: [2]*fretboard.Spot{y.spots[0], x.spots[0]}})
		}
	}
	return out
}
