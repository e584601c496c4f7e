package handout

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// A fact is something about the music that stands at its head: "Key", "A
// minor".
type fact struct{ Name, Value string }

// The names of facts.
const (
	keyFact    = "Key"
	metreFact  = "Metre"
	tempoFact  = "Tempo"
	tuningFact = "Tuning"
	capoFact   = "Capo"
	fretsFact  = "Frets"
)

// factsOf returns what the beginning of a score says, and between which frets
// it lies.
func factsOf(s *score.Score) []fact {
	if s == nil {
		return nil
	}
	var out []fact
	add := func(name, value string) {
		if value != "" && !slices.ContainsFunc(out, func(f fact) bool { return f.Name == name && f.Value == value }) {
			out = append(out, fact{name, value})
		}
	}
	seen := map[string]bool{}
	for _, name := range []string{keyFact, metreFact, tempoFact, tuningFact, capoFact} {
		for _, p := range s.Parts {
			if len(p.Measures) == 0 {
				continue
			}
			for _, e := range p.Measures[0].Events {
				if !e.At().IsZero() || seen[name] && name != tuningFact {
					continue
				}
				if v := factOf(name, e, p.MetreAt(p.Measures[0])); v != "" {
					seen[name] = true
					add(name, v)
				}
			}
		}
	}
	low, high := fretRange(s)
	switch {
	case high < 0 || saysFrets(s): // a practice sheet says it better: the way to the next position lies elsewhere
	case low == high:
		add(fretsFact, strconv.Itoa(low))
	default:
		add(fretsFact, fmt.Sprintf("%d to %d", low, high))
	}
	return out
}

// factOf says what an event says of a fact, "" for nothing. metre is the one in
// force; it may be nil.
func factOf(name string, e score.Event, metre *score.TimeSignature) string {
	switch e := e.(type) {
	case *score.KeySignature:
		if name == keyFact && !e.Free && !e.NoKey {
			if !e.ModeSaid {
				return signature(e.Key.Fifths())
			}
			return e.Key.Pretty()
		}
	case *score.TimeSignature:
		if name == metreFact {
			return metreText(e)
		}
	case *score.Tempo:
		if name == tempoFact {
			return tempoText(e, metre)
		}
	case *score.NeckChange:
		switch {
		case name == tuningFact:
			return tuningText(e.Neck.Tuning)
		case name == capoFact && e.Neck.Capo > 0:
			return "fret " + strconv.Itoa(e.Neck.Capo) + "; frets count from it"
		}
	}
	return ""
}

// tempoText says a tempo as a metronome is set to it, in the beats of the
// metre; "" for a tempo of words.
func tempoText(t *score.Tempo, metre *score.TimeSignature) string {
	if t.QuartersPerMinute <= 0 {
		return ""
	}
	beat, name := metre.TempoBeat(), ""
	switch beat {
	case score.Q(1, 1):
		name = "quarter notes"
	case score.Q(3, 2):
		name = "dotted quarter notes"
	case score.Q(3, 4):
		name = "dotted eighth notes"
	default:
		beat, name = score.Q(1, 1), "quarter notes"
	}
	const decimals = 100 // as a metronome can be set, and more
	perMinute := math.Round(t.QuartersPerMinute/beat.Float()*decimals) / decimals
	return strconv.FormatFloat(perMinute, 'f', -1, 64) + " " + name + " a minute"
}

// signature says a key signature whose mode is not known.
func signature(fifths int) string {
	switch {
	case fifths == 0:
		return "no sharps or flats"
	case fifths > 0:
		return count(fifths, "sharp")
	}
	return count(-fifths, "flat")
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

func metreText(t *score.TimeSignature) string {
	var out []string
	for i, b := range t.Beats {
		if i < len(t.BeatTypes) {
			b += "/" + strconv.Itoa(t.BeatTypes[i])
		}
		out = append(out, b)
	}
	return strings.Join(out, " + ")
}

// tuningText names a tuning and its strings from the last to the first.
func tuningText(t fretboard.Tuning) string {
	var names []string
	for s := t.Len(); s >= 1; s-- {
		names = append(names, t.Open(s).NoteName.Pretty())
	}
	strings := strings.Join(names, " ")
	if t.Name == "" || t.Name == strings {
		return strings
	}
	return t.Name + " (" + strings + ")"
}

var fretsSaid = regexp.MustCompile(`(?i)\bfrets \d+ to \d+`)

// saysFrets tells whether the words over the first bar say between which frets
// the music lies.
func saysFrets(s *score.Score) bool {
	for _, p := range s.Parts {
		for _, m := range p.Measures[:min(1, len(p.Measures))] {
			for _, e := range m.Events {
				if w, is := e.(*score.Words); is && fretsSaid.MatchString(w.Text) {
					return true
				}
			}
		}
	}
	return false
}

// fretRange returns the lowest and the highest fret, -1 if there is none. Open
// strings count.
func fretRange(s *score.Score) (low, high int) {
	low, high = -1, -1
	for n := range score.Notes(s) {
		if n.Place.IsZero() {
			continue
		}
		if low < 0 || n.Place.Fret < low {
			low = n.Place.Fret
		}
		high = max(high, n.Place.Fret)
	}
	return low, high
}
