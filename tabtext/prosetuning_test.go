package tabtext

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The strings of the tunings are common practice: drop D lowers the sixth
// string of standard tuning a tone, the others lower all strings alike.
func TestProseTuning(t *testing.T) {
	const standard, dropD = "E2 A2 D3 G3 B3 E4", "D2 A2 D3 G3 B3 E4"
	const half, whole = "Eb2 Ab2 Db3 Gb3 Bb3 Eb4", "D2 G2 C3 F3 A3 D4"
	for text, want := range map[string]string{
		"Guitar is in drop D.": dropD,
		"here is the riff. Guitar is in drop D, nothing else special.": dropD,
		"This one's in Drop-D":                             dropD,
		"drop D, ok":                                       dropD,
		"low E tuned down to D":                            dropD,
		"tune the low E down to D":                         dropD,
		"Eb tuning":                                        half,
		"E flat tuning please":                             half,
		"D standard":                                       whole,
		"tuned to D standard":                              whole,
		"tune down 1 step":                                 whole,
		"tune down a whole step":                           whole,
		"Half step down":                                   half,
		"tune down half a step":                            half,
		"both guitars tune down 1/2 step":                  half,
		"tune everything a semitone down":                  half,
		"tune down two whole steps":                        "C2 F2 Bb2 Eb3 G3 C4",
		"tune down 1 1/2 steps":                            "C#2 F#2 B2 E3 G#3 C#4",
		"half step down, drop D":                           "C#2 G#2 C#3 F#3 A#3 D#4",
		"drop C, a whole step down":                        "C2 G2 C3 F3 A3 D4",
		"I don't use drop D here, it's in standard tuning": standard,
		"Not in drop D.":                                   "",
		"If you like, this also works in drop D":           "",
		"let the open E string ring on, and the open G string too": "",
		"slide a half step down and up again at the end of it":     "",
		"a standard turnaround":                                    "",
		"nothing of the kind":                                      "",
	} {
		got, _, ok := proseTuning(text, false)
		if assert.Equal(t, want != "", ok, text) && ok {
			assert.Equal(t, want, got.String(), text)
		}
	}
}
