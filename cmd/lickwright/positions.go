package main

import (
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// positions lists the regions of the scheme that is asked for, each where it
// lies nearest to the nut. The scheme of positions without a fret has those
// from the first to the twelfth fret, which then repeat an octave up.
func (f *schemeFlags) positions(neck fretboard.Neck, tones fretboard.ToneSet) ([]fretboard.Region, error) {
	kind, err := f.kind()
	if err != nil {
		return nil, err
	}
	if kind != "position" || f.given("position") {
		scheme, err := f.build(neck, tones)
		if err != nil {
			return nil, err
		}
		regions, err := scheme.Regions(neck, tones)
		if err != nil {
			return nil, &usageError{err.Error(), ""}
		}
		return fretboard.Once(regions), nil
	}
	var list []fretboard.Region
	for fret := 1; fret <= fretsOfOctave && fret <= neck.TopFret(); fret++ {
		regions, err := fretboard.Position{Fret: fret}.Regions(neck, tones)
		if err != nil {
			break // the neck ends
		}
		list = append(list, regions[0])
	}
	if len(list) == 0 {
		return nil, &usageError{"the neck has no room for a position", "say --neck-frets if it is longer"}
	}
	return list, nil
}

const fretsOfOctave = 12

// A placing puts moved music into a scheme or into each of its positions.
type placing struct {
	all     bool
	fold    bool
	fingers bool
	scale   string
	scheme  schemeFlags
}

// check finds what needs a scheme that is not asked for.
func (p *placing) check(given func(string) bool) error {
	for _, flag := range []string{"all-positions", "fold", "fingers", "scale"} {
		if given(flag) && !p.scheme.asked() {
			return &usageError{"--" + flag + " goes with a scheme", "say --scheme chord-shape, or another one"}
		}
	}
	if !p.scheme.asked() {
		return nil
	}
	_, err := p.scheme.kind()
	return err
}

// into returns the results of putting the music of an input into the scheme
// once it has moved by an interval. It is moved when that is first needed. The
// tones are those of its new key, if that is known; a scale that is asked for
// moves with the music.
func (p *placing) into(j *job, in *input, r result, tones fretboard.ToneSet, by theory.Interval, moved func() (*score.Score, score.Diagnostics)) ([]result, error) {
	s, parts, neck, err := onNeck(j, in.name, in.doc.Score(), &collector{})
	if err != nil {
		return nil, err
	}
	if p.scale != "" {
		tonic, scale, err := scaleOf(in.name, s, p.scale)
		if err != nil {
			return nil, err
		}
		tones = fretboard.ScaleTones(tonic.Transpose(by), scale)
	}
	opt := transform.RefingerOptions{Tones: tones, Fold: p.fold, Fingers: p.fingers, Parts: parts}
	if !p.all {
		if opt.Scheme, err = p.scheme.build(neck, tones); err != nil {
			return nil, err
		}
		if err := needsKey(in.name, opt.Scheme, tones); err != nil {
			return nil, err
		}
		r.make = func(say *collector) (*score.Score, error) { return place(j, in, opt, moved, say) }
		return []result{r}, nil
	}
	if len(tones.Tones) == 0 && p.goesByTones() {
		return nil, keyUnknown(in.name)
	}
	regions, err := p.scheme.positions(neck, tones)
	if err != nil {
		return nil, err
	}
	var list []result
	for i, region := range regions {
		opt := opt
		opt.Region = &region
		v := result{key: fmt.Sprintf("%s-%02d-%s", r.key, i+1, fileWord(region.Name)), heading: r.heading + ", " + region.Name, promise: r.promise, frets: []int{region.Low, region.High}}
		v.make = func(say *collector) (*score.Score, error) { return place(j, in, opt, moved, say) }
		list = append(list, v)
	}
	return list, nil
}

// goesByTones tells whether the scheme can be had only if the scale is known.
func (p *placing) goesByTones() bool {
	kind, err := p.scheme.kind()
	return err == nil && (kind == "chord-shape" || kind == "notes-per-string")
}

func keyUnknown(name string) error {
	return &fileError{name, "its key is not known, and the scheme goes by it", `say --scale, as in --scale "A minor pentatonic", or --key`}
}

// needsKey tells why a scheme cannot be laid out without a scale.
func needsKey(name string, scheme fretboard.Scheme, tones fretboard.ToneSet) error {
	if scheme != nil && len(tones.Tones) == 0 && fretboard.NeedsTones(scheme) {
		return keyUnknown(name)
	}
	return nil
}

// place puts moved music on the neck anew. What moving said about places is
// left out, since they are others now.
func place(j *job, in *input, opt transform.RefingerOptions, moved func() (*score.Score, score.Diagnostics), say *collector) (*score.Score, error) {
	s, said := moved()
	for _, d := range said {
		switch d.Code {
		case transform.CodeRefingered, transform.CodeStretch, transform.CodeHandPosition, transform.CodeFingers:
		default:
			say.add(d)
		}
	}
	s, _, _, err := onNeck(j, in.name, s, &collector{})
	if err != nil {
		return nil, err
	}
	out, ds := transform.Refinger(s, opt)
	say.addAll(ds)
	return out, nil
}
