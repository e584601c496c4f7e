package degrees

import (
	"strconv"
	"strings"

	"example.org/lickwright/internal/typo"
	"example.org/lickwright/score"
)

// markWords are the words for marks, behind the colon of a note. They are the
// trade's, shortened, and where rows of plain-text tab have a word it is that.
var markWords = [...]struct {
	word string
	mark score.Mark
}{
	{"dead", score.Dead}, {"ghost", score.Ghost}, {"held", score.Held}, {"tap", score.Tap}, {"tap-left", score.TapLeft},
	{"vib", score.Vibrato}, {"wide-vib", score.WideVibrato}, {"trem", score.TremoloPicking}, {"pm", score.PalmMuted}, {"ring", score.LetRing},
	{"down", score.DownStroke}, {"up", score.UpStroke}, {"slap", score.Slap}, {"pop", score.Pop}, {"rake", score.Rake}, {"dip", score.BarDip},
	{"dive", score.BarDive}, {"thumb", score.ThumbOver}, {"open", score.OpenString}, {"golpe", score.Golpe}, {"acc", score.Accent},
	{"strong", score.StrongAccent}, {"soft", score.SoftAccent}, {"stacc", score.Staccato}, {"stacc!", score.Staccatissimo}, {"spicc", score.Spiccato},
	{"ten", score.Tenuto}, {"port", score.DetachedLegato}, {"stress", score.Stress}, {"unstress", score.Unstress}, {"breath", score.BreathMark},
	{"caesura", score.Caesura}, {"snap", score.SnapPizzicato}, {"nail", score.Fingernails}, {"stop", score.Stopped}, {"half-mute", score.HalfMuted},
	{"double-tongue", score.DoubleTongue}, {"triple-tongue", score.TripleTongue}, {"heel", score.Heel}, {"toe", score.Toe}, {"flip", score.Flip},
	{"smear", score.Smear}, {"open-wind", score.OpenWind}, {"brass-bend", score.BrassBend}, {"ferm", score.Fermata},
	{"roll-up", score.ArpeggioUp}, {"roll-down", score.ArpeggioDown},
}

// spanWords are the words for what connects two notes; "mute(" begins one,
// "mute)" ends it. Those with a sign are written before the second note where
// it is plain which note is the first.
var spanWords = [...]struct {
	word, sign string
	kind       score.SpanKind
}{
	{"hammer", "h", score.HammerOn}, {"pull", "p", score.PullOff}, {"slide", "/", score.LegatoSlide}, {"shift", "s", score.ShiftSlide},
	{"gliss", "", score.Glissando}, {"slur", "", score.Slur}, {"mute", "", score.PalmMute}, {"rings", "", score.LetRingSpan}, {"vibs", "", score.VibratoSpan},
}

// signOf returns the sign of a span, "" if it has only a word.
func signOf(k score.SpanKind) string {
	for _, w := range spanWords {
		if w.kind == k {
			return w.sign
		}
	}
	return ""
}

var edgeWords = [...]struct {
	word string
	edge score.SlideEdge
}{
	{"scoop", score.SlideEdge{In: true, Below: true}}, {"plop", score.SlideEdge{In: true}},
	{"doit", score.SlideEdge{}}, {"fall", score.SlideEdge{Below: true}},
}

var harmonicWords = [...]struct {
	word string
	kind score.HarmonicKind
}{
	{"harm", score.NaturalHarmonic}, {"art", score.ArtificialHarmonic}, {"pinch", score.PinchHarmonic}, {"tap-harm", score.TappedHarmonic},
}

// A spanEnd is what a word like "mute2(" says: the end of the second of
// several spans of a kind that are open at once.
type spanEnd struct {
	kind   score.SpanKind
	number int
	end    score.SpanEnd
}

func (e spanEnd) String() string {
	for _, w := range spanWords {
		if w.kind != e.kind {
			continue
		}
		s := w.word
		if e.number > 1 {
			s += strconv.Itoa(e.number)
		}
		if e.end == score.Start {
			return s + "("
		}
		return s + ")"
	}
	return ""
}

func parseSpanEnd(s string) (e spanEnd, ok bool) {
	body, opens := strings.CutSuffix(s, "(")
	if e.end = score.Start; !opens {
		if body, ok = strings.CutSuffix(s, ")"); !ok {
			return e, false
		}
		e.end = score.Stop
	}
	for _, w := range spanWords {
		if rest, ok := strings.CutPrefix(body, w.word); ok {
			e.kind, e.number = w.kind, 1
			if rest == "" {
				return e, true
			}
			n, err := strconv.Atoi(rest)
			e.number = n
			return e, err == nil && n >= 2 && rest[0] != '+'
		}
	}
	return e, false
}

// writeTechnique writes a technique as a word; "" for one that is written
// otherwise.
func writeTechnique(t score.Technique) string {
	switch t := t.(type) {
	case score.Mark:
		for _, w := range markWords {
			if w.mark == t {
				return w.word
			}
		}
	case score.SlideEdge:
		for _, w := range edgeWords {
			if w.edge == t {
				return w.word
			}
		}
	case score.Harmonic:
		for _, w := range harmonicWords {
			if w.kind == t.Kind {
				return w.word + signed(t.Over)
			}
		}
	case score.Trill:
		return "tr" + signed(t.To)
	}
	return ""
}

// signed writes a number with its sign, nothing for 0.
func signed(n int) string {
	switch {
	case n > 0:
		return "+" + strconv.Itoa(n)
	case n < 0:
		return strconv.Itoa(n)
	}
	return ""
}

// parseTechnique reads the word of a technique.
func parseTechnique(s string) (score.Technique, bool) {
	for _, w := range markWords {
		if w.word == s {
			return w.mark, true
		}
	}
	for _, w := range edgeWords {
		if w.word == s {
			return w.edge, true
		}
	}
	name, by := s, 0
	if i := strings.LastIndexAny(s, "+-"); i > 0 {
		if n, err := strconv.Atoi(s[i:]); err == nil && n != 0 && n >= -99 && n <= 99 {
			name, by = s[:i], n
		}
	}
	if name == "tr" {
		return score.Trill{To: by}, true
	}
	for _, w := range harmonicWords {
		if w.word == name {
			return score.Harmonic{Kind: w.kind, Over: by}, true
		}
	}
	return nil, false
}

// nearWord returns a hint with the word that is meant, if one is near.
func nearWord(s string) string {
	var words []string
	for _, w := range markWords {
		words = append(words, w.word)
	}
	for _, w := range edgeWords {
		words = append(words, w.word)
	}
	for _, w := range harmonicWords {
		words = append(words, w.word)
	}
	for _, w := range spanWords {
		words = append(words, w.word+"(", w.word+")")
	}
	if i := typo.Nearest(s, words, 2); i >= 0 {
		return "did you mean " + words[i] + "?"
	}
	return "words are such as vib, acc, stacc, pm, ghost, harm, tr; mute( begins and mute) ends what is muted"
}
