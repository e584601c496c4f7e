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
		write: degrees.Write,
		lacks: compare.Lacks{Microtones: true, KeyWords: true, Details: true},
	}
}

// A fingeredDocument is a document of a format without strings and frets,
// with a score that has them.
type fingeredDocument struct {
	document
	score *score.Score
	moved []int // octaves that each part was moved by
	// read has the notes that sound by another harmonic where they were put, as
	// they were read and as they are now.
	read, put map[score.Handle]*score.Note
}

// fingered puts the music of a document on the neck that was asked for.
func fingered(doc document, opt score.ReadOptions) *fingeredDocument {
	neck := fretboard.Neck{Tuning: fretboard.Standard(), Frets: opt.FretCount()}
	f := &fingeredDocument{document: doc, read: map[score.Handle]*score.Note{}, put: map[score.Handle]*score.Note{}}
	var said score.Diagnostics
	f.score, f.moved, said = transform.OntoNeck(doc.Score(), neck)
	if opt.Report != nil {
		for _, d := range said {
			opt.Report(d)
		}
	}
	for n := range score.Notes(doc.Score()) {
		if _, ok := n.Harmonic(); ok {
			f.read[n.Src] = n
		}
	}
	for n := range score.Notes(f.score) {
		if f.read[n.Src] != nil {
			f.put[n.Src] = n
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
	s = s.Clone()
	for i, p := range s.Parts {
		for n := range score.Notes(p) {
			was, put := f.read[n.Src], f.put[n.Src]
			if was == nil || put == nil || was.Pitch == put.Pitch {
				continue
			}
			// It moves as the music moved since, at the harmonic that was
			// typed.
			harmonic, _ := was.Harmonic()
			now, _ := put.Harmonic()
			for k, t := range n.Techniques {
				if t == score.Technique(now) {
					n.Techniques[k] = harmonic
					n.Pitch = was.Pitch.Transpose(put.Pitch.To(n.Pitch))
				}
			}
		}
		if i < len(f.moved) && f.moved[i] != 0 {
			transform.MoveOctaves(p, -f.moved[i])
		}
	}
	return f.document.Edit(s, format)
}
