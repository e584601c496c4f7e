package tabtext

import (
	"fmt"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// A naming says what the chord symbols and keys of a text name where a capo is
// on the neck: what sounds, or the shapes that are held under the capo. The
// score always has what sounds; what the text writes is turned into it when it
// is read, and back when it is edited.
type naming struct {
	shapes bool // the chord symbols name shapes
	key    bool // the key does too
}

// A namingSaid is what a text says of its naming by itself.
type namingSaid struct {
	said    bool
	keySaid bool
	naming
}

// namingName is the header that says what chord symbols over a capo name. Name
// and values are ours.
const namingName = "chords"

// readNaming reads the value of "Chords: shapes", "Chords: shapes, key
// sounding", "Chords: shapes, key too", "Chords: sounding".
func readNaming(value string) (n namingSaid, ok bool) {
	low := strings.ToLower(strings.TrimSpace(value))
	switch {
	case strings.HasPrefix(low, "shapes"), strings.HasPrefix(low, "as shapes"), strings.HasPrefix(low, "relative to"):
		n = namingSaid{said: true, naming: naming{shapes: true}}
	case strings.HasPrefix(low, "sounding"), strings.HasPrefix(low, "as they sound"), strings.HasPrefix(low, "concert"):
		return namingSaid{said: true}, true
	default:
		return n, false
	}
	switch {
	case strings.Contains(low, "key too"):
		n.keySaid, n.key = true, true
	case strings.Contains(low, "key sounding"):
		n.keySaid = true
	}
	return n, true
}

// proseNaming finds in a sentence what chord names over a capo are: "chords are
// relative to the capo".
func proseNaming(low string) (n namingSaid, ok bool) {
	if wordIndex(low, "chords") < 0 && wordIndex(low, "chord") < 0 || wordIndex(low, "not") >= 0 {
		return n, false
	}
	for _, words := range []string{"relative to the capo", "relative to capo", "are shapes", "are the shapes", "are named by shape"} {
		if strings.Contains(low, words) {
			return namingSaid{said: true, naming: naming{shapes: true}}, true
		}
	}
	for _, words := range []string{"are sounding", "are what sounds", "as they sound", "at concert pitch", "are actual pitch", "are the actual"} {
		if strings.Contains(low, words) {
			return namingSaid{said: true}, true
		}
	}
	return n, false
}

// String is the line that says a naming.
func (n naming) String() string {
	switch {
	case !n.shapes:
		return "Chords: sounding"
	case n.key:
		return "Chords: shapes, key too"
	}
	return "Chords: shapes, key sounding"
}

// capoAt finds the fret of the capo at an event of a measure that begins with
// the capo at another.
func capoAt(m *score.Measure, at score.Quarters, capo int) int {
	for _, e := range m.Events {
		if n, ok := e.(*score.NeckChange); ok && !at.Less(n.Onset) {
			capo = n.Neck.Capo
		}
	}
	return capo
}

// underCapo tells whether chord symbols or, if so asked, keys of a score stand where a
// capo moves what is heard.
func underCapo(s *score.Score, keys bool) bool {
	for _, p := range s.Parts {
		capo := 0
		for _, m := range p.Measures {
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Harmony:
					if !e.Chord.NoChord && capoAt(m, e.Onset, capo)%12 != 0 {
						return true
					}
				case *score.KeySignature:
					if keys && capoAt(m, e.Onset, capo)%12 != 0 {
						return true
					}
				}
			}
			capo = capoAt(m, m.Length, capo)
		}
	}
	return false
}

// A namingFit counts for how many notes something holds as it sounds, and as
// the shape that is held.
type namingFit struct {
	notes, sound, shape int
	soundOnly           int // holds as it sounds and not as a shape
	shapeOnly           int
}

func (f *namingFit) add(in theory.PitchSet, midi, capo int) {
	sound, shape := in.Has(((midi%12)+12)%12), in.Has((((midi-capo)%12)+12)%12)
	f.notes++
	f.sound += b2i(sound)
	f.shape += b2i(shape)
	f.soundOnly += b2i(sound && !shape)
	f.shapeOnly += b2i(shape && !sound)
}

func inScale(k theory.Key) theory.PitchSet { return theory.SetOf(k.Scale().Notes(k.Tonic)...) }

// What it takes to tell shapes from sounds: more notes by this many, and so many
// times as many, that are chord tones in the one way only.
const (
	namingLead  = 3
	namingTimes = 2
)

// verdict is 1 for shapes, -1 for what sounds, 0 if the notes do not tell.
func (f *namingFit) verdict() int {
	switch {
	case f.shapeOnly-f.soundOnly >= namingLead && f.shapeOnly >= namingTimes*f.soundOnly && 2*f.shape >= f.notes:
		return 1
	case f.soundOnly-f.shapeOnly >= namingLead && f.soundOnly >= namingTimes*f.shapeOnly && 2*f.sound >= f.notes:
		return -1
	}
	return 0
}

// settleNaming decides what the chord symbols and keys under a capo name: as the
// text says, else by the notes on the beats, else by all notes. A key goes with
// the chord symbols unless symbols and notes are in it only as it sounds.
func (b *builder) settleNaming() naming {
	if !underCapo(b.sc, true) {
		return naming{}
	}
	beats, all, keys, first := b.namingEvidence()
	n := b.naming.naming
	if !b.naming.said {
		if first == nil {
			b.doubtKeyNaming(&keys)
			return n
		}
		f := beats
		if f.verdict() == 0 {
			f = all
		}
		pos := b.lay.src.pos(int(b.nodes[first.Src-1].line), int(b.nodes[first.Src-1].col))
		verdict := f.verdict()
		if verdict == 0 {
			b.report(score.Warning, "tab-capo-chords", pos,
				"the chord symbols stand over a capo, and the notes do not tell whether they name what sounds or the shapes that are held; they are taken as what sounds",
				"write Chords: shapes or Chords: sounding above the tab; --capo 0 reads all as without the capo")
		}
		if verdict <= 0 {
			return n
		}
		n.shapes = true
		defer func() {
			what := "the chord symbols are"
			if b.keyed() && n.key {
				what = "the chord symbols and the key are"
			} else if b.keyed() {
				what = "the chord symbols, not the key, are"
			}
			b.report(score.Info, "tab-capo-shapes", pos,
				fmt.Sprintf("%s read as shapes over the capo: %d of %d notes are chord tones so, %d as they sound; %v sounds %v", what, f.shape, f.notes, f.sound,
					first.Chord, raise(first.Chord, theory.Interval{}, plainInterval(b.firstCapo(first)))),
				"write Chords: sounding above the tab if they name what sounds; --capo 0 reads all as without the capo")
		}()
	}
	if n.shapes && !b.naming.keySaid {
		n.key = keys.shape >= keys.sound
	}
	return n
}

// keyed tells whether the text names a key.
func (b *builder) keyed() bool {
	for _, p := range b.sc.Parts {
		for i, m := range p.Measures {
			for _, e := range m.Events {
				if k, ok := e.(*score.KeySignature); ok && !(i == 0 && k.Onset.IsZero() && b.opt.Key != nil) {
					return true
				}
			}
		}
	}
	return false
}

func (b *builder) firstCapo(h *score.Harmony) int {
	for _, p := range b.sc.Parts {
		capo := 0
		for _, m := range p.Measures {
			for _, e := range m.Events {
				if e == score.Event(h) {
					return capoAt(m, h.Onset, capo)
				}
			}
			capo = capoAt(m, m.Length, capo)
		}
	}
	return 0
}

// namingEvidence counts the chord tones among the notes on beats, and among all
// notes, and what lies in the keys; first is the first chord symbol over a capo.
func (b *builder) namingEvidence() (beats, all, keys namingFit, first *score.Harmony) {
	for _, p := range b.sc.Parts {
		var key *score.KeySignature
		var symbol *score.Harmony
		var time *score.TimeSignature
		capo := 0
		for _, m := range p.Measures {
			time = metreOf(m, time)
			unit := score.Q(1, 1)
			if time != nil {
				unit = beatUnit(time)
			}
			for _, e := range m.Events { // events of a time may stand in any order
				if k, ok := e.(*score.KeySignature); ok && !k.Free && !k.NoKey {
					key = k
				}
			}
			before := symbol
			for _, e := range m.Events {
				h, ok := e.(*score.Harmony)
				if !ok {
					continue
				}
				symbol = h
				here := capoAt(m, h.Onset, capo)
				if h.Chord.NoChord || here%12 == 0 {
					continue
				}
				if first == nil {
					first = h
				}
				if key != nil {
					for _, t := range h.Chord.Tones() {
						keys.add(inScale(key.Key), t.Class()+here, here)
					}
				}
			}
			for c := range m.Chords() {
				here := capoAt(m, c.Onset, capo)
				if c.Grace != score.NotGrace || here%12 == 0 {
					continue
				}
				over := before
				for _, e := range m.Events {
					if h, ok := e.(*score.Harmony); ok && !c.Onset.Less(h.Onset) {
						over = h
					}
				}
				onBeat := c.Onset.Div(unit).Den() == 1 || over != nil && over.Onset == c.Onset && over != before
				for _, n := range c.Notes {
					if _, harmonic := n.Harmonic(); harmonic || n.TieStop || n.Has(score.Dead) {
						continue
					}
					if key != nil {
						keys.add(inScale(key.Key), n.Pitch.MIDI(), here)
					}
					if over == nil || over.Chord.NoChord {
						continue
					}
					tones := over.Chord.Classes()
					all.add(tones, n.Pitch.MIDI(), here)
					if onBeat {
						beats.add(tones, n.Pitch.MIDI(), here)
					}
				}
			}
			capo = capoAt(m, m.Length, capo)
		}
	}
	return beats, all, keys, first
}

// doubtKeyNaming says where a key over a capo, without chord symbols, fits the shapes.
func (b *builder) doubtKeyNaming(f *namingFit) {
	if f.notes < fewNotes || 20*f.shape < 19*f.notes || 4*f.sound > 3*f.notes || !b.keyed() {
		return
	}
	for _, h := range b.lay.headers {
		if h.kind == headKey && h.bad == "" {
			b.report(score.Warning, "tab-capo-key", b.lay.src.pos(h.line, h.at.from),
				fmt.Sprintf("the key fits the shapes over the capo (%d of %d notes are in it so, %d as they sound); it is taken as what sounds", f.shape, f.notes, f.sound),
				"write Chords: shapes, key too above the tab, or the key that sounds; --capo 0 reads all as without the capo")
			return
		}
	}
}

// plainIntervals are what so many frets are, by the names that chords move by.
var plainIntervals = [12]theory.Interval{{}, {Steps: 1, Semitones: 1}, {Steps: 1, Semitones: 2}, {Steps: 2, Semitones: 3}, {Steps: 2, Semitones: 4}, {Steps: 3, Semitones: 5},
	{Steps: 4, Semitones: 6}, {Steps: 4, Semitones: 7}, {Steps: 5, Semitones: 8}, {Steps: 5, Semitones: 9}, {Steps: 6, Semitones: 10}, {Steps: 6, Semitones: 11}}

func plainInterval(frets int) theory.Interval { return plainIntervals[(frets%12+12)%12] }

// raise moves a chord symbol: by the interval by which its key moves or, where no
// key moves (the zero interval), by a plain one, with roots as people name them.
func raise(c theory.Chord, withKey, plain theory.Interval) theory.Chord {
	if c.NoChord {
		return c
	}
	if withKey != (theory.Interval{}) {
		return c.Transpose(withKey)
	}
	c = c.Transpose(plain)
	c.Root = commonName(c.Root)
	if c.HasBass {
		c.Bass = commonName(c.Bass)
	}
	return c
}

// spelledIn names root and bass of a chord symbol as a key has them.
func spelledIn(k theory.Key, c theory.Chord) theory.Chord {
	name := func(n theory.NoteName) theory.NoteName { return theory.SpellIn(k, 60+n.Class()).NoteName }
	if c.NoChord {
		return c
	}
	c.Root = name(c.Root)
	if c.HasBass {
		c.Bass = name(c.Bass)
	}
	return c
}

// commonName writes a name beyond G flat and A sharp as the other name of its sound.
func commonName(n theory.NoteName) theory.NoteName {
	diminished := theory.Interval{Steps: 1} // D flat to E double flat: a letter up at one sound
	for n.Fifths() > 10 {
		n = n.Transpose(diminished)
	}
	for n.Fifths() < -6 {
		n = n.Transpose(diminished.Neg())
	}
	return n
}

// commonKey writes a key of seven sharps or flats or more as the one of the same sound
// with fewer.
func commonKey(k theory.Key) theory.Key {
	k = k.Practical()
	switch k.Fifths() {
	case 7:
		return theory.KeyOf(-5, k.Mode)
	case -7:
		return theory.KeyOf(5, k.Mode)
	}
	return k
}

// A named is a chord symbol or key as the text writes it, with what it sounds.
type named struct {
	capo           int
	chord, sounds  theory.Chord
	key, soundsKey theory.Key
}

// sounding gives what the text names in the score as it sounds.
func (o *origin) sounding(s *score.Score) *score.Score {
	if !o.named.shapes {
		return s
	}
	out := s.Clone()
	o.renamed = map[score.Handle]named{}
	o.move(out, 1, func(e score.Event, n named) { o.renamed[e.Source()] = n })
	return out
}

// written gives a score of what sounds with the names that the text has for
// it: the same words where nothing changed.
func (o *origin) written(s *score.Score) *score.Score {
	if !o.named.shapes {
		return s
	}
	out := s.Clone()
	o.move(out, -1, nil)
	return out
}

// An inKey is a key of a measure and the interval by which it was renamed.
type inKey struct {
	from  score.Quarters
	key   theory.Key
	known bool
	by    theory.Interval
}

// keyAt finds the key in force; the first is that of the measure before.
func keyAt(keys []inKey, at score.Quarters) inKey {
	k := keys[0]
	for _, next := range keys[1:] {
		if !at.Less(next.from) {
			k = next
		}
	}
	return k
}

// move renames chord symbols and keys by the frets of the capo, up or down.
func (o *origin) move(s *score.Score, dir int, note func(score.Event, named)) {
	for _, p := range s.Parts {
		capo := 0
		var before inKey
		for i, m := range p.Measures {
			keys := []inKey{before}
			for _, e := range m.Events {
				k, ok := e.(*score.KeySignature)
				if !ok || k.Free || k.NoKey {
					continue
				}
				old := k.Key
				here := capoAt(m, k.Onset, capo)
				var by theory.Interval
				if o.named.key && here%12 != 0 && !(i == 0 && k.Onset.IsZero() && o.opt.Key != nil) {
					if was, ok := o.renamed[k.Src]; dir < 0 && ok && was.capo == here && was.soundsKey == k.Key {
						k.Key = was.key
					} else {
						k.Key = commonKey(k.Key.Transpose(plainInterval(dir * here)))
					}
					if by = old.Tonic.To(k.Key.Tonic); note != nil {
						note(k, named{capo: here, key: old, soundsKey: k.Key})
					}
				}
				keys = append(keys, inKey{k.Onset, k.Key, true, by})
			}
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.Harmony:
					here := capoAt(m, e.Onset, capo)
					if here%12 == 0 {
						continue
					}
					old := e.Chord
					if was, ok := o.renamed[e.Src]; dir < 0 && ok && was.capo == here && was.sounds == e.Chord {
						e.Chord = was.chord
					} else {
						k := keyAt(keys, e.Onset)
						e.Chord = raise(e.Chord, k.by, plainInterval(dir*here))
						if dir > 0 && !o.named.key && k.known {
							e.Chord = spelledIn(k.key, e.Chord)
						}
					}
					if note != nil {
						note(e, named{capo: here, chord: old, sounds: e.Chord})
					}
				case *score.Chord:
					k := keyAt(keys, e.Onset)
					for _, n := range e.Notes {
						if n.InferredSpelling && !n.Unpitched && k.known {
							n.Pitch = theory.SpellIn(k.key, n.Pitch.MIDI())
						}
					}
				}
			}
			before = keyAt(keys, m.Length)
			capo = capoAt(m, m.Length, capo)
		}
	}
}
