// Command fit learns the weights of the terms of fingering from what people
// did.
package main

import (
	"flag"
	"fmt"
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
	folds := flag.Int("folds", 5, "folds of the cross-validation over pieces; 0 for none")
	steps := flag.Int("steps", 40, "steps of the descent")
	prior := flag.Float64("prior", 2, "how far weights may go from those set by hand (standard deviation)")
	shares := flag.String("shares", "300,300,200,300", "how much the statements of a kind count in all: played, S, O, fingers")
	out := flag.String("o", "", "file to write the weights to")
	flag.Parse()
	debug.SetGCPercent(50)
	pieces, err := people.Read(*data)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	var share [people.NumKinds]float64
	for i, s := range strings.Split(*shares, ",") {
		share[i], _ = strconv.ParseFloat(s, 64)
	}
	fit := func(train []*people.Piece) *fingering.Weights {
		start := time.Now()
		l, err := fingering.NewLikelihood(people.Examples(train, share))
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
		fmt.Fprintf(os.Stderr, "prepared in %.1f s\n", time.Since(start).Seconds())
		hand := *fingering.ByHand()
		x := descent.Minimise(func(x []float64) (float64, []float64) {
			w := fingering.Weights(x)
			v, g := l.At(&w)
			for i := range x {
				d := x[i] - hand[i]
				v += d * d / (2 * *prior * *prior)
				g[i] += d / (*prior * *prior)
			}
			return v, g[:]
		}, hand[:], *steps, func(step int, v float64) {
			if step%10 == 0 {
				fmt.Fprintf(os.Stderr, "  %3d %9.3f  %.1f s\n", step, v, time.Since(start).Seconds())
			}
		})
		w := fingering.Weights(x)
		w[fingering.Preference] = 1
		return &w
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
	fmt.Println(people.Line("seen", judge(w, pieces)))
	if *out != "" {
		f, err := os.Create(*out)
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
