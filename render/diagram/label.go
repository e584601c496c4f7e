package diagram

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A Label is what a dot says.
type Label int8

// The labels.
const (
	Degrees Label = iota
	Names
	Fingers
	Functions // in the chord: R 3 5 7 9 11 13
	Order     // when it is played: 1 2 3
	Roles     // what the music says that the note does: pass. passing
	Intervals // what the music says that it is from the note before: m3
	Nothing
)

var labelNames = [...]string{Degrees: "degrees", Names: "names", Fingers: "fingers", Functions: "functions", Order: "order", Roles: "roles", Intervals: "intervals", Nothing: "nothing"}

// String returns the name of the label.
func (l Label) String() string { return labelNames[l] }

// LabelNames lists the names that [ParseLabel] knows.
func LabelNames() []string { return labelNames[:] }

// ParseLabel finds a label by its name. The error is of type
// [*theory.ParseError].
func ParseLabel(s string) (Label, error) {
	for i, name := range labelNames {
		if strings.EqualFold(s, name) {
			return Label(i), nil
		}
	}
	return 0, &theory.ParseError{What: "label", Input: s, Msg: "a dot has none of that name", Hint: "labels are " + strings.Join(labelNames[:], ", ")}
}

// kindOf is the kind of annotations that says the same as a label; "" for
// none.
var kindOf = [...]string{Degrees: score.LabelDegree, Names: score.LabelName, Functions: score.LabelChordTone, Roles: score.LabelRole, Intervals: score.LabelInterval, Nothing: ""}

// said returns what the music says of a dot, and each time that it is played
// if that changes, by the number of the step: "4: R, 6: ♭7". It is "" for
// nothing.
func (d Dot) said(l Label) string {
	words, same := d.saidEach(l)
	if words == nil {
		return ""
	}
	if same {
		return words[0]
	}
	var numbered []string
	for i, w := range words {
		if w != "" {
			numbered = append(numbered, strconv.Itoa(d.Steps[i].Number)+": "+w)
		}
	}
	return strings.Join(numbered, ", ")
}

// saidEach returns what the music says of a dot each time that it is played,
// nil for nothing, and whether that is always the same.
func (d Dot) saidEach(l Label) (words []string, same bool) {
	if kindOf[l] == "" {
		return nil, false
	}
	words = make([]string, len(d.Steps))
	for i, s := range d.Steps {
		for _, a := range s.Labels {
			if a.Kind == kindOf[l] && a.Text != "" {
				words[i] = singly(prettyLabel(a.Text))
				if l == Roles {
					words[i] = roleInWords(a.Text)
				}
			}
		}
	}
	if !slices.ContainsFunc(words, func(w string) bool { return w != "" }) {
		return nil, false
	}
	return words, len(slices.Compact(slices.Clone(words))) == 1
}

// prettyLabel writes the accidentals of a label with the signs of print: b3 is
// ♭3, (#11) is (♯11), Bb is B♭.
func prettyLabel(s string) string {
	var b strings.Builder
	for i, r := range s {
		switch {
		case r == '#':
			r = '♯'
		case r == 'b' && (i > 0 && s[i-1] >= 'A' && s[i-1] <= 'G' || i+1 < len(s) && (s[i+1] == 'b' || s[i+1] >= '0' && s[i+1] <= '9') || i > 1 && s[i-1] == 'b'):
			r = '♭'
		}
		b.WriteRune(r)
	}
	return b.String()
}

// label returns what a dot says, in the signs of print: what the music says,
// else what follows from the place.
func (d Dot) label(l Label) string {
	if said := d.said(l); said != "" {
		return said
	}
	return d.own(l)
}

// own returns what a dot says by itself.
func (d Dot) own(l Label) string {
	switch l {
	case Names:
		return prettyName(d.Pitch.NoteName)
	case Fingers:
		var words []string
		for _, f := range d.Fingers {
			if w := fingerLabel(f); w != "" {
				words = append(words, w)
			}
		}
		return strings.Join(words, "/")
	case Functions:
		return d.Function
	case Order:
		words := make([]string, len(d.Steps))
		for i, s := range d.Steps {
			words[i] = s.signed()
		}
		return strings.Join(words, ", ")
	case Nothing, Roles, Intervals:
		return ""
	}
	if d.Degree.Number == 0 {
		return prettyName(d.Pitch.NoteName) // nothing to count from
	}
	return prettyDegree(d.Degree)
}

// signed writes a step with the signs of tab round its number: "↑full 4", "4~".
func (s Step) signed() string {
	before, after := s.Bend.arrows()
	return strings.TrimSpace(before + " " + strconv.Itoa(s.Number) + after + s.Sign)
}

// orderLines says when a dot is played: all its numbers on one line, and how
// those are played that are not struck plainly, a line for each: "4, 8" and
// "8: bend full". What is played once has one line.
func (d Dot) orderLines() []string {
	var how []string
	for _, s := range d.Steps {
		if w := s.manner(); w != "" {
			how = append(how, strconv.Itoa(s.Number)+": "+w)
		}
	}
	if len(d.Steps) == 1 && len(how) == 1 {
		return how
	}
	return append([]string{d.numbers()}, how...)
}

// manner says shortly how a step is played besides being struck: "bend full,
// vib.".
func (s Step) manner() string {
	var all []string
	if w := s.Bend.words(); w != "" {
		all = append(all, w)
	}
	for _, r := range s.Sign {
		all = append(all, signShort[r])
	}
	return strings.Join(all, ", ")
}

// numbers lists the steps of a dot: "3, 7".
func (d Dot) numbers() string {
	words := make([]string, len(d.Steps))
	for i, s := range d.Steps {
		words[i] = strconv.Itoa(s.Number)
	}
	return strings.Join(words, ", ")
}

// inside returns what is written in a dot: a dead note has its cross.
func (d Dot) inside(l Label) string {
	text := d.label(l)
	if _, same := d.saidEach(l); d.said(l) != "" && !same && l != Order {
		text = d.own(l) // what changes from time to time has no room in a dot
	}
	if l == Functions { // that it is no chord tone is told by its shape
		text = strings.Trim(text, "()")
	}
	switch {
	case d.Dead:
		return "×"
	case d.Repeated && l != Nothing:
		return "=" + text
	}
	return text
}

func fingerLabel(f score.Finger) string {
	switch f {
	case score.NoFinger, score.FingerOpen: // that a string is open can be seen
		return ""
	case score.Thumb:
		return "T"
	}
	return strconv.Itoa(int(f-score.Index) + 1)
}

// stringsNamed writes the strings in the name of a position by their names
// where those tell them apart: "root on string 3, index finger" of a bass is
// "root on the A string, index finger".
func stringsNamed(name string, t fretboard.Tuning) string {
	words := strings.Fields(name)
	for i := range words {
		if i == 0 || words[i-1] != "string" {
			continue
		}
		number, comma := strings.CutSuffix(words[i], ",")
		str, err := strconv.Atoi(number)
		if err != nil || str < 1 || str > t.Len() {
			continue
		}
		of := t.StringName(str, prettyName)
		same := 0
		for s := 1; s <= t.Len(); s++ {
			if t.StringName(s, prettyName) == of {
				same++
			}
		}
		if same > 1 {
			continue
		}
		words[i-1], words[i] = "the "+of, "string"
		if comma {
			words[i] += ","
		}
	}
	return strings.Join(words, " ")
}

// printed writes the accidentals of names and degrees in a title with the
// signs of print: "F# lydian, from b7" is "F♯ lydian, from ♭7".
func printed(title string) string {
	words := strings.Split(title, " ")
	for i, w := range words {
		core := strings.TrimRight(w, ",:;")
		if n, err := theory.ParseNoteName(core); err == nil && n.String() == core {
			words[i] = prettyName(n) + w[len(core):]
		} else if d, err := theory.ParseDegree(core); err == nil && d.String() == core {
			words[i] = prettyDegree(d) + w[len(core):]
		} else if c, err := theory.ParseChord(core); err == nil && c.String() == core {
			words[i] = c.Pretty() + w[len(core):]
		}
	}
	return strings.Join(words, " ")
}

// The signs for double accidentals are in few fonts; two single ones are in
// many.
func prettyName(n theory.NoteName) string { return singly(n.Pretty()) }

func prettyDegree(d theory.Degree) string { return singly(d.Pretty()) }

func singly(s string) string {
	if !strings.ContainsAny(s, "𝄪𝄫") {
		return s
	}
	return strings.NewReplacer("𝄪", "♯♯", "𝄫", "♭♭").Replace(s)
}
