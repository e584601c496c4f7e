package transform

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A VariationKind is a way to make a new phrase of one.
type VariationKind int8

// The kinds.
const (
	// Invert turns the line over at its first note: what rose falls.
	Invert VariationKind = iota + 1
	// Retrograde lets the line run backwards.
	Retrograde
	// InIntervals lets each note be followed by the one so many steps above or
	// below it, in half of its time: a scale in thirds is C E D F E G.
	InIntervals
	// Sequence repeats the first notes step by step up or down the scale.
	Sequence
	// Group repeats the first notes over and over in the rhythm that there is:
	// three notes over a rhythm in fours.
	Group
	// Permute puts notes into another order within each bar.
	Permute
	// StartOn moves the line along the scale so that it starts on another
	// degree or chord tone.
	StartOn
	// Target moves notes on strong beats, and the last one, to chord tones.
	Target
	// OctaveJump moves every other note by an octave.
	OctaveJump
	// Displace begins earlier or later.
	Displace
	// Augment makes all times longer, Diminish shorter.
	Augment
	Diminish
)

// variationNames are the names of the kinds, as they are asked for.
var variationNames = [...]string{
	Invert: "invert", Retrograde: "retrograde", InIntervals: "in", Sequence: "sequence", Group: "group", Permute: "permute",
	StartOn: "start-on", Target: "target", OctaveJump: "octave-jump", Displace: "displace", Augment: "augment", Diminish: "diminish",
}

// String returns the name.
func (k VariationKind) String() string { return variationNames[k] }

// VariationKinds returns all kinds.
func VariationKinds() []VariationKind {
	var list []VariationKind
	for k := Invert; k <= Diminish; k++ {
		list = append(list, k)
	}
	return list
}

// A Variation is one step of making a new phrase.
type Variation struct {
	Kind VariationKind
	// Chromatic inverts semitone by semitone instead of in the scale.
	Chromatic bool
	// Steps is the distance of InIntervals in steps of the scale (2 for
	// thirds, negative for below), and how far Sequence moves each time; 0 is
	// a step in the direction of the line.
	Steps int
	// Size is how many notes Sequence and Group take, and that OctaveJump
	// moves each how-manieth note.
	Size int
	// By is how much later Displace begins, in quarter notes, and by what
	// factor Augment and Diminish work.
	By score.Quarters
	// Beats is how many beats later Displace begins, in place of By: those of the
	// metre, dotted ones in compound metres and the groups of additive ones.
	Beats int
	// Order has the places, counted from 1, from which Permute takes the notes;
	// nil leaves the order to the seed.
	Order []int
	// Degree and ChordTone say where StartOn begins: a degree of the key, or
	// the root (1), third (3), fifth (5) or seventh (7) of the chord.
	Degree    theory.Degree
	ChordTone int
}

var intervalWords = [...]string{2: "thirds", 3: "fourths", 4: "fifths", 5: "sixths", 6: "sevenths", 7: "octaves"}

var chordToneWords = [...]string{1: "root", 3: "third", 5: "fifth", 7: "seventh"}

// String writes the step as it is asked for: "in thirds", "displace 1/8".
func (v Variation) String() string {
	switch v.Kind {
	case Invert:
		if v.Chromatic {
			return "invert chromatic"
		}
	case InIntervals:
		word := intervalWords[max(v.Steps, -v.Steps)]
		if v.Steps < 0 {
			word += " down"
		}
		return "in " + word
	case Sequence:
		switch {
		case v.Steps > 0:
			return fmt.Sprintf("sequence %d up", v.Size)
		case v.Steps < 0:
			return fmt.Sprintf("sequence %d down", v.Size)
		}
		return fmt.Sprintf("sequence %d", v.Size)
	case Group, OctaveJump:
		return fmt.Sprintf("%v %d", v.Kind, v.Size)
	case Permute:
		var list []string
		for _, n := range v.Order {
			list = append(list, strconv.Itoa(n))
		}
		return strings.TrimSpace("permute " + strings.Join(list, " "))
	case StartOn:
		if v.ChordTone > 0 {
			return "start-on " + chordToneWords[v.ChordTone]
		}
		return "start-on " + v.Degree.String()
	case Displace:
		switch v.Beats {
		case 0:
		case 1:
			return "displace beat"
		case -1:
			return "displace -beat"
		default:
			return fmt.Sprintf("displace %d beats", v.Beats)
		}
		return "displace " + v.By.Mul(score.Q(1, 4)).String()
	case Augment, Diminish:
		return fmt.Sprintf("%v %v", v.Kind, v.By)
	}
	return v.Kind.String()
}

// ParseVariation reads a step from its name and its value: "in" and "thirds",
// "displace" and "-1/8", "permute" and "2 1 4 3". Values that may be left out
// are "" for diatonic inversion, a permutation of chance and every second note
// of OctaveJump. Errors are of type [*theory.ParseError].
func ParseVariation(name, value string) (Variation, error) {
	i := slices.Index(variationNames[:], name)
	if i < int(Invert) {
		return Variation{}, &theory.ParseError{What: "variation", Input: name, Msg: "unknown", Hint: "there are " + strings.Join(variationNames[1:], ", ")}
	}
	v := Variation{Kind: VariationKind(i)}
	value = strings.ToLower(strings.TrimSpace(value))
	bad := func(msg, hint string) (Variation, error) {
		return Variation{}, &theory.ParseError{What: "value for " + name, Input: value, Msg: msg, Hint: hint}
	}
	word, direction, _ := strings.Cut(value, " ")
	if direction != "" && direction != "up" && direction != "down" && v.Kind != Permute && v.Kind != Displace {
		return bad("it goes up or down", "as in "+word+" down")
	}
	switch v.Kind {
	case Invert:
		if v.Chromatic = value == "chromatic"; value != "" && value != "diatonic" && !v.Chromatic {
			return bad("unknown", "say diatonic (in the scale) or chromatic")
		}
	case Retrograde, Target:
		if value != "" && value != "true" {
			return bad("it takes no value", "")
		}
	case InIntervals:
		if v.Steps = slices.Index(intervalWords[:], word); v.Steps < 2 {
			return bad("no interval between a third and an octave", "say thirds, fourths, fifths, sixths, sevenths or octaves, and down for below")
		}
		if direction == "down" {
			v.Steps = -v.Steps
		}
	case Sequence, Group, OctaveJump:
		most := 64
		if value == "" && v.Kind == OctaveJump {
			word = "2"
		}
		n, err := strconv.Atoi(word)
		if err != nil || n < 2 && v.Kind != Sequence || n < 1 || n > most {
			return bad("no number of notes", "say how many, as in 3")
		}
		v.Size = n
		switch {
		case direction == "up":
			v.Steps = 1
		case direction == "down":
			v.Steps = -1
		}
	case Permute:
		for field := range strings.FieldsFuncSeq(value, func(r rune) bool { return r == ' ' || r == ',' }) {
			n, err := strconv.Atoi(field)
			if err != nil {
				return bad("no order", "say the places from which the notes are taken, as in 2 1 4 3")
			}
			v.Order = append(v.Order, n)
		}
		sorted := slices.Sorted(slices.Values(v.Order))
		for k, n := range sorted {
			if n != k+1 || len(sorted) < 2 {
				return bad("no order", "each place from 1 on comes once, as in 2 1 4 3")
			}
		}
	case StartOn:
		if k := slices.Index(chordToneWords[:], value); k > 0 {
			v.ChordTone = k
			break
		}
		d, err := theory.ParseDegree(value)
		if err != nil || d.Number > 7 {
			return bad("neither a degree nor a chord tone", "say a degree such as b3 or 5, or root, third, fifth or seventh")
		}
		v.Degree = d
	case Displace:
		if n, ok := parseBeats(value); ok {
			v.Beats = n
			break
		}
		q, ok := score.ParseQuarters(value)
		if !ok || q.IsZero() || !strings.Contains(value, "/") || score.Q(4, 1).Less(q) || q.Less(score.Q(-4, 1)) {
			return bad("no note value", "say by which value, as in 1/8, or -1/8 for earlier; or by how many beats, as in beat or -2 beats")
		}
		v.By = q.Mul(score.Q(4, 1))
	case Augment, Diminish:
		q, ok := score.ParseQuarters(value)
		if !ok || !score.Q(1, 1).Less(q) || score.Q(16, 1).Less(q) {
			return bad("no factor", "say how many times as long or as short, as in 2 or 3/2")
		}
		v.By = q
	}
	return v, nil
}

// parseBeats reads "beat", "-beat" and "-2 beats": eight at most.
func parseBeats(value string) (n int, ok bool) {
	const most = 8
	value, earlier := strings.CutPrefix(value, "-")
	switch number, word, two := strings.Cut(value, " "); {
	case value == "beat":
		n = 1
	case two && (word == "beats" || word == "beat"):
		var err error
		if n, err = strconv.Atoi(number); err != nil || n < 1 || n > most {
			return 0, false
		}
	default:
		return 0, false
	}
	if earlier {
		n = -n
	}
	return n, true
}
