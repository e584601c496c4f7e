package musicxml

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"path"
	"strings"

	"example.org/lickwright/score"
)

// Bounds on what a compressed file may unfold to.
const (
	maxUnpacked = 256 << 20 // bytes of the score inside
	maxRatio    = 1100      // unpacked over packed; deflate's own limit is 1032
	maxEntries  = 10_000
)

// A container is a compressed MusicXML file (.mxl): a zip archive whose
// META-INF/container.xml names the score inside.
// Source: MusicXML 4.0, "Compressed .mxl files".
type container struct {
	raw  []byte
	zip  *zip.Reader
	root int // entry of the score in zip.File
}

func looksZipped(data []byte) bool { return bytes.HasPrefix(data, []byte("PK\x03\x04")) }

// openContainer finds the score in an archive and unpacks it.
func openContainer(data []byte, name string) (*container, []byte, error) {
	fail := func(msg, hint string) error {
		return score.Diagnostics{{Severity: score.Error, Code: "mxl", Pos: score.Pos{File: name}, Msg: msg, Hint: hint}}
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, nil, fail("the compressed file is damaged: "+err.Error(), "get it again from where it came from")
	}
	if len(z.File) > maxEntries {
		return nil, nil, fail(fmt.Sprintf("the compressed file holds more than %d files", maxEntries), "")
	}
	c := &container{raw: data, zip: z, root: none}
	if want := c.rootPath(); want != "" {
		c.root = c.entry(want)
	}
	if c.root == none {
		c.root = c.likelyScore()
	}
	if c.root == none {
		return nil, nil, fail("the compressed file holds no score", "a .mxl file holds a MusicXML file; this one seems to be another kind of zip archive")
	}
	f := z.File[c.root]
	text, err := unpack(f)
	if err != nil {
		return nil, nil, fail(f.Name+" inside cannot be unpacked: "+err.Error(), "")
	}
	return c, text, nil
}

// unpack reads one entry within the bounds.
func unpack(f *zip.File) ([]byte, error) {
	limit := min(uint64(maxUnpacked), f.CompressedSize64*maxRatio+1024)
	if f.UncompressedSize64 > limit {
		return nil, fmt.Errorf("it would unfold to %d bytes from %d", f.UncompressedSize64, f.CompressedSize64)
	}
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, int64(limit)+1))
	if err == nil && uint64(len(data)) > limit {
		err = fmt.Errorf("it unfolds to more than %d bytes", limit)
	}
	return data, err
}

func (c *container) entry(name string) int {
	for i, f := range c.zip.File {
		if f.Name == name || path.Clean(f.Name) == path.Clean(name) {
			return i
		}
	}
	return none
}

// rootPath returns the path of the score that container.xml names. It takes
// the first rootfile whose media type, if said, is MusicXML. Many such files
// in the wild are not well-formed (an apostrophe in a single-quoted path), so
// what a parser refuses is searched as text.
func (c *container) rootPath() string {
	i := c.entry("META-INF/container.xml")
	if i == none {
		return ""
	}
	text, err := unpack(c.zip.File[i])
	if err != nil {
		return ""
	}
	dec := xml.NewDecoder(bytes.NewReader(text))
	for {
		tok, err := dec.RawToken()
		if err != nil {
			break
		}
		el, ok := tok.(xml.StartElement)
		if !ok || el.Name.Local != "rootfile" {
			continue
		}
		var full, media string
		for _, a := range el.Attr {
			switch a.Name.Local {
			case "full-path":
				full = a.Value
			case "media-type":
				media = a.Value
			}
		}
		if full != "" && (media == "" || strings.Contains(media, "musicxml")) && c.entry(full) != none {
			return full
		}
	}
	return c.rootPathByText(string(text))
}

// rootPathByText tries every stretch from full-path= to a later quote until
// one names an entry.
func (c *container) rootPathByText(text string) string {
	for {
		_, rest, found := strings.Cut(text, "full-path=")
		if !found || rest == "" {
			return ""
		}
		quote := rest[0]
		for i := 1; i < len(rest); i++ {
			if rest[i] == quote && c.entry(rest[1:i]) != none {
				return rest[1:i]
			}
		}
		text = rest
	}
}

// likelyScore returns the first entry that is named like a score.
func (c *container) likelyScore() int {
	for i, f := range c.zip.File {
		ext := strings.ToLower(path.Ext(f.Name))
		if (ext == ".xml" || ext == ".musicxml") && !strings.HasPrefix(f.Name, "META-INF/") {
			return i
		}
	}
	return none
}

// repack returns the archive with the score replaced; all other entries are
// copied as they are, still compressed.
func (c *container) repack(text []byte) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	if err := w.SetComment(c.zip.Comment); err != nil {
		return nil, err
	}
	for i, f := range c.zip.File {
		if strings.HasSuffix(f.Name, "/") { // a folder has a header and no content
			if _, err := w.CreateRaw(&f.FileHeader); err != nil {
				return nil, err
			}
			continue
		}
		if i != c.root {
			if err := w.Copy(f); err != nil {
				return nil, err
			}
			continue
		}
		h := zip.FileHeader{Name: f.Name, Comment: f.Comment, NonUTF8: f.NonUTF8, Method: f.Method, Modified: f.Modified, ExternalAttrs: f.ExternalAttrs}
		e, err := w.CreateHeader(&h)
		if err != nil {
			return nil, err
		}
		if _, err := e.Write(text); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// packNew returns a new archive that holds one score.
func packNew(text []byte) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	// The media type comes first and is stored, as the standard recommends.
	files := []struct {
		name, content string
		method        uint16
	}{
		{"mimetype", "application/vnd.recordare.musicxml", zip.Store},
		{"META-INF/container.xml", `<?xml version="1.0" encoding="UTF-8"?>
<container>
  <rootfiles>
    <rootfile full-path="score.musicxml" media-type="application/vnd.recordare.musicxml+xml"/>
  </rootfiles>
</container>
`, zip.Deflate},
		{"score.musicxml", string(text), zip.Deflate},
	}
	for _, f := range files {
		e, err := w.CreateHeader(&zip.FileHeader{Name: f.name, Method: f.method})
		if err != nil {
			return nil, err
		}
		if _, err := io.WriteString(e, f.content); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
