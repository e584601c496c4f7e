package compare

import (
	"cmp"
	"slices"
	"strconv"

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
	if name := p.part.SpokenName(); name != "" {
		return name
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
	// then are the places of the notes of this sound that are one with it by
	// ties, where it does not stay at its place; zero for one without a place.
	then []fretboard.Place
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
				if t.note.Place != from.tone.lastPlace() {
					from.tone.then = append(from.tone.then, t.note.Place)
				}
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

// midi is what the note sounds as it is compared: a dead one sounds nothing
// but its string.
func (t *tone) midi() int {
	if t.dead && !t.note.Place.IsZero() {
		return -t.note.Place.String
	}
	return t.note.Pitch.MIDI() + t.up
}

// lastPlace is where a note is held at its end.
func (t *tone) lastPlace() fretboard.Place {
	if k := len(t.then); k > 0 {
		return t.then[k-1]
	}
	return t.note.Place
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
