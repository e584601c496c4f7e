package midi_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/render/midi"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A file as the npm library midi-file reads it.
type played struct {
	Format, Division int
	Ends             []int64
	Notes            [][6]int64 // track, channel, key, on, off, velocity
	Events           []map[string]any
	Dangling         int
}

// play writes files and asks the independent reader what is in them.
func play(t *testing.T, files ...[]byte) []played {
	t.Helper()
	script := os.Getenv("LICKWRIGHT_PLAYED")
	if script == "" {
		outside.Absent(t, "LICKWRIGHT_PLAYED does not name the script of an independent reader (see .ci/played/install)")
	}
	args := []string{script}
	dir := t.TempDir()
	for i, data := range files {
		name := filepath.Join(dir, fmt.Sprint(i, ".mid"))
		require.NoError(t, os.WriteFile(name, data, 0o666))
		args = append(args, name)
	}
	out, err := exec.Command(outside.Program(t, "node"), args...).Output()
	require.NoError(t, err)
	var all []played
	for line := range bytes.Lines(out) {
		var p played
		require.NoError(t, json.Unmarshal(line, &p))
		all = append(all, p)
	}
	require.Len(t, all, len(files))
	return all
}

func write(t *testing.T, s *score.Score, sound score.Sound) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, midi.Write(&b, s, score.WriteOptions{Sound: sound}))
	return b.Bytes()
}

// A sound is a note as it must be heard.
type sound struct {
	part, str, key int
	on, off        score.Quarters
}

// expected works out from a score without repeats what must be heard, by the
// rules that the package documentation states, in its own way: note by note along
// each string. Grace notes, trills, tremolos and let-ring are left to tests of their
// own; a score that has any is not for it.
func expected(s *score.Score) []sound {
	var all []sound
	for i, p := range s.Parts {
		type entry struct {
			sound
			tied  bool
			share score.Quarters // of its length that it sounds
			most  score.Quarters // 0 for no limit
		}
		strings := map[int][]entry{}
		at := score.Quarters{}
		muted := 0
		for _, m := range p.Measures {
			for c := range m.Chords() {
				for _, n := range c.Notes {
					for _, x := range n.Techniques {
						if sp, ok := x.(score.Span); ok && sp.Kind == score.PalmMute && sp.End == score.Start {
							muted++
						}
					}
				}
				for _, n := range c.Notes {
					e := entry{sound{i, n.Place.String, n.Pitch.MIDI(), at.Add(c.Onset), at.Add(c.End())}, n.TieStop || n.Has(score.Held), score.Q(1, 1), score.Quarters{}}
					if h, ok := n.Harmonic(); ok {
						e.key += h.Over
					}
					if muted > 0 || n.Has(score.PalmMuted) || n.Has(score.Staccato) {
						e.share = score.Q(1, 2)
					}
					if n.Has(score.Dead) {
						e.most = score.Q(1, 8)
					}
					strings[n.Place.String] = append(strings[n.Place.String], e)
				}
				for _, n := range c.Notes {
					for _, x := range n.Techniques {
						if sp, ok := x.(score.Span); ok && sp.Kind == score.PalmMute && sp.End == score.Stop {
							muted--
						}
					}
				}
			}
			at = at.Add(m.Length)
		}
		for _, list := range strings {
			var out []entry
			for _, e := range list {
				if k := len(out) - 1; e.tied && k >= 0 && out[k].off == e.on && out[k].key == e.key {
					out[k].off = e.off
					continue
				}
				e.off = e.on.Add(e.off.Sub(e.on).Mul(e.share))
				if !e.most.IsZero() && e.on.Add(e.most).Less(e.off) {
					e.off = e.on.Add(e.most)
				}
				out = append(out, e)
			}
			for _, e := range out {
				all = append(all, e.sound)
			}
		}
	}
	return all
}

func length(s *score.Score) score.Quarters {
	longest := score.Quarters{}
	for _, p := range s.Parts {
		sum := score.Quarters{}
		for _, m := range p.Measures {
			sum = sum.Add(m.Length)
		}
		if longest.Less(sum) {
			longest = sum
		}
	}
	return longest
}

// heard turns what was read into sounds; the tracks of parts begin with the
// second, their channels are their strings in order.
func heard(p played, parts int) []sound {
	channels := map[int64][]int64{}
	for _, e := range p.Events {
		if e["type"] == "programChange" {
			tr := int64(e["track"].(float64))
			channels[tr] = append(channels[tr], int64(e["channel"].(float64)))
		}
	}
	var out []sound
	for _, n := range p.Notes {
		if n[0] < 1 || n[0] > int64(parts) {
			continue
		}
		str := slices.Index(channels[n[0]], n[1]) + 1
		out = append(out, sound{int(n[0]) - 1, str, int(n[2]), score.Q(n[3], int64(p.Division)), score.Q(n[4], int64(p.Division))})
	}
	return out
}

func inOrder(list []sound) []sound {
	slices.SortFunc(list, func(a, b sound) int {
		return cmp.Or(a.on.Cmp(b.on), a.part-b.part, a.str-b.str, a.key-b.key, a.off.Cmp(b.off))
	})
	return list
}

func checkPlayed(t *testing.T, name string, s *score.Score, p played) {
	t.Helper()
	assert.Equal(t, 1, p.Format, name)
	assert.Zero(t, p.Dangling, name)
	for _, end := range p.Ends {
		assert.Equal(t, length(s), score.Q(end, int64(p.Division)), "%s: all tracks are as long as the music", name)
	}
	assert.Equal(t, inOrder(expected(s)), inOrder(heard(p, len(s.Parts))), name)
}

// The same pitches, onsets and durations as the model, for random music.
func TestRandomMusicIsHeard(t *testing.T) {
	var scores []*score.Score
	var files [][]byte
	for seed := range uint64(150) {
		s := random(seed)
		scores = append(scores, s)
		files = append(files, write(t, s, score.Sound{}))
	}
	for i, p := range play(t, files...) {
		checkPlayed(t, fmt.Sprint("seed ", i), scores[i], p)
	}
}

// And for all examples, written out by hand where they repeat.
func TestExamplesAreHeard(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(outside.Root(), "testdata", "examples", "*.*"))
	require.NoError(t, err)
	var scores []*score.Score
	var files [][]byte
	var used []string
	for _, name := range names {
		s := read(t, name)
		if s == nil {
			continue
		}
		files = append(files, write(t, s, score.Sound{}))
		scores, used = append(scores, s), append(used, filepath.Base(name))
	}
	require.GreaterOrEqual(t, len(files), 6)
	for i, p := range play(t, files...) {
		if repeats(scores[i]) {
			assert.NotEmpty(t, p.Notes, used[i])
			continue
		}
		if special(scores[i]) {
			// Times of what is played out are decisions; that every onset of the
			// model is struck at its pitch is not.
			var got []sound
			for _, h := range heard(p, len(scores[i].Parts)) {
				got = append(got, sound{h.part, h.str, h.key, h.on, score.Quarters{}})
			}
			for _, e := range expected(scores[i]) {
				assert.Contains(t, got, sound{e.part, e.str, e.key, e.on, score.Quarters{}}, used[i])
			}
			continue
		}
		checkPlayed(t, used[i], scores[i], p)
	}
}

func read(t *testing.T, name string) *score.Score {
	data, err := os.ReadFile(name)
	require.NoError(t, err)
	switch filepath.Ext(name) {
	case ".tab":
		d, err := tabtext.Read(bytes.NewReader(data), name, score.ReadOptions{})
		require.NoError(t, err)
		return d.Score()
	case ".musicxml":
		d, err := musicxml.Read(bytes.NewReader(data), name, score.ReadOptions{})
		require.NoError(t, err)
		return d.Score()
	}
	return nil
}

func repeats(s *score.Score) bool {
	for n := range score.Preorder(s) {
		if b, ok := n.(*score.Barline); ok && b.Repeat != score.NoRepeat {
			return true
		}
	}
	return false
}

// special tells whether a score has what expected does not know.
func special(s *score.Score) bool {
	for n := range score.Preorder(s) {
		switch n := n.(type) {
		case *score.Chord:
			if n.Grace != score.NotGrace || n.Tremolo > 0 || n.Cue {
				return true
			}
		case *score.Note:
			if n.Has(score.TremoloPicking) || n.Has(score.LetRing) {
				return true
			}
			for _, t := range n.Techniques {
				if sp, ok := t.(score.Span); ok && sp.Kind == score.LetRingSpan {
					return true
				}
				if _, ok := t.(score.Trill); ok {
					return true
				}
			}
		}
	}
	return false
}

// random makes music of one part or two: tuplets, chords, ties, bends, slides,
// palm mutes, dead notes, harmonics.
func random(seed uint64) *score.Score {
	r := rand.New(rand.NewPCG(seed, 3))
	s := &score.Score{Title: fmt.Sprint("Study ", seed)}
	for i := range 1 + r.IntN(2) {
		neck := fretboard.Neck{Tuning: fretboard.Standard(), Frets: 22, Capo: r.IntN(3)}
		p := &score.Part{ID: fmt.Sprint("P", i+1), Name: fmt.Sprint("Neck ", i+1), Staves: 1}
		id, muting := 0, 0
		last := map[int]*score.Note{}
		for k := range 4 {
			m := &score.Measure{Length: score.Q(4, 1), Nominal: score.Q(4, 1)}
			if k == 0 {
				m.Events = append(m.Events, &score.NeckChange{Neck: neck}, &score.Tempo{QuartersPerMinute: float64(60 + r.IntN(100))})
			}
			for at := (score.Quarters{}); at.Less(m.Length); {
				durations := []score.Quarters{score.Q(1, 4), score.Q(1, 2), score.Q(1, 1), score.Q(1, 3), score.Q(1, 5), score.Q(3, 2), score.Q(2, 7)}
				d := durations[r.IntN(len(durations))]
				if m.Length.Less(at.Add(d)) {
					d = m.Length.Sub(at)
				}
				c := &score.Chord{Common: score.Common{Onset: at, Staff: 1}, Duration: d, Voice: 1}
				at = at.Add(d)
				m.Events = append(m.Events, c)
				if r.IntN(5) == 0 {
					last = map[int]*score.Note{}
					continue // a rest
				}
				now := map[int]*score.Note{}
				for _, str := range r.Perm(6)[:1+r.IntN(3)] {
					n := &score.Note{Place: fretboard.Place{String: str + 1, Fret: r.IntN(15)}}
					switch before := last[str]; {
					case before != nil && r.IntN(4) == 0 && len(before.Techniques) == 0:
						n.Place = before.Place
						before.TieStart, n.TieStop = true, true
					case before != nil && r.IntN(4) == 0 && before.Place.Fret != n.Place.Fret:
						id++
						kinds := []score.SpanKind{score.HammerOn, score.LegatoSlide, score.ShiftSlide}
						kind := kinds[r.IntN(3)]
						before.Techniques = append(before.Techniques, score.Span{Kind: kind, ID: id, End: score.Start})
						n.Techniques = append(n.Techniques, score.Span{Kind: kind, ID: id, End: score.Stop})
					case r.IntN(3) == 0:
						all := []score.Technique{score.Bend{Amount: score.Q(2, 1), Release: true}, score.Vibrato, score.Dead, score.Staccato, score.Ghost, score.Accent,
							score.SlideEdge{In: true}, score.Harmonic{Kind: score.ArtificialHarmonic, Over: 12}}
						n.Techniques = append(n.Techniques, all[r.IntN(len(all))])
					}
					n.Pitch = theory.SpellIn(theory.Key{}, neck.Stopped(n.Place))
					c.Notes = append(c.Notes, n)
					now[str] = n
				}
				first := c.Notes[0]
				switch {
				case muting == 0 && r.IntN(8) == 0 && !first.TieStop:
					id++
					muting = id
					first.Techniques = append(first.Techniques, score.Span{Kind: score.PalmMute, ID: id, End: score.Start})
				case muting > 0 && r.IntN(2) == 0:
					first.Techniques = append(first.Techniques, score.Span{Kind: score.PalmMute, ID: muting, End: score.Stop})
					muting = 0
				}
				last = now
			}
			p.Measures = append(p.Measures, m)
		}
		s.Parts = append(s.Parts, p)
	}
	return s
}
