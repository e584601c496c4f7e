package musicxml_test

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

func seeds(f *testing.F) {
	f.Helper()
	f.Add([]byte(tiny))
	f.Add([]byte("<score-partwise><part><measure><note><pitch><step>C</step></pitch><chord/></note></measure></part></score-partwise>"))
	f.Add([]byte("<score-timewise><measure><part id='a'><note><grace/><unpitched/></note></part></measure></score-timewise>"))
	for seed := range uint64(4) {
		var b bytes.Buffer
		if err := musicxml.Write(&b, randomScore(rand.New(rand.NewPCG(seed, 2))), score.WriteOptions{}); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
	}
}

// FuzzInPlace: what can be read is written back byte for byte when nothing
// changed, and when it was transposed, reads back as the transposed music.
func FuzzInPlace(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := musicxml.Read(bytes.NewReader(data), "fuzz", score.ReadOptions{})
		if err != nil {
			return
		}
		same, err := d.Apply(d.Score().Clone())
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(written(t, same), data) {
			t.Fatal("unchanged, and not the same bytes")
		}
		moved, _ := transform.Transpose(d.Score(), theory.Interval{Steps: 2, Semitones: 3}, transform.TransposeOptions{})
		out, err := d.Apply(moved)
		if err != nil {
			t.Fatal(err)
		}
		again, err := musicxml.Read(bytes.NewReader(written(t, out)), "fuzz", score.ReadOptions{})
		if err != nil {
			t.Fatalf("what was applied cannot be read: %v", err)
		}
		a, b := pitches(moved), pitches(again.Score())
		if len(a) != len(b) {
			t.Fatalf("%d notes were applied, %d are read", len(a), len(b))
		}
	})
}

func pitches(s *score.Score) []theory.Pitch {
	var out []theory.Pitch
	for n := range score.Notes(s) {
		out = append(out, n.Pitch)
	}
	return out
}

// FuzzWrite: any document that reads can be written anew, and that reads too.
func FuzzWrite(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := musicxml.Read(bytes.NewReader(data), "fuzz", score.ReadOptions{})
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := musicxml.Write(&b, d.Score(), score.WriteOptions{}); err != nil {
			t.Fatal(err)
		}
		if _, err := musicxml.Read(&b, "again", score.ReadOptions{}); err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
	})
}

// FuzzStructure: after chords were split, notes taken out and bars put in and
// taken out, in files of any number of parts, partwise and timewise, what was
// applied reads back as what it was meant to be, or is refused.
func FuzzStructure(f *testing.F) {
	f.Add([]byte(house), uint64(1))
	f.Add([]byte(tiny), uint64(2))
	f.Add([]byte(pairFile), uint64(3))
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(seed, 6))
		var b bytes.Buffer
		if err := musicxml.Write(&b, pairedScore(r), score.WriteOptions{}); err != nil {
			f.Fatal(err)
		}
		text := otherHabits(f, r, apart(f, b.Bytes()))
		f.Add(text, seed)
		f.Add(timewise(f, text), seed)
	}
	for seed := range uint64(4) {
		var b bytes.Buffer
		if err := musicxml.Write(&b, randomScore(rand.New(rand.NewPCG(seed, 4))), score.WriteOptions{}); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes(), seed)
	}
	f.Fuzz(func(t *testing.T, data []byte, seed uint64) {
		d, err := musicxml.Read(bytes.NewReader(data), "fuzz", score.ReadOptions{})
		if err != nil {
			return
		}
		s := d.Score().Clone()
		r := rand.New(rand.NewPCG(seed, 5))
		mutate(r, s)
		if seed%2 == 0 && len(s.Parts) > 0 {
			changeBars(r, s)
		}
		out, err := d.Apply(s)
		if err != nil {
			return
		}
		again, err := musicxml.Read(bytes.NewReader(written(t, out)), "fuzz", score.ReadOptions{})
		if err != nil {
			t.Fatalf("what was applied cannot be read: %v", err)
		}
		if n, m := countNotes(out.Score()), countNotes(again.Score()); n > m {
			t.Fatalf("%d notes were applied, %d are read", n, m)
		}
		if n, m := barCounts(out.Score()), barCounts(again.Score()); !slices.Equal(n, m) {
			t.Fatalf("parts of %v bars were applied, of %v are read", n, m)
		}
		back, err := out.Apply(d.Score())
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(written(t, back), data) {
			t.Fatal("the second application does not win")
		}
	})
}

// barCounts lists how many bars each part has; so notation and tab that were one
// music are still one.
func barCounts(s *score.Score) (list []int) {
	for _, p := range s.Parts {
		list = append(list, len(p.Measures))
	}
	return list
}

func countNotes(s *score.Score) int {
	n := 0
	for range score.Notes(s) {
		n++
	}
	return n
}
