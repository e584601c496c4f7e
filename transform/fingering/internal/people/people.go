// Package people reads where people put notes, and tells how far a fingering
// agrees with them. The data are described in the README of the folder
// shared/data/fingering.
package people

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// A Piece is a problem and what people said about its notes.
type Piece struct {
	Name    string
	Played  bool // the place was measured; else an editor printed what is stated
	Rule    bool // nobody did it: it follows from a rule
	Problem *fingering.Problem
	Stated  []Stated
}

// Stated is what is known about one note.
type Stated struct {
	At     fingering.Ref
	Place  fretboard.Place // zero if not stated
	Open   bool            // stated by a finger 0
	Finger score.Finger    // Index to Little; NoFinger if not stated
}

// row is a line of the data.
type row struct {
	onset, dur   float64
	midi         int
	string, fret int // string 0 and fret -1 if not stated
	finger       int // -1 if not stated
}

// graceTime is how long before its main note a grace note is put, in quarter
// notes.
const graceTime = 0.1

// strum is how far apart, in seconds, the notes of one strum may begin.
const strum = 0.03

// overlap is by how much, in seconds, a played note is shortened: so long a
// string rings on while the finger is on its way.
const overlap = 0.06

// Read reads all pieces of a folder, in the order of the files.
func Read(dir string) ([]*Piece, error) {
	var all []*Piece
	for _, kind := range []string{"played", "edited"} {
		heads, err := table(filepath.Join(dir, kind+".pieces.tsv"))
		if err != nil {
			return nil, err
		}
		notes, err := table(filepath.Join(dir, kind+".notes.tsv"))
		if err != nil {
			return nil, err
		}
		rows := map[string][]row{}
		for _, n := range notes {
			rows[n["piece"]] = append(rows[n["piece"]], row{
				onset: number(n["onset"], 0), dur: number(n["dur"], 0), midi: int(number(n["midi"], 0)),
				string: int(number(n["string"], 0)), fret: int(number(n["fret"], -1)), finger: int(number(n["finger"], -1)),
			})
		}
		for _, h := range heads {
			p := &Piece{Name: h["piece"], Played: h["unit"] == "seconds"}
			tuning := fretboard.Tuning{}
			for s := range strings.SplitSeq(h["tuning_high_to_low"], ",") {
				midi, err := strconv.Atoi(s)
				if err != nil {
					return nil, fmt.Errorf("%s: tuning: %w", p.Name, err)
				}
				tuning.Strings = append(tuning.Strings, theory.SpellIn(theory.Key{}, midi))
			}
			p.build(fretboard.Neck{Tuning: tuning, Frets: fretboard.DefaultFrets}, rows[p.Name])
			if err := p.Problem.Check(); err != nil {
				return nil, fmt.Errorf("%s: %w", p.Name, err)
			}
			all = append(all, p)
		}
	}
	return all, nil
}

func table(path string) ([]map[string]string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comma, r.LazyQuotes = '\t', true
	var head []string
	var rows []map[string]string
	for {
		fields, err := r.Read()
		if err == io.EOF {
			return rows, nil
		}
		if err != nil {
			return nil, err
		}
		if head == nil {
			head = slices.Clone(fields)
			continue
		}
		m := map[string]string{}
		for i, f := range fields {
			m[head[i]] = f
		}
		rows = append(rows, m)
	}
}

// number reads a number; "-" is the other value.
func number(s string, other float64) float64 {
	if f, err := strconv.ParseFloat(s, 64); err == nil {
		return f
	}
	return other
}

// build makes groups of the rows. Notes of one pitch struck together are one
// note.
func (p *Piece) build(neck fretboard.Neck, rows []row) {
	for i := range rows {
		if p.Played {
			rows[i].dur = max(rows[i].dur-overlap, 0.02)
		} else if rows[i].dur == 0 {
			rows[i].dur = graceTime
			k := 1.0
			for j := i + 1; j < len(rows) && rows[j].dur == 0 && rows[j].onset == rows[i].onset; j++ {
				k++
			}
			rows[i].onset -= k * graceTime
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int {
		switch {
		case a.onset < b.onset:
			return -1
		case a.onset > b.onset:
			return 1
		}
		return 0
	})
	p.Problem = &fingering.Problem{Neck: neck}
	near := 1e-4
	if p.Played {
		near = strum
	}
	for _, r := range rows {
		gs := p.Problem.Groups
		if len(gs) == 0 || r.onset-gs[len(gs)-1].Onset > near {
			g := fingering.Group{Onset: r.onset}
			if p.Played {
				g.Tempo = 60 // so that a quarter note is a second
			}
			p.Problem.Groups = append(gs, g)
		}
		g := &p.Problem.Groups[len(p.Problem.Groups)-1]
		at := fingering.Ref{Group: len(p.Problem.Groups) - 1, Note: -1}
		for i := range g.Notes {
			if g.Notes[i].Pitch == r.midi {
				at.Note = i
				g.Notes[i].Duration = max(g.Notes[i].Duration, r.dur)
			}
		}
		if at.Note < 0 {
			at.Note = len(g.Notes)
			g.Notes = append(g.Notes, fingering.Note{Pitch: r.midi, Duration: r.dur})
		}
		s := Stated{At: at, Open: r.finger == 0}
		if r.string > 0 && r.fret >= 0 {
			s.Place = fretboard.Place{String: r.string, Fret: r.fret}
		}
		if r.finger >= 1 && r.finger <= 4 {
			s.Finger = score.Finger(r.finger)
		}
		if !s.Place.IsZero() || s.Finger != score.NoFinger {
			p.Stated = append(p.Stated, s)
		}
	}
}
