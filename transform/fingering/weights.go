package fingering

import (
	"bufio"
	_ "embed" // weights
	"fmt"
	"io"
	"strconv"
	"strings"
)

// ReadWeights reads weights as [Weights.WriteTo] writes them: a line for each
// term, its name and its number; lines that begin with # are remarks. Terms
// that are not there weigh nothing, but for the preference, which weighs 1.
// name is for messages.
func ReadWeights(r io.Reader, name string) (*Weights, error) {
	w := &Weights{Preference: 1}
	lines := bufio.NewScanner(r)
	for n := 1; lines.Scan(); n++ {
		text := strings.TrimSpace(lines.Text())
		if text == "" || text[0] == '#' {
			continue
		}
		fields := strings.Fields(text)
		if len(fields) != 2 {
			return nil, fmt.Errorf("%s:%d: a line has the name of a term and a number", name, n)
		}
		t, ok := termByName(fields[0])
		if !ok {
			return nil, fmt.Errorf("%s:%d: there is no term %q", name, n, fields[0])
		}
		v, err := strconv.ParseFloat(fields[1], 64)
		if err != nil || v != v || v > 1e6 || v < -1e6 {
			return nil, fmt.Errorf("%s:%d: %q is no number that a term may weigh", name, n, fields[1])
		}
		w[t] = v
	}
	return w, lines.Err()
}

func termByName(name string) (Term, bool) {
	for t, n := range termNames {
		if n == name {
			return Term(t), true
		}
	}
	return 0, false
}

// WriteTo writes the weights, a line for each term.
func (w *Weights) WriteTo(out io.Writer) (int64, error) {
	var b strings.Builder
	for t, v := range w {
		fmt.Fprintf(&b, "%-22s %8.3f\n", Term(t), v)
	}
	n, err := io.WriteString(out, b.String())
	return int64(n), err
}

// ByHand returns the weights that were set by hand, before anything was
// learnt: a baseline, and what learning begins with.
func ByHand() *Weights {
	return &Weights{
		Open: 0, OpenAway: 0.6, Height: 0.35, High: 0.2,
		ByIndex: 0, ByMiddle: 0.1, ByRing: 0.2, ByLittle: 0.45,
		ThickString: 0.1, ThickHigh: 0.3,
		ReachBack: 0.5, ReachForward: 0.5, ReachInner: 0.7, Squeeze: 0.35, SqueezeLittle: 0.35,
		Span: 0.05, Strain: 0.6, FingersDown: 0.1, Barre: 0.8, HalfBarre: 1, Crossed: 1.5, Gap: 0.5,
		BendWound: 0.8, BendLow: 0.5, BendWeak: 0.6, Preference: 1,
		StepNextString: 0.15, StepSkipString: 0.5, ThirdOnString: 0.2, ThirdNextString: 0.1, ThirdSkipString: 0.3,
		LeapOnString: 0.5, LeapNextString: 0, LeapSkipString: 0.1, WideOnString: 1, SkipHaste: 0.3, AgainstString: 0.5, Restruck: 2.5, OpenFretted: 0.1,
		Hop: 0.4, HopHaste: 1.2, ChangeFinger: 1, Release: 1.2, Anchored: 1.5,
		Shift: 0.7, ShiftHaste: 1.2, ShiftMM: 0.6, ShiftMMHaste: 2,
		ShiftOpen: 0.3, ShiftOpenMM: 0.5, ShiftRest: 0.1, ShiftRestMM: 0.3, ShiftSlide: 0.1, ShiftSlideMM: 0.3,
		ShiftOnString: -0.3,
	}
}

//go:embed weights/plectrum.txt
var plectrum string

// Plectrum returns the weights that are learnt from people and serve for the
// plectrum and for the classical guitar alike. How they came about stands in
// the file weights/plectrum.txt.
func Plectrum() *Weights { return embedded(plectrum) }

func embedded(text string) *Weights {
	w, err := ReadWeights(strings.NewReader(text), "weights")
	if err != nil {
		panic(err) // the file is part of the program, and tested
	}
	return w
}
