package compare

import (
	"cmp"
	"hash/maphash"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A print is what of a bar can be compared fast: hashes of its notes at
// several degrees of likeness, sorted, and of all else.
type print struct {
	whole  []uint64 // all that is compared of each note
	heard  []uint64 // time and pitch
	begins []uint64 // time
	sounds []uint64 // pitch
	rest   []uint64 // what is no note
}

// sharpen makes the prints of two parts, as far as both say things.
func (p *partView) sharpen(q *partView) {
	places := p.hasPlaces() && q.hasPlaces()
	if !places {
		p.offNeck()
		q.offNeck()
	}
	seed := maphash.MakeSeed()
	for _, side := range []*partView{p, q} {
		for _, b := range side.bars {
			b.print = printOf(b, seed, places)
		}
	}
}

// offNeck leaves out what means something on the neck only: a harmonic becomes
// its sound.
func (p *partView) offNeck() {
	for _, b := range p.bars {
		for _, t := range b.tones {
			t.offNeck = true
			h, ok := t.note.Harmonic()
			if ok {
				t.up = h.Over
			}
			t.techs = slices.DeleteFunc(slices.Clone(t.techs), func(s string) bool { return strings.Contains(s, "harmonic") || s == "open string" })
			if ok {
				t.techs = append(t.techs, "harmonic")
				slices.Sort(t.techs)
			}
		}
	}
}

func (p *partView) hasPlaces() bool {
	for _, b := range p.bars {
		for _, t := range b.tones {
			if !t.note.Place.IsZero() {
				return true
			}
		}
	}
	return false
}

type (
	timed struct {
		at    score.Quarters
		grace score.Grace
	}
	heard struct {
		timed
		midi   int
		detune score.Quarters
	}
	whole struct {
		heard
		dur   score.Quarters
		tied  bool
		place fretboard.Place
		then  string
		techs string
		finger,
		labels string
	}
)

func printOf(b *barView, seed maphash.Seed, places bool) print {
	var p print
	for _, t := range b.tones {
		k := whole{heard: heard{timed{t.at, t.grace}, t.midi(), t.detune}, dur: t.dur, tied: t.tied, labels: labelNames(t.note)}
		if places {
			k.place, k.finger = t.place(), fingerName(t.note)
			for _, p := range t.then {
				k.then += placeName(p) + ";"
			}
		}
		for _, s := range t.techs {
			k.techs += s + ";"
		}
		p.whole = append(p.whole, maphash.Comparable(seed, k))
		p.heard = append(p.heard, maphash.Comparable(seed, k.heard))
		p.begins = append(p.begins, maphash.Comparable(seed, k.timed))
		p.sounds = append(p.sounds, maphash.Comparable(seed, k.midi))
	}
	for _, h := range b.chords {
		p.rest = append(p.rest, maphash.Comparable(seed, h.Chord.String()))
	}
	for _, s := range b.signs {
		p.rest = append(p.rest, maphash.Comparable(seed, s.text))
	}
	p.rest = append(p.rest, maphash.Comparable(seed, b.measure.Length))
	for _, list := range [][]uint64{p.whole, p.heard, p.begins, p.sounds, p.rest} {
		slices.Sort(list)
	}
	return p
}

// distance tells how unlike two bars are in all parts together: 0 if nothing
// differs that a print shows, below 2 in any case, so that a bar is rather
// taken for a changed one than for one removed and one added.
func distance(parts []partCouple, i, j int) float64 {
	sum, weight := 0.0, 0.0
	for _, p := range parts {
		x, y := p.a.bar(i), p.b.bar(j)
		if x == nil && y == nil {
			continue
		}
		if x == nil || y == nil {
			sum, weight = sum+1, weight+1
			continue
		}
		a, b := x.print, y.print
		w := float64(max(len(a.whole), len(b.whole)) + 1)
		d := 0.85*(0.4*unlike(a.whole, b.whole)+0.25*unlike(a.heard, b.heard)+0.15*unlike(a.begins, b.begins)+0.2*unlike(a.sounds, b.sounds)) + 0.15*unlike(a.rest, b.rest)
		sum, weight = sum+w*d, weight+w
	}
	if weight == 0 {
		return 0
	}
	return 1.95 * sum / weight
}

// unlike tells which share of two sorted lists is not in both: 0 for equal
// ones, 1 for those that have nothing in common.
func unlike(a, b []uint64) float64 {
	if len(a) == 0 && len(b) == 0 {
		return 0
	}
	common := 0
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch cmp.Compare(a[i], b[j]) {
		case -1:
			i++
		case 1:
			j++
		default:
			common, i, j = common+1, i+1, j+1
		}
	}
	return 1 - 2*float64(common)/float64(len(a)+len(b))
}
