package tabtext

import (
	"bytes"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var updateFound = flag.Bool("update-found", false, "write the readings of testdata/found anew; each is to be read against its text")

// TestFound reads the tabs of testdata/found, typed as people type them, and
// compares with the reading that stands beside each. All of them are invented.
// The readings were checked by eye against the texts; what a sign means is
// common practice (see the package documentation).
func TestFound(t *testing.T) {
	files, err := filepath.Glob("testdata/found/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 60)
	testFound(t, files)
}

// TestBlind reads the careless tabs of testdata/blind in the same way. Their
// readings were written by hand before any of them was read; the README beside
// them tells where the first reading differed and who was right.
func TestBlind(t *testing.T) {
	files, err := filepath.Glob("testdata/blind/*.txt")
	require.NoError(t, err)
	require.Len(t, files, 51)
	testFound(t, files)
}

// TestHand reads the careless tabs of testdata/hand in the same way; see the README
// beside them.
func TestHand(t *testing.T) {
	files, err := filepath.Glob("testdata/hand/*.txt")
	require.NoError(t, err)
	require.Len(t, files, 12)
	testFound(t, files)
}

func testFound(t *testing.T, files []string) {
	t.Helper()
	for _, name := range files {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txt"), func(t *testing.T) {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			var said score.Diagnostics
			opt := score.ReadOptions{Report: func(d score.Diagnostic) { said = append(said, d) }}
			d, err := Read(bytes.NewReader(data), "x", opt)
			require.NoError(t, err)
			assert.True(t, Looks(data))
			got := digest(d.Score(), said)
			golden := strings.TrimSuffix(name, ".txt") + ".want"
			if *updateFound {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o666))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), got)

			checkLens(t, d, data)
		})
	}
}

// checkLens: what was read and is not changed comes out byte for byte; written
// as new tab it reads the same; moved or changed, it reads as it should, and the
// lines around the tab are still there.
func checkLens(t *testing.T, d *Document, data []byte) {
	t.Helper()
	var said score.Diagnostics
	d.origin.report = func(d score.Diagnostic) { said = append(said, d) }
	same, err := d.Apply(d.Score().Clone())
	require.NoError(t, err)
	assert.Equal(t, string(data), text(t, same), "a file without a change is written back byte for byte")

	lost := false
	var out strings.Builder
	require.NoError(t, Write(&out, d.Score(), score.WriteOptions{Report: func(score.Diagnostic) { lost = true }}))
	again := readText(t, out.String())
	if diff := compare(d.Score(), again.Score()); diff != nil && !lost {
		t.Errorf("written and read again: %s\n%s\n%s", diff, out.String(), dump(d.Score()))
	}
	assert.False(t, lost)

	like := func(s *score.Score) *score.Score { return s }
	if d.origin.named.shapes { // what sounds has no name in the text
		like = bySound
	}
	moved := shift(d.Score(), 1)
	edited, err := d.Apply(moved)
	require.NoError(t, err)
	reread, err := Read(strings.NewReader(text(t, edited)), "x", score.ReadOptions{})
	require.NoError(t, err, "%s", text(t, edited))
	if diff := compareLoosely(like(moved), like(reread.Score())); diff != nil {
		t.Errorf("moved and read again: %s\n%s", diff, text(t, edited))
	}
	keepsProse(t, d, edited)
	for seed := range uint64(12) {
		said = nil
		want := change(d.Score(), rand.New(rand.NewPCG(seed, 9)))
		edited, err := d.Apply(want)
		require.NoError(t, err, "seed %d", seed)
		reread, err := Read(strings.NewReader(text(t, edited)), "x", score.ReadOptions{})
		require.NoError(t, err, "%s", text(t, edited))
		for _, d := range said {
			assert.NotEqual(t, "tab-apply-differs", d.Code, "seed %d %s\n%s", seed, d.Msg, text(t, edited))
		}
		if diff := compareLoosely(like(want), like(reread.Score())); diff != nil && len(said) == 0 {
			t.Errorf("seed %d changed and read again: %s\n%s", seed, diff, text(t, edited))
		}
		keepsProse(t, d, edited)
	}
}

// keepsProse checks that every line that is neither tab nor beside it nor
// states a key is still there, in order.
func keepsProse(t *testing.T, d, edited *Document) {
	t.Helper()
	lay := d.origin.built.lay
	tab := map[int]bool{}
	for _, s := range lay.systems {
		for l := s.first; l < s.last; l++ {
			tab[l] = true
		}
	}
	for _, h := range lay.headers {
		tab[h.line] = true
	}
	rest := text(t, edited)
	for i, l := range lay.src.lines {
		if tab[i] {
			continue
		}
		line := string(lay.src.data[l.start:l.next])
		at := strings.Index(rest, line)
		if assert.GreaterOrEqual(t, at, 0, "line %d is gone: %q", i+1, line) {
			rest = rest[at+len(line):]
		}
	}
}
