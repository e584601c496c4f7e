package engrave

import "slices"

// Room between the numbers of two voices on one string, in units.
const voiceGap = 4.0

// part moves apart what voices of one staff put on the same string at the same
// time: the later voice stands to the right, with its stem. Two numbers that
// say the same are one number with two stems, as a note of two voices is one
// notehead in notation. Source: Gould, "Behind Bars", on unisons, from memory.
func (l *layouter) part(b *bar) {
	type at struct{ staff, col int }
	before := map[at][]*entry{}
	entries := slices.Clone(b.entries)
	slices.SortStableFunc(entries, func(x, y *entry) int { return x.chord.Voice - y.chord.Voice })
	for _, en := range entries {
		if len(en.heads) == 0 {
			continue
		}
		k := at{en.staff, en.col}
		if dx := l.clearOf(en, before[k], true); dx > 0 {
			en.dx = l.clearOf(en, before[k], false)
		}
		for _, h := range en.heads {
			if h.dx = en.dx; en.dx > 0 {
				continue
			}
			for _, o := range before[k] {
				if first := o.over(h); first != nil {
					h.twin = first
					first.twins = append(first.twins, h.note)
				}
			}
		}
		before[k] = append(before[k], en)
	}
}

// clearOf returns how far an entry has to move to be clear of others in its
// column; share lets equal numbers stand over each other.
func (l *layouter) clearOf(en *entry, others []*entry, share bool) float64 {
	dx := 0.0
	for _, o := range others {
		for _, h := range en.heads {
			for _, first := range o.heads {
				if first.note.Place.String != h.note.Place.String || !h.placed() || share && o.over(h) == first {
					continue
				}
				_, right := l.roomOf(first)
				left, _ := l.roomOf(h)
				dx = max(dx, o.dx+right+left+voiceGap)
			}
		}
	}
	return dx
}

// over returns the head of an entry that can stand for one of another voice:
// it says the same, stands in the column itself, and none of them is played in
// a way of its own.
func (en *entry) over(h *head) *head {
	for _, first := range en.heads {
		if h.placed() && first.note.Place == h.note.Place && first.text == h.text && first.small == h.small && first.dx == 0 && first.twin == nil &&
			len(first.note.Techniques)+len(h.note.Techniques) == 0 {
			return first
		}
	}
	return nil
}
