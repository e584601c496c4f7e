package midi

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// Programs of General MIDI 1, counted from 0.
const (
	steelGuitar = 25
	nylonGuitar = 24
	fingerBass  = 33
)

// program is the instrument of a part: a bass if its first string lies below
// C3, else a guitar.
func program(n fretboard.Neck, fretted bool) uint8 {
	if fretted && n.Tuning.Open(1).MIDI() < 48 {
		return fingerBass
	}
	return steelGuitar
}

const (
	maxDivision = 32767 // SMF 1.0: 15 bits
	minDivision = 480   // so that curves are smooth
	percussion  = 9     // channel 10
)

// A clock turns times into ticks.
type clock struct{ division int64 }

// newClock finds the division: the least common multiple of the denominators of
// all times, and as many times of it as make it minDivision or more. exact is
// false if it would be beyond maxDivision.
func newClock(times []score.Quarters) (c clock, exact bool) {
	lcm := int64(1)
	for _, t := range times {
		d := t.Den()
		if d <= 0 || d > maxDivision {
			return clock{roundDivision}, false
		}
		a, b := lcm, d
		for b != 0 {
			a, b = b, a%b
		}
		if lcm = lcm / a * d; lcm > maxDivision {
			return clock{roundDivision}, false
		}
	}
	n := (minDivision + lcm - 1) / lcm
	if n*lcm > maxDivision {
		n = 1
	}
	return clock{n * lcm}, true
}

// roundDivision is the division of music whose times no division holds: it has
// all divisors to 16 but 13.
const roundDivision = 27720

func (c clock) ticks(q score.Quarters) int64 {
	t := q.Mul(score.Q(c.division, 1))
	if t.Den() == 1 {
		return t.Num()
	}
	return int64(math.Round(q.Float() * float64(c.division)))
}

// A message is an event with its tick. At one tick notes end first, then come
// settings, then bends, then notes begin.
type message struct {
	tick int64
	rank int
	data []byte
}

const (
	rankEnd = iota
	rankSetting
	rankBend
	rankBegin
)

type track []message

func (t *track) add(tick int64, rank int, data []byte) { *t = append(*t, message{tick, rank, data}) }

// closed gives a track of the file, which ends with the music.
func (t track) closed(end int64) smf.Track {
	slices.SortStableFunc(t, func(a, b message) int { return cmp.Or(cmp.Compare(a.tick, b.tick), a.rank-b.rank) })
	var out smf.Track
	at := int64(0)
	for _, m := range t {
		out.Add(uint32(m.tick-at), m.data)
		at = m.tick
	}
	out.Close(uint32(max(0, end-at)))
	return out
}

// times lists all times that have to be exact.
func (p *performance) times() []score.Quarters {
	out := []score.Quarters{p.end}
	for _, q := range p.parts {
		for _, s := range q.notes {
			out = append(out, s.on, s.off)
		}
		for _, l := range q.lyrics {
			out = append(out, l.at)
		}
	}
	for _, s := range p.chords {
		out = append(out, s.on, s.off)
	}
	for _, s := range p.clicks {
		out = append(out, s.on, s.off)
	}
	for _, c := range p.moment {
		out = append(out, c.at)
	}
	return out
}

// file makes the tracks.
func (p *performance) file(title string) (*smf.SMF, error) {
	clock, exact := newClock(p.times())
	if !exact && p.opt.Report != nil {
		p.opt.Report(score.Diagnostic{Severity: score.Warning, Code: "midi-rounded",
			Msg: "no division of MIDI holds all times of the music: they are rounded to " + strconv.Itoa(roundDivision) + " parts of a quarter note"})
	}
	end := clock.ticks(p.end)
	f := smf.NewSMF1()
	f.TimeFormat = smf.MetricTicks(clock.division)
	tracks := []smf.Track{p.conductor(clock, title).closed(end)}
	free := freeChannels(len(p.chords) > 0)
	for _, q := range p.parts {
		tracks = append(tracks, p.partTrack(q, clock, &free).closed(end))
	}
	if len(p.clicks) > 0 {
		var t track
		t.add(0, rankSetting, smf.MetaTrackSequenceName("Click"))
		for i := range p.clicks {
			s := &p.clicks[i]
			t.add(clock.ticks(s.on), rankBegin, gomidi.NoteOn(percussion, uint8(s.key), uint8(s.velocity)))
			t.add(clock.ticks(s.off), rankEnd, gomidi.NoteOff(percussion, uint8(s.key)))
		}
		tracks = append(tracks, t.closed(end))
	}
	if len(p.chords) > 0 {
		var t track
		t.add(0, rankSetting, smf.MetaTrackSequenceName("Chords"))
		t.add(0, rankSetting, gomidi.ProgramChange(chordChannel, nylonGuitar))
		for _, s := range apart(p.chords, 1) {
			t.add(clock.ticks(s.on), rankBegin, gomidi.NoteOn(chordChannel, uint8(s.key), uint8(s.velocity)))
			t.add(clock.ticks(s.off), rankEnd, gomidi.NoteOff(chordChannel, uint8(s.key)))
		}
		tracks = append(tracks, t.closed(end))
	}
	for _, t := range tracks {
		if err := f.Add(t); err != nil {
			return nil, err
		}
	}
	return f, nil
}

const chordChannel = 15

// freeChannels lists the channels for strings.
func freeChannels(chords bool) []uint8 {
	var out []uint8
	for c := uint8(0); c < 16; c++ {
		if c != percussion && !(chords && c == chordChannel) {
			out = append(out, c)
		}
	}
	return out
}

// conductor is the track of what holds for all parts.
func (p *performance) conductor(c clock, title string) track {
	var t track
	if title != "" {
		t.add(0, rankSetting, smf.MetaTrackSequenceName(title))
	}
	for _, r := range p.opt.Remarks {
		t.add(0, rankSetting, smf.MetaText(r))
	}
	var tempo float64
	metre, key := "", ""
	for _, m := range p.moment {
		at := c.ticks(m.at)
		switch e := m.event.(type) {
		case *score.Tempo:
			if e.QuartersPerMinute != tempo {
				t.add(at, rankSetting, smf.MetaTempo(e.QuartersPerMinute))
			}
			tempo = e.QuartersPerMinute
		case *score.TimeSignature:
			num, den := metreNumbers(e)
			if s := strconv.Itoa(num) + "/" + strconv.Itoa(den); num > 0 && s != metre {
				metre = s
				clocks := 96 / den // MIDI clocks, 24 to a quarter, for a click
				if first := beats(e, e.Length); len(first) > 1 {
					clocks = int(first[1].Mul(score.Q(24, 1)).Float())
				}
				t.add(at, rankSetting, smf.MetaTimeSig(uint8(num), uint8(den), uint8(max(1, clocks)), 8))
			}
		case *score.KeySignature:
			if e.Free || e.NoKey {
				continue
			}
			fifths := e.Key.Fifths()
			minor := e.Key.Mode.String() == "minor"
			if s := strconv.Itoa(fifths) + strconv.FormatBool(minor); s != key && fifths >= -7 && fifths <= 7 {
				key = s
				t.add(at, rankSetting, smf.MetaKey(0, !minor, uint8(max(fifths, -fifths)), fifths < 0))
			}
		}
	}
	for _, m := range p.marks {
		t.add(c.ticks(m.at), rankSetting, smf.MetaMarker(m.text))
	}
	return t
}

// metreNumbers gives a metre as one fraction; 0 if the format cannot say it.
func metreNumbers(t *score.TimeSignature) (num, den int) {
	for _, k := range t.BeatTypes {
		den = max(den, k)
	}
	if den == 0 {
		return 0, 0
	}
	n := t.Length.Mul(score.Q(int64(den), 4))
	if n.Den() != 1 || n.Num() < 1 || n.Num() > 255 || den > 128 {
		return 0, 0
	}
	return int(n.Num()), den
}

// partTrack writes a part, a channel for each of its strings as long as there
// are channels.
func (p *performance) partTrack(q *performed, c clock, free *[]uint8) track {
	var t track
	if q.name != "" {
		t.add(0, rankSetting, smf.MetaTrackSequenceName(q.name))
	}
	need := max(1, q.strings)
	var channels []uint8
	if len(*free) >= need {
		channels, *free = (*free)[:need:need], (*free)[need:]
	} else {
		if len(*free) > 0 {
			channels, *free = (*free)[:1:1], (*free)[1:]
		} else {
			channels = []uint8{14}
		}
		if need > 1 && p.opt.Report != nil {
			p.opt.Report(score.Diagnostic{Severity: score.Warning, Code: "midi-channels",
				Msg: "MIDI has no channels left for each string of the part " + strconv.Quote(q.name) + ": they share one, and a bend moves all of them"})
		}
	}
	for _, ch := range channels {
		t.add(0, rankSetting, gomidi.ProgramChange(ch, q.program))
		for _, cc := range [][2]uint8{{101, 0}, {100, 0}, {6, BendRange}, {38, 0}, {101, 127}, {100, 127}} { // registered parameter 0, then none
			t.add(0, rankSetting, gomidi.ControlChange(ch, cc[0], cc[1]))
		}
	}
	wheel := map[uint8]int16{}
	notes := apart(q.notes, len(channels))
	for _, s := range notes {
		ch := channels[s.slot%len(channels)]
		on, off := c.ticks(s.on), max(c.ticks(s.off), c.ticks(s.on)+1)
		s.bend(c, on, off, func(tick int64, value int16) {
			if wheel[ch] != value {
				wheel[ch] = value
				t.add(tick, rankBend, gomidi.Pitchbend(ch, value))
			}
		})
		t.add(on, rankBegin, gomidi.NoteOn(ch, uint8(s.key), uint8(s.velocity)))
		t.add(off, rankEnd, gomidi.NoteOff(ch, uint8(s.key)))
	}
	for _, l := range q.lyrics {
		t.add(c.ticks(l.at), rankSetting, smf.MetaLyric(l.text))
	}
	return t
}

// apart gives the notes in order of time, so that none begins on a channel while
// the same key sounds there: the one before ends, and of two that begin together the
// longer stays. Voices that share a channel meet so.
func apart(notes []*struck, channels int) []*struck {
	sorted := slices.Clone(notes)
	slices.SortStableFunc(sorted, func(a, b *struck) int { return a.on.Cmp(b.on) })
	sounding := map[[2]int]*struck{}
	var out []*struck
	for _, s := range sorted {
		if !s.on.Less(s.off) {
			continue
		}
		id := [2]int{s.slot % channels, s.key}
		if last := sounding[id]; last != nil && s.on.Less(last.off) {
			if last.on == s.on {
				if last.off.Less(s.off) {
					last.off = s.off
				}
				continue
			}
			last.off = s.on
		}
		sounding[id] = s
		out = append(out, s)
	}
	return out
}

// bendSteps is how often in a quarter note a curve is sampled.
const bendSteps = 48

// bend gives the positions of the pitch wheel while a note sounds.
func (s *struck) bend(c clock, on, off int64, put func(int64, int16)) {
	value := func(tick int64) int16 {
		semitones := s.detune
		at := float64(tick) / float64(c.division)
		for _, f := range s.curves {
			semitones += f(at)
		}
		v := math.Round(semitones / BendRange * 8192)
		return int16(math.Max(-8192, math.Min(8191, v)))
	}
	put(on, value(on))
	if len(s.curves) == 0 {
		return
	}
	step := max(1, c.division/bendSteps)
	for tick := on + step; tick < off; tick += step {
		put(tick, value(tick))
	}
	if off-1 > on {
		put(off-1, value(off-1))
	}
}
