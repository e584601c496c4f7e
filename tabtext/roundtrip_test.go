package tabtext

import (
	"strings"
	"testing"

	"example.org/lickwright/score"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWriteRead: what Write writes, Read reads back to the same model, for
// generated music that tab can hold. (Property P2/P7 of the design.)
func TestWriteRead(t *testing.T) {
	for seed := range uint64(600) {
		s := generate(seed, 1+int(seed%9), seed%3 != 0)
		var b strings.Builder
		var said []string
		require.NoError(t, Write(&b, s, score.WriteOptions{Width: 60 + int(seed%50), Report: func(d score.Diagnostic) { said = append(said, d.Error()) }}))
		require.Empty(t, said, "seed %d\n%s", seed, b.String())
		d, err := Read(strings.NewReader(b.String()), "x", score.ReadOptions{Report: func(d score.Diagnostic) {
			if d.Severity > score.Info {
				said = append(said, d.Error())
			}
		}})
		if silent(s) {
			continue
		}
		require.NoError(t, err, "seed %d\n%s", seed, b.String())
		if diff := compare(s, d.Score()); diff != nil {
			t.Fatalf("seed %d part %d measure %d\n%s\n%s\n%v", seed, diff.part, diff.measure, diff, b.String(), said)
		}
		assert.Empty(t, said, "seed %d\n%s", seed, b.String())
	}
}

func silent(s *score.Score) bool {
	for range score.Notes(s) {
		return false
	}
	return true
}
