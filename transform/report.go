package transform

import (
	"fmt"

	"example.org/lickwright/score"
)

// A reporter collects what there is to say, and knows how players name a
// moment: "bar 3, beat 2".
type reporter struct {
	score *score.Score
	parts int // of the score; with one part its name is not said
	part  *score.Part
	beats []score.Quarters // length of a beat by measure of the part
	list  score.Diagnostics
}

// enter says that what follows is about a part.
func (r *reporter) enter(p *score.Part) {
	r.part = p
	r.beats = beatLengths(p)
}

func (r *reporter) add(sev score.Severity, code string, h score.Handle, msg, hint string) {
	r.list = append(r.list, score.Diagnostic{Severity: sev, Code: code, Pos: r.score.PosOf(h), Msg: msg, Hint: hint})
}

// where names a moment of the part: "bar 3, beat 2", off the beat
// "bar 3, beat 2+1/2", and with the part's name where there are several.
func (r *reporter) where(measure int, onset score.Quarters) string {
	return r.inPart() + fmt.Sprintf("bar %s, beat %s", r.bar(measure), r.beat(measure, onset))
}

// beat returns the beat of an onset as players count it.
func (r *reporter) beat(measure int, onset score.Quarters) string {
	return beatOf(onset, r.beats[measure])
}

// inPart names the part where there are several: "Guitar, ".
func (r *reporter) inPart() string {
	if r.parts < 2 {
		return ""
	}
	if name := r.part.SpokenName(); name != "" {
		return name + ", "
	}
	return "part " + r.part.ID + ", "
}

// bar returns a measure's number as printed, or counted where none is.
func (r *reporter) bar(measure int) string { return r.part.BarName(measure) }

func beatOf(onset, beat score.Quarters) string { return score.BeatName(onset, beat) }

func beatLengths(p *score.Part) []score.Quarters { return p.BeatLengths() }
