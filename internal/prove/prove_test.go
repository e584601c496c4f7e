package prove

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// phrase is an invented bar with a hammer-on, a slide, a tie and a bend.
const phrase = `Key: A minor
Time: 4/4

e|-------------------------|-------------------------|
B|-------------5b7---------|-(5)---------------------|
G|-5h-7--------------------|-------------5--/--7-----|
D|-------------------------|-------------------------|
A|-------------------------|-------------------------|
E|-------------------------|-------------------------|
   1     2     3     4       ~1          3     4
`

func kinds(faults []Fault) []Kind {
	var all []Kind
	for _, f := range faults {
		all = append(all, f.Kind)
	}
	return all
}

// firstNote returns the i-th note of a score, to be spoilt.
func noteOf(s *score.Score, i int) *score.Note {
	for n := range score.Notes(s) {
		if i == 0 {
			return n
		}
		i--
	}
	return nil
}

// Each way to spoil a phrase is found, and is named for what it is.
func TestSoundFindsWhatIsWrong(t *testing.T) {
	require.Empty(t, Sound(readTab(t, phrase)))
	for _, tt := range []struct {
		name  string
		spoil func(s *score.Score)
		kind  Kind
		says  string
	}{
		{"fret beyond the neck", func(s *score.Score) { noteOf(s, 0).Place.Fret = 30 }, Place, "the neck has no fret 30"},
		{"pitch of another place", func(s *score.Score) { noteOf(s, 0).Pitch.Octave++ }, Place, "does not give"},
		{"bar too short", func(s *score.Score) { s.Parts[0].Measures[1].Length = score.Q(3, 1) }, Duration, "metre asks for 4"},
		{"notes overlap", func(s *score.Score) {
			for c := range s.Parts[0].Measures[0].Chords() {
				c.Duration = score.Q(4, 1)
				break
			}
		}, Duration, "runs into"},
		{"hammer-on that falls", func(s *score.Score) {
			n := noteOf(s, 1)
			n.Place.Fret, n.Pitch = 3, theory.P(theory.B, -1, 3)
		}, Technique, "a hammer-on goes from fret 5 to 3"},
		{"hammer-on to another string", func(s *score.Score) {
			n := noteOf(s, 1)
			n.Place, n.Pitch = fretboard.Place{String: 2, Fret: 7}, theory.P(theory.F, 1, 4)
		}, Technique, "goes from string 3 to string 2"},
		{"tie to another note", func(s *score.Score) {
			n := noteOf(s, 3)
			n.Place.Fret, n.Pitch = 6, theory.P(theory.F, 0, 4)
		}, Technique, "is tied to a note that is not before it"},
		{"string struck twice", func(s *score.Score) {
			for c := range s.Parts[0].Measures[0].Chords() {
				n := *c.Notes[0]
				n.Place.Fret, n.Pitch, n.Techniques = 4, theory.P(theory.B, 0, 3), nil
				c.Notes = append(c.Notes, &n)
				break
			}
		}, Place, "struck twice at once"},
		{"bent open string", func(s *score.Score) {
			n := noteOf(s, 2)
			n.Place.Fret, n.Pitch, n.TieStart = 0, theory.P(theory.B, 0, 3), false
			noteOf(s, 3).TieStop = false
		}, Technique, "open string cannot be bent"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := readTab(t, phrase).Clone()
			tt.spoil(s)
			faults := Sound(s)
			require.NotEmpty(t, faults)
			assert.Contains(t, kinds(faults), tt.kind)
			all := ""
			for _, f := range faults {
				all += f.String() + "\n"
			}
			assert.Contains(t, all, tt.says)
		})
	}
}

func TestClaims(t *testing.T) {
	s := readTab(t, phrase)
	// The bend of string 2 fret 5 to fret 7 sounds F#, which is dorian.
	assert.Empty(t, Claim{Key: "A minor", Scale: "A dorian", Frets: &[2]int{5, 7}, Moved: s, Bars: 2}.Check(s))
	for _, tt := range []struct {
		claim Claim
		kind  Kind
		says  string
	}{
		{Claim{Scale: "A natural minor"}, NotScale, "bar 1, beat 3: E (string 2, fret 5), bent by 2 semitones, is no note of A natural minor"},
		{Claim{Key: "G"}, OutOfKey, "bar 1: the signature has no sharps or flats; G has 1 sharp"},
		{Claim{Frets: &[2]int{5, 6}}, OutOfPos, "bar 1, beat 1+1/2: D (string 3, fret 7) lies outside of frets 5 to 6"},
		{Claim{Bars: 3}, Duration, "it has 2 bars in place of 3"},
	} {
		faults := tt.claim.Check(s)
		require.NotEmpty(t, faults, "%v", tt.claim)
		assert.Equal(t, tt.kind, faults[0].Kind)
		assert.Equal(t, tt.says, faults[0].String())
	}
}

func TestMovedMusic(t *testing.T) {
	from := readTab(t, phrase)
	up := from.Clone()
	for n := range score.Notes(up) {
		n.Pitch = n.Pitch.Transpose(theory.Interval{Steps: 2, Semitones: 3})
		n.Place.Fret += 3
	}
	three, four := 3, 4
	assert.Empty(t, Claim{Moved: from, Semitones: &three}.Check(up))
	assert.Empty(t, Claim{Moved: from}.Check(up))
	assert.NotEmpty(t, Claim{Moved: from, Semitones: &four}.Check(up))
	bent := noteOf(up, 2).Techniques
	noteOf(up, 2).Techniques = nil
	assert.NotEmpty(t, Claim{Moved: from}.Check(up), "a bend that got lost")
	noteOf(up, 2).Techniques = bent
	hammered := noteOf(up, 1).Techniques
	noteOf(up, 1).Techniques = nil
	lost := Claim{Moved: from}.Check(up)
	require.Len(t, lost, 1)
	assert.Equal(t, "bar 1, beat 1+1/2: the hammer-on to it is missing, against what it is made of", lost[0].String())
	noteOf(up, 1).Techniques = hammered
	noteOf(up, 2).Pitch = noteOf(up, 2).Pitch.Transpose(theory.Interval{Steps: 1, Semitones: 1})
	faults := Claim{Moved: from}.Check(up)
	require.Len(t, faults, 1)
	assert.Equal(t, Moved, faults[0].Kind)
	assert.Equal(t, "1", faults[0].Bar)
}

// What the check does not know it says.
func TestUnknownIsSaid(t *testing.T) {
	s := readTab(t, phrase)
	assert.Equal(t, []Kind{Unknown, Unknown}, kinds(Claim{Key: "H moll", Scale: "A mystery"}.Check(s)))
}
