package diagram

import (
	"strings"

	"example.org/lickwright/render/internal/engrave"
	"example.org/lickwright/score"
)

// A Bending is a bend as players speak of it. Its zero value is none.
type Bending struct {
	Kind     BendKind
	Before   bool   // bent already when it is struck
	By       string // how far: "full", "½"; "" for so far as nobody says
	Released bool
	To       string // what of it is left after the release: "½"; "" for nothing
}

// A BendKind is what a bend is done with, and where it goes.
type BendKind int8

// The kinds: with the finger, or with the bar up or down.
const (
	NoBend BendKind = iota
	FingerBend
	BarUp
	BarDown
)

var bendNames = [...]string{NoBend: "", FingerBend: "bend", BarUp: "bar up", BarDown: "bar down"}

func (b Bending) name() string {
	if b.Before {
		return "pre-" + bendNames[b.Kind]
	}
	return bendNames[b.Kind]
}

// words say a bend: "bend full", "pre-bend ½, rel.".
func (b Bending) words() string {
	if b.Kind == NoBend {
		return ""
	}
	s := b.name()
	if b.By != "" {
		s += " " + b.By
	}
	if b.Released {
		s += ", rel."
		if b.To != "" {
			s += " to " + b.To
		}
	}
	return s
}

// arrows write a bend in the signs of tab, as they stand before and behind
// what is played: "↑full" behind it is bent, before it bent already.
func (b Bending) arrows() (before, after string) {
	up, down := "↑", "↓"
	if b.Kind == BarDown {
		up, down = down, up
	}
	switch {
	case b.Kind == NoBend:
		return "", ""
	case b.Before:
		before = up + b.By
	default:
		after = up + b.By
	}
	if b.Released {
		after += down + b.To
	}
	return before, after
}

// explained says what the words of a bend mean, a line for each.
func (b Bending) explained() []string {
	if b.Kind == NoBend {
		return nil
	}
	done := [...]string{FingerBend: "bent", BarUp: "raised with the bar", BarDown: "lowered with the bar"}[b.Kind]
	how := b.name() + ": struck, then " + done
	if b.Before {
		how = b.name() + ": " + done + ", then struck"
	}
	all := []string{how}
	if b.By != "" || b.To != "" {
		all = append(all, "full: as far as two frets, ½ as one")
	}
	if b.Released {
		all = append(all, "rel.: released again")
	}
	return all
}

// typed says what the signs of a bend mean, as a terminal has them: "3↑full
// struck, then bent".
func (b Bending) typed() []string {
	if b.Kind == NoBend {
		return nil
	}
	_, how, _ := strings.Cut(b.explained()[0], ": ")
	if b.Released {
		how += ", then released"
	}
	if b.By != "" {
		b.By = "full"
		if !b.Released {
			how += ": full is two frets, ½ one"
		}
	}
	b.To = ""
	return []string{Step{Number: 3, Bend: b}.signed() + " " + how}
}

// bendingOf reads the bend of a note.
func bendingOf(n *score.Note) Bending {
	b, ok := n.Bend()
	if !ok {
		return Bending{}
	}
	out := Bending{Kind: FingerBend, Before: b.PreBend, Released: b.Release}
	amount := b.Amount
	switch {
	case amount.Sign() < 0:
		out.Kind, amount = BarDown, amount.Neg()
	case b.WithBar:
		out.Kind = BarUp
	}
	if amount.Sign() > 0 { // else so far as nobody says
		out.By = engrave.BendAmount(amount)
	}
	if b.Release && b.ReleaseTo.Sign() != 0 {
		out.To = engrave.BendAmount(b.ReleaseTo)
	}
	return out
}

// said says how a step is played besides being struck, in words: "bend full",
// "vibrato"; nothing for plainly.
func (s Step) said() []string {
	var all []string
	if w := s.Bend.words(); w != "" {
		all = append(all, w)
	}
	for _, r := range s.Sign {
		if w, ok := signWords[r]; ok {
			all = append(all, w)
		}
	}
	return all
}

// signShort are the words for the same below a dot.
var signShort = map[rune]string{'°': "harm.", 'T': "tap", '~': "vib."}

// signWords say what the signs behind the number of a step mean.
var signWords = map[rune]string{'°': "harmonic", 'T': "tapped", '~': "vibrato"}
