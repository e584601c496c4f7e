package tabtext

import (
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode"

	"example.org/lickwright/score"
)

// A sungWord is a word of a line of lyrics with the note that it stands under,
// or with a time of its own where the line is named.
type sungWord struct {
	word
	line  int
	group int // in its bar; -1 in a named line, whose words have the times of their columns
}

// lyrics finds the words under a system that are sung, by bar. A line of words
// under the tab is one of lyrics if at least two words stand in it, all of
// letters, and two thirds of them or more under notes of their own, a column or two
// beside them at most; half of them where a line before it was sung. Else it is a remark and keeps its columns only. Words that
// stand nearest to one note belong to it together.
func (b *builder) lyrics(s *system, sys int) map[int][]sungWord {
	out := map[int][]sungWord{}
	music := b.music[sys]
	for i := range s.below {
		a := &s.below[i]
		if a.kind == namedLine && a.name == namedWords {
			for _, w := range a.words {
				k := sort.Search(len(music), func(i int) bool { return music[i].to > w.col })
				if k = min(k, len(music)-1); k >= 0 {
					out[k] = append(out[k], sungWord{w, a.line, -1})
				}
			}
			continue
		}
		if a.kind != lyricLine {
			continue
		}
		var found []sungWord
		var bars []int
		close := 0
		for _, w := range a.words {
			if w.text == "-" || w.text == "_" { // between syllables
				continue
			}
			bar, group := nearestGroup(music, w.col)
			if bar < 0 || !isLyricWord(w.text) {
				found = nil
				break
			}
			if n := len(found) - 1; n >= 0 && bars[n] == bar && found[n].group == group {
				found[n].text += " " + w.text
				continue
			}
			if abs(music[bar].groups[group].col-w.col) <= 2 {
				close++
			}
			found, bars = append(found, sungWord{w, a.line, group}), append(bars, bar)
		}
		if speaks(a) || !b.sung && a.oneSpaced() && !underOwn(music, found, bars, len(a.words)) {
			continue
		}
		if a.sung = len(found) >= 2 && (3*close >= 2*len(a.words) || b.sung && 2*close >= len(a.words)); !a.sung {
			continue
		}
		b.sung = true
		for k, w := range found {
			out[bars[k]] = append(out[bars[k]], w)
		}
	}
	return out
}

// speaks tells a line that tells the player something: "let the last one ring",
// "play this twice".
func speaks(a *attached) bool {
	var words []string
	for _, w := range a.words {
		words = append(words, strings.ToLower(strings.Trim(w.text, ".,;:!?()[]")))
	}
	has := func(list ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	return words[0] == "let" && has("ring") || (words[0] == "play" || words[0] == "repeat") && has("twice", "times", "again", "slowly", "softly", "once", "through")
}

// oneSpaced tells a line of three words or more with one space between each and the next, as
// prose is typed; words that are laid out under notes have gaps.
func (a *attached) oneSpaced() bool {
	for i := range a.words[1:] {
		if a.words[i+1].col != a.words[i].col+width(a.words[i].text)+1 {
			return false
		}
	}
	return len(a.words) > 2
}

// underOwn tells whether all words of a line stand under notes of their own, a
// column beside them at most.
func underOwn(music []*barMusic, found []sungWord, bars []int, words int) bool {
	for i, w := range found {
		if abs(music[bars[i]].groups[w.group].col-w.col) > 1 {
			return false
		}
	}
	return len(found) == words
}

// isLyricWord tells a word that may be sung: it has a letter, and none of the
// signs with which remarks begin.
func isLyricWord(s string) bool {
	return strings.IndexFunc(s, unicode.IsLetter) >= 0 && !strings.ContainsAny(s[:1], "([{<>*#=|/") && !strings.ContainsAny(s, "=<>|")
}

// sing makes the events of the words under a bar.
func (b *builder) sing(s *system, sys, index int, m *barMusic, words []sungWord) []score.Event {
	var events []score.Event
	for _, w := range words {
		l := &score.Words{Kind: "lyric", Text: unjoined(columnText(w.text))}
		l.Staff = 1
		l.Src = b.handle(nodeRef{line: int32(w.line), col: int32(w.col + s.rows[0].shift), sys: int32(sys), bar: int32(index), sign: -1, kind: nodeWords})
		if w.group < 0 {
			l.Onset, _ = m.timeBeside(w.col)
		}
		for _, e := range m.events {
			if w.group >= 0 && e.group == w.group {
				l.Onset = e.onset
			}
		}
		events = append(events, l)
	}
	return events
}

// unjoined gives the text of a word of lyrics: words that are sung on one note
// are joined by _ in the tab.
func unjoined(s string) string {
	inner := strings.Trim(s, "_")
	at := strings.Index(s, inner)
	return s[:at] + strings.ReplaceAll(inner, "_", " ") + s[at+len(inner):]
}

// verses puts the words that are sung in a bar into their tracks.
func (c *composer) verses(m *score.Measure, bar *composed, report lost) {
	verse := map[score.Quarters]int{}
	for _, e := range m.Events {
		w, ok := e.(*score.Words)
		if !ok || w.Kind != "lyric" {
			continue
		}
		text := columnText(strings.Join(strings.Fields(w.Text), "_"))
		at := bar.pointAt(w.Onset)
		if text == "" {
			continue
		}
		if at < 0 || text != strings.Trim(text, "()") {
			if !c.unsung {
				report("tab-lost-lyric", "a word of the lyrics ("+text+"), and maybe more")
			}
			c.unsung = true
			continue
		}
		k := verse[w.Onset]
		verse[w.Onset]++
		bar.put(at, track{kind: lyricLine, row: k, name: "sung " + strconv.Itoa(k)}, piece{body: text})
	}
}

// unclearLyrics finds the lines of lyrics in bars i to j that need their name,
// since they have words under no note or read as something else.
func (w *partWriter) unclearLyrics(i, j int, c *canvas) map[track]bool {
	var out map[track]bool
	for t, line := range c.lines {
		if t.kind != lyricLine || !strings.HasPrefix(t.name, "sung") {
			continue
		}
		words, clear := 0, true
		for k := i; k < j; k++ {
			for p := range w.bars[k].points {
				pt := &w.bars[k].points[p]
				pc, has := pt.pieces[t]
				if !has {
					continue
				}
				words++
				note := false
				for other := range pt.pieces {
					note = note || other.kind == stringLine && pt.struck
				}
				clear = clear && note && isLyricWord(pc.body)
			}
		}
		text := []byte(string(line))
		src := newSource("", text)
		if clear = clear && words >= 2 && len(src.lines) == 1 && len(readHeaders(src, 0)) == 0; clear {
			clear = classify(src.columns(0), 0, false, true).kind == lyricLine
		}
		if !clear {
			if out == nil {
				out = map[track]bool{}
			}
			out[t] = true
		}
	}
	return out
}

// remarks puts the words under a system that is written anew, which are no
// lyrics, to the notes over which they stood, so that they are laid out with them.
// Words of bars that are no more go with them.
func (e *editor) remarks(c *composer, old, p *score.Part, r run) {
	b := e.o.built
	s := b.lay.systems[r.sys]
	for i, a := range s.below {
		if a.kind != lyricLine || a.sung {
			continue
		}
		for _, w := range a.words {
			m, group := nearestGroup(b.music[r.sys], w.col)
			if m < 0 {
				continue
			}
			onset, src := score.Quarters{}, score.Handle(0)
			for _, k := range r.old {
				for chord := range old.Measures[k].Chords() {
					if chord.Src == 0 {
						continue
					}
					if ref := b.nodes[chord.Src-1]; int(ref.bar) == m && int(ref.sign) == group && ref.kind == nodeChord {
						onset, src = chord.Onset, old.Measures[k].Src
					}
				}
			}
			for _, k := range r.new {
				if src == 0 || p.Measures[k].Src != src || c.bars[k].points == nil {
					continue
				}
				at := max(c.bars[k].pointAt(onset), 0)
				t := track{kind: lyricLine, row: i, name: strconv.Itoa(i)}
				if before, taken := c.bars[k].points[at].pieces[t]; taken {
					w.text = before.body + " " + w.text
				}
				c.bars[k].points[at].pieces[t] = piece{body: w.text}
			}
		}
	}
}

// nearestGroup finds the bar and the group in it that stands nearest to a
// column, -1 where there is none.
func nearestGroup(music []*barMusic, col int) (bar, group int) {
	bar, group = -1, -1
	best := 0
	try := func(i int) bool {
		found := false
		for k, g := range music[i].groups {
			if d := abs(g.col - col); !g.grace && (bar < 0 || d < best) {
				bar, group, best = i, k, d
			}
			found = found || !g.grace
		}
		return found
	}
	at := sort.Search(len(music), func(i int) bool { return music[i].to > col })
	for i := at - 1; i >= 0 && !try(i); i-- { // the nearest bar before that has notes
	}
	for i := at; i < len(music) && (bar < 0 || music[i].from-col < best) && !try(i); i++ {
	}
	if at+1 < len(music) { // the bar after the one that it stands under
		try(at + 1)
	}
	return bar, group
}
