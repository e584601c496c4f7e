package transform

import (
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// Codes of what [Refinger] and [WhyNot] report. Printed fingers that had to
// be taken off are reported as [CodeFingers].
const (
	CodeRefingerNoPlace   = "refinger-no-place"  // a note that has no place, or that no hand can hold beside the others
	CodeRefingerCut       = "refinger-cut"       // what should ring or is joined cannot be kept
	CodeRefingerTechnique = "refinger-technique" // a hammer-on, pull-off or slide was taken off
	CodeRefingerScheme    = "refinger-scheme"    // a note outside of the region asked for, or a scheme that cannot be had
	CodeRefingerSpill     = "refinger-spill"     // notes that went on into the region beside it
	CodeRefingerFold      = "refinger-fold"      // notes that moved by octaves
	CodeRefingerRegion    = "refinger-region"    // which region of a scheme was chosen
	CodeRefingerFollow    = "refinger-follow"    // which shapes follow the chords, or why they cannot
	CodeRefingerStretch   = "refinger-stretch"   // the hand has to stretch
	CodeWhyNot            = "why-not"            // the terms by which a fingering loses
	CodeWhyNotRule        = "why-not-rule"       // the rule that it breaks
)

// RefingerOptions say how a part is put on the neck. The zero value asks for
// the most natural way, by the weights for playing with a plectrum.
type RefingerOptions struct {
	Weights     *fingering.Weights // nil for [fingering.Plectrum]
	Hand        fingering.Hand     // the zero value for [fingering.NormalHand]
	ScaleLength float64            // millimetres; 0 for [fretboard.ScaleLength]
	// Region is where the notes should lie. A note that has no place there,
	// or none that a hand can hold beside the others, goes to the place
	// nearest under the same hand and is named.
	Region *fretboard.Region
	// Scheme asks for that region of it in which the notes cost least, if
	// there is no Region. A phrase that is wider goes on in the regions beside
	// it, see [fretboard.Beside]; the notes are named.
	Scheme fretboard.Scheme
	// Tones are what the scheme is laid over; if there are none, the scale of
	// the key at the start.
	Tones fretboard.ToneSet
	// FollowChords lays the scheme, which is [fretboard.ChordShape] if none is
	// said, over each chord symbol instead, in the region that lies nearest
	// to the one before.
	FollowChords bool
	// Fold moves what lies beyond its region, or beyond the neck, by octaves:
	// whole phrases or halves of them where it can be. Notes that a slide, or a
	// hammer-on, pull-off or bend of up to two frets, joins to one inside of the
	// region stay. The notes are named.
	Fold bool
	// Parts are the IDs of the parts to finger; nil for all.
	Parts []string
	// KeepStrings, KeepFrets and KeepFingers keep what the score has.
	KeepStrings, KeepFrets, KeepFingers bool
	// Fingers writes the fingers of the left hand on every fretted note.
	Fingers bool

	// habits are how each part, by its ID, was played before it was varied.
	habits map[string]*habit
}

// cutting is what it costs on top to let a note go before its written end.
// The weights are learnt from editions in which durations are often written
// longer than a hand can hold them; what is asked to be fingered is taken at
// its word where it can be.
const cutting = 8

func (o *RefingerOptions) weights() *fingering.Weights {
	w := *fingering.Plectrum()
	if o.Weights != nil {
		w = *o.Weights
	}
	w[fingering.Release] += cutting
	return &w
}

// Refinger puts the notes of every fretted part on the neck anew, in the way
// that costs a hand least of all there are; see package fingering. What
// sounds stays as it is, but for octaves if opt.Fold is set. What no hand can
// play is reported with bar and beat as [score.NotDone], and loses its place;
// the rest is done.
func Refinger(s *score.Score, opt RefingerOptions) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	rep := &reporter{score: s, parts: len(s.Parts)}
	for _, p := range out.Parts {
		if opt.Parts != nil && !slices.Contains(opt.Parts, p.ID) {
			continue
		}
		rep.enter(p)
		np := collectNeck(p, rep)
		np.link()
		for _, f := range newFingered(out, p, np, opt) {
			f.solve()
		}
	}
	rep.list.Sort()
	return out, rep.list
}

// RefingerWays returns up to k scores, each with another fingering of a part,
// cheapest first, and what each costs. Only that part changes. The part is
// given by its index.
func RefingerWays(s *score.Score, part, k int, opt RefingerOptions) ([]*score.Score, []float64, error) {
	rep := &reporter{score: s, parts: len(s.Parts)}
	if part < 0 || part >= len(s.Parts) {
		return nil, nil, fmt.Errorf("there is no part %d", part+1)
	}
	first := s.Clone()
	rep.enter(first.Parts[part])
	np := collectNeck(first.Parts[part], rep)
	np.link()
	necks := newFingered(first, first.Parts[part], np, opt)
	if len(necks) != 1 {
		return nil, nil, fmt.Errorf("the part is played on %d necks; its ways can be listed for one", len(necks))
	}
	ways, err := fingering.Alternatives(necks[0].problem, opt.weights(), k)
	if err != nil {
		return nil, nil, err
	}
	var list []*score.Score
	var costs []float64
	for _, way := range ways {
		c := s.Clone()
		rep := &reporter{score: s, parts: len(s.Parts)}
		rep.enter(c.Parts[part])
		np := collectNeck(c.Parts[part], rep)
		np.link()
		newFingered(c, c.Parts[part], np, opt)[0].apply(way)
		list, costs = append(list, c), append(costs, way.Cost)
	}
	return list, costs, nil
}

// WhyNot says, bar by bar, by which terms of the cost the fingering of a
// score loses against the one that [Refinger] chooses, or which rule it
// breaks, in order of time, part by part. The score is the one that a player
// prefers.
func WhyNot(preferred *score.Score, opt RefingerOptions) score.Diagnostics {
	s := preferred.Clone()
	rep := &reporter{score: preferred, parts: len(preferred.Parts)}
	opt.Fold = false // the preferred fingering is of these notes
	for _, p := range s.Parts {
		if opt.Parts != nil && !slices.Contains(opt.Parts, p.ID) {
			continue
		}
		rep.enter(p)
		np := collectNeck(p, rep)
		np.link()
		for _, f := range newFingered(s, p, np, opt) {
			f.whyNot()
		}
	}
	return rep.list
}

// solve finds the best fingering and writes it into the notes.
func (f *fingered) solve() {
	way, err := fingering.Solve(f.problem, f.opt.weights())
	if err != nil {
		// The reader made sure of the neck and the order of time.
		f.np.rep.add(score.NotDone, CodeRefingerCut, f.np.notes[0].note.Src, f.np.rep.inPart()+err.Error(), "")
		return
	}
	f.apply(way)
	f.report(way)
}

// apply writes a fingering into the notes.
func (f *fingered) apply(way *fingering.Fingering) {
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			s := way.Stops[g][i]
			for _, k := range shared {
				n := &f.np.notes[k]
				switch {
				case n.muted(): // stays
				case s.Place.IsZero():
					n.note.Place = fretboard.Place{}
				case n.natural:
					for _, c := range n.candidates(n.note.Pitch) {
						if c.place == s.Place {
							n.put(c)
							break
						}
					}
				default:
					n.put(candidate{place: s.Place})
				}
			}
		}
	}
	f.fingers(way)
}

// fingers writes the fingers, if they are asked for, or takes off those that
// are wrong.
func (f *fingered) fingers(way *fingering.Fingering) {
	if !f.opt.Fingers {
		f.np.tidyMarks()
		f.staleFingers(way)
		return
	}
	for g := range f.notes {
		for _, shared := range f.notes[g] {
			for _, k := range shared {
				f.np.notes[k].note.Finger = score.NoFinger
			}
		}
	}
	f.np.tidyMarks()
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			s := way.Stops[g][i]
			n := &f.np.notes[shared[0]] // where a note is tied on, its first
			switch {
			case s.Finger != score.NoFinger:
				n.note.Finger = s.Finger
			case s.Place.Fret == 0 && !s.Place.IsZero() && !n.muted():
				n.note.Finger = score.FingerOpen
			}
		}
	}
}

// staleFingers takes off the printed fingers of notes that have come to
// another place, where the best fingering has another finger.
func (f *fingered) staleFingers(way *fingering.Fingering) {
	first, count := -1, 0
	for g := range f.notes {
		for i, shared := range f.notes[g] {
			for _, k := range shared {
				n := &f.np.notes[k]
				printed := n.note.Finger
				if n.from.IsZero() || n.note.Place == n.from || printed == score.NoFinger || printed == way.Stops[g][i].Finger ||
					printed == score.FingerOpen && n.note.Place.Fret == 0 && !n.note.Place.IsZero() {
					continue
				}
				n.note.Finger = score.NoFinger
				if count++; first < 0 {
					first = k
				}
			}
		}
	}
	if count > 0 {
		f.np.rep.add(score.Info, CodeFingers, f.np.notes[first].note.Src,
			fmt.Sprintf("%s: %s taken off, which would be wrong at the new places", f.np.whereIs(first), countOf(count, "printed finger")), "")
	}
}
