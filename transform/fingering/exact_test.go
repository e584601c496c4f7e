package fingering

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// randomWeights have all signs, so that nothing hangs on costs being costs.
func randomWeights(r *rand.Rand) *Weights {
	var w Weights
	for t := range w {
		w[t] = r.Float64()*3 - 0.7
	}
	w[Preference] = 1
	return &w
}

// randomProblem makes a small problem: a line or chords, on an odd neck, with
// all sorts of constraints.
func randomProblem(r *rand.Rand) *Problem {
	strings := 3 + r.IntN(2)
	open := make([]theory.Pitch, strings)
	low := 40
	for i := strings - 1; i >= 0; i-- {
		// Mostly rising by thirds to fifths; now and then re-entrant.
		low += 3 + r.IntN(5)
		midi := low
		if r.IntN(12) == 0 {
			midi += 12
		}
		open[i] = theory.SpellIn(theory.Key{}, midi)
	}
	neck := fretboard.Neck{Tuning: fretboard.Tuning{Strings: open}, Frets: 3 + r.IntN(4)}
	if r.IntN(4) == 0 {
		neck.Capo = 1 + r.IntN(2)
	}
	if r.IntN(4) == 0 {
		neck.Frets, neck.Capo = 13, 8+r.IntN(3)
	}
	p := &Problem{Neck: neck}
	groups := 2 + r.IntN(3)
	at := 0.0
	for g := range groups {
		group := Group{Onset: at}
		if r.IntN(5) == 0 {
			group.Tempo = 50 + 200*r.Float64()
		}
		notes := 1
		if r.IntN(3) == 0 {
			notes = 1 + r.IntN(3)
		}
		for range notes {
			s := 1 + r.IntN(strings)
			n := Note{Pitch: neck.Stopped(fretboard.Place{String: s, Fret: r.IntN(neck.TopFret() + 1)}), Duration: 0.5}
			n.Duration = []float64{0.25, 0.5, 0.5, 0.5, 1, 2}[r.IntN(6)]
			n.Ring = n.Duration > 0.5 && r.IntN(4) == 0
			switch r.IntN(20) {
			case 0:
				n.Strings = uint16(1<<s) | uint16(r.IntN(32))
			case 1:
				n.Finger = score.Finger(1 + r.IntN(4))
			case 2:
				n.Finger = score.FingerOpen
			case 3:
				n.MinFret = 1
			case 4:
				n.MaxFret = 3
			case 5:
				n.Bend = 2
				n.MinFret = 1
			case 6:
				n.Free = true
			case 7:
				if hs := fretboard.Nodes(neck.TopFret()); len(hs) > 0 {
					n.Harmonic = true
					n.Pitch = neck.Stopped(fretboard.Place{String: s}) + hs[r.IntN(len(hs))].Semitones
				}
			case 8:
				n.Fret = 1 + r.IntN(3)
			}
			if g > 0 && r.IntN(6) == 0 {
				from := r.IntN(g)
				if r.IntN(3) > 0 {
					from = g - 1
				}
				n.Join = Join(1 + r.IntN(4))
				n.From = Ref{from, r.IntN(len(p.Groups[from].Notes))}
			}
			group.Notes = append(group.Notes, n)
		}
		p.Groups = append(p.Groups, group)
		at += []float64{0.25, 0.5, 0.5, 1, 2}[r.IntN(5)]
	}
	if r.IntN(3) == 0 {
		a, b := 1+r.IntN(7), r.Float64()*2-1
		p.Prefer = func(group, note int, pl fretboard.Place) (float64, bool) {
			return b * float64(group+pl.Fret), (group+note+pl.String+pl.Fret)%a != 1 || a == 1
		}
	}
	return p
}

// Every algebra finds what going through all fingerings finds: the cheapest,
// the k cheapest, how many there are, the log-sum, the least widest stretch.
func TestEveryAlgebraEqualsBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	cases, chords, joins, holds := 0, 0, 0, 0
	want := 10500
	if testing.Short() {
		want = 1000
	}
	for tried := 0; cases < want; tried++ {
		require.Less(t, tried, 12*want, "few problems can be solved")
		p, w := randomProblem(r), randomWeights(r)
		ref := refSolver{p: p, w: w, len: 648}
		ans, ok := ref.solve(15000)
		if !ok {
			continue
		}
		cases++
		for g := range p.Groups {
			holds += len(ref.held(g))
		}
		for _, g := range p.Groups {
			if len(g.Notes) > 1 {
				chords++
			}
			for _, n := range g.Notes {
				if n.Join != NotJoined {
					joins++
				}
			}
		}
		f, err := Solve(p, w)
		require.NoError(t, err)
		require.Empty(t, f.Breaks, "%+v", p)
		// The search counts in millionths, an edge rounded to half of one.
		require.InDelta(t, ans.costs[0], f.Cost, 1e-4, "%d: %+v", cases, p)
		if cases%4 != 0 {
			continue
		}
		n, err := Count(p)
		require.NoError(t, err)
		require.Equal(t, int64(len(ans.costs)), n.Int64(), "%+v", p)
		mm, _ := LeastStretch(p)
		require.InDelta(t, ans.widest, mm, 1e-7)
		sum := 0.0
		for _, c := range ans.costs {
			sum += math.Exp(ans.costs[0] - c)
		}
		z, _ := LogSum(p, w)
		require.InDelta(t, math.Log(sum)-ans.costs[0], z, 1e-7)
		k := &cheapestK{k: 25}
		ways, _ := walk(newMaker(p, w, nil), k, false)
		require.Len(t, ways, min(25, len(ans.costs)))
		for i, way := range ways {
			require.InDelta(t, ans.costs[i], way.cost, 1e-7)
		}
	}
	assert.Greater(t, chords, want/4)
	assert.Greater(t, joins, want/40)
	assert.Greater(t, holds, want/4)
}
