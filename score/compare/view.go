package compare

import (
	"cmp"
	"hash/maphash"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A view is a score as it is compared.
type view struct {
	score *score.Score
	parts []*partView
}

// A partView is a part as it is compared.
type partView struct {
	part  *score.Part
	index int // in the score, from 1
	beats []score.Quarters
	bars  []*barView
	neck  bool
}

func (p *partView) name() string {
	if p.part.Name != "" {
		return strings.Join(strings.Fields(p.part.Name), " ")
	}
	return "part " + strconv.Itoa(p.index)
}

func (p *partView) bar(i int) *barView {
	if i < len(p.bars) {
		return p.bars[i]
	}
	return nil
}

// A barView is a measure as it is compared.
type barView struct {
	measure *score.Measure
	tones   []*tone
	chords  []*score.Harmony
	states  []score.Event // keys, metres, tempos and necks that begin
	signs   []sign        // repeats, endings, bar lines, words
	print   print
}

// A tone is a note as it is compared.
type tone struct {
	note    *score.Note
	at      score.Quarters
	dur     score.Quarters // as far as both formats can tell
	grace   score.Grace
	voice   int
	techs   []string // sorted
	dead    bool
	detune  score.Quarters
	offNeck bool // the other side has no places
	up      int  // semitones from the pitch to the sound that is compared
	tied    bool // held from the note before
}

// maxVoices is more than the voices of a staff.
const maxVoices = 1000

// A sign is something at a time that is there or not.
type sign struct {
	aspect Aspect
	at     score.Quarters
	text   string
	src    score.Handle
}

// view makes the view of a score, without what cannot be compared.
func (c *comparison) view(s *score.Score) *view {
	v := &view{score: s}
	for i, p := range s.Parts {
		pv := &partView{part: p, index: i + 1, beats: p.BeatLengths(), neck: p.Fretted()}
		if c.lacks.Unfretted && !pv.neck && (p.Staves > 1 || !pitched(p)) {
			continue
		}
		extents := covered(p, c.names)
		for k, m := range p.Measures {
			pv.bars = append(pv.bars, c.bar(m, k == len(p.Measures)-1, extents))
		}
		if c.lacks.OneLine {
			for _, b := range pv.bars {
				oneLine(b.tones)
			}
		}
		pv.ties()
		v.parts = append(v.parts, pv)
	}
	return v
}

// ties finds the ties that have both ends: a note of the same sound that
// begins, in the same bar or the next, where the first ends or is let go of
// for the next note. What has one end only holds nothing. A note that is tied
// on inside its bar is one with what follows, since the tie is there only
// because no note value is as long.
func (p *partView) ties() {
	type started struct {
		tone *tone
		bar  int
	}
	open := map[int]started{}
	for i, b := range p.bars {
		kept := b.tones[:0]
		for _, t := range b.tones {
			midi := t.note.Pitch.MIDI()
			from, tied := open[midi]
			if t.grace == score.NotGrace {
				delete(open, midi)
			}
			if t.grace != score.NotGrace || !tied || !t.note.TieStop || i-from.bar > 1 || i == from.bar && t.at.Less(from.tone.at.Add(from.tone.dur)) {
				kept = append(kept, t)
				from = started{t, i}
			} else if t.tied = true; i != from.bar || !slices.Equal(t.techs, from.tone.techs) && len(t.techs) > 0 {
				kept = append(kept, t)
				from = started{t, i}
			} else {
				from.tone.dur = t.at.Add(t.dur).Sub(from.tone.at)
			}
			if t.grace == score.NotGrace && t.note.TieStart {
				open[midi] = from
			}
		}
		b.tones = kept
	}
}

// pitched tells whether a part has notes that could be put on a neck.
func pitched(p *score.Part) bool {
	for n := range score.Notes(p) {
		if !n.Unpitched {
			return true
		}
	}
	return false
}

func (c *comparison) bar(m *score.Measure, last bool, extents map[*score.Note][]string) *barView {
	b := &barView{measure: m}
	for _, e := range m.Events {
		switch e := e.(type) {
		case *score.Chord:
			if e.Cue && c.lacks.Cues {
				continue
			}
			for _, n := range e.Notes {
				if n.Unpitched && c.lacks.Unfretted {
					continue
				}
				t := &tone{note: n, at: e.Onset, dur: e.Duration, grace: e.Grace, voice: e.Staff*maxVoices + e.Voice, dead: n.Has(score.Dead)}
				if t.grace != score.NotGrace && c.lacks.Cues {
					t.grace = score.Slashed
				}
				if !c.lacks.Microtones {
					t.detune = n.Detune
				}
				if c.lacks.OneLine && slices.ContainsFunc(b.tones, t.inTheWayOf) {
					continue
				}
				t.techs = c.techniques(n, extents[n])
				b.tones = append(b.tones, t)
			}
		case *score.Harmony:
			if k := len(b.chords); !c.lacks.OneLine || k == 0 || b.chords[k-1].Onset != e.Onset {
				b.chords = append(b.chords, e)
			}
		case *score.KeySignature:
			if !c.lacks.KeyWords || !e.Free && !e.NoKey {
				b.states = append(b.states, e)
			}
		case *score.TimeSignature, *score.Tempo, *score.NeckChange:
			b.states = append(b.states, e)
		case *score.Barline:
			b.signs = append(b.signs, c.barline(m, e, last)...)
		case *score.Words:
			if !c.lacks.Words {
				b.signs = append(b.signs, sign{Text, e.Onset, e.Kind + " " + strconv.Quote(e.Text), e.Src})
			}
		}
	}
	slices.SortStableFunc(b.tones, func(x, y *tone) int {
		return cmp.Or(x.at.Cmp(y.at), cmp.Compare(graceLast(y), graceLast(x)), cmp.Compare(x.note.Pitch.MIDI(), y.note.Pitch.MIDI()), cmp.Compare(x.note.Place.String, y.note.Place.String))
	})
	return b
}

// inTheWayOf tells whether two notes cannot stand in one line of time: they
// begin together on one string, or are one sound in two voices.
func (t *tone) inTheWayOf(o *tone) bool {
	if t.at != o.at || (t.grace != score.NotGrace) != (o.grace != score.NotGrace) || t.grace != score.NotGrace {
		return false
	}
	if p, q := t.note.Place, o.note.Place; !p.IsZero() && !q.IsZero() {
		return p.String == q.String
	}
	return t.note.Pitch.MIDI() == o.note.Pitch.MIDI()
}

// graceLast orders grace notes before the notes that they lead to.
func graceLast(t *tone) int {
	if t.grace != score.NotGrace {
		return 1
	}
	return 0
}

// oneLine cuts notes off where the next one begins.
func oneLine(tones []*tone) {
	var next score.Quarters
	known := false
	for i := len(tones) - 1; i >= 0; i-- {
		t := tones[i]
		if i+1 < len(tones) && t.at.Less(tones[i+1].at) {
			next, known = tones[i+1].at, true
		}
		if known && next.Sub(t.at).Less(t.dur) {
			t.dur = next.Sub(t.at)
		}
	}
	// What begins together lasts as long as the longest of it.
	for i := 0; i < len(tones); {
		k, longest := i, score.Quarters{}
		for ; k < len(tones) && tones[k].at == tones[i].at; k++ {
			if tones[k].grace == score.NotGrace && longest.Less(tones[k].dur) {
				longest = tones[k].dur
			}
		}
		for ; i < k; i++ {
			if tones[i].grace == score.NotGrace {
				tones[i].dur = longest
			}
		}
	}
}

// techniques lists the techniques of a note by name.
func (c *comparison) techniques(n *score.Note, extents []string) []string {
	list := slices.Clone(extents)
	for _, t := range n.Techniques {
		if c.cannot(t) {
			continue
		}
		if s, ok := t.(score.Span); ok {
			if s.End == score.Start && !extends(s.Kind) {
				list = append(list, c.names.spans[s.Kind])
			}
			continue
		}
		list = append(list, c.names.techniqueName(c.plainer(t)))
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// plainer leaves out of a technique what one of the formats does not say.
func (c *comparison) plainer(t score.Technique) score.Technique {
	if !c.lacks.Details {
		return t
	}
	switch t := t.(type) {
	case score.Trill:
		return score.Trill{}
	case score.Harmonic:
		if t.Kind != score.NaturalHarmonic {
			t.Kind = score.ArtificialHarmonic
		}
		t.Touch = 0
		return t
	}
	return t
}

// cannot tells whether one of the formats has no sign for a technique.
func (c *comparison) cannot(t score.Technique) bool {
	return slices.ContainsFunc(c.lacks.Techniques, func(no score.Technique) bool {
		switch no := no.(type) {
		case score.Mark:
			return t == score.Technique(no)
		case score.Span:
			s, ok := t.(score.Span)
			return ok && s.Kind == no.Kind
		case score.Bend:
			b, ok := t.(score.Bend)
			return ok && (b.WithBar || b.Amount.Sign() <= 0) == no.WithBar
		}
		return false
	})
}

// covered finds the notes under each extent, from the one on which it starts
// to the one on which it stops, whatever voice they are in.
func covered(p *score.Part, n *names) map[*score.Note][]string {
	type running struct {
		kind score.SpanKind
		id   int
	}
	stops := map[running]bool{}
	for note := range score.Notes(p) {
		for _, t := range note.Techniques {
			if s, ok := t.(score.Span); ok && s.End == score.Stop && extends(s.Kind) {
				stops[running{s.Kind, s.ID}] = true
			}
		}
	}
	list := map[*score.Note][]string{}
	var open []running
	for _, m := range p.Measures {
		for c := range m.Chords() {
			var closing []running
			for _, note := range c.Notes {
				for _, t := range note.Techniques {
					s, ok := t.(score.Span)
					if !ok || !extends(s.Kind) {
						continue
					}
					r := running{s.Kind, s.ID}
					if s.End == score.Start && stops[r] && !slices.Contains(open, r) {
						open = append(open, r)
					} else if s.End == score.Stop {
						closing = append(closing, r)
					}
				}
			}
			for _, note := range c.Notes {
				for _, r := range open {
					list[note] = append(list[note], n.spans[r.kind])
				}
			}
			open = slices.DeleteFunc(open, func(r running) bool { return slices.Contains(closing, r) })
		}
	}
	return list
}

// barline lists what a bar line says. How the line looks that ends the music
// says nothing.
func (c *comparison) barline(m *score.Measure, e *score.Barline, last bool) []sign {
	var list []sign
	add := func(text string) { list = append(list, sign{Repeats, e.Onset, text, e.Src}) }
	switch e.Repeat {
	case score.Forward:
		add("repeat begins")
	case score.Backward:
		text := "repeat ends"
		if e.Times > 0 && e.Times != 2 {
			text += ", " + strconv.Itoa(e.Times) + " times in all"
		}
		add(text)
	default:
		style := e.Style
		if last && e.Onset == m.Length {
			style = ""
		}
		if c.lacks.BarStyles {
			switch style {
			case "light-light", "light-heavy", "heavy-heavy", "heavy-light":
				style = "double"
			default:
				style = ""
			}
			if e.Onset != m.Length {
				style = ""
			}
		}
		if style != "" && style != "regular" {
			add(style + " bar line")
		}
	}
	switch e.EndingType {
	case "start":
		add("ending " + e.Ending + " begins")
	case "stop":
		add("ending " + e.Ending + " ends")
	case "discontinue":
		add("ending " + e.Ending + " ends without a closing line")
	}
	return list
}

// moment names a time in a part.
func (v *view) moment(p *partView, measure int, onset score.Quarters, src score.Handle) *Moment {
	if len(p.bars) == 0 {
		return &Moment{}
	}
	if src == 0 {
		src = p.part.Measures[measure].Src
	}
	return &Moment{Measure: measure, Bar: p.part.BarName(measure), Onset: onset, Beat: score.BeatName(onset, p.beats[measure]), Pos: v.score.PosOf(src)}
}

// A print is what of a bar can be compared fast: hashes of its notes at
// several degrees of likeness, sorted, and of all else.
type print struct {
	whole  []uint64 // all that is compared of each note
	heard  []uint64 // time and pitch
	begins []uint64 // time
	sounds []uint64 // pitch
	rest   []uint64 // what is no note
}

// sharpen makes the prints of two parts, as far as both say things.
func (p *partView) sharpen(q *partView) {
	places := p.hasPlaces() && q.hasPlaces()
	if !places {
		p.offNeck()
		q.offNeck()
	}
	seed := maphash.MakeSeed()
	for _, side := range []*partView{p, q} {
		for _, b := range side.bars {
			b.print = printOf(b, seed, places)
		}
	}
}

// offNeck leaves out what means something on the neck only: a harmonic becomes
// its sound.
func (p *partView) offNeck() {
	for _, b := range p.bars {
		for _, t := range b.tones {
			t.offNeck = true
			h, ok := t.note.Harmonic()
			if ok {
				t.up = h.Over
			}
			t.techs = slices.DeleteFunc(slices.Clone(t.techs), func(s string) bool { return strings.Contains(s, "harmonic") || s == "open string" })
			if ok {
				t.techs = append(t.techs, "harmonic")
				slices.Sort(t.techs)
			}
		}
	}
}

func (p *partView) hasPlaces() bool {
	for _, b := range p.bars {
		for _, t := range b.tones {
			if !t.note.Place.IsZero() {
				return true
			}
		}
	}
	return false
}

type (
	timed struct {
		at    score.Quarters
		grace score.Grace
	}
	heard struct {
		timed
		midi   int
		detune score.Quarters
	}
	whole struct {
		heard
		dur   score.Quarters
		tied  bool
		place fretboard.Place
		techs string
		finger,
		labels string
	}
)

func printOf(b *barView, seed maphash.Seed, places bool) print {
	var p print
	for _, t := range b.tones {
		k := whole{heard: heard{timed{t.at, t.grace}, t.midi(), t.detune}, dur: t.dur, tied: t.tied, labels: labelNames(t.note)}
		if places {
			k.place, k.finger = t.place(), fingerName(t.note)
		}
		for _, s := range t.techs {
			k.techs += s + ";"
		}
		p.whole = append(p.whole, maphash.Comparable(seed, k))
		p.heard = append(p.heard, maphash.Comparable(seed, k.heard))
		p.begins = append(p.begins, maphash.Comparable(seed, k.timed))
		p.sounds = append(p.sounds, maphash.Comparable(seed, k.midi))
	}
	for _, h := range b.chords {
		p.rest = append(p.rest, maphash.Comparable(seed, h.Chord.String()))
	}
	for _, s := range b.signs {
		p.rest = append(p.rest, maphash.Comparable(seed, s.text))
	}
	p.rest = append(p.rest, maphash.Comparable(seed, b.measure.Length))
	for _, list := range [][]uint64{p.whole, p.heard, p.begins, p.sounds, p.rest} {
		slices.Sort(list)
	}
	return p
}

// midi is what the note sounds as it is compared: a dead one sounds nothing
// but its string.
func (t *tone) midi() int {
	if t.dead && !t.note.Place.IsZero() {
		return -t.note.Place.String
	}
	return t.note.Pitch.MIDI() + t.up
}

func (t *tone) place() fretboard.Place {
	if t.offNeck {
		return fretboard.Place{}
	}
	if t.dead {
		return fretboard.Place{String: t.note.Place.String}
	}
	return t.note.Place
}

// distance tells how unlike two bars are in all parts together: 0 if nothing
// differs that a print shows, below 2 in any case, so that a bar is rather
// taken for a changed one than for one removed and one added.
func distance(parts []partCouple, i, j int) float64 {
	sum, weight := 0.0, 0.0
	for _, p := range parts {
		x, y := p.a.bar(i), p.b.bar(j)
		if x == nil && y == nil {
			continue
		}
		if x == nil || y == nil {
			sum, weight = sum+1, weight+1
			continue
		}
		a, b := x.print, y.print
		w := float64(max(len(a.whole), len(b.whole)) + 1)
		d := 0.85*(0.4*unlike(a.whole, b.whole)+0.25*unlike(a.heard, b.heard)+0.15*unlike(a.begins, b.begins)+0.2*unlike(a.sounds, b.sounds)) + 0.15*unlike(a.rest, b.rest)
		sum, weight = sum+w*d, weight+w
	}
	if weight == 0 {
		return 0
	}
	return 1.95 * sum / weight
}

// unlike tells which share of two sorted lists is not in both: 0 for equal
// ones, 1 for those that have nothing in common.
func unlike(a, b []uint64) float64 {
	if len(a) == 0 && len(b) == 0 {
		return 0
	}
	common := 0
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch cmp.Compare(a[i], b[j]) {
		case -1:
			i++
		case 1:
			j++
		default:
			common, i, j = common+1, i+1, j+1
		}
	}
	return 1 - 2*float64(common)/float64(len(a)+len(b))
}
