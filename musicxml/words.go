package musicxml

import (
	"strings"

	"example.org/lickwright/score"
)

// A mutedRun is palm muting that the page says in words, "P.M.", with a
// dashed line or bracket for how long.
type mutedRun struct {
	staff  int
	number string // of the line; "" if there is none
	notes  []*score.Note
}

// isPalmMute tells whether words mean palm muting.
func isPalmMute(words string) bool {
	w := strings.ToLower(strings.Trim(words, " .-_–—"))
	w = strings.ReplaceAll(strings.ReplaceAll(w, ".", ""), " ", "")
	return w == "pm" || w == "palmmute" || w == "palmmuted" || w == "palmmuting"
}

// palmMuteWords follows palm muting written in words: a direction with the
// words begins it, the end of the line in that direction ends it. Words
// without a line mute the notes at their own time.
func (p *partReader) palmMuteWords(direction int32, staff int) {
	staff = max(staff, 1)
	words, start, stop := false, "", ""
	for dt := range p.x.children(direction) {
		if p.x.name(dt) != "direction-type" {
			continue
		}
		for c := range p.x.children(dt) {
			switch p.x.name(c) {
			case "words":
				words = words || isPalmMute(p.x.content(c))
			case "dashes", "bracket":
				key := p.x.name(c) + p.x.attrOr(c, "number")
				switch p.x.attrOr(c, "type") {
				case "start":
					start = key
				case "stop":
					stop = key
				}
			}
		}
	}
	if stop != "" {
		p.endMute(staff, stop)
	}
	if words {
		p.mutes = append(p.mutes, &mutedRun{staff: staff, number: start})
	}
}

// muteNote adds a struck note to the runs that are open on its staff.
func (p *partReader) muteNote(c *score.Chord, n *score.Note) {
	for _, m := range p.mutes {
		if m.staff == c.Staff {
			m.notes = append(m.notes, n)
		}
	}
}

// endMute ends a run of which the line ends here.
func (p *partReader) endMute(staff int, number string) {
	kept := p.mutes[:0]
	for _, m := range p.mutes {
		if m.number == number && m.staff == staff {
			p.muted(m)
		} else {
			kept = append(kept, m)
		}
	}
	p.mutes = kept
}

// endShortMutes ends the runs without a line when the first chord under them
// is over.
func (p *partReader) endShortMutes() {
	kept := p.mutes[:0]
	for _, m := range p.mutes {
		if m.number == "" && len(m.notes) > 0 {
			p.muted(m)
		} else {
			kept = append(kept, m)
		}
	}
	p.mutes = kept
}

// muted puts a run into the model: a mark on one note, else a span from the
// first note to the last.
func (p *partReader) muted(m *mutedRun) {
	if len(m.notes) == 0 {
		return
	}
	if m.number == "" {
		for _, n := range m.notes {
			if !n.Has(score.PalmMuted) {
				n.Techniques = append(n.Techniques, score.PalmMuted)
			}
		}
		return
	}
	p.nextSpan++
	first, last := m.notes[0], m.notes[len(m.notes)-1]
	first.Techniques = append(first.Techniques, score.Span{Kind: score.PalmMute, ID: p.nextSpan, End: score.Start})
	last.Techniques = append(last.Techniques, score.Span{Kind: score.PalmMute, ID: p.nextSpan, End: score.Stop})
}
