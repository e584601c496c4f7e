package tabtext

import (
	"slices"
	"strings"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// labelTuning makes a tuning from the labels of the rows. It tells whether
// the rows stand with the last string on top. ok is false if the labels do
// not say a tuning.
func (s *system) labelTuning() (t fretboard.Tuning, flipped, ok bool) {
	n := len(s.rows)
	if n > fretboard.MaxStrings {
		return t, false, false
	}
	names := make([]theory.NoteName, n)
	pitches := make([]theory.Pitch, n)
	octaves := 0
	for i := range s.rows {
		l := s.rows[i].label
		if !l.named {
			return t, s.numberedFlipped(), false
		}
		names[i] = l.name
		if l.octave != noOctave {
			octaves++
			pitches[i] = theory.Pitch{NoteName: l.name, Octave: l.octave}
		}
	}
	if octaves == n {
		flipped = pitches[0].MIDI() < pitches[n-1].MIDI() && pitches[0].MIDI() < pitches[1].MIDI()
		if flipped {
			slices.Reverse(pitches)
		}
		t, err := fretboard.NewTuning(pitches...)
		return t, flipped, err == nil
	}
	up, err := fretboard.FromNames(names...)
	if err != nil {
		return t, false, false
	}
	turned := slices.Clone(names)
	slices.Reverse(turned)
	down, _ := fretboard.FromNames(turned...)
	if rank(down) < rank(up) || rank(down) == rank(up) && lowerLast(s.rows) {
		return down, true, true
	}
	return up, false, true
}

// named tells whether all rows have a note for a label.
func (s *system) named() bool {
	for i := range s.rows {
		if !s.rows[i].label.named {
			return false
		}
	}
	return true
}

// labelled tells whether any row has a label.
func (s *system) labelled() bool {
	return slices.ContainsFunc(s.rows, func(r row) bool { return r.label.text != "" })
}

// labelsFit counts the labels that name the strings of a tuning, read from
// the top row or, turned, from the bottom row.
func (s *system) labelsFit(t fretboard.Tuning, turned bool) int {
	n := 0
	for i := range s.rows {
		str := i + 1
		if turned {
			str = len(s.rows) - i
		}
		if s.rows[i].label.name.Class() == t.Open(str).Class() {
			n++
		}
	}
	return n
}

// labelTuningAs makes a tuning from labels whose order is known.
func (s *system) labelTuningAs(flipped bool) (t fretboard.Tuning, ok bool) {
	var names []theory.NoteName
	for i := range s.rows {
		names = append(names, s.rows[i].label.name)
	}
	if flipped {
		slices.Reverse(names)
	}
	t, err := fretboard.FromNames(names...)
	return t, err == nil
}

// rank orders how usual a tuning is: 0 for a named one, else the sum of the
// semitones by which neighbouring strings depart from a fourth.
func rank(t fretboard.Tuning) int {
	if t.Name != "" {
		return 0
	}
	sum := 1
	for i := 1; i < t.Len(); i++ {
		d := t.Open(i).MIDI() - t.Open(i+1).MIDI() - 5
		if d < 0 {
			d = -d
		}
		sum += d
	}
	return sum
}

// lowerLast tells whether the bottom row has a small letter and the top row a
// capital of the same name, as in E A D G B e from top to bottom.
func lowerLast(rows []row) bool {
	top, bottom := rows[0].label.text, rows[len(rows)-1].label.text
	return top != "" && bottom != "" && top[0] < 'a' && bottom[0] >= 'a' && top[0] == bottom[0]-32
}

// lowerFirst tells whether the top row has a small letter and the bottom row a
// capital of the same name, as in e B G D A E.
func lowerFirst(rows []row) bool {
	top, bottom := rows[0].label.text, rows[len(rows)-1].label.text
	return top != "" && bottom != "" && top[0] >= 'a' && bottom[0] < 'a' && top[0]-32 == bottom[0]
}

// numberedFlipped tells whether the rows are numbered from the last string
// down to 1.
func (s *system) numberedFlipped() bool {
	n := len(s.rows)
	for i := range s.rows {
		if s.rows[i].label.number != n-i {
			return false
		}
	}
	return true
}

// saysThickOnTop tells a sentence that says which way up unlabelled rows are:
// "low E on top", "thick string at the top", "upside down". Source: common
// practice.
func saysThickOnTop(text string) bool {
	low := strings.ToLower(text)
	if strings.Contains(low, "upside down") || strings.Contains(low, "upside-down") {
		return strings.Contains(low, "tab") || strings.Contains(low, "string") || len(strings.Fields(low)) <= 4
	}
	if !strings.Contains(low, "on top") && !strings.Contains(low, "at the top") {
		return false
	}
	for _, s := range []string{"low string", "low e", "lowest string", "thick string", "thickest string", "bass string", "6th string", "sixth string"} {
		if strings.Contains(low, s) {
			return true
		}
	}
	return false
}
