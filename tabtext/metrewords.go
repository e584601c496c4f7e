package tabtext

import (
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// clauses cuts a line in lower case into what stands together: at commas,
// points, brackets, strokes between words and gaps of two columns.
func clauses(low string) []string {
	var out []string
	from := 0
	cut := func(to, next int) {
		if c := strings.TrimSpace(low[from:to]); c != "" {
			out = append(out, c)
		}
		from = next
	}
	for i := 0; i < len(low); i++ {
		alone := i > 0 && low[i-1] == ' ' && (i+1 == len(low) || low[i+1] == ' ')
		switch b := low[i]; {
		case b == ',' || b == ';' || b == '(' || b == ')' || b == '[' || b == ']' || b == '!' || b == '?' || b == '\t' || b == '|':
			cut(i, i+1)
		case b == '.' && (i+1 == len(low) || low[i+1] == ' ') && !abbreviated(low[from:i]):
			cut(i, i+1)
		case b == ':' && (i+1 == len(low) || low[i+1] == ' '):
			cut(i, i+1)
		case alone && (b == '-' || b == '/' || b == '*'):
			cut(i, i+1)
		case b == ' ' && i+1 < len(low) && low[i+1] == ' ':
			cut(i, i+1)
		case strings.HasPrefix(low[i:], "–") || strings.HasPrefix(low[i:], "—"):
			cut(i, i+len("–"))
			i += len("–") - 1
		}
	}
	cut(len(low), len(low))
	return out
}

// abbreviated tells whether a point after a word belongs to it: "ca.", "q.",
// "approx.", "♩.".
func abbreviated(before string) bool {
	words := strings.Fields(before)
	if len(words) == 0 {
		return false
	}
	w := words[len(words)-1]
	_, unit := beatNames[w]
	return unit || slices.Contains(aboutWords, w) || w == "sig"
}

// metreBefore and metreAfter are the words beside which a metre is one;
// notMetreBefore and notMetreAfter those that make it something else: one bar
// among others, a page, a date, a fraction. Source: common practice.
var (
	metreBefore    = []string{"in", "time", "signature", "sig", "sig.", "metre", "meter", "count"}
	metreAfter     = []string{"time", "feel", "groove", "metre", "meter", "beat"}
	notMetreAfter  = []string{"bar", "bars", "measure", "measures", "step", "steps", "tone", "of", "speed", "inch", "times", "hours", "way", "scale", "size"}
	notMetreBefore = []string{"on", "of", "about", "page", "part", "take", "lesson", "lick", "line", "version", "day", "section", "chapter", "exercise", "ex", "no", "nr", "disc",
		"track", "week", "rated", "rating", "score", "date", "a", "an", "the", "that", "this", "one", "bar", "bars", "fret", "frets", "for", "until", "by", "from", "since"}
	// sectionWords name a section of a piece; a metre after one is the section's.
	sectionWords = []string{"intro", "verse", "prechorus", "pre-chorus", "chorus", "refrain", "bridge", "solo", "interlude", "break", "breakdown", "riff", "theme", "head", "hook",
		"tag", "turnaround", "vamp", "outro", "coda", "ending", "instrumental", "tune", "melody"}
	// feelWords make a heading of the line: what is played, how, how fast.
	feelWords = []string{"slow", "slowly", "fast", "medium", "moderate", "moderato", "easy", "quick", "brisk", "lively", "relaxed", "waltz", "blues", "swing", "swung", "shuffle", "rock", "ballad", "jig",
		"reel", "hornpipe", "polka", "mazurka", "march", "samba", "bossa", "tango", "bolero", "rumba", "cha-cha", "reggae", "ska", "funk", "soul", "gospel", "jazz", "latin", "folk", "country", "bluegrass",
		"metal", "punk", "disco", "groove", "feel", "straight", "triplets", "tempo", "bpm", "beats", "speed", "key", "quarter", "eighth", "dotted", "half", "lullaby", "air", "minuet", "barcarolle",
		"andante", "adagio", "allegro", "allegretto", "largo", "lento", "presto", "vivace", "intro", "riff"}
)

// proseMetre finds a metre in a line in lower case: "3/4 time", "in 6/8", one
// that stands by itself between commas or gaps, or at the beginning or end of
// words that name a feel, a key or a tempo. "A 2/4 bar" is about one bar, "1/2
// step" about a tuning.
func proseMetre(low string) (*score.TimeSignature, bool) {
	list := clauses(low)
	for k, clause := range list {
		for _, name := range []string{"common time", "cut time", "alla breve"} {
			if rest, found := strings.CutPrefix(clause, "in "); clause == name || found && rest == name {
				symbol := map[bool]string{true: "common", false: "cut"}[name == "common time"]
				return score.ParseMetre(symbol)
			}
		}
		words := strings.Fields(clause)
		for i, w := range words {
			if t, ok := beatsSaid(words, i); ok {
				return t, true
			}
			t, ok := score.ParseMetre(w)
			if !ok || !strings.Contains(w, "/") || w[0] == '1' && w[1] == '/' {
				continue
			}
			before, after := "", ""
			if i > 0 {
				before = words[i-1]
			}
			if i+1 < len(words) {
				after = words[i+1]
			}
			switch {
			case slices.Contains(notMetreAfter, after) || strings.HasPrefix(after, "bar") || after == "=":
			case slices.Contains(metreAfter, after), slices.Contains(metreBefore, before):
				return t, true
			case sectionMetre(words, i):
				return t, true
			case slices.Contains(notMetreBefore, before) && !(before == "a" && i > 1 && words[i-2] == "in"): // in A
			case len(words) == 1:
				if k == 0 || !slices.Contains(notMetreBefore, list[k-1]) { // "Date: 12/8"
					return t, true
				}
			case slices.Contains(feelWords, before):
				return t, true
			case (i == 0 || after == "" || isTempoWords(words[i+1:])) && len(words) <= 8 && namesFeel(slices.Concat(words[:i], words[i+1:])):
				return t, true
			}
		}
	}
	return nil, false
}

// sectionMetre tells whether a word is the metre of a section whose name is
// before it: "verse 6/8", "guitar solo 6/8 slow", "verse 2 6/8".
func sectionMetre(words []string, i int) bool {
	if after := words[i+1:]; len(after) > 0 && !isTempoWords(after) && !slices.Contains(feelWords, after[0]) {
		return false
	}
	k := i - 1
	if k > 0 && len(words[k]) <= 2 && strings.Trim(words[k], "0123456789abcd") == "" {
		k--
	}
	return k >= 0 && k <= 1 && slices.Contains(sectionWords, words[k]) && !(k == 1 && slices.Contains(notMetreBefore, words[0]))
}

// beatsSaid reads how many beats a bar has: "5 beats", "back in 4".
func beatsSaid(words []string, i int) (*score.TimeSignature, bool) {
	n, err := strconv.Atoi(words[i])
	if err != nil || n < 2 || n > 12 {
		return nil, false
	}
	last := i+1 == len(words)
	switch {
	case !last && words[i+1] == "beats" && (i == 0 || words[i-1] == "of") && (i+2 == len(words) || words[i+2] == "per" || words[i+2] == "a" || words[i+2] == "to"),
		last && i > 1 && words[i-1] == "in" && words[i-2] == "back":
		return score.ParseMetre(words[i] + "/4")
	}
	return nil, false
}

// namesFeel tells whether one of some words is of a feel, or a key.
func namesFeel(words []string) bool {
	for i, w := range words {
		if slices.Contains(feelWords, strings.TrimRight(w, ".:")) {
			return true
		}
		if i > 0 && words[i-1] == "in" || len(words) == 1 {
			if _, _, err := theory.ParseKey(strings.ToUpper(w[:1]) + w[1:]); err == nil {
				return true
			}
		}
	}
	return false
}

func isTempoWords(words []string) bool {
	_, _, _, ok := tempoIn(tempoFields(strings.Join(words, " ")), false)
	return ok
}
