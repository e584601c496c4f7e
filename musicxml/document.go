package musicxml

import (
	"io"

	"example.org/lickwright/score"
)

// A Document is a MusicXML file that was read: the bytes, the model of the
// music in them, and the way from one to the other. It is immutable, so it
// may be used from several goroutines at once and be applied to any number of
// times.
type Document struct {
	src  *source
	box  *container // nil unless the file is compressed
	x    *index
	base *score.Score        // as read; handles lead into refs and nodes
	refs []ref               // by handle
	node []score.Node        // by handle: the node of base
	home []score.Handle      // by handle: the measure that holds the node in base
	divs map[int32]divisions // by the element that holds the music of a bar

	pages []*partBars // the parts of the file, in its order
	rows  []int32     // the bars of a timewise file; nil for partwise ones
	// untied are the parts of which the tab leaves out what is tied to from before.
	untied map[score.Handle]bool

	report func(score.Diagnostic) // told by Apply what it had to leave out; may be nil

	current *score.Score // what Score returns: base, or what was applied last
	out     []byte       // what WriteTo writes
}

// divisions are how many units a quarter note has in a measure: at its end, and
// before what it states itself; mixed if they change inside of it.
type divisions struct {
	perQuarter score.Quarters
	before     score.Quarters
	mixed      bool
}

// A ref is what a handle stands for: the element that the node was read from
// and, where the page shows the node twice (notation and tab), the element
// that shows it again, which may be in another part of the file. A node that no element stands for, such as a key that
// the caller gave, has none in both.
type ref struct {
	elem, twin int32
	// sounding marks a harmonic whose element gives the pitch that sounds
	// and not the stopped one.
	sounding, twinSounding bool
	// held marks a note of which the page says no place: it has that of the
	// note that it is tied to.
	held bool
}

// Read reads a MusicXML document, plain or compressed, partwise or timewise.
// The name is only for messages. Errors are of type [score.Diagnostics];
// everything less than fatal goes to opt.Report.
func Read(r io.Reader, name string, opt score.ReadOptions) (*Document, error) {
	data, err := readAll(r, name)
	if err != nil {
		return nil, err
	}
	d := &Document{out: data, report: opt.Report}
	xmlText := data
	if looksZipped(data) {
		if d.box, xmlText, err = openContainer(data, name); err != nil {
			return nil, err
		}
	}
	if d.src, err = newSource(name, xmlText); err != nil {
		return nil, err
	}
	if d.x, err = buildIndex(d.src.text); err != nil {
		return nil, d.src.failAt("xml-syntax", err)
	}
	if err := d.readScore(opt); err != nil {
		return nil, err
	}
	d.current = d.base
	return d, nil
}

// Score returns the music. It is not to be changed; clone it first.
func (d *Document) Score() *score.Score { return d.current }

// WriteTo writes the document: the bytes that were read, but for what was
// applied.
func (d *Document) WriteTo(w io.Writer) (int64, error) {
	n, err := w.Write(d.out)
	return int64(n), err
}

// Locate returns where the node of a handle stands in the file that was read.
// It makes a Document a [score.Locator].
func (d *Document) Locate(h score.Handle) score.Pos {
	if h <= 0 || int(h) >= len(d.refs) || d.refs[h].elem == none {
		return score.Pos{}
	}
	return d.posOf(d.refs[h].elem)
}

func (d *Document) posOf(e int32) score.Pos { return d.src.pos(int(d.x.elems[e].start)) }

// handle registers a node that was read from an element; none if it was not.
func (d *Document) handle(n score.Node, e int32) score.Handle {
	if len(d.refs) == 0 { // handle 0 means no source
		d.refs = append(d.refs, ref{elem: none, twin: none})
		d.node = append(d.node, nil)
	}
	d.refs = append(d.refs, ref{elem: e, twin: none})
	d.node = append(d.node, n)
	return score.Handle(len(d.refs) - 1)
}
