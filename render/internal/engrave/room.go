package engrave

import "example.org/lickwright/score"

// Room beside numbers for what belongs to them, in units.
const (
	bendRoom    = 13.0
	releaseRoom = 11.0
	slideRoom   = 9.0
	rollRoom    = 8.0
)

// roomOf returns the room that a number and its techniques need to the left
// and right of its middle.
func (l *layouter) roomOf(h *head) (left, right float64) {
	left, right = h.half, h.half
	if !h.placed() {
		return left, right
	}
	// Beside labels with lines there is room; so sheet and answers are laid out alike.
	if l.opt.Ring != nil && l.opt.Filled == nil && l.opt.Ring(h.note) {
		left, right = left+3, right+3
	}
	for _, t := range h.note.Techniques {
		switch t := t.(type) {
		case score.Bend:
			if t.WithBar {
				continue
			}
			right = max(right, h.half+bendRoom)
			if t.Release {
				right = max(right, h.half+bendRoom+releaseRoom)
			}
		case score.SlideEdge:
			if t.In {
				left = max(left, h.half+slideRoom)
			} else {
				right = max(right, h.half+slideRoom)
			}
		case score.Span:
			if t.End == score.Start && isSlide(t.Kind) {
				right = max(right, h.half+slideRoom)
			}
		case score.Mark:
			if t == score.ArpeggioUp || t == score.ArpeggioDown {
				left = max(left, h.half+rollRoom)
			}
		}
	}
	return left, right
}

func isSlide(k score.SpanKind) bool {
	return k == score.LegatoSlide || k == score.ShiftSlide || k == score.Glissando
}
