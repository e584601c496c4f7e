package musicxml

import "io"

// WriteXML writes the document as plain MusicXML: if it was compressed, the
// score in it, as it is but for what was applied; else what WriteTo writes.
func (d *Document) WriteXML(w io.Writer) (int64, error) {
	if d.box != nil {
		plain := *d
		plain.box = nil
		applied, err := plain.Apply(d.current)
		if err != nil {
			return 0, err
		}
		d = applied
	}
	return d.WriteTo(w)
}

// WriteMXL writes the document compressed: in the archive that it came in, all
// other entries as they were, else in a new one.
func (d *Document) WriteMXL(w io.Writer) (int64, error) {
	if d.box != nil {
		return d.WriteTo(w)
	}
	data, err := packNew(d.out)
	if err != nil {
		return 0, err
	}
	n, err := w.Write(data)
	return int64(n), err
}
