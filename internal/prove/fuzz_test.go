package prove

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
	"example.org/lickwright/tabtext"
)

// FuzzMarkItself: whatever tab can be read, it is a faultless answer to
// itself, and proving it does not fail.
func FuzzMarkItself(f *testing.F) {
	f.Add(phrase)
	f.Add("== C major, E shape ==\n\nFrets 7 to 10.\nNotes of C major: C D E F G A B.\n\nThirds, up\n\n" + phrase)
	files, err := filepath.Glob(filepath.Join(outside.Root(), "testdata", "examples", "*.tab"))
	if err != nil || len(files) == 0 {
		f.Fatal("no examples", err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data))
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := tabtext.Read(strings.NewReader(text), "tab", score.ReadOptions{})
		if err != nil {
			return
		}
		s := d.Score()
		Sound(s)
		Pages(s, text)
		r, err := Mark(Task{Score: s}, s)
		if err != nil {
			return
		}
		if r.Faults() != 0 || r.Right != r.Notes {
			t.Errorf("a tab is no answer to itself:\n%s", r.Text())
		}
	})
}
