package routine

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A stretch is a chord of the progression with the time that it has.
type stretch struct {
	chord  theory.Chord
	length score.Quarters
}

// bars returns the progression bar by bar. It fails where the chords of a bar
// do not divide it into times that can be written.
func (b *builder) bars() ([][]stretch, error) {
	var out [][]stretch
	for i, pb := range b.Over {
		var bar []stretch
		for _, c := range pb.Chords {
			length := b.Time.Length.Mul(score.Q(int64(c.Parts), int64(pb.Parts)))
			if !dyadic(length) {
				return nil, fmt.Errorf("bar %d of the progression: %d chords do not share a bar of %s evenly: say each beat, with / where a chord goes on", i+1, pb.Parts, b.Time.Metre())
			}
			bar = append(bar, stretch{c.Chord, length})
		}
		out = append(out, bar)
	}
	return out, nil
}

// hold finds the places in a region at which sounds can be stopped: for each
// sound the one with the least reach, of those the lowest fret.
func hold(r fretboard.Region) map[int]fretboard.Spot {
	all := map[int]fretboard.Spot{}
	for str := r.Neck.Tuning.Len(); str >= 1; str-- {
		for f := r.Low; f <= r.High; f++ {
			p := fretboard.Place{String: str, Fret: f}
			mm, ok := r.Fit(p)
			if !ok {
				continue
			}
			midi := r.Neck.Stopped(p)
			if old, has := all[midi]; !has || mm < old.Reach || mm == old.Reach && f < old.Place.Fret {
				all[midi] = fretboard.Spot{Place: p, Reach: mm}
			}
		}
	}
	return all
}

// named gives a place the name of a degree over a root.
func named(s fretboard.Spot, midi int, d theory.Degree, root theory.NoteName) fretboard.Spot {
	name := d.Name(root)
	s.Degree = d
	s.Pitch = theory.Pitch{NoteName: name, Octave: (midi - theory.Pitch{NoteName: name}.MIDI()) / 12}
	return s
}

// formula plays the formula over each chord of the progression, in the octave
// in which the position holds it nearest to what came before, as often as the
// chord has time.
func (b *builder) formula(p *Page, l fretboard.Layout, hand fingers) []Exercise {
	e := Exercise{Kind: Formula, Title: "Formula " + joinDegrees(b.Formula) + " over " + b.Over.String(),
		Words: []string{"Degrees count from the root of each chord."}}
	bars, err := b.bars()
	if err != nil {
		b.say(p, score.NotDone, "routine-progression", err.Error(), "")
		e.Words = []string{sentence(err.Error())}
		return []Exercise{e}
	}
	places := hold(l.Region)
	last := middle(places)
	var ln Line
	for i, bar := range bars {
		for _, st := range bar {
			notes, whole := b.overChord(st.chord, places, last)
			switch {
			case st.chord.NoChord:
				ln = append(ln, Moment{Length: st.length, Chord: &st.chord})
				continue
			case len(notes) == 0:
				text := fmt.Sprintf("bar %d: no room for %s here", i+1, st.chord)
				e.Words = append(e.Words, sentence(text))
				b.say(p, score.NotDone, "routine-no-room", text, "")
				ln = append(ln, Moment{Length: st.length, Chord: &st.chord})
				continue
			case !whole:
				text := fmt.Sprintf("bar %d: over %s some notes lie an octave away, where the position has them", i+1, st.chord)
				e.Words = append(e.Words, sentence(text))
				b.say(p, score.Warning, "routine-folded", text, "")
			}
			var played []Note
			for _, s := range notes {
				played = append(played, hand.under(s, l.Region))
			}
			ln = append(ln, b.fill(played, st)...)
			last = notes[len(notes)-1].Pitch.MIDI()
		}
	}
	e.Lines = []Line{ln}
	e.beyond(p)
	return []Exercise{e}
}

// fill repeats notes for as long as a chord lasts; what is left over rests.
func (b *builder) fill(notes []Note, st stretch) Line {
	var ln Line
	step, each := b.Value, 1
	if _, triplet := written(b.Value); triplet { // three at a time
		step, each = b.Value.Mul(score.Q(3, 1)), 3
	}
	left := st.length
	for !left.Less(step) {
		for range each {
			ln = append(ln, Moment{Notes: []Note{notes[len(ln)%len(notes)]}})
		}
		left = left.Sub(step)
	}
	switch {
	case len(ln) == 0:
		ln = Line{{Notes: notes[:1], Length: left}}
	case left.Sign() > 0:
		ln = append(ln, Moment{Length: left})
	}
	return ln.under(st.chord)
}

func middle(places map[int]fretboard.Spot) int {
	low, high := 1<<10, 0
	for m := range places {
		low, high = min(low, m), max(high, m)
	}
	return (low + high) / 2
}

// overChord plays the formula over one chord. whole is false if notes had to
// go to another octave.
func (b *builder) overChord(c theory.Chord, places map[int]fretboard.Spot, last int) (notes []fretboard.Spot, whole bool) {
	if c.NoChord {
		return nil, true
	}
	degrees := b.meant(c)
	most, nearest := -1, 0
	root := c.Root.Class()
	for base := root; base < 128; base += 12 {
		in := 0
		for _, d := range degrees {
			if _, ok := places[base+d.Semitones()]; ok {
				in++
			}
		}
		off := base + degrees[0].Semitones() - last
		off = max(off, -off)
		if in == 0 || in < most || in == most && off >= nearest {
			continue
		}
		most, nearest = in, off
		notes = notes[:0]
		for _, d := range degrees {
			midi := base + d.Semitones()
			s, ok := places[midi]
			for shift := 12; !ok && shift <= 48; shift += 12 {
				if s, ok = places[midi-shift]; ok {
					midi -= shift
				} else if s, ok = places[midi+shift]; ok {
					midi += shift
				}
			}
			if ok {
				notes = append(notes, named(s, midi, d, c.Root))
			}
		}
	}
	return notes, most == len(degrees)
}

// meant returns the degrees of the formula over a chord: a bare number that
// the chord has altered, or its scale, is that one (3 over Dm7 is its b3).
func (b *builder) meant(c theory.Chord) []theory.Degree {
	chord := c.Degrees()
	var scale []theory.Degree
	key := theory.Key{Tonic: b.Tonic}
	if set, ok := b.scaleFrom(c.Root); ok {
		scale = set
	} else if all := c.Scales(&key); len(all) > 0 {
		scale = all[0].Scale.Degrees()
	}
	out := make([]theory.Degree, len(b.Formula))
	for i, d := range b.Formula {
		out[i] = d
		if d.Alter != 0 {
			continue
		}
		simple := (d.Number-1)%7 + 1
		find := func(in []theory.Degree) bool {
			for _, o := range in {
				if (o.Number-1)%7+1 == simple {
					out[i].Alter = o.Alter
					return true
				}
			}
			return false
		}
		_ = find(chord) || find(scale)
	}
	return out
}

// scaleFrom returns the practised scale as degrees over one of its notes.
func (b *builder) scaleFrom(root theory.NoteName) ([]theory.Degree, bool) {
	for i := range b.Scale.Len() {
		if b.Scale.Degree(i).Name(b.Tonic) == root {
			return b.Scale.Mode(i + 1).Degrees(), true
		}
	}
	return nil, false
}

// beyond says which frets an exercise needs that the scale of its page does
// not.
func (e *Exercise) beyond(p *Page) {
	var frets []int
	for _, l := range e.Lines {
		for _, m := range l {
			for _, n := range m.Notes {
				if f := n.Place.Fret; (f < p.Low || f > p.High) && !slices.Contains(frets, f) {
					frets = append(frets, f)
				}
			}
		}
	}
	slices.Sort(frets)
	for _, f := range frets {
		e.Words = append(e.Words, fmt.Sprintf("Fret %d is needed too; the hand reaches it.", f))
	}
}
