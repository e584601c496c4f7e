// Command agreement tells how far the fingerings of the search agree with
// those of people, beside two trivial policies. The weights of the program
// were learnt from these very pieces; what they do on pieces held out stands
// at the head of their file.
//
//	go run ./transform/fingering/cmd/agreement [-data DIR]
package main

import (
	"flag"
	"fmt"
	"os"

	"example.org/lickwright/transform/fingering"
	"example.org/lickwright/transform/fingering/internal/people"
)

func main() {
	data := flag.String("data", "../shared/data/fingering", "folder with the data")
	trade := flag.String("lines", "transform/fingering/testdata/trade.txt", "file with lines that follow from a rule")
	more := flag.String("weights", "", "file with weights to judge too")
	verbose := flag.Bool("v", false, "name the lines that are not fingered by their rule")
	flag.Parse()
	pieces, err := people.Read(*data)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	choices := []choice{
		{"lowest fret", people.LowestFret},
		{"nearest to previous fret", people.NearestFret},
		{"weights set by hand", people.Fingered(fingering.ByHand())},
		{"weights learnt, seen", people.Fingered(fingering.Plectrum())},
	}
	if *more != "" {
		f, err := os.Open(*more)
		if err == nil {
			var w *fingering.Weights
			if w, err = fingering.ReadWeights(f, *more); err == nil {
				choices = append(choices, choice{*more, people.Fingered(w)})
			}
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
	}
	for _, only := range []bool{false, true} {
		if only {
			fmt.Println("\nonly notes that have more than one place")
		} else {
			fmt.Println("all notes that people said something about")
		}
		fmt.Println(people.Header())
		for _, c := range choices {
			var list []people.Tally
			for _, p := range pieces {
				all, ambiguous := p.Judge(c.Choice(p.Problem))
				if only {
					all = ambiguous
				}
				list = append(list, all)
			}
			fmt.Println(people.Line(c.name, list))
		}
	}
	f, err := os.Open(*trade)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	lines, err := people.ReadLines(f, *trade)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	fmt.Println("\nlines whose fingering follows from a rule of the trade")
	for _, c := range choices {
		right := 0
		var wrong []string
		for _, l := range lines {
			if l.Right(c.Choice(l.Problem)) {
				right++
			} else {
				wrong = append(wrong, l.Name)
			}
		}
		fmt.Printf("%-28s  %d of %d\n", c.name, right, len(lines))
		if *verbose {
			fmt.Println("   not", wrong)
		}
	}
}

// a choice is a policy with its name.
type choice struct {
	name string
	people.Choice
}
