package degrees

import (
	"bytes"
	"fmt"
	"io"
	"unicode/utf8"

	"example.org/lickwright/score"
)

// A Document is a text of degrees: its bytes as they came, and what they mean
// in the key that was asked for. It is not changed after it was made, and safe
// for concurrent use.
type Document struct {
	origin *origin
	data   []byte       // what WriteTo writes
	score  *score.Score // what data means
}

// An origin is a source as it was read. All documents that were applied to
// it share it, so that each edit starts from the same text.
type origin struct {
	*reader
	opt    score.ReadOptions // without Report
	report func(score.Diagnostic)
}

// Read reads a text of degrees. name is for messages only. The options say
// what the text leaves out, above all the key; without one the degrees become
// notes in the key of their mode that has no sharps or flats, which is
// reported. Errors are of type [score.Diagnostics], with line and column and a
// hint each; all else goes to opt.Report.
//
// The notes have no strings and frets, but for those whose string is typed.
func Read(r io.Reader, name string, opt score.ReadOptions) (*Document, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, failure(name, "degrees-read", fmt.Sprintf("cannot read: %v", err), "")
	}
	rd, err := read(data, name, opt)
	if err != nil {
		return nil, err
	}
	o := &origin{reader: rd, opt: rd.opt, report: opt.Report}
	if opt.Report != nil {
		for _, d := range rd.diags {
			opt.Report(d)
		}
	}
	return &Document{origin: o, data: data, score: rd.score}, nil
}

func read(data []byte, name string, opt score.ReadOptions) (*reader, error) {
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, failure(name, "degrees-empty", "the file is empty", "write degrees and rhythm letters: Q 1 b3 4 5 | W 1")
	}
	src := newSource(name, data)
	for i := 0; i < len(data); {
		c, n := utf8.DecodeRune(data[i:])
		if c == utf8.RuneError && n == 1 || c < ' ' && c != '\n' && c != '\r' && c != '\t' {
			return nil, score.Diagnostics{{Severity: score.Error, Code: "degrees-text", Pos: src.pos(i), Msg: fmt.Sprintf("the byte %#x is no text", data[i]), Hint: "save it as plain text in UTF-8"}}
		}
		i += n
	}
	opt.Report = nil
	r := &reader{src: src, opt: opt, strung: map[score.Handle]bool{}}
	r.run()
	if err := r.diags.Err(); err != nil {
		var errs score.Diagnostics
		for _, d := range r.diags {
			if d.Severity == score.Error {
				errs = append(errs, d)
			}
		}
		errs.Sort()
		return nil, errs
	}
	if !r.key {
		r.diags = append(r.diags, score.Diagnostic{Severity: score.Info, Code: "degrees-key", Pos: score.Pos{File: name},
			Msg: fmt.Sprintf("no key is said: read in %s %s", r.base.Pretty(), r.heads[0].mode), Hint: "say one: --key G"})
	}
	r.diags.Sort()
	return r, nil
}

func failure(name, code, msg, hint string) score.Diagnostics {
	return score.Diagnostics{{Severity: score.Error, Code: code, Pos: score.Pos{File: name}, Msg: msg, Hint: hint}}
}

// Looks tells whether data looks like a text of degrees, for choosing a format
// by content: one of its first lines begins with "Degrees:".
func Looks(data []byte) bool {
	head := bytes.TrimPrefix(data[:min(len(data), 4096)], []byte("\xef\xbb\xbf"))
	for l := range bytes.Lines(head) {
		if bytes.HasPrefix(l, []byte("Degrees:")) {
			return true
		}
	}
	return false
}

// Score returns the music of the document. It is not to be changed; clone it.
func (d *Document) Score() *score.Score { return d.score }

// WriteTo writes the document: the source, with what was applied edited in.
func (d *Document) WriteTo(w io.Writer) (int64, error) {
	n, err := w.Write(d.data)
	return int64(n), err
}
