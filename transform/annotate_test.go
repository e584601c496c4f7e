package transform

import (
	"bufio"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A passage is one of testdata/annotate/passages.txt or labels.txt; the form
// is described in the README beside them.
type passage struct {
	id, about string
	fields    map[string]string
	lines     []string // of music
}

func readPassages(t *testing.T, name string) []passage {
	t.Helper()
	f, err := os.Open("testdata/annotate/" + name)
	require.NoError(t, err)
	defer f.Close()
	var all []passage
	for sc := bufio.NewScanner(f); sc.Scan(); {
		line := strings.TrimSpace(sc.Text())
		if head, ok := strings.CutPrefix(line, "== "); ok {
			id, about, _ := strings.Cut(head, " ")
			all = append(all, passage{id: id, about: about, fields: map[string]string{}})
			continue
		}
		if line == "" || line[0] == '#' {
			continue
		}
		p := &all[len(all)-1]
		key, value, _ := strings.Cut(line, ": ")
		if strings.Contains(key, ":") || key == "2" || !strings.Contains(line, ": ") {
			p.lines = append(p.lines, line)
			continue
		}
		p.fields[key] = value
	}
	return all
}

// score builds a passage; notes come back in its order.
func (p passage) score(t *testing.T) (s *score.Score, notes []*score.Chord) {
	t.Helper()
	key, _, err := theory.ParseKey(p.fields["key"])
	require.NoError(t, err, p.id)
	metre, ok := score.ParseMetre(p.fields["time"])
	require.True(t, ok, p.id)
	part := &score.Part{ID: "P1", Staves: 1}
	for voice, line := range p.lines {
		line = strings.TrimPrefix(line, "2: ")
		var tied bool
		for i, bar := range strings.Split(line, "|") {
			if i == len(part.Measures) {
				part.Measures = append(part.Measures, &score.Measure{Nominal: metre.Length})
			}
			m := part.Measures[i]
			if i == 0 && voice == 0 {
				m.Events = append(m.Events, &score.KeySignature{Key: key, ModeSaid: true}, metre)
			}
			var at score.Quarters
			for _, token := range strings.Fields(bar) {
				token, tie := strings.CutSuffix(token, "~")
				names, length, ok := strings.Cut(token, ":")
				require.True(t, ok, token)
				c := &score.Chord{Voice: voice + 1, Common: score.Common{Onset: at, Staff: 1}}
				if length == "g" {
					c.Grace = score.Slashed
				} else {
					c.Duration, ok = score.ParseQuarters(length)
					require.True(t, ok, token)
				}
				at = at.Add(c.Duration)
				if names == "r" {
					continue
				}
				for name := range strings.SplitSeq(names, "+") {
					name, back := strings.CutSuffix(name, "v")
					name, target, bent := strings.Cut(name, "^")
					pitch, err := theory.ParsePitch(name)
					require.NoError(t, err)
					n := &score.Note{Pitch: pitch, TieStart: tie, TieStop: tied}
					if bent {
						to, err := theory.ParsePitch(target)
						require.NoError(t, err)
						n.Techniques = append(n.Techniques, score.Bend{Amount: score.Q(int64(to.MIDI()-pitch.MIDI()), 1), Release: back})
					}
					c.Notes = append(c.Notes, n)
				}
				tied = tie
				m.Events = append(m.Events, c)
				notes = append(notes, c)
			}
			if m.Length.Less(at) {
				m.Length = at
			}
		}
	}
	if first := part.Measures[0]; first.Length.Less(first.Nominal) && len(part.Measures) > 1 {
		first.Implicit = true
	}
	return &score.Score{Parts: []*score.Part{part}}, notes
}

// labelled annotates a passage and returns its labels in the form of
// labels.txt.
func (p passage) labelled(t *testing.T) map[string]string {
	t.Helper()
	s, was := p.score(t)
	opt := AnnotateOptions{Show: score.LabelKinds()}
	chords, err := theory.ParseProgression(p.fields["chords"], nil)
	require.NoError(t, err)
	opt.Chords = chords
	if home, ok := p.fields["home"]; ok {
		n, err := theory.ParseNoteName(home)
		require.NoError(t, err)
		opt.Home = &n
	}
	out, _ := Annotate(s, opt)
	// Chords of the result in the order of the passage: voice by voice.
	var chords2 [3][]*score.Chord
	for _, m := range out.Parts[0].Measures {
		for c := range m.Chords() {
			chords2[c.Voice] = append(chords2[c.Voice], c)
		}
	}
	all := slices.Concat(chords2[1], chords2[2])
	require.Len(t, all, len(was))
	got := map[string][]string{}
	for _, c := range all {
		texts := map[string][]string{}
		for _, n := range fromTop(c) {
			label := map[string]string{}
			for _, a := range n.Annotations {
				label[a.Kind] = a.Text
			}
			role := label[score.LabelRole]
			switch {
			case role == "" && label[score.LabelChordTone] == "":
				role = "-"
			case role == "":
				role = "."
			default:
				short, heavy := strings.CutPrefix(role, ">")
				role = ""
				if heavy {
					role = ">"
				}
				for r := Passing; r <= Free; r++ {
					if r.Short() == short {
						role += r.String()
					}
				}
			}
			for field, text := range map[string]string{"degrees": label[score.LabelDegree], "functions": label[score.LabelChordTone],
				"roles": role, "names": label[score.LabelName], "intervals": label[score.LabelInterval]} {
				if text == "" {
					text = "-"
				}
				texts[field] = append(texts[field], text)
			}
		}
		for field, list := range texts {
			got[field] = append(got[field], strings.Join(list, "/"))
		}
	}
	joined := map[string]string{}
	for field, list := range got {
		joined[field] = strings.Join(list, " ")
	}
	return joined
}

func fromTop(c *score.Chord) []*score.Note {
	notes := slices.Clone(c.Notes)
	slices.SortStableFunc(notes, func(a, b *score.Note) int { return b.Pitch.MIDI() - a.Pitch.MIDI() })
	return notes
}

// TestPassages: passages whose labels were written by hand, with the rule
// cited, before there was a program. Every role has a case.
// Source: Kostka & Payne, Tonal Harmony, ch. 11 and 12, and common practice as
// cited passage by passage in testdata/annotate/labels.txt.
func TestPassages(t *testing.T) {
	want := map[string]passage{}
	for _, p := range readPassages(t, "labels.txt") {
		want[p.id] = p
	}
	seen := map[string]int{}
	passages := readPassages(t, "passages.txt")
	for _, p := range passages {
		got := p.labelled(t)
		require.NotEmpty(t, want[p.id].fields["roles"], p.id)
		for field, text := range want[p.id].fields {
			assert.Equal(t, text, got[field], "%s %s: %s", p.id, field, want[p.id].about)
		}
		for role := range strings.FieldsFuncSeq(want[p.id].fields["roles"], func(r rune) bool { return r == ' ' || r == '/' }) {
			seen[strings.TrimPrefix(role, ">")]++
		}
	}
	assert.Len(t, want, len(passages))
	assert.GreaterOrEqual(t, len(passages), 30)
	for r := Passing; r <= Free; r++ {
		assert.Positive(t, seen[r.String()], "no passage shows %s", r)
	}
}
