// Command fit learns the weights of the terms of fingering from what people
// did, and says how well they do on pieces that they were not learnt from.
//
//	go run ./transform/fingering/cmd/fit -o transform/fingering/weights/plectrum.txt
//
// First it maximises the likelihood of what people stated, by the gradient
// (see [fingering.Likelihood]), with a penalty for going far from the weights
// set by hand. Then it raises the agreement itself by small changes at random.
// Everything is drawn from fixed seeds: the same data give the same weights.
package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime/debug"
	"strconv"
	"strings"
	"time"

	"example.org/lickwright/transform/fingering"
	"example.org/lickwright/transform/fingering/internal/descent"
	"example.org/lickwright/transform/fingering/internal/people"
)

func main() {
	data := flag.String("data", "../shared/data/fingering", "folder with the data")
	folds := flag.Int("folds", 3, "folds of the cross-validation over pieces; 0 for none")
	steps := flag.Int("steps", 14, "steps of the descent")
	prior := flag.Float64("prior", 2, "how far weights may go from those set by hand (standard deviation)")
	shares := flag.String("shares", "300,300,200,300,150", "how much the statements of a kind count in all: played, S, O, fingers, by rule")
	weight := flag.String("emphasis", "0.25,0.3,0.3,0.35,0.25", "how much the agreement in a set counts when it is raised itself: played, S, S+O, fingers, by rule")
	rules := flag.Int("rules", 96, "lines made by rule that are learnt from too")
	climbs := flag.Int("climbs", 3, "how often the agreement itself is raised, each time from two thirds of the pieces")
	tries := flag.Int("tries", 250, "changes that are tried to raise the agreement itself")
	from := flag.String("from", "", "file with weights to begin with; without it those set by hand")
	out := flag.String("o", "", "file to write the weights to")
	flag.Parse()
	debug.SetGCPercent(50)
	pieces, err := people.Read(*data)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	var share [people.NumKinds]float64
	numbers(*shares, share[:])
	var emphasis [people.NumSets]float64
	numbers(*weight, emphasis[:])
	hand := fingering.ByHand()
	begin := hand
	if *from != "" {
		f, err := os.Open(*from)
		if err == nil {
			begin, err = fingering.ReadWeights(f, *from)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
	}
	fit := func(train []*people.Piece) *fingering.Weights {
		start := time.Now()
		windows := append(people.Windows(train), people.Rules(3, *rules)...)
		l, err := fingering.NewLikelihood(people.Examples(windows, share))
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
		fmt.Fprintf(os.Stderr, "prepared in %.1f s\n", time.Since(start).Seconds())
		x := *begin
		if *steps > 0 {
			x = fingering.Weights(descent.Minimise(func(x []float64) (float64, []float64) {
				w := fingering.Weights(x)
				v, g := l.At(&w)
				for i := range x {
					d := x[i] - hand[i]
					v += d * d / (2 * *prior * *prior)
					g[i] += d / (*prior * *prior)
				}
				return v, g[:]
			}, x[:], *steps, func(step int, v float64) {
				if step%10 == 0 {
					fmt.Fprintf(os.Stderr, "  %3d %9.3f  %.1f s\n", step, v, time.Since(start).Seconds())
				}
			}))
		}
		x[fingering.Preference] = 1
		// Climb several times, each time over some of the pieces only, and
		// take the mean: what one climb owes to chance is lost in it.
		var sum fingering.Weights
		for c := range *climbs {
			r := rand.New(rand.NewPCG(uint64(c), 9))
			left := map[string]bool{}
			for _, p := range windows {
				if _, ok := left[p.Name]; !ok {
					left[p.Name] = *climbs > 1 && !p.Played && r.IntN(3) == 0
				}
			}
			agreement := func(w *fingering.Weights) float64 {
				var sum people.Tally
				for i, f := range l.Fingerings(w) {
					if !left[windows[i].Name] {
						all, _ := windows[i].Judge(f.Stops)
						sum.Add(all)
					}
				}
				mean := 0.0
				for s, t := range sum {
					if t.Of > 0 {
						mean += emphasis[s] * 100 * float64(t.Right) / float64(t.Of)
					}
				}
				return mean
			}
			up := climb(&x, agreement, *tries, r, func(try int, v float64) {
				fmt.Fprintf(os.Stderr, "  climb %d, try %d: %.2f  %.1f s\n", c+1, try, v, time.Since(start).Seconds())
			})
			for t := range sum {
				sum[t] += up[t] / float64(*climbs)
			}
		}
		if *climbs > 0 {
			x = sum
		}
		x[fingering.Preference] = 1
		return &x
	}
	judge := func(w *fingering.Weights, test []*people.Piece) (list []people.Tally) {
		for _, p := range test {
			all, _ := p.Judge(people.Fingered(w)(p.Problem))
			list = append(list, all)
		}
		return list
	}
	fmt.Println(people.Header())
	var heldOut []people.Tally
	for f := range *folds {
		var train, test []*people.Piece
		for i, p := range pieces {
			if i%*folds == f {
				test = append(test, p)
			} else {
				train = append(train, p)
			}
		}
		w := fit(train)
		list := judge(w, test)
		fmt.Println(people.Line(fmt.Sprintf("fold %d", f+1), list))
		heldOut = append(heldOut, list...)
	}
	if *folds > 0 {
		fmt.Println(people.Line("held out", heldOut))
	}
	w := fit(pieces)
	seen := people.Line("seen", judge(w, pieces))
	fmt.Println(seen)
	// How the weights came about, as remarks at the head of the file.
	story := "# Weights of the terms of fingering, learnt by\n#   go run ./transform/fingering/cmd/fit"
	flag.Visit(func(f *flag.Flag) {
		if f.Name != "o" && f.Name != "data" {
			story += " -" + f.Name + " " + f.Value.String()
		}
	})
	story += "\n# from the played and the edited pieces of the data beside the repository and lines made by rule.\n#\n"
	story += "# " + people.Header() + "\n"
	if *folds > 0 {
		story += "# " + people.Line(fmt.Sprintf("held out, %d folds of pieces", *folds), heldOut) + "\n"
	}
	story += "# " + seen + "\n\n"
	if *out != "" {
		f, err := os.Create(*out)
		if err == nil {
			_, err = f.WriteString(story)
		}
		if err == nil {
			_, err = w.WriteTo(f)
		}
		if err == nil {
			err = f.Close()
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
	}
}

// climb raises a function by changing a few weights at a time at random,
// keeping what does not lower it; the changes grow when they help and shrink
// when they don't. The numbers come from r.
// Source: the (1+1) evolution strategy with the one-fifth rule (Rechenberg,
// Evolutionsstrategie, 1973).
func climb(w *fingering.Weights, f func(*fingering.Weights) float64, tries int, r *rand.Rand, tell func(int, float64)) *fingering.Weights {
	best, now := f(w), *w
	size := 0.25
	for try := range tries {
		if try%100 == 0 {
			tell(try, best)
		}
		next := now
		for range 1 + r.IntN(6) {
			t := r.IntN(len(next))
			if fingering.Term(t) != fingering.Preference {
				next[t] += size * r.NormFloat64()
			}
		}
		if v := f(&next); v >= best {
			if v > best {
				size = min(size*1.3, 0.6)
			}
			best, now = v, next
		} else {
			size = max(size*0.94, 0.06)
		}
	}
	tell(tries, best)
	return &now
}

// numbers reads numbers with commas between.
func numbers(text string, list []float64) {
	fields := strings.Split(text, ",")
	if len(fields) != len(list) {
		fmt.Fprintf(os.Stderr, "%q: %d numbers are wanted\n", text, len(list))
		os.Exit(2)
	}
	for i, s := range fields {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
		list[i] = v
	}
}
