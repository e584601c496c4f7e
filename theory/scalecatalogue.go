package theory

import (
	"slices"
	"strings"
	"sync"
)

// scaleEntry is one named scale of the catalogue.
type scaleEntry struct {
	name    string
	aliases string // separated by ;
	formula string
}

// scaleFamily is a group of named scales. In a family of modes each entry is
// the mode on the next degree of the first.
type scaleFamily struct {
	name   string
	modes  bool // the entries are the modes of the first, in order
	scales []scaleEntry
}

// scaleFamilies is the catalogue, the most used first within each family.
//
// Sources: the modes of major and the minor scales as in every theory book
// (Kostka & Payne, Tonal Harmony); the modes of melodic and harmonic minor,
// the symmetric and the bebop scales as in Levine, The Jazz Theory Book, and
// Baker, How to Play Bebop; modes of limited transposition from Messiaen,
// Technique de mon langage musical (1944); the rest under the names that are
// common practice among guitarists, names from elsewhere behind one that says
// by what a known scale is changed. All names from memory; the formulas are
// tested against an independent library and against their own rotations.
var scaleFamilies = [...]scaleFamily{
	{"major", true, []scaleEntry{
		{"major", "ionian", "1 2 3 4 5 6 7"},
		{"dorian", "", "1 2 b3 4 5 6 b7"},
		{"phrygian", "", "1 b2 b3 4 5 b6 b7"},
		{"lydian", "", "1 2 3 #4 5 6 7"},
		{"mixolydian", "dominant", "1 2 3 4 5 6 b7"},
		{"natural minor", "minor; aeolian; pure minor", "1 2 b3 4 5 b6 b7"},
		{"locrian", "", "1 b2 b3 4 b5 b6 b7"},
	}},
	{"melodic minor", true, []scaleEntry{
		{"melodic minor", "jazz minor; ascending melodic minor; ionian b3; dorian natural 7", "1 2 b3 4 5 6 7"},
		{"dorian b2", "phrygian natural 6; phrygian #6; phrygian 6", "1 b2 b3 4 5 6 b7"},
		{"lydian augmented", "lydian #5", "1 2 3 #4 #5 6 7"},
		{"lydian dominant", "lydian b7; mixolydian #4; mixolydian #11; acoustic; overtone", "1 2 3 #4 5 6 b7"},
		{"mixolydian b6", "mixolydian b13; aeolian dominant; melodic major; hindu", "1 2 3 4 5 b6 b7"},
		{"locrian natural 2", "locrian #2; locrian 2; aeolian b5; half diminished", "1 2 b3 4 b5 b6 b7"},
		{"altered", "super locrian; superlocrian; altered dominant; diminished whole tone", "1 b2 b3 b4 b5 b6 b7"},
	}},
	{"harmonic minor", true, []scaleEntry{
		{"harmonic minor", "aeolian natural 7", "1 2 b3 4 5 b6 7"},
		{"locrian natural 6", "locrian #6; locrian 6", "1 b2 b3 4 b5 6 b7"},
		{"ionian #5", "ionian augmented; major #5; major augmented", "1 2 3 4 #5 6 7"},
		{"dorian #4", "dorian #11; ukrainian dorian; romanian minor; altered dorian", "1 2 b3 #4 5 6 b7"},
		{"phrygian dominant", "phrygian major; phrygian natural 3; spanish; freygish; mixolydian b9 b13; mixolydian b2 b6", "1 b2 3 4 5 b6 b7"},
		{"lydian #2", "lydian #9", "1 #2 3 #4 5 6 7"},
		{"ultralocrian", "super locrian bb7; superlocrian bb7; altered bb7; altered diminished; superlocrian diminished", "1 b2 b3 b4 b5 b6 bb7"},
	}},
	{"harmonic major", true, []scaleEntry{
		{"harmonic major", "ionian b6; major b6", "1 2 3 4 5 b6 7"},
		{"dorian b5", "locrian natural 2 natural 6; locrian #2 #6", "1 2 b3 4 b5 6 b7"},
		{"phrygian b4", "altered natural 5; superphrygian", "1 b2 b3 b4 5 b6 b7"},
		{"lydian b3", "lydian diminished; melodic minor #4; jazz minor #4", "1 2 b3 #4 5 6 7"},
		{"mixolydian b2", "mixolydian b9", "1 b2 3 4 5 6 b7"},
		{"lydian augmented #2", "lydian #2 #5", "1 #2 3 #4 #5 6 7"},
		{"locrian bb7", "locrian diminished", "1 b2 b3 4 b5 b6 bb7"},
	}},
	{"double harmonic", true, []scaleEntry{
		{"double harmonic major", "double harmonic; byzantine; arabic", "1 b2 3 4 5 b6 7"},
		{"lydian #2 #6", "", "1 #2 3 #4 5 #6 7"},
		{"ultraphrygian", "phrygian b4 bb7", "1 b2 b3 b4 5 b6 bb7"},
		{"hungarian minor", "double harmonic minor; harmonic minor #4", "1 2 b3 #4 5 b6 7"},
		{"oriental", "mixolydian b2 b5; locrian natural 3 natural 6", "1 b2 3 4 b5 6 b7"},
		{"ionian #2 #5", "ionian augmented #2", "1 #2 3 4 #5 6 7"},
		{"locrian bb3 bb7", "", "1 b2 bb3 4 b5 b6 bb7"},
	}},
	{"other seven-note", false, []scaleEntry{
		{"neapolitan minor", "phrygian natural 7", "1 b2 b3 4 5 b6 7"},
		{"neapolitan major", "", "1 b2 b3 4 5 6 7"},
		{"hungarian major", "", "1 #2 3 #4 5 6 b7"},
		{"persian", "", "1 b2 3 4 b5 b6 7"},
		{"enigmatic", "", "1 b2 3 #4 #5 #6 7"},
		{"leading whole tone", "lydian augmented #6", "1 2 3 #4 #5 #6 7"},
		{"lydian minor", "lydian b6 b7", "1 2 3 #4 5 b6 b7"},
		{"major locrian", "locrian major", "1 2 3 4 b5 b6 b7"},
		{"lydian b2 b6", "double harmonic lydian; purvi", "1 b2 3 #4 5 b6 7"},
		{"neapolitan minor #4", "todi", "1 b2 b3 #4 5 b6 7"},
		{"lydian b6", "", "1 2 3 #4 5 b6 7"},
		{"flamenco", "", "1 b2 b3 3 #4 5 b7"},
	}},
	{"major pentatonic", true, []scaleEntry{
		{"major pentatonic", "pentatonic", "1 2 3 5 6"},
		{"suspended pentatonic", "egyptian", "1 2 4 5 b7"},
		{"minor pentatonic #5", "man gong; malkauns", "1 b3 4 b6 b7"},
		{"major pentatonic sus4", "yo; ritsu", "1 2 4 5 6"},
		{"minor pentatonic", "", "1 b3 4 5 b7"},
	}},
	{"other pentatonic", false, []scaleEntry{
		{"dominant pentatonic", "", "1 2 3 5 b7"},
		{"minor 6 pentatonic", "dorian pentatonic", "1 b3 4 5 6"},
		{"major pentatonic b3", "kumoi", "1 2 b3 5 6"},
		{"hirajoshi", "", "1 2 b3 5 b6"},
		{"japanese pentatonic", "in; kumoijoshi; sakura", "1 b2 4 5 b6"},
		{"insen", "in sen", "1 b2 4 5 b7"},
		{"iwato", "", "1 b2 4 b5 b7"},
		{"pelog", "", "1 b2 b3 5 b6"},
		{"major b6 pentatonic", "", "1 2 3 5 b6"},
		{"major b2 pentatonic", "", "1 b2 3 5 6"},
		{"minor b5 pentatonic", "locrian pentatonic; half diminished pentatonic", "1 b3 4 b5 b7"},
		{"ionian pentatonic", "", "1 3 4 5 7"},
		{"lydian pentatonic", "", "1 3 #4 5 7"},
		{"mixolydian pentatonic", "", "1 3 4 5 b7"},
		{"lydian dominant pentatonic", "", "1 3 #4 5 b7"},
		{"minor natural 7 pentatonic", "minor pentatonic natural 7", "1 b3 4 5 7"},
		{"lydian #5 pentatonic", "", "1 3 #4 #5 7"},
		{"super locrian pentatonic", "altered pentatonic", "1 b3 b4 b5 b7"},
		{"minor b6 pentatonic", "", "1 b3 4 5 b6"},
	}},
	{"blues", false, []scaleEntry{
		{"blues", "minor blues", "1 b3 4 b5 5 b7"},
		{"major blues", "", "1 2 b3 3 5 6"},
		{"dominant blues", "mixolydian blues", "1 2 b3 3 4 5 6 b7"},
		{"composite blues", "", "1 2 b3 3 4 b5 5 6 b7"},
	}},
	{"six-note", false, []scaleEntry{
		{"major hexatonic", "guidonian hexachord", "1 2 3 4 5 6"},
		{"minor hexatonic", "", "1 2 b3 4 5 b7"},
		{"prometheus", "mystic", "1 2 3 #4 6 b7"},
		{"prometheus neapolitan", "", "1 b2 3 #4 6 b7"},
	}},
	{"symmetric", false, []scaleEntry{
		{"whole tone", "limited transposition 1", "1 2 3 #4 #5 b7"},
		{"whole-half diminished", "diminished; diminished whole-half", "1 2 b3 4 b5 b6 6 7"},
		{"half-whole diminished", "dominant diminished; octatonic; limited transposition 2", "1 b2 b3 3 #4 5 6 b7"},
		{"augmented", "hexatonic augmented", "1 #2 3 5 #5 7"},
		{"inverted augmented", "", "1 b2 3 4 #5 6"},
		{"tritone", "", "1 b2 3 b5 5 b7"},
		{"chromatic", "", "1 b2 2 b3 3 4 b5 5 b6 6 b7 7"},
		{"limited transposition 3", "", "1 2 b3 3 #4 5 b6 b7 7"},
		{"limited transposition 4", "", "1 b2 2 4 #4 5 b6 7"},
		{"limited transposition 5", "", "1 b2 4 #4 5 7"},
		{"limited transposition 6", "", "1 2 3 4 #4 #5 #6 7"},
		{"limited transposition 7", "", "1 b2 2 b3 4 #4 5 b6 6 7"},
	}},
	{"bebop", false, []scaleEntry{
		{"bebop dominant", "bebop; bebop mixolydian", "1 2 3 4 5 6 b7 7"},
		{"bebop major", "major six diminished", "1 2 3 4 5 #5 6 7"},
		{"bebop dorian", "bebop minor", "1 2 b3 3 4 5 6 b7"},
		{"bebop melodic minor", "minor six diminished", "1 2 b3 4 5 b6 6 7"},
		{"bebop harmonic minor", "minor bebop; bebop natural minor", "1 2 b3 4 5 b6 b7 7"},
		{"bebop locrian", "bebop half diminished", "1 b2 b3 4 b5 5 b6 b7"},
	}},
	{"eight-note", false, []scaleEntry{
		{"spanish eight tone", "eight tone spanish", "1 b2 b3 3 4 b5 b6 b7"},
		{"spanish phrygian", "spanish heptatonic; phrygian add 3", "1 b2 b3 3 4 5 b6 b7"},
	}},
}

// scaleName is a name with its form for comparing.
type scaleName struct{ name, folded string }

// scaleTable is the catalogue made ready for use.
type scaleTable struct {
	scales []Scale
	names  []scaleName      // names and aliases in order
	byName map[string]int   // the same, folded
	bySet  map[PitchSet]int // the first scale with the set
	usual  []bool           // of each scale, whether it is in daily use
}

// everyday lists the scales in daily use among improvising guitarists, all
// modes of major aside. Source: common practice.
const everyday = "melodic minor; lydian dominant; altered; mixolydian b6; locrian natural 2; lydian augmented; " +
	"harmonic minor; phrygian dominant; major pentatonic; minor pentatonic; blues; major blues; " +
	"whole tone; whole-half diminished; half-whole diminished; bebop dominant; bebop major; bebop dorian"

// scaleData is made once, at first use, and never written to again.
var scaleData = sync.OnceValue(func() *scaleTable {
	usual := splitAliases(everyday)
	t := &scaleTable{byName: map[string]int{}, bySet: map[PitchSet]int{}}
	for f, family := range scaleFamilies {
		for _, e := range family.scales {
			s, err := ParseFormula(e.formula)
			if err != nil {
				panic("theory: catalogue: " + err.Error()) // the table is tested
			}
			s.name = e.name
			n := len(t.scales)
			t.scales = append(t.scales, s)
			t.usual = append(t.usual, f == 0 || slices.Contains(usual, e.name))
			for _, name := range append([]string{e.name}, splitAliases(e.aliases)...) {
				folded := strings.Join(scaleWords(name), " ")
				t.names = append(t.names, scaleName{name, folded})
				t.byName[folded] = n
			}
			if _, taken := t.bySet[s.Set()]; !taken {
				t.bySet[s.Set()] = n
			}
		}
	}
	return t
})

func splitAliases(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, "; ")
}

// Scales returns the named scales, grouped by family, the most used first in
// each; a fresh slice.
func Scales() []Scale { return append([]Scale(nil), scaleData().scales...) }

// Aliases returns the other names of a named scale, the most usual first; nil
// if it has none.
func (s Scale) Aliases() []string {
	if e, _ := s.entry(); e != nil {
		return splitAliases(e.aliases)
	}
	return nil
}

// Family returns the name of the group in which the catalogue has the scale:
// the scale whose mode it is, or "symmetric", "bebop" and the like. It is
// empty for a scale without a name.
func (s Scale) Family() string {
	if _, f := s.entry(); f != nil {
		return f.name
	}
	return ""
}

// Everyday tells whether the scale is one of those in daily use: the modes of
// major, the minor scales and their most used modes, pentatonics, blues,
// symmetric and bebop scales.
func (s Scale) Everyday() bool {
	t := scaleData()
	for i := range t.scales {
		if t.scales[i].name == s.name {
			return t.usual[i]
		}
	}
	return false
}

// entry finds the scale in the catalogue by its name.
func (s Scale) entry() (*scaleEntry, *scaleFamily) {
	if s.name == "" {
		return nil, nil
	}
	for f := range scaleFamilies {
		for e := range scaleFamilies[f].scales {
			if scaleFamilies[f].scales[e].name == s.name {
				return &scaleFamilies[f].scales[e], &scaleFamilies[f]
			}
		}
	}
	return nil, nil
}

// scaleNamed finds a scale by one of its names.
func scaleNamed(name string) (Scale, bool) {
	t := scaleData()
	words := scaleWords(name)
	for range words {
		if i, ok := t.byName[strings.Join(words, " ")]; ok {
			return t.scales[i], true
		}
		words = append(words[1:], words[0]) // "pentatonic minor", "diminished (half-whole)"
	}
	return Scale{}, false
}

// scaleWithSet finds the first named scale with a set of sounds.
func scaleWithSet(set PitchSet) (Scale, bool) {
	t := scaleData()
	i, ok := t.bySet[set]
	if !ok {
		return Scale{}, false
	}
	return t.scales[i], true
}

// nameOfScale returns the name of a scale with these degrees, spelled alike
// or, where none is, sounding alike.
func nameOfScale(s Scale) string {
	t := scaleData()
	for i := range t.scales {
		if t.scales[i].Same(s) {
			return t.scales[i].name
		}
	}
	if i, ok := t.bySet[s.Set()]; ok {
		return t.scales[i].name
	}
	return ""
}
