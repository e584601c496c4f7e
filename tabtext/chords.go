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

// chords turns the timed groups of a bar into chords and rests.
func (b *builder) chords(s *system, sys, index int, m *barMusic, ms *score.Measure) {
	done := 0 // groups before this one are made
	grace := func(until int, onset score.Quarters) {
		for ; done < until; done++ {
			if g := m.groups[done]; g.grace {
				c := b.chord(s, sys, index, m, timed{onset: onset, group: done, col: g.col})
				c.Grace = score.Slashed
				ms.Events = append(ms.Events, c)
			}
		}
	}
	for i, e := range m.events {
		if e.group >= 0 {
			grace(e.group, e.onset)
			done = max(done, e.group+1)
		}
		c := b.chord(s, sys, index, m, e)
		if e.over {
			b.holdOver(sys, c)
		}
		if c.IsRest() && len(m.events) == 1 && i == 0 {
			c.WholeMeasure = true
			c.Value, c.Tuplets = score.NoteValue{}, nil
		}
		ms.Events = append(ms.Events, c)
	}
	grace(len(m.groups), m.length)
	b.chordMarks(s, m, ms)
}

// chord makes one chord or rest.
func (b *builder) chord(s *system, sys, index int, m *barMusic, e timed) *score.Chord {
	c := &score.Chord{Duration: e.dur, Voice: 1, Value: e.value, Tuplets: e.tuplets, InferredTime: m.timing == bySpacing || m.guessed}
	c.Onset, c.Staff = e.onset, 1
	line, at := s.rows[0].where(max(e.col+s.rows[0].shift, 0))
	c.Src = b.handle(nodeRef{line: int32(line), col: int32(at), sys: int32(sys), bar: int32(index), sign: int32(e.group), kind: nodeChord})
	if e.group < 0 {
		return c
	}
	for _, i := range m.groups[e.group].signs {
		c.Notes = append(c.Notes, b.note(s, sys, index, m, i, e))
	}
	m.groups[e.group].chord = c
	return c
}

// holdOver makes a rest at the beginning of a measure what is held of the last
// chord of the measure before. It has no place in the text, since none is written
// there. Dead notes do not sound on, and tab has no sign for a harmonic that is held.
func (b *builder) holdOver(sys int, c *score.Chord) {
	p := b.cur
	var last *score.Chord
	for before := range p.part.Measures[len(p.part.Measures)-1].Chords() {
		if before.Grace == score.NotGrace {
			last = before
		}
	}
	if last == nil {
		return
	}
	for _, n := range last.Notes {
		if _, harmonic := n.Harmonic(); harmonic || n.Has(score.Dead) {
			continue
		}
		held := &score.Note{Place: n.Place, Pitch: n.Pitch, InferredSpelling: n.InferredSpelling, TieStop: true}
		n.TieStart = true
		c.Notes = append(c.Notes, held)
		if l := p.last[n.Place.String]; l != nil && l.note == n { // what leads on leads on from here
			p.last[n.Place.String] = &lastNote{held, l.sign, len(p.part.Measures), sys, l.src}
		}
	}
	if len(c.Notes) > 0 {
		c.Src = 0
	}
}

// note makes the note of a sign.
func (b *builder) note(s *system, sys, index int, m *barMusic, i int, e timed) *score.Note {
	p := b.cur
	sg := &m.signs[i]
	r := &s.rows[sg.row]
	n := &score.Note{Place: fretboard.Place{String: r.str, Fret: sg.fret}, InferredSpelling: true}
	n.Pitch = theory.SpellIn(p.key, p.neck.Stopped(n.Place))
	line, at := r.where(sg.col + r.shift)
	n.Src = b.handle(nodeRef{line: int32(line), col: int32(at), sys: int32(sys), bar: int32(index), sign: int32(i), kind: nodeNote})
	sg.note = n
	add := func(t score.Technique) { n.Techniques = append(n.Techniques, t) }
	here := func() score.Pos { return b.sysPos(s, sg.row, sg.col) }
	if sg.fret > p.neck.TopFret() {
		b.reportOnce(score.Warning, "tab-fret-range", fmt.Sprint(sg.fret), here,
			fmt.Sprintf("fret %d is beyond the neck, which ends at fret %d from the capo", sg.fret, p.neck.TopFret()), "say how many frets the neck has with --neck-frets")
	}
	if sg.dead {
		add(score.Dead)
	}
	if sg.tap && sg.harmonic != 't' {
		add(score.Tap)
	}
	if sg.hammered {
		add(score.TapLeft)
	}
	switch sg.slap {
	case 'S':
		add(score.Slap)
	case 'P':
		add(score.Pop)
	}
	if sg.edgeIn != 0 {
		add(score.SlideEdge{In: true, Below: sg.edgeIn == '/'})
	}
	b.harmonic(sg, add, here)
	if sg.bend != nil {
		bend := score.Bend{Amount: sg.bend.amount, PreBend: sg.bend.pre, Release: sg.bend.release}
		if sg.bend.relTo > sg.fret {
			bend.ReleaseTo = score.Q(int64(sg.bend.relTo-sg.fret), 1)
		}
		add(bend)
		if sg.bend.guessed {
			b.reportOnce(score.Info, "tab-bend-amount", "", here, "a bend does not say how far: a whole step is assumed", "write the target, as in 7b9 or 7b8")
		}
	}
	if sg.vibrato {
		add(score.Vibrato)
	}
	if sg.wide {
		add(score.WideVibrato)
	}
	if sg.trill {
		t := score.Trill{}
		if sg.trillTo != nil {
			t.To = sg.trillTo.fret - sg.fret
		}
		add(t)
	}
	if sg.tremolo {
		add(score.TremoloPicking)
	}
	if sg.dip {
		add(score.BarDip)
	}
	switch sg.stroke {
	case signDown:
		add(score.DownStroke)
	case signUp:
		add(score.UpStroke)
	}
	if sg.edgeOut != 0 {
		add(score.SlideEdge{Below: sg.edgeOut == '\\'})
	}
	b.connect(s, sys, m, sg, n, e)
	return n
}

func (b *builder) harmonic(sg *sign, add func(score.Technique), here func() score.Pos) {
	node := func(fret int) (fretboard.Node, bool) {
		n, ok := fretboard.NodeAt(fret)
		if !ok {
			b.reportOnce(score.Warning, "tab-harmonic-node", fmt.Sprint(fret), here,
				fmt.Sprintf("fret %d has no harmonic that is called by it; the stopped pitch is taken", fret), "natural harmonics lie at frets 3.2, 4, 5, 7, 9, 12, 16, 19 and 24")
		}
		return n, ok
	}
	switch sg.harmonic {
	case '<':
		h := score.Harmonic{Kind: score.NaturalHarmonic}
		if n, ok := node(sg.fret); ok {
			h.Over = n.Semitones - sg.fret
		}
		add(h)
	case '[':
		add(score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12})
	case '*':
		add(score.Harmonic{Kind: score.PinchHarmonic, Over: 12})
	case 't':
		h := score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12, Touch: sg.touch.fret}
		if sg.tap {
			h.Kind = score.TappedHarmonic
		}
		if n, ok := node(sg.touch.fret - sg.fret); ok {
			h.Over = n.Semitones
		}
		add(h)
	}
}

// maxGap is how many bars may lie between the two ends of a connection.
const maxGap = 1

// connect ties the note to the one before it on its string: by the sign that
// stands between them, or by brackets that say it is still held.
func (b *builder) connect(s *system, sys int, m *barMusic, sg *sign, n *score.Note, e timed) {
	p := b.cur
	here := func() score.Pos { return b.sysPos(s, sg.row, sg.col) }
	str := n.Place.String
	measure := len(p.part.Measures)
	before := p.last[str]
	if before != nil && measure-before.measure > maxGap {
		if before.sign.conn != 0 && !startsSpan(before.note, spanOf(before.sign.conn)) {
			before.slidesOut()
		}
		before = nil
	}
	if sg.paren {
		held := e.tied || m.timing == bySpacing && before != nil && before.measure == measure-1 && e.onset.IsZero()
		switch {
		case held && before != nil && before.note.Place == n.Place:
			before.note.TieStart, n.TieStop = true, true
			if m.timing == bySpacing {
				b.reportOnce(score.Info, "tab-held", "", here, "a number in brackets at the beginning of a bar repeats the note before it and is read as held", "")
			}
		case held && e.tied:
			n.Techniques = append(n.Techniques, score.Held)
		default:
			n.Techniques = append(n.Techniques, score.Ghost)
		}
	}
	if before != nil && before.sign.conn != 0 && !n.TieStop {
		kind := spanOf(before.sign.conn)
		p.ids++
		before.note.Techniques = append(before.note.Techniques, score.Span{Kind: kind, ID: p.ids, End: score.Start})
		n.Techniques = append(n.Techniques, score.Span{Kind: kind, ID: p.ids, End: score.Stop})
		b.checkConnection(before.note, n, before.sign.conn, here)
	}
	p.last[str] = &lastNote{n, sg, measure, sys, n.Src}
}

func spanOf(conn byte) score.SpanKind {
	switch conn {
	case 'h':
		return score.HammerOn
	case 'p':
		return score.PullOff
	case 'S':
		return score.ShiftSlide
	}
	return score.LegatoSlide
}

func (b *builder) checkConnection(from, to *score.Note, conn byte, here func() score.Pos) {
	if from.Has(score.Dead) || to.Has(score.Dead) {
		return
	}
	up := to.Place.Fret - from.Place.Fret
	switch {
	case conn == 'h' && up <= 0:
		b.reportOnce(score.Warning, "tab-hammer-down", "", here, "a hammer-on goes to a fret that is not higher", "write p for a pull-off")
	case conn == 'p' && up >= 0:
		b.reportOnce(score.Warning, "tab-pull-up", "", here, "a pull-off goes to a fret that is not lower", "write h for a hammer-on")
	case conn == '/' && up < 0, conn == '\\' && up > 0:
		b.reportOnce(score.Warning, "tab-slide-direction", "", here, "the slide's sign leans the other way than its frets go", "")
	}
}

// chordMarks adds what the rows of strokes, slaps and named marks say.
func (b *builder) chordMarks(s *system, m *barMusic, ms *score.Measure) {
	for _, list := range [][]attached{s.above, s.below} {
		for i := range list {
			a := &list[i]
			switch a.kind {
			case strokeLine:
				b.eachWord(a, m, ms, func(w word, c *score.Chord) {
					t := score.DownStroke
					if w.text == "^" || w.text == "U" || w.text == "u" || w.text == "↑" || w.text == "V" && !smallV(a) {
						t = score.UpStroke
					}
					addAll(c, t)
				})
			case slapLine:
				b.eachWord(a, m, ms, func(w word, c *score.Chord) {
					switch w.text {
					case "T", "t":
						if a.taps() {
							addAll(c, score.Tap)
						} else {
							addAll(c, score.Slap)
						}
					case "S":
						addAll(c, score.Slap)
					case "P":
						addAll(c, score.Pop)
					}
				})
			case namedLine:
				if a.name == namedWords { // lyrics
					continue
				}
				b.named(a, s.rows[0].shift, m, ms)
			}
		}
	}
}

// smallV tells whether a row of strokes writes down as v; then V is down too.
// Else V is the up-bow of print beside n.
func smallV(a *attached) bool {
	for _, w := range a.words {
		if w.text == "n" {
			return false
		}
	}
	return true
}

func addAll(c *score.Chord, t score.Technique) {
	for _, n := range c.Notes {
		markOnce(n, t)
	}
}

func markOnce(n *score.Note, t score.Technique) {
	if !n.Has(t) {
		n.Techniques = append(n.Techniques, t)
	}
}

// eachWord calls f with the words of a row over a bar and the chords at their
// columns.
func (b *builder) eachWord(a *attached, m *barMusic, ms *score.Measure, f func(word, *score.Chord)) {
	for _, w := range wordsFrom(a.words, m.from-2) {
		if w.col >= m.to {
			break
		}
		if c := b.chordAt(m, ms, w.col); c != nil {
			f(w, c)
		}
	}
}

// chordAt finds the chord whose numbers stand at a column, or one beside it.
func (b *builder) chordAt(m *barMusic, ms *score.Measure, col int) *score.Chord {
	best, dist := -1, 2
	for i, g := range m.groups {
		d := 0
		if col < g.col {
			d = g.col - col
		} else if col >= g.end {
			d = col - g.end + 1
		}
		if d < dist || d == dist-1 && best < 0 {
			best, dist = i, d
		}
	}
	if best < 0 {
		return nil
	}
	for c := range ms.Chords() {
		if c.Src != 0 {
			if r := b.nodes[c.Src-1]; r.kind == nodeChord && int(r.sign) == best {
				return c
			}
		}
	}
	return nil
}

// named reads a row whose name says what it holds.
func (b *builder) named(a *attached, shift int, m *barMusic, ms *score.Measure) {
	b.eachWord(a, m, ms, func(w word, c *score.Chord) {
		parts := strings.Split(w.text, ",")
		notes := byString(c.Notes)
		for i, text := range parts {
			text = labelText(text)
			if len(parts) == 1 && a.name == namedSigns {
				for _, sign := range strings.Split(text, "+") {
					if t, ok := signNamed(sign); ok {
						addAll(c, t)
					} else {
						b.reportOnce(score.Warning, "tab-unknown-sign", sign, b.lay.src.at(a.line, w.col+shift),
							"the sign "+strconv.Quote(sign)+" is not known; it stays where it is and has no effect", "")
					}
				}
				continue
			}
			if i >= len(notes) || text == "" || text == "." {
				continue
			}
			n := notes[i]
			switch a.name {
			case namedFingers:
				f := fingerNamed(text)
				if f == score.NoFinger || n.Finger != score.NoFinger {
					b.noEffect(a.line, w.col+shift, "the finger "+strconv.Quote(text)+" is not known, or is the second of its note")
					continue
				}
				n.Finger = f
			case namedPluck:
				if n.Pluck != "" {
					b.noEffect(a.line, w.col+shift, "a second finger of the picking hand for a note")
					continue
				}
				n.Pluck = text
			case namedSigns:
			default:
				if slices.ContainsFunc(n.Annotations, func(o score.Annotation) bool { return o.Kind == a.name }) {
					b.noEffect(a.line, w.col+shift, "a second label of one kind for a note ("+text+")")
					continue
				}
				n.Annotations = append(n.Annotations, score.Annotation{Kind: a.name, Text: text})
			}
		}
	})
}

// signNames are the words of the row of signs, for marks that have no sign of
// their own in tab. The words are the trade's, shortened; the row is ours.
var signNames = []struct {
	text string
	mark score.Mark
}{
	{">", score.Accent}, {"^^", score.StrongAccent}, {"soft", score.SoftAccent}, {"stacc", score.Staccato}, {"stacc!", score.Staccatissimo},
	{"spicc", score.Spiccato}, {"ten", score.Tenuto}, {"port", score.DetachedLegato}, {"stress", score.Stress}, {"unstress", score.Unstress},
	{"breath", score.BreathMark}, {"caesura", score.Caesura}, {"snap", score.SnapPizzicato}, {"nail", score.Fingernails},
	{"stop", score.Stopped}, {"half-mute", score.HalfMuted}, {"ferm", score.Fermata}, {"slap", score.Slap}, {"pop", score.Pop}, {"rake", score.Rake},
	{"dive", score.BarDive}, {"thumb", score.ThumbOver}, {"open", score.OpenString}, {"golpe", score.Golpe}, {"roll-up", score.ArpeggioUp},
	{"roll-down", score.ArpeggioDown}, {"double-tongue", score.DoubleTongue}, {"triple-tongue", score.TripleTongue}, {"heel", score.Heel}, {"toe", score.Toe},
	{"flip", score.Flip}, {"smear", score.Smear}, {"open-wind", score.OpenWind}, {"brass-bend", score.BrassBend},
	{"pm", score.PalmMuted}, {"ring", score.LetRing}, {"v", score.DownStroke}, {"^", score.UpStroke}, {"tap-left", score.TapLeft}, {"held", score.Held},
}

func signNamed(s string) (score.Mark, bool) {
	for _, n := range signNames {
		if n.text == s {
			return n.mark, true
		}
	}
	return 0, false
}

func signName(m score.Mark) string {
	for _, n := range signNames {
		if n.mark == m {
			return n.text
		}
	}
	return ""
}

const fingerLetters = ".1234T0"

func fingerNamed(s string) score.Finger {
	if i := strings.Index(fingerLetters, s); i > 0 && len(s) == 1 {
		return score.Finger(i)
	}
	return score.NoFinger
}
