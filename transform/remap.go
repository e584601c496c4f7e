package transform

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A ScaleOn is a scale on a tonic: A minor pentatonic.
type ScaleOn struct {
	Tonic theory.NoteName
	Scale theory.Scale
}

// String names it: "A minor pentatonic".
func (s ScaleOn) String() string { return s.Tonic.String() + " " + s.Scale.Title() }

// Pretty names it with the signs of print.
func (s ScaleOn) Pretty() string { return s.Tonic.Pretty() + " " + s.Scale.Title() }

// A Mapping says which note of the new scale a note of the old one becomes.
type Mapping int8

// ByDegree keeps the number of the degree: a third becomes a third, whatever
// its size. ByStep keeps the place in the scale: the second note becomes the
// second note. They are the same between scales of seven letters, and differ
// between a pentatonic and another one. What the new scale does not have
// becomes the nearest note of it in the direction in which the line goes.
const (
	ByDegree Mapping = iota
	ByStep
)

var mappings = [...]string{"degree", "step"}

// String returns "degree" or "step".
func (m Mapping) String() string { return mappings[m] }

// other returns the mapping that was not chosen.
func (m Mapping) other() Mapping { return ByStep - m }

// ParseMapping reads the name of a mapping. Errors are of type
// [*theory.ParseError].
func ParseMapping(s string) (Mapping, error) {
	i := slices.Index(mappings[:], s)
	if i < 0 {
		return 0, &theory.ParseError{What: "mapping", Input: s, Msg: "unknown", Hint: "use " + strings.Join(mappings[:], " or ")}
	}
	return Mapping(i), nil
}

// RemapOptions steer [Remap] and [RemapOver]. The zero value maps every part
// by degree, the tonic by the nearer way.
type RemapOptions struct {
	Map   Mapping
	Tonic theory.Direction // the way from the old tonic to the new one
	Parts []string         // IDs of the parts to map; nil for all
	// Respell says what is done with a new tonic whose signature no page
	// shows; by default its enharmonic equal is taken, F# locrian for Gb
	// locrian.
	Respell Respell
	// Scheme is where on the neck the notes are to lie; nil for near the
	// old hand and no more. It is laid out for the new scale, and of its
	// regions the one nearest to the old hand is taken.
	Scheme fretboard.Scheme
}

// Codes of the diagnostics that Remap gives. The ones that it shares with
// [Transpose] have the same names after the first word: "remap-no-place",
// "remap-refingered", "remap-harmonic", "remap-technique", "remap-fingers",
// "remap-stretch", "remap-hand-position", "remap-name-label".
const (
	CodeRemapChoice  = "remap-choice"       // the other mapping would give other notes in a bar
	CodeRemapNearest = "remap-nearest"      // the new scale lacks a degree
	CodeRemapUnison  = "remap-unison"       // two notes of a chord became one
	CodeRemapBend    = "remap-bend"         // a bend became wider than its string allows, or none
	CodeRemapLegato  = "remap-legato"       // a hammer-on became a pull-off, or the other way round
	CodeRemapKey     = "remap-key"          // a key signature was left, or changed to a neighbour
	CodeRemapChord   = "remap-chord"        // a chord symbol was changed, or does not fit
	CodeRemapLabel   = "remap-label"        // labels were taken off that named the old notes
	CodeRemapOctave  = "remap-octave"       // a part moved by an octave, to stay on the neck
	CodeRemapScheme  = "remap-scheme"       // a note lies outside of the scheme
	CodeRemapNoChord = "remap-chord-unsaid" // it is not said over which chord notes were made
)

// Remap takes music from one scale to another: notes of the old scale become
// notes of the new one, as opt.Map says; a tonic that differs moves all of it
// by the nearer way. Rhythm stays.
//
// Notes outside the old scale stay as far as they are from their neighbour:
// the note of the scale, a semitone away, to which the line goes on, else the
// one from which it comes, else the one of the same letter. A degree whose
// number only the new scale has is itself there. A note with a bend
// is two notes, the fretted one and its target; both are mapped, and the
// amount is what lies between them. Quarter tones stay. A hammer-on that goes
// down now becomes a pull-off, and the other way round.
//
// On a neck the notes that change are fingered near the old hand, and within
// opt.Scheme if there is one. What cannot be played is named, note by note.
// Key signatures and chord symbols change with the scale where it is plain
// how; every case is reported.
//
// Between scales that have the same degree numbers, mapping by degree there
// and back gives every note of the scale back. The score that is passed in is
// not changed, and Remap may be called for one score from several goroutines
// at once.
func Remap(s *score.Score, from, to ScaleOn, opt RemapOptions) (*score.Score, score.Diagnostics) {
	asked := to
	if k, _ := to.KeyFor(); opt.Respell == RespellAuto {
		to.Tonic = k.Practical().Tonic
	}
	r := &remapper{in: s, out: s.Clone(), opt: opt, scheme: fretboard.ScaleTones(to.Tonic, to.Scale)}
	m := newToneMap(scaleRow(from), scaleRow(to), opt)
	r.at = func(*score.Part, int, score.Quarters) *toneMap { return m }
	r.signs = func(p *score.Part, rep *reporter) {
		if to != asked {
			rep.add(score.Info, CodeRemapKey, p.Src, rep.inPart()+asked.Pretty()+" is written as "+to.Pretty(), "")
		}
		remapKeys(p, from, to, rep)
		remapHarmonies(p, from, to, m, rep)
	}
	return r.run()
}

// A remapper is one run of Remap or RemapOver.
type remapper struct {
	in, out *score.Score
	opt     RemapOptions
	scheme  fretboard.ToneSet // what a scheme is laid out for
	// at returns what maps the notes of a moment; nil leaves them.
	at    func(p *score.Part, measure int, onset score.Quarters) *toneMap
	signs func(*score.Part, *reporter)
	plain bool // there is one mapping only
}

// octaveTries are the octaves in which a part is tried.
var octaveTries = [...]int{0, 1, -1, 2, -2}

func (r *remapper) run() (*score.Score, score.Diagnostics) {
	rep := &reporter{score: r.in, parts: len(r.in.Parts)}
	for i, p := range r.out.Parts {
		if r.opt.Parts != nil && !slices.Contains(r.opt.Parts, p.ID) || onlyUnpitched(p) {
			continue
		}
		rep.enter(p)
		octaves := 0
		if off := r.offNeck(p, i, 0); off > 0 {
			fewest := off
			for _, k := range octaveTries[1:] {
				if off := r.offNeck(p, i, k); off < fewest {
					fewest, octaves = off, k
				}
			}
			if octaves != 0 {
				rep.add(score.Warning, CodeRemapOctave, p.Src, rep.inPart()+"moved "+octaveWords(octaves)+
					" as well: "+countOf(off, "note")+" would lie beyond the neck", "")
			}
		}
		labels := nameLabels(p)
		lm := newLineMap(r, p, rep, octaves)
		lm.run()
		if r.signs != nil {
			r.signs(p, rep)
		}
		lm.spell()
		lm.place()
		lm.report()
		relabel(labels, rep)
	}
	for i := range rep.list {
		if code, ok := strings.CutPrefix(rep.list[i].Code, "transpose-"); ok {
			rep.list[i].Code = "remap-" + code
		}
	}
	rep.list.Sort()
	return r.out, rep.list
}

// offNeck counts the notes with a place that no string of their neck would
// have after mapping, so many octaves away.
func (r *remapper) offNeck(p *score.Part, index, octaves int) int {
	if !p.Fretted() {
		return 0
	}
	trial := r.out.Clone().Parts[index]
	rep := &reporter{score: r.in}
	rep.enter(trial)
	lm := newLineMap(r, trial, rep, octaves)
	lm.run()
	off := 0
	for _, n := range collectNeck(trial, rep).notes {
		if !n.from.IsZero() && !n.muted() && len(n.candidates(n.note.Pitch)) == 0 {
			off++
		}
	}
	return off
}

// report says, bar by bar, which notes the new scale had nothing of the kind
// for, and which the other mapping would have given another sound.
func (lm *lineMap) report() {
	nearest := func(x lineNote) string { return x.nearest }
	lm.byBar(CodeRemapNearest, nearest, "nothing of its kind in the new scale, so the nearest note in the line's direction", "")
	other := lm.r.opt.Map.other()
	lm.byBar(CodeRemapChoice, func(x lineNote) string { return x.otherwise },
		fmt.Sprintf("mapped by %v; by %v some notes would differ", lm.r.opt.Map, other), fmt.Sprintf("say --map %v for those", other))
}

// byBar reports what there is to say of notes, one line for each bar.
func (lm *lineMap) byBar(code string, of func(lineNote) string, what, hint string) {
	said := map[int][]string{}
	first := map[int]score.Handle{}
	var bars []int
	for _, x := range lm.notes {
		text := of(x)
		if text == "" {
			continue
		}
		if said[x.measure] == nil {
			bars = append(bars, x.measure)
			first[x.measure] = x.note.Src
		}
		said[x.measure] = append(said[x.measure], text)
	}
	slices.Sort(bars)
	for _, b := range bars {
		lm.rep.add(score.Info, code, first[b], fmt.Sprintf("%sbar %s: %s: %s", lm.rep.inPart(), lm.rep.bar(b), what, strings.Join(said[b], "; ")), hint)
	}
}
