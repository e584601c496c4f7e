package transform

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// AnnotateOptions say what [Annotate] puts on, and against what.
type AnnotateOptions struct {
	// Show lists kinds of labels ([score.LabelKinds]); nil for degrees and,
	// where chords are known, chord tones and roles.
	Show []string
	// Scale is what degrees count against and what is diatonic; nil for the key
	// of the music, or else the one that its notes speak for.
	Scale *ScaleOn
	// Home is the tonic that degrees count against, if it is not the one of the
	// scale or key: D for D dorian in music that is written in C.
	Home *theory.NoteName
	// Chords are laid over the bars, after a pickup, and begin again when they
	// are through; nil for the chord symbols of the part, or of another one.
	Chords theory.Progression
	// Color gives the noteheads of chord tones the colours of [ChordToneColors],
	// and shows chord tones.
	Color bool
	Parts []string // IDs of the parts to annotate; nil for all
}

// Codes of the diagnostics that Annotate gives.
const (
	CodeAnnotateKey      = "annotate-key"       // the key was guessed, or the home note is not in it
	CodeAnnotateChord    = "annotate-chord"     // no chord, one that is not understood, or one from elsewhere
	CodeAnnotateMetre    = "annotate-metre"     // the grouping of a metre was assumed
	CodeAnnotateReplaced = "annotate-replaced"  // labels that were there were replaced
	CodeAnnotateDetune   = "annotate-microtone" // microtones are labelled by the nearest semitone
	CodeAnnotateNothing  = "annotate-nothing"   // there is nothing to label
)

// Annotate puts labels on notes: their degree in the key, what they are against
// the chord and what they do if they are none of its tones, their names, and
// the interval from the note before. Nothing but annotations and the legend
// changes. Labels of the kinds that are shown and were there before are
// replaced.
//
// A bend is labelled by its target, a harmonic by what sounds. Of tied notes
// the first is labelled, and a later one if the chord has changed by then.
// Notes that are no tone of the scale asked for, or of the chord, stand in
// brackets. The rules of the roles are those of [Role]; ">" before one says
// that the note is on a stronger place of the bar than the note that it goes
// to. A line is what one voice plays; in chords, the notes that are at the same
// place from the top.
//
// The score that is passed in is not changed, and Annotate may be called for
// one score from several goroutines at once.
func Annotate(s *score.Score, opt AnnotateOptions) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	rep := &reporter{score: out, parts: len(out.Parts)}
	show := opt.Show
	if opt.Color && show != nil && !slices.Contains(show, score.LabelChordTone) {
		show = append(slices.Clone(show), score.LabelChordTone)
	}
	l := legend{}
	for _, p := range out.Parts {
		if opt.Parts != nil && !slices.Contains(opt.Parts, p.ID) || onlyUnpitched(p) || len(p.Measures) == 0 {
			continue
		}
		rep.enter(p)
		a := newAnnotator(p, rep, opt)
		a.show, a.legend = show, &l
		a.run()
	}
	if l.empty() {
		at := out.Src
		if len(out.Parts) > 0 {
			at = out.Parts[0].Src
		}
		rep.add(score.Warning, CodeAnnotateNothing, at, "there is no note to label", "")
	}
	l.write(out)
	return out, rep.list
}

// ClearAnnotations takes labels off: those of the kinds that are listed, or all
// if kinds is nil, in the parts that are listed, or in all if parts is nil.
// Their lines of the legend go too, where all parts were cleared.
func ClearAnnotations(s *score.Score, kinds, parts []string) *score.Score {
	out := s.Clone()
	for _, p := range out.Parts {
		if parts == nil || slices.Contains(parts, p.ID) {
			clearLabels(p, kinds)
		}
	}
	if kinds == nil {
		kinds = append(score.LabelKinds(), score.LabelColor)
	} else if slices.Contains(kinds, score.LabelChordTone) {
		kinds = append(slices.Clone(kinds), score.LabelColor)
	}
	left := map[string]bool{}
	for n := range score.Notes(out) {
		for _, a := range n.Annotations {
			left[a.Kind] = true
			left[score.LabelColor] = left[score.LabelColor] || a.Color != ""
		}
	}
	out.Legend = slices.DeleteFunc(out.Legend, func(line string) bool {
		kind := score.LegendKind(line)
		return slices.Contains(kinds, kind) && !left[kind]
	})
	if len(out.Legend) == 0 {
		out.Legend = nil
	}
	return out
}

// clearLabels takes labels off a part and returns how many notes had any.
func clearLabels(p *score.Part, kinds []string) int {
	count := 0
	for n := range score.Notes(p) {
		before := len(n.Annotations)
		n.Annotations = slices.DeleteFunc(n.Annotations, func(a score.Annotation) bool { return kinds == nil || slices.Contains(kinds, a.Kind) })
		if len(n.Annotations) < before {
			count++
		}
		if len(n.Annotations) == 0 {
			n.Annotations = nil
		}
	}
	return count
}

// An annotator works on one part.
type annotator struct {
	part   *score.Part
	rep    *reporter
	opt    AnnotateOptions
	show   []string
	legend *legend

	begins []score.Quarters // of the measures, from the start of the part
	pulses []pulse
	beats  []score.Quarters
	keys   []keySpan // in force one after the other; never empty when tones are made
	spans  []chordSpan
	tones  []*tone // line by line, in order of time
}

func newAnnotator(p *score.Part, rep *reporter, opt AnnotateOptions) *annotator {
	return &annotator{part: p, rep: rep, opt: opt, begins: starts(p), pulses: pulses(p), beats: p.BeatLengths()}
}

func (a *annotator) run() {
	if !a.findKeys() {
		return
	}
	from := a.layChords()
	a.collect()
	if len(a.tones) == 0 {
		return
	}
	a.letters()
	a.jobs()
	a.roles()
	explicit := a.show != nil || a.opt.Color
	if a.show == nil {
		a.show = []string{score.LabelDegree, score.LabelChordTone, score.LabelRole}
	}
	needs := a.shows(score.LabelChordTone) || a.shows(score.LabelRole)
	if from == noChords && needs && !a.legend.chordless {
		a.legend.chordless = true
		sev := score.Info
		if explicit {
			sev = score.Warning
		}
		a.rep.add(sev, CodeAnnotateChord, a.part.Src, "no chords are known, so that there is nothing to label notes against", "write chord symbols over the music, or say the chords")
	} else if from != noChords && needs {
		a.reportChords(from, len(a.opt.Chords))
	}
	if n := clearLabels(a.part, a.show); n > 0 {
		a.rep.add(score.Info, CodeAnnotateReplaced, a.part.Src, fmt.Sprintf("%slabels that were there were replaced (%d notes)", a.rep.inPart(), n), "")
	}
	a.label()
	a.reportMetres()
	a.reportMicrotones()
}

func (a *annotator) shows(kind string) bool { return slices.Contains(a.show, kind) }

// label writes the labels of all tones.
func (a *annotator) label() {
	for _, t := range a.tones {
		if t.note == nil {
			continue
		}
		put := func(kind, text, color string) {
			if text != "" && a.shows(kind) {
				t.note.Annotations = append(t.note.Annotations, score.Annotation{Kind: kind, Text: text, Color: color})
				a.legend.saw(kind, t, color)
			}
		}
		if t.of == nil {
			put(score.LabelDegree, a.degree(t), "")
			put(score.LabelName, t.pitch.NoteName.String(), "")
			put(score.LabelInterval, a.interval(t), "")
		}
		color := ""
		if a.opt.Color && t.job.tone {
			color = a.color(t)
		}
		put(score.LabelChordTone, t.job.text, color)
		if t.role != NoRole {
			text := t.role.Short()
			if t.heavy {
				text = ">" + text
			}
			put(score.LabelRole, text, "")
		}
		order := score.LabelKinds()
		slices.SortStableFunc(t.note.Annotations, func(x, y score.Annotation) int {
			return cmp.Compare(slices.Index(order, x.Kind), slices.Index(order, y.Kind))
		})
	}
	a.legend.against(a)
}

// degree writes the degree of a tone; in brackets if it is not in the scale
// that was asked for.
func (a *annotator) degree(t *tone) string {
	k := a.keyAt(t.at)
	text := theory.DegreeOf(k.tonic, t.pitch.NoteName).String()
	if a.opt.Scale != nil && !k.set.Has(t.midi()) {
		return "(" + text + ")"
	}
	return text
}

// interval writes the interval from the note before, falling ones with a
// minus. Where tab has no letters, an interval has its plain name.
func (a *annotator) interval(t *tone) string {
	if t.prev == nil {
		return ""
	}
	from := t.prev.pitch
	if t.prev.leaves != t.prev.midi() {
		from = a.usual(t.prev.at, t.prev.leaves)
	}
	i := from.To(t.pitch)
	if (!t.lettered || !t.prev.lettered) && (i.Semitones%12 != 6 && i.Semitones%12 != -6) {
		i = plainInterval(t.midi() - t.prev.leaves)
	}
	return i.String()
}

// reportMicrotones says which notes are not named exactly.
func (a *annotator) reportMicrotones() {
	count := 0
	for _, t := range a.tones {
		if t.note != nil && !t.note.Detune.IsZero() {
			count++
		}
	}
	if count > 0 {
		a.rep.add(score.Warning, CodeAnnotateDetune, a.part.Src, fmt.Sprintf("%smicrotones are labelled by the semitone nearest to them (%d notes)", a.rep.inPart(), count), "")
	}
}

// reportMetres says which groupings were assumed, if roles depend on them.
func (a *annotator) reportMetres() {
	if !a.shows(score.LabelRole) || len(a.spans) == 0 {
		return
	}
	said := map[string]bool{}
	for i, p := range a.pulses {
		if p.assumed != "" && !said[p.metre] {
			said[p.metre] = true
			_, unit, _ := strings.Cut(p.metre, "/")
			a.rep.add(score.Info, CodeAnnotateMetre, a.part.Measures[i].Src, fmt.Sprintf("%sbar %s: %s is accented as %s", a.rep.inPart(), a.rep.bar(i), p.metre, p.assumed),
				fmt.Sprintf("if it is another grouping, write the metre so: %s/%s", p.assumed, unit))
		}
	}
}
