package tabtext

import (
	"bytes"
	"fmt"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// Apply gives a new document that holds the music of s, edited into the text
// that the document was read from: only what differs is changed. The score
// must come from this document, as a clone or by transforms. A document that
// was itself applied starts again from the original text, so that nothing
// drifts.
//
// What tab cannot hold (a note without a place, two voices, words) is left
// out and goes to the Report of the options that the text was read with.
// Apply fails, with [score.Diagnostics], if the music cannot be edited in at
// all: parts were added or removed, or a place and its pitch disagree.
func (d *Document) Apply(s *score.Score) (*Document, error) {
	o := d.origin
	if err := o.check(s); err != nil {
		return nil, err
	}
	asked := s
	s = o.written(s)
	s, unseen := o.labelsSeen(s)
	unseen = append(unseen, colorsLost(s)...)
	if compare(o.built.sc, s) == nil {
		return &Document{origin: o, data: o.data, score: asked.Clone()}, nil
	}
	var last *difference
	bad := map[int]anew{}
	whole := false // measures were added or removed, or the part was retuned
	for attempt := range attempts {
		e := &editor{o: o, s: s, bad: bad, said: slices.Clone(unseen)}
		if attempt < attempts-2 && !whole && !e.inPlace() {
			whole, e = true, &editor{o: o, s: s, bad: bad, said: slices.Clone(unseen)}
			clear(bad)
		}
		if whole || attempt >= attempts-2 {
			e.tellMetre = attempt > 0
			least := asItWas
			if attempt >= attempts-2 {
				least = [...]anew{withCounts, bare}[attempt-attempts+2]
			}
			if err := e.rewrite(least); err != nil {
				return nil, err
			}
		}
		e.legendEdits()
		doc, got, diff := o.verified(e, s, attempt == attempts-1)
		if doc != nil {
			doc.score = asked.Clone()
			if o.report != nil {
				e.said = append(e.said, e.lost...)
				e.said = append(e.said, o.keysLeft(s)...)
				e.said.Sort()
				for _, l := range e.said {
					o.report(l)
				}
			}
			return doc, nil
		}
		o.differing(s, got, diff, bad)
		last = diff
	}
	return nil, o.unapplied(s, last)
}

// attempts is how often Apply tries: some times in place, each time writing
// more systems anew in which the edit did not read back, or writing them
// with less of what they had; then with all systems that changed written anew,
// then with all.
const attempts = 8

// anew is how a system is written anew, the gentlest first. What does not read
// back is tried in the next way.
type anew int8

const (
	inItsPlace anew = iota
	asItWas         // without counts if it had none, with its unknown signs
	withCounts      // with its unknown signs
	bare            // without them
)

// differing adds the systems in which the edited text reads otherwise than it
// should: all measures that differ by themselves, and the first difference.
func (o *origin) differing(s, got *score.Score, first *difference, bad map[int]anew) {
	marked := map[int]bool{}
	mark := func(d *difference) {
		if sys := o.systemOf(s, d); sys >= 0 && !marked[sys] {
			marked[sys] = true
			bad[sys] = min(bad[sys]+1, bare)
		}
	}
	mark(first)
	if got == nil || len(got.Parts) != len(s.Parts) {
		return
	}
	for i, p := range s.Parts {
		if len(p.Measures) != len(got.Parts[i].Measures) {
			continue
		}
		for k, m := range p.Measures {
			if !bytes.Equal(canonical(m, &canonIDs{loose: true}), canonical(got.Parts[i].Measures[k], &canonIDs{loose: true})) {
				mark(&difference{part: i, measure: k})
			}
		}
	}
}

// systemOf finds the system in which the edited text reads otherwise, -1 if
// it is in none.
func (o *origin) systemOf(s *score.Score, d *difference) int {
	if d == nil || d.part < 0 || d.measure < 0 {
		return -1
	}
	h := s.Parts[d.part].Measures[d.measure].Src
	if h < 1 || int(h) > len(o.built.nodes) {
		return -1
	}
	return int(o.built.nodes[h-1].sys)
}

// check finds what no edit could make right.
func (o *origin) check(s *score.Score) error {
	if len(s.Parts) != len(o.built.sc.Parts) {
		return score.Diagnostics{{Severity: score.Error, Code: "tab-apply-parts", Pos: score.Pos{File: o.name},
			Msg: fmt.Sprintf("the music has %d parts, the text %d: parts cannot be added to a text or removed from it", len(s.Parts), len(o.built.sc.Parts)), Hint: "write a new file"}}
	}
	var ds score.Diagnostics
	for _, p := range s.Parts {
		eachPlaced(p, func(m *score.Measure, n *score.Note, neck fretboard.Neck) {
			switch {
			case neck.Tuning.Len() < n.Place.String:
				ds = append(ds, score.Diagnostic{Severity: score.Error, Code: "tab-apply-place", Pos: o.noteAt(n),
					Msg: fmt.Sprintf("bar %s: there is no string %d on the neck", m.Number, n.Place.String)})
			case !n.Has(score.Dead) && neck.Stopped(n.Place) != n.Pitch.MIDI():
				ds = append(ds, score.Diagnostic{Severity: score.Error, Code: "tab-apply-pitch", Pos: o.noteAt(n),
					Msg:  fmt.Sprintf("bar %s: string %d fret %d sounds %d (MIDI), but the note's pitch is %v, %d", m.Number, n.Place.String, n.Place.Fret, neck.Stopped(n.Place), n.Pitch, n.Pitch.MIDI()),
					Hint: "move pitch and place together"})
			}
		})
	}
	return ds.Err()
}

// noteAt is where a note stands, the text as a whole for one that was made.
func (o *origin) noteAt(n *score.Note) score.Pos {
	pos := o.Locate(n.Src)
	if pos.File == "" {
		pos.File = o.name
	}
	return pos
}

// eachPlaced visits the notes that have a place, with the neck in force.
func eachPlaced(p *score.Part, f func(*score.Measure, *score.Note, fretboard.Neck)) {
	neck, _ := firstNeck(p)
	for _, m := range p.Measures {
		for _, e := range m.Events {
			switch e := e.(type) {
			case *score.NeckChange:
				neck = e.Neck
			case *score.Chord:
				for _, n := range e.Notes {
					if !n.Place.IsZero() && !n.Unpitched {
						f(m, n, neck)
					}
				}
			}
		}
	}
}

// verified reads the edited text and makes a document of it if it means s. If
// something was left out that tab cannot hold, the text must mean what a new
// tab of s means, which leaves out the same; at the last attempt a difference
// beyond that is told and let pass.
func (o *origin) verified(e *editor, s *score.Score, last bool) (doc *Document, got *score.Score, diff *difference) {
	data := e.bytes()
	opt := e.readOptions()
	again, err := read(data, o.name, opt)
	if err == nil && again.named != o.named && underCapo(s, o.named.shapes || again.named.shapes) { // the new notes tell otherwise, or not at all
		e.top = append(e.top, o.named.String())
		data = e.bytes()
		again, err = read(data, o.name, opt)
	}
	if err != nil {
		return nil, nil, &difference{-1, -1, "", err.Error()}
	}
	got = again.built.sc
	if diff := compareLoosely(s, got); diff != nil {
		if len(e.lost) == 0 {
			return nil, got, diff
		}
		if left := o.beyondLoss(s, got); left != nil {
			if !last {
				return nil, got, left
			}
			d := o.unapplied(s, left)[0]
			d.Severity, d.Code = score.Warning, "tab-apply-differs"
			e.said = append(e.said, d)
		}
	}
	if limit := max(DefaultWidth, o.built.lay.widest()); again.built.lay.widest() > limit+rewrittenSlack {
		data, _ = again.narrowed(limit, rewrittenSlack)
	}
	return &Document{origin: o, data: data}, got, nil
}

// rewrittenSlack is how many columns more than the old one a system that is written
// anew may take.
const rewrittenSlack = 2

// beyondLoss finds where a reading differs from that of a new tab of s.
func (o *origin) beyondLoss(s, got *score.Score) *difference {
	whole, err := write(s, score.WriteOptions{}, nil)
	if err != nil {
		return nil
	}
	fresh, err := read([]byte(whole), o.name, score.ReadOptions{})
	if err != nil {
		return nil
	}
	return compareLoosely(fresh.built.sc, got)
}

// unapplied says where the edited text would not mean the music.
func (o *origin) unapplied(s *score.Score, d *difference) score.Diagnostics {
	diag := score.Diagnostic{Severity: score.Error, Code: "tab-apply", Pos: score.Pos{File: o.name},
		Msg: "the music cannot be edited into the text", Hint: "write it as a new file"}
	if d != nil && d.part >= 0 && d.measure >= 0 {
		m := s.Parts[d.part].Measures[d.measure]
		if p := o.Locate(m.Src); p.IsValid() {
			diag.Pos = p
		}
		diag.Msg += ": bar " + m.Number + " would read otherwise (" + firstLine(d.String()) + ")"
	}
	return score.Diagnostics{diag}
}

func firstLine(s string) string {
	a, _, _ := bytes.Cut([]byte(s), []byte("\n"))
	return string(a)
}

// An editor gathers the new lines of a text.
type editor struct {
	o     *origin
	s     *score.Score
	bad   map[int]anew      // systems that are to be written anew
	lines map[int][]string  // new text of a line: none, one or several lines
	top   []string          // lines that go before all others
	lost  score.Diagnostics // what excuses a difference
	said  score.Diagnostics // what is to be said besides

	tellMetre bool // the bars that are left may not show the metre that was inferred
}

// readOptions are the options with which the edited text means what it
// should: where the options said something that the music has changed, they
// say the new thing.
func (e *editor) readOptions() score.ReadOptions {
	opt := e.o.opt
	opt.Report = nil
	if len(e.s.Parts) == 0 || len(e.s.Parts[0].Measures) == 0 {
		return opt
	}
	for _, ev := range e.s.Parts[0].Measures[0].Events {
		if !ev.At().IsZero() {
			continue
		}
		switch ev := ev.(type) {
		case *score.KeySignature:
			if opt.Key != nil {
				k := ev.Key
				opt.Key = &k
			}
		case *score.NeckChange:
			if opt.Tuning != nil {
				t := ev.Neck.Tuning
				opt.Tuning = &t
			}
			if opt.Capo != nil {
				c := ev.Neck.Capo
				opt.Capo = &c
			}
			if opt.Frets != 0 {
				opt.Frets = ev.Neck.Frets
			}
		case *score.TimeSignature:
			if opt.Time != "" {
				opt.Time = ev.Metre()
			}
		case *score.Tempo:
			if opt.Tempo != 0 {
				opt.Tempo = ev.QuartersPerMinute
			}
		}
	}
	return opt
}

func (e *editor) setLine(i int, text ...string) {
	if e.lines == nil {
		e.lines = map[int][]string{}
	}
	e.lines[i] = text
}

// bytes writes the text: lines that were not touched as they were.
func (e *editor) bytes() []byte {
	src := e.o.built.lay.src
	out := make([]byte, 0, len(src.data)+len(src.data)/8)
	if len(src.lines) > 0 {
		out = append(out, src.data[:src.lines[0].start]...)
	}
	for _, t := range e.top {
		out = append(out, src.encode(t+src.eol, -1)...)
	}
	for i, l := range src.lines {
		text, touched := e.lines[i]
		if !touched {
			out = append(out, src.data[l.start:l.next]...)
			continue
		}
		end := src.data[l.end:l.next]
		for k, t := range text {
			out = append(out, src.encode(t, i)...)
			if k+1 < len(text) && len(end) == 0 {
				out = append(out, src.encode(src.eol, -1)...)
				continue
			}
			out = append(out, end...)
		}
	}
	if n := len(src.lines); n > 0 && src.lines[n-1].end == src.lines[n-1].next {
		if text, touched := e.lines[n-1]; touched && len(text) == 0 { // the text goes on ending without a line end
			out = bytes.TrimSuffix(out, src.encode(src.eol, -1))
		}
	}
	return out
}
