package transform

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// VaryOptions steer [Vary] and [Variations]. The zero value varies every part
// in the scale of the key at the start.
type VaryOptions struct {
	Scale *ScaleOn // in which steps are counted; nil for that of the key
	Seed  uint64   // of what is left to chance
	Parts []string // IDs of the parts to vary; nil for all
	// Refinger says how the new notes are put on the neck. Where it asks for
	// nothing in particular, a variation that has the same pitches keeps its
	// places.
	Refinger RefingerOptions

	// trim leaves out the part of a pickup in which nothing sounds any more, lets
	// the line end on a beat, and holds the last note as long as that of the phrase
	// where there is room.
	trim bool
}

// Codes of what Vary reports, beside those of [Refinger].
const (
	CodeVary          = "vary"           // what was done
	CodeVaryNothing   = "vary-nothing"   // a step that changed nothing
	CodeVaryTie       = "vary-tie"       // ties of single notes of a chord were cut
	CodeVaryTechnique = "vary-technique" // a connection was taken off, or turned into its opposite
	CodeVaryLabel     = "vary-label"     // labels and lyrics of the old notes were left out
	CodeVaryRepeat    = "vary-repeat"    // repeat signs were left out
	CodeVaryRange     = "vary-range"     // a note or repetition would lie beyond the neck
	CodeVaryRefused   = "vary-refused"   // a step that this music cannot take
)

// Vary makes a new phrase of one by some steps, each on the result of the one
// before. Bars stay whole: time that a step adds makes further bars, and what
// is silent is filled with rests. Chord symbols stay where they are, or move
// with the bars. What the steps did is reported as [score.Info], what one of
// them could not do as [score.NotDone].
//
// New notes on a neck are fingered as opt.Refinger says; what no hand can play
// is reported as [Refinger] does. Hammer-ons and pull-offs become the kind
// that their direction asks for. The score that is passed in is not changed,
// and Vary may be called for one score from several goroutines at once.
func Vary(s *score.Score, steps []Variation, opt VaryOptions) (*score.Score, score.Diagnostics) {
	out, anew, list := vary(s, steps, opt, nil)
	return opt.finger(out, anew, list, opt.habits(s), nil)
}

// habits returns how the parts are played, by their IDs.
func (o *VaryOptions) habits(s *score.Score) map[string]*habit {
	list := map[string]*habit{}
	for _, p := range s.Parts {
		list[p.ID] = habitOf(p)
	}
	return list
}

// vary does the steps and puts nothing on the neck. anew has the IDs of the
// parts whose notes need places. judge, if it is there, looks at each part when
// the steps are done and its notes are not in bars yet; where it says no, out
// is nil.
func vary(s *score.Score, steps []Variation, opt VaryOptions, judge func(*varied) bool) (out *score.Score, anew []string, list score.Diagnostics) {
	out = s.Clone()
	rep := &reporter{score: s, parts: len(s.Parts)}
	anew = []string{}
	for _, p := range out.Parts {
		if opt.Parts != nil && !slices.Contains(opt.Parts, p.ID) || onlyUnpitched(p) || len(p.Measures) == 0 {
			continue
		}
		rep.enter(p)
		v := newVaried(out, p, rep, opt)
		for _, step := range steps {
			v.do(step)
			if judge != nil && v.failed {
				break
			}
		}
		if v.moved {
			v.intoRange()
		}
		if opt.trim {
			v.fold()
		}
		if opt.trim && !v.timed {
			v.sayPending()
		}
		if v.timed && opt.trim {
			v.endWell()
			v.land()
			v.sayPending()
			v.holdEnd()
			v.sayBeyond()
			v.unbendBrief()
			v.calmBrief()
		}
		if judge != nil && !judge(v) {
			return nil, nil, rep.list
		}
		v.finish()
		if v.moved {
			anew = append(anew, p.ID)
		}
	}
	return out, anew, rep.list
}

// finger puts what a variation moved on the neck, or all of it where something
// in particular is asked for. What the score has may be changed: a bend that
// no hand makes where it would lie becomes a slide or a plain note; unbent, if it
// is there, is told of each.
func (o *VaryOptions) finger(s *score.Score, anew []string, list score.Diagnostics, habits map[string]*habit, unbent func()) (*score.Score, score.Diagnostics) {
	asked := o.refingerOptions(anew, habits)
	list = append(list, schemeSaid(s, asked)...)
	out, said := Refinger(s, asked)
	for range maxUnbends {
		if !unbend(s, out, asked.Parts, asked.habits, func(part int, text string) {
			if unbent != nil {
				unbent()
			}
			list = append(list, score.Diagnostic{Severity: score.Info, Code: CodeVaryTechnique, Pos: s.PosOf(s.Parts[part].Src), Msg: text})
		}) {
			break
		}
		out, said = Refinger(s, asked)
	}
	list = append(list, said...)
	list.Sort()
	return out, list
}

// maxUnbends bounds how often bends are looked at: to take one off can move
// the hand to where another cannot be made.
const maxUnbends = 8

// refingerOptions says how the parts are put on the neck.
func (o *VaryOptions) refingerOptions(anew []string, habits map[string]*habit) RefingerOptions {
	asked := o.Refinger
	if asked.Region == nil && asked.Scheme == nil && !asked.FollowChords && !asked.Fingers {
		asked.Parts = anew
	} else if asked.Parts == nil {
		asked.Parts = o.Parts
	}
	if len(asked.Tones.Tones) == 0 && o.Scale != nil {
		asked.Tones = fretboard.ScaleTones(o.Scale.Tonic, o.Scale.Scale)
	}
	asked.habits = habits
	return asked
}

// schemeSaid names the scheme in which a score was put on the neck.
func schemeSaid(s *score.Score, asked RefingerOptions) score.Diagnostics {
	if asked.Scheme == nil {
		return nil
	}
	return score.Diagnostics{{Severity: score.Info, Code: CodeVary, Pos: s.PosOf(s.Src), Msg: "put on the neck anew: " + asked.Scheme.String()}}
}

// A varied is a part while it is varied.
type varied struct {
	score  *score.Score
	part   *score.Part
	rep    *reporter
	opt    VaryOptions
	scale  ScaleOn
	ladder *ladder
	key    theory.Key
	lines  []*phraseLine
	spans  []chordSpan
	moved  bool // pitches changed, so places have to be found
	timed  bool // times changed, so bars have to be written
	longer bool // there are other bars than before
	leap   int  // the widest of the phrase, in semitones
	failed bool // a step was refused or changed nothing
	partly bool // a step was done of which a part says something else than the whole

	startsAt int            // the key on which a step said that the phrase starts; 0 if none did
	targets  int            // notes that were moved to chord tones
	parted   bool           // hammer-ons, pull-offs or slides lost their notes
	aimed    []*phraseTone  // what was moved to chord tones
	sayCells func(cut int)  // says a sequence of which so many notes of the last cell are left
	beyond   bool           // a displacement made the end go over into another bar
	folds    int            // how often the line was moved by an octave, see [varied.fold]
	span     [2]int         // the lowest and the highest note of the phrase
	slurs    [2]int         // the widest hammer-on or pull-off, and slide, of the phrase, in semitones
	brief    score.Quarters // the shortest note that the phrase bends
	shaken   score.Quarters // the shortest with vibrato
	lasts    score.Quarters // how long the last note of the phrase sounds, in the first voice
	onBeat   bool           // and whether it comes on a strong beat
	cut      int            // how many notes there are of a cell that the line breaks off in

	neckOf
	pulses  []pulse // of the bars, made when they are asked for
	begins  []score.Quarters
	home    map[*score.Chord]score.Handle // the bar that a chord was read in
	tuplets int
	pieces  map[*score.Chord]*piece
	of      map[*score.Chord]*phraseTone
}

func newVaried(s *score.Score, p *score.Part, rep *reporter, opt VaryOptions) *varied {
	v := &varied{score: s, part: p, rep: rep, opt: opt, pieces: map[*score.Chord]*piece{}, of: map[*score.Chord]*phraseTone{}}
	v.home = map[*score.Chord]score.Handle{}
	for _, m := range p.Measures {
		for c := range m.Chords() {
			v.home[c] = m.Src
		}
	}
	var cut int
	v.lines, cut = phraseLines(p)
	v.leap = v.widest()
	for i, l := range v.lines {
		for k, t := range l.tones {
			if top := t.top(); i+k == 0 {
				v.span = [2]int{top, top}
			} else {
				v.span = [2]int{min(v.span[0], top), max(v.span[1], top)}
			}
		}
	}
	v.slurs = widestSlurs(p)
	for _, l := range v.lines {
		for _, t := range l.tones {
			if bendBy(t.topNote()) > 0 && (v.brief.IsZero() || t.length.Less(v.brief)) {
				v.brief = t.length
			}
			if n := t.topNote(); (n.Has(score.Vibrato) || n.Has(score.WideVibrato)) && (v.shaken.IsZero() || t.length.Less(v.shaken)) {
				v.shaken = t.length
			}
		}
	}
	if len(v.lines) > 0 {
		last := v.lines[0].tones[len(v.lines[0].tones)-1]
		v.lasts, v.onBeat = last.length, v.strongAt(last.at)
	}
	key, _, ok := KeyAtStart(&score.Score{Parts: []*score.Part{p}})
	if !ok {
		key, _, ok = KeyAtStart(s)
	}
	if !ok {
		if guess := theory.FindKey(v.weights()); len(guess) > 0 {
			key = guess[0].Key
		}
	}
	v.key = key
	v.scale = ScaleOn{key.Tonic, key.Scale()}
	if opt.Scale != nil {
		v.scale = *opt.Scale
	}
	v.ladder = newLadder(v.scale)
	v.spans = chordSpans(p, harmonyPoints(p))
	if cut > 0 {
		v.rep.add(score.Info, CodeVaryTie, p.Src, rep.inPart()+"ties of single notes of a chord count as new notes", "")
	}
	return v
}

// widest returns the widest leap of the lines in semitones.
func (v *varied) widest() (widest int) {
	for _, l := range v.lines {
		for i := range max(0, len(l.tones)-1) {
			leap := l.tones[i+1].top() - l.tones[i].top()
			widest = max(widest, leap, -leap)
		}
	}
	return widest
}

func (v *varied) weights() (list []theory.WeightedNote) {
	for _, l := range v.lines {
		for _, t := range l.tones {
			for _, n := range t.chord.Notes {
				list = append(list, theory.WeightedNote{MIDI: n.Sounding(), Weight: t.length.Float()})
			}
		}
	}
	return list
}

// total returns how long the part is.
func (v *varied) total() score.Quarters {
	var sum score.Quarters
	for _, m := range v.part.Measures {
		sum = sum.Add(m.Length)
	}
	return sum
}

// say reports what a step did.
func (v *varied) say(format string, args ...any) {
	v.rep.add(score.Info, CodeVary, v.part.Src, v.rep.inPart()+fmt.Sprintf(format, args...), "")
}

// refuse reports a step that cannot be done.
func (v *varied) refuse(hint, format string, args ...any) {
	v.failed = true
	v.rep.add(score.NotDone, CodeVaryRefused, v.part.Src, v.rep.inPart()+fmt.Sprintf(format, args...), hint)
}

// finish writes what changed back into the part.
func (v *varied) finish() {
	if v.timed {
		v.write()
		v.unrepeat()
		v.tie()
		v.renumber()
		if v.opt.trim {
			v.unpickup()
			v.shortenPickup()
		}
	}
	if v.moved || v.timed {
		v.legato()
		v.unlabel()
	}
}

// unpickup takes a silent pickup away; what it says of the music to come is said
// by the first bar. Retrograde alone keeps it, since twice is to be the identity.
func (v *varied) unpickup() {
	m := v.part.Measures[0]
	if len(v.part.Measures) < 2 || shortBy(v.part, 0).IsZero() {
		return
	}
	next := v.part.Measures[1]
	var lead []score.Event
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Chord:
			if !e.IsRest() {
				return
			}
		case *score.Barline, *score.Words:
		default:
			c := score.CopyEvent(e)
			setOnset(c, score.Quarters{})
			lead = append(lead, c)
		}
	}
	next.Events = append(lead, next.Events...)
	v.part.Measures = v.part.Measures[1:]
	v.rep.beats = v.rep.beats[1:]
}

// shortenPickup lets a pickup begin with its first note, in a score of one part:
// several have to begin together.
func (v *varied) shortenPickup() {
	m := v.part.Measures[0]
	if len(v.score.Parts) > 1 || shortBy(v.part, 0).IsZero() {
		return
	}
	silent := m.Length
	for c := range m.Chords() {
		if !c.IsRest() && c.Onset.Less(silent) {
			silent = c.Onset
		}
	}
	if silent.IsZero() || silent == m.Length {
		return
	}
	m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool {
		c, ok := e.(*score.Chord)
		return ok && c.IsRest() && !silent.Less(c.End())
	})
	for _, e := range m.Events {
		at := e.At().Sub(silent)
		if at.Sign() < 0 {
			at = score.Quarters{}
		}
		setOnset(e, at)
	}
	m.Length = m.Length.Sub(silent)
}

// unrepeat leaves repeat signs out where bars were added: what they enclosed
// is no longer the same.
func (v *varied) unrepeat() {
	if !v.longer {
		return
	}
	var first score.Handle
	dropped := false
	for _, m := range v.part.Measures {
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool {
			b, ok := e.(*score.Barline)
			if !ok || b.Repeat == score.NoRepeat && b.EndingType == "" {
				return false
			}
			if !dropped {
				first = b.Src
			}
			dropped = true
			return true
		})
	}
	if dropped {
		v.rep.add(score.Warning, CodeVaryRepeat, first, v.rep.inPart()+"repeat signs and endings are left out: they would enclose other bars", "")
	}
}

// unlabel takes off labels and lyrics that were made for the old notes.
func (v *varied) unlabel() {
	labels, lyrics := 0, 0
	for n := range score.Notes(v.part) {
		labels += len(n.Annotations)
		n.Annotations = nil
	}
	for _, m := range v.part.Measures {
		m.Events = slices.DeleteFunc(m.Events, func(e score.Event) bool {
			w, ok := e.(*score.Words)
			if !ok || w.Kind != "lyric" {
				return false
			}
			lyrics++
			return true
		})
	}
	var what []string
	if labels > 0 {
		what = append(what, countOf(labels, "label"))
	}
	if lyrics > 0 {
		what = append(what, countOf(lyrics, "lyric"))
	}
	if what != nil {
		v.rep.add(score.Info, CodeVaryLabel, v.part.Src, v.rep.inPart()+strings.Join(what, " and ")+" of the old notes left out", "")
	}
}
