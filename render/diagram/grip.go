package diagram

import "example.org/lickwright/score"

// rootFingers name the fingers of a root.
var rootFingers = map[score.Finger]string{score.Thumb: "thumb", score.Index: "index finger", score.Middle: "middle finger", score.Ring: "ring finger", score.Little: "little finger"}

// RootName names a chord as it is held by the string of its lowest root and the
// finger that has it, "root on the A string, index finger"; "" if it has none
// or no finger is known.
func (d Diagram) RootName() string {
	var root *Dot
	for i := range d.Dots {
		if dot := &d.Dots[i]; dot.Role == Root && !dot.Faint && (root == nil || dot.Pitch.MIDI() < root.Pitch.MIDI()) {
			root = dot
		}
	}
	if root == nil {
		return ""
	}
	on := "root on " + d.stringWord(root.Place.String)
	switch {
	case root.Place.Fret == 0:
		return on + ", open"
	case len(root.Fingers) != 1 || rootFingers[root.Fingers[0]] == "":
		return ""
	}
	return on + ", " + rootFingers[root.Fingers[0]]
}

// SameGrip tells whether another diagram is of the same places.
func (d Diagram) SameGrip(of Diagram) bool {
	if len(d.Dots) != len(of.Dots) {
		return false
	}
	for _, dot := range d.Dots {
		if of.at(dot.Place) == nil {
			return false
		}
	}
	return true
}
