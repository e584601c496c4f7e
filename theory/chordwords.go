package theory

import "strings"

// chordWord is one of the words and signs of chord qualities.
type chordWord int8

const (
	wordNone chordWord = iota
	wordMajor
	wordTriangle
	wordMinor
	wordDim
	wordHalfDim
	wordAug
	wordDominant
	wordSus
	wordAlt
	wordAdd
	wordNo
)

// chordWords lists the spellings.
// Source: common practice of lead sheets; MusicXML 4.0 names the signs for
// major (triangle), minor (-), augmented (+), diminished (°) and
// half-diminished (ø) in its kind element.
var chordWords = [...]struct {
	text string
	word chordWord
}{
	{"major", wordMajor}, {"Major", wordMajor}, {"maj", wordMajor}, {"Maj", wordMajor}, {"MAJ", wordMajor},
	{"ma", wordMajor}, {"Ma", wordMajor}, {"MA", wordMajor}, {"mj", wordMajor}, {"M", wordMajor}, {"j", wordMajor},
	{"Δ", wordTriangle}, {"△", wordTriangle}, {"∆", wordTriangle}, {"^", wordTriangle},
	{"minor", wordMinor}, {"min", wordMinor}, {"Min", wordMinor}, {"MIN", wordMinor},
	{"mi", wordMinor}, {"Mi", wordMinor}, {"MI", wordMinor}, {"m", wordMinor},
	{"diminished", wordDim}, {"dim", wordDim}, {"Dim", wordDim}, {"DIM", wordDim}, {"°", wordDim}, {"º", wordDim},
	{"omit", wordNo}, {"o", wordDim}, {"ø", wordHalfDim}, {"Ø", wordHalfDim}, {"∅", wordHalfDim},
	{"augmented", wordAug}, {"aug", wordAug}, {"Aug", wordAug}, {"AUG", wordAug}, {"dom", wordDominant},
	{"suspended", wordSus}, {"sus", wordSus}, {"Sus", wordSus}, {"SUS", wordSus}, {"altered", wordAlt}, {"alt", wordAlt}, {"Alt", wordAlt},
	{"add", wordAdd}, {"Add", wordAdd}, {"no", wordNo},
}

// scanChordWord finds the longest word at the start of s.
func scanChordWord(s string) (word chordWord, length int) {
	for _, w := range chordWords {
		if len(w.text) <= length || !strings.HasPrefix(s, w.text) {
			continue
		}
		if len(w.text) == 2 && w.word == wordMajor && strings.HasPrefix(s[2:], "dd") {
			continue // "madd9" is m and add9
		}
		word, length = w.word, len(w.text)
	}
	return word, length
}
