package fretboard

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/theory"
)

// Stance is the scheme of a hand that stands in one place, as a player may
// describe it: by the string and finger of the root, wherever that is on the
// neck, or by the fret of the index finger.
type Stance struct {
	Name    string // what the player calls it
	Root    *Shape // nil if Index says where the hand stands
	Index   int    // fret of the index finger
	Cover   int    // frets under the hand from the index finger on; 0 for four
	Back    int    // frets that the index finger may reach back
	Forward int    // frets that the little finger may reach forward
	Open    bool   // open strings belong too
}

// String returns the name.
func (s Stance) String() string { return s.Name }

// Regions returns where the hand can stand, from the nut up.
func (s Stance) Regions(n Neck, t ToneSet) ([]Region, error) {
	if err := checkTones(n, t); err != nil {
		return nil, err
	}
	h := hand{neck: n, index: s.Index, cover: s.Cover, back: s.Back, forward: s.Forward, open: s.Open}
	if h.cover == 0 {
		h.cover = handFrets
	}
	frets := []int{s.Index}
	if s.Root != nil {
		if s.Root.String < 1 || s.Root.String > n.Tuning.Len() {
			return nil, fmt.Errorf("there is no string %d in the tuning %s", s.Root.String, n.Tuning)
		}
		first := t.Tonic.Class() - n.Stopped(Place{String: s.Root.String}) - int(s.Root.Finger)
		frets = nil
		for f := (first%12 + 12) % 12; f <= n.TopFret(); f += 12 {
			frets = append(frets, f)
		}
	}
	var regions []Region
	for _, f := range frets {
		if h.index = f; 0 <= f && f <= n.TopFret() {
			regions = append(regions, h.region(s.Name))
		}
	}
	if len(regions) == 0 {
		return nil, fmt.Errorf("the hand of %q stands nowhere on the %d frets of this neck", s.Name, n.TopFret())
	}
	return regions, nil
}

// A SchemeError says where a description of a scheme is wrong.
type SchemeError struct {
	File      string
	Line, Col int // from 1; columns in bytes
	Msg, Hint string
}

// Error writes "file:line:col: what is wrong".
func (e *SchemeError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Col, e.Msg)
}

// ParseScheme reads a scheme that a player has written down. It is text, one
// setting to a line, a word and its value; # begins a comment:
//
//	scheme   Corner box           what it is called; needed
//	root     string 2, ring       the hand stands where this finger has the root
//	index    5                    or: the hand stands with the index finger here
//	notes    3 2 3 2              or: so many notes on each string, lowest first
//	cover    5                    frets under the hand; 4 if not said
//	reach    1 0                  frets to reach back and forward; 0 0 if not said
//	open                          open strings belong too
//	degree   b3                   with notes: where the pattern begins
//	hold                          with notes: hold the position, see [PerString]
//	strings  1-3                  only on these strings
//	frets    5-12                 only on these frets
//
// One of root, index and notes says where the notes are; with none of them it
// is all of the strings or frets that are named. Settings may come in any
// order, each once. Errors are of type [*SchemeError]; file is for them only.
func ParseScheme(text, file string) (Scheme, error) {
	p := schemeParser{file: file, seen: map[string]setting{}}
	text = strings.TrimPrefix(text, "\ufeff")
	for i, line := range strings.Split(text, "\n") {
		if err := p.line(strings.TrimRight(line, "\r"), i+1); err != nil {
			return nil, err
		}
	}
	return p.scheme()
}

// A setting is a line of a description.
type setting struct {
	value     string
	line, col int // of the value
	wordCol   int
}

type schemeParser struct {
	file string
	seen map[string]setting
	last int
}

var settingWords = []string{"scheme", "root", "index", "notes", "cover", "reach", "open", "degree", "hold", "strings", "frets"}

func (p *schemeParser) fail(line, col int, msg, hint string) error {
	return &SchemeError{p.file, line, max(col, 1), msg, hint}
}

func (p *schemeParser) line(text string, n int) error {
	p.last = n
	if i := strings.IndexByte(text, '#'); i >= 0 && (i == 0 || text[i-1] == ' ' || text[i-1] == '\t') {
		text = text[:i]
	}
	body := strings.TrimLeft(text, " \t")
	if strings.TrimSpace(body) == "" {
		return nil
	}
	wordCol := len(text) - len(body) + 1
	word, value, _ := strings.Cut(strings.ReplaceAll(body, "\t", " "), " ")
	col := wordCol + len(word) + 1 + len(value) - len(strings.TrimLeft(value, " "))
	word = strings.ToLower(strings.TrimSuffix(word, ":"))
	value = strings.TrimSpace(value)
	if !slices.Contains(settingWords, word) {
		return p.fail(n, wordCol, fmt.Sprintf("%q is no setting of a scheme", word), "the settings are "+strings.Join(settingWords, ", "))
	}
	if before, twice := p.seen[word]; twice {
		return p.fail(n, wordCol, fmt.Sprintf("%q is said twice, first in line %d", word, before.line), "leave one of them out")
	}
	switch flag := word == "open" || word == "hold"; {
	case flag && value != "":
		return p.fail(n, col, fmt.Sprintf("%q takes no value", word), "")
	case !flag && value == "":
		return p.fail(n, wordCol, fmt.Sprintf("%q needs a value", word), "")
	}
	p.seen[word] = setting{value, n, col, wordCol}
	return nil
}

// scheme makes the scheme of the settings.
func (p *schemeParser) scheme() (Scheme, error) {
	name, ok := p.seen["scheme"]
	if !ok {
		return nil, p.fail(max(p.last, 1), 1, "the scheme has no name", "begin with a line such as: scheme Corner box")
	}
	where := ""
	for _, word := range []string{"root", "index", "notes"} {
		s, ok := p.seen[word]
		if ok && where != "" {
			return nil, p.fail(s.line, s.wordCol, fmt.Sprintf("both %q and %q say where the notes are", where, word), "leave one of them out")
		}
		if ok {
			where = word
		}
	}
	for word, s := range p.seen {
		hand := word == "cover" || word == "reach" || word == "open"
		pattern := word == "degree" || word == "hold"
		if hand && where != "root" && where != "index" {
			return nil, p.fail(s.line, s.wordCol, fmt.Sprintf("%q goes with a hand in one place", word), "say root or index")
		}
		if pattern && where != "notes" {
			return nil, p.fail(s.line, s.wordCol, fmt.Sprintf("%q goes with notes on each string", word), "say notes")
		}
	}
	var base Scheme
	var err error
	switch where {
	case "notes":
		base, err = p.pattern()
	case "root", "index":
		base, err = p.stance(where)
	}
	if err != nil {
		return nil, err
	}
	return p.narrow(name.value, base)
}

func (p *schemeParser) pattern() (Scheme, error) {
	s := p.seen["notes"]
	pattern := PerString{}
	_, pattern.Hold = p.seen["hold"]
	for _, f := range strings.Fields(s.value) {
		k, err := strconv.Atoi(f)
		if err != nil || k < 1 || k > MaxPerString {
			return nil, p.fail(s.line, s.col+strings.Index(s.value, f), fmt.Sprintf("a string takes 1 to %d notes, not %q", MaxPerString, f), "")
		}
		pattern.Notes = append(pattern.Notes, k)
	}
	if d, ok := p.seen["degree"]; ok {
		var err error
		if pattern.Degree, err = theory.ParseDegree(d.value); err != nil {
			return nil, p.theory(d, err)
		}
	}
	return pattern, nil
}

func (p *schemeParser) stance(where string) (Scheme, error) {
	s := p.seen[where]
	stance := Stance{Name: p.seen["scheme"].value}
	_, stance.Open = p.seen["open"]
	if where == "index" {
		n, err := strconv.Atoi(s.value)
		if err != nil || n < 0 || n > MaxFrets {
			return nil, p.fail(s.line, s.col, fmt.Sprintf("%q is no fret for the index finger", s.value), "write a fret, as in: index 5")
		}
		stance.Index = n
	} else {
		root, err := parseRoot(s.value)
		if err != nil {
			return nil, p.theory(s, err)
		}
		stance.Root = &root
	}
	if c, ok := p.seen["cover"]; ok {
		n, err := strconv.Atoi(c.value)
		if err != nil || n < 1 || n > 12 {
			return nil, p.fail(c.line, c.col, fmt.Sprintf("a hand covers 1 to 12 frets, not %q", c.value), "")
		}
		stance.Cover = n
	}
	if r, ok := p.seen["reach"]; ok {
		f := strings.Fields(r.value)
		if len(f) != 2 {
			return nil, p.fail(r.line, r.col, "reach takes two numbers of frets", "write how far back and how far forward, as in: reach 1 0")
		}
		for i, to := range []*int{&stance.Back, &stance.Forward} {
			n, err := strconv.Atoi(f[i])
			if err != nil || n < 0 || n > 12 {
				return nil, p.fail(r.line, r.col+strings.LastIndex(r.value, f[i]), fmt.Sprintf("a reach is 0 to 12 frets, not %q", f[i]), "")
			}
			*to = n
		}
	}
	return stance, nil
}

// narrow puts name, strings and frets around the base.
func (p *schemeParser) narrow(name string, base Scheme) (Scheme, error) {
	w := Within{Scheme: base}
	if s, ok := p.seen["strings"]; ok {
		var err error
		if w.Strings, err = ParseStrings(s.value); err != nil {
			return nil, p.theory(s, err)
		}
	}
	if s, ok := p.seen["frets"]; ok {
		win, err := ParseWindow(s.value)
		if err != nil {
			return nil, p.theory(s, err)
		}
		w.Frets = &win
	}
	switch {
	case base == nil && w.Strings == nil && w.Frets == nil:
		s := p.seen["scheme"]
		return nil, p.fail(s.line, s.wordCol, "the scheme does not say where its notes are", "add root, index, notes, strings or frets")
	case base == nil && w.Frets != nil:
		w.Scheme, w.Frets = *w.Frets, nil
	case base == nil:
		w.Scheme, w.Strings = w.Strings, nil
	}
	return named{name, w}, nil
}

func (p *schemeParser) theory(s setting, err error) error {
	if pe, ok := err.(*theory.ParseError); ok {
		return p.fail(s.line, s.col+pe.Offset, fmt.Sprintf("%q: %s", s.value, pe.Msg), pe.Hint)
	}
	return p.fail(s.line, s.col, err.Error(), "")
}

// named gives a scheme and its regions the name that a player calls it.
type named struct {
	name   string
	scheme Scheme
}

func (s named) String() string { return s.name }

func (s named) Regions(n Neck, t ToneSet) ([]Region, error) {
	regions, err := s.scheme.Regions(n, t)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.name, err)
	}
	_, patterns := s.pattern()
	for i := range regions {
		if patterns {
			regions[i].Name = s.name + ", " + regions[i].Name
		} else {
			regions[i].Name = s.name
		}
	}
	return regions, nil
}

// pattern tells whether the scheme is one of notes per string, whose regions
// have names of their own.
func (s named) pattern() (PerString, bool) {
	w, _ := s.scheme.(Within)
	p, ok := w.Scheme.(PerString)
	return p, ok
}
