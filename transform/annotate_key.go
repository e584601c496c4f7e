package transform

import (
	"fmt"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A keySpan is what degrees count against from some time on.
type keySpan struct {
	from     score.Quarters // from the start of the part
	tonic    theory.NoteName
	spelling theory.Key
	names    []theory.NoteName // of the scale
	set      theory.PitchSet   // of the scale
	// diatonic is what is not chromatic: the scale, and in minor the raised
	// sixth and seventh.
	diatonic theory.PitchSet
}

// openKey is the confidence below which a found key is warned of.
const openKey = 0.5

// findKeys finds the keys of the part: the scale that was asked for, the key
// signatures, or the key that the notes speak for. It is false if the part has
// no pitched note.
func (a *annotator) findKeys() bool {
	v := &inspector{part: a.part, rep: a.rep}
	v.collect()
	if len(v.notes) == 0 {
		return false
	}
	guesses := theory.FindKey(weighted(v.notes))
	if a.opt.Scale != nil {
		k, _ := a.opt.Scale.KeyFor()
		a.keys = []keySpan{{tonic: a.opt.Scale.Tonic, spelling: k, names: a.opt.Scale.Scale.Notes(a.opt.Scale.Tonic)}}
	} else if a.signatures(v, guesses); len(a.keys) == 0 {
		k, from := v.key(guesses)
		if said, modeSaid, ok := KeyAtStart(a.rep.score); ok && from == "notes" { // another part says it
			k, from = &said, "score"
			if !modeSaid {
				k = modeBy(said, guesses)
			}
		}
		if k == nil {
			return false
		}
		a.keys = []keySpan{keyFrom(score.Quarters{}, *k)}
		if from == "notes" {
			a.reportGuess(*k, guesses[0].Confidence)
		}
	}
	for i := range a.keys {
		k := &a.keys[i]
		k.set = theory.SetOf(k.names...)
		k.diatonic = k.set
		if a.opt.Scale == nil && (k.spelling.Mode == theory.Minor || k.spelling.Mode == theory.Aeolian) {
			k.diatonic = k.diatonic.With(k.tonic.Class() + 9).With(k.tonic.Class() + 11)
		}
	}
	a.goHome()
	return true
}

func keyFrom(at score.Quarters, k theory.Key) keySpan {
	return keySpan{from: at, tonic: k.Tonic, spelling: k, names: k.Scale().Notes(k.Tonic)}
}

// modeBy chooses between major and minor for a signature without mode, as the
// notes speak for; the key as it is if they speak for neither.
func modeBy(k theory.Key, guesses []theory.KeyGuess) *theory.Key {
	for _, g := range guesses {
		for _, mode := range [...]theory.Mode{theory.Major, theory.Minor} {
			if j := theory.KeyOf(k.Fifths(), mode); j.Mode == g.Key.Mode && j.Tonic.Class() == g.Key.Tonic.Class() {
				return &j
			}
		}
	}
	return &k
}

// signatures takes the keys of the part's signatures, if it begins with one.
func (a *annotator) signatures(v *inspector, guesses []theory.KeyGuess) {
	if _, _, ok := KeyAtStart(&score.Score{Parts: []*score.Part{a.part}}); !ok {
		return
	}
	var mode *theory.Mode // of the last signature that had none
	for i, m := range a.part.Measures {
		for _, e := range m.Events {
			s, ok := e.(*score.KeySignature)
			if !ok || s.Free || s.NoKey {
				continue
			}
			k := s.Key
			if !s.ModeSaid {
				if mode == nil {
					mode = &modeBy(k, guesses).Mode
				}
				k = theory.KeyOf(k.Fifths(), *mode)
			}
			span := keyFrom(a.begins[i].Add(s.Onset), k)
			if n := len(a.keys); n > 0 && (a.keys[n-1].spelling == k || a.keys[n-1].from == span.from) {
				continue
			}
			a.keys = append(a.keys, span)
		}
	}
}

func (a *annotator) reportGuess(k theory.Key, confidence float64) {
	msg := fmt.Sprintf("%sdegrees count against %s, the key that the notes speak for (%.0f %%)", a.rep.inPart(), k.Pretty(), 100*confidence)
	if confidence < openKey {
		a.rep.add(score.Warning, CodeAnnotateKey, a.part.Src, msg+"; they leave it open", "say the key or the scale")
		return
	}
	a.rep.add(score.Info, CodeAnnotateKey, a.part.Src, msg, "say the key or the scale if it is another")
}

// goHome counts degrees against the home note.
func (a *annotator) goHome() {
	if a.opt.Home == nil {
		return
	}
	home := *a.opt.Home
	for i := range a.keys {
		k := &a.keys[i]
		if !k.set.Has(home.Class()) {
			a.rep.add(score.Warning, CodeAnnotateKey, a.part.Src, fmt.Sprintf("%s%s is home, but not a note of %s", a.rep.inPart(), home.Pretty(), a.keyName(k)), "")
		} else if mode := theory.ScaleOfSet(k.set.Transpose(-home.Class())); home != k.tonic {
			a.rep.add(score.Info, CodeAnnotateKey, a.part.Src, fmt.Sprintf("%swith %s as home the notes of %s are %s", a.rep.inPart(), home.Pretty(), a.keyName(k), ScaleOn{home, mode}.Pretty()), "")
		}
		k.tonic = home
	}
}

// keyName names the scale or key of a span, whatever is home.
func (a *annotator) keyName(k *keySpan) string {
	if a.opt.Scale != nil {
		return a.opt.Scale.Pretty()
	}
	return k.spelling.Pretty()
}

// keyAt returns what is in force at a time.
func (a *annotator) keyAt(at score.Quarters) *keySpan {
	i := len(a.keys) - 1
	for i > 0 && at.Less(a.keys[i].from) {
		i--
	}
	return &a.keys[i]
}
