package tabtext

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// signs are what people type into tab; half of what mutate puts in are these.
const signs = "--------||||0123456789hpb/\\~xXrt()<>[]{}=:*^.,'\"& \t\r\neEADGBbPMLsSTwvV%&#;–─│é"

// mutate makes another text of one: characters, lines and columns are put in,
// taken out, doubled, exchanged and mixed with those of a second text.
func mutate(r *rand.Rand, text, other []byte) []byte {
	text = bytes.Clone(text)
	for range 1 + r.IntN(8) {
		if len(text) == 0 {
			return text
		}
		at := r.IntN(len(text))
		switch r.IntN(10) {
		case 0:
			text[at] = signs[r.IntN(len(signs))]
		case 1:
			text[at] = byte(r.IntN(256))
		case 2:
			text = append(text[:at], text[at+1:]...)
		case 3:
			text = append(text[:at], append([]byte{signs[r.IntN(len(signs))]}, text[at:]...)...)
		case 4:
			text = text[:at]
		case 5:
			n := min(len(text)-at, 1+r.IntN(12))
			text = append(text[:at+n], append(bytes.Clone(text[at:at+n]), text[at+n:]...)...)
		default:
			text = mutateLines(r, text, other)
		}
	}
	return text
}

func mutateLines(r *rand.Rand, text, other []byte) []byte {
	lines := bytes.Split(text, []byte("\n"))
	i, j := r.IntN(len(lines)), r.IntN(len(lines))
	switch r.IntN(5) {
	case 0:
		lines[i], lines[j] = lines[j], lines[i]
	case 1:
		lines = append(lines[:i], lines[i+1:]...)
	case 2:
		lines = append(lines[:i+1], lines[i:]...)
	case 3: // a column of up to eight lines
		col, sign := r.IntN(80), signs[r.IntN(len(signs))]
		out := r.IntN(2) == 0
		for k := i; k < min(i+8, len(lines)); k++ {
			if l := lines[k]; col < len(l) && out {
				lines[k] = append(bytes.Clone(l[:col]), l[col+1:]...)
			} else if col <= len(l) {
				lines[k] = append(append(bytes.Clone(l[:col]), sign), l[col:]...)
			}
		}
	default: // up to eight lines of the other text
		more := bytes.Split(other, []byte("\n"))
		from := r.IntN(len(more))
		more = more[from:min(from+1+r.IntN(8), len(more))]
		lines = append(append(append([][]byte{}, lines[:i]...), more...), lines[i:]...)
	}
	return bytes.Join(lines, []byte("\n"))
}

// TestMutations does to texts what people and mail programs do to them, and
// checks of each that nothing panics and no character is lost. How many it
// makes is LICKWRIGHT_MUTATIONS, or a thousand; beginning at
// LICKWRIGHT_MUTATIONS_FROM. A text is made of its number alone.
func TestMutations(t *testing.T) {
	texts := seedTexts(t)
	number := func(name string, otherwise int64) int64 {
		if os.Getenv(name) == "" {
			return otherwise
		}
		n, err := strconv.ParseInt(os.Getenv(name), 10, 64)
		require.NoError(t, err)
		return n
	}
	var next, slowest atomic.Int64
	var which atomic.Int64
	from := number("LICKWRIGHT_MUTATIONS_FROM", 0)
	end := from + number("LICKWRIGHT_MUTATIONS", 1000)
	next.Store(from)
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for !t.Failed() {
				n := next.Add(1) - 1
				if n >= end {
					return
				}
				began := time.Now()
				mutation(t, texts, n)
				if took := int64(time.Since(began)); took > slowest.Load() {
					slowest.Store(took)
					which.Store(n)
				}
			}
		})
	}
	all.Wait()
	t.Logf("the slowest was number %d, %v", which.Load(), time.Duration(slowest.Load()).Round(time.Millisecond))
}

// mutation checks the text of a number.
func mutation(t *testing.T, texts [][]byte, n int64) {
	r := rand.New(rand.NewPCG(uint64(n), 4))
	text := mutate(r, texts[r.IntN(len(texts))], texts[r.IntN(len(texts))])
	sub := &remembering{TB: t}
	defer func() {
		if p := recover(); p != nil {
			panic(fmt.Sprintf("%v\nnumber %d:\n%s", p, n, text))
		}
		if sub.failed {
			t.Logf("number %d:\n%s", n, text)
		}
	}()
	check := checkInPlace
	switch n % 4 {
	case 0:
		check = checkRead
	case 1:
		check = checkWriteRead
	}
	check(sub, text)
}

// remembering is a TB that knows whether its own check failed.
type remembering struct {
	testing.TB
	failed bool
}

func (r *remembering) Errorf(format string, args ...any) {
	r.failed = true
	r.TB.Errorf(format, args...)
}
func (r *remembering) Fatalf(format string, args ...any) { r.Errorf(format, args...); runtime.Goexit() }
func (r *remembering) FailNow()                          { r.failed = true; runtime.Goexit() }
