package tabtext

import (
	"strconv"

	"example.org/lickwright/score"
)

// metreFromCounts finds the metre that the counts of a part show where none is
// stated: they run from 1 to the same number in every bar, beat by beat, and
// after the last of them there is one more beat's room before the bar line.
// It returns nil for four beats, which are read so anyway, and where the counts
// do not agree. The usual lower numbers are taken: 2/4, 3/4, 5/4; 6/8, 7/8,
// 9/8, 12/8.
func (b *builder) metreFromCounts(first int) *score.TimeSignature {
	beats, bars := 0, 0
	for _, s := range b.lay.systems[first:] {
		counts := s.rhythmRow(countLine)
		if counts == nil || s.strings() != b.cur.strings || s.unbarred() {
			break
		}
		for _, br := range s.bars {
			if !s.sounding(br) {
				continue
			}
			for _, piece := range restarts(counts, br) {
				n, ok := beatsCounted(counts, piece)
				if !ok || beats != 0 && n != beats {
					return nil
				}
				beats = n
				bars++
			}
		}
	}
	lower, usual := map[int]int{2: 4, 3: 4, 5: 4, 6: 8, 7: 8, 9: 8, 12: 8}[beats]
	if !usual || bars == 0 {
		return nil
	}
	t, _ := score.ParseMetre(strconv.Itoa(beats) + "/" + strconv.Itoa(lower))
	return t
}

// beatsCounted gives the number of beats that are counted in a bar, each of
// them, if the bar line comes a beat after the last. A count under the bar line
// says where the bar ends because its metre does not: then nothing is found.
func beatsCounted(counts *attached, br bar) (n int, ok bool) {
	firstCol, col := 0, 0
	for _, w := range wordsFrom(counts.words, br.from-maxLead) {
		if w.col >= br.to {
			break
		}
		c, shift, is := parseCount(w.text)
		if !is || c.num == 0 || w.col+shift < br.from {
			continue
		}
		if n++; c.num != n || !c.frac.IsZero() {
			return 0, false
		}
		if col = w.col + shift; n == 1 {
			firstCol = col
		}
	}
	if n < 2 {
		return 0, false
	}
	for _, w := range wordsFrom(counts.words, br.to) {
		if w.col > br.right+1 {
			break
		}
		if c, _, is := parseCount(w.text); is && c.num >= n {
			return 0, false
		}
	}
	beat := float64(col-firstCol) / float64(n-1)
	room := float64(br.right - col)
	return n, room >= 0.7*beat && room <= 1.4*beat
}
