package transform

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// phrase makes a phrase of one line from words such as "C4/2", a note of two
// eighths, or "-/1", a rest, in bars of 4/4 of C major without a neck.
func phrase(t testing.TB, key theory.Key, text string) *score.Score {
	t.Helper()
	p := &score.Part{ID: "P1", Staves: 1}
	metre, _ := score.ParseMetre("4/4")
	now := score.Quarters{}
	for _, w := range strings.Fields(text) {
		name, eighths, found := strings.Cut(w, "/")
		d := score.Q(1, 2)
		if found {
			d = score.Q(int64(atoi(t, eighths)), 2)
		}
		if len(p.Measures) == 0 || now == score.Q(4, 1) {
			m := &score.Measure{Number: fmt.Sprint(len(p.Measures) + 1), Length: score.Q(4, 1), Nominal: score.Q(4, 1)}
			if len(p.Measures) == 0 {
				m.Events = append(m.Events, &score.KeySignature{Key: key, ModeSaid: true}, metre)
			}
			p.Measures = append(p.Measures, m)
			now = score.Quarters{}
		}
		c := &score.Chord{Common: score.Common{Onset: now, Staff: 1}, Voice: 1, Duration: d}
		if name != "-" {
			pitch, err := theory.ParsePitch(name)
			require.NoError(t, err)
			c.Notes = []*score.Note{{Pitch: pitch}}
		}
		m := p.Measures[len(p.Measures)-1]
		m.Events = append(m.Events, c)
		now = now.Add(d)
	}
	require.Equal(t, score.Q(4, 1), now, "the last bar is whole")
	return &score.Score{Parts: []*score.Part{p}}
}

// told writes a phrase of one line as the words of phrase.
func told(s *score.Score) string {
	var list []string
	for _, m := range s.Parts[0].Measures {
		for c := range m.Chords() {
			name := "-"
			if !c.IsRest() {
				name = c.Notes[0].Pitch.String()
				if c.Notes[0].TieStop {
					name = "~" + name
				}
			}
			if d := c.Duration.Mul(score.Q(2, 1)); d == score.Q(1, 1) {
				list = append(list, name)
			} else {
				list = append(list, name+"/"+d.String())
			}
		}
	}
	return strings.Join(list, " ")
}

func step(t testing.TB, text string) Variation {
	t.Helper()
	name, value, _ := strings.Cut(text, " ")
	v, err := ParseVariation(name, value)
	require.NoError(t, err, text)
	return v
}

// TestVariationsByHand: each step on a phrase, as a teacher would write it
// down (common practice on melodic sequence, inversion, retrograde, augmentation
// and displacement; Kostka & Payne, Tonal Harmony, on the devices of melody).
// "A sequence in thirds of C major is C E D F E G".
func TestVariationsByHand(t *testing.T) {
	const scale = "C4/2 D4/2 E4/2 F4/2 G4/2 A4/2 B4/2 C5/2"
	c := theory.Key{}
	for _, tc := range []struct{ steps, in, want string }{
		{"in thirds", scale, "C4 E4 D4 F4 E4 G4 F4 A4 G4 B4 A4 C5 B4 D5 C5 E5"},
		{"in thirds; augment 2", scale, "C4/2 E4/2 D4/2 F4/2 E4/2 G4/2 F4/2 A4/2 G4/2 B4/2 A4/2 C5/2 B4/2 D5/2 C5/2 E5/2"},
		{"in fourths", scale, "C4 F4 D4 G4 E4 A4 F4 B4 G4 C5 A4 D5 B4 E5 C5 F5"},
		{"in thirds down", scale, "C4 A3 D4 B3 E4 C4 F4 D4 G4 E4 A4 F4 B4 G4 C5 A4"},
		{"in sixths", "C4/2 D4/2 E4/4", "C4 A4 D4 B4 E4/4"}, // longer than a beat: it stays
		{"sequence 3", scale, "C4/2 D4/2 E4/2 D4/2 E4/2 F4/2 E4/2 F4/2"},
		{"sequence 4 down", "C5 B4 A4 G4 F4/4", "C5 B4 A4 G4 B4 A4 G4 F4"},
		{"sequence 2", "C4/2 E4 - G4/2 C5/2", "C4/2 E4 - D4/2 F4 -"},
		{"group 3", "C4 D4 E4 F4 G4 A4 B4 C5", "C4 D4 E4 C4 D4 E4 C4 D4"},
		{"permute 2 1 4 3", scale, "D4/2 C4/2 F4/2 E4/2 A4/2 G4/2 C5/2 B4/2"},
		{"permute 3 2 1", "C4/2 D4 E4 F4/4", "E4/2 D4 C4 F4/4"},
		{"invert", scale, "C4/2 B3/2 A3/2 G3/2 F3/2 E3/2 D3/2 C3/2"},
		{"invert", "E4/2 F4/2 F#4/2 G4/2", "E4/2 D4/2 Db4/2 C4/2"},
		{"invert chromatic", "C4/2 E4/2 F#4/2 G4/2", "C4/2 Ab3/2 Gb3/2 F3/2"},
		{"retrograde", "C4 D4/2 E4 -/2 G4/2", "G4/2 -/2 E4 D4/2 C4"},
		{"start-on 3", "C4/2 D4/2 E4/2 D4/2", "E4/2 F4/2 G4/2 F4/2"},
		{"start-on 6", "C4/2 D4/2 E4/2 D4/2", "A3/2 B3/2 C4/2 B3/2"},
		{"octave-jump", "C4/2 D4/2 E4/2 D4/2", "C4/2 D5/2 E4/2 D5/2"},
		{"octave-jump 3", "C4/2 D4/2 E4/2 D4/2", "C4/2 D4/2 E5/2 D4/2"},
		{"displace 1/8", "C4/2 D4/2 E4/4", "- C4/2 D4/2 E4/3"},
		{"displace 1/4", "C4/2 D4/2 E4/4", "-/2 C4/2 D4/2 E4/2"},
		{"displace 1/8", "C4/4 D4/3 E4", "- C4/4 D4/3 E4 - -/2 -/4"}, // what does not fit makes a bar more
		{"displace -1/8", "-/2 C4/2 D4/4", "- C4/2 D4/4 -"},
		{"augment 2", "C4/2 D4/2 E4/4", "C4/4 D4/4 E4/8"},
		{"augment 3/2", "C4/2 D4/2 E4/4", "C4/3 D4/3 E4/2 ~E4/4 -/4"},
		{"diminish 2", "C4/2 D4/2 E4/4", "C4 D4 E4/2 -/4"},
		{"retrograde; invert", scale, "C5/2 D5/2 E5/2 F5/2 G5/2 A5/2 B5/2 C6/2"},
	} {
		in := phrase(t, c, tc.in)
		var steps []Variation
		for s := range strings.SplitSeq(tc.steps, "; ") {
			steps = append(steps, step(t, s))
		}
		out, ds := Vary(in, steps, VaryOptions{})
		assert.Equal(t, tc.want, told(out), tc.steps)
		assert.Zero(t, ds.Count(score.NotDone), tc.steps)
		assert.Equal(t, tc.in, told(in), "the input is not changed")
	}
}

// TestPentatonicSteps: in a scale of five notes a step is a step of it: thirds
// leave one note out (common practice for pentatonic sequences).
func TestPentatonicSteps(t *testing.T) {
	key := theory.Key{Tonic: theory.NoteName{Step: theory.A}, Mode: theory.Minor}
	s := phrase(t, key, "A3/2 C4/2 D4/2 E4/2")
	out, _ := Vary(s, []Variation{step(t, "in thirds")}, VaryOptions{Scale: &ScaleOn{key.Tonic, mustScale(t, "minor pentatonic")}})
	assert.Equal(t, "A3 D4 C4 E4 D4 G4 E4 A4", told(out))
}

// TestTargets: notes on strong beats go to the nearest tone of the chord that is not
// struck beside them.
func TestTargets(t *testing.T) {
	s := phrase(t, theory.Key{}, "D4/2 E4/2 F4/2 B4/2")
	chord, err := theory.ParseChord("C")
	require.NoError(t, err)
	s.Parts[0].Measures[0].Events = append(s.Parts[0].Measures[0].Events, &score.Harmony{Chord: chord})
	s.Parts[0].Measures[0].SortEvents()
	out, _ := Vary(s, []Variation{step(t, "target")}, VaryOptions{})
	// The second beat is weak; E on the third would be struck twice, so it is G;
	// the last note resolves.
	assert.Equal(t, "C4/2 E4/2 G4/2 C5/2", told(out))
	out, _ = Vary(s, []Variation{step(t, "start-on fifth")}, VaryOptions{})
	assert.Equal(t, "G4/2 A4/2 B4/2 E5/2", told(out))
	_, ds := Vary(phrase(t, theory.Key{}, "D4/8"), []Variation{step(t, "target")}, VaryOptions{})
	assert.Equal(t, 1, count(ds, CodeVaryRefused))
}

// TestBackwards: techniques in time turned round. A bend that is held up is,
// from its end, one that is struck bent and let down; a scoop into a note is a
// fall out of it; a hammer-on is a pull-off (common practice).
func TestBackwards(t *testing.T) {
	for _, tc := range []struct{ a, b score.Technique }{
		{score.Bend{Amount: score.Q(2, 1)}, score.Bend{Amount: score.Q(2, 1), PreBend: true, Release: true}},
		{score.Bend{Amount: score.Q(2, 1), Release: true}, score.Bend{Amount: score.Q(2, 1), Release: true}},
		{score.Bend{Amount: score.Q(2, 1), PreBend: true}, score.Bend{Amount: score.Q(2, 1), PreBend: true}},
		{score.Bend{Amount: score.Q(2, 1), Release: true, ReleaseTo: score.Q(1, 1)}, score.Bend{Amount: score.Q(2, 1), Release: true, ReleaseTo: score.Q(1, 1)}},
		{score.Span{Kind: score.HammerOn, ID: 3, End: score.Start}, score.Span{Kind: score.PullOff, ID: 3, End: score.Stop}},
		{score.Span{Kind: score.PalmMute, ID: 3, End: score.Start}, score.Span{Kind: score.PalmMute, ID: 3, End: score.Stop}},
		{score.SlideEdge{In: true, Below: true}, score.SlideEdge{Below: true}},
		{score.SlideEdge{In: true}, score.SlideEdge{}},
		{score.ArpeggioUp, score.ArpeggioDown},
		{score.Vibrato, score.Vibrato},
		{score.Trill{To: 2}, score.Trill{To: 2}},
	} {
		assert.Equal(t, tc.b, backwards(tc.a))
		assert.Equal(t, tc.a, backwards(tc.b), "and back")
	}
}

// TestLegatoTurnsRound: on the neck.
func TestLegatoTurnsRound(t *testing.T) {
	s := lick(t, fretboard.Guitar(), "3.5h 3.7p 3.5b 2.8")
	s.Parts[0].Measures[0].Nominal = score.Q(4, 1)
	out, ds := Vary(s, []Variation{step(t, "retrograde")}, VaryOptions{})
	assert.Zero(t, ds.Count(score.NotDone))
	var got []string
	for n := range score.Notes(out) {
		text := fmt.Sprintf("%d.%d", n.Place.String, n.Place.Fret)
		for _, x := range n.Techniques {
			switch x := x.(type) {
			case score.Span:
				if x.End == score.Start {
					text += map[score.SpanKind]string{score.HammerOn: "h", score.PullOff: "p"}[x.Kind]
				}
			case score.Bend:
				text += fmt.Sprintf("b%v,%v", x.PreBend, x.Release)
			}
		}
		got = append(got, text)
	}
	// The places stay; 5 to 7 is hammered on again, 7 to 5 pulled off.
	assert.Equal(t, []string{"2.8", "3.5hbtrue,true", "3.7p", "3.5"}, got)
}

// metred gives a generated score a metre.
func metred(s *score.Score) *score.Score {
	for _, p := range s.Parts {
		for i, m := range p.Measures {
			m.Nominal = m.Length
			if i == 0 {
				metre, _ := score.ParseMetre("4/4")
				m.Events = append([]score.Event{metre}, m.Events...)
			}
		}
	}
	return s
}

// lasting writes what sounds when in a score, tied notes as one, with the
// techniques of each note: spans by where their other end is. It shares nothing
// with what varies.
func lasting(s *score.Score) string {
	type sounding struct {
		note    *score.Note
		at, end score.Quarters
		voice   [3]int
		grace   bool
		tied    bool
		techs   []score.Technique
	}
	var list []*sounding
	for pi, p := range s.Parts {
		var start score.Quarters
		open := map[[5]int]*sounding{}
		for _, m := range p.Measures {
			for c := range m.Chords() {
				same := map[int]int{} // one sound on two strings
				for _, n := range c.Notes {
					at := start.Add(c.Onset)
					k := [5]int{pi, c.Staff, c.Voice, n.Pitch.MIDI(), same[n.Pitch.MIDI()]}
					same[n.Pitch.MIDI()]++
					if o := open[k]; n.TieStop && o != nil && o.end == at && o.tied {
						o.end, o.tied = at.Add(c.Duration), n.TieStart
						o.techs = append(o.techs, n.Techniques...)
						continue
					}
					x := &sounding{note: n, at: at, end: at.Add(c.Duration), voice: [3]int{pi, c.Staff, c.Voice}, grace: c.Grace != score.NotGrace, tied: n.TieStart, techs: slices.Clone(n.Techniques)}
					open[k] = x
					list = append(list, x)
				}
			}
			start = start.Add(m.Length)
		}
	}
	where := func(x *sounding) string {
		return fmt.Sprintf("%v %v-%v %d grace %v", x.voice, x.at, x.end, x.note.Pitch.MIDI(), x.grace)
	}
	ends := map[string]string{}
	for _, x := range list {
		for _, t := range x.techs {
			if s, ok := t.(score.Span); ok {
				ends[fmt.Sprint(x.voice[0], s)] = where(x)
			}
		}
	}
	var lines []string
	for _, x := range list {
		var techs []string
		for _, t := range x.techs {
			switch t := t.(type) {
			case score.Span:
				other := t
				other.End = score.Start + score.Stop - t.End
				techs = append(techs, fmt.Sprintf("span %d %d to %s", t.Kind, t.End, ends[fmt.Sprint(x.voice[0], other)]))
			default:
				techs = append(techs, fmt.Sprintf("%T%v", t, t))
			}
		}
		slices.Sort(techs)
		techs = slices.Compact(techs) // a harmonic that is tied on is marked twice
		lines = append(lines, where(x)+" "+strings.Join(techs, "; "))
	}
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}

// TestInversionAndRetrogradeComeBack: done twice, each is the identity in
// pitch, time and technique, over generated phrases of every kind. Phrases of
// which only some notes of a chord are tied, and those that had to move by
// octaves, are left out.
func TestInversionAndRetrogradeComeBack(t *testing.T) {
	tried := map[string]int{}
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 9))
		s := metred(generated(r, 1+r.IntN(4)))
		if hasNatural(s) {
			continue // on another string a natural harmonic is another one
		}
		for _, name := range []string{"invert", "invert chromatic", "retrograde"} {
			once, ds := varyUnfingered(s, step(t, name))
			twice, more := varyUnfingered(once, step(t, name))
			ds = append(ds, more...)
			if count(ds, CodeVaryTie) > 0 || count(ds, CodeVaryRange) > 0 || count(ds, CodeVaryTechnique) > 0 {
				continue
			}
			tried[name]++
			require.Equal(t, lasting(s), lasting(twice), "%s, seed %d", name, seed)
		}
	}
	for name, n := range tried {
		assert.Greater(t, n, 40, name)
	}
	assert.Len(t, tried, 3)
}

// varyUnfingered does a step and puts nothing on the neck.
func varyUnfingered(s *score.Score, step Variation) (*score.Score, score.Diagnostics) {
	out := s.Clone()
	rep := &reporter{score: s, parts: len(s.Parts)}
	for _, p := range out.Parts {
		rep.enter(p)
		v := newVaried(out, p, rep, VaryOptions{})
		v.do(step)
		if v.moved {
			v.intoRange()
		}
		v.finish()
	}
	return out, rep.list
}

// someSteps are one of each kind and more.
func someSteps(t testing.TB) (list []Variation) {
	for _, s := range []string{"invert", "invert chromatic", "retrograde", "in thirds", "in fourths down", "sequence 1", "sequence 3", "sequence 4 down", "group 3", "permute", "permute 3 1 2",
		"start-on 5", "start-on 3", "octave-jump", "octave-jump 3", "displace 1/8", "displace -1/4", "displace 1/16", "augment 2", "augment 3/2", "diminish 2", "diminish 3"} {
		list = append(list, step(t, s))
	}
	return list
}

// TestVariationsAreWholeAndLegal: whatever is done to generated phrases, bars
// are whole, voices have neither gaps nor overlaps, tuplets are whole, notes
// lie at their places, and what is joined goes the right way.
func TestVariationsAreWholeAndLegal(t *testing.T) {
	all := someSteps(t)
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 10))
		s := metred(generated(r, 1+r.IntN(4)))
		steps := []Variation{all[r.IntN(len(all))]}
		if r.IntN(2) == 0 {
			steps = append(steps, all[r.IntN(len(all))])
		}
		before := s.Clone()
		out, ds := Vary(s, steps, VaryOptions{Seed: seed})
		require.Equal(t, before, s, "the input is not changed")
		for _, problem := range varyProblems(out, ds.Count(score.NotDone) == 0) {
			require.Fail(t, problem, "seed %d: %v\n%v", seed, steps, ds)
		}
		if seed%5 == 0 {
			again, _ := Vary(s, steps, VaryOptions{Seed: seed})
			require.Equal(t, out, again, "the same seed, the same phrase")
		}
	}
}

// varyProblems looks a score over. Where not all could be done, notes that are
// joined may have lost their string, which is said.
func varyProblems(s *score.Score, done bool) (list []string) {
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	for _, p := range s.Parts {
		var neck *fretboard.Neck
		open := map[score.Span]*score.Note{}
		for i, m := range p.Measures {
			if i > 0 && i < len(p.Measures)-1 && m.Length != m.Nominal {
				say("bar %d is %v long, its metre %v", i, m.Length, m.Nominal)
			}
			ends := map[voiceKey]score.Quarters{}
			written := map[int]score.Quarters{}
			for _, e := range m.Events {
				if e.At().Sign() < 0 || m.Length.Less(e.At()) {
					say("bar %d: an event at %v", i, e.At())
				}
				if n, ok := e.(*score.NeckChange); ok {
					neck = &n.Neck
				}
				c, ok := e.(*score.Chord)
				if !ok {
					continue
				}
				k := voiceKey{c.Staff, c.Voice}
				if c.Grace == score.NotGrace {
					if ends[k] != c.Onset {
						say("bar %d: a voice is silent or doubled from %v to %v", i, ends[k], c.Onset)
					}
					ends[k] = c.End()
					for _, t := range c.Tuplets {
						written[t.ID] = written[t.ID].Add(c.Duration.Mul(score.Q(int64(t.Actual), int64(t.Normal))))
					}
				}
				for _, n := range c.Notes {
					if neck != nil && !n.Place.IsZero() && neck.Stopped(n.Place) != n.Pitch.MIDI() {
						say("bar %d: %v is not at %v", i, n.Pitch, n.Place)
					}
					for _, end := range [...]score.SpanEnd{score.Stop, score.Start} {
						for _, t := range n.Techniques {
							s, ok := t.(score.Span)
							if !ok || s.End != end {
								continue
							}
							key := score.Span{Kind: s.Kind, ID: s.ID}
							if end == score.Start {
								open[key] = n
								continue
							}
							from := open[key]
							delete(open, key)
							switch rise := 0; {
							case from == nil:
								say("bar %d: a span %v ends that has not begun", i, s)
							default:
								rise = n.Pitch.MIDI() - from.Pitch.MIDI()
								if s.Kind == score.HammerOn && rise < 0 || s.Kind == score.PullOff && rise > 0 {
									say("bar %d: span %v goes by %d", i, s, rise)
								}
								if done && s.Kind.KeepsString() && from.Place.String != n.Place.String {
									say("bar %d: span %v changes its string", i, s)
								}
							}
						}
					}
				}
			}
			for k, end := range ends {
				if end != m.Length {
					say("bar %d: voice %v ends at %v of %v", i, k, end, m.Length)
				}
			}
			for id, length := range written {
				if !binary(length) {
					say("bar %d: tuplet %d holds %v", i, id, length)
				}
			}
		}
		for s := range open {
			say("span %v does not end", s)
		}
	}
	return list
}

// TestVariationNames: what a step is called reads back to it.
func TestVariationNames(t *testing.T) {
	for _, v := range append(someSteps(t), step(t, "target"), step(t, "start-on third")) {
		name, value, _ := strings.Cut(v.String(), " ")
		again, err := ParseVariation(name, value)
		require.NoError(t, err, v.String())
		assert.Equal(t, v, again)
	}
	for _, bad := range []string{"in seconds", "in", "sequence x", "sequence 0", "group 1", "permute 1 1", "permute 1", "permute 2 3", "start-on 9", "start-on fourth", "displace 1", "displace 9/1",
		"augment 1", "augment 0", "diminish -2", "invert sideways", "retrograde twice", "octave-jump 1", "turn 3", "in thirds sideways"} {
		name, value, _ := strings.Cut(bad, " ")
		_, err := ParseVariation(name, value)
		var pe *theory.ParseError
		assert.ErrorAs(t, err, &pe, bad)
	}
}
