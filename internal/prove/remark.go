package prove

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// slip names a likely slip of the finger.
func slip(w, h *played) string {
	a, b := w.note.Place, h.note.Place
	switch off := b.Fret - a.Fret; {
	case a.String == b.String && off != 0 && off >= -2 && off <= 2:
		way := "high"
		if off < 0 {
			way, off = "low", -off
		}
		return fmt.Sprintf(" (%s too %s)", count(off, "fret"), way)
	case a.Fret == b.Fret && a.String != b.String:
		return " (the right fret on another string)"
	}
	return ""
}

func octaves(off int) string {
	way := "high"
	if off < 0 {
		way, off = "low", -off
	}
	return fmt.Sprintf("%s too %s", count(off/12, "octave"), way)
}

// beatsText says a time in beats: "half a beat", "1 beat", and what is less and
// no half of one in note values: "an eighth", "a triplet eighth".
func beatsText(q, beat score.Quarters) string {
	n := q.Div(beat)
	switch {
	case n == score.Q(1, 2):
		return "half a beat"
	case n == score.Q(1, 1):
		return "1 beat"
	case n.Less(score.Q(1, 1)):
		if name := valueText(q); strings.HasPrefix(name, "eighth") {
			return "an " + name
		} else if name != "" {
			return "a " + name
		}
		return n.String() + " of a beat"
	case n.Den() == 1:
		return n.String() + " beats"
	}
	whole := n.Num() / n.Den()
	return fmt.Sprintf("%d+%s beats", whole, n.Sub(score.Q(whole, 1)))
}

// lengthText names how long a note lasts as players do: "dotted quarter",
// "triplet eighth"; a length without such a name as two notes that are tied,
// or in quarters. Source: common practice.
func lengthText(q score.Quarters) string {
	if name := valueText(q); name != "" {
		return name
	}
	for _, v := range noteValues {
		rest := q.Sub(score.Q(v.num, v.den))
		if name := valueText(rest); name != "" && rest.Less(score.Q(v.num, v.den)) {
			if strings.HasPrefix(name, "eighth") {
				return v.name + " tied to an " + name
			}
			return v.name + " tied to a " + name
		}
	}
	return q.String() + " of a quarter"
}

// valueText names the length of one note, "" if it has no name.
func valueText(q score.Quarters) string {
	for _, v := range noteValues {
		length := score.Q(v.num, v.den)
		switch q {
		case length:
			return v.name
		case length.Mul(score.Q(3, 2)):
			return "dotted " + v.name
		case length.Mul(score.Q(2, 3)):
			return "triplet " + v.name
		}
	}
	return ""
}

// noteValues are the note values in quarter notes, the longest first.
var noteValues = [...]struct {
	name     string
	num, den int64
}{
	{"whole", 4, 1}, {"half", 2, 1}, {"quarter", 1, 1}, {"eighth", 1, 2}, {"sixteenth", 1, 4}, {"thirty-second", 1, 8},
}

// touches says which techniques are lacking and which are too many.
func touches(want, have *score.Note) []string {
	return differ(touchNames(want), touchNames(have))
}

// differ says what names are missing in b and which are too many.
func differ(a, b []string) []string {
	lacking := slices.DeleteFunc(slices.Clone(a), func(t string) bool { return slices.Contains(b, t) })
	extra := slices.DeleteFunc(slices.Clone(b), func(t string) bool { return slices.Contains(a, t) })
	if len(lacking) == 1 && len(extra) == 1 {
		return []string{extra[0] + " in place of " + lacking[0]}
	}
	var out []string
	for _, t := range lacking {
		out = append(out, t+" is missing")
	}
	for _, t := range extra {
		out = append(out, t+" is not asked for")
	}
	return out
}

// touchNames names the techniques of a note as players do, the end of a join
// with the note that it leads to.
func touchNames(n *score.Note) []string {
	var out []string
	joins := map[score.SpanKind]string{score.HammerOn: "the hammer-on to it", score.PullOff: "the pull-off to it", score.LegatoSlide: "the slide to it", score.ShiftSlide: "the slide to it"}
	marks := map[score.Mark]string{score.Vibrato: "vibrato", score.WideVibrato: "vibrato", score.PalmMuted: "palm muting", score.Dead: "the dead note", score.Tap: "tapping", score.Staccato: "staccato"}
	for _, t := range n.Techniques {
		name := ""
		switch t := t.(type) {
		case score.Span:
			if t.End == score.Stop {
				name = joins[t.Kind]
			}
		case score.Mark:
			name = marks[t]
		case score.Bend:
			name = "the bend"
			if t.Amount.Den() == 1 {
				name = fmt.Sprintf("the bend of %s", count(int(t.Amount.Num()), "semitone"))
			}
			if t.Release {
				name += " with release"
			}
		case score.Harmonic:
			name = "the harmonic"
		}
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// name names a bar as both sides count it.
func (b BarMark) name() string {
	switch {
	case b.Bar == "":
		return "your bar " + b.Yours
	case b.Yours != "" && b.Yours != b.Bar:
		return fmt.Sprintf("bar %s (your bar %s)", b.Bar, b.Yours)
	}
	return "bar " + b.Bar
}

// Text writes the report for the student.
func (r Report) Text() string {
	var b strings.Builder
	for _, w := range r.Whole {
		b.WriteString(w + "\n")
	}
	if r.Other {
		fmt.Fprintf(&b, "Of %s of the task %d are there: is this the answer to another one?\n", count(r.Notes, "note"), r.Right+r.OffTime)
		return b.String()
	}
	clean := 0
	worst, most := "", 0
	for _, bar := range r.Bars {
		if len(bar.Remarks) == 0 {
			clean++
			continue
		}
		if len(bar.Remarks) > most && bar.Notes > 0 {
			worst, most = bar.Bar, len(bar.Remarks)
		}
		if bar.Bar == "" || bar.Yours == "" { // the one remark says it all
			fmt.Fprintf(&b, "%s: %s\n", bar.name(), bar.Remarks[0].Text)
			continue
		}
		fmt.Fprintf(&b, "%s: %d of %s right\n", bar.name(), bar.Right, count(bar.Notes, "note"))
		for _, k := range bar.Remarks {
			if k.Beat == "" {
				fmt.Fprintf(&b, "  %s\n", k.Text)
			} else {
				fmt.Fprintf(&b, "  beat %s: %s\n", k.Beat, k.Text)
			}
		}
	}
	if r.Faults() == 0 {
		fmt.Fprintf(&b, "All %s right, in time and in place.\n", count(r.Notes, "note"))
	} else {
		fmt.Fprintf(&b, "In all: %d of %d notes right", r.Right, r.Notes)
		if r.OffTime > 0 {
			fmt.Fprintf(&b, ", %d more but for the time", r.OffTime)
		}
		fmt.Fprintf(&b, "; %d at their place", r.InPlace)
		if r.Extra > 0 {
			fmt.Fprintf(&b, "; %s too many", count(r.Extra, "note"))
		}
		b.WriteString(".\n")
		fmt.Fprintf(&b, "Without a remark: %d of %s.", clean, count(len(r.Bars), "bar"))
		if worst != "" {
			fmt.Fprintf(&b, " Begin with bar %s, slowly.", worst)
		}
		b.WriteString("\n")
	}
	if r.Spaced {
		b.WriteString("The rhythm was read from the spacing of the tab, since it has no counts or letters.\n")
	}
	return b.String()
}
