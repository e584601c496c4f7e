package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/render/diagram"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
	"example.org/lickwright/transform/routine"
)

// checkValue finds what is wrong with the value of a flag, as far as it can be
// told without the music, by the parsers of the commands themselves. So all
// that is wrong with a lesson is said at once, and what a lesson says once for
// all its steps is found wrong once. A value that passes can still be refused
// when the step is made.
func checkValue(kind stepKind, s setting) error {
	text := strings.Join(s.values, ",")
	switch s.flag {
	case "key":
		_, _, err := theory.ParseKey(text)
		return argError(s.flag, err)
	case "tuning", "capo", "neck-frets", "time", "tempo", "trust":
		if kind.words && s.flag == "time" { // of a sheet that is made
			return nil
		}
		return checkReading(s)
	case "to":
		if kind.name == "transpose" {
			_, _, err := theory.ParseKey(text)
			return argError(s.flag, err)
		}
		_, _, _, err := parseScale(s.flag, text)
		return err
	case "scale":
		_, _, _, err := parseScale(s.flag, text)
		return err
	case "by":
		_, err := theory.ParseInterval(text)
		return argError(s.flag, err)
	case "home":
		_, err := theory.ParseNoteName(text)
		return argError(s.flag, err)
	case "order":
		_, err := transform.ParseOrder(text)
		return near(argError(s.flag, err), text, transform.OrderNames())
	case "map":
		_, err := transform.ParseMapping(text)
		return near(argError(s.flag, err), text, []string{"degree", "step"})
	case "frets":
		_, err := fretboard.ParseWindow(text)
		return argError(s.flag, err)
	case "strings":
		_, err := fretboard.ParseStrings(text)
		return argError(s.flag, err)
	case "shape":
		return checkShape(text)
	case "respell":
		return oneOf(s.flag, text, "auto", "never")
	case "spacing":
		return oneOf(s.flag, text, "even", "true")
	case "draw":
		for _, v := range s.values {
			if err := oneOf(s.flag, v, drawNames()...); err != nil {
				return err
			}
		}
	case "degree":
		_, err := theory.ParseDegree(text)
		return argError(s.flag, err)
	case "notes":
		f := schemeFlags{notes: text}
		_, err := f.counts()
		return err
	case "scheme":
		f := schemeFlags{scheme: text, free: kind.name == "refinger", given: func(name string) bool { return name == "scheme" }}
		_, err := f.kind()
		return err
	case "show":
		return checkShown(kind.name, s.values)
	case "run":
		_, err := (&layoutFlags{run: text}).way()
		return err
	case "swing", "loop", "count-in":
		return checkSound(s)
	case "worksheet":
		return worksheetFlags{ask: text}.check()
	case "answers":
		return worksheetFlags{ask: everyTask, answers: text}.check()
	}
	return nil
}

// checkReading lets the flags that say how an input is read check themselves.
func checkReading(s setting) error {
	var f readFlags
	cmd := &cobra.Command{}
	f.add(cmd)
	if err := s.apply(cmd); err != nil {
		return err
	}
	_, err := f.options()
	return err
}

// checkShape finds shapes that no tuning has. Which of the others the tuning
// of a step has is found when it is made.
func checkShape(text string) error {
	_, err := fretboard.ParseShape(fretboard.Standard(), text)
	if err == nil {
		return nil
	}
	for _, p := range fretboard.Presets() {
		if _, other := fretboard.ParseShape(p.Tuning, text); other == nil {
			return nil
		}
	}
	return flagError("shape", err)
}

// oneOf checks a value that is one of a few words.
func oneOf(flag, text string, known ...string) error {
	if slices.Contains(known, text) {
		return nil
	}
	hint := didYouMean(text, known)
	if hint == "" {
		hint = "there are " + strings.Join(known, ", ")
	}
	return &usageError{fmt.Sprintf("--%s: there is no %q", flag, text), hint}
}

func checkSound(s setting) error {
	var f soundFlags
	cmd := &cobra.Command{}
	f.add(cmd)
	if err := s.apply(cmd); err != nil {
		return err
	}
	_, err := f.sound()
	return err
}

// checkShown checks the values of --show, which each command has its own of.
func checkShown(command string, values []string) error {
	var parse func(string) error
	var known []string
	switch command {
	case "annotate":
		_, err := annotateFlags{show: values}.kinds()
		return err
	case "routine":
		parse = func(v string) error { _, err := routine.ParseKind(v); return err }
		known = routine.KindNames()
	case "diagram":
		parse = func(v string) error { _, err := diagram.ParseLabel(v); return err }
		known = diagram.LabelNames()
	default:
		return nil
	}
	for _, v := range values {
		for name := range strings.SplitSeq(v, ",") {
			if name = strings.TrimSpace(name); command == "routine" && slices.Contains([]string{"all", ""}, name) {
				continue
			}
			if err := parse(name); err != nil {
				return near(argError("show", err), name, known)
			}
		}
	}
	return nil
}

// near adds to an error what may have been meant.
func near(err error, text string, known []string) error {
	if u, ok := err.(*usageError); ok {
		if hint := didYouMean(text, known); hint != "" {
			u.hint = hint
		}
	}
	return err
}
