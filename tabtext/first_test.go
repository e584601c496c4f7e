package tabtext

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestFirst reads the texts of testdata/found/first, whose readings were
// written down by hand before the reader was run on them (the README there says
// how, and where the first reading differed).
func TestFirst(t *testing.T) {
	files, err := filepath.Glob("testdata/found/first/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 20)
	testExpected(t, files)
}

// TestCareless reads tabs with columns too many and too few; see the README
// beside them.
func TestCareless(t *testing.T) {
	files, err := filepath.Glob("testdata/careless/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 12)
	testExpected(t, files)
}

func testExpected(t *testing.T, files []string) {
	t.Helper()
	for _, name := range files {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txt"), func(t *testing.T) {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			want, err := os.ReadFile(strings.TrimSuffix(name, ".txt") + ".expect")
			require.NoError(t, err)
			var said score.Diagnostics
			d, err := Read(bytes.NewReader(data), "x", score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d) }})
			require.NoError(t, err)
			assert.Equal(t, tidied(string(want)), expected(d.Score(), said, string(want)), "%s", data)
			checkLens(t, d, data)
		})
	}
}

// tidied sorts what stands in no order in a reading: the events of a bar, the
// notes of a chord and their signs, the reports.
func tidied(text string) string {
	var lines []string
	for _, l := range strings.Split(strings.TrimSpace(text), "\n") {
		head, rest, _ := strings.Cut(l, ":")
		if head == "part" || head == "tuning" || head == "capo" {
			lines = append(lines, l)
			continue
		}
		if head == "reports" {
			lines = append(lines, strings.TrimSpace(head+": "+strings.Join(slices.Compact(tidyTokens(tokens(rest))), " ")))
			continue
		}
		lines = append(lines, strings.TrimSpace(head+": "+strings.Join(tidyTokens(tokens(rest)), " ")))
	}
	return strings.Join(lines, "\n")
}

// tokens cuts a line at its spaces; what stands in braces is one token.
func tokens(s string) []string {
	var out []string
	for s = strings.TrimSpace(s); s != ""; s = strings.TrimSpace(s) {
		end := strings.IndexByte(s, ' ')
		switch s[0] {
		case '{':
			end = strings.IndexByte(s, '}') + 1
		case '(':
			end = strings.IndexByte(s, ')') + 1
		}
		if end < 0 || end > len(s) {
			end = len(s)
		}
		out = append(out, s[:end])
		s = s[end:]
	}
	return out
}

func tidyTokens(list []string) []string {
	for i, tok := range list {
		onset, notes, found := strings.Cut(tok, "=")
		if !found {
			continue
		}
		each := strings.Split(notes, ",")
		for k, n := range each {
			signs := strings.Split(n, "/")
			slices.Sort(signs[1:])
			each[k] = strings.Join(signs, "/")
		}
		slices.Sort(each)
		list[i] = onset + "=" + strings.Join(each, ",")
	}
	slices.Sort(list)
	return list
}

// expected writes a reading in the form of an .expect file. Parts, tunings and
// capos are given where the file gives any.
func expected(s *score.Score, said score.Diagnostics, want string) string {
	var lines []string
	for _, p := range s.Parts {
		if strings.Contains(want, "part:") {
			lines = append(lines, "part: "+p.Name)
		}
		neck, _ := firstNeck(p)
		if strings.Contains(want, "tuning:") {
			lines = append(lines, "tuning: "+neck.Tuning.String())
		}
		if strings.Contains(want, "capo:") {
			lines = append(lines, fmt.Sprintf("capo: %d", neck.Capo))
		}
		for _, m := range p.Measures {
			var events []string
			for _, e := range m.Events {
				switch e := e.(type) {
				case *score.NeckChange:
				case *score.Chord:
					if !e.IsRest() {
						onset, notes, _ := strings.Cut(digestEvent(e), "=")
						at, how, _ := strings.Cut(onset, "+")
						if strings.HasPrefix(how, "grace") {
							at += "+grace"
						}
						events = append(events, at+"="+notes)
					}
				default:
					events = append(events, digestEvent(e))
				}
			}
			lines = append(lines, strings.TrimSpace(fmt.Sprintf("%v: %s", m.Length, strings.Join(tidyTokens(events), " "))))
		}
	}
	var codes []string
	for _, d := range said {
		codes = append(codes, d.Code)
	}
	slices.Sort(codes)
	lines = append(lines, strings.TrimSpace("reports: "+strings.Join(slices.Compact(codes), " ")))
	return strings.Join(lines, "\n")
}
