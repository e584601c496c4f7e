package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// handFlags say what hand plays on how long strings. They are the same for all
// commands that finger.
type handFlags struct {
	span        string
	scaleLength float64
}

func (f *handFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.span, "span", "normal", "how far index and little finger reach along the neck: small, normal or large hand, or millimetres")
	fl.Float64Var(&f.scaleLength, "scale-length", fretboard.ScaleLength, "length of the open strings in millimetres, for stretches")
}

// Bounds of --span, in millimetres: one fret at the nut, and more than any hand
// has.
const (
	minSpan = 36
	maxSpan = 250
)

func (f *handFlags) hand() (fingering.Hand, error) {
	if !(f.scaleLength >= 100 && f.scaleLength <= 2000) {
		return fingering.Hand{}, &usageError{fmt.Sprintf("--scale-length: %v mm is no length of a string", f.scaleLength), "a guitar has about 648, a bass 864, a ukulele 350"}
	}
	switch f.span {
	case "normal":
		return fingering.NormalHand(), nil
	case "small":
		return fingering.SmallHand(), nil
	case "large":
		return fingering.LargeHand(), nil
	}
	mm, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(f.span, "mm")), 64)
	switch {
	case err != nil:
		hint := didYouMean(f.span, []string{"small", "normal", "large"})
		if hint == "" {
			hint = fmt.Sprintf("say small, normal, large or millimetres, as in --span %.0f", fingering.NormalHand().Reach[1][4])
		}
		return fingering.Hand{}, &usageError{fmt.Sprintf("--span: %q is no reach of a hand", f.span), hint}
	case !(mm >= minSpan && mm <= maxSpan):
		return fingering.Hand{}, &usageError{fmt.Sprintf("--span: no hand reaches %v mm", mm), fmt.Sprintf("say %d to %d millimetres; from fret 1 to fret 5 of a guitar it is 126", minSpan, maxSpan)}
	}
	return fingering.HandOfSpan(mm), nil
}
