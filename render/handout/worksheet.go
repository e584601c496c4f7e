package handout

import (
	"fmt"
	"slices"
	"strconv"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A task is something that a worksheet asks.
type task struct {
	Prompt string
	Topic  string // what it is about, before its answer
	Answer string
	Gap    bool // the answer is a word, to be written behind the question
}

// A work is a section as a worksheet has it: its music with the labels that are
// asked for, which of them are left blank, which notes the answers ring, and
// the tasks. Sheet and answers are drawn from the same work.
type work struct {
	score *score.Score
	kind  string // of the labels: degrees, or names where no key is known
	blank map[*score.Note]bool
	ring  map[*score.Note]bool
	tasks []task
}

// workOf makes the tasks of a section, of those that are asked for. turn
// numbers the sections, so that each asks for another degree.
func workOf(s *score.Score, turn int, asks func(task string) bool) work {
	w := work{score: s.Clone(), kind: score.LabelDegree, blank: map[*score.Note]bool{}, ring: map[*score.Note]bool{}}
	labels := degreesOf(w.score)
	if len(labels) == 0 {
		w.kind = score.LabelName
		labels = namesOf(w.score)
	}
	var order []*score.Note
	for n := range score.Notes(w.score) {
		n.Annotations = nil
		if text, ok := labels[n]; ok {
			n.Annotations = []score.Annotation{{Kind: w.kind, Text: text}}
			order = append(order, n)
		}
	}
	w.score.Legend = nil
	if len(order) == 0 {
		return w
	}
	if asks(TaskName) {
		w.toName(order, countedFrom(s))
	}
	if asks(TaskFind) {
		w.toFind(order, labels, turn)
	}
	return w
}

// withoutLabels returns the music with nothing under its notes.
func withoutLabels(s *score.Score) *score.Score {
	s = s.Clone()
	for n := range score.Notes(s) {
		n.Annotations = nil
	}
	return s
}

// toName leaves every other label blank.
func (w *work) toName(order []*score.Note, from string) {
	for i, n := range order {
		if i%2 == 1 || len(order) == 1 {
			w.blank[n] = true
			n.Annotations[0].Color = fmt.Sprintf("#%06x", askColor) // seen in the answers
		}
	}
	what := "degree"
	if w.kind == score.LabelName {
		what, from = "name", ""
	}
	w.tasks = append(w.tasks, task{Prompt: fmt.Sprintf("Write the %s of each note that has a line under it%s.%s", what, from, howNamed(order)), Topic: upperFirst(what) + "s", Answer: "on the lines under the music."})
}

// countedFrom says from what degrees count, "" where notes have theirs already
// or the key changes.
func countedFrom(s *score.Score) string {
	tonics := map[theory.NoteName]bool{}
	for n := range score.Preorder(s) {
		switch n := n.(type) {
		case *score.KeySignature:
			tonics[n.Key.Tonic] = true
		case *score.Note:
			if slices.ContainsFunc(n.Annotations, func(a score.Annotation) bool { return a.Kind == score.LabelDegree }) {
				return ""
			}
		}
	}
	if len(tonics) != 1 {
		return ""
	}
	for t := range tonics {
		return ", counted from " + t.Pretty()
	}
	return ""
}

// toFind asks for one degree wherever it stands.
func (w *work) toFind(order []*score.Note, labels map[*score.Note]string, turn int) {
	asked := askedLabel(order, labels, turn)
	for _, n := range order {
		if labels[n] == asked {
			w.ring[n] = true
		}
	}
	w.tasks = append(w.tasks, task{Prompt: fmt.Sprintf("Draw a ring around the number on the strings of every %s.%s How many are there?", pretty(w.kind, asked), w.howRinged(order)),
		Topic: "Every " + pretty(w.kind, asked), Answer: strconv.Itoa(len(w.ring)), Gap: true})
}

// howNamed says which name a note has that is bent, since the place on the
// string has another one.
func howNamed(order []*score.Note) string {
	for _, n := range order {
		if b, ok := n.Bend(); ok && b.Amount.Sign() != 0 {
			return " A bent note is named by the note it is bent to."
		}
	}
	return ""
}

// howRinged says the same where it has not been said.
func (w *work) howRinged(order []*score.Note) string {
	if len(w.tasks) > 0 {
		return ""
	}
	return howNamed(order)
}

// struck tells whether a note is one to be named: it is struck, and has a
// pitch.
func struck(n *score.Note) bool {
	return !n.TieStop && !n.Unpitched && !n.Has(score.Dead) && !n.Has(score.Held)
}

// degreesOf returns the degree of every note that has one: that with which it
// is labelled, or counted from the tonic of the key at its time. A bent note is
// named by the note it reaches.
func degreesOf(s *score.Score) map[*score.Note]string {
	out := map[*score.Note]string{}
	for _, p := range s.Parts {
		var home *theory.Key
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.KeySignature:
					if home = nil; e.ModeSaid && !e.Free && !e.NoKey {
						home = &e.Key
					}
				case *score.Chord:
					for _, n := range e.Notes {
						if d := degreeOf(n, home); d != "" && struck(n) {
							out[n] = d
						}
					}
				}
			}
		}
	}
	return out
}

func degreeOf(n *score.Note, home *theory.Key) string {
	for _, a := range n.Annotations {
		if a.Kind == score.LabelDegree {
			return a.Text
		}
	}
	if home == nil {
		return ""
	}
	return theory.DegreeOf(home.Tonic, heard(n, *home)).String()
}

// namesOf returns the name of every note that is struck. Without a key what a
// bend reaches is spelled as in that of the signature, C major where there is
// none.
func namesOf(s *score.Score) map[*score.Note]string {
	out := map[*score.Note]string{}
	for _, p := range s.Parts {
		var key theory.Key
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.KeySignature:
					if key = (theory.Key{}); !e.Free && !e.NoKey {
						key = e.Key
					}
				case *score.Chord:
					for _, n := range e.Notes {
						if struck(n) {
							out[n] = heard(n, key).String()
						}
					}
				}
			}
		}
	}
	return out
}

// heard names a note as it is heard: at the target of its bend and the partial
// of its harmonic, which the file spells only where they are the written pitch.
func heard(n *score.Note, key theory.Key) theory.NoteName {
	if m := n.Sounding(); m != n.Pitch.MIDI() {
		return theory.SpellIn(key, m).NoteName
	}
	return n.Pitch.NoteName
}

// askedLabel chooses what a section asks for, each in its turn: of degrees the
// third and the seventh first, on which a line hangs, then the others.
func askedLabel(order []*score.Note, labels map[*score.Note]string, turn int) string {
	var all []string
	for _, n := range order {
		if t := labels[n]; !slices.Contains(all, t) {
			all = append(all, t)
		}
	}
	rank := func(t string) int {
		d, err := theory.ParseDegree(t)
		if err != nil {
			return 0
		}
		return slices.Index([]int{3, 7, 5, 1, 6, 2, 4}, d.Number)
	}
	slices.SortStableFunc(all, func(a, b string) int { return rank(a) - rank(b) })
	return all[turn%len(all)]
}

func pretty(kind, text string) string {
	if kind == score.LabelDegree {
		if d, err := theory.ParseDegree(text); err == nil {
			return d.Pretty()
		}
	} else if n, err := theory.ParseNoteName(text); err == nil {
		return n.Pretty()
	}
	return text
}
