package prove

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"example.org/lickwright/score"
)

// ManifestName is the file in which a folder of lesson material says what its
// files promise.
const ManifestName = "lesson-manifest.json"

// A Manifest says of each file of a lesson what it promises. It is JSON, so
// that anything can write it and anything can prove it:
//
//	{
//	  "lesson": "Amber Street, week 14",
//	  "sources": {"amber-street.tab": "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"},
//	  "files": [
//	    {"file": "keys/01-C-minor.tab", "key": "C minor", "of": "amber-street.tab", "semitones": 3},
//	    {"file": "positions.tab", "key": "A minor", "frets": [4, 10], "of": "amber-street.tab", "exact": true},
//	    {"file": "sheet.tab", "scale": "A dorian", "pages": 5},
//	    {"file": "named.musicxml", "of": "amber-street.tab", "exact": true, "home": "A"},
//	    {"file": "keys.html", "of": "amber-street.tab", "sections": [{"heading": "A minor", "semitones": 0}, {"heading": "D minor", "semitones": 5}]}
//	  ]
//	}
//
// Paths are relative to the manifest's folder and have slashes on every
// system.
type Manifest struct {
	Lesson string `json:"lesson"`
	// Sources are the SHA-256 checksums, in hex, of the files of which the
	// lesson was made, as they were then.
	Sources map[string]string `json:"sources,omitempty"`
	Files   []Entry           `json:"files"`
}

// An Entry is what one file promises. What is left out is not promised; that
// the file is well formed and that the pages of practice sheets are right is
// proved of every file.
type Entry struct {
	File      string `json:"file"`
	Key       string `json:"key,omitempty"`   // signature at the beginning: "Eb major"
	Scale     string `json:"scale,omitempty"` // every note is one of it: "A minor pentatonic", "C 1 b3 4 5 b7"
	Frets     []int  `json:"frets,omitempty"` // lowest and highest, from the capo
	Bars      int    `json:"bars,omitempty"`
	Pages     int    `json:"pages,omitempty"`     // of a practice sheet
	Of        string `json:"of,omitempty"`        // the music that it is, moved by the same interval throughout
	Semitones *int   `json:"semitones,omitempty"` // by how much, octaves aside
	Exact     bool   `json:"exact,omitempty"`     // octaves count: with semitones 0 not a sound has changed
	Home      string `json:"home,omitempty"`      // the tonic that its degrees count from
	// Sections are promised of a sheet in html or a MIDI file that holds Of more
	// than once, in their order.
	Sections []SectionEntry `json:"sections,omitempty"`
}

// A SectionEntry is what stands under one heading of a file.
type SectionEntry struct {
	Heading   string `json:"heading"`
	Semitones *int   `json:"semitones,omitempty"`
	Exact     bool   `json:"exact,omitempty"`
}

// ReadManifest reads a manifest. Errors say where in the file, and what to
// write; they are of type [score.Diagnostics].
func ReadManifest(r io.Reader, name string) (Manifest, error) {
	var m Manifest
	data, err := io.ReadAll(r)
	if err != nil {
		return m, err
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	fail := func(offset int64, msg, hint string) error {
		before := data[:min(int(offset), len(data))]
		line := 1 + bytes.Count(before, []byte("\n"))
		col := len(before) - bytes.LastIndexByte(before, '\n')
		return score.Diagnostics{{Severity: score.Error, Code: "manifest", Pos: score.Pos{File: name, Offset: len(before), Line: line, Col: col}, Msg: msg, Hint: hint}}
	}
	if err := dec.Decode(&m); err != nil {
		var syntax *json.SyntaxError
		var kind *json.UnmarshalTypeError
		switch {
		case errors.As(err, &syntax):
			return m, fail(syntax.Offset, "this is no JSON: "+syntax.Error(), "")
		case errors.As(err, &kind):
			return m, fail(kind.Offset, fmt.Sprintf("%s is a %s and has to be of another kind", kind.Field, kind.Value), "")
		case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
			return m, fail(int64(len(data)), "the file ends too early", "")
		}
		return m, fail(dec.InputOffset(), err.Error(), "a file promises key, scale, frets, bars, pages, of, semitones, exact, home and sections")
	}
	for i, e := range m.Files {
		msg := ""
		switch {
		case e.File == "":
			msg = "has no name"
		case len(e.Frets) != 0 && (len(e.Frets) != 2 || e.Frets[0] > e.Frets[1]):
			msg = "has frets that are no lowest and highest one"
		case e.Of == "" && (e.Semitones != nil || e.Exact || len(e.Sections) > 0):
			msg = "does not say of what music it is a version"
		case slices.ContainsFunc(m.Files[:i], func(o Entry) bool { return o.File == e.File }):
			msg = "is listed twice"
		}
		if msg != "" {
			return m, fail(0, fmt.Sprintf("file %d (%s) %s", i+1, e.File, msg), "")
		}
	}
	return m, nil
}

// Claim returns what an entry promises of a file's music; of is the music of
// Entry.Of.
func (e Entry) Claim(of *score.Score) Claim {
	c := Claim{Key: e.Key, Scale: e.Scale, Bars: e.Bars, Moved: of, Semitones: e.Semitones, Exact: e.Exact, Home: e.Home}
	if len(e.Frets) == 2 {
		c.Frets = &[2]int{e.Frets[0], e.Frets[1]}
	}
	return c
}

// Versions returns what an entry promises of a file that is not read as music;
// of is the music of Entry.Of, nil for none.
func (e Entry) Versions(of *score.Score) []Version {
	if of == nil {
		return nil
	}
	if len(e.Sections) == 0 {
		return []Version{{Of: of, Semitones: e.Semitones, Exact: e.Exact}}
	}
	var list []Version
	for _, s := range e.Sections {
		list = append(list, Version{Heading: s.Heading, Of: of, Semitones: s.Semitones, Exact: s.Exact})
	}
	return list
}
