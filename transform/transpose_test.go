package transform

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// Keys and their signatures are those of the circle of fifths (common
// practice; Kostka & Payne, Tonal Harmony, ch. 1): E major has F♯ C♯ G♯ D♯.
func TestPitchesMoveExactly(t *testing.T) {
	never := TransposeOptions{Respell: RespellNever}
	for _, tt := range []struct {
		key, in, by string
		opt         TransposeOptions
		wantKey     string
		want        string
	}{
		{"C", "C4 D4 E4 F4 G4 A4 B4 C5", "M3", TransposeOptions{}, "E major", "E4 F#4 G#4 A4 B4 C#5 D#5 E5"},
		{"B", "B3 C#4 D#4 E4 A#4", "m2", TransposeOptions{}, "C major", "C4 D4 E4 F4 B4"},
		{"B", "B3 C#4 D#4 E4 A#4", "A1", TransposeOptions{}, "C major", "C4 D4 E4 F4 B4"},
		{"B", "B3 C#4 D#4 E4 A#4", "A1", never, "B# major", "B#3 C##4 D##4 E#4 A##4"},
		{"F", "F4 Bb4 Eb5", "-m3", TransposeOptions{}, "D major", "D4 G4 C5"},
		{"A minor", "A3 G#3 B3", "m3", TransposeOptions{}, "C minor", "C4 B3 D4"},
		{"Gb", "Gb4 Cb5", "m2", TransposeOptions{}, "G major", "G4 C5"}, // A double flat key is respelled
		{"Gb", "Gb4 Cb5", "m2", never, "Abb major", "Abb4 Dbb5"},
		{"", "C#4 F##4", "A1", TransposeOptions{}, "", "C##4 G#4"}, // triple sharps only
		{"", "C#4 F##4", "A1", never, "", "C##4 F###4"},
		{"D dorian", "D4 E4 F4 B4", "P4", TransposeOptions{}, "G dorian", "G4 A4 Bb4 E5"},
		{"C", "C4", "M9", TransposeOptions{}, "D major", "D5"},
		{"C", "C4", "-P15", TransposeOptions{}, "C major", "C2"},
	} {
		t.Run(tt.key+" "+tt.by, func(t *testing.T) {
			in := melody(t, tt.key, tt.in)
			out, ds := Transpose(in, interval(t, tt.by), tt.opt)
			assert.Empty(t, ds)
			assert.Equal(t, tt.want, pitches(out))
			assert.Equal(t, tt.in, pitches(in))
			if tt.wantKey != "" {
				assert.Equal(t, tt.wantKey, firstKey(t, out).String())
			}
		})
	}
}

func TestChordSymbolsMoveWithTheirWritersStyle(t *testing.T) {
	in := melody(t, "C", "C4")
	m := in.Parts[0].Measures[0]
	chord := func(root, bass, quality string) {
		c := theory.Chord{Quality: quality}
		var err error
		c.Root, err = theory.ParseNoteName(root)
		require.NoError(t, err)
		if c.HasBass = bass != ""; c.HasBass {
			c.Bass, err = theory.ParseNoteName(bass)
			require.NoError(t, err)
		}
		m.Events = append(m.Events, &score.Harmony{Chord: c})
	}
	chord("C", "G", "-7")
	chord("F#", "", "m7b5")
	m.Events = append(m.Events, &score.Harmony{Chord: theory.Chord{NoChord: true, Quality: "N.C."}})
	out, ds := Transpose(in, interval(t, "M3"), TransposeOptions{})
	assert.Empty(t, ds)
	var got []string
	for _, e := range out.Parts[0].Measures[0].Events {
		if h, ok := e.(*score.Harmony); ok {
			got = append(got, h.Chord.String())
		}
	}
	assert.Equal(t, []string{"E-7/B", "A#m7b5", "N.C."}, got)
}

func TestWhatDoesNotMove(t *testing.T) {
	in := melody(t, "", "C4 D4 E4")
	notes := in.Parts[0].Measures[0]
	var list []*score.Note
	for n := range score.Notes(notes) {
		list = append(list, n)
	}
	list[0].Unpitched = true
	list[1].Detune = score.Q(1, 2)
	notes.Events = append([]score.Event{&score.KeySignature{Free: true}, &score.KeySignature{NoKey: true}}, notes.Events...)
	out, ds := Transpose(in, interval(t, "M2"), TransposeOptions{})
	assert.Equal(t, "C4 E4 F#4", pitches(out))
	for n := range score.Notes(out) {
		if n.Pitch.Step == theory.E {
			assert.Equal(t, score.Q(1, 2), n.Detune)
		}
	}
	assert.Empty(t, ds)

	drums := melody(t, "C", "C4")
	for n := range score.Notes(drums) {
		n.Unpitched = true
	}
	out, _ = Transpose(drums, interval(t, "M2"), TransposeOptions{})
	assert.Equal(t, drums, out)
}

func TestOnlySomeParts(t *testing.T) {
	a, b := melody(t, "C", "C4"), melody(t, "C", "C4")
	b.Parts[0].ID = "P2"
	a.Parts = append(a.Parts, b.Parts[0])
	out, _ := Transpose(a, interval(t, "M2"), TransposeOptions{Parts: []string{"P2"}})
	assert.Equal(t, "C4 D4", pitches(out))
}

// A page that is written a tone higher than it sounds (B♭ instruments; common
// practice) reaches seven sharps before the sounding key does.
func TestRespellingLooksAtThePage(t *testing.T) {
	for _, tt := range []struct{ page, by, want string }{
		{"P1", "M2", "B major"},  // five sharps
		{"-M2", "M2", "B major"}, // written C♯, seven sharps
		{"P1", "M6", "F# major"},
		{"-M2", "M6", "Gb major"}, // written G♯, eight sharps: so A♭
	} {
		in := melody(t, "A", "A4 C#5")
		m := in.Parts[0].Measures[0]
		m.Events = append(m.Events, nil)
		copy(m.Events[2:], m.Events[1:]) // after the key: the order must not matter
		m.Events[1] = &score.PageTranspose{Interval: interval(t, tt.page)}
		out, _ := Transpose(in, interval(t, tt.by), TransposeOptions{})
		assert.Equal(t, tt.want, firstKey(t, out).String(), "page %s by %s", tt.page, tt.by)
	}
}

func TestEachSectionIsRespelledForItself(t *testing.T) {
	in := melody(t, "E", "E4 F#4")
	second := melody(t, "Db", "Db4 Eb4").Parts[0].Measures[0]
	in.Parts[0].Measures = append(in.Parts[0].Measures, second)
	out, _ := Transpose(in, interval(t, "M3"), TransposeOptions{})
	// G♯ major is eight sharps: A♭. F major stays.
	assert.Equal(t, "Ab4 Bb4 F4 G4", pitches(out))
}

// Tab has no letters. The key gives them, before the move and after it alike;
// without one they are those of C.
func TestTabIsSpelledInTheNewKey(t *testing.T) {
	in := lick(t, fretboard.Guitar(), "5.3 5.6 4.5") // C E♭ G
	m := in.Parts[0].Measures[0]
	key, _, err := theory.ParseKey("C minor")
	require.NoError(t, err)
	m.Events = append([]score.Event{&score.KeySignature{Key: key, ModeSaid: true}}, m.Events...)
	out, _ := Transpose(in, interval(t, "M2"), TransposeOptions{})
	assert.Equal(t, "D3 F3 A3", pitches(out))
	out, _ = Transpose(in, interval(t, "A1"), TransposeOptions{})
	assert.Equal(t, "C#3 E3 G#3", pitches(out))

	free := lick(t, fretboard.Guitar(), "6.0 6.3") // E G
	out, _ = Transpose(free, interval(t, "A1"), TransposeOptions{})
	assert.Equal(t, "F2 Ab2", pitches(out))
	out, _ = Transpose(free, interval(t, "A1"), TransposeOptions{Respell: RespellNever})
	assert.Equal(t, "E#2 G#2", pitches(out))
}

// Moving to a key and choosing letters there is the same thing.
func TestChosenLettersMoveWithTheKey(t *testing.T) {
	for fifths := -7; fifths <= 7; fifths++ {
		for mode := theory.Major; mode <= theory.Locrian; mode++ {
			key := theory.KeyOf(fifths, mode)
			for _, by := range someIntervals() {
				for midi := 40; midi < 52; midi++ {
					require.Equal(t, theory.SpellIn(key.Transpose(by), midi+by.Semitones), theory.SpellIn(key, midi).Transpose(by))
				}
			}
		}
	}
}

func TestNameLabelsFollow(t *testing.T) {
	in := melody(t, "C", "C4 E4 B4")
	i := 0
	for n := range score.Notes(in) {
		n.Annotations = []score.Annotation{{Kind: "degree", Text: "3"}, {Kind: "name", Text: []string{"C", "E", "H"}[i]}}
		i++
	}
	out, ds := Transpose(in, interval(t, "M3"), TransposeOptions{})
	var got []string
	for n := range score.Notes(out) {
		assert.Equal(t, "3", n.Annotations[0].Text, "degrees are the same in every key")
		got = append(got, n.Annotations[1].Text)
	}
	assert.Equal(t, []string{"E", "G♯", "H"}, got)
	assert.Equal(t, []string{CodeNameLabel}, codes(ds))
}

type fixedLocator struct{}

func (fixedLocator) Locate(h score.Handle) score.Pos {
	return score.Pos{File: "lick.tab", Offset: int(h), Line: int(h), Col: 1}
}

func TestDiagnosticsPointAtTheSource(t *testing.T) {
	in := lick(t, fretboard.Guitar(), "6.0 1.22")
	in.Locator = fixedLocator{}
	h := score.Handle(0)
	for n := range score.Notes(in) {
		h++
		n.Src = h
	}
	_, ds := Transpose(in, interval(t, "M2"), TransposeOptions{})
	require.NotEmpty(t, ds)
	assert.Equal(t, "lick.tab:2:1: bar 1, beat 2: E6 has no place: it is higher than the last fret (22)", ds[len(ds)-1].Error())
}

func TestBeatsAreCountedAsPlayersDo(t *testing.T) {
	for _, tt := range []struct {
		beats string
		typ   int
		at    score.Quarters
		want  string
	}{
		{"4", 4, score.Q(1, 1), "2"},
		{"4", 4, score.Q(3, 2), "2+1/2"},
		{"6", 8, score.Q(3, 2), "2"},
		{"12", 8, score.Q(4, 1), "3, third eighth"},
		{"3", 8, score.Q(1, 2), "2"},
		{"2", 2, score.Q(2, 1), "2"},
		{"3+2", 8, score.Q(1, 1), "3"},
	} {
		m := &score.Measure{Events: []score.Event{&score.TimeSignature{Beats: []string{tt.beats}, BeatTypes: []int{tt.typ}}}}
		beats := beatLengths(&score.Part{Measures: []*score.Measure{m}})
		assert.Equal(t, tt.want, beatOf(tt.at, beats[0]), "%s/%d", tt.beats, tt.typ)
	}
}
