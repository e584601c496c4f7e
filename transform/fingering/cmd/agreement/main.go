// Command agreement tells how far the fingerings of the search agree with
// those of people, beside two trivial policies.
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
	flag.Parse()
	pieces, err := people.Read(*data)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	choices := []struct {
		name string
		people.Choice
	}{
		{"lowest fret", people.LowestFret},
		{"nearest to previous fret", people.NearestFret},
		{"weights set by hand", people.Fingered(fingering.ByHand())},
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
}
