package transform

import (
	"fmt"
	"slices"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// CodeVaryFewer says that fewer variations exist than were asked for.
const CodeVaryFewer = "vary-fewer"

// A Varied is one of several variations.
type Varied struct {
	Score *score.Score
	Steps []Variation
	// Distance is how far it is from the nearest of the phrase itself and
	// those before it, see [PhraseShape.Distance].
	Distance float64
	Said     score.Diagnostics // what [Vary] said

	rank int // how much speaks against it, see [choosing.flaws]
}

// Name writes the steps: "retrograde, in thirds".
func (v Varied) Name() string {
	var list []string
	for _, s := range v.Steps {
		list = append(list, s.String())
	}
	return strings.Join(list, ", ")
}

// Variations returns the variations of a score that are most different from it
// and from each other, that a player can play, and in which the phrase is still
// heard: the furthest from it first, then always the one whose nearest is
// furthest, by the shape of its first part. Those against which something
// speaks come after all others (see below). Steps are tried alone, two
// and, where those are few, three together; opt.Seed says in which order and what is
// left to chance, so the same seed gives the same variations. Where the phrase begins
// is displaced by eighths and beats of its metre.
//
// These are done to the result, and are said: where a step would leap further than
// the phrase does, the line goes on an octave lower or higher, up to three times; a
// line that would end off beats 1 and 3, with a bend or within the cell of a sequence,
// where the phrase does not, ends with a root, third or fifth on a strong beat
// before, if no more than a few short notes of the same bar are left out by that, or
// else with one that is added on a strong beat after; the last note is held as long as
// that of the phrase where bar and chord have room; a bend that came to a note of an
// eighth or less, where the phrase bends none so short, is struck plainly, and vibrato
// is left out there.
//
// A variation must be whole: no step refused, none whose words are not true of the
// result, nothing without a place, no pull-off to an open string that the
// phrase has not. It makes no leap wider than the widest of the phrase, goes no
// more than a fourth beyond its range, and strikes no note twice in a row where
// the phrase does not as often.
//
// It must be a variation of this phrase: it has two thirds to twice as many
// notes, and half of the phrase's cells of three notes (by their steps in the
// scale, turned over or backwards too) or half of its rhythm (pairs of times
// from note to note); it does not rock between two notes for more than a bar, nor
// go round more than four times in two to four notes. No more than four of its
// notes are moved to chord tones.
//
// It ends within the bars of the phrase. Where there are chord symbols
// it has at least the share of chord tones on strong beats that the phrase has,
// and ends on a chord tone, and hardly more of its time than the phrase's is spent
// on notes outside of both scale and chord; no note is held off its chord for a half
// note, unless one of the phrase is as long; times are not stretched then, which would
// take the notes from under their chords.
//
// Against a variation speaks each of these that the phrase has not: each quarter
// note, or a part of one, that is held off the chord by notes longer than that, or
// as long from where a chord begins; each note that is none of the chord's tones,
// where it is struck as the chord changes or is held over a strong beat; a chord whose
// third is heard in the phrase and in it for less than a quarter note off the beat;
// an end off root, third and fifth, or within the cell of a sequence; twice, an end off
// the strong beats, with a bend or with a note that is not struck, and a silent last
// bar; a last note shorter than the phrase's; less than a third of the phrase's cells;
// each time that a cell of two to four notes comes at once again, two at most; three
// bars in a row that begin with the same note; bends lost, each that becomes a slide
// since no hand makes it where it would lie, and, beside lost bends, twice, a lost
// close, which is a fall or rise of three notes or more; each time that the hand has to
// jump more than four frets within a beat, or leaves five frets, or frets the note to
// which it has just bent on the same string; notes on other frets than the phrase's;
// two steps that repeat a pattern; each time that the line changes its octave; each
// note that is moved to a chord tone beyond two. One against which more than four speak
// is not taken, and what has less against it comes first.
//
// Two are twins if three quarters of their notes are the same in the same order,
// whenever they are struck. Of each ten that are asked for at most one is a twin of
// the phrase itself. A twin of another one is taken when there is nothing else, if it
// is some way from it (0.15), and never a second one. At most three of ten are of one
// kind, by the first step that does more than to say where the phrase begins. Those
// whose step two others have, or whose turns (the steps from note to note) one has,
// come later, and so do those that begin at another time when three of ten do. A
// sequence is not put into another order, since it would no longer be heard.
//
// If there are fewer than asked for, that is reported as [score.NotDone].
func Variations(s *score.Score, count int, opt VaryOptions) ([]Varied, score.Diagnostics) {
	x := newChoosing(s, opt)
	if x == nil || count < 1 {
		return nil, nil
	}
	x.gather(max(leastPool, poolForEach*count))
	chosen := x.choose(count)
	var ds score.Diagnostics
	if len(chosen) < count {
		msg := fmt.Sprintf("%s asked for, %d found", countOf(count, "variation"), len(chosen))
		if why := x.why(); why != "" {
			msg += ": of those that were tried " + why
		}
		ds = append(ds, score.Diagnostic{Severity: score.NotDone, Code: CodeVaryFewer, Pos: s.PosOf(s.Parts[x.part].Src), Msg: msg, Hint: "another --seed may find others"})
	}
	return chosen, ds
}

// A choosing is one run of Variations.
type choosing struct {
	s      *score.Score
	part   int
	opt    VaryOptions
	home   *PhraseShape
	length score.Quarters
	style  *phraseStyle
	tune   []int // of the phrase
	jumps  int   // of the hand
	over   int   // see struckOver
	away   int   // how often the hand leaves its place
	shifts []score.Quarters
	threes bool // beats have three eighths
	free   bool // nothing is asked for where it is played
	habits map[string]*habit
	pool   []*candidateVariation
	sound  int             // those in the pool that have few flaws and are no twins of others
	seen   map[string]bool // lines that are in the pool
	failed [len(faultWords)]int
}

// newChoosing looks at the phrase; nil if there is nothing to vary.
func newChoosing(s *score.Score, opt VaryOptions) *choosing {
	part := slices.IndexFunc(s.Parts, func(p *score.Part) bool {
		return (opt.Parts == nil || slices.Contains(opt.Parts, p.ID)) && !onlyUnpitched(p)
	})
	if part < 0 {
		return nil
	}
	opt.trim = true
	v := lookAt(s, part, opt.Scale)
	x := &choosing{s: s, part: part, opt: opt, home: phraseShapeOf(v), style: styleOf(v), tune: tuneOf(v), jumps: handJumps(v), away: handShifts(v), over: struckOver(v), habits: opt.habits(s)}
	x.shifts = v.shifts()
	if beats, unit := v.beats(); len(beats) > 0 {
		x.threes = beats[0].Div(unit) == score.Q(3, 1)
	}
	x.length = x.home.End.Sub(x.home.Begin)
	x.free = opt.Refinger.Region == nil && opt.Refinger.Scheme == nil && !opt.Refinger.FollowChords
	for _, h := range x.habits {
		h.only = x.free
	}
	x.seen = map[string]bool{struckKey(v): true}
	return x
}

// lookAt reads a part as lines.
func lookAt(s *score.Score, part int, scale *ScaleOn) *varied {
	rep := &reporter{score: s}
	rep.enter(s.Parts[part])
	return newVaried(s, s.Parts[part], rep, VaryOptions{Scale: scale})
}

// A candidateVariation is one that is good but for its fingering, which is
// found when it is asked for.
type candidateVariation struct {
	out         *score.Score
	anew        []string
	said        score.Diagnostics
	steps       []Variation
	shape       *PhraseShape
	tune, turns []int         // what is struck, as MIDI key numbers, and by how many steps it goes on
	names       []string      // of the steps, but for Target; of any size
	kind        VariationKind // see [mainKind]
	twins       int           // how many of the same tune are chosen
	like        int           // how many of the same turns are
	displaced   bool          // a step says when it begins
	ofPhrase    bool          // it is a twin of the phrase
	flaws       int
	fingered    bool
	bent        bool                                 // it has bends, before it is fingered
	placed      bool                                 // it keeps its places
	may         map[score.Quarters][]fretboard.Place // see [choosing.mayLie]
	gone        bool                                 // it is chosen, or cannot be played
	near        float64                              // how far it is from the nearest chosen one, at most
}
