package theory

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// A KindDegree changes one degree of a chord kind, as the degree element of
// MusicXML 4.0 does.
type KindDegree struct {
	Value int // 1 root, 3 third, … 13
	// Alter is in semitones: for "alter" and "subtract" against the degree
	// that the kind has; for "add" against a dominant chord, in which all is
	// major or perfect but the minor seventh.
	Alter int
	Type  string // "add", "alter" or "subtract"
}

// The types of a KindDegree.
const (
	DegreeAdd      = "add"
	DegreeAlter    = "alter"
	DegreeSubtract = "subtract"
)

// kind is one value of MusicXML's kind element.
type kind struct {
	name    string
	text    string   // the quality as we write it
	degrees []Degree // as the standard describes it, rising
}

// kinds lists MusicXML 4.0's kind-value in the standard's order; the degrees
// are its own descriptions ("dominant-ninth: dominant-seventh, major ninth").
//
// The standard only names the functional sixths, pedal and Tristan. Theirs
// are common practice counted from the lowest note as the root: Italian,
// French and German sixths (Kostka & Payne, Tonal Harmony, on augmented sixth
// chords), the Neapolitan as the major triad that it is, the Tristan chord
// as F B D♯ G♯.
var kinds = [...]kind{
	{"major", "", []Degree{{1, 0}, {3, 0}, {5, 0}}},
	{"minor", "m", []Degree{{1, 0}, {3, -1}, {5, 0}}},
	{"augmented", "+", []Degree{{1, 0}, {3, 0}, {5, 1}}},
	{"diminished", "dim", []Degree{{1, 0}, {3, -1}, {5, -1}}},
	{"dominant", "7", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, -1}}},
	{"major-seventh", "maj7", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, 0}}},
	{"minor-seventh", "m7", []Degree{{1, 0}, {3, -1}, {5, 0}, {7, -1}}},
	{"diminished-seventh", "dim7", []Degree{{1, 0}, {3, -1}, {5, -1}, {7, -2}}},
	{"augmented-seventh", "+7", []Degree{{1, 0}, {3, 0}, {5, 1}, {7, -1}}},
	{"half-diminished", "m7b5", []Degree{{1, 0}, {3, -1}, {5, -1}, {7, -1}}},
	{"major-minor", "m(maj7)", []Degree{{1, 0}, {3, -1}, {5, 0}, {7, 0}}},
	{"major-sixth", "6", []Degree{{1, 0}, {3, 0}, {5, 0}, {6, 0}}},
	{"minor-sixth", "m6", []Degree{{1, 0}, {3, -1}, {5, 0}, {6, 0}}},
	{"dominant-ninth", "9", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, -1}, {9, 0}}},
	{"major-ninth", "maj9", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, 0}, {9, 0}}},
	{"minor-ninth", "m9", []Degree{{1, 0}, {3, -1}, {5, 0}, {7, -1}, {9, 0}}},
	{"dominant-11th", "11", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, -1}, {9, 0}, {11, 0}}},
	{"major-11th", "maj11", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, 0}, {9, 0}, {11, 0}}},
	{"minor-11th", "m11", []Degree{{1, 0}, {3, -1}, {5, 0}, {7, -1}, {9, 0}, {11, 0}}},
	{"dominant-13th", "13", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, -1}, {9, 0}, {11, 0}, {13, 0}}},
	{"major-13th", "maj13", []Degree{{1, 0}, {3, 0}, {5, 0}, {7, 0}, {9, 0}, {11, 0}, {13, 0}}},
	{"minor-13th", "m13", []Degree{{1, 0}, {3, -1}, {5, 0}, {7, -1}, {9, 0}, {11, 0}, {13, 0}}},
	{"suspended-second", "sus2", []Degree{{1, 0}, {2, 0}, {5, 0}}},
	{"suspended-fourth", "sus4", []Degree{{1, 0}, {4, 0}, {5, 0}}},
	{"Neapolitan", "N6", []Degree{{1, 0}, {3, 0}, {5, 0}}},
	{"Italian", "It+6", []Degree{{1, 0}, {3, 0}, {6, 1}}},
	{"French", "Fr+6", []Degree{{1, 0}, {3, 0}, {4, 1}, {6, 1}}},
	{"German", "Ger+6", []Degree{{1, 0}, {3, 0}, {5, 0}, {6, 1}}},
	{"pedal", "pedal", []Degree{{1, 0}}},
	{"power", "5", []Degree{{1, 0}, {5, 0}}},
	{"Tristan", "Tristan", []Degree{{1, 0}, {4, 1}, {6, 1}, {9, 1}}},
	{"other", "other", nil},
	{"none", "N.C.", nil},
}

// otherKinds holds kind texts that the standard does not know but files have.
// Source: seen in files of other programs; the meaning is that of the words.
var otherKinds = map[string]string{
	"": "", "augmented-ninth": "+9", "minor-major": "m(maj7)", "maj69": "6/9",
	"dominant-seventh": "7", "half-diminished-seventh": "m7b5", "diminished-major-seventh": "dim(maj7)",
}

// Kinds returns the names of MusicXML 4.0's chord kinds in the standard's
// order, a fresh slice each time.
func Kinds() []string {
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = k.name
	}
	return names
}

func kindIndex(name string) int {
	return slices.IndexFunc(kinds[:], func(k kind) bool { return k.name == name })
}

// Kind returns the chord as the harmony element of MusicXML 4.0 has it: a
// kind and the degrees that are added, altered or left out. The kind is empty
// if the quality is not understood, and "none" for N.C.
func (c Chord) Kind() (kind string, degrees []KindDegree) {
	if c.NoChord {
		return "none", nil
	}
	q, err := parseQuality(c.Quality, c.Quality, 0)
	if err != nil {
		return "", nil
	}
	return kinds[q.kind].name, q.degrees
}

// ChordOfKind writes the symbol for a MusicXML kind with its degrees: root C,
// "dominant" and an added ♭9 give C7(b9). bass is nil where the symbol has
// none. "none" gives N.C. ok is false if the kind is unknown, or a degree has
// no such type, a value out of 1 to 15 or more than two semitones of
// alteration.
//
// [Chord.Kind] of the result gives back the kind and the degrees in their
// order, except that "alter" of a degree that the kind lacks becomes "add"
// and that "subtract" loses its alteration, which says nothing.
func ChordOfKind(root NoteName, kind string, degrees []KindDegree, bass *NoteName) (c Chord, ok bool) {
	c.Root = root
	if bass != nil {
		c.Bass, c.HasBass = *bass, true
	}
	if kind == "none" {
		return Chord{Quality: "N.C.", NoChord: true}, true
	}
	var base quality
	if i := kindIndex(kind); i >= 0 {
		c.Quality, base.kind = kinds[i].text, i
	} else if text, known := otherKinds[kind]; known {
		c.Quality = text
		base, _ = parseQuality(text, text, 0)
	} else {
		return Chord{}, false
	}
	if text := shortText(base.kind, degrees); len(base.degrees) == 0 && text != "" {
		c.Quality = text
		return c, true
	}
	var texts []string
	for _, d := range degrees {
		if d.Value < 1 || d.Value > maxChordDegree || abs(d.Alter) > 2 {
			return Chord{}, false
		}
		switch d.Type {
		case DegreeSubtract:
			texts = append(texts, "no"+strconv.Itoa(d.Value))
			base.degrees = append(base.degrees, d)
			continue
		case DegreeAlter:
			at, ok := base.untouched(d.Value)
			if !ok { // there is nothing to alter
				d.Type = DegreeAdd
				texts = append(texts, addText(d, base))
				base.degrees = append(base.degrees, d)
				continue
			}
			texts = append(texts, alterText(at+d.Alter, d.Value))
			base.alter(Degree{d.Value, at + d.Alter})
		case DegreeAdd:
			texts = append(texts, addText(d, base))
			base.degrees = append(base.degrees, d)
		default:
			return Chord{}, false
		}
	}
	if len(texts) > 0 {
		c.Quality += "(" + strings.Join(texts, ",") + ")"
	}
	return c, true
}

// shortTexts lists qualities that have a shorter name in daily use than their
// kind with its degrees.
var shortTexts = [...]string{
	"6/9", "m6/9", "7alt", "7sus4", "9sus4", "13sus4", "maj7sus4", "maj9sus4", "7sus2", "sus2sus4",
	"m(maj9)", "m(maj11)", "m(maj13)", "dim(maj7)", "dim9", "m9b5", "m11b5", "maj7#5", "7#5", "7b5", "maj7b5",
}

func shortText(kind int, degrees []KindDegree) string {
	if len(degrees) == 0 {
		return ""
	}
	for _, text := range shortTexts {
		if q, err := parseQuality(text, text, 0); err == nil && q.kind == kind && slices.Equal(q.degrees, degrees) {
			return text
		}
	}
	return ""
}

// alterText writes a degree counted against the major scale; ♮ where it is
// not altered, since a bare number would be an added one.
func alterText(alter, value int) string {
	if alter == 0 {
		return "♮" + strconv.Itoa(value)
	}
	return Degree{value, alter}.String()
}

// addText writes an added degree: "b9" over a seventh, else "addb9".
func addText(d KindDegree, base quality) string {
	switch {
	case d.Value == 7 && d.Alter == 1:
		return "addmaj7"
	case d.Value >= 9 && d.Alter != 0 && base.has(7) && !base.has(d.Value):
		return Degree{d.Value, d.Alter}.String()
	}
	return "add" + Degree{d.Value, d.Alter}.String()
}

// quality is what the part of a symbol after the root means.
type quality struct {
	kind    int // index in kinds
	degrees []KindDegree
}

// alteredDegrees is 7alt: both fifths and both ninths altered, which with
// root, third and seventh are the seven notes of the altered scale. Source:
// jazz practice, as in Levine, The Jazz Theory Book (from memory).
var alteredDegrees = []KindDegree{{5, -1, DegreeAlter}, {5, 1, DegreeAdd}, {9, -1, DegreeAdd}, {9, 1, DegreeAdd}}

// untouched returns the alteration of the kind's own degree of that number,
// and whether there is one that no change has touched yet.
func (q *quality) untouched(value int) (alter int, ok bool) {
	for _, d := range q.degrees {
		if d.Value == value && d.Type != DegreeAdd {
			return 0, false
		}
	}
	for _, d := range kinds[q.kind].degrees {
		if d.Number == value {
			return d.Alter, true
		}
	}
	return 0, false
}

// has tells whether the chord has a degree of the number so far.
func (q *quality) has(value int) bool {
	return slices.ContainsFunc(q.tones(), func(d Degree) bool { return d.Number == value })
}

// alter notes a degree as a symbol writes it, against the major scale: it
// alters what the kind has and adds what it has not.
func (q *quality) alter(d Degree) {
	if at, ok := q.untouched(d.Number); ok {
		q.degrees = append(q.degrees, KindDegree{d.Number, d.Alter - at, DegreeAlter})
		return
	}
	rel := d.Alter
	if d.Number == 7 {
		rel++
	}
	q.degrees = append(q.degrees, KindDegree{d.Number, rel, DegreeAdd})
}

// tones returns the degrees of the chord, rising by number.
func (q *quality) tones() []Degree {
	base := kinds[q.kind].degrees
	tones := make([]Degree, 0, len(base)+len(q.degrees))
	for _, d := range base {
		// Players leave the natural 11 out of a 13th chord with a major
		// third, with which it clashes, unless the symbol names it.
		if d == (Degree{11, 0}) && len(base) == 7 && base[1].Alter == 0 &&
			!slices.ContainsFunc(q.degrees, func(k KindDegree) bool { return k.Value == 11 }) {
			continue
		}
		tones = append(tones, d)
	}
	for _, k := range q.degrees {
		i := slices.IndexFunc(tones, func(d Degree) bool { return d.Number == k.Value })
		switch {
		case k.Type == DegreeSubtract && i >= 0:
			tones = slices.DeleteFunc(tones, func(d Degree) bool { return d.Number == k.Value })
		case k.Type == DegreeAlter && i >= 0:
			tones[i].Alter += k.Alter
		case k.Type == DegreeAdd:
			d := Degree{k.Value, k.Alter}
			if k.Value == 7 {
				d.Alter--
			}
			if !slices.Contains(tones, d) {
				tones = append(tones, d)
			}
		}
	}
	slices.SortFunc(tones, func(a, b Degree) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Alter, b.Alter))
	})
	return tones
}
