package score

// A Technique is a way in which a note is played or marked: [Mark], [Bend],
// [Harmonic], [Span], [SlideEdge] or [Trill]. The set is closed; all of them
// are values.
type Technique interface{ technique() }

// A Mark is a technique that is simply there or not.
type Mark int8

// The marks. Names are those of MusicXML 4.0's technical and articulations
// elements where it has one.
const (
	Dead           Mark = iota + 1 // muted by the fretting hand: x in tab
	Ghost                          // barely sounded: (7) in tab
	Held                           // still sounding, not struck again: (7) across a bar, =
	Tap                            // struck on the neck by the picking hand
	TapLeft                        // struck on the neck by the fretting hand, from nowhere
	Vibrato                        //
	WideVibrato                    //
	TremoloPicking                 // repeated as fast as possible
	PalmMuted                      // one note; a run of them is a Span
	LetRing                        // one note; a run of them is a Span
	DownStroke                     // down-bow in MusicXML, a down-stroke with a pick
	UpStroke                       //
	Slap                           //
	Pop                            //
	Rake                           //
	BarDip                         // the tremolo bar dipped and returned
	BarDive                        // the tremolo bar pressed down
	ThumbOver                      // thumb-position
	OpenString                     //
	Golpe                          //
	Accent                         //
	StrongAccent                   //
	SoftAccent                     //
	Staccato                       //
	Staccatissimo                  //
	Spiccato                       //
	Tenuto                         //
	DetachedLegato                 //
	Stress                         //
	Unstress                       //
	BreathMark                     //
	Caesura                        //
	SnapPizzicato                  //
	Fingernails                    //
	Stopped                        //
	HalfMuted                      //
	DoubleTongue                   //
	TripleTongue                   //
	Heel                           //
	Toe                            //
	Flip                           //
	Smear                          //
	OpenWind                       // MusicXML's open, of brass and horns
	BrassBend                      //
	Fermata                        //
	ArpeggioUp                     // strummed from the lowest string, or rolled upwards
	ArpeggioDown                   //
	lastMark
)

func (Mark) technique() {}

// A SpanKind is what a [Span] connects.
type SpanKind int8

// HammerOn, PullOff, the slides and Tap keep their string. A LegatoSlide does not strike
// the second note, a ShiftSlide does, a Glissando steps through the notes
// between. Slur is a curve that says no more than that. PalmMute, LetRingSpan,
// VibratoSpan and TremoloSpan extend over a run of notes.
const (
	HammerOn SpanKind = iota + 1
	PullOff
	LegatoSlide
	ShiftSlide
	Glissando
	Slur
	PalmMute
	LetRingSpan
	VibratoSpan
	lastSpanKind
)

// KeepsString tells whether both ends must lie on one string.
func (k SpanKind) KeepsString() bool {
	return k == HammerOn || k == PullOff || k == LegatoSlide || k == ShiftSlide
}

// A SpanEnd is one of the two ends of a span.
type SpanEnd int8

// The ends.
const (
	Start SpanEnd = iota + 1
	Stop
)

// A Span is one end of something that connects two notes. Both ends carry the
// same Kind and ID; IDs are unique in the part. A note may start one and stop
// another.
type Span struct {
	Kind SpanKind
	ID   int
	End  SpanEnd
}

func (Span) technique() {}

// A Bend pushes the string. Amounts are in semitones above the stopped pitch;
// 1/2 is a quarter-tone curl, which is an inflection and not a target.
type Bend struct {
	Amount  Quarters // how far in semitones; negative for the bar
	PreBend bool     // bent before it is struck
	Release bool     // let back afterwards
	// ReleaseTo is where a release ends, in semitones above the stopped
	// pitch; 0 for all the way.
	ReleaseTo Quarters
	WithBar   bool // done with the tremolo bar
}

func (Bend) technique() {}

// A HarmonicKind is a kind of harmonic.
type HarmonicKind int8

// The kinds. Artificial ones are touched by the picking hand an interval
// above a stopped fret, pinched ones by the thumb, tapped ones struck on the
// node.
const (
	NaturalHarmonic HarmonicKind = iota + 1
	ArtificialHarmonic
	PinchHarmonic
	TappedHarmonic
)

// A Harmonic makes a partial of the string sound.
type Harmonic struct {
	Kind HarmonicKind
	// Over is how far the sound lies above the stopped pitch of the note's
	// Place, in semitones: 0 at the 12th fret of a natural one, 12 at the 7th
	// (node +19, fret +7).
	Over int
	// Touch is the fret that is touched by an artificial or tapped harmonic,
	// written from the capo; 0 for not said or natural.
	Touch int
}

func (Harmonic) technique() {}

// A SlideEdge is a slide that begins or ends nowhere in particular. In
// MusicXML's words: in from below is a scoop, in from above a plop, out upwards
// a doit and out downwards a falloff.
type SlideEdge struct {
	In    bool // into the note; else out of it
	Below bool // from below, or downwards out of it
}

func (SlideEdge) technique() {}

// A Trill alternates with another fret on the same string.
type Trill struct {
	// To is the other note in semitones from this one; 0 for not said.
	To int
}

func (Trill) technique() {}

// Has tells whether a note has the technique, by value.
func (n *Note) Has(t Technique) bool {
	for _, u := range n.Techniques {
		if u == t {
			return true
		}
	}
	return false
}

// Bend returns the note's bend, if it has one.
func (n *Note) Bend() (Bend, bool) { return find[Bend](n) }

// Harmonic returns the note's harmonic, if it is one.
func (n *Note) Harmonic() (Harmonic, bool) { return find[Harmonic](n) }

func find[T Technique](n *Note) (t T, ok bool) {
	for _, u := range n.Techniques {
		if t, ok = u.(T); ok {
			return t, true
		}
	}
	return t, false
}

// Sounding returns the MIDI key number at which the note is heard: the target
// of a bend (rounded down to a whole semitone, so that a curl keeps its
// note), the partial of a harmonic, else the stopped pitch.
func (n *Note) Sounding() int {
	m := n.Pitch.MIDI()
	if h, ok := n.Harmonic(); ok {
		m += h.Over
	}
	if b, ok := n.Bend(); ok {
		q := b.Amount
		whole := q.Num() / q.Den()
		if q.Sign() < 0 && whole*q.Den() != q.Num() {
			whole--
		}
		m += int(whole)
	}
	return m
}

// Marks returns all marks.
func Marks() []Mark {
	all := make([]Mark, 0, lastMark-1)
	for m := Mark(1); m < lastMark; m++ {
		all = append(all, m)
	}
	return all
}
