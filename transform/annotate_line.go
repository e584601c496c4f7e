package transform

import (
	"cmp"
	"slices"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A tone is a note in its line, over one chord. A note that sounds on into
// another chord is two tones.
type tone struct {
	note     *score.Note // that carries its labels; nil if no note is written where it begins
	of       *tone       // what it sounds on from; nil if it is struck
	chord    *score.Chord
	measure  int
	at, end  score.Quarters // from the start of the part
	pitch    theory.Pitch   // as it is heard
	lettered bool           // the source says how it is spelled; else letters.go does
	leaves   int            // MIDI key number at which it ends: below the pitch after the release of a bend
	rank     int            // of its place in the bar
	grace    bool
	tied     bool // to a note that follows

	span  int      // index of its chord, -1 for none
	job   chordJob // against its chord
	prev  *tone    // before it in its line; nil at the beginning
	next  *tone    // after it; nil at the end
	role  Role
	heavy bool // accented: on a stronger place than the note that it goes to
}

func (t *tone) midi() int { return t.pitch.MIDI() }

// outside tells whether a tone is known to be none of its chord's.
func (t *tone) outside() bool { return t != nil && t.job.known && !t.job.tone }

// inside tells whether it is known to be one.
func (t *tone) inside() bool { return t != nil && t.job.known && t.job.tone }

// graceRank is below every place of a bar.
const graceRank = -64

// A lineKey names a line: a voice on a staff.
type lineKey struct{ staff, voice int }

// A column is the tones of a line that begin together, the highest first.
type column struct {
	at    score.Quarters
	end   score.Quarters // when the last of them is over
	grace bool
	tones []*tone
}

// A lineReader makes the columns of one line.
type lineReader struct {
	columns []*column
	open    map[int]*tone // by key number of the stopped pitch: what may sound on
}

// collect makes the tones of the part, line by line, each with what comes
// before and after it.
func (a *annotator) collect() {
	lines := map[lineKey]*lineReader{}
	var order []lineKey
	for i, m := range a.part.Measures {
		for c := range m.Chords() {
			if c.Cue || c.IsRest() {
				continue
			}
			key := lineKey{c.Staff, c.Voice}
			if lines[key] == nil {
				lines[key] = &lineReader{open: map[int]*tone{}}
				order = append(order, key)
			}
			a.read(lines[key], i, c)
		}
	}
	for _, key := range order {
		l := lines[key]
		a.goOn(l)
		a.link(l)
		for _, c := range l.columns {
			a.tones = append(a.tones, c.tones...)
		}
	}
}

// read adds a chord to its line.
func (a *annotator) read(l *lineReader, measure int, c *score.Chord) {
	at := a.begins[measure].Add(c.Onset)
	col := &column{at: at, grace: c.Grace != score.NotGrace}
	open := map[int]*tone{}
	for _, n := range c.Notes {
		if n.Unpitched || n.Has(score.Dead) {
			continue
		}
		end := at.Add(c.Duration)
		t := &tone{note: n, chord: c, measure: measure, at: at, end: end, pitch: heardPitch(n), grace: col.grace, span: a.spanAt(at), tied: n.TieStart}
		t.lettered = !n.InferredSpelling && t.pitch == n.Pitch
		t.leaves = t.midi()
		if b, ok := n.Bend(); ok && b.Release && b.Amount.Sign() > 0 {
			t.leaves = n.Pitch.MIDI() + int(b.ReleaseTo.Num()/max(b.ReleaseTo.Den(), 1))
		}
		key := n.Pitch.MIDI()
		if was := l.open[key]; was != nil && (n.TieStop || n.Has(score.Held)) && !col.grace {
			// The rest of a tie. It is a tone of its own if it begins another chord.
			if was.note == nil && was.span == t.span {
				was.note, was.chord = n, c
			}
			for _, piece := range a.pieces(was, end) {
				if piece.note == nil && piece.at.Cmp(at) <= 0 && piece.span == t.span {
					piece.note, piece.chord = n, c
				}
				l.put(piece)
				was = piece
			}
			was.end, was.tied = end, n.TieStart
			open[key] = was
			continue
		}
		t.rank = a.rank(at)
		if t.grace {
			t.rank = graceRank
		}
		col.tones = append(col.tones, t)
		open[key] = t
	}
	if !col.grace {
		for key, t := range l.open { // a tie may lead past other notes of its voice, as strings ring on
			if _, again := open[key]; !again && t.tied {
				open[key] = t
			}
		}
		l.open = open
	}
	if len(col.tones) > 0 {
		l.columns = append(l.columns, col)
	}
}

// pieces returns the tones into which a tone goes on when it lasts until a
// time, beyond the chord over which it began: one for each chord.
func (a *annotator) pieces(t *tone, end score.Quarters) []*tone {
	var list []*tone
	for k := t.span + 1; k < len(a.spans) && a.spans[k].from.Less(end); k++ {
		from := a.spans[k].from
		if from.Cmp(t.at) <= 0 {
			continue
		}
		p := &tone{of: t, chord: t.chord, measure: t.measure, at: from, end: end, pitch: t.pitch, lettered: t.lettered, leaves: t.leaves, rank: a.rank(from), span: k}
		t.end = from
		list = append(list, p)
		t = p
	}
	return list
}

// goOn cuts the tones into which a chord changes.
func (a *annotator) goOn(l *lineReader) {
	var pieces []*tone
	for _, c := range l.columns {
		for _, t := range c.tones {
			pieces = append(pieces, a.pieces(t, t.end)...)
		}
	}
	slices.SortStableFunc(pieces, func(x, y *tone) int { return x.at.Cmp(y.at) })
	before := l.columns
	l.columns = make([]*column, 0, len(before)+len(pieces))
	for _, p := range pieces {
		for len(before) > 0 && before[0].at.Cmp(p.at) <= 0 {
			l.columns, before = append(l.columns, before[0]), before[1:]
		}
		l.put(p)
	}
	l.columns = append(l.columns, before...)
	for _, c := range l.columns {
		slices.SortStableFunc(c.tones, func(x, y *tone) int { return cmp.Compare(y.midi(), x.midi()) })
		for _, t := range c.tones {
			if c.end.Less(t.end) {
				c.end = t.end
			}
		}
	}
}

// put adds a tone that sounds on to the column of its time.
func (l *lineReader) put(t *tone) {
	i := len(l.columns)
	for i > 0 && t.at.Less(l.columns[i-1].at) {
		i--
	}
	for k := i - 1; k >= 0 && l.columns[k].at == t.at; k-- {
		if !l.columns[k].grace {
			l.columns[k].tones = append(l.columns[k].tones, t)
			return
		}
	}
	l.columns = slices.Insert(l.columns, i, &column{at: t.at, tones: []*tone{t}})
}

// link joins the tones of a line: each with the one at the same place from the
// top in the columns beside it, or with the nearest where they have not as
// many. A rest of a beat or more parts lines. Grace notes stand between notes,
// which do not see them.
func (a *annotator) link(l *lineReader) {
	var last *column // no grace notes
	var graces []*column
	for _, c := range l.columns {
		if c.grace {
			graces = append(graces, c)
			continue
		}
		if last != nil && !c.at.Sub(last.end).Less(a.beatAt(last.at)) {
			last = nil
		}
		before := last
		for _, g := range graces {
			if before != nil {
				g.follow(before)
			}
			before = g
		}
		for i, g := range graces {
			to := c
			if i+1 < len(graces) {
				to = graces[i+1]
			}
			g.lead(to)
		}
		graces = graces[:0]
		if last != nil {
			c.follow(last)
			last.lead(c)
		}
		last = c
	}
	for _, c := range l.columns {
		for _, t := range c.tones {
			if t.of != nil {
				t.prev, t.of.next = t.of, t
			}
		}
	}
}

// follow says what comes before the tones of a column: where that ends, if it
// is a bend that is let back.
func (c *column) follow(before *column) {
	for i, t := range c.tones {
		t.prev = before.beside(t, i, len(c.tones), func(u *tone) int { return u.leaves })
	}
}

// lead says what comes after them.
func (c *column) lead(after *column) {
	for i, t := range c.tones {
		t.next = after.beside(t, i, len(c.tones), (*tone).midi)
	}
}

// beside returns the tone that goes with the i-th of n.
func (c *column) beside(t *tone, i, n int, midi func(*tone) int) *tone {
	if n == len(c.tones) {
		return c.tones[i]
	}
	return slices.MinFunc(c.tones, func(x, y *tone) int {
		return cmp.Compare(distance(midi(x), t.midi()), distance(midi(y), t.midi()))
	})
}

func distance(x, y int) int { return max(x-y, y-x) }
