package fretboard

import (
	"slices"
	"strings"

	"example.org/lickwright/theory"
)

// A Preset is a named tuning in daily use.
type Preset struct {
	Key     string   // how it is asked for: "drop-d"
	Aliases []string // other spellings that are understood
	Group   string   // the instrument it belongs to
	Tuning  Tuning
}

// presets lists names, groups and the open strings from the last to the
// first. Source: common practice, except where a comment says otherwise.
var presets = [...]struct{ key, name, group, strings, aliases string }{
	{"standard", "standard", "guitar", "E2 A2 D3 G3 B3 E4", "eadgbe"},
	{"drop-d", "drop D", "guitar", "D2 A2 D3 G3 B3 E4", "dropped-d"},
	{"double-drop-d", "double drop D", "guitar", "D2 A2 D3 G3 B3 D4", ""},
	{"drop-c", "drop C", "guitar", "C2 G2 C3 F3 A3 D4", ""},
	{"drop-b", "drop B", "guitar", "B1 F#2 B2 E3 G#3 C#4", ""},
	{"dadgad", "D A D G A D", "guitar", "D2 A2 D3 G3 A3 D4", "d-modal"},
	{"open-g", "open G", "guitar", "D2 G2 D3 G3 B3 D4", ""},
	{"open-d", "open D", "guitar", "D2 A2 D3 F#3 A3 D4", ""},
	{"open-e", "open E", "guitar", "E2 B2 E3 G#3 B3 E4", ""},
	{"open-a", "open A", "guitar", "E2 A2 E3 A3 C#4 E4", ""},
	{"open-c", "open C", "guitar", "C2 G2 C3 G3 C4 E4", ""},
	{"half-step-down", "half step down", "guitar", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4", "eb half-down"},
	{"whole-step-down", "whole step down", "guitar", "D2 G2 C3 F3 A3 D4", "full-step-down d-standard"},
	{"all-fourths", "all fourths", "guitar", "E2 A2 D3 G3 C4 F4", "fourths p4"},
	{"7-string", "seven-string", "seven-string guitar", "B1 E2 A2 D3 G3 B3 E4", "seven-string"},
	{"7-string-drop-a", "seven-string drop A", "seven-string guitar", "A1 E2 A2 D3 G3 B3 E4", ""},
	{"8-string", "eight-string", "eight-string guitar", "F#1 B1 E2 A2 D3 G3 B3 E4", "eight-string"},
	{"baritone", "baritone", "baritone guitar", "B1 E2 A2 D3 F#3 B3", "baritone-b"},
	{"baritone-a", "baritone in A", "baritone guitar", "A1 D2 G2 C3 E3 A3", ""},
	{"bass", "bass", "bass", "E1 A1 D2 G2", "bass-4 4-string-bass"},
	{"bass-drop-d", "bass drop D", "bass", "D1 A1 D2 G2", ""},
	{"bass-5", "five-string bass", "bass", "B0 E1 A1 D2 G2", "5-string-bass"},
	{"bass-6", "six-string bass", "bass", "B0 E1 A1 D2 G2 C3", "6-string-bass"},
	{"ukulele", "ukulele", "ukulele", "G4 C4 E4 A4", "uke"},
	{"ukulele-low-g", "ukulele, low G", "ukulele", "G3 C4 E4 A4", ""},
	{"ukulele-baritone", "baritone ukulele", "ukulele", "D3 G3 B3 E4", ""},
	{"mandolin", "mandolin", "mandolin", "G3 D4 A4 E5", ""},
	{"banjo", "banjo, open G", "banjo", "G4 D3 G3 B3 D4", "banjo-5"},
	{"banjo-tenor", "tenor banjo", "banjo", "C3 G3 D4 A4", "tenor-banjo"},
	{"lute-renaissance", "renaissance lute, six courses", "lute", "G2 C3 F3 A3 D4 G4", ""},
}

// Presets returns the named tunings, standard guitar first, a fresh slice
// each time.
func Presets() []Preset {
	all := make([]Preset, len(presets))
	for i := range presets {
		all[i] = preset(i)
	}
	return all
}

// preset makes the preset of a row of the table.
func preset(i int) Preset {
	p := presets[i]
	fields := strings.Fields(p.strings)
	slices.Reverse(fields)
	open := make([]theory.Pitch, len(fields))
	for j, f := range fields {
		open[j], _ = theory.ParsePitch(f) // the table is tested
	}
	return Preset{Key: p.key, Aliases: strings.Fields(p.aliases), Group: p.group, Tuning: Tuning{p.name, open}}
}

// PresetByName finds a preset by key, alias or name; case, spaces, hyphens
// and underscores do not matter.
func PresetByName(s string) (Preset, bool) {
	want := foldName(s)
	for _, p := range Presets() {
		if foldName(p.Key) == want || foldName(p.Tuning.Name) == want ||
			slices.ContainsFunc(p.Aliases, func(a string) bool { return foldName(a) == want }) {
			return p, true
		}
	}
	return Preset{}, false
}

func foldName(s string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '_' || r == ',' {
			return -1
		}
		return r
	}, strings.ToLower(s))
}
