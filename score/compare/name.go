package compare

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory/fretboard"
)

// markNames are the marks as players say them.
func markNames() map[score.Mark]string {
	return map[score.Mark]string{
		score.Dead: "dead", score.Ghost: "ghost", score.Held: "held", score.Tap: "tap", score.TapLeft: "tap of the fretting hand",
		score.Vibrato: "vibrato", score.WideVibrato: "wide vibrato", score.TremoloPicking: "tremolo picking", score.PalmMuted: "palm mute",
		score.LetRing: "let ring", score.DownStroke: "down stroke", score.UpStroke: "up stroke", score.Slap: "slap", score.Pop: "pop",
		score.Rake: "rake", score.BarDip: "bar dip", score.BarDive: "bar dive", score.ThumbOver: "thumb over", score.OpenString: "open string",
		score.Golpe: "golpe", score.Accent: "accent", score.StrongAccent: "strong accent", score.SoftAccent: "soft accent",
		score.Staccato: "staccato", score.Staccatissimo: "staccatissimo", score.Spiccato: "spiccato", score.Tenuto: "tenuto",
		score.DetachedLegato: "detached legato", score.Stress: "stress", score.Unstress: "unstress", score.BreathMark: "breath mark",
		score.Caesura: "caesura", score.SnapPizzicato: "snap pizzicato", score.Fingernails: "fingernails", score.Stopped: "stopped",
		score.HalfMuted: "half muted", score.DoubleTongue: "double tongue", score.TripleTongue: "triple tongue", score.Heel: "heel",
		score.Toe: "toe", score.Flip: "flip", score.Smear: "smear", score.OpenWind: "open", score.BrassBend: "brass bend",
		score.Fermata: "fermata", score.ArpeggioUp: "arpeggio up", score.ArpeggioDown: "arpeggio down",
	}
}

func spanNames() map[score.SpanKind]string {
	return map[score.SpanKind]string{
		score.HammerOn: "hammer-on", score.PullOff: "pull-off", score.LegatoSlide: "legato slide", score.ShiftSlide: "shift slide",
		score.Glissando: "glissando", score.Slur: "slur", score.PalmMute: "palm mute", score.LetRingSpan: "let ring", score.VibratoSpan: "vibrato",
	}
}

// extends tells the spans that cover every note from one end to the other;
// the others lead from one note to the next.
func extends(k score.SpanKind) bool {
	return k == score.PalmMute || k == score.LetRingSpan || k == score.VibratoSpan
}

// techniqueName names a technique that is no span.
func (n *names) techniqueName(t score.Technique) string {
	switch t := t.(type) {
	case score.Mark:
		if s := n.marks[t]; s != "" {
			return s
		}
		return fmt.Sprintf("mark %d", t)
	case score.Bend:
		return bendName(t)
	case score.Harmonic:
		kind := [...]string{"", "natural", "artificial", "pinch", "tapped"}[t.Kind]
		s := fmt.Sprintf("%s harmonic %d semitones over the fret", kind, t.Over)
		if t.Touch > 0 {
			s += fmt.Sprintf(", touched at fret %d", t.Touch)
		}
		return s
	case score.SlideEdge:
		switch t {
		case score.SlideEdge{In: true, Below: true}:
			return "slide in from below"
		case score.SlideEdge{In: true}:
			return "slide in from above"
		case score.SlideEdge{Below: true}:
			return "slide out downwards"
		}
		return "slide out upwards"
	case score.Trill:
		if t.To == 0 {
			return "trill"
		}
		return fmt.Sprintf("trill with the note %+d semitones away", t.To)
	}
	return fmt.Sprintf("%T", t)
}

func bendName(b score.Bend) string {
	amount := func(q score.Quarters) string {
		if q == score.Q(1, 1) {
			return "1 semitone"
		}
		return q.String() + " semitones"
	}
	s := "bend"
	if b.WithBar {
		s = "bend with the bar"
	}
	if b.PreBend {
		s = "pre-" + s
	}
	s += " of " + amount(b.Amount)
	if b.Release {
		s += ", released"
		if !b.ReleaseTo.IsZero() {
			s += " to " + amount(b.ReleaseTo)
		}
	}
	return s
}

// names holds the tables of names, made once for a comparison.
type names struct {
	marks map[score.Mark]string
	spans map[score.SpanKind]string
}

func fingerName(n *score.Note) string {
	var parts []string
	if n.Finger != score.NoFinger {
		parts = append(parts, [...]string{"", "index", "middle", "ring", "little", "thumb", "open"}[n.Finger])
	}
	if n.Pluck != "" {
		parts = append(parts, "plucked by "+n.Pluck)
	}
	return strings.Join(parts, ", ")
}

func labelNames(n *score.Note) string {
	var list []string
	for _, a := range n.Annotations {
		list = append(list, a.Kind+" "+a.Text)
	}
	slices.Sort(list)
	return strings.Join(list, ", ")
}

func placeName(p fretboard.Place) string { return fmt.Sprintf("string %d, fret %d", p.String, p.Fret) }

// placesName names the places of a note, several if it is held and does not
// stay where it was struck.
func placesName(t *tone) string {
	name := func(p fretboard.Place) string {
		if p.IsZero() {
			return "no place"
		}
		return placeName(p)
	}
	s := name(t.note.Place)
	for _, p := range t.then {
		s += ", held on at " + name(p)
	}
	return s
}

// keyName names a key as far as its source says it.
func keyName(k *score.KeySignature) string {
	switch {
	case k.NoKey:
		return "no key"
	case k.Free:
		var list []string
		for _, a := range k.Alters {
			list = append(list, a.Name.Pretty()+detuneName(a.Detune))
		}
		return "a signature of " + strings.Join(list, " ")
	case k.ModeSaid:
		return k.Key.Pretty()
	}
	n := k.Key.Fifths()
	switch {
	case n == 1:
		return "1 sharp"
	case n > 1:
		return fmt.Sprintf("%d sharps", n)
	case n == -1:
		return "1 flat"
	case n < -1:
		return fmt.Sprintf("%d flats", -n)
	}
	return "no sharps or flats"
}

func detuneName(q score.Quarters) string {
	if q.IsZero() {
		return ""
	}
	if q.Sign() > 0 {
		return " +" + q.String()
	}
	return " " + q.String()
}

// metreName writes a metre: "4/4", "3/8+2/4", "common time".
func metreName(t *score.TimeSignature) string {
	if len(t.Beats) == 0 {
		return "no metre"
	}
	var parts []string
	for i, b := range t.Beats {
		if i < len(t.BeatTypes) {
			b = fmt.Sprintf("%s/%d", b, t.BeatTypes[i])
		}
		parts = append(parts, b)
	}
	return strings.Join(parts, "+")
}

func tempoName(quartersPerMinute float64) string {
	return strconv.FormatFloat(quartersPerMinute, 'f', -1, 64) + " quarter notes per minute"
}

func neckName(n fretboard.Neck) string {
	s := n.Tuning.String()
	if n.Capo > 0 {
		s += fmt.Sprintf(", capo at fret %d", n.Capo)
	}
	return s
}
