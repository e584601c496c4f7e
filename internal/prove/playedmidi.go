package prove

import (
	"fmt"
	"math"
	"slices"

	"example.org/lickwright/score"
)

// A Proof is what was found in a file that is not read as music.
type Proof struct {
	Notes    int // that were compared
	Faults   []Fault
	Unproved []string // what the check cannot judge
}

// PlayedMIDI proves a Standard MIDI File from its bytes: its form, and that it
// plays the versions that it is said to hold, one after the other: every note
// at its time, with its pitch, bent as far as it is, for as long as it is
// written or until its string (its channel) is struck again. Count-ins, clicks,
// held chords, rounds and swing are taken as they come: music may begin later,
// be played again, and what stands half way between two quarters may come late,
// by the same share throughout.
func PlayedMIDI(data []byte, versions []Version) Proof {
	f, wrong := readMIDIFile(data)
	p := Proof{Faults: wrongForm(wrong)}
	if len(wrong) > 0 {
		return p
	}
	if len(versions) == 0 {
		p.Unproved = append(p.Unproved, "what music it plays, since nothing says of what music it is made")
		return p
	}
	begins := f.sections(versions)
	if begins == nil {
		p.Faults = append(p.Faults, Fault{Kind: Moved, Msg: "its markers are not the headings that it is said to have"})
		return p
	}
	for i, v := range versions {
		from, to := begins[i], f.end+1
		if i+1 < len(versions) {
			to = begins[i+1]
		}
		f.version(v, from, to, &p)
	}
	return p
}

// sections returns at what tick each version begins, nil if that cannot be told.
func (f midiFile) sections(versions []Version) []int64 {
	if len(versions) == 1 {
		return []int64{0}
	}
	begins := make([]int64, 0, len(versions))
	markers := f.markers
	for i, v := range versions {
		k := slices.IndexFunc(markers, func(m midiMarker) bool { return m.text == v.Heading })
		if k < 0 || i == 0 && markers[k].at != 0 {
			return nil
		}
		at := markers[k].at
		if i > 0 {
			at += int64(math.Round(upbeat(v.Of) * float64(f.division)))
		}
		begins = append(begins, at)
		markers = markers[k+1:]
	}
	return begins
}

// upbeat returns where the grace notes before the first note of music begin, 0
// if there are none.
func upbeat(s *score.Score) float64 {
	first := 0.0
	for _, p := range s.Parts {
		if len(p.Measures) > 0 {
			for _, d := range dues(p, []barTime{{}}) {
				first = min(first, d.on)
			}
		}
	}
	return first
}

// version proves the notes of one version, between two ticks.
func (f midiFile) version(v Version, from, to int64, p *Proof) {
	var parts []*score.Part
	for _, q := range v.Of.Parts {
		if len(q.Measures) > 0 {
			parts = append(parts, q)
		}
	}
	fail := func(kind Kind, format string, args ...any) {
		p.Faults = append(p.Faults, Fault{Kind: kind, Msg: prefixed(v.Heading, fmt.Sprintf(format, args...))})
	}
	if len(parts) == 0 {
		fail(Unknown, "what it is made of has no bars")
		return
	}
	bars, lasts, ok := playedBars(parts)
	if !ok {
		p.Unproved = append(p.Unproved, prefixed(v.Heading, "the order in which its bars are played, since endings or words say it"))
		return
	}
	var heard [][]due
	tracks := map[string]int{} // parts of one name and as many strings share one
	for _, q := range parts {
		list := dues(q, bars)
		if len(list) == 0 {
			continue
		}
		neck, _ := neckBegins(q)
		name := fmt.Sprintf("%d %s", len(neck.Tuning.Strings), q.Name)
		if i, shared := tracks[name]; shared {
			heard[i] = append(heard[i], list...)
			inTime(heard[i])
			continue
		}
		tracks[name] = len(heard)
		heard = append(heard, list)
	}
	var played [][]midiNote
	var wheels [][]midiWheel
	for _, t := range f.parts() {
		var notes []midiNote
		for _, n := range t.notes {
			if from <= n.on && n.on < to {
				notes = append(notes, n)
			}
		}
		if len(notes) > 0 {
			played, wheels = append(played, notes), append(wheels, t.wheels)
		}
	}
	if len(heard) != len(played) {
		fail(Moved, "it plays %s, and what it is made of has %d", count(len(played), "part"), len(heard))
		return
	}
	for i := range heard {
		m := &midiMatch{file: &f, version: v, due: heard[i], notes: played[i], wheels: wheels[i], from: from, lasts: lasts, proof: p}
		m.run()
	}
}

func prefixed(heading, text string) string {
	if heading == "" {
		return text
	}
	return heading + ": " + text
}

// A midiMatch compares what a part is to play with what its track plays.
type midiMatch struct {
	file    *midiFile
	version Version
	due     []due
	notes   []midiNote
	wheels  []midiWheel
	from    int64   // the tick at which the version begins
	lasts   float64 // quarter notes that a round takes
	proof   *Proof

	by    int     // semitones that it is moved by
	swing float64 // where the second half of a quarter begins
	// early are the grace notes for which there is no time, since nothing comes
	// before the music: they may be heard with its first note, or not at all.
	early []due
}

// run compares round by round.
func (m *midiMatch) run() {
	m.swing = 0.5
	first := m.due[0]
	if first.on < 0 && m.notes[0].on == m.from {
		k := slices.IndexFunc(m.due, func(d due) bool { return d.on >= 0 })
		if k < 0 {
			return
		}
		m.early = m.due[:k]
		first = m.due[k]
	}
	begin := m.quarters(m.notes[0].on) - first.on
	if first.half { // it may be late itself: then nothing else says where the quarter is
		begin = math.Floor(begin + nearly)
		m.swing = m.quarters(m.notes[0].on) - begin - math.Floor(first.on)
		if m.swing < 0.5-nearly || m.swing >= 0.75 {
			begin, m.swing = m.quarters(m.notes[0].on)-first.on, 0.5
		}
	}
	if m.early != nil {
		begin = m.quarters(m.from)
	}
	if begin < m.quarters(m.from)-nearly {
		m.proof.Faults = append(m.proof.Faults, first.fault(Duration, m.version.Heading, "it begins before its time"))
		return
	}
	m.findSwing(begin)
	m.findInterval(begin)
	rest := m.notes
	for round := 0; len(rest) > 0; round++ {
		n, ok := m.round(rest, begin+float64(round)*m.lasts)
		if !ok {
			return
		}
		rest = rest[n:]
	}
}

func (m *midiMatch) quarters(tick int64) float64 { return float64(tick) / float64(m.file.division) }

// when returns when a note that is due is to begin, from the beginning of the
// round.
func (m *midiMatch) when(d due) float64 {
	if d.half {
		return d.on - 0.5 + m.swing
	}
	return d.on
}

// same tells whether two times are one tick, or one apart, as where a division
// does not hold them.
func (m *midiMatch) same(a, b float64) bool {
	return math.Abs(a-b) <= 1.01/float64(m.file.division)
}

// findSwing finds where the second half of a quarter begins: at the first note
// that is late.
func (m *midiMatch) findSwing(begin float64) {
	if m.swing != 0.5 {
		return
	}
	at := func(q float64) bool {
		return slices.ContainsFunc(m.notes, func(n midiNote) bool { return m.same(m.quarters(n.on), q) })
	}
	for _, d := range m.due {
		if !d.half || at(begin+d.on) {
			continue
		}
		for _, n := range m.notes {
			if late := m.quarters(n.on) - begin - d.on; late > nearly && late < 0.25 {
				m.swing = 0.5 + late
				return
			}
		}
	}
}

// findInterval finds by how many semitones most of the music is moved.
func (m *midiMatch) findInterval(begin float64) {
	most := -1
	for _, by := range m.version.offsets() {
		same, k := 0, 0
		for _, d := range m.due {
			for k < len(m.notes) && m.quarters(m.notes[k].on) < begin+m.when(d)-nearly {
				k++
			}
			for j := k; j < len(m.notes) && m.same(m.quarters(m.notes[j].on), begin+m.when(d)); j++ {
				if m.version.fits(d.key, m.notes[j].key, by) {
					same++
					break
				}
			}
		}
		if same > most {
			m.by, most = by, same
		}
	}
}

// round compares what is due with what is played from a time on, and returns
// how many notes that were. ok is false if it makes no sense to go on.
func (m *midiMatch) round(notes []midiNote, begin float64) (n int, ok bool) {
	var again []due // what is struck again and again still
	first := 0
	if near(begin, m.quarters(m.from)) {
		first = len(m.early)
	}
	for i := first; i < len(m.due); {
		at := begin + m.when(m.due[i])
		j := i + 1
		for j < len(m.due) && m.same(begin+m.when(m.due[j]), at) {
			j++
		}
		group := m.due[i:j]
		for n < len(notes) && m.quarters(notes[n].on) < at && !m.same(m.quarters(notes[n].on), at) {
			if len(again) == 0 && !m.isEarly(notes[n]) {
				m.proof.Faults = append(m.proof.Faults, group[0].fault(Duration, m.version.Heading, "key %d is struck before it, where nothing is to be struck", notes[n].key))
				return n, false
			}
			n++
		}
		again = slices.DeleteFunc(again, func(d due) bool { return begin+d.off <= at+nearly })
		from := n
		for n < len(notes) && m.same(m.quarters(notes[n].on), at) {
			n++
		}
		if !m.group(group, notes[from:n], begin, len(again) > 0) {
			return n, false
		}
		for _, d := range group {
			if d.again {
				again = append(again, d)
			}
		}
		i = j
	}
	for n < len(notes) && len(again) > 0 && m.quarters(notes[n].on) < begin+m.lasts-nearly {
		n++
	}
	return n, true
}

// isEarly tells whether a note is one of the grace notes for which there was no
// time.
func (m *midiMatch) isEarly(n midiNote) bool {
	return m.quarters(n.on-m.from) < graceQuarters && slices.ContainsFunc(m.early, func(d due) bool { return m.version.fits(d.key, n.key, m.by) })
}

// group compares what is struck at one time.
func (m *midiMatch) group(want []due, have []midiNote, begin float64, more bool) bool {
	v := m.version
	first := want[0]
	m.proof.Notes += len(want)
	if len(have) == 0 {
		m.proof.Faults = append(m.proof.Faults, first.fault(Duration, v.Heading, "nothing is struck at its time"))
		return false
	}
	used := make([]bool, len(have))
	for _, d := range want {
		k := slices.IndexFunc(have, func(n midiNote) bool { return v.fits(d.key, n.key, m.by) })
		best := -1
		for j, n := range have { // one that is as long, and not taken yet, if it can be
			if v.fits(d.key, n.key, m.by) && (best < 0 || used[best] && !used[j] || used[best] == used[j] && !m.lasting(d, have[best], begin) && m.lasting(d, n, begin)) {
				best = j
			}
		}
		if k < 0 {
			m.proof.Faults = append(m.proof.Faults, first.fault(Moved, v.Heading, "%s is not played, moved by %s", where(d.note), count(m.by, "semitone")))
			continue
		}
		used[best] = true
		switch n := have[best]; {
		case !m.lasting(d, n, begin) && !slices.ContainsFunc(want, func(o due) bool { // of two voices in unison the longer sounds
			return v.fits(o.key, n.key, m.by) && o.off > d.off && m.lasting(o, n, begin)
		}):
			m.proof.Faults = append(m.proof.Faults, d.fault(Duration, v.Heading, "%s sounds for %.3g quarter notes in place of %.3g", where(d.note), m.quarters(n.off-n.on), d.off-d.on))
		case d.bend > 0 && !d.again && math.Abs(m.bent(n)-d.bend) > bendTolerance:
			m.proof.Faults = append(m.proof.Faults, d.fault(Technique, v.Heading, "%s is bent by %.2g semitones in place of %.2g", where(d.note), m.bent(n), d.bend))
		}
	}
	for j, n := range have {
		if !used[j] && !more && !m.isEarly(n) {
			m.proof.Faults = append(m.proof.Faults, first.fault(Moved, v.Heading, "key %d is played as well", n.key))
		}
	}
	return true
}

// bendTolerance is how far the wheel may be from what is written, in semitones:
// a vibrato moves it too.
const bendTolerance = 0.8

// bent returns how far the wheel is turned up at most while a note sounds.
func (m *midiMatch) bent(n midiNote) float64 {
	most, before := math.Inf(-1), 0.0
	for _, w := range m.wheels {
		switch {
		case w.channel != n.channel || w.at >= n.off:
		case w.at <= n.on:
			before = w.semitones
		default:
			most = max(most, w.semitones)
		}
	}
	return max(most, before)
}

// lasting tells whether a note sounds as long as it should: as written, or
// until its string is struck again.
func (m *midiMatch) lasting(d due, n midiNote, begin float64) bool {
	off, end := m.quarters(n.off), begin+d.off
	cut := slices.ContainsFunc(m.notes, func(o midiNote) bool { return o.channel == n.channel && o.on == n.off })
	switch {
	case d.again || d.ring:
		return true
	case d.short:
		return off <= end+1.01/float64(m.file.division) || m.late(off, end)
	case m.same(off, end), m.late(off, end):
		return true
	}
	return cut && off < end
}

// late tells whether a time is one in the middle of a quarter that swing moved.
func (m *midiMatch) late(at, written float64) bool {
	return m.swing != 0.5 && m.same(at, written-0.5+m.swing)
}
