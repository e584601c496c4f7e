package tabtext

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A heading is short, or its first clause is. Longer lines talk of a key in passing.
const (
	headingWords = 8  // "Slow blues in A", at most
	keyOfWords   = 12 // "(key of E)" names what it says, so the line may be longer
)

// passingWords make a sentence of a line in which a key is not that of the tab.
var passingWords = []string{"not", "isn't", "isnt", "don't", "dont", "never", "if", "when", "or", "could", "would", "can", "was", "were", "originally", "original", "usually", "instead", "than",
	"try", "also", "works", "goes", "moves", "changes", "modulates", "transpose", "transposed", "transposing", "change", "everyone", "someone", "recorded", "record", "album", "another", "any", "every"}

// noKeyBefore are words after which "in A" is no key: a tuning, a chord, a section.
var noKeyBefore = []string{"tuned", "tune", "tuning", "ends", "end", "ending", "resolves", "resolve", "comes", "section", "part", "open", "drop", "stays", "sits"}

// proseKey finds a key in a line that is a heading: "Slow blues in A", "Lick in
// Bb minor", "(key of E)", "key F# dorian". at is where the key stands in the line, in
// bytes. A line with other words behind the key, one that is long, or one that
// says "originally in G" names the key in passing.
func proseKey(text string) (k theory.Key, said bool, at span, ok bool) {
	words := strings.Fields(text)
	plain := make([]string, len(words))
	for i, w := range words {
		plain[i] = strings.ToLower(strings.Trim(w, ".,;:!?()[]*\"'"))
	}
	if len(words) > keyOfWords || slices.ContainsFunc(plain, func(w string) bool { return slices.Contains(passingWords, w) }) {
		return k, false, at, false
	}
	from := 0 // of the word, in bytes
	for i, w := range plain {
		from += strings.Index(text[from:], words[i])
		end := from + len(words[i])
		switch {
		case w == "key" && i+1 < len(words) && !strings.ContainsAny(words[i][len(words[i])-1:], ".,;!?)"):
			next := i + 1
			for next < len(words) && next <= i+2 && slices.Contains([]string{"of", "is", "in", "=", "-", ":"}, strings.ToLower(words[next])) {
				end += strings.Index(text[end:], words[next]) + len(words[next])
				next++
			}
			of := next > i+1
			if k, said, at, ok := keyAfter(text, end); ok && (of && (isTonic(text[at.from]) || said || endsClause(text[at.to:])) || isTonic(text[at.from]) && len(words) <= headingWords && endsClause(text[at.to:])) {
				return k, said, at, true
			}
		case w == "in" && (len(words) <= headingWords || first(text, from)) && (i == 0 || !slices.Contains(noKeyBefore, plain[i-1])):
			k, said, at, ok := keyAfter(text, end)
			scale := strings.HasPrefix(strings.TrimSpace(text[max(at.to, 0):]), "dominant") // phrygian dominant is no mode of a key
			if ok && !scale && isTonic(text[at.from]) && (endsClause(text[at.to:]) || strings.ContainsRune(text[at.from:at.to], ' ') && said) {
				return k, said, at, true
			}
		}
		from += len(words[i])
	}
	return k, false, at, false
}

// first tells whether a place in a line is in its first clause, which ends before the
// line does and has few words.
func first(text string, at int) bool {
	before, rest := text[:at], text[at:]
	if strings.ContainsAny(before, ",;:()") || strings.Contains(before, "  ") || len(strings.Fields(before)) > headingWords-2 {
		return false
	}
	if i := strings.Index(before, ". "); i >= 0 && len(before[strings.LastIndexByte(before[:i], ' ')+1:i]) > len("ex") { // not "no. 3"
		return false
	}
	return strings.Contains(rest, "  ") || strings.ContainsAny(rest, ",;(")
}

// isTonic tells a tonic from the article: "in a hurry".
func isTonic(c byte) bool { return 'A' <= c && c <= 'G' }

// endsClause tells whether what follows a key leaves it alone: nothing, a sign that
// parts clauses, a gap, a metre or a tempo; not "in G or D", "in C, F and G".
func endsClause(rest string) bool {
	trimmed := strings.TrimLeft(rest, " ")
	if trimmed == "" || strings.HasPrefix(rest, "  ") {
		return true
	}
	if c := trimmed[0]; isDigit(c) || c == '(' || c == '[' || c == '~' {
		return len(trimmed) < len(rest)
	}
	if c := rest[0]; strings.IndexByte(".;:!?)]", c) >= 0 {
		return true
	}
	for _, sign := range []string{",", " - ", " – ", " — ", " / ", " | "} {
		if after, found := strings.CutPrefix(rest, sign); found {
			word, _, _ := strings.Cut(strings.TrimSpace(after), " ")
			_, _, err := theory.ParseKey(strings.TrimRight(word, ".,;"))
			return err != nil || word == "" || !isTonic(word[0])
		}
	}
	return false
}

// lastKey is the key that statements before a system give: a line "Key: Am" wins over
// a heading, and of several the last counts.
func lastKey(hs []header) (header, bool) {
	var found header
	ok := false
	for _, h := range hs {
		if h.kind == headKey && (!ok || !h.prose || found.prose) {
			found, ok = h, true
		}
	}
	return found, ok
}

// A headedKey is a key that a heading named, to be compared with the notes.
type headedKey struct {
	key   theory.Key
	said  bool // its mode
	line  int
	first int // measure from which it holds
}

// doubtKeys says where the notes of a part speak for another key than its heading.
// The heading counts.
func (b *builder) doubtKeys(p *partState) {
	for i, h := range p.headedKeys {
		end := len(p.part.Measures)
		if i+1 < len(p.headedKeys) {
			end = p.headedKeys[i+1].first
		}
		var notes []theory.WeightedNote
		for _, m := range p.part.Measures[min(h.first, end):end] {
			for c := range m.Chords() {
				for _, n := range c.Notes {
					if !n.Has(score.Dead) {
						notes = append(notes, theory.WeightedNote{MIDI: n.Pitch.MIDI(), Weight: c.Duration.Float()})
					}
				}
			}
		}
		guesses := theory.FindKey(notes)
		if len(notes) < fewNotes || len(guesses) == 0 || guesses[0].Confidence < sureKey {
			continue
		}
		belief := 0.0
		for _, g := range guesses {
			if sameScale(g.Key, h.key) || !h.said && g.Key.Tonic.Class() == h.key.Tonic.Class() {
				belief += g.Confidence
			}
		}
		if belief < doubtfulKey {
			b.report(score.Info, "tab-key-doubt", b.lay.src.pos(h.line, 0),
				"the heading says "+h.key.String()+", which is used; the notes speak for "+guesses[0].Key.String()+" ("+strconv.Itoa(int(100*guesses[0].Confidence+0.5))+" %)", "write Key: and the key if it is another")
		}
	}
}

// What it takes to say that notes speak against a heading.
const (
	fewNotes    = 8
	sureKey     = 0.35 // what FindKey gives a plain line of twenty notes, and more
	doubtfulKey = 0.05
)

// sameScale tells whether two keys have the same signature, as relative keys and
// modes have.
func sameScale(a, b theory.Key) bool { return (a.Fifths()-b.Fifths())%12 == 0 }
