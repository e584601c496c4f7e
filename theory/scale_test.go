package theory_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/theory"
)

func mustScale(t testing.TB, s string) theory.Scale {
	t.Helper()
	sc, err := theory.ScaleByName(s)
	require.NoError(t, err)
	return sc
}

// Source: degrees of modes and common scales as in handbooks (Kostka & Payne,
// Tonal Harmony; Levine, The Jazz Theory Book; from memory).
func TestScaleFormulas(t *testing.T) {
	for name, formula := range map[string]string{
		"lydian": "1 2 3 #4 5 6 7", "ionian": "1 2 3 4 5 6 7", "mixolydian": "1 2 3 4 5 6 b7", "dorian": "1 2 b3 4 5 6 b7",
		"aeolian": "1 2 b3 4 5 b6 b7", "phrygian": "1 b2 b3 4 5 b6 b7", "locrian": "1 b2 b3 4 b5 b6 b7",
		"major pentatonic": "1 2 3 5 6", "minor pentatonic": "1 b3 4 5 b7", "blues": "1 b3 4 b5 5 b7", "major blues": "1 2 b3 3 5 6",
		"harmonic minor": "1 2 b3 4 5 b6 7", "melodic minor": "1 2 b3 4 5 6 7", "harmonic major": "1 2 3 4 5 b6 7",
		"altered": "1 b2 b3 b4 b5 b6 b7", "lydian dominant": "1 2 3 #4 5 6 b7", "phrygian dominant": "1 b2 3 4 5 b6 b7",
		"whole tone": "1 2 3 #4 #5 b7", "half-whole diminished": "1 b2 b3 3 #4 5 6 b7", "whole-half diminished": "1 2 b3 4 b5 b6 6 7",
		"bebop dominant": "1 2 3 4 5 6 b7 7", "augmented": "1 #2 3 5 #5 7", "ultralocrian": "1 b2 b3 b4 b5 b6 bb7",
	} {
		assert.Equal(t, formula, mustScale(t, name).Formula(), name)
	}
}

// Source: spelled scales as handbooks print them.
func TestScalesSpelled(t *testing.T) {
	for in, want := range map[string]string{
		"C# major": "C# D# E# F# G# A# B#", "Gb major": "Gb Ab Bb Cb Db Eb F", "F# harmonic minor": "F# G# A B C# D E#",
		"Ab minor": "Ab Bb Cb Db Eb Fb Gb", "G altered": "G Ab Bb Cb Db Eb F", "Bb lydian": "Bb C D E F G A", "A blues": "A C D Eb E G",
		"E major pentatonic": "E F# G# B C#", "D melodic minor": "D E F G A B C#", "Eb whole tone": "Eb F G A B Db",
		"C half-whole diminished": "C Db Eb E F# G A Bb", "B phrygian dominant": "B C D# E F# G A",
		"Am pentatonic": "A C D E G", "Db 1 b3 4 #4 5 b7": "Db Fb Gb G Ab Cb",
	} {
		tonic, has, s, err := theory.ParseScale(in)
		require.NoError(t, err, in)
		require.True(t, has, in)
		assert.Equal(t, want, strings.Join(names(s.Notes(tonic)), " "), in)
	}
}

// Source: the modes from bright to dark, each lowering one degree: 4, 7, 3,
// 6, 2, 5 (Persichetti, Twentieth-Century Harmony, ch. 2; from memory).
func TestBrightnessOfTheModes(t *testing.T) {
	order := strings.Fields("lydian ionian mixolydian dorian aeolian phrygian locrian")
	lowered := strings.Fields("4 7 3 6 2 5")
	for i := 1; i < len(order); i++ {
		a, b := mustScale(t, order[i-1]), mustScale(t, order[i])
		c := a.Change(b)
		require.Len(t, c.Moved, 1)
		assert.Len(t, c.Kept, 6)
		assert.Empty(t, c.Added)
		assert.Empty(t, c.Dropped)
		assert.Equal(t, lowered[i-1], theory.Degree{Number: c.Moved[0].From.Number}.String())
		assert.Equal(t, -1, c.Moved[0].To.Alter-c.Moved[0].From.Alter)
		assert.Equal(t, a.Brightness()-7, b.Brightness())

		darker := slices.IndexFunc(a.Neighbours(), func(n theory.Neighbour) bool { return n.Scale == b })
		require.GreaterOrEqual(t, darker, 0, "%s beside %s", b.Name(), a.Name())
		n := a.Neighbours()[darker]
		assert.True(t, n.Mode)
		assert.False(t, n.Brighter())
		assert.Equal(t, c.Moved[0], theory.DegreeMove{From: n.From, To: n.To})
	}
}

// Families list their modes in order, so each entry must be what rotating the
// first gives, spelling included for seven notes.
func TestFamiliesAreTheirRotations(t *testing.T) {
	for _, parent := range []string{"major", "melodic minor", "harmonic minor", "harmonic major", "double harmonic", "major pentatonic"} {
		first := mustScale(t, parent)
		var family []theory.Scale
		for _, s := range theory.Scales() {
			if s.Family() == first.Family() {
				family = append(family, s)
			}
		}
		require.Len(t, family, first.Len(), parent)
		assert.Equal(t, family, first.Modes(), parent)
		for i := range family {
			assert.Equal(t, family[i], mustScale(t, "mode "+string(rune('1'+i))+" of "+parent))
			assert.Equal(t, first, family[i].Mode(first.Len()-i+1), "and back")
		}
	}
	assert.Equal(t, "phrygian dominant", mustScale(t, "5th mode of harmonic minor").Name())
	assert.Equal(t, "altered", mustScale(t, "melodic minor mode 7").Name())
	assert.Equal(t, "lydian b3", mustScale(t, "fourth mode of harmonic major").Name())
	_, err := theory.ScaleByName("mode 8 of major")
	assert.ErrorContains(t, err, "has 7 modes")
}

// Source: scales that repeat within the octave have fewer modes (Messiaen,
// Technique de mon langage musical, ch. 16): whole tone 1, half-whole 2, and
// 4, 6, 3, 6 and 5 for the third to seventh mode of limited transposition
// have 3, 4, 3, 4 and 5.
func TestSymmetricScales(t *testing.T) {
	for name, modes := range map[string]int{
		"whole tone": 1, "half-whole diminished": 2, "augmented": 2, "chromatic": 1, "tritone": 3,
		"limited transposition 3": 3, "limited transposition 4": 4, "limited transposition 5": 3,
		"limited transposition 6": 4, "limited transposition 7": 5,
	} {
		var sets []theory.PitchSet
		for _, m := range mustScale(t, name).Modes() {
			if !slices.Contains(sets, m.Set()) {
				sets = append(sets, m.Set())
			}
		}
		assert.Len(t, sets, modes, name)
	}
}

// Source: combinatorics of pitch-class sets: 2^11 = 2,048 that hold the
// tonic, C(11,6) = 462 of seven notes; transposition classes by size 1, 1, 6,
// 19, 43, 66, 80, 66, 43, 19, 6, 1, 1, together 352 (Read 1997, Discrete
// Math. 167); 224 with inversion (Forte, The Structure of Atonal Music).
func TestAllSetsAreReachable(t *testing.T) {
	sets, sevens, lettered := 0, 0, 0
	for set := theory.PitchSet(1); set <= theory.AllPitches; set += 2 {
		s := theory.ScaleOfSet(set)
		require.Equal(t, set, s.Set())
		sets++
		letters := map[int]bool{}
		for i, d := range s.Degrees() {
			letters[d.Number] = true
			require.LessOrEqual(t, max(d.Alter, -d.Alter), 2)
			require.True(t, i == 0 || d.Semitones() > s.Degree(i-1).Semitones())
		}
		if set.Len() == 7 {
			sevens++
			if len(letters) == 7 {
				lettered++
			}
		}
		back, err := theory.ParseFormula(s.Formula())
		require.NoError(t, err, s.Formula())
		require.True(t, s.Same(back))
		byName, err := theory.ScaleByName(s.Pretty())
		require.NoError(t, err)
		require.True(t, s.Same(byName))
		require.Equal(t, s.Name(), byName.Name())
	}
	assert.Equal(t, 2048, sets)
	assert.Equal(t, 462, sevens)
	t.Logf("%d of %d seven-note sets have one letter per degree within two accidentals", lettered, sevens)
	assert.GreaterOrEqual(t, lettered, 375)

	classes := map[theory.PitchSet]bool{}
	withInversion := map[theory.PitchSet]bool{}
	var bySize [13]int
	for set := theory.PitchSet(0); set <= theory.AllPitches; set++ {
		lowest, lowestInv := set, min(set, set.Invert())
		for n := range 12 {
			lowest = min(lowest, set.Transpose(n))
			lowestInv = min(lowestInv, set.Transpose(n), set.Invert().Transpose(n))
		}
		if !classes[lowest] {
			classes[lowest] = true
			bySize[set.Len()]++
		}
		withInversion[lowestInv] = true
	}
	assert.Equal(t, [13]int{1, 1, 6, 19, 43, 66, 80, 66, 43, 19, 6, 1, 1}, bySize)
	assert.Len(t, classes, 352)
	assert.Len(t, withInversion, 224)
}

func TestUnnamedSetsAreSpelledSensibly(t *testing.T) {
	for formula, want := range map[string]string{
		"1 2 b3 b4":   "1 2 b3 3",
		"1 b3 b5":     "1 b3 b5",
		"1 3 b5":      "1 3 #4",
		"1 2 4 b5 6":  "1 2 4 b5 6",
		"1 b3 4 #4 5": "1 b3 4 b5 5",
	} {
		f, err := theory.ParseFormula(formula)
		require.NoError(t, err)
		assert.Equal(t, want, theory.ScaleOfSet(f.Set()).Formula(), formula)
	}
	f, err := theory.ParseFormula("1 b2 b3 3 b5 b6 6")
	require.NoError(t, err)
	assert.Equal(t, "1 b2 b3 b4 b5 b6 bb7", theory.ScaleOfSet(f.Set()).Formula(), "seven notes take seven letters")
}

func TestEveryNameFindsItsScale(t *testing.T) {
	owner := map[string]string{}
	for _, s := range theory.Scales() {
		require.NotEmpty(t, s.Name())
		require.NotEmpty(t, s.Family())
		for _, name := range append(s.Aliases(), s.Name()) {
			require.Empty(t, owner[name], "%q names %s and %s", name, owner[name], s.Name())
			owner[name] = s.Name()
			for _, form := range []string{name, strings.ToUpper(name), name + " scale", strings.ReplaceAll(name, " ", "-")} {
				got, err := theory.ScaleByName(form)
				require.NoError(t, err, form)
				assert.Equal(t, s, got, form)
			}
			tonic, has, got, err := theory.ParseScale("F# " + name)
			require.NoError(t, err, name)
			assert.True(t, has)
			assert.Equal(t, "F#", tonic.String())
			assert.Equal(t, s, got, name)
			tonic, has, got, err = theory.ParseScale(name)
			require.NoError(t, err, name)
			assert.False(t, has, "%q has no tonic, not %s", name, tonic)
			assert.Equal(t, s, got)
		}
		byFormula, err := theory.ScaleByName(s.Formula())
		require.NoError(t, err)
		assert.True(t, s.Same(byFormula))
	}
	assert.Greater(t, len(owner), 150)
}

func TestScaleNameForms(t *testing.T) {
	for in, want := range map[string]string{
		"pentatonic minor": "minor pentatonic", "min pent": "minor pentatonic", "lydian ♭7": "lydian dominant", "Lydian flat 7": "lydian dominant",
		"locrian ♮2": "locrian natural 2", "diminished (half-whole)": "half-whole diminished", "mixo": "mixolydian", "minor": "natural minor",
		"the dorian mode": "dorian", "super-locrian": "altered", "1, b3, 4, 5, b7": "minor pentatonic", "1-2-3-5-6": "major pentatonic",
		"9 1 3 5 13": "major pentatonic",
	} {
		assert.Equal(t, want, mustScale(t, in).Name(), in)
	}
}

func TestScaleErrors(t *testing.T) {
	tests := []struct {
		in, msg, hint string
		offset        int
	}{
		{"mixolidian", "no such name", "did you mean mixolydian?", 0},
		{"C harmonc minor", "no such name", "did you mean harmonic minor?", 2},
		{"doiran", "no such name", "did you mean dorian?", 0},
		{"xyzzy", "no such name", "lickwright scales", 0},
		{"", "nothing there", "name", 0},
		{strings.Repeat("lydian ", 1000), "longer than any", "name", 0},
		{"Eb", "no name", "name", 0},
		{"1 b3 x", `"x" is no degree`, "degrees", 5},
		{"1 3 b4", "sounds like", "once", 4},
		{"b3 4 5", "it has no 1", "tonic", 0},
		{"1 b1", "outside the octave", "another", 2},
		{"C 1 b3 x", `"x" is no degree`, "degrees", 7},
	}
	for _, tt := range tests {
		_, _, _, err := theory.ParseScale(tt.in)
		var parse *theory.ParseError
		if assert.ErrorAs(t, err, &parse, "%q", tt.in) {
			assert.Contains(t, parse.Error(), tt.msg, "%q", tt.in)
			assert.Contains(t, parse.Hint, tt.hint, "%q", tt.in)
			assert.Equal(t, tt.offset, parse.Offset, "%q", tt.in)
		}
	}
}

func TestScaleChange(t *testing.T) {
	c := mustScale(t, "minor pentatonic").Change(mustScale(t, "blues"))
	assert.Equal(t, []theory.Degree{{5, -1}}, c.Added)
	assert.Len(t, c.Kept, 5)
	c = mustScale(t, "blues").Change(mustScale(t, "1 b3 4 #4 5 b7"))
	assert.True(t, c.SameSets)
	assert.Equal(t, []theory.DegreeMove{{theory.Degree{5, -1}, theory.Degree{4, 1}}}, c.Respelt)
	c = mustScale(t, "minor pentatonic").Change(mustScale(t, "major pentatonic"))
	assert.Equal(t, []theory.DegreeMove{{theory.Degree{3, -1}, theory.Degree{3, 0}}}, c.Moved)
	assert.Equal(t, []theory.Degree{{4, 0}, {7, -1}}, c.Dropped)
	assert.Equal(t, []theory.Degree{{2, 0}, {6, 0}}, c.Added)

	// For any two scales the parts account for all degrees of both.
	all := theory.Scales()
	for _, a := range all {
		for _, b := range all {
			c := a.Change(b)
			both := len(c.Kept) + len(c.Respelt) + len(c.Moved)
			require.Equal(t, a.Len(), both+len(c.Dropped))
			require.Equal(t, b.Len(), both+len(c.Added))
			require.Equal(t, a.Set() == b.Set(), c.SameSets)
			require.Equal(t, a.Same(b), len(c.Kept) == a.Len() && a.Len() == b.Len())
		}
	}
}

// FindScales is held to brute force over the catalogue.
func TestFindScales(t *testing.T) {
	notes := []theory.NoteName{mustName(t, "C"), mustName(t, "Eb"), mustName(t, "F#")}
	found := theory.FindScales(notes, nil)
	want := 0
	for _, s := range theory.Scales() {
		for class := range 12 {
			if s.Set().Transpose(class).Holds(theory.SetOf(notes...)) {
				want++
			}
		}
	}
	assert.Len(t, found, want)
	for _, f := range found {
		set := theory.SetOf(f.Scale.Notes(f.Tonic)...)
		require.True(t, set.Holds(theory.SetOf(notes...)), "%s %s", f.Tonic, f.Scale.Name())
		require.Equal(t, f.Scale.Len()-3, len(f.Extra))
	}
	assert.Equal(t, "C blues", found[0].Tonic.String()+" "+found[0].Scale.Name())

	c := mustName(t, "C")
	for _, f := range theory.FindScales(notes, &c) {
		assert.Equal(t, c, f.Tonic)
	}
	// All notes of a scale find it first, on its own tonic if that is given
	// first, spelled as given.
	for _, name := range []string{"major", "dorian", "altered", "hirajoshi", "minor pentatonic", "blues", "harmonic major"} {
		for _, tonic := range theory.PracticalTonics(theory.Major) {
			s := mustScale(t, name)
			f := theory.FindScales(s.Notes(tonic), nil)[0]
			assert.Equal(t, tonic.String()+" "+name, f.Tonic.String()+" "+f.Scale.Name())
			assert.Empty(t, f.Extra)
		}
	}
}

func TestPitchSets(t *testing.T) {
	// Source: set theory's notation and operations (Forte 1973).
	major := theory.SetOf(mustName(t, "C"), mustName(t, "E"), mustName(t, "G"))
	assert.Equal(t, "{0,4,7}", major.String())
	assert.Equal(t, "{0,5,8}", major.Invert().String())
	assert.Equal(t, "{2,7,e}", major.Transpose(7).String())
	assert.Equal(t, major, major.Transpose(-5).Transpose(5))
	assert.Equal(t, 3, major.Len())
	assert.True(t, major.Has(16))
	assert.True(t, major.Has(-5))
}

func TestKeysHaveTheirScale(t *testing.T) {
	for _, m := range modes {
		k := theory.KeyOf(2, m)
		for _, n := range k.Scale().Notes(k.Tonic) {
			assert.Equal(t, k.Signature(n.Step), n.Alter, "%s in %s", n, k)
		}
	}
}

func FuzzParseScale(f *testing.F) {
	for _, s := range []string{"C major", "Am pentatonic", "1 b3 4", "mode 5 of harmonic minor", "E flat dorian", "mixolidian", "F# 1 b2 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		_, _, sc, err := theory.ParseScale(s)
		if err != nil {
			_ = err.Error()
			return
		}
		back, err := theory.ScaleByName(sc.Formula())
		require.NoError(t, err)
		require.True(t, sc.Same(back))
		if sc.Name() != "" {
			named, err := theory.ScaleByName(sc.Name())
			require.NoError(t, err)
			require.Equal(t, sc.Set(), named.Set())
		}
	})
}

// A name from elsewhere is understood, and what is said back is one that says
// by what a known scale is changed, or that the trade uses. Source: common
// practice among guitarists, from memory.
func TestScalesAreNamedForPlayers(t *testing.T) {
	for said, want := range map[string]string{
		"man gong": "minor pentatonic #5", "yo": "major pentatonic sus4", "kumoi": "major pentatonic b3", "sakura": "japanese pentatonic", "todi": "neapolitan minor #4", "egyptian": "suspended pentatonic",
	} {
		s, err := theory.ScaleByName(said)
		require.NoError(t, err)
		assert.Equal(t, want, s.Title())
	}
}
