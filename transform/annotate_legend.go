package transform

import (
	"slices"
	"strings"

	"example.org/lickwright/score"
)

// ChordToneColors are the colours of noteheads by their job in the chord. The
// label beside the note says the same, so that nobody depends on the colour.
//
// Each has a contrast of 4.5 to 1 or more against white paper (relative
// luminance as in WCAG 2.1), and any two of them, and each and black, lie at
// least 30 apart in CIELAB (CIE76), for people who see all colours and after
// the simulation of each of the three kinds of dichromacy by Machado, Oliveira
// and Fernandes (2009, severity 1). They were found by a random search for the
// greatest smallest distance; a test computes both figures.
func ChordToneColors() []ToneColor {
	return []ToneColor{
		{"root", "blue", "#3B13DF"}, {"third", "ochre", "#8A7300"}, {"fifth", "green", "#23816A"},
		{"seventh", "magenta", "#BF31C3"}, {"other chord tones", "violet", "#4F0059"},
	}
}

// A ToneColor is the colour of a job in the chord.
type ToneColor struct {
	Job  string // "root", "third", …
	Name string // of the colour
	RGB  string // "#RRGGBB"
}

// color returns the colour of a chord tone. What stands for a third (2, 4) or a
// seventh (6) has its colour.
func (a *annotator) color(t *tone) string {
	colors := ChordToneColors()
	c := a.spans[t.span].chord
	third, _ := c.Third()
	seventh, _ := c.Seventh()
	switch text := t.job.text; {
	case text == "R":
		return colors[0].RGB
	case text == third.String() || strings.HasSuffix(text, "3") && len(text) <= 2 && text != "13":
		return colors[1].RGB
	case strings.HasSuffix(text, "5"):
		return colors[2].RGB
	case text == seventh.String():
		return colors[3].RGB
	}
	return colors[4].RGB
}

// A legend gathers what the labels that were put on need to have explained.
type legend struct {
	kinds    map[string]bool
	roles    map[Role]bool
	heavy    bool
	brackets bool // some note is none of its chord's
	colors   map[string]bool
	degrees  []string // what degrees count against
	outside  bool     // degrees in brackets
	chords   string   // that were said

	chordless bool // it was said that there are no chords
}

func (l *legend) empty() bool { return len(l.kinds) == 0 }

// saw takes note of a label.
func (l *legend) saw(kind string, t *tone, color string) {
	if l.kinds == nil {
		l.kinds, l.roles, l.colors = map[string]bool{}, map[Role]bool{}, map[string]bool{}
	}
	l.kinds[kind] = true
	switch kind {
	case score.LabelRole:
		l.roles[t.role] = true
		l.heavy = l.heavy || t.heavy
	case score.LabelChordTone:
		l.brackets = l.brackets || !t.job.tone
		if color != "" {
			l.colors[color] = true
		}
	}
}

// against takes note of what the labels of a part count against.
func (l *legend) against(a *annotator) {
	for i := range a.keys {
		k := &a.keys[i]
		text := a.keyName(k)
		if a.opt.Home != nil {
			text = k.tonic.Pretty() + " in " + text
		}
		if !slices.Contains(l.degrees, text) {
			l.degrees = append(l.degrees, text)
		}
	}
	l.outside = l.outside || a.opt.Scale != nil
	if len(a.opt.Chords) > 0 {
		l.chords = a.opt.Chords.String()
	}
}

// lines writes the legend.
func (l *legend) lines() []string {
	var lines []string
	add := func(kind, text string) { lines = append(lines, kind+": "+text) }
	for _, kind := range score.LabelKinds() {
		if !l.kinds[kind] {
			continue
		}
		switch kind {
		case score.LabelDegree:
			text := "counted from " + plainText(strings.Join(l.degrees, ", then "))
			if l.outside {
				text += "; in brackets what is outside"
			}
			add(kind, text)
		case score.LabelChordTone:
			text := "R is the root, numbers count from it"
			if l.brackets {
				text += "; in brackets what is no chord tone"
			}
			add(kind, text)
			if l.chords != "" {
				add(kind, "over the chords "+l.chords)
			}
		case score.LabelRole:
			var texts []string
			for r := Passing; r <= Free; r++ {
				if l.roles[r] {
					texts = append(texts, r.Short()+" "+roleWords[r])
				}
			}
			if l.heavy {
				texts = append(texts, "> accented")
			}
			add(kind, strings.Join(texts, ", "))
		case score.LabelName:
			add(kind, "of the note, a bend by where it goes")
		case score.LabelInterval:
			add(kind, "from the note before, - is down")
		}
	}
	var texts []string
	for _, c := range ChordToneColors() {
		if l.colors[c.RGB] {
			texts = append(texts, c.Job+" "+c.Name)
		}
	}
	if len(texts) > 0 {
		add(score.LabelColor, strings.Join(texts, ", "))
	}
	return lines
}

// roleWords says in the legend what a short form means.
var roleWords = [...]string{
	Passing: "passing", NeighbourTone: "neighbour", Suspension: "suspension", Retardation: "retardation", Appoggiatura: "appoggiatura",
	Escape: "escape", Anticipation: "anticipation", Pedal: "pedal", Enclosure: "enclosure", DiatonicApproach: "diatonic approach",
	ChromaticApproach: "chromatic approach", Free: "free",
}

// write puts the lines into the score, in place of those of the same kinds.
func (l *legend) write(s *score.Score) {
	lines := l.lines()
	var kinds []string
	for _, line := range lines {
		kinds = append(kinds, score.LegendKind(line))
	}
	for _, line := range s.Legend {
		if !slices.Contains(kinds, score.LegendKind(line)) && !(score.LegendKind(line) == score.LabelColor && l.kinds[score.LabelChordTone]) {
			lines = append(lines, line)
		}
	}
	s.Legend = lines
}

// plainText writes ♭ and ♯ as they are typed.
func plainText(s string) string { return strings.NewReplacer("♭", "b", "♯", "#").Replace(s) }
