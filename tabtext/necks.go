package tabtext

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// last header of a kind that was stated, and whether there is one.
func lastOf(hs []header, kind headerKind) (header, bool) {
	for i := len(hs) - 1; i >= 0; i-- {
		if hs[i].kind == kind {
			return hs[i], true
		}
	}
	return header{}, false
}

// settleNeck finds the neck of a system from, in order of authority, the
// options, a statement before the system, its labels, and what is usual for
// so many strings. It returns the change that it makes, if any.
func (b *builder) settleNeck(s *system, index int) *score.NeckChange {
	p := b.cur
	n := s.strings()
	whole := s.whole()
	first := !p.hasNeck
	b.fitTunings(s)
	byLabels, flipped, labelled := b.labelTuning(whole)
	if stated := b.statedTuning(s); stated != nil && whole.named() {
		// A tuning that is said tells better than its labels which way up they are.
		// A small letter tells more; labels kept from standard tuning tell by their order.
		switch normal, turned := whole.labelsFit(*stated, false), whole.labelsFit(*stated, true); {
		case lowerFirst(whole.rows):
			flipped = false
		case lowerLast(whole.rows):
			flipped = true
		case normal < n && turned < n && labelled && rank(byLabels) == 0:
		case normal > turned:
			flipped = false
		case normal < turned:
			flipped = true
		default:
			flipped = normal == n && lowerLast(whole.rows) || normal < n && flipped
		}
		if first {
			if fit, ok := whole.labelTuningAs(flipped); ok {
				byLabels = fit
			}
		}
	}
	who := "the labels say"
	if !s.labelled() && b.lay.thick {
		flipped, who = true, "a sentence says"
	}
	s.setStrings(flipped)
	if flipped {
		b.reportOnce(score.Info, "tab-flipped", "", b.sysAt(s, 0, s.begin), who+" that the last string is on top; strings are counted so", "")
	}
	neck := p.neck
	src := nodeRef{line: int32(s.rows[0].line), col: int32(s.rows[0].label.col), sys: int32(index), bar: -1, sign: -1, kind: nodeAssumed}
	inferred := false
	stated, isStated := lastOf(p.pending, headTuning)
	switch {
	case first && b.opt.Tuning != nil && b.opt.Tuning.Len() == n:
		neck.Tuning = *b.opt.Tuning
	case isStated && stated.tuning.Len() == n:
		neck.Tuning = stated.tuning
		if stated.doubt {
			b.report(score.Info, "tab-tuning-prose", b.lay.src.pos(stated.line, 0), "the sentence names a tuning, which is used: "+neck.Tuning.String(), "if it only talks of it, write Tuning: and the strings from low to high above the tab")
		}
		src = nodeRef{line: int32(stated.line), col: int32(stated.at.from), sys: -1, bar: -1, sign: int32(stated.index), kind: nodeHeader}
	case first && labelled:
		neck.Tuning = byLabels
	case first:
		neck.Tuning = b.usual(s)
		inferred = true
		b.reportOnce(score.Info, "tab-tuning-assumed", strconv.Itoa(n), b.sysAt(s, 0, s.begin),
			"no tuning is stated: "+neck.Tuning.String()+" is assumed", "name it with --tuning, or write Tuning: and the strings from low to high above the tab")
	}
	if first && b.opt.Tuning != nil && b.opt.Tuning.Len() != n {
		b.report(score.Warning, "tab-tuning-strings", b.sysPos(s, 0, s.begin),
			fmt.Sprintf("the tuning asked for has %d strings, the tab %d; it is not used here", b.opt.Tuning.Len(), n), "")
	}
	if isStated && stated.tuning.Len() != n {
		b.report(score.Warning, "tab-tuning-strings", b.lay.src.pos(stated.line, stated.at.from),
			fmt.Sprintf("the tuning stated has %d strings, the tab %d; it is not used", stated.tuning.Len(), n), "")
	}
	if labelled && first && !sameNames(byLabels, neck.Tuning) {
		sev := score.Warning
		if byLabels.Sounds(defaultTuning(n)) { // everybody's labels, kept from habit
			sev = score.Info
		}
		b.report(sev, "tab-tuning-labels", b.sysPos(s, 0, s.begin),
			"the labels say "+byLabels.String()+", the tuning stated is "+neck.Tuning.String()+", which is used", "")
	}
	if capo, ok := lastOf(p.pending, headCapo); ok {
		neck.Capo = capo.number
		if capo.doubt {
			b.report(score.Info, "tab-capo-prose", b.lay.src.pos(capo.line, capo.at.from), fmt.Sprintf("the sentence leaves the capo to the player; it is read at fret %d", capo.number), "write Capo: 0 above the tab if there is none")
		}
	}
	if first {
		neck.Frets = b.opt.FretCount()
		if b.opt.Capo != nil {
			if capo, ok := lastOf(p.pending, headCapo); ok && capo.number != *b.opt.Capo {
				b.report(score.Info, "tab-option", b.lay.src.pos(capo.line, capo.at.from), fmt.Sprintf("the text states a capo at fret %d, the options %d, which is used", capo.number, *b.opt.Capo), "")
			}
			neck.Capo = *b.opt.Capo
		}
	}
	if b.opt.Frets > 0 {
		p.fretsSaid = true
	}
	if frets, ok := lastOf(p.pending, headFrets); ok && frets.number > 0 && (b.opt.Frets == 0 || !first) {
		neck.Frets = frets.number
		p.fretsSaid = true
	}
	for _, k := range s.marks() {
		p.fretsSaid = p.fretsSaid || strings.HasPrefix(k.text, "frets:") || strings.HasPrefix(k.text, "capo:")
	}
	if p.fretsSaid {
		// A note beyond the neck is reported where it stands.
	} else if highest := b.highestFret(index) + neck.Capo; highest > neck.Frets && highest <= fretboard.MaxFrets {
		b.reportOnce(score.Info, "tab-frets", "", b.sysAt(s, 0, s.begin),
			fmt.Sprintf("the tab goes up to fret %d from the nut: a neck with that many is assumed", highest), "say how many frets the neck has with --neck-frets or Frets:")
		neck.Frets = highest
	}
	if neck.Validate() != nil {
		b.report(score.Warning, "tab-neck", b.sysPos(s, 0, s.begin), neck.Validate().Error()+"; the capo is left out", "correct the capo or the number of frets")
		neck.Capo = 0
		neck.Frets = max(neck.Frets, 1)
	}
	if !first && neck.Equal(p.neck) {
		return nil
	}
	p.neck, p.hasNeck = neck, true
	return &score.NeckChange{Common: score.Common{Src: b.handle(src)}, Neck: neck, Inferred: inferred}
}

// labelTuning is the tuning that the labels of a system say. The last answer
// is kept, since one system after the other has the same labels.
func (b *builder) labelTuning(s *system) (t fretboard.Tuning, flipped, ok bool) {
	key := ""
	for i := range s.rows {
		key += s.rows[i].label.text + "|"
	}
	if b.labels.key != key || key == "" {
		b.labels.key = key
		b.labels.tuning, b.labels.flipped, b.labels.ok = s.labelTuning()
	}
	return b.labels.tuning, b.labels.flipped, b.labels.ok
}

// statedTuning returns the tuning of the options, of a statement, or of the
// part so far, nil for none.
func (b *builder) statedTuning(s *system) *fretboard.Tuning {
	n := s.strings()
	if !b.cur.hasNeck && b.opt.Tuning != nil && b.opt.Tuning.Len() == n {
		return b.opt.Tuning
	}
	if len(s.bars) > 0 {
		for _, k := range s.marks() { // one at its beginning
			if value, found := strings.CutPrefix(k.text, "tuning:"); found && k.col < s.bars[0].to {
				if t, err := parseTuningText(strings.ReplaceAll(value, ",", " ")); err == nil && t.Len() == n {
					return &t
				}
			}
		}
	}
	if h, ok := lastOf(b.cur.pending, headTuning); ok && h.tuning.Len() == n {
		return &h.tuning
	}
	if b.cur.hasNeck && b.cur.neck.Tuning.Len() == n {
		return &b.cur.neck.Tuning
	}
	return nil
}

// fitTunings makes statements of standard tuning, or of all strings lowered by
// so many steps, hold for the instrument that plays: a bass half a step down.
func (b *builder) fitTunings(s *system) {
	p := b.cur
	if _, ok := lastOf(p.pending, headTuning); !ok {
		return
	}
	guitar := defaultTuning(6)
	for i := range p.pending {
		h := &p.pending[i]
		if h.kind != headTuning || h.tuning.Len() != guitar.Len() || h.spelled {
			continue
		}
		low := strings.ToLower(h.text)
		if !strings.Contains(low, "step") && !strings.Contains(low, "tone") && !strings.Contains(low, "standard") && !strings.Contains(low, "normal") {
			continue
		}
		for down := range maxLowered + 1 {
			if lowered(guitar, down).Sounds(h.tuning) {
				if own := b.standardOf(s); !own.Sounds(guitar) {
					h.tuning = lowered(own, down)
				}
				break
			}
		}
	}
}

func sameNames(a, b fretboard.Tuning) bool {
	return slices.EqualFunc(a.Strings, b.Strings, func(x, y theory.Pitch) bool { return x.Class() == y.Class() })
}

func (b *builder) highestFret(sys int) int {
	highest := 0
	for _, m := range b.music[sys] {
		for i := range m.signs {
			highest = max(highest, m.signs[i].fret)
		}
	}
	return highest
}

// topFret is the highest number that is read as one fret.
func (b *builder) topFret() int {
	top := max(maxSaidFret, b.opt.FretCount(), b.cur.neck.Frets)
	if h, ok := lastOf(b.cur.pending, headFrets); ok {
		top = max(top, h.number)
	}
	return top
}

// maxSaidFret is the highest fret that a number of two digits names without
// an option that says the neck has more.
const maxSaidFret = 24
