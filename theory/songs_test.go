package theory_test

import (
	"archive/zip"
	"encoding/xml"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/theory"
)

// A songNote is a note of a song as its editors spelled it.
type songNote struct {
	pitch    theory.Pitch
	onset    float64 // quarter notes from the beginning
	duration float64 // quarter notes
	bar      int
	fifths   int // key signature in force
}

type song struct {
	name  string
	notes []songNote // by onset, then pitch
	bars  int
}

// readSongs reads the notes of the songs of the OpenScore Lieder Corpus (CC0)
// straight from their MusicXML, without the readers of this project.
func readSongs(t testing.TB) []song {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(outside.Shared(t, "data", "musicxml-songs"), "*.mxl"))
	require.NoError(t, err)
	if len(files) == 0 {
		outside.Absent(t, "no songs in musicxml-songs")
	}
	var songs []song
	for _, file := range files {
		z, err := zip.OpenReader(file)
		require.NoError(t, err)
		for _, entry := range z.File {
			if strings.HasPrefix(entry.Name, "META-INF") {
				continue
			}
			r, err := entry.Open()
			require.NoError(t, err)
			songs = append(songs, readSong(t, filepath.Base(file), r))
			require.NoError(t, r.Close())
			break
		}
		require.NoError(t, z.Close())
	}
	return songs
}

type xmlNote struct {
	Chord    *struct{} `xml:"chord"`
	Grace    *struct{} `xml:"grace"`
	Pitch    *xmlPitch `xml:"pitch"`
	Duration float64   `xml:"duration"`
	Ties     []struct {
		Type string `xml:"type,attr"`
	} `xml:"tie"`
}

type xmlPitch struct {
	Step   string  `xml:"step"`
	Alter  float64 `xml:"alter"`
	Octave int     `xml:"octave"`
}

// readSong walks part by part; a measure starts where the longest voice of
// the measure before it ended.
func readSong(t testing.TB, name string, r io.Reader) song {
	s := song{name: name}
	dec := xml.NewDecoder(r)
	var at, end, start, last, divisions float64
	bar, fifths := -1, 0
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		el, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		number := func() float64 {
			var text string
			require.NoError(t, dec.DecodeElement(&text, &el))
			v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
			require.NoError(t, err)
			return v
		}
		length := func() float64 {
			var d struct {
				Duration float64 `xml:"duration"`
			}
			require.NoError(t, dec.DecodeElement(&d, &el))
			return d.Duration / divisions
		}
		switch el.Name.Local {
		case "part":
			at, end, start, bar = 0, 0, 0, -1
		case "measure":
			bar++
			start = max(end, start)
			at, end = start, start
		case "divisions":
			divisions = number()
		case "fifths":
			fifths = int(number())
		case "backup":
			at -= length()
		case "forward":
			at += length()
			end = max(end, at)
		case "note":
			var n xmlNote
			require.NoError(t, dec.DecodeElement(&n, &el))
			onset := at
			if n.Chord != nil {
				onset = last
			}
			duration := n.Duration / divisions
			continued := slices.ContainsFunc(n.Ties, func(tie struct {
				Type string `xml:"type,attr"`
			}) bool {
				return tie.Type == "stop"
			})
			if n.Pitch != nil && !continued {
				step, _ := theory.StepOf(n.Pitch.Step[0])
				s.notes = append(s.notes, songNote{theory.P(step, int(n.Pitch.Alter), n.Pitch.Octave), onset, duration, bar, fifths})
			}
			if n.Chord == nil && n.Grace == nil {
				last = at
				at += duration
				end = max(end, at)
			}
			if n.Grace != nil {
				last = at
			}
		}
		s.bars = max(s.bars, bar+1)
	}
	slices.SortStableFunc(s.notes, func(a, b songNote) int {
		switch {
		case a.onset != b.onset:
			if a.onset < b.onset {
				return -1
			}
			return 1
		default:
			return a.pitch.MIDI() - b.pitch.MIDI()
		}
	})
	return s
}

// key returns the key that the signature and the last chord of a song say,
// with whether they say one: the last bass note is the tonic of the signature
// in major or in minor.
func (s song) key() (theory.Key, bool) {
	last := s.notes[len(s.notes)-1]
	bass := last.pitch
	for _, n := range s.notes {
		if n.onset >= last.onset-1e-6 && n.pitch.MIDI() < bass.MIDI() {
			bass = n.pitch
		}
	}
	for _, m := range []theory.Mode{theory.Major, theory.Minor} {
		if k := theory.KeyOf(last.fifths, m); k.Tonic == bass.NoteName {
			return k, true
		}
	}
	return theory.KeyOf(last.fifths, theory.Major), false
}
