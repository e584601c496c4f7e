package tabtext

import (
	"slices"
	"sort"
	"strings"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// instrumentTunings are the words that name an instrument, with the preset of
// its standard tuning; longer ones first. Source: common practice.
var instrumentTunings = []struct{ words, preset string }{
	{"baritone ukulele", "ukulele-baritone"}, {"baritone uke", "ukulele-baritone"}, {"bari uke", "ukulele-baritone"},
	{"tenor banjo", "banjo-tenor"}, {"ukulele", "ukulele"}, {"ukelele", "ukulele"}, {"uke", "ukulele"},
	{"mandolin", "mandolin"}, {"mando", "mandolin"}, {"banjo", "banjo"},
	{"bass", "bass"}, {"bass", "bass-5"}, {"bass", "bass-6"},
}

// instrumentNamed finds the standard tuning of n strings of an instrument that
// a line names. A line that names several, or a guitar, tells nothing.
func instrumentNamed(line string, n int) (fretboard.Tuning, bool) {
	all := " " + strings.ToLower(strings.Join(tuningWords(line), " ")) + " "
	if strings.Contains(all, " guitar ") {
		return fretboard.Tuning{}, false
	}
	for _, in := range instrumentTunings {
		if i := strings.Index(all, " "+in.words+" "); i < 0 || denied(all[:i+1]) {
			continue
		}
		if p, ok := fretboard.PresetByName(in.preset); ok && p.Tuning.Len() == n {
			return p.Tuning, true
		}
	}
	return fretboard.Tuning{}, false
}

// usual is the standard tuning of the instrument that plays a system: that
// which the name of its part, or a line over the tab, names, else that which has
// so many strings.
func (b *builder) usual(s *system) fretboard.Tuning {
	n := s.strings()
	if t, ok := instrumentNamed(b.cur.part.Name, n); ok {
		return t
	}
	lay := b.lay
	named := sort.SearchInts(lay.naming, s.rows[0].line)
	other := sort.Search(len(lay.systems), func(i int) bool { return lay.systems[i].rows[0].line >= s.rows[0].line })
	for k := named - 1; k >= 0 && k >= named-maxAround; k-- {
		line := lay.naming[k]
		for other > 0 && lay.systems[other-1].rows[0].line > line {
			if other--; lay.systems[other].strings() != n {
				return defaultTuning(n) // what stands over that is about it
			}
		}
		c := lay.src.columns(line)
		if t, ok := instrumentNamed(c.show(skipQuote(c.ch), len(c.ch), lay.src.html), n); ok {
			return t
		}
	}
	return defaultTuning(n)
}

// namesInstrument tells a line of few words that names an instrument.
func namesInstrument(line string) bool {
	words := tuningWords(strings.ToLower(line))
	if len(words) > maxNaming {
		return false
	}
	all := " " + strings.Join(words, " ") + " "
	for _, in := range instrumentTunings {
		if strings.Contains(all, " "+in.words+" ") {
			return true
		}
	}
	return false
}

// maxNaming is how many words a line has, at most, that names an instrument.
const maxNaming = 10

// standardOf is what "standard" means for a system: the tuning that its labels
// spell, if that is the standard tuning of an instrument, else the usual one.
func (b *builder) standardOf(s *system) fretboard.Tuning {
	if t, _, ok := b.labelTuning(s.whole()); ok && isStandard(t) {
		return t
	}
	return b.usual(s)
}

// standards are the presets that are the standard tunings of instruments.
var standards = []string{"standard", "7-string", "8-string", "bass", "bass-5", "bass-6", "ukulele", "ukulele-low-g", "ukulele-baritone", "mandolin", "banjo", "banjo-tenor"}

func isStandard(t fretboard.Tuning) bool {
	return slices.ContainsFunc(standards, func(key string) bool {
		p, ok := fretboard.PresetByName(key)
		return ok && p.Tuning.Sounds(t)
	})
}

// spelledTuning finds the strings of a tuning in a line that speaks of it, from
// low to high: "standard tuning (GCEA)", "tuned E A D G".
func spelledTuning(text string) (fretboard.Tuning, bool) {
	words := tuningWords(text)
	if !slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(strings.ToLower(w), "tun") }) {
		return fretboard.Tuning{}, false
	}
	for i := 0; i < len(words); i++ {
		run := 0
		for i+run < len(words) && run < fretboard.MaxStrings {
			if _, err := theory.ParseNoteName(words[i+run]); err != nil || words[i+run] == "a" {
				break
			}
			run++
		}
		text := words[i]
		switch {
		case run >= 4:
			text = strings.Join(words[i:i+run], " ")
		case len(text) >= 4 && len(text) <= fretboard.MaxStrings && strings.Trim(text[1:], "ABCDEFG") == "" && strings.Trim(text[:1], "ABCDEFGg") == "":
		default:
			continue
		}
		if t, err := fretboard.ParseTuning(text); err == nil {
			return t, true
		}
	}
	return fretboard.Tuning{}, false
}
