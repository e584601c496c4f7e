package engrave

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
)

// The beams of published piano accompaniments, against ours. Source: the
// songs of the OpenScore Lieder corpus (in shared/data/musicxml-songs), as
// engraved by people from printed editions. Editions differ among themselves,
// so it is a share.
func TestBeamsAgreeWithPublishedMusic(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(outside.Shared(t, "data", "musicxml-songs"), "*.mxl"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	same, all := 0, 0
	for _, file := range files {
		data := unpacked(t, file)
		doc, err := musicxml.Read(bytes.NewReader(data), file, score.ReadOptions{})
		require.NoError(t, err)
		s := doc.Score()
		for _, p := range s.Parts {
			if p.Staves < 2 {
				continue // a singer's beams follow the words
			}
			b := &bar{groups: []score.Quarters{score.Q(1, 1)}}
			for _, m := range p.Measures {
				for _, e := range m.Events {
					if ts, ok := e.(*score.TimeSignature); ok {
						b.groups, b.quarterBeats = beatGroups(ts)
					}
				}
				a, n := agreement(s, m, b, data)
				same, all = same+a, all+n
			}
		}
	}
	require.Greater(t, all, 5000)
	share := float64(same) / float64(all)
	t.Logf("%d pairs of flagged notes, %.1f %% joined or parted as printed", all, 100*share)
	assert.Greater(t, share, 0.92)
}

// agreement counts neighbouring flagged notes of a voice, and those that are
// joined by a beam in both.
func agreement(s *score.Score, m *score.Measure, b *bar, data []byte) (same, all int) {
	lanes := map[[2]int]*lane{}
	for c := range m.Chords() {
		if c.Grace != score.NotGrace {
			continue
		}
		k := [2]int{c.Staff, c.Voice}
		if lanes[k] == nil {
			lanes[k] = &lane{}
		}
		st := &stem{piece: piece{at: c.Onset, length: c.Duration, value: c.Value, ok: c.Value.Known, tuplets: c.Tuplets}, bar: b, entry: &entry{chord: c}, rest: c.IsRest()}
		if !st.rest && c.Value.Log > 2 {
			st.flags = int(c.Value.Log) - 2
		}
		lanes[k].stems = append(lanes[k].stems, st)
	}
	for _, l := range lanes {
		l.beam()
		for i := 0; i+1 < len(l.stems); i++ {
			x, y := l.stems[i], l.stems[i+1]
			if x.flags == 0 || y.flags == 0 || x.at.Add(x.length) != y.at {
				continue
			}
			ours := len(x.beams) > 0 && (x.beams[0] == "begin" || x.beams[0] == "continue")
			printed := printedBeam(s, x.entry.chord, data)
			theirs := printed == "begin" || printed == "continue"
			if all++; ours == theirs {
				same++
			}
		}
	}
	return same, all
}

// printedBeam returns what the first beam does at a chord in the file.
func printedBeam(s *score.Score, c *score.Chord, data []byte) string {
	at := s.PosOf(c.Notes[0].Src).Offset
	text, _, _ := strings.Cut(string(data[at:min(at+3000, len(data))]), "</note>")
	_, text, ok := strings.Cut(text, `<beam number="1">`)
	if !ok {
		return ""
	}
	text, _, _ = strings.Cut(text, "<")
	return text
}

func unpacked(t *testing.T, path string) []byte {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	for _, f := range z.File {
		if strings.Contains(f.Name, "META-INF") || !strings.HasSuffix(f.Name, "xml") {
			continue
		}
		r, err := f.Open()
		require.NoError(t, err)
		out, err := io.ReadAll(r)
		require.NoError(t, err)
		return out
	}
	t.Fatal(path + ": no score in it")
	return nil
}
