package tabtext

import (
	"slices"
	"strings"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// proseTunings are the words by which sentences name a tuning, and the preset
// that they mean; longer ones first. sure names mean nothing else, wherever
// they stand; the others, as "open E", may be said of a string or a chord and
// count where the line speaks of tuning or says little else. Source: common
// practice.
var proseTunings = []struct {
	words, preset string
	sure          bool
}{
	{"double drop d", "double-drop-d", true}, {"drop d", "drop-d", true}, {"dropped d", "drop-d", true},
	{"drop c", "drop-c", true}, {"drop b", "drop-b", true},
	{"open g", "open-g", false}, {"open d", "open-d", false}, {"open e", "open-e", false}, {"open a", "open-a", false}, {"open c", "open-c", false},
	{"dadgad", "dadgad", true}, {"standard tuning", "standard", true}, {"standard uke tuning", "standard", true}, {"standard ukulele tuning", "standard", true}, {"normal tuning", "standard", true},
}

// proseTuning finds the tuning that a sentence names: a preset, one of the
// lowered standard tunings by its lowest note ("Eb tuning", "D standard"), how
// many steps all strings are lowered ("tune down a whole step"), or the last
// two together ("half step down, drop D"). A tuning that the sentence denies
// does not count. value is true for what follows "Tuning:", which speaks of
// nothing else. doubt tells that the sentence may only talk of it.
func proseTuning(text string, value bool) (t fretboard.Tuning, doubt, ok bool) {
	words := tuningWords(text)
	low := make([]string, len(words))
	all := " "
	for i, w := range words {
		words[i] = strings.TrimRight(w, ".")
		low[i] = strings.ToLower(words[i])
		if all += low[i] + " "; words[i] != w {
			all += ". "
		}
	}
	spoken := value || strings.Contains(all, " tun") || strings.Contains(all, " detuned ")
	base, length, found := fretboard.Tuning{}, 0, false
	named := false // the preset is named by its lowest string as it sounds
	doubt = !spoken
	for _, p := range proseTunings {
		i := strings.Index(all, " "+p.words+" ")
		if i < 0 || found || denied(all[:i+1]) {
			continue
		}
		length = len(strings.Fields(p.words))
		if !p.sure && !spoken && len(words) > length+2 {
			continue
		}
		if next, _, _ := strings.Cut(all[i+len(p.words)+2:], " "); next == "string" || next == "chord" || next == "note" {
			continue
		}
		if preset, good := fretboard.PresetByName(p.preset); good {
			base, found = preset.Tuning, true
			named = p.preset == "drop-c" || p.preset == "drop-b"
			doubt = doubt && len(words) > length+2
		}
	}
	if !found && lowE(all) {
		if preset, good := fretboard.PresetByName("drop-d"); good {
			base, found, doubt = preset.Tuning, true, false
		}
	}
	if !found {
		if moved, good := standardBy(words); good {
			return moved, false, true
		}
	}
	steps, n := stepsDown(low)
	if steps > 0 && !named && !denied(all) && (spoken || found || n+2 >= len(words)) {
		if !found {
			preset, _ := fretboard.PresetByName("standard")
			base = preset.Tuning
		}
		return lowered(base, steps), doubt && found, true
	}
	for _, w := range []string{" if ", " also ", " too ", " could ", " instead ", " or ", " like "} {
		if doubt && strings.Contains(all, w) {
			return t, false, false
		}
	}
	return base, doubt, found
}

// tuningWords cuts a sentence into words without the marks around them; a
// hyphen parts words, a stroke only where it is not between digits.
func tuningWords(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool {
		return r != '#' && r != '/' && r != '\'' && r != '.' && r != '♯' && r != '♭' && r < 0x80 &&
			!(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z')
	})
}

// denied tells whether what follows is denied in its own sentence.
func denied(before string) bool {
	if i := strings.LastIndexAny(before, ".;"); i >= 0 {
		before = before[i+1:]
	}
	words := strings.Fields(before)
	for _, w := range words[max(0, len(words)-4):] {
		if w == "not" || w == "no" || w == "never" || w == "without" || strings.HasSuffix(w, "n't") || w == "dont" || w == "isnt" {
			return true
		}
	}
	return false
}

// lowE tells whether a sentence lowers the sixth string to D: "low E down to D".
func lowE(all string) bool {
	for _, s := range []string{" low e ", " 6th string ", " sixth string ", " low string "} {
		if i := strings.Index(all, s); i >= 0 {
			rest := all[i+len(s)-1:]
			if j := strings.Index(rest, " to d "); j >= 0 && j < 20 {
				return true
			}
		}
	}
	return false
}

// standardBy finds "Eb tuning", "E flat tuning", "D standard": standard tuning
// moved until its sixth string is the note. A bare letter counts before
// "standard" only, since "a tuning" and "D tuning" may be anything.
func standardBy(words []string) (fretboard.Tuning, bool) {
	for i, w := range words {
		low := strings.ToLower(w)
		if low != "standard" && low != "tuning" || i == 0 {
			continue
		}
		name := words[i-1]
		if i > 1 && (strings.EqualFold(name, "flat") || strings.EqualFold(name, "sharp")) {
			name = words[i-2] + map[bool]string{true: "b", false: "#"}[strings.EqualFold(name, "flat")]
		}
		if name == "" || name[0] < 'A' || name[0] > 'G' || len(name) == 1 && (low == "tuning" || name == "A") {
			continue
		}
		note, err := theory.ParseNoteName(name)
		if err != nil {
			continue
		}
		preset, _ := fretboard.PresetByName("standard")
		down := (4 - note.Class() + 12) % 12 // from E
		if down > maxLowered {
			continue
		}
		return lowered(preset.Tuning, down), true
	}
	return fretboard.Tuning{}, false
}

// maxLowered is by how many semitones, at most, all strings are lowered.
const maxLowered = 7

// stepsDown finds how many semitones a sentence lowers all strings by: "half
// a step down", "down 1 step", "a semitone down", "two whole steps down". n is
// how many words say so.
func stepsDown(low []string) (semitones, n int) {
	amounts := map[string]int{"half": 1, "1/2": 1, "whole": 2, "full": 2, "one": 2, "1": 2, "two": 4, "2": 4, "three": 6, "3": 6, "1.5": 3, "2.5": 5}
	for i, w := range low {
		unit := 0
		switch strings.TrimSuffix(strings.TrimRight(w, "."), "s") {
		case "step", "tone":
			unit = 2
		case "semitone":
			unit = 1
		}
		if unit == 0 {
			continue
		}
		amount, from := 0, i
		for k := i - 1; k >= 0 && k >= i-3; k-- {
			a, is := amounts[low[k]]
			switch {
			case is && amount == 0:
				amount = a
			case is && amount == 2 && a >= 2: // two whole steps
				amount = a
			case is && amount == 1 && a >= 2: // 1 1/2 steps
				amount += a
			case low[k] == "a" || low[k] == "and" || low[k] == "an":
			default:
				is = false
				k = -1
				continue
			}
			from = k
		}
		if amount == 0 && from < i {
			amount = 2 // a step
		}
		if unit == 1 {
			amount = max(1, amount/2)
		}
		near := slices.Contains(low[max(0, from-3):from], "down") || slices.Contains(low[i+1:min(len(low), i+3)], "down") ||
			slices.Contains(low[i+1:min(len(low), i+3)], "lower") || slices.Contains(low[i+1:min(len(low), i+3)], "flat")
		if amount > 0 && amount <= maxLowered && near {
			return amount, i - from + 2
		}
	}
	return 0, 0
}

// lowered moves all strings down, spelled with flats as guitarists name them.
func lowered(t fretboard.Tuning, semitones int) fretboard.Tuning {
	steps := []int{0, 1, 1, 2, 2, 3, 4, 4}[semitones]
	out := make([]theory.Pitch, t.Len())
	for i, p := range t.Strings {
		out[i] = p.Transpose(theory.Interval{Steps: -steps, Semitones: -semitones})
	}
	moved, err := fretboard.NewTuning(out...)
	if err != nil {
		return t
	}
	for _, p := range fretboard.Presets() { // with the name that it has
		if p.Tuning.Sounds(moved) {
			return p.Tuning
		}
	}
	return moved
}
