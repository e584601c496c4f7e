package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"example.org/lickwright/render/midi"
	"example.org/lickwright/score"
)

// soundFlags say how music is played where it is to be heard. They are the
// same for all commands that write.
type soundFlags struct {
	loop    int
	countIn int
	click   bool
	chords  bool
	swing   string
}

func (f *soundFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.IntVar(&f.loop, "loop", 0, "with mid: play the music so many times")
	fl.IntVar(&f.countIn, "count-in", 0, "with mid: so many bars of clicks before the music")
	fl.BoolVar(&f.click, "click", false, "with mid: clicks along with the music")
	fl.BoolVar(&f.chords, "backing", false, "with mid: the chord symbols as held chords")
	fl.StringVar(&f.swing, "swing", "", "with mid: first to second half of a quarter, as 2:1, or the first in per cent, as 60")
}

// given tells whether any of the flags says something.
func (f *soundFlags) given() bool { return *f != soundFlags{} }

// sound checks the flags.
func (f *soundFlags) sound() (score.Sound, error) {
	s := score.Sound{Loop: f.loop, CountIn: f.countIn, Click: f.click, Chords: f.chords}
	switch {
	case f.loop < 0 || f.loop > midi.MaxLoop:
		return s, &usageError{fmt.Sprintf("--loop %d: from 1 to %d times", f.loop, midi.MaxLoop), ""}
	case f.countIn < 0 || f.countIn > midi.MaxCountIn:
		return s, &usageError{fmt.Sprintf("--count-in %d: from 0 to %d bars", f.countIn, midi.MaxCountIn), ""}
	}
	swing, ok := parseSwing(f.swing)
	if !ok {
		return s, &usageError{fmt.Sprintf("--swing %q is no swing", f.swing), "write the first half of a quarter to the second, as 2:1 or 3:2, or the first in per cent, from 50 to 74"}
	}
	s.Swing = swing
	return s, nil
}

// parseSwing reads where the second half of a quarter begins: "2:1" is two
// thirds, and so are "66" and "67", which mean it. Straight is 0.
func parseSwing(s string) (score.Quarters, bool) {
	if s == "" {
		return score.Quarters{}, true
	}
	var share score.Quarters
	if a, b, found := strings.Cut(s, ":"); found {
		x, err1 := strconv.Atoi(a)
		y, err2 := strconv.Atoi(b)
		if err1 != nil || err2 != nil || x < 1 || y < 1 || x > 99 || y > 99 {
			return share, false
		}
		share = score.Q(int64(x), int64(x+y))
	} else {
		n, err := strconv.Atoi(strings.TrimSuffix(s, "%"))
		if err != nil {
			return share, false
		}
		if share = score.Q(int64(n), 100); n == 66 || n == 67 {
			share = score.Q(2, 3)
		}
	}
	if share == score.Q(1, 2) {
		return score.Quarters{}, true
	}
	return share, score.Q(1, 2).Less(share) && share.Less(score.Q(3, 4))
}

// bindMIDI writes several results one after the other, each with a marker.
func bindMIDI(w io.Writer, b binding, opt score.WriteOptions) error {
	var pieces []midi.Piece
	for _, p := range b.pages {
		pieces = append(pieces, midi.Piece{Heading: p.heading, Score: p.score})
	}
	title := b.title
	if title == "" && len(b.pages) > 0 {
		title = b.pages[0].score.Title
	}
	return midi.WriteAll(w, title, pieces, midi.Options{Sound: opt.Sound, Remarks: b.practise, Report: opt.Report})
}
