package tabtext

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
)

// A letterAt is a rhythm letter with its columns.
type letterAt struct {
	letterSign
	col  int
	used bool
}

// timeByLetters reads a bar by the rhythm letters over it.
func (t *timer) timeByLetters(m *barMusic, row *attached, tuplets []bracket) bool {
	var letters []letterAt
	for _, w := range wordsFrom(row.words, m.from-maxLead) {
		if w.col >= m.to {
			break
		}
		l, shift, ok := parseLetters(w.text)
		if col := w.col + shift; ok && col >= m.from && col < m.to {
			letters = append(letters, letterAt{l, col, false})
		}
	}
	if len(letters) == 0 {
		return false
	}
	m.timing = byLetters
	type slot struct {
		col, group, letter int
	}
	var slots []slot
	for i, g := range m.groups {
		if g.grace {
			continue
		}
		best := -1
		for k := range letters {
			if letters[k].used || letters[k].rest {
				continue
			}
			if d := abs(letters[k].col - g.col); d <= 1 && (best < 0 || d < abs(letters[best].col-g.col)) {
				best = k
			}
		}
		if best >= 0 {
			letters[best].used = true
		} else {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-letter-missing",
				Msg:  "a note has no rhythm letter over it; it takes the value of the one before",
				Hint: "write one of W H Q E S T over each note"}, g.col)
		}
		slots = append(slots, slot{g.col, i, best})
	}
	for k := range letters {
		if !letters[k].used {
			if !letters[k].rest {
				t.report(score.Diagnostic{Severity: score.Info, Code: "tab-letter-rest",
					Msg: "a rhythm letter has no note under it and is read as a rest"}, letters[k].col)
			}
			slots = append(slots, slot{letters[k].col, -1, k})
		}
	}
	slices.SortStableFunc(slots, func(a, b slot) int { return cmp.Compare(a.col, b.col) })
	now, value := score.Quarters{}, letterSign{length: score.Q(1, 1), value: score.NoteValue{Log: 2, Known: true}}
	for _, s := range slots {
		tied := false
		if s.letter >= 0 {
			value = letters[s.letter].letterSign
			tied = value.tied
		}
		dur := value.length
		for _, b := range tuplets {
			if b.from <= s.col && s.col < b.to {
				dur = dur.Mul(score.Q(int64(b.normal), int64(b.actual)))
			}
		}
		m.anchors = append(m.anchors, anchor{s.col, now})
		m.events = append(m.events, timed{onset: now, dur: dur, group: s.group, col: s.col, tied: tied, value: value.value})
		now = now.Add(dur)
	}
	m.length = now
	if t.metre.length.Sign() > 0 && now != t.metre.length {
		if t.first && now.Less(t.metre.length) {
			m.start = t.metre.length.Sub(now)
		} else {
			t.report(score.Diagnostic{Severity: score.Warning, Code: "tab-bar-length",
				Msg:  "the rhythm letters of the bar add up to " + quartersText(now) + ", its metre says " + quartersText(t.metre.length),
				Hint: "correct the letters, or state the metre, as in Time: 3/4"}, m.from)
		}
	}
	return true
}
