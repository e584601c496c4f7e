package main

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/transform"
)

// sayWhyNot prints why the fingering in a file is not the best one.
func (f *refingerFlags) sayWhyNot(j *job, opt transform.RefingerOptions, paths []string) error {
	for _, flag := range []string{"alternatives", "fold", "fingers", "keep", "diff", "output", "dir", "as"} {
		if f.given(flag) {
			return &usageError{"--why-not and --" + flag + " do not go together", "--why-not judges a fingering and writes none"}
		}
	}
	if len(paths) > 1 {
		return &usageError{"--why-not judges one fingering", "give one file with the same music, or none"}
	}
	j.say, j.sources = &collector{}, map[string][]byte{}
	in, err := j.load(f.whyNot)
	if err != nil {
		j.flush()
		return err
	}
	preferred := in.doc.Score()
	for _, path := range paths {
		other, err := j.load(path)
		if err != nil {
			j.flush()
			return err
		}
		if where := firstDifference(preferred, other.doc.Score()); where != "" {
			return &fileError{f.whyNot, fmt.Sprintf("it is not the music of %s: %s", other.name, where), "only strings, frets and fingers may differ"}
		}
	}
	if !slices.ContainsFunc(preferred.Parts, (*score.Part).Fretted) {
		return &fileError{in.name, "no fingering is written in it", "give tab, or MusicXML with strings and frets"}
	}
	_, opt, err = f.prepare(j, in.name, preferred, opt, j.say)
	if err != nil {
		return err
	}
	ds := transform.WhyNot(preferred, opt)
	j.say.list.Sort()
	j.flush()
	var text strings.Builder
	for _, d := range ds {
		fmt.Fprintln(&text, d.Msg)
	}
	if len(ds) == 0 {
		text.WriteString("there is no better fingering\n")
	}
	return writeAll(j.app.out, []byte(text.String()))
}

// firstDifference says where two scores do not sound alike, "" if nowhere.
func firstDifference(a, b *score.Score) string {
	if len(a.Parts) != len(b.Parts) {
		return fmt.Sprintf("it has %s, not %d", plural(len(a.Parts), "part"), len(b.Parts))
	}
	for i, p := range a.Parts {
		q := b.Parts[i]
		for k := range min(len(p.Measures), len(q.Measures)) {
			if !slices.Equal(soundsIn(p.Measures[k]), soundsIn(q.Measures[k])) {
				number := p.Measures[k].Number
				if number == "" {
					number = fmt.Sprint(k + 1)
				}
				return "bar " + number + " differs"
			}
		}
		if len(p.Measures) != len(q.Measures) {
			return fmt.Sprintf("it has %s, not %d", plural(len(p.Measures), "bar"), len(q.Measures))
		}
	}
	return ""
}

// A sound is a note that begins in a bar.
type sound struct {
	onset score.Quarters
	midi  int
}

func soundsIn(m *score.Measure) (list []sound) {
	for c := range m.Chords() {
		for _, n := range c.Notes {
			list = append(list, sound{c.Onset, n.Sounding()})
		}
	}
	slices.SortFunc(list, func(a, b sound) int {
		if d := a.onset.Cmp(b.onset); d != 0 {
			return d
		}
		return a.midi - b.midi
	})
	return list
}
