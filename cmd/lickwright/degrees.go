package main

import (
	"io"

	"example.org/lickwright/score"
	"example.org/lickwright/score/compare"
	"example.org/lickwright/tabtext/degrees"
	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform"
)

// degreesFormat is the format of phrases that are typed as degrees. They have
// no strings and frets; these are found as soon as the phrase is read, so that
// every command has a phrase on the neck before it.
func degreesFormat() format {
	read := reads(degrees.Read, writers[*degrees.Document]{"degrees": (*degrees.Document).WriteTo})
	return format{
		name: "degrees", about: "a phrase as degrees, without a key", extensions: []string{".degrees"}, text: true,
		read: func(r io.Reader, name string, opt score.ReadOptions) (document, error) {
			doc, err := read(r, name, opt)
			if err != nil {
				return nil, err
			}
			return fingered(doc, opt), nil
		},
		write: degrees.Write, letters: true,
		lacks: compare.Lacks{Microtones: true, KeyWords: true, Details: true},
	}
}

// A fingeredDocument is a document of a format without strings and frets,
// with a score that has them.
type fingeredDocument struct {
	document
	score *score.Score
	moved []int // octaves that each part was moved by
}

// fingered puts the music of a document on the neck that was asked for.
func fingered(doc document, opt score.ReadOptions) *fingeredDocument {
	neck := fretboard.Neck{Tuning: fretboard.Standard(), Frets: opt.FretCount()}
	f := &fingeredDocument{document: doc}
	var said score.Diagnostics
	f.score, f.moved, said = transform.OntoNeck(doc.Score(), neck)
	if opt.Report != nil {
		for _, d := range said {
			opt.Report(d)
		}
	}
	return f
}

func (f *fingeredDocument) Score() *score.Score { return f.score }

// Edit takes back what was done to get the music onto the neck, so that the
// text says what its writer said.
func (f *fingeredDocument) Edit(s *score.Score, format string) ([]byte, error) {
	if s == f.score {
		return f.document.Edit(f.document.Score(), format)
	}
	return f.document.Edit(transform.OffNeck(s, f.document.Score(), f.moved), format)
}
