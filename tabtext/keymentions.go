package tabtext

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// clauseKey finds a key that is a clause of a line by itself: "here is one. key of G,
// 4/4", "Rusty Gate - G minor, 3/4". Such a clause says the key whatever the others say, but
// for a line that names several. Without "key" the mode must be said in a word, and the
// line be a heading that names something else first: "C major, up and down" is an exercise.
func clauseKey(text string) (k theory.Key, said bool, at span, ok bool) {
	found := 0
	heading := len(strings.Fields(text)) <= headingWords
	for _, c := range keyClauses(text) {
		words := strings.Fields(text[c.from:c.to])
		named, from := false, c.from
		for len(words) > 0 && slices.Contains([]string{"in", "the", "key", "of", "is", "now", "=", ":", "-"}, strings.ToLower(strings.TrimRight(words[0], ":="))) {
			named = named || strings.HasPrefix(strings.ToLower(words[0]), "key")
			from += strings.Index(text[from:], words[0]) + len(words[0])
			words = words[1:]
		}
		if len(words) == 0 || len(words) > 3 || !isTonic(words[0][0]) {
			continue
		}
		key, mode, err := theory.ParseKey(strings.Join(words, " "))
		if err != nil {
			continue
		}
		if found++; !named && (!mode || len(words) < 2 || !heading || c.from == 0) {
			continue
		}
		from += strings.Index(text[from:], words[0])
		k, said, at, ok = key, mode, span{from, c.to}, true
	}
	if mentions, _ := keyMentions(text); len(mentions) > 1 {
		return k, said, at, false
	}
	return k, said, at, ok && found == 1
}

// keyClauses cuts a line at what parts clauses; each without the spaces around it.
func keyClauses(text string) []span {
	var out []span
	from := 0
	end := func(to, next int) {
		part := text[from:to]
		lead := len(part) - len(strings.TrimLeft(part, " "))
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, span{from + lead, from + lead + len(part)})
		}
		from = next
	}
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case i < from: // of a sign of several bytes
		case strings.IndexByte(",;()[]!", c) >= 0, c == '.' && (i+1 == len(text) || text[i+1] == ' '):
			end(i, i+1)
		case strings.HasPrefix(text[i:], " - "), strings.HasPrefix(text[i:], "   "):
			end(i, i+3)
		case strings.HasPrefix(text[i:], " – "), strings.HasPrefix(text[i:], " — "):
			end(i, i+5)
		}
	}
	end(len(text), len(text))
	return out
}

// keyMentions finds where words name a key, read as that of the tab or not.
func keyMentions(text string) (keys []theory.Key, at []span) {
	add := func(k theory.Key, s span) {
		if n := len(at); n == 0 || at[n-1].to <= s.from {
			keys, at = append(keys, k), append(at, s)
		}
	}
	from := 0
	words := strings.Fields(text)
	for i, w := range words {
		from += strings.Index(text[from:], w)
		end := from + len(w)
		switch plain := strings.ToLower(strings.Trim(w, ".,;:!?()[]*\"'")); {
		case plain == "key" && i+2 < len(words) && (words[i+1] == "of" || words[i+1] == "is"):
			if k, _, s, ok := keyAfter(text, end+strings.Index(text[end:], words[i+1])+len(words[i+1])); ok && isTonic(text[s.from]) {
				add(k, s)
			}
		case plain == "in":
			if k, _, s, ok := keyAfter(text, end); ok && isTonic(text[s.from]) && (i == 0 || !slices.Contains(noKeyBefore, strings.ToLower(words[i-1]))) && endsClause(text[s.to:]) {
				add(k, s)
			}
		case i+1 < len(words) && isTonic((strings.TrimLeft(w, "([*\"'") + " ")[0]):
			start := from + len(w) - len(strings.TrimLeft(w, "([*\"'"))
			if k, said, s, ok := keyAfter(text, start); ok && said && strings.ContainsRune(text[s.from:s.to], ' ') {
				add(k, s)
			}
		}
		from = end
	}
	return keys, at
}

// keysLeft says which words of the text still name the key from which music was
// moved.
func (o *origin) keysLeft(s *score.Score) score.Diagnostics {
	old, moved := o.movedFrom(s)
	if !moved {
		return nil
	}
	lay := o.built.lay
	tab := map[int]bool{}
	for _, sys := range lay.systems {
		for l := sys.first; l < sys.last; l++ {
			tab[l] = true
		}
	}
	edited := map[int][]span{}
	for _, h := range lay.headers {
		if h.kind == headKey && !h.at.empty() {
			edited[h.line] = append(edited[h.line], h.at)
			tab[h.line] = tab[h.line] || !h.prose
		}
	}
	var out score.Diagnostics
	for line := range lay.src.lines {
		c := lay.src.columns(line)
		if tab[line] || len(c.ch) == 0 {
			continue
		}
		text := c.show(0, len(c.ch), lay.src.html)
		keys, at := keyMentions(text)
		for i, k := range keys {
			col := at[i].shifted(0, len(c.ch), len(text))
			if old != nil && k.Tonic.Class() != old.Tonic.Class() || slices.ContainsFunc(edited[line], func(e span) bool { return e.from < col.to && col.from < e.to }) {
				continue
			}
			out = append(out, score.Diagnostic{Severity: score.Warning, Code: "tab-key-words", Pos: lay.src.pos(line, col.from),
				Msg:  fmt.Sprintf("the music has moved, and the words still say %s: they were not read as the key of the tab", strconv.Quote(text[at[i].from:at[i].to])),
				Hint: "correct the words; a line Key: and the key above the tab moves with the music"})
		}
	}
	return out
}

// movedFrom tells whether all notes that are still there moved by one interval, and
// the key in which the music was, if that is known.
func (o *origin) movedFrom(s *score.Score) (old *theory.Key, moved bool) {
	was := map[score.Handle]int{}
	for n := range score.Notes(o.built.sc) {
		was[n.Src] = n.Pitch.MIDI()
	}
	by, seen := 0, false
	for n := range score.Notes(s) {
		before, ok := was[n.Src]
		if !ok || n.Src == 0 || n.Has(score.Dead) {
			continue
		}
		d := ((n.Pitch.MIDI()-before)%12 + 12) % 12
		if seen && d != by || d == 0 {
			return nil, false
		}
		by, seen = d, true
	}
	for _, p := range o.sounds.Parts {
		if len(p.Measures) == 0 {
			continue
		}
		for _, e := range p.Measures[0].Events {
			if k, ok := e.(*score.KeySignature); ok && old == nil && !k.Free && !k.NoKey {
				key := k.Key
				old = &key
			}
		}
	}
	return old, seen
}
