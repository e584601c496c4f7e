package musicxml_test

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// notWellFormed is the suite's file that no XML parser accepts.
const notWellFormed = "32ad-Notations5.musicxml"

// corpus returns all MusicXML files of the shared data and of our examples,
// but for the one that is not well-formed.
func corpus(t testing.TB) []string {
	t.Helper()
	var files []string
	for _, dir := range []string{"musicxml-suite", "musicxml-tab", "musicxml-songs"} {
		entries, err := os.ReadDir(outside.Shared(t, "data", dir))
		require.NoError(t, err)
		for _, e := range entries {
			switch filepath.Ext(e.Name()) {
			case ".xml", ".musicxml", ".mxl":
				if e.Name() != notWellFormed {
					files = append(files, filepath.Join(outside.Shared(t, "data", dir), e.Name()))
				}
			}
		}
	}
	require.Greater(t, len(files), 90)
	return files
}

func read(t testing.TB, data []byte, name string) *musicxml.Document {
	t.Helper()
	d, err := musicxml.Read(bytes.NewReader(data), name, score.ReadOptions{})
	require.NoError(t, err, name)
	return d
}

func written(t testing.TB, d *musicxml.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	_, err := d.WriteTo(&b)
	require.NoError(t, err)
	return b.Bytes()
}

// music is what two readings of one piece must share: everything but source
// handles, which stand for other elements, and the number of frets, which no
// page says and which is taken from the highest note.
func music(s *score.Score) *score.Score {
	c := &score.Score{Title: s.Title, Subtitle: s.Subtitle, Composer: s.Composer}
	for _, p := range s.Parts {
		q := &score.Part{ID: p.ID, Name: p.Name, Abbreviation: p.Abbreviation, Staves: p.Staves}
		for _, m := range p.Measures {
			c := m.Copy()
			for _, e := range c.Events {
				switch e := e.(type) {
				case *score.NeckChange:
					e.Neck.Frets = 0
				case *score.KeySignature: // the order says nothing, nor a natural
					slices.SortFunc(e.Alters, func(a, b score.KeyAlter) int { return int(a.Name.Step) - int(b.Name.Step) })
					e.Alters = slices.DeleteFunc(e.Alters, func(a score.KeyAlter) bool { return a.Name.Alter == 0 && a.Detune.IsZero() })
				}
			}
			q.Measures = append(q.Measures, c)
		}
		c.Parts = append(c.Parts, q)
	}
	return c
}

// TestLensOnCorpus holds the laws of reading and applying on every file:
// applying what was read gives the same bytes, reading what was applied gives
// the same model, and of two applications the second wins.
func TestLensOnCorpus(t *testing.T) {
	for _, file := range corpus(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			d := read(t, data, file)
			require.True(t, bytes.Equal(data, written(t, d)), "written back unread")

			same, err := d.Apply(d.Score().Clone())
			require.NoError(t, err)
			require.True(t, bytes.Equal(data, written(t, same)), "applied unchanged")

			for _, by := range []string{"m3", "-P4", "A1", "P8"} {
				iv, err := theory.ParseInterval(by)
				require.NoError(t, err)
				ways := []transform.Respell{transform.RespellNever, transform.RespellAuto}
				if by != "A1" {
					ways = ways[:1] // the others respell next to nothing
				}
				for _, respell := range ways {
					moved, _ := transform.Transpose(d.Score(), iv, transform.TransposeOptions{Respell: respell})
					once, err := d.Apply(moved)
					require.NoError(t, err, by)
					again := read(t, written(t, once), file)
					require.Equal(t, music(moved), music(again.Score()), "read what was applied, moved by %s", by)

					back, err := once.Apply(d.Score())
					require.NoError(t, err, by)
					require.True(t, bytes.Equal(data, written(t, back)), "the second application wins, after %s", by)
				}
			}
		})
	}
}

// TestTransposeThereAndBack moves every file up and the result down again,
// through the files: the music is the original, spelling included.
func TestTransposeThereAndBack(t *testing.T) {
	for _, file := range corpus(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			d := read(t, data, file)
			for _, by := range []string{"m3", "-P4", "A1", "P8"} {
				iv, err := theory.ParseInterval(by)
				require.NoError(t, err)
				up, report := transform.Transpose(d.Score(), iv, transform.TransposeOptions{Respell: transform.RespellNever})
				upDoc, err := d.Apply(up)
				require.NoError(t, err)
				again := read(t, written(t, upDoc), file)
				down, report2 := transform.Transpose(again.Score(), iv.Neg(), transform.TransposeOptions{Respell: transform.RespellNever})
				if len(report)+len(report2) > 0 {
					continue // moved by an octave or fingered anew to stay on the neck, and said so
				}
				downDoc, err := again.Apply(down)
				require.NoError(t, err)
				assert.Equal(t, music(d.Score()), music(read(t, written(t, downDoc), file).Score()), by)
			}
		})
	}
}

// TestSchemaValidity asks xmllint and the MusicXML 4.0 schema of the W3C: a
// file that is valid stays so when it is transposed.
func TestSchemaValidity(t *testing.T) {
	outside.Program(t, "xmllint")
	dir := t.TempDir()
	var before, after []string
	for _, file := range corpus(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d := read(t, data, file)
		name := filepath.Base(file) + ".xml"
		before = append(before, filepath.Join(dir, name))
		require.NoError(t, os.WriteFile(before[len(before)-1], plainXML(t, data), 0o600))
		for _, by := range []string{"m3", "-P4", "A1", "d12"} {
			iv, err := theory.ParseInterval(by)
			require.NoError(t, err)
			moved, _ := transform.Transpose(d.Score(), iv, transform.TransposeOptions{})
			out, err := d.Apply(moved)
			require.NoError(t, err)
			after = append(after, filepath.Join(dir, by+" "+name))
			require.NoError(t, os.WriteFile(after[len(after)-1], plainXML(t, written(t, out)), 0o600))
		}
	}
	valid := validate(t, append(before, after...))
	count := 0
	for i, file := range after {
		if valid[before[i/4]] {
			count++
			assert.True(t, valid[file], "was valid, is not: %s", file)
		}
	}
	assert.Greater(t, count, 300)
}

// plainXML returns the XML of a file that may be compressed.
func plainXML(t *testing.T, data []byte) []byte {
	t.Helper()
	if !bytes.HasPrefix(data, []byte("PK")) {
		return data
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	for _, f := range z.File {
		if ext := filepath.Ext(f.Name); (ext == ".xml" || ext == ".musicxml") && !strings.HasPrefix(f.Name, "META-INF") {
			r, err := f.Open()
			require.NoError(t, err)
			defer r.Close()
			text, err := io.ReadAll(r)
			require.NoError(t, err)
			return text
		}
	}
	t.Fatal("no score in the archive")
	return nil
}

// validate tells which files the schema accepts.
func validate(t testing.TB, files []string) map[string]bool {
	t.Helper()
	schema := filepath.Join(outside.Shared(t, "data", "musicxml-schema"), "musicxml-local.xsd")
	args := append([]string{"--nonet", "--noout", "--schema", schema}, files...)
	out, _ := exec.Command(outside.Program(t, "xmllint"), args...).CombinedOutput() // fails if any is invalid
	valid := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		if file, ok := strings.CutSuffix(strings.TrimSpace(line), " validates"); ok {
			valid[file] = true
		} else if len(files) < 20 && !strings.HasSuffix(strings.TrimSpace(line), "fails to validate") {
			t.Log(strings.TrimSpace(line))
		}
	}
	return valid
}

func TestNotWellFormed(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(outside.Shared(t, "data", "musicxml-suite"), notWellFormed))
	require.NoError(t, err)
	_, err = musicxml.Read(bytes.NewReader(data), notWellFormed, score.ReadOptions{})
	require.Error(t, err)
	// xmllint: "Opening and ending tag mismatch: measure line 67 and part", at line 141.
	assert.True(t, strings.HasPrefix(err.Error(), notWellFormed+":141:3: </part> does not close <measure> of line 67"), err.Error())
}
