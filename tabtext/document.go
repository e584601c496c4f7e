package tabtext

import (
	"bytes"
	"fmt"
	"io"

	"example.org/lickwright/score"
)

// A Document is a text with tab in it: its bytes as they came, and what they
// mean. It is not changed after it was made, and safe for concurrent use.
type Document struct {
	origin *origin
	data   []byte       // what WriteTo writes
	score  *score.Score // what data means
}

// An origin is a source as it was read. All documents that were applied to
// it share it, so that each edit starts from the same text.
type origin struct {
	data   []byte
	name   string
	opt    score.ReadOptions // without Report
	report func(score.Diagnostic)
	built  *builder // its score has the chord symbols and keys that the text has

	named   naming // what they name
	renamed map[score.Handle]named
	sounds  *score.Score // the score as it sounds
}

// Read reads a text. name is for messages only. The options say what the text
// leaves out; what they say wins over the text. Errors are of type
// [score.Diagnostics]: the text is empty, no text at all, or holds no tab.
// Everything short of that goes to opt.Report.
func Read(r io.Reader, name string, opt score.ReadOptions) (*Document, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, fail(name, "tab-read", fmt.Sprintf("cannot read: %v", err), "")
	}
	o, err := read(data, name, opt)
	if err != nil {
		return nil, err
	}
	if o.report = opt.Report; opt.Report != nil {
		for _, d := range o.built.diags {
			opt.Report(d)
		}
	}
	return &Document{origin: o, data: data, score: o.sounds}, nil
}

func read(data []byte, name string, opt score.ReadOptions) (*origin, error) {
	if opt.Time != "" {
		if _, ok := score.ParseMetre(opt.Time); !ok {
			return nil, fail(name, "tab-option", fmt.Sprintf("%q is no metre", opt.Time), "write beats and what gets a beat, as in 3/4, 6/8 or 3+2/8")
		}
	}
	if err := checkText(data, name); err != nil {
		return nil, err
	}
	strings := 0
	if opt.Tuning != nil {
		strings = opt.Tuning.Len()
	}
	src := newSource(name, data)
	lay := newLayout(src, strings)
	if len(lay.systems) == 0 {
		return nil, fail(name, "tab-none", "there is no tab in the text",
			"tab is lines of hyphens and fret numbers, one over the other, one for each string: e|--3--5--|. One or two lines alone need the names of their strings and bar lines at both ends")
	}
	o := &origin{data: data, name: name, opt: opt}
	o.opt.Report = nil
	o.built = build(lay, o.opt)
	o.built.sc.Locator = o
	o.built.sc.Legend = lay.labelLegend()
	notes := 0
	for range score.Notes(o.built.sc) {
		notes++
		break
	}
	if notes == 0 {
		d := score.Diagnostics{{Severity: score.Error, Code: "tab-no-notes", Pos: src.pos(lay.systems[0].rows[0].line, lay.systems[0].rows[0].start),
			Msg: "the tab has no notes", Hint: "put fret numbers on the lines: e|--3--5--|"}}
		return nil, d
	}
	o.named = o.built.settleNaming()
	o.built.diags.Sort()
	o.sounds = o.sounding(o.built.sc)
	return o, nil
}

func fail(name, code, msg, hint string) score.Diagnostics {
	return score.Diagnostics{{Severity: score.Error, Code: code, Pos: score.Pos{File: name}, Msg: msg, Hint: hint}}
}

// checkText refuses what is no text.
func checkText(data []byte, name string) error {
	if len(bytes.TrimSpace(data)) == 0 {
		return fail(name, "tab-empty", "the file is empty", "give a text with tab in it")
	}
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}), bytes.HasPrefix(data, []byte{0xfe, 0xff}), looksUTF16(data, 0), looksUTF16(data, 1):
		return nil
	}
	controls := 0
	head := data[:min(len(data), 1<<16)]
	for i, c := range head {
		if c == 0 {
			d := fail(name, "tab-binary", "this is no text: it holds a zero byte", "give a text with tab in it, not a program's own file")
			d[0].Pos.Offset = i
			return d
		}
		if c < 0x20 && c != '\n' && c != '\r' && c != '\t' && c != '\f' && c != 0x1a && c != 0x1b {
			controls++
		}
	}
	if controls*20 > len(head) {
		return fail(name, "tab-binary", "this is no text: one byte in twenty is a control sign", "give a text with tab in it, not a program's own file")
	}
	return nil
}

// Looks tells whether data looks like a text with tab in it, for choosing a
// format by content.
func Looks(data []byte) bool {
	if checkText(data, "") != nil {
		return false
	}
	return hasTab(newSource("", data))
}

// Score returns the music of the document. It is not to be changed; clone it.
func (d *Document) Score() *score.Score { return d.score }

// WriteTo writes the document: the source, with what was applied edited in.
func (d *Document) WriteTo(w io.Writer) (int64, error) {
	n, err := w.Write(d.data)
	return int64(n), err
}

// Locate returns where a node of the score was read. It makes the origin a
// [score.Locator].
func (o *origin) Locate(h score.Handle) score.Pos {
	if h < 1 || int(h) > len(o.built.nodes) {
		return score.Pos{}
	}
	r := o.built.nodes[h-1]
	return o.built.lay.src.pos(int(r.line), int(r.col))
}
