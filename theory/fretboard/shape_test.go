package fretboard_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Source: the C major scale in the five chord shapes, frets by string 6 to 1,
// as methods print it (common practice).
func TestMajorScaleInTheFiveShapes(t *testing.T) {
	set := tones(t, "C major")
	for _, tt := range []struct {
		shape string
		index int
		frets string
	}{
		{"E", 7, "7 8 10 | 7 8 10 | 7 9 10 | 7 9 10 | 8 10 | 7 8 10"},
		{"D", 10, "10 12 13 | 10 12 | 9 10 12 | 9 10 12 | 10 12 13 | 10 12 13"},
		{"C", 12, "12 13 15 | 12 14 15 | 12 14 15 | 12 14 | 12 13 15 | 12 13 15"},
		{"A", 2, "3 5 | 2 3 5 | 2 3 5 | 2 4 5 | 3 5 6 | 3 5"},
		{"G", 5, "5 7 8 | 5 7 8 | 5 7 | 4 5 7 | 5 6 8 | 5 7 8"},
	} {
		l := shape(t, fretboard.Guitar(), set, tt.shape, tt.index).Lay(set)
		assert.Equal(t, tt.frets, laid(l), "%s shape", tt.shape)
		assert.Empty(t, l.Missing)
	}
}

// Source: the C major and C minor chords in the five shapes (common
// practice); x is a string that is not played.
func TestChordsInTheFiveShapes(t *testing.T) {
	for _, tt := range []struct {
		chord, shape string
		index        int
		frets        string
	}{
		{"C", "C", 0, "x 3 2 0 1 0"}, {"C", "A", 2, "x 3 5 5 5 3"}, {"C", "G", 5, "8 7 5 5 5 8"},
		{"C", "E", 7, "8 10 10 9 8 8"}, {"C", "D", 10, "x x 10 12 13 12"},
		{"Cm", "C", 13, "x 15 13 12 13 x"}, {"Cm", "A", 3, "x 3 5 5 4 3"}, {"Cm", "G", 5, "8 6 5 5 8 8"},
		{"Cm", "E", 8, "8 10 10 8 8 8"}, {"Cm", "D", 10, "x x 10 12 13 11"},
		// The open chords that gave the shapes their names, and everyday
		// seventh chords as chord books print them.
		{"E", "E", 0, "0 2 2 1 0 0"}, {"A", "A", 0, "x 0 2 2 2 0"}, {"G", "G", 0, "3 2 0 0 0 3"}, {"D", "D", 0, "x x 0 2 3 2"},
		{"Em", "E", 0, "0 2 2 0 0 0"}, {"Am", "A", 0, "x 0 2 2 1 0"}, {"Dm", "D", 0, "x x 0 2 3 1"},
		{"C7", "C", 0, "x 3 2 3 1 0"}, {"C7", "A", 3, "x 3 5 3 5 3"}, {"C7", "E", 8, "8 10 8 9 8 8"}, {"D7", "D", 0, "x x 0 2 1 2"},
		{"G7", "G", 0, "3 2 0 0 0 1"}, {"Cm7", "A", 3, "x 3 5 3 4 3"}, {"Cm7", "E", 8, "8 10 8 8 8 8"}, {"Cmaj7", "C", 0, "x 3 2 0 0 0"},
		{"Cmaj7", "A", 2, "x 3 5 4 5 3"}, {"Dm7", "D", 0, "x x 0 2 1 1"}, {"Cm7b5", "D", 10, "x x 10 11 11 11"}, {"C9", "A", 3, "x 3 2 3 3 3"},
	} {
		set := chordTones(t, tt.chord)
		r := shape(t, fretboard.Guitar(), set, tt.shape, tt.index)
		vs := r.Voicings(set)
		require.Len(t, vs, 1)
		assert.Equal(t, tt.frets, vs[0].String(), "%s, %s shape", tt.chord, tt.shape)
		assert.LessOrEqual(t, vs[0].Fingers, 4)
	}
}

// Source: the strings of the roots in the five shapes (common practice).
func TestRootsOfTheFiveShapes(t *testing.T) {
	set := chordTones(t, "C")
	for _, tt := range []struct {
		shape string
		index int
		roots []int
	}{{"C", 12, []int{5, 2}}, {"A", 2, []int{5, 3}}, {"G", 5, []int{6, 3, 1}}, {"E", 7, []int{6, 4, 1}}, {"D", 10, []int{4, 2}}} {
		var roots []int
		for _, s := range shape(t, fretboard.Guitar(), set, tt.shape, tt.index).Voicings(set)[0].Spots {
			if s.Degree.Number == 1 {
				roots = append(roots, s.Place.String)
			}
		}
		assert.Equal(t, tt.roots, roots, tt.shape)
	}
}

// Source: up the neck the shapes follow each other as C A G E D in every key,
// round and round; from the nut the key of E has E D C A G (common practice).
// The first shape of each major key was counted by hand: the lowest fret from
// which one of the five has the hand on the neck.
func TestShapesFollowEachOther(t *testing.T) {
	const round = "CAGEDCAGED"
	first := map[string]string{"E": "E", "A": "A", "D": "D", "G": "G", "C": "C", // at the nut: the open chords
		"F": "E", "Bb": "A", "Eb": "D", "Ab": "G", "Db": "C", // the same a fret up
		"F#": "E", "B": "A"} // and two
	for _, key := range keys() {
		for _, quality := range []string{"major", "minor"} {
			var order string
			for _, r := range regions(t, fretboard.ChordShape{}, fretboard.Guitar(), tones(t, key+" "+quality)) {
				order += r.Name[:1]
			}
			require.GreaterOrEqual(t, len(order), 7)
			start := strings.Index(round, order[:1])
			for i := range order {
				require.Equal(t, round[(start+i)%5], order[i], "%s %s: %s", key, quality, order)
			}
			if quality == "major" {
				assert.Equal(t, first[key], order[:1], key)
			}
			if key == "E" {
				assert.Equal(t, "EDCAG", order[:5])
			}
		}
	}
}

// Source: the claim of the trade that the rule leaves no gap and sounds
// nothing twice in standard tuning (computed; checked here against the places
// counted by hand of the rule's words).
func TestShapesLeaveNoGap(t *testing.T) {
	for _, key := range keys() {
		for _, scale := range eighteenScales() {
			set := tones(t, key+" "+scale)
			for _, r := range regions(t, fretboard.ChordShape{}, fretboard.Guitar(), set) {
				l := r.Lay(set)
				assert.Empty(t, l.Missing, "%s %s, %s at %d", key, scale, r.Name, r.Index)
				seen := map[int]bool{}
				for _, s := range l.Spots {
					assert.False(t, seen[s.Pitch.MIDI()])
					seen[s.Pitch.MIDI()] = true
				}
			}
		}
	}
}

// perString counts the notes on each string.
func perString(l fretboard.Layout) (least, most int) {
	least = 99
	for _, row := range l.ByString() {
		least, most = min(least, len(row)), max(most, len(row))
	}
	return least, most
}

// Source: away from the nut a pentatonic has two notes on every string of
// each shape, a seven-note scale two or three, harmonic and melodic minor up
// to four (common practice).
func TestNotesPerStringInTheShapes(t *testing.T) {
	modes := []string{"major", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"}
	four := map[string]bool{}
	for _, key := range keys() {
		for _, scale := range slices.Concat(modes, []string{"major pentatonic", "minor pentatonic", "harmonic minor", "melodic minor"}) {
			set := tones(t, key+" "+scale)
			for _, r := range regions(t, fretboard.ChordShape{}, fretboard.Guitar(), set) {
				if r.Index < 1 {
					continue
				}
				least, most := perString(r.Lay(set))
				switch {
				case strings.HasSuffix(scale, "pentatonic"):
					assert.Equal(t, [2]int{2, 2}, [2]int{least, most}, "%s %s, %s", key, scale, r.Name)
				case slices.Contains(modes, scale):
					assert.Equal(t, [2]int{2, 3}, [2]int{least, most}, "%s %s, %s", key, scale, r.Name)
				case most == 4:
					four[scale] = true
				default:
					assert.LessOrEqual(t, most, 4)
				}
			}
		}
	}
	assert.Equal(t, map[string]bool{"harmonic minor": true, "melodic minor": true}, four)
}

// Source: triad within pentatonic within scale for these modes and not for
// those (common practice; the sets are computed).
func TestChainOfSets(t *testing.T) {
	for scale, pent := range map[string]string{
		"major": "major", "lydian": "major", "mixolydian": "major", "aeolian": "minor", "dorian": "minor", "phrygian": "minor", "blues": "minor",
		"harmonic minor": "", "melodic minor": "", "locrian": "", "whole tone": "", "1 2 4": "",
	} {
		for _, key := range keys() {
			tonic, _, s, err := theory.ParseScale(key + " " + scale)
			require.NoError(t, err)
			chain := fretboard.ChainOf(tonic, s)
			if pent == "" {
				assert.Empty(t, chain.Pentatonic.Tones, "%s", scale)
				assert.NotEmpty(t, chain.WhyNot)
			} else {
				assert.Equal(t, key+" "+pent+" pentatonic", chain.Pentatonic.Title, scale)
				assert.Empty(t, chain.WhyNot)
				assert.True(t, chain.Triad.Within(chain.Pentatonic) && chain.Pentatonic.Within(chain.Scale))
			}
			if len(chain.Seventh.Tones) > 0 {
				assert.True(t, chain.Triad.Within(chain.Seventh) && chain.Seventh.Within(chain.Scale))
			}
			// On the neck each set is part of the scale, place for place.
			for _, r := range regions(t, fretboard.ChordShape{}, fretboard.Guitar(), chain.Scale) {
				whole := r.Lay(chain.Scale).Places()
				for _, set := range chain.Sets() {
					for _, p := range r.Lay(set).Places() {
						assert.Contains(t, whole, p, "%s in %s, %s", set.Title, chain.Scale.Title, r.Name)
					}
				}
				if len(chain.Triad.Tones) > 0 {
					for _, v := range r.Voicings(chain.Triad) {
						for _, s := range v.Spots {
							assert.Contains(t, r.Places(chain.Triad), s)
						}
					}
				}
			}
		}
	}
	tonic, _, s, _ := theory.ParseScale("A harmonic minor")
	chain := fretboard.ChainOf(tonic, s)
	assert.Equal(t, "no common pentatonic fits: A minor pentatonic has b7, which A harmonic minor has not", chain.WhyNot)
	assert.Equal(t, "Am(maj7) arpeggio", chain.Seventh.Title)
	tonic, _, s, _ = theory.ParseScale("B locrian")
	assert.Equal(t, "no common pentatonic holds Bdim", fretboard.ChainOf(tonic, s).WhyNot)
}

// Other tunings have what the rule gives on their strings. Rows were worked
// out with pencil and paper from the rule and the open strings.
func TestShapesOfOtherTunings(t *testing.T) {
	type at struct {
		name  string
		index int
	}
	for _, tt := range []struct {
		tuning, scale string
		want          []at // nearest to the nut
		row           string
	}{
		// D2 at fret 0 of string 6: roots C at fret 10 of strings 6 and 4
		// share a hand; A and C keep their letters, for the strings from
		// their roots up are a guitar's.
		{"drop-d", "C major", []at{{"C shape", 0}, {"A shape", 2}, {"root on string 6, little finger", 7}, {"root on string 6, middle finger and D shape", 9}},
			"0 2 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3"},
		// D2 G2 D3: C at fret 10 of 6 and 4, fret 5 of 5. C4 lies under the
		// hand on string 3 and in reach on 2; E4 under it on 2 and, lower, on 1.
		{"open-g", "C major", []at{{"root on string 5, little finger", 2}, {"root on string 5, middle finger", 4}, {"root on string 6, little finger", 7}, {"root on string 6, middle finger and root on string 4, middle finger", 9}},
			"2 3 5 | 2 4 5 | 2 3 5 | 2 4 5 | 3 | 2 3 5"},
		// B1 E2 A2: C at 1, 8, 3; the open B is nearer than its double at fret 4.
		{"7-string", "C major", []at{{"root on string 7, index finger", 0}, {"A shape", 2}, {"G shape", 5}, {"E shape", 7}, {"root on string 7, little finger", 10}},
			"0 1 3 | 0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3"},
		// Lowest in pitch are C4 (string 3), E4 (2) and G4 (4).
		{"ukulele", "C major", []at{{"root on string 3, open", 0}, {"root on string 4, index finger and root on string 2, little finger", 5}, {"root on string 2, middle finger", 7}, {"root on string 3, little finger", 9}},
			"0 | 0 2 | 0 1 | 0 2 3"},
		// A guitar a half step down keeps the letters: E flat has the E shape at the nut.
		{"half-step-down", "Eb major", []at{{"E shape", 0}, {"D shape", 2}, {"C shape", 4}, {"A shape", 6}, {"G shape", 9}},
			"0 2 4 | 0 2 4 | 1 2 4 | 1 2 | 0 2 4 | 0 2 4"},
	} {
		n := neckOf(t, tt.tuning)
		set := tones(t, tt.scale)
		rs := fretboard.Once(regions(t, fretboard.ChordShape{}, n, set))
		var got []at
		for _, r := range rs {
			got = append(got, at{r.Name, r.Index})
		}
		assert.Equal(t, tt.want, got, tt.tuning)
		assert.Equal(t, tt.row, laid(rs[0].Lay(set)), tt.tuning)
	}
}

// A name that names a finger names the one that has the root there, at every
// fret: one finger per fret from the index finger's on, at the nut from the
// first on. Source: common practice.
func TestNamesOfShapesAreTrueWhereTheyStand(t *testing.T) {
	fingers := []string{"index", "middle", "ring", "little"}
	checked := 0
	for _, tuning := range []string{"bass", "bass-5", "ukulele", "banjo", "drop-d", "open-g", "dadgad", "mandolin"} {
		n := neckOf(t, tuning)
		for _, scale := range []string{"B minor pentatonic", "C major", "F# dorian", "Eb harmonic minor"} {
			set := tones(t, scale)
			for _, r := range regions(t, fretboard.ChordShape{}, n, set) {
				for _, name := range strings.Split(r.Name, " and ") {
					var str int
					var finger string
					if _, err := fmt.Sscanf(name, "root on string %d, %s finger", &str, &finger); err != nil {
						continue
					}
					spots := r.Lay(set).Spots
					if slices.ContainsFunc(spots, func(s fretboard.Spot) bool { return s.Place.String == str && s.Reach > 0 }) {
						continue // the hand opens there
					}
					for _, s := range spots {
						if s.Place.String != str || s.Degree.String() != "1" || s.Place.Fret < max(r.Index, 1) {
							continue
						}
						assert.Equal(t, fingers[s.Place.Fret-max(r.Index, 1)], finger, "%s, %s, fret %d of the index finger", tuning, name, r.Index)
						checked++
						break
					}
				}
			}
		}
	}
	assert.Greater(t, checked, 100)
	// The case that a reader found: B on the A string of a bass, with the middle
	// finger in open position and the little finger at fret 11.
	set, n := tones(t, "B minor pentatonic"), neckOf(t, "bass")
	held := map[int][2]string{}
	for _, r := range regions(t, fretboard.ChordShape{}, n, set) {
		held[r.Index] = [2]string{r.Name, r.HeldName()}
	}
	assert.Equal(t, [2]string{"root on string 3, middle finger", "root on string 3, little finger"}, held[0])
	assert.Equal(t, [2]string{"root on string 3, little finger", "root on string 3, little finger"}, held[11])
}

// Strings below a guitar's change nothing about its five shapes: each can be
// asked for, has the same hand, and the same notes on the six strings.
func TestShapesOfAGuitarWithMoreStrings(t *testing.T) {
	six, seven := fretboard.Guitar(), neckOf(t, "7-string")
	for _, scale := range []string{"C major", "C minor", "F# dorian"} {
		set := tones(t, scale)
		for _, letter := range strings.Split("CAGED", "") {
			s, err := fretboard.ParseShape(six.Tuning, letter)
			require.NoError(t, err)
			one := fretboard.ChordShape{Shapes: []fretboard.Shape{s}}
			a, b := regions(t, one, six, set), regions(t, one, seven, set)
			require.Len(t, b, len(a))
			for i := range a {
				assert.Equal(t, a[i].Name, b[i].Name)
				assert.Equal(t, a[i].Index, b[i].Index, "%s, %s", scale, letter)
				assert.Equal(t, laid(a[i].Lay(set)), strings.SplitN(laid(b[i].Lay(set)), " | ", 2)[1])
			}
		}
	}
}

// What the tuning's strings lie too wide apart for is named, not left out in
// silence: in drop D nothing under one hand fills the fifth between strings 6
// and 5.
func TestGapsAreNamed(t *testing.T) {
	set := tones(t, "C major")
	n := neckOf(t, "drop-d")
	r := shape(t, n, set, "A", 2)
	assert.Equal(t, "2 3 5 | 2 3 5 | 2 3 5 | 2 4 5 | 3 5 6 | 3 5", laid(r.Lay(set)))
	assert.Equal(t, pitches(t, "A2"), r.Lay(set).Missing)
}

func TestParseShape(t *testing.T) {
	std := fretboard.Standard()
	for text, want := range map[string]fretboard.Shape{
		"E": {String: 6}, "e shape": {String: 6}, "A": {String: 5}, "D": {String: 4}, "G": {String: 6, Finger: fretboard.Little},
		"c-shape": {String: 5, Finger: fretboard.Little}, "string 5, ring": {String: 5, Finger: fretboard.Ring},
		"middle 3": {String: 3, Finger: fretboard.Middle}, "root on string 6, index finger": {String: 6},
	} {
		got, err := fretboard.ParseShape(std, text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
		back, err := fretboard.ParseShape(std, got.Name(std))
		require.NoError(t, err)
		assert.Equal(t, got, back)
	}
	for _, bad := range []string{"", "F", "X", "string 7 index", "6", "6 thumb", "5 index ring", "C A"} {
		_, err := fretboard.ParseShape(std, bad)
		var pe *theory.ParseError
		require.ErrorAs(t, err, &pe, bad)
		assert.Contains(t, pe.Hint, "E, A, D, G, C")
	}
	_, err := fretboard.ParseShape(neckOf(t, "drop-d").Tuning, "E")
	require.ErrorContains(t, err, "has not this form in the tuning D2")
	_, err = fretboard.ParseShape(neckOf(t, "ukulele").Tuning, "E")
	require.Error(t, err)
}

// No table of shapes: the files that make them hold no number but those that
// the rule needs (nothing, one, two, twelve), and no list of numbers.
func TestNoFretConstantsPerShape(t *testing.T) {
	fset := token.NewFileSet()
	for _, file := range []string{"shape.go", "hand.go", "toneset.go"} {
		f, err := parser.ParseFile(fset, file, nil, 0)
		require.NoError(t, err)
		allowed := []string{"0", "1", "2", "12"}
		if file == "toneset.go" {
			allowed = append(allowed, "3", "4") // semitones of the minor and the major third
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BasicLit:
				if n.Kind == token.INT {
					assert.Contains(t, allowed, n.Value, "%s", fset.Position(n.Pos()))
				}
			case *ast.CompositeLit:
				for _, e := range n.Elts {
					lit, ok := e.(*ast.BasicLit)
					assert.False(t, ok && lit.Kind == token.INT, "%s: a list of numbers", fset.Position(n.Pos()))
				}
			}
			return true
		})
	}
}
