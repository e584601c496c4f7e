package transform

import (
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// Respell says what is done with spellings that no page should show.
type Respell int8

// RespellAuto writes keys beyond seven sharps or flats as their enharmonic
// ones, and single notes that are altered more than doubly by their simplest
// names. RespellNever keeps every spelling that the interval gives.
const (
	RespellAuto Respell = iota
	RespellNever
)

// TransposeOptions steer [Transpose]. The zero value moves every part and
// respells where needed.
type TransposeOptions struct {
	Respell Respell
	Parts   []string // IDs of the parts to move; nil for all
}

// Codes of the diagnostics that Transpose gives.
const (
	CodeOctave       = "transpose-octave"        // a phrase moved by an octave more, to stay on the neck
	CodeRefingered   = "transpose-refingered"    // notes were fingered anew
	CodeHarmonic     = "transpose-harmonic"      // a natural harmonic is on another node, or became an artificial one
	CodeNoPlace      = "transpose-no-place"      // a note has no legal place any more
	CodeTechnique    = "transpose-technique"     // a hammer-on, pull-off or slide could not be kept
	CodeNameLabel    = "transpose-name-label"    // a label that names a note could not be moved
	CodeOpenMark     = "transpose-open-mark"     // a note marked as open string, without a neck to look at
	CodeFingers      = "transpose-fingers"       // printed fingers were taken off
	CodeStretch      = "transpose-stretch"       // the hand has to reach as far as it had to in the source
	CodeHandPosition = "transpose-hand-position" // an open string became a fretted note far from the hand
)

// Transpose moves a score by a named interval, exactly: every pitch, key
// signature and chord symbol by the same letters and semitones. Rhythm and
// order stay as they are, unpitched notes too. Without respelling, moving by
// a and then by b is moving by a+b and a unison changes nothing; with it, the
// same holds for what sounds. (A phrase that had to change octave to stay on
// the neck is the exception, and is reported.)
//
// Tab moves along the neck: the same shape on the same strings, as many frets
// higher as the interval has semitones. Where a note would fall off the nut
// or the last fret, the part moves by an octave the other way, or if that
// does not fit, each phrase for itself. Where open strings, harmonics or
// narrow frets make the shape one that a hand cannot hold, those notes are
// fingered anew; see places.go for the rule. No note is ever given a place
// that the neck does not have: one without a legal place keeps its pitch,
// loses its place and is named in a diagnostic of severity [score.NotDone].
//
// Respelling is a separate last step, see [RespellAuto]. The score that is
// passed in is not changed, and Transpose may be called for one score from
// several goroutines at once.
func Transpose(s *score.Score, by theory.Interval, opt TransposeOptions) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	if by == (theory.Interval{}) {
		return out, nil
	}
	rep := &reporter{score: s, parts: len(s.Parts)}
	for _, p := range out.Parts {
		if opt.Parts != nil && !slices.Contains(opt.Parts, p.ID) || onlyUnpitched(p) {
			continue
		}
		rep.enter(p)
		labels := nameLabels(p)
		movePart(p, by, rep)
		moveOnNeck(p, by, rep)
		if opt.Respell == RespellAuto {
			respellPart(p)
		}
		relabel(labels, rep)
	}
	rep.list.Sort()
	return out, rep.list
}

// onlyUnpitched tells whether a part is percussion throughout: then its key
// signatures are a formality and stay.
func onlyUnpitched(p *score.Part) bool {
	any := false
	for n := range score.Notes(p) {
		if !n.Unpitched {
			return false
		}
		any = true
	}
	return any
}

// movePart moves pitches, keys and chord symbols. Places are left alone.
func movePart(p *score.Part, by theory.Interval, rep *reporter) {
	fretted := p.Fretted()
	for i, m := range p.Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.Chord:
				for _, n := range e.Notes {
					if n.Unpitched {
						continue
					}
					n.Pitch = n.Pitch.Transpose(by)
					if !fretted && n.Has(score.OpenString) && by.Semitones != 0 {
						rep.add(score.Warning, CodeOpenMark, n.Src, rep.where(i, e.Onset)+": still marked as an open string",
							"the file names no tuning, so it cannot be seen whether the moved note is one; say --tuning, or check it")
					}
				}
			case *score.Harmony:
				e.Chord = e.Chord.Transpose(by)
			case *score.KeySignature:
				switch {
				case e.NoKey:
				case e.Free:
					e.Alters = moveFreeKey(e.Alters, by)
				default:
					e.Key = e.Key.Transpose(by)
				}
			}
		}
	}
}

// A nameLabel is a label that spells the note it stands at.
type nameLabel struct {
	note   *score.Note
	index  int  // in note.Annotations
	pretty bool // ♯ rather than #
	known  bool // it did spell the note, so the new one can be spelled alike
}

// nameLabels finds the labels that will have to follow their notes.
func nameLabels(p *score.Part) []nameLabel {
	var labels []nameLabel
	for n := range score.Notes(p) {
		for i, a := range n.Annotations {
			if a.Kind == "name" && !n.Unpitched {
				pretty := a.Text == n.Pitch.NoteName.Pretty()
				labels = append(labels, nameLabel{n, i, pretty, pretty || a.Text == n.Pitch.NoteName.String()})
			}
		}
	}
	return labels
}

func relabel(labels []nameLabel, rep *reporter) {
	for _, l := range labels {
		a := &l.note.Annotations[l.index]
		switch {
		case !l.known:
			rep.add(score.Warning, CodeNameLabel, l.note.Src, "the label "+a.Text+" did not name its note and stays as it is", "")
		case l.pretty:
			a.Text = l.note.Pitch.NoteName.Pretty()
		default:
			a.Text = l.note.Pitch.NoteName.String()
		}
	}
}
