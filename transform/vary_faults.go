package transform

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
)

// What a variation may be at most, or has to be at least, beside its phrase.
const (
	beyondRange    = 5        // semitones beyond the lowest and the highest note: a fourth
	spareOutside   = 1.0 / 16 // of the time on notes neither in the scale nor in the chord, more than the phrase
	leastNotes     = 2.0 / 3  // as many notes
	mostNotes      = 2        // as many notes
	leastKept      = 1.0 / 2  // of its cells or of its rhythm
	hardlyKept     = 1.0 / 3  // of its cells: less speaks against it
	mostRounds     = 4        // times a cell in a row, if the phrase has none more often
	fewRounds      = 1        // times a cell in a row that nothing speaks against
	mostRoundFlaws = 2        // at most this much speaks against more
	stalledFrom    = 3        // bars that begin with one note
	mostUses       = 2        // times one step, before others are taken first
	mostOfKind     = 3        // of ten whose first step, or all that there is, is of one kind
	twinShare      = 3.0 / 4  // of the notes of both, in order: they are twins, whenever they come
	mostOfPhrase   = 1        // twins of the phrase itself, of ten
	twinFlaws      = 10       // as much counts a twin among those chosen: it comes last
	likeFlaws      = 2        // as much counts one of the same turns among those chosen
	leastApart     = 0.15     // how far it is from it
	mostDisplaced  = 3        // of ten that begin at another time, before others are taken first
	fewTargets     = 2        // notes moved to chord tones; each more speaks against it
	mostTargets    = 4        // the same, at all
	silentEnd      = 2        // flaws of one whose last bar is silent
	nothingMarked  = 2        // flaws of one without anything of what marks the phrase
	mostFlaws      = 4        // things that speak against it
	fewFlaws       = 2        // the same, of those that fill the pool
)

// longestHeld is from how long on, in quarter notes, a note off its chord is too
// long.
var longestHeld = score.Q(2, 1)

// The reasons for which a variation is not taken.
const (
	faultStep = iota
	faultPlay
	faultSlur
	faultLeap
	faultStrong
	faultEnd
	faultSpill
	faultRepeat
	faultRock
	faultLost
	faultRange
	faultOutside
	faultTargets
	faultStart
	faultBrief
	faultHeld
	faultFlaws
	faultSame
	faultAlike
)

var faultWords = [...]string{
	faultStep: "cannot be done or change nothing", faultPlay: "cannot be played", faultSlur: "pull off to open strings", faultLeap: "leap further than the phrase does",
	faultStrong: "have fewer chord tones on strong beats", faultEnd: "do not end on a chord tone", faultSpill: "end after the last bar",
	faultRepeat: "repeat notes or cells again and again", faultRock: "rock between two notes", faultLost: "have too little of the phrase", faultRange: "leave the range of the phrase",
	faultOutside: "stay long on notes outside of scale and chord", faultTargets: "have more than four notes moved to chord tones",
	faultStart: "start elsewhere than a step says", faultBrief: "bend for less time than the phrase", faultHeld: "hold notes off their chord for long",
	faultFlaws: "have too much against them", faultSame: "are the same as others", faultAlike: "are of a kind of which there are enough",
}

// why says how many failed for which reason.
func (x *choosing) why() string {
	var list []string
	for i, n := range x.failed {
		if n > 0 {
			list = append(list, fmt.Sprintf("%d %s", n, faultWords[i]))
		}
	}
	return strings.Join(list, ", ")
}

func (x *choosing) judge(style *phraseStyle) int {
	cells, rhythm := style.kept(x.style)
	switch {
	case x.style.chords && (style.strong*x.style.struck < x.style.strong*style.struck || style.struck == 0 && x.style.strong > 0):
		return faultStrong
	case x.style.chords && !style.resolved:
		return faultEnd
	case x.style.chords && x.home.End.Less(style.end):
		return faultSpill
	case style.doubled > x.style.doubled || style.again > x.style.again:
		return faultRepeat
	case style.bar.Less(style.rocking) && x.style.rocking.Less(style.rocking):
		return faultRock
	case style.rounds > max(mostRounds, x.style.rounds):
		return faultRepeat
	case float64(style.notes) < leastNotes*float64(x.style.notes) || style.notes > mostNotes*x.style.notes || max(cells, rhythm) < leastKept:
		return faultLost
	case style.low < x.style.low-beyondRange || style.high > x.style.high+beyondRange:
		return faultRange
	case style.bends > 0 && tooBrief(style.brief, x.style.brief):
		return faultBrief
	case !style.longest.Less(longestHeld) && x.style.longest.Less(style.longest):
		return faultHeld
	case x.style.chords && style.outside > x.style.outside+spareOutside:
		return faultOutside
	}
	return -1
}

// flaws counts what speaks against a variation, beside its fingering.
func (x *choosing) flaws(style *phraseStyle) int {
	flaws := 0
	if over := style.held.Sub(x.style.held); over.Sign() > 0 {
		flaws += int((over.Num() + over.Den() - 1) / over.Den())
	}
	flaws += max(0, style.missed-x.style.missed) + min(mostRoundFlaws, max(0, style.rounds-max(fewRounds, x.style.rounds)))
	for _, worse := range [...]bool{
		style.last.Less(x.style.last),
		style.weakEnd && !x.style.weakEnd,
		style.weakEnd && !x.style.weakEnd,
		style.openEnd && !x.style.openEnd,
		style.openEnd && !x.style.openEnd,
		style.broken,
		style.stalled >= stalledFrom && style.stalled > x.style.stalled,
		x.style.settled && !style.settled,
	} {
		if worse {
			flaws++
		}
	}
	if cells, _ := style.kept(x.style); cells < hardlyKept {
		flaws++
	}
	if !x.home.End.Sub(style.bar).Less(style.end) {
		flaws += silentEnd
	}
	// What marks the phrase: its bends, and a fall or rise to its end.
	bends, closing := x.style.bends > 0, x.style.closes(x.style)
	bent, closes := bends && style.bends > 0, style.closes(x.style)
	if bends && !bent {
		flaws++
	}
	if (bends || closing) && !bent && !closes {
		flaws += nothingMarked
	}
	for i, heard := range x.style.thirds {
		if heard && (i >= len(style.thirds) || !style.thirds[i]) {
			flaws++
		}
	}
	return flaws
}
