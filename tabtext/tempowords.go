package tabtext

import (
	"slices"
	"strconv"
	"strings"
)

// beatNames are the words for what a tempo counts, in quarter notes. Source:
// the names of note values in English and American use, common practice.
var beatNames = map[string]float64{
	"q": 1, "quarter": 1, "quarters": 1, "crotchet": 1, "♩": 1, "1/4": 1, "4th": 1,
	"h": 2, "half": 2, "minim": 2, "𝅗𝅥": 2, "1/2": 2,
	"e": 0.5, "eighth": 0.5, "8th": 0.5, "quaver": 0.5, "♪": 0.5, "1/8": 0.5,
	"sixteenth": 0.25, "16th": 0.25, "semiquaver": 0.25, "1/16": 0.25,
}

// aboutWords say that a number is not exact.
var aboutWords = []string{"about", "around", "roughly", "approx", "approximately", "ca", "circa", "c", "~", "≈", "say", "maybe"}

// speedWords say that a number beside them is a tempo.
var speedWords = []string{"tempo", "bpm", "mm", "m.m", "click", "metronome", "speed"}

// A tempo in words lies between these, in beats per minute; other numbers are
// something else.
const (
	slowestSaid = 20
	fastestSaid = 400
)

// proseTempo finds a tempo in a line in lower case. doubt tells that no word
// says it is one: "120ish", "about 90"; named is as in [tempoIn].
func proseTempo(low string) (v float64, named, doubt, ok bool) {
	for _, clause := range clauses(strings.ReplaceAll(low, ": ", " ")) {
		if v, named, doubt, ok := tempoIn(tempoFields(clause), true); ok {
			return v, named, doubt, true
		}
	}
	return 0, false, false, false
}

// tempoFields cuts a text into words, with equals signs and tildes apart.
func tempoFields(s string) []string {
	s = strings.NewReplacer("=", " = ", "@", " @ ", "~", " ~ ", "≈", " ~ ", ":", " ").Replace(s)
	return strings.Fields(s)
}

// tempoIn finds a tempo among words: a note value and a number after "=", a
// number beside a word for speed, or, if loose, one that is said not to be
// exact and stands alone or nearly so. named tells that the note value is said,
// so that the tempo is in quarter notes per minute; else it is in beats.
func tempoIn(words []string, loose bool) (v float64, named, doubt, ok bool) {
	for i, w := range words {
		v, ish, isNumber := tempoNumber(w)
		if !isNumber {
			continue
		}
		k := i - 1
		for k >= 0 && slices.Contains(aboutWords, strings.TrimRight(words[k], ".")) {
			ish = true
			k--
		}
		if k > 0 && words[k] == "=" {
			if beat, said := beatBefore(words[:k]); said {
				return v * beat, true, false, true
			}
		}
		if v < slowestSaid || v > fastestSaid {
			continue
		}
		unit := ""
		if i+1 < len(words) {
			unit = strings.TrimRight(words[i+1], ".")
		}
		switch {
		case unit == "bpm" || strings.HasSuffix(w, "bpm") || unit == "beats" && i+3 < len(words) && words[i+2] == "per" || unit == "beats/min" || unit == "per" && i+2 < len(words) && words[i+2] == "minute":
			return v, false, false, true
		}
		from := k
		for from >= 0 && (words[from] == "=" || words[from] == "@" || words[from] == "at" || words[from] == "is" || words[from] == "to" || words[from] == "of") {
			from--
		}
		if from >= 0 && slices.Contains(speedWords, strings.TrimRight(words[from], ".")) && unit != "%" && !strings.HasSuffix(w, "%") {
			return v, false, false, true
		}
		if loose && ish && v >= 40 && v <= 300 && k < 0 && i == len(words)-1 {
			return v, false, true, true
		}
	}
	return 0, false, false, false
}

// beatBefore reads the note value that words end in: "dotted quarter note",
// "q.".
func beatBefore(words []string) (quarters float64, ok bool) {
	k := len(words) - 1
	if k > 0 && (words[k] == "note" || words[k] == "notes") {
		k--
	}
	name := words[k]
	dotted := k > 0 && words[k-1] == "dotted"
	if rest, found := strings.CutSuffix(name, "."); found {
		name, dotted = rest, true
	}
	name = strings.TrimSuffix(name, "-note")
	if rest, found := strings.CutPrefix(name, "dotted-"); found {
		name, dotted = rest, true
	}
	quarters, ok = beatNames[name]
	if dotted {
		quarters *= 1.5
	}
	return quarters, ok
}

// tempoNumber reads a number of beats per minute: "96", "96.5", "120ish",
// "120bpm", "116-120" (the first counts).
func tempoNumber(w string) (v float64, ish, ok bool) {
	w = strings.TrimRight(w, ".,;!+")
	w = strings.TrimSuffix(w, "bpm")
	if rest, found := strings.CutSuffix(strings.TrimSuffix(w, "-ish"), "ish"); found || rest != w {
		w, ish = rest, true
	}
	first, _, ranged := strings.Cut(strings.ReplaceAll(w, "–", "-"), "-")
	v, err := strconv.ParseFloat(first, 64)
	if ranged {
		ish = true
	}
	for i := range len(first) {
		if !isDigit(first[i]) && first[i] != '.' {
			return 0, false, false
		}
	}
	return v, ish, err == nil && v > 0 && v < 1000
}

// parseTempo reads the value of a tempo: "96", "96 bpm", "q = 96", "dotted
// quarter = 58", "about 100"; named is as in [tempoIn].
func parseTempo(s string) (v float64, named, ok bool) {
	words := tempoFields(strings.ToLower(strings.NewReplacer("(", " ", ")", " ", ",", " ").Replace(s)))
	if v, named, _, ok := tempoIn(words, true); ok {
		return v, named, true
	}
	for _, w := range words {
		if v, err := strconv.ParseFloat(strings.TrimSuffix(w, "bpm"), 64); err == nil && v > 0 && v < 10000 {
			return v, false, true
		}
		if v, _, ok := tempoNumber(w); ok {
			return v, false, true
		}
	}
	return 0, false, false
}
