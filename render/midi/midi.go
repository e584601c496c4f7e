package midi

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
)

// BendRange is how far the pitch wheel reaches in either direction, in
// semitones. The files say so themselves.
const BendRange = 12

// DefaultTempo is the speed of music that does not say its own, in quarter
// notes per minute.
const DefaultTempo = 96

// MaxLoop and MaxCountIn are how often music is repeated, and how many bars are
// counted in, at most.
const (
	MaxLoop    = 999
	MaxCountIn = 8
)

// Options say how music is played. The zero value plays it once, as it is
// written.
type Options struct {
	score.Sound
	// Remarks are kept as text in the file, a paragraph each.
	Remarks []string
	// Report is told what cannot be heard and what was decided. It may be nil.
	Report func(score.Diagnostic)
}

// A Piece is music under a heading of its own.
type Piece struct {
	Heading string // a marker in the file; "" for none
	Score   *score.Score
}

// Write writes a score as a Standard MIDI File, with the Sound of the options. It
// fails if w does, or with [score.Diagnostics] if nothing in the music can be played.
func Write(w io.Writer, s *score.Score, opt score.WriteOptions) error {
	return WriteAll(w, s.Title, []Piece{{Score: s}}, Options{Sound: opt.Sound, Report: opt.Report})
}

// WriteAll writes pieces one after the other into one file, each with its
// count-in. It fails as [Write] does.
func WriteAll(w io.Writer, title string, pieces []Piece, opt Options) error {
	p := &performance{opt: opt, said: map[string]bool{}}
	for _, piece := range pieces {
		p.piece(piece)
	}
	if len(p.parts) == 0 || p.end.IsZero() {
		return score.Diagnostics{{Severity: score.Error, Code: "midi-empty", Msg: "there is no music to be played", Hint: "give a file that has bars in it"}}
	}
	file, err := p.file(title)
	if err != nil {
		return err
	}
	var buf bytes.Buffer
	if _, err := file.WriteTo(&buf); err != nil {
		return fmt.Errorf("writing MIDI: %w", err)
	}
	_, err = w.Write(buf.Bytes())
	return err
}

// A performance is what is played, before it has ticks.
type performance struct {
	opt    Options
	parts  []*performed
	moment []change  // of tempo, metre and key
	clicks []struck  // slot 0
	chords []*struck // the backing
	marks  []text
	end    score.Quarters
	tempo  float64 // with which the piece begins, as written
	scale  float64 // how much faster it is played
	said   map[string]bool
}

// A performed part is the notes of one player; pieces that have a part of the
// same name and strings share it.
type performed struct {
	name    string
	strings int // 0 if it has no neck
	program uint8
	notes   []*struck
	lyrics  []text
}

// A text is words at a time.
type text struct {
	at   score.Quarters
	text string
}

// A change is one of tempo, metre or key, at a time.
type change struct {
	at    score.Quarters
	event score.Event
}

// report says each thing once.
func (p *performance) reporter(s *score.Score) func(score.Severity, string, score.Handle, string, string) {
	return func(sev score.Severity, code string, at score.Handle, msg, hint string) {
		if p.opt.Report == nil || p.said[code+msg] {
			return
		}
		p.said[code+msg] = true
		p.opt.Report(score.Diagnostic{Severity: sev, Code: code, Pos: s.PosOf(at), Msg: msg, Hint: hint})
	}
}

// piece plays a piece after what was played before it.
func (p *performance) piece(piece Piece) {
	s := piece.Score
	report := p.reporter(s)
	parts := slices.DeleteFunc(slices.Clone(s.Parts), func(q *score.Part) bool { return len(q.Measures) == 0 })
	if len(parts) == 0 {
		return
	}
	if piece.Heading != "" {
		p.marks = append(p.marks, text{p.end, piece.Heading})
	}
	groups := [][]*score.Part{parts}
	if !sameBars(parts) {
		groups = nil
		for _, q := range parts {
			groups = append(groups, []*score.Part{q})
		}
	}
	p.scale = 1
	if p.tempo = firstTempo(parts); p.tempo == 0 {
		p.tempo = DefaultTempo
	}
	if p.opt.Tempo > 0 {
		p.scale = p.opt.Tempo / p.tempo
	} else if firstTempo(parts) == 0 {
		report(score.Info, "midi-tempo", 0, "no tempo is said: "+strconv.Itoa(DefaultTempo)+" quarter notes per minute are played", "say it with --tempo, or in the music")
	}
	p.moment = append(p.moment, change{p.end, &score.Tempo{QuartersPerMinute: p.tempo * p.scale}})
	begin := p.end
	if p.opt.CountIn > 0 {
		begin = p.countIn(parts[0], begin)
	}
	end := begin
	for round := range max(1, p.opt.Loop) {
		at := end
		for g, group := range groups {
			visits, whole := p.visits(group, at)
			if !whole {
				report(score.Warning, "midi-repeats", 0, "the repeats lead back without end: "+strconv.Itoa(maxBars)+" bars are played", "correct the repeats and endings")
			}
			for _, q := range group {
				p.part(q, s, visits, report)
			}
			if last := visits[len(visits)-1]; end.Less(last.at.Add(last.length)) {
				end = last.at.Add(last.length)
			}
			if g == 0 { // the first parts say where we are
				p.changes(group[0], visits, round == 0)
				if p.opt.Click {
					for i := range visits {
						p.click(&visits[i])
					}
				}
			}
			if p.opt.Chords {
				p.backing(group, visits, report)
			}
		}
	}
	p.end = end
}

// sameBars tells whether all parts have the same bars, so that they are played
// in one order.
func sameBars(parts []*score.Part) bool {
	for _, q := range parts[1:] {
		if len(q.Measures) != len(parts[0].Measures) {
			return false
		}
	}
	return true
}

func firstTempo(parts []*score.Part) float64 {
	for _, q := range parts {
		for _, e := range q.Measures[0].Events {
			if t, ok := e.(*score.Tempo); ok && t.At().IsZero() && t.QuartersPerMinute > 0 {
				return t.QuartersPerMinute
			}
		}
	}
	return 0
}

// visits gives times to the bars of parts in the order in which they are
// played. Where parts differ in the length of a bar, the longest counts.
func (p *performance) visits(parts []*score.Part, at score.Quarters) (out []visit, whole bool) {
	sequence, whole := order(barsOf(parts))
	metres := make([]*score.TimeSignature, len(parts[0].Measures))
	var metre *score.TimeSignature
	for i, m := range parts[0].Measures {
		for _, e := range m.Events {
			if t, ok := e.(*score.TimeSignature); ok && t.Onset.IsZero() {
				metre = t
			}
		}
		metres[i] = metre
	}
	for _, i := range sequence {
		v := visit{measure: i, at: at, metre: metres[i]}
		for _, q := range parts {
			if m := q.Measures[i]; v.length.Less(m.Length) {
				v.length = m.Length
			}
		}
		m := parts[0].Measures[i]
		if m.Implicit && m.Length.Less(m.Nominal) && i == 0 {
			v.before = m.Nominal.Sub(m.Length)
		}
		v.swung = longBeats(v.metre)
		out = append(out, v)
		at = at.Add(v.length)
	}
	return out, whole
}

// longBeats tells whether the beats of a metre are quarters or longer.
func longBeats(t *score.TimeSignature) bool {
	return t == nil || !slices.ContainsFunc(t.BeatTypes, func(b int) bool { return b > 4 })
}

// swing moves what stands half way between two quarters to a share of the
// quarter: two thirds for a swing of two to one. All else stays.
func (v *visit) swing(t, share score.Quarters) score.Quarters {
	if share.IsZero() || !v.swung {
		return t
	}
	pos := v.before.Add(t)
	whole := score.Q(pos.Num()/pos.Den(), 1)
	if pos.Sub(whole) != score.Q(1, 2) {
		return t
	}
	return whole.Add(share).Sub(v.before)
}

// part plays a part of a piece.
func (p *performance) part(q *score.Part, s *score.Score, visits []visit, report func(score.Severity, string, score.Handle, string, string)) {
	count := 0
	neck, fretted := neckOf(q)
	if fretted {
		count = neck.Tuning.Len()
	}
	i := slices.IndexFunc(p.parts, func(x *performed) bool { return x.name == q.Name && x.strings == count })
	if i < 0 {
		i = len(p.parts)
		p.parts = append(p.parts, &performed{name: q.Name, strings: count, program: program(neck, fretted)})
	}
	to := p.parts[i]
	pl := &player{part: q, opt: p.opt, report: report, tempo: p.tempo * p.scale, scale: p.scale}
	pl.play(visits)
	to.notes = append(to.notes, pl.notes...)
	for i := range visits {
		v := &visits[i]
		if v.measure >= len(q.Measures) {
			continue
		}
		for _, e := range q.Measures[v.measure].Events {
			if w, ok := e.(*score.Words); ok && w.Kind == "lyric" && strings.TrimSpace(w.Text) != "" {
				to.lyrics = append(to.lyrics, text{v.at.Add(v.swing(w.Onset, p.opt.Swing)), w.Text})
			}
		}
	}
}

// changes notes down tempo, metre, key and section marks along the bars that
// are played: what is in force at a bar is that of its place in the music, wherever
// the bar before was.
func (p *performance) changes(q *score.Part, visits []visit, first bool) {
	type state struct {
		tempo *score.Tempo
		metre *score.TimeSignature
		key   *score.KeySignature
	}
	before := make([]state, len(q.Measures))
	now := state{tempo: &score.Tempo{QuartersPerMinute: p.tempo}}
	take := func(e score.Event) {
		switch e := e.(type) {
		case *score.Tempo:
			if e.QuartersPerMinute > 0 {
				now.tempo = e
			}
		case *score.TimeSignature:
			now.metre = e
		case *score.KeySignature:
			now.key = e
		}
	}
	for i, m := range q.Measures {
		before[i] = now
		for _, e := range m.Events {
			take(e)
		}
	}
	var current state
	add := func(at score.Quarters, s state) {
		if s.tempo != nil && s.tempo != current.tempo {
			p.moment = append(p.moment, change{at, &score.Tempo{QuartersPerMinute: s.tempo.QuartersPerMinute * p.scale}})
		}
		if s.metre != nil && s.metre != current.metre {
			p.moment = append(p.moment, change{at, s.metre})
		}
		if s.key != nil && s.key != current.key {
			p.moment = append(p.moment, change{at, s.key})
		}
		current = s
	}
	for _, v := range visits {
		if v.measure >= len(q.Measures) {
			continue
		}
		now = before[v.measure]
		m := q.Measures[v.measure]
		for _, e := range m.Events {
			if e.At().IsZero() {
				take(e)
			}
		}
		add(v.at, now)
		for _, e := range m.Events {
			if !e.At().IsZero() {
				take(e)
				add(v.at.Add(e.At()), now)
			}
			if w, ok := e.(*score.Words); ok && w.Kind == "rehearsal" && first {
				p.marks = append(p.marks, text{v.at.Add(w.Onset), w.Text})
			}
		}
	}
}
