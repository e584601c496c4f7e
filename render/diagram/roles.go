package diagram

import (
	"strings"

	"example.org/lickwright/score"
)

// roleWords are the short forms of what a note does, as labels of music have
// them and as pictures write them, where a p beside a note would be a thumb and
// a > an accent. What labels write as their own is left as it is.
var roleWords = map[string]struct{ word, meaning string }{
	"p": {"pass.", "passing"}, "n": {"neigh.", "neighbour"}, "s": {"susp.", "suspension"}, "r": {"retard.", "retardation"}, "app": {"appog.", "appoggiatura"},
	"e": {"escape", "escape"}, "ant": {"antic.", "anticipation"}, "ped": {"pedal", "pedal"}, "enc": {"encl.", "enclosure"},
	"da": {"diat. appr.", "diatonic approach"}, "ca": {"chrom. appr.", "chromatic approach"}, "f": {"free", "none of these"},
}

// leans is written before a role whose note is on a stronger beat than the note
// that it goes to.
const leans = "lean."

// roleInWords writes a role as pictures have it: ">p" is "lean. pass.".
func roleInWords(short string) string {
	core, heavy := strings.CutPrefix(short, ">")
	role, ok := roleWords[core]
	switch {
	case !ok:
		return short
	case heavy && canLean(core):
		return leans + " " + role.word
	}
	return role.word
}

// canLean tells whether it means something that a note leans: an appoggiatura, a
// suspension and a retardation always do, and what is none of them goes nowhere.
func canLean(short string) bool {
	return short != "f" && short != "app" && short != "s" && short != "r"
}

// role says in full what the music says that a note does, "passing, leaning";
// "" for nothing.
func (s Step) role() string {
	for _, a := range s.Labels {
		if a.Kind != score.LabelRole {
			continue
		}
		core, heavy := strings.CutPrefix(a.Text, ">")
		role, ok := roleWords[core]
		switch {
		case !ok:
			return a.Text
		case core == "f":
			return role.word
		case heavy && canLean(core):
			return role.meaning + ", leaning"
		}
		return role.meaning
	}
	return ""
}

// rolesExplained says what the words of roles mean, from what the music says of
// its own short forms: "p passing, > accented".
func rolesExplained(said string) string {
	var all []string
	for part := range strings.SplitSeq(said, ", ") {
		short, meaning, ok := strings.Cut(part, " ")
		role, known := roleWords[short]
		switch {
		case short == ">" && ok:
			part = leans + " = leaning: played on a stronger beat than the note it moves to"
		case short == "f" && meaning == role.word:
			part = "free = none of these"
		case known && meaning == role.word:
			part = meaning
		case known && ok:
			part = role.word + " = " + meaning
		}
		all = append(all, part)
	}
	return strings.Join(all, "; ")
}
