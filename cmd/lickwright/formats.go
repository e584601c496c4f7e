package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/render/handout"
	"example.org/lickwright/render/midi"
	"example.org/lickwright/score"
	"example.org/lickwright/score/compare"
	"example.org/lickwright/tabtext"
	"example.org/lickwright/tabtext/degrees"
)

// A document is a file that was read: its music, and its text with other
// music put in.
type document interface {
	Score() *score.Score
	// Edit returns the text of the document with the score's music in it,
	// everything else as it was, in a format that its text can have.
	Edit(s *score.Score, format string) ([]byte, error)
	// Keeps tells whether the document's text can have a format: its own, or
	// that of another wrapping.
	Keeps(format string) bool
}

// A format is one that files can have.
type format struct {
	name       string
	about      string
	extensions []string // the first is the one that new files get
	text       bool     // lines that can be compared and shown
	// read is nil for what is only written: pictures, pages, sound.
	read  func(r io.Reader, name string, opt score.ReadOptions) (document, error)
	write func(w io.Writer, s *score.Score, opt score.WriteOptions) error
	// bind writes one score or several into one file; nil for formats that
	// have no place for headings of their own.
	bind binder
	// prose tells whether there is a place for what a text says beside its music.
	prose bool
	// joins tells whether several texts can follow each other in one file.
	joins bool
	// onNeck tells whether only notes with strings and frets can be written.
	onNeck bool
	// letters tells whether what is written has the notes' letters, or comes from them.
	letters bool
	// lacks says what cannot be held, so that it is no difference to what was
	// read from another format.
	lacks compare.Lacks
}

// formats lists all of them. It is a function because there are no package
// variables to change.
func formats() []format {
	readXML := reads(musicxml.Read, writers[*musicxml.Document]{
		"musicxml": (*musicxml.Document).WriteXML, "mxl": (*musicxml.Document).WriteMXL,
	})
	readTab := reads(tabtext.Read, writers[*tabtext.Document]{"tab": (*tabtext.Document).WriteTo})
	return []format{
		{
			name: "tab", about: "plain-text tab", extensions: []string{".tab", ".txt"}, text: true,
			read: readTab, write: tabtext.Write, joins: true, onNeck: true, lacks: tabLacks(),
		},
		{
			name: "musicxml", about: "MusicXML", extensions: []string{".musicxml", ".xml"}, text: true,
			read: readXML, write: musicxml.Write, letters: true, lacks: compare.Lacks{Details: true},
		},
		{
			name: "mxl", about: "compressed MusicXML", extensions: []string{".mxl"},
			read: readXML, write: musicxml.WriteCompressed, letters: true, lacks: compare.Lacks{Details: true},
		},
		degreesFormat(),
		{
			name: "html", about: "a sheet to read and print", extensions: []string{".html", ".htm"},
			write: handout.Write, bind: bindHandout, prose: true, onNeck: true, letters: true,
		},
		{
			name: "svg", about: "a picture of the neck", extensions: []string{".svg"},
			write: writeSVG, bind: bindSVG, onNeck: true, letters: true,
		},
		{
			name: "png", about: "the same in pixels", extensions: []string{".png"},
			write: writePNG, bind: bindPNG, onNeck: true, letters: true,
		},
		{
			name: "mid", about: "sound to play along with", extensions: []string{".mid", ".midi"},
			write: midi.Write, bind: bindMIDI, prose: true,
		},
	}
}

// tabLacks says what plain-text tab cannot hold: it has one line of time, and
// no signs for some techniques.
func tabLacks() compare.Lacks {
	return compare.Lacks{
		Words: true, BarStyles: true, Unfretted: true, OneLine: true, Cues: true, KeyWords: true, Microtones: true,
		Techniques: []score.Technique{score.Span{Kind: score.Slur}, score.Span{Kind: score.Glissando}, score.Bend{WithBar: true}},
	}
}

// A lens is what the documents of all formats have in common; D is the
// format's own document.
type lens[D any] interface {
	Score() *score.Score
	Apply(*score.Score) (D, error)
}

// writers are the ways to write a document, by the format that comes of it.
type writers[D any] map[string]func(D, io.Writer) (int64, error)

// opened makes a document of a format's own one.
type opened[D lens[D]] struct {
	doc     D
	writers writers[D]
}

func (o opened[D]) Score() *score.Score { return o.doc.Score() }

func (o opened[D]) Keeps(format string) bool { return o.writers[format] != nil }

// Unheld reports what the text has that its score has not, for formats that
// know of such things.
func (o opened[D]) Unheld() score.Diagnostics {
	if u, ok := any(o.doc).(interface{ Unheld() score.Diagnostics }); ok {
		return u.Unheld()
	}
	return nil
}

// Prose returns what the text says beside its music, for formats that know of
// such things.
func (o opened[D]) Prose() []string {
	if p, ok := any(o.doc).(interface{ Prose() []string }); ok {
		return p.Prose()
	}
	return nil
}

func (o opened[D]) Edit(s *score.Score, format string) ([]byte, error) {
	doc, err := o.doc.Apply(s)
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	_, err = o.writers[format](doc, &buf)
	return buf.Bytes(), err
}

func reads[D lens[D]](read func(io.Reader, string, score.ReadOptions) (D, error), ways writers[D]) func(io.Reader, string, score.ReadOptions) (document, error) {
	return func(r io.Reader, name string, opt score.ReadOptions) (document, error) {
		doc, err := read(r, name, opt)
		if err != nil {
			return nil, err
		}
		return opened[D]{doc, ways}, nil
	}
}

// formatNames lists the names of the formats for a sentence: "tab, musicxml
// or mxl".
func formatNames() string {
	var names []string
	for _, f := range formats() {
		names = append(names, f.name)
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// formatNamed finds a format by name or extension.
func formatNamed(name string) (format, error) {
	var names, known []string
	for _, f := range formats() {
		if f.name == name || slices.Contains(f.extensions, "."+strings.TrimPrefix(name, ".")) {
			return f, nil
		}
		names = append(names, f.name)
		known = append(known, f.name+" ("+f.about+")")
	}
	hint := didYouMean(name, names)
	if hint == "" {
		hint = "there are " + strings.Join(known, ", ")
	}
	return format{}, &usageError{fmt.Sprintf("there is no format %q", name), hint}
}

// formatOfPath finds a format by the extension of a path.
func formatOfPath(path string) (format, bool) {
	ext := strings.ToLower(filepath.Ext(path))
	for _, f := range formats() {
		if slices.Contains(f.extensions, ext) {
			return f, true
		}
	}
	return format{}, false
}

// formatOfContent tells the format from the content: a zip archive is
// compressed MusicXML; what begins with an angle bracket (in any encoding of
// Unicode) is MusicXML, unless it is not XML for scores and holds tab, as a
// saved web page does; what has a line Degrees: is a phrase as degrees; all else
// is tab. Of these only tab is a guess; sure is false then.
func formatOfContent(data []byte) (f format, sure bool) {
	all := formats()
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("PK\x05\x06")) {
		return all[2], true
	}
	start := data[:min(len(data), 64)]
	start = bytes.TrimLeft(start, "\xef\xbb\xbf\xfe\xff\x00 \t\r\n")
	if len(start) == 0 || start[0] != '<' {
		if degrees.Looks(data) {
			return all[3], true
		}
		return all[0], false
	}
	head := bytes.ReplaceAll(data[:min(len(data), 4096)], []byte{0}, nil) // UTF-16 as ASCII
	if !bytes.Contains(head, []byte("<score-")) && !bytes.HasPrefix(start, []byte("<?xml")) && tabtext.Looks(data) {
		return all[0], true
	}
	return all[1], true
}
