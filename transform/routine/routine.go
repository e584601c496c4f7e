package routine

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
	"example.org/lickwright/transform/fingering"
)

// New makes the practice sheet that the options ask for. Errors say what is
// wrong with the options; what only some position cannot do is said on its
// page and in [Sheet.Said].
func New(o Options) (*Sheet, error) {
	if err := o.defaults(); err != nil {
		return nil, err
	}
	tones := o.tones()
	regions, err := o.Scheme.Regions(o.Neck, fretboard.ScaleTones(o.Tonic, o.Scale))
	if err != nil {
		return nil, err
	}
	if !o.Everywhere {
		regions = fretboard.Once(regions)
	}
	s := &Sheet{
		Title: fretboard.ScaleTones(o.Tonic, o.Scale).Title + ", " + o.Scheme.String(), Neck: o.Neck,
		time: o.Time, value: o.Value, ladder: o.Ladder,
	}
	b := &builder{Options: o, sheet: s, chain: fretboard.ChainOf(o.Tonic, o.Scale)}
	if len(b.Show) == 0 {
		b.Show = DefaultShow(regions[0].IsPattern())
	}
	for _, r := range regions {
		s.Pages = append(s.Pages, b.page(r, r.Lay(tones)))
	}
	if len(s.Pages) == 1 {
		s.Title = s.Pages[0].Title
	}
	return s, nil
}

// A builder makes the pages of one sheet.
type builder struct {
	Options
	sheet *Sheet
	chain fretboard.Chain
	// shapes and patterns are what the views compare with, once they are
	// asked for.
	shapes, patterns []fretboard.Layout
}

func (b *builder) say(p *Page, severity score.Severity, code, msg, hint string) {
	b.sheet.Said = append(b.sheet.Said, score.Diagnostic{Severity: severity, Code: code, Msg: p.Title + ": " + msg, Hint: hint})
}

// page makes the page of a position.
func (b *builder) page(r fretboard.Region, l fretboard.Layout) Page {
	p := Page{Title: fretboard.ScaleTones(b.Tonic, b.Scale).Title + ", " + r.Name, Layout: l}
	if k, ok := transform.KeyForTones(fretboard.ScaleTones(b.Tonic, b.Scale)); ok {
		p.Key = &k
	}
	for i, s := range l.Spots {
		if i == 0 {
			p.Low, p.High = s.Place.Fret, s.Place.Fret
		}
		p.Low, p.High = min(p.Low, s.Place.Fret), max(p.High, s.Place.Fret)
	}
	hand := fingersOf(l)
	home, mode := b.modeOf(r, l)
	p.Mode = fretboard.ScaleTones(home, mode).Title
	b.facts(&p, l)
	run := b.limit(&p, l)
	for _, k := range b.Show {
		for _, e := range b.exercises(k, &p, l, run, hand, home, mode) {
			if !e.bars() && len(e.Words) == 0 {
				e.Words = []string{"None of its notes lie here."}
			}
			for _, l := range e.Lines {
				b.refinger(l)
			}
			p.Exercises = append(p.Exercises, e)
		}
	}
	return p
}

// modeOf returns the mode that a position holds: for a pattern of notes per
// string that on its lowest note, else the scale itself.
func (b *builder) modeOf(r fretboard.Region, l fretboard.Layout) (theory.NoteName, theory.Scale) {
	if r.IsPattern() && len(l.Spots) > 0 {
		for i := range b.Scale.Len() {
			if n := b.Scale.Degree(i).Name(b.Tonic); n == l.Spots[0].Pitch.NoteName {
				return n, b.Scale.Mode(i + 1)
			}
		}
	}
	return b.Tonic, b.Scale
}

func (b *builder) facts(p *Page, l fretboard.Layout) {
	r := l.Region
	where := fmt.Sprintf("Frets %d to %d", p.Low, p.High)
	switch {
	case r.Name == fretboard.Open{}.String():
		where = fmt.Sprintf("Open position: index finger at fret %d, frets %d to %d", r.Index, p.Low, p.High)
	case r.Index == 0:
		where = fmt.Sprintf("Open position, frets %d to %d", p.Low, p.High)
	case r.Index > 0:
		where = fmt.Sprintf("Position %s: index finger at fret %d, frets %d to %d", fretboard.Roman(r.Index), r.Index, p.Low, p.High)
	}
	if b.Neck.Capo > 0 {
		where += fmt.Sprintf(", counted from the capo (fret %d)", b.Neck.Capo)
	}
	notes := namesFrom(l.Tones, p.Mode)
	p.Facts = append(p.Facts, where+".")
	if r.IsPattern() {
		p.Facts = append(p.Facts, fmt.Sprintf("Holds the notes of %s: %s.", p.Mode, notes))
	} else {
		p.Facts = append(p.Facts, fmt.Sprintf("Notes of %s: %s.", p.Mode, notes))
	}
	if b.Home != nil {
		p.Facts = append(p.Facts, fmt.Sprintf("Degrees count from %s; it sounds so when %s or its chord is home.", *b.Home, *b.Home))
	}
	if r.IsPattern() {
		if mm, frets := l.Drift(b.ScaleLength); frets != 0 {
			way := "up the neck"
			if frets < 0 {
				way, mm, frets = "towards the nut", -mm, -frets
			}
			p.Facts = append(p.Facts, fmt.Sprintf("From the lowest string to the highest the hand moves %s %s (%.0f mm).", count(frets, "fret"), way, mm))
		}
	}
	for _, m := range r.Remarks {
		p.Facts = append(p.Facts, sentence(m))
	}
	if text := noPlace(l); text != "" {
		p.Facts = append(p.Facts, sentence(text))
		b.say(p, score.Warning, "layout-gap", text, "")
	}
	if mm, from, to := l.Stretch(b.ScaleLength); mm > fretboard.ComfortableSpan {
		p.Caution = fmt.Sprintf("A wide stretch: frets %d to %d on string %d are %.0f mm apart, beyond a comfortable span of about %.0f.", from.Fret, to.Fret, from.String, mm, fretboard.ComfortableSpan)
		b.say(p, score.Warning, "wide-stretch", fmt.Sprintf("frets %d to %d on string %d are %.0f mm apart, beyond a comfortable span of about %.0f", from.Fret, to.Fret, from.String, mm, fretboard.ComfortableSpan), StrainHint)
	}
}

// noPlace names the notes that a layout leaves out, "" if it has all.
func noPlace(l fretboard.Layout) string {
	if len(l.Missing) == 0 {
		return ""
	}
	var names []string
	for _, m := range l.Missing {
		names = append(names, m.String())
	}
	return "no place here for " + strings.Join(names, " ")
}

// StrainHint is the usual advice where practice could hurt.
const StrainHint = "warm up first, stop if it hurts or tingles, rest, and see a teacher or a clinician if it persists"

// namesFrom lists the notes of a set from the note on which a mode stands.
func namesFrom(t fretboard.ToneSet, mode string) string {
	var names []string
	for _, tone := range t.Tones {
		names = append(names, tone.Name.String())
	}
	first, _, _ := strings.Cut(mode, " ")
	if i := slices.Index(names, first); i > 0 {
		names = append(slices.Clone(names[i:]), names[:i]...)
	}
	return strings.Join(names, " ")
}

func sentence(s string) string {
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// limit returns the notes of the runs: all of a position, or so many octaves
// from its lowest tonic.
func (b *builder) limit(p *Page, l fretboard.Layout) []fretboard.Spot {
	if b.Octaves == 0 {
		return l.Spots
	}
	home := b.Tonic
	if b.Home != nil {
		home = *b.Home
	}
	first := slices.IndexFunc(l.Spots, func(s fretboard.Spot) bool { return s.Pitch.Class() == home.Class() })
	if first < 0 {
		text := fmt.Sprintf("has no %s to begin an octave on", home)
		p.Facts = append(p.Facts, "Runs take all notes: the position "+text+".")
		b.say(p, score.Warning, "routine-octaves", text, "")
		return l.Spots
	}
	low := l.Spots[first].Pitch.MIDI()
	run := slices.DeleteFunc(slices.Clone(l.Spots[first:]), func(s fretboard.Spot) bool { return s.Pitch.MIDI() > low+12*b.Octaves })
	if top := l.Spots[len(l.Spots)-1].Pitch.MIDI(); top < low+12*b.Octaves {
		text := fmt.Sprintf("from its lowest %s on it has less than %s", home, count(b.Octaves, "octave"))
		p.Facts = append(p.Facts, "Runs end with the position: "+text+".")
		b.say(p, score.Warning, "routine-octaves", text, "ask for fewer octaves, or for patterns of more notes per string")
	}
	return run
}

// within keeps the spots that lie between the first and the last of a run,
// by sound.
func within(spots, run []fretboard.Spot) []fretboard.Spot {
	if len(run) == 0 {
		return nil
	}
	low, high := run[0].Pitch.MIDI(), run[0].Pitch.MIDI()
	for _, s := range run {
		low, high = min(low, s.Pitch.MIDI()), max(high, s.Pitch.MIDI())
	}
	return slices.DeleteFunc(slices.Clone(spots), func(s fretboard.Spot) bool { return s.Pitch.MIDI() < low || s.Pitch.MIDI() > high })
}

// exercises makes the exercises of a kind.
func (b *builder) exercises(k Kind, p *Page, l fretboard.Layout, run []fretboard.Spot, hand fingers, home theory.NoteName, mode theory.Scale) []Exercise {
	switch k {
	case ChordHeld:
		return b.chords(p, l)
	case Arpeggio:
		return b.arpeggios(p, l, run, hand)
	case Pentatonic:
		return b.pentatonic(l, run, hand)
	case Scale:
		return []Exercise{{Kind: k, Title: fretboard.ScaleTones(b.Tonic, b.Scale).Title + b.wayWords(), Lines: b.runs(run, hand)}}
	case Neighbours:
		return b.neighbours(l, home, mode)
	case Sweeps:
		return b.sweeps(l, hand)
	case Sequences:
		return b.sequences(run, hand)
	case Formula:
		return b.formula(p, l, hand)
	case GuideTones:
		return b.guideTones(p, l, hand)
	case Views:
		return b.views(p, l, hand)
	case JoinPosition:
		return b.joins(l, hand)
	}
	return nil
}

func (b *builder) wayWords() string {
	switch b.Run {
	case transform.Falling:
		return ", down"
	case transform.UpAndDown:
		return ", up and down"
	}
	return ", up"
}

// runs plays spots in the way that is asked for; at the turn the top note is
// struck once.
func (b *builder) runs(spots []fretboard.Spot, hand fingers) []Line {
	if len(spots) == 0 {
		return nil
	}
	up := slices.Clone(spots)
	switch b.Run {
	case transform.Falling:
		slices.Reverse(up)
	case transform.UpAndDown:
		for i := len(spots) - 2; i >= 0; i-- {
			up = append(up, spots[i])
		}
	}
	return []Line{line(up, hand)}
}

func (b *builder) against(t fretboard.ToneSet) fretboard.ToneSet {
	if b.Home != nil {
		return t.Against(*b.Home)
	}
	return t
}

// chords holds the triad on the tonic and its seventh chord.
func (b *builder) chords(p *Page, l fretboard.Layout) []Exercise {
	e := Exercise{Kind: ChordHeld, Title: "Chord"}
	if len(b.chain.Triad.Tones) == 0 {
		e.Words = []string{sentence(b.chain.Scale.Title + " has no triad on its tonic")}
		return []Exercise{e}
	}
	e.Title = "Chord " + b.chain.Chord.String()
	if l.Region.Index < 0 {
		e.Words = []string{"Here the hand does not stand in one place: the chord is played as its arpeggio."}
		return []Exercise{e}
	}
	seen := map[string]bool{}
	for _, set := range []fretboard.ToneSet{b.chain.Triad, b.chain.Seventh} {
		if len(set.Tones) == 0 {
			continue
		}
		name := strings.TrimSuffix(set.Title, " arpeggio")
		c, err := theory.ParseChord(name)
		voicings := fingering.Voicings(l.Region, b.against(set), b.ScaleLength)
		if err != nil || len(voicings) == 0 {
			e.Words = append(e.Words, fmt.Sprintf("No hand holds %s here.", name))
			continue
		}
		v := voicings[0]
		if seen[v.String()] {
			continue // the seventh chord without its seventh
		}
		seen[v.String()] = true
		text := fmt.Sprintf("%s: %s (string %d to string 1)", name, v, b.Neck.Tuning.Len())
		if len(v.Missing) > 0 {
			text += ", without " + joinDegrees(v.Missing)
		}
		if v.Whole != nil {
			text += "; " + fingering.Smaller(v, b.Neck, b.ScaleLength)
		}
		e.Words = append(e.Words, text+".")
		m := held(v, b.Neck, b.ScaleLength)
		m.Length, m.Chord = b.Time.Length, &c
		e.Lines = append(e.Lines, Line{m})
	}
	e.beyond(p)
	if len(e.Lines) == 0 {
		b.say(p, score.Warning, "routine-no-chord", "no hand holds "+b.chain.Chord.String()+" here", "")
	}
	return []Exercise{e}
}

func joinDegrees(ds []theory.Degree) string {
	names := make([]string, len(ds))
	for i, d := range ds {
		names[i] = d.String()
	}
	return strings.Join(names, " ")
}

// arpeggios plays triad and seventh chord note by note.
func (b *builder) arpeggios(p *Page, l fretboard.Layout, run []fretboard.Spot, hand fingers) []Exercise {
	var all []Exercise
	for _, set := range []fretboard.ToneSet{b.chain.Triad, b.chain.Seventh} {
		if len(set.Tones) == 0 {
			continue
		}
		e := Exercise{Kind: Arpeggio, Title: set.Title + b.wayWords(), Lines: b.runs(within(l.Region.Lay(b.against(set)).Spots, run), hand)}
		if c, err := theory.ParseChord(strings.TrimSuffix(set.Title, " arpeggio")); err == nil {
			for _, ln := range e.Lines {
				ln.under(c)
			}
		}
		all = append(all, e)
	}
	if len(all) == 0 {
		all = []Exercise{{Kind: Arpeggio, Title: "Arpeggio", Words: []string{sentence(b.chain.Scale.Title + " has no triad on its tonic, so no arpeggio")}}}
	}
	return all
}

// pentatonic plays the pentatonic that lies between arpeggio and scale, or
// says why there is none.
func (b *builder) pentatonic(l fretboard.Layout, run []fretboard.Spot, hand fingers) []Exercise {
	set := b.chain.Pentatonic
	switch {
	case len(set.Tones) == 0:
		return []Exercise{{Kind: Pentatonic, Title: "Pentatonic", Words: []string{sentence(b.chain.WhyNot)}}}
	case set.Set() == b.chain.Scale.Set() && slices.Contains(b.Show, Scale):
		return nil // it is the scale
	}
	return []Exercise{{Kind: Pentatonic, Title: set.Title + b.wayWords(), Lines: b.runs(within(l.Region.Lay(b.against(set)).Spots, run), hand)}}
}
