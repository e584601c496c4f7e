package main

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// onNeck returns the score with a neck for every part that can have one, the
// parts that are worked on, and the neck of the first of them.
func onNeck(j *job, name string, s *score.Score, say *collector) (*score.Score, []string, fretboard.Neck, error) {
	var neck fretboard.Neck
	parts, err := j.read.selectParts(s)
	if err != nil {
		return nil, nil, neck, err
	}
	opt, err := j.read.options()
	if err != nil {
		return nil, nil, neck, err
	}
	given := fretboard.Neck{Tuning: fretboard.Standard(), Frets: opt.FretCount()}
	if opt.Tuning != nil {
		given.Tuning = *opt.Tuning
	}
	if opt.Capo != nil {
		given.Capo = *opt.Capo
	}
	out, said := transform.GiveNeck(s, given)
	if first, ok := firstNeck(out, parts); ok {
		say.addAll(said)
		return out, parts, first, nil
	}
	return nil, nil, neck, &fileError{name, "there is no part in it for strings and frets", "a part for a neck has one staff and pitches"}
}

// firstNeck returns the neck that the first of the parts begins on that has
// one.
func firstNeck(s *score.Score, parts []string) (fretboard.Neck, bool) {
	for _, p := range s.Parts {
		if parts != nil && !slices.Contains(parts, p.ID) {
			continue
		}
		for _, m := range p.Measures {
			for _, e := range m.Events {
				if n, ok := e.(*score.NeckChange); ok {
					return n.Neck, true
				}
			}
		}
	}
	return fretboard.Neck{}, false
}

// scaleTones reads --scale. A scale without a tonic has that of the key.
func scaleTones(name string, s *score.Score, text string) (fretboard.ToneSet, error) {
	tonic, scale, err := scaleOf(name, s, text)
	if err != nil {
		return fretboard.ToneSet{}, err
	}
	return fretboard.ScaleTones(tonic, scale), nil
}

func scaleOf(name string, s *score.Score, text string) (theory.NoteName, theory.Scale, error) {
	tonic, hasTonic, scale, err := parseScale("scale", text)
	if err != nil {
		return tonic, scale, err
	}
	if !hasTonic {
		key := keyOf(s)
		if key == nil {
			return tonic, scale, &fileError{name, "its key is not known", fmt.Sprintf(`say the tonic of the scale, as in --scale "A %s", or --key`, text)}
		}
		tonic = key.Tonic
	}
	return tonic, scale, nil
}

// onePart returns the index of the part whose ways are listed.
func onePart(s *score.Score, parts []string) (int, error) {
	var on []int
	var names []string
	for i, p := range s.Parts {
		if p.Fretted() && (parts == nil || slices.Contains(parts, p.ID)) {
			on = append(on, i)
			names = append(names, strings.TrimSpace(fmt.Sprintf("%d %s", i+1, p.SpokenName())))
		}
	}
	if len(on) != 1 {
		return 0, &usageError{"ways are listed for one part, and there are several", "say --part: " + strings.Join(names, ", ")}
	}
	return on[0], nil
}

// keyOf returns the key that a score begins in, nil if it is not known.
func keyOf(s *score.Score) *theory.Key {
	if k, _, ok := transform.KeyAtStart(s); ok {
		return &k
	}
	return nil
}

func hasHarmony(s *score.Score) bool {
	for n := range score.Preorder(s) {
		if _, ok := n.(*score.Harmony); ok {
			return true
		}
	}
	return false
}
