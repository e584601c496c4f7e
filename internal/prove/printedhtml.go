package prove

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// PrintedHTML proves a sheet from its bytes: that the numbers on the strings, in
// the order in which they stand, are the versions that it is said to hold, on
// paper as on a narrow screen, in the answers too. It reads the page by what
// render/handout documents: a section of the class "piece" for each heading, in
// it pictures of the classes "tab" and "wide" or "narrow", in these a row of
// text for each string, with data-string, data-part where there are several, and
// data-notes at a number that stands for several notes. Rhythm and signs are not
// read.
func PrintedHTML(data []byte, versions []Version) Proof {
	var p Proof
	pieces, err := printedPieces(data)
	if err != nil {
		p.Faults = append(p.Faults, Fault{Kind: Form, Msg: "the page is not well formed: " + err.Error()})
		return p
	}
	if len(versions) == 0 {
		p.Unproved = append(p.Unproved, "what music it shows, since nothing says of what music it is made")
		return p
	}
	if len(pieces) == 0 {
		p.Faults = append(p.Faults, Fault{Kind: Form, Msg: "it shows no music"})
		return p
	}
	var kinds []string
	byKind := map[string][]printedPiece{}
	for _, piece := range pieces {
		if byKind[piece.kind] == nil {
			kinds = append(kinds, piece.kind)
		}
		byKind[piece.kind] = append(byKind[piece.kind], piece)
	}
	harmonics := 0
	for _, kind := range kinds {
		list := byKind[kind]
		if len(versions) == 1 && versions[0].Heading == "" {
			list = []printedPiece{joinedPieces(list)}
		}
		if len(list) != len(versions) {
			p.Faults = append(p.Faults, Fault{Kind: Moved, Msg: fmt.Sprintf("%s: it has %s in place of %d", kind, count(len(list), "section"), len(versions))})
			continue
		}
		for i, v := range versions {
			if v.Heading != "" && plainSigns(list[i].heading) != plainSigns(v.Heading) {
				p.Faults = append(p.Faults, Fault{Kind: Moved, Msg: fmt.Sprintf("%s: the heading %q stands in place of %q", kind, list[i].heading, v.Heading)})
				continue
			}
			m := &printedMatch{piece: list[i], version: v, proof: &p}
			if n := m.run(); kind == kinds[0] {
				p.Notes += n // the others show the same ones again
			}
			harmonics = max(harmonics, m.harmonics)
		}
	}
	if harmonics > 0 {
		p.Unproved = append(p.Unproved, "what its harmonics sound ("+strconv.Itoa(harmonics)+")")
	}
	return p
}

// plainSigns writes accidentals as they are typed.
func plainSigns(s string) string {
	return strings.NewReplacer("♭", "b", "♯", "#").Replace(strings.TrimSpace(s))
}

// joinedPieces makes one piece of several that follow each other.
func joinedPieces(list []printedPiece) printedPiece {
	all := printedPiece{kind: list[0].kind, numbers: map[int][]printedNumber{}, names: list[0].names}
	for _, p := range list {
		for part, numbers := range p.numbers {
			all.numbers[part] = append(all.numbers[part], numbers...)
		}
	}
	return all
}

// A printedMatch compares a piece with its version.
type printedMatch struct {
	piece     printedPiece
	version   Version
	proof     *Proof
	harmonics int
}

// A printedGroup is what stands at one time.
type printedGroup struct {
	moment
	must []*score.Note
	may  []*score.Note // tied: in parentheses, if at all
}

// mostFaults is how many faults of one piece are told.
const mostFaults = 5

// run compares part by part, and returns how many notes there are.
func (m *printedMatch) run() (notes int) {
	fault := func(kind Kind, format string, args ...any) {
		m.proof.Faults = append(m.proof.Faults, Fault{Kind: kind, Msg: prefixed(m.piece.kind, prefixed(m.version.Heading, fmt.Sprintf(format, args...)))})
	}
	part := 0
	for _, p := range m.version.Of.Parts {
		groups := printedGroups(p)
		if len(groups) == 0 {
			continue
		}
		part++
		neck, ok := neckBegins(p)
		if !ok {
			m.proof.Unproved = append(m.proof.Unproved, prefixed(m.version.Heading, "its pitches, since what it is made of is for no neck"))
			return notes
		}
		for str, name := range m.piece.names[m.partOf(part)] {
			class, rest, ok := cutNote(plainSigns(name))
			if open, on := stopped(fretboard.Neck{Tuning: neck.Tuning, Frets: 1}, fretboard.Place{String: str}); !ok || rest != "" || !on || open%12 != class {
				fault(Place, "string %d is called %s", str, name)
			}
		}
		numbers := m.piece.numbers[m.partOf(part)]
		var best []Fault
		for _, by := range m.version.offsets() {
			faults, harmonics := m.compare(groups, numbers, neck, by)
			if best == nil || len(faults) < len(best) {
				best, m.harmonics = faults, harmonics
			}
			if len(faults) == 0 {
				break
			}
		}
		for _, g := range groups {
			notes += len(g.must)
		}
		m.proof.Faults = append(m.proof.Faults, best...)
	}
	return notes
}

// partOf is the number that a part has on the page.
func (m *printedMatch) partOf(part int) int {
	if len(m.piece.numbers) == 1 {
		for only := range m.piece.numbers {
			return only
		}
	}
	return part
}

// compare takes group by group from the numbers, and returns what is wrong if
// the music is moved by semitones; never nil.
func (m *printedMatch) compare(groups []printedGroup, numbers []printedNumber, neck fretboard.Neck, by int) (faults []Fault, harmonics int) {
	faults = []Fault{}
	var have []printedNumber
	for _, n := range numbers {
		for range max(1, n.shared) {
			have = append(have, n)
		}
	}
	at := 0
	say := func(g printedGroup, format string, args ...any) bool {
		text := prefixed(m.piece.kind, prefixed(m.version.Heading, fmt.Sprintf(format, args...)))
		faults = append(faults, Fault{Kind: Moved, Bar: g.part.BarName(g.bar), Beat: score.BeatName(g.chord.Onset, g.beat), Msg: text})
		return len(faults) < mostFaults
	}
	for _, g := range groups {
		took, wrong := 0, -1
		for k := min(len(g.must)+len(g.may), len(have)-at); k >= len(g.must); k-- {
			var ok bool
			if wrong, ok = m.fits(g, have[at:at+k], neck, by); ok {
				took = k
				break
			}
		}
		if took == 0 && len(g.must) > 0 {
			if at+len(g.must) > len(have) {
				say(g, "the numbers end before it")
				return faults, harmonics
			}
			n := have[at+max(0, min(wrong, len(g.must)-1))]
			if !say(g, "%s on string %d is not what it is made of, moved by %s", numberText(n), n.str, count(by, "semitone")) {
				return faults, harmonics
			}
			took = len(g.must)
		}
		for _, n := range have[at : at+took] {
			if n.node {
				harmonics++
			}
		}
		at += took
	}
	if at < len(have) && len(groups) > 0 {
		say(groups[len(groups)-1], "%s behind what it is made of", count(len(have)-at, "number"))
	}
	return faults, harmonics
}

func numberText(n printedNumber) string {
	if n.fret < 0 {
		return "x"
	}
	return strconv.Itoa(n.fret)
}

// fits tells whether numbers are the notes of a group: all that must be there,
// and of those that may be only such in parentheses. wrong is the first number
// that is none of them.
func (m *printedMatch) fits(g printedGroup, numbers []printedNumber, neck fretboard.Neck, by int) (wrong int, ok bool) {
	must, may := slices.Clone(g.must), slices.Clone(g.may)
	take := func(list *[]*score.Note, n printedNumber) bool {
		i := slices.IndexFunc(*list, func(want *score.Note) bool { return m.alike(want, n, neck, by) })
		if i < 0 {
			return false
		}
		*list = slices.Delete(*list, i, i+1)
		return true
	}
	for i, n := range numbers {
		if !take(&must, n) && !(n.held && take(&may, n)) {
			return i, false
		}
	}
	return len(numbers) - 1, len(must) == 0
}

// alike tells whether a number is a note moved by semitones.
func (m *printedMatch) alike(want *score.Note, n printedNumber, neck fretboard.Neck, by int) bool {
	h, harmonic := want.Harmonic()
	dead := want.Has(score.Dead)
	switch {
	case n.fret < 0 || dead:
		return dead && (n.fret < 0 || n.fret == want.Place.Fret || m.version.Semitones == nil || by != 0)
	case n.node:
		return harmonic
	case harmonic && h.Kind == score.NaturalHarmonic:
		return false
	}
	key, ok := stopped(neck, fretboard.Place{String: n.str, Fret: n.fret})
	return ok && m.version.fits(sounds(want.Pitch), key, by)
}

// printedGroups lists what a part prints, in order of time.
func printedGroups(p *score.Part) []printedGroup {
	var list []printedGroup
	held := ringing[*score.Note]{}
	for _, m := range moments(p) {
		g := printedGroup{moment: m}
		for _, n := range m.chord.Notes {
			if n.Unpitched {
				continue
			}
			_, on := held.find(m.chord, n)
			if on && n.TieStop || n.Has(score.Held) || m.chord.Cue {
				g.may = append(g.may, n)
			} else {
				g.must = append(g.must, n)
			}
			held.hold(m.chord, n, n)
		}
		if i := len(list) - 1; i >= 0 && list[i].bar == m.bar && list[i].chord.Onset == m.chord.Onset && list[i].chord.Grace == score.NotGrace && m.chord.Grace == score.NotGrace {
			list[i].must, list[i].may = append(list[i].must, g.must...), append(list[i].may, g.may...)
			continue
		}
		list = append(list, g)
	}
	return list
}

// neckBegins is the neck that a part begins on.
func neckBegins(p *score.Part) (fretboard.Neck, bool) {
	for _, m := range p.Measures {
		for _, e := range m.Events {
			if n, ok := e.(*score.NeckChange); ok && len(n.Neck.Tuning.Strings) > 0 {
				return n.Neck, true
			}
		}
	}
	return fretboard.Neck{}, false
}
