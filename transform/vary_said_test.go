package transform

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/theory/fretboard"
)

// A saidNote is a note of a line as these tests hear it.
type saidNote struct {
	at, length score.Quarters
	key        int
}

// saidLine lists the notes of a phrase of one voice, tied ones as one.
func saidLine(s *score.Score) (list []saidNote) {
	var start score.Quarters
	for _, m := range s.Parts[0].Measures {
		for c := range m.Chords() {
			for _, n := range c.Notes {
				if n.TieStop && len(list) > 0 {
					list[len(list)-1].length = list[len(list)-1].length.Add(c.Duration)
				} else {
					list = append(list, saidNote{start.Add(c.Onset), c.Duration, n.Pitch.MIDI()})
				}
			}
		}
		start = start.Add(m.Length)
	}
	return list
}

// scaleStep counts the steps of C major up to a key, from the white keys alone.
func scaleStep(key int) int {
	n := 0
	for k := 0; k < key; k++ {
		if strings.ContainsRune("024579b", rune("0123456789ab"[k%12])) {
			n++
		}
	}
	return n
}

// stepsBetween returns how many steps each note of a line lies above that of
// another, -99 unless all do alike.
func stepsBetween(a, b []saidNote) int {
	d := scaleStep(b[0].key) - scaleStep(a[0].key)
	for i := range min(len(a), len(b)) {
		if scaleStep(b[i].key)-scaleStep(a[i].key) != d {
			return -99
		}
	}
	return d
}

func signedSteps(t *testing.T, words string) int {
	m := regexp.MustCompile(`^(a|\d+) steps? (up|down)$`).FindStringSubmatch(words)
	require.NotNil(t, m, words)
	n := 1
	if m[1] != "a" {
		n, _ = strconv.Atoi(m[1])
	}
	if m[2] == "down" {
		return -n
	}
	return n
}

// TestWhatIsSaidIsTrue: over generated phrases in C major, with and without a
// neck that ends, everything that a step says is found in the notes again by
// code that shares nothing with it: how often, which way, how far, how many.
func TestWhatIsSaidIsTrue(t *testing.T) {
	times := regexp.MustCompile(`^sequence: the first (\d+) notes? (\w+|\d+ times)( and their beginning once more \((\d+) notes?\))?(, the last note cut to .+)?, each ([^;]+) in C major(.*)$`)
	turn := regexp.MustCompile(`^; after the first (\d+), where the neck ends, each ([^;]+)`)
	starts := regexp.MustCompile(`^starts on (\S+), (\S+): moved (.+) in C major$`)
	later := regexp.MustCompile(`^displaced: begins (.+) (later|earlier)(?:; the last note is shorter by (.+?))?(; the end goes over into another bar)?$`)
	intervals := regexp.MustCompile(`^in (\w+)s: (\d+) notes? followed each by the \w+ (above|below) it in C major, in half of the time(?:; (\d+) notes? longer than a beat left alone)?$`)
	jumps := regexp.MustCompile(`^jumps: (\d+) notes? an octave (up|down)(?: and (\d+) an octave down)?, each second(?:; (\d+) stayed, which would lie beyond the neck)?$`)
	orders := regexp.MustCompile(`^permuted: of each (\d+) notes in a bar the order ([\d ]+)(?:; (\d+) notes? left over in the old order)?$`)
	checked := map[string]int{}
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 77))
		s := whitePhrase(t, r, seed%2 == 0)
		before := saidLine(s)
		for _, text := range []string{"sequence 2", "sequence 3 up", "sequence 5 down", "sequence 1 down", "start-on 2", "start-on 6", "displace 1/8", "displace -1/4", "in thirds", "in fourths down", "octave-jump", "permute 3 1 2", "retrograde", "group 3", "invert"} {
			out, said := varyUnfingered(s, step(t, text))
			if count(said, CodeVary) != 1 || count(said, CodeVaryRange) > 0 {
				continue
			}
			var msg string
			for _, d := range said {
				if d.Code == CodeVary {
					msg = d.Msg
				}
			}
			after := saidLine(out)
			where := fmt.Sprintf("seed %d, %s: %s", seed, text, msg)
			name, _, _ := strings.Cut(text, " ")
			checked[name]++
			switch name {
			case "sequence":
				m := times.FindStringSubmatch(msg)
				require.NotNil(t, m, where)
				size, _ := strconv.Atoi(m[1])
				whole, known := map[string]int{"once": 1, "twice": 2}[m[2]]
				if !known {
					whole, _ = strconv.Atoi(strings.TrimSuffix(m[2], " times"))
				}
				rest, _ := strconv.Atoi("0" + m[4])
				require.Len(t, after, whole*size+rest, where)
				motif := before[(len(after)-1)%size].length
				if m[5] != "" {
					cut := strings.TrimPrefix(m[5], ", the last note cut to ")
					length := saidLength(t, cut)
					require.True(t, length.Less(motif), where)
					motif = length
					checked["cut"]++
				}
				require.Equal(t, motif, after[len(after)-1].length, where)
				way := signedSteps(t, m[6])
				turns := map[int]int{}
				for tail := m[7]; tail != ""; {
					c := turn.FindStringSubmatch(tail)
					require.NotNil(t, c, where)
					at, _ := strconv.Atoi(c[1])
					turns[at] = signedSteps(t, c[2])
					tail = tail[len(c[0]):]
				}
				for k := 1; k*size < len(after); k++ {
					if w, ok := turns[k]; ok {
						way = w
						checked["turn"]++
					}
					require.Equal(t, way, stepsBetween(after[(k-1)*size:k*size], after[k*size:min(len(after), (k+1)*size)]), "%s, time %d", where, k+1)
				}
			case "start-on":
				m := starts.FindStringSubmatch(msg)
				require.NotNil(t, m, where)
				p, err := theory.ParsePitch(strings.NewReplacer("♯", "#", "♭", "b").Replace(m[2]))
				require.NoError(t, err)
				require.Equal(t, p.MIDI(), after[0].key, where)
				require.Equal(t, signedSteps(t, m[3]), stepsBetween(before, after), where)
				require.Len(t, after, len(before), where)
			case "displace":
				m := later.FindStringSubmatch(msg)
				require.NotNil(t, m, where)
				by := saidLength(t, m[1])
				lead := out.Parts[0].Measures[0]
				shift := by
				if m[2] == "earlier" {
					shift = by.Neg()
					if lead.Length.Less(lead.Nominal) {
						shift = score.Quarters{} // by a pickup as long
						require.Equal(t, by, lead.Length, where)
					}
				}
				require.Len(t, after, len(before), where)
				for i := range before {
					require.Equal(t, before[i].at.Add(shift), after[i].at, where)
				}
				last := len(before) - 1
				if m[3] != "" {
					less := saidLength(t, m[3])
					require.Equal(t, before[last].length.Sub(less), after[last].length, where)
				} else {
					require.Equal(t, before[last].length, after[last].length, where)
				}
				if m[2] == "later" {
					require.Equal(t, m[4] != "", len(out.Parts[0].Measures) > len(s.Parts[0].Measures), where)
				}
			case "in":
				m := intervals.FindStringSubmatch(msg)
				require.NotNil(t, m, where)
				split, _ := strconv.Atoi(m[2])
				alone, _ := strconv.Atoi("0" + m[4])
				require.Len(t, before, split+alone, where)
				far := map[string]int{"third": 2, "fourth": 3}[m[1]]
				if m[3] == "below" {
					far = -far
				}
				i := 0
				for _, n := range before {
					require.Equal(t, n.key, after[i].key, where)
					if after[i].length == n.length {
						i++
						alone--
						continue
					}
					require.Equal(t, n.length.Mul(score.Q(1, 2)), after[i].length, where)
					require.Equal(t, after[i].length, after[i+1].length, where)
					require.Equal(t, far, stepsBetween(after[i:i+1], after[i+1:i+2]), where)
					i += 2
				}
				require.Zero(t, alone, where)
			case "octave-jump":
				m := jumps.FindStringSubmatch(msg)
				require.NotNil(t, m, where)
				got := map[int]int{}
				for i := range before {
					got[after[i].key-before[i].key]++
					require.True(t, i%2 == 1 || after[i].key == before[i].key, where)
				}
				a, _ := strconv.Atoi(m[1])
				b, _ := strconv.Atoi("0" + m[3])
				if m[2] == "down" {
					a, b = 0, a
				}
				stayed, _ := strconv.Atoi("0" + m[4])
				require.Equal(t, [3]int{a, b, stayed}, [3]int{got[12], got[-12], len(before)/2 - a - b}, where)
			case "permute":
				m := orders.FindStringSubmatch(msg)
				require.NotNil(t, m, where)
				left, _ := strconv.Atoi("0" + m[3])
				i := 0
				for i < len(before) {
					bar := func(n saidNote) int64 { return n.at.Num() / (4 * n.at.Den()) }
					if i+2 >= len(before) || bar(before[i]) != bar(before[i+2]) {
						require.Equal(t, before[i].key, after[i].key, where)
						i, left = i+1, left-1
						continue
					}
					require.Equal(t, []int{before[i+2].key, before[i].key, before[i+1].key}, []int{after[i].key, after[i+1].key, after[i+2].key}, where)
					i += 3
				}
				require.Zero(t, left, where)
			case "retrograde":
				require.Equal(t, "retrograde: from the last note to the first", msg)
				for i := range before {
					require.Equal(t, before[len(before)-1-i].key, after[i].key, where)
				}
			case "group":
				require.Equal(t, "grouped: the first 3 notes, begun again when they are through, in the rhythm that there was", msg)
				for i := range before {
					require.Equal(t, before[i%3].key, after[i].key, where)
					require.Equal(t, before[i].at, after[i].at, where)
				}
			case "invert":
				require.Contains(t, msg, "inverted: turned over at ")
				for i := range before {
					require.Equal(t, scaleStep(before[0].key)-scaleStep(before[i].key), scaleStep(after[i].key)-scaleStep(after[0].key), where)
				}
			}
		}
	}
	for _, name := range []string{"sequence", "turn", "cut", "start-on", "displace", "in", "octave-jump", "permute", "retrograde", "group", "invert"} {
		assert.Greater(t, checked[name], 40, name)
	}
}

// saidLength reads "a half note and a dotted eighth note".
func saidLength(t *testing.T, words string) (sum score.Quarters) {
	for note := range strings.SplitSeq(words, " and ") {
		m := regexp.MustCompile(`^an? (dotted )?(\w+) note$`).FindStringSubmatch(note)
		require.NotNil(t, m, words)
		d, ok := map[string]score.Quarters{"whole": score.Q(4, 1), "half": score.Q(2, 1), "quarter": score.Q(1, 1), "eighth": score.Q(1, 2), "sixteenth": score.Q(1, 4)}[m[2]]
		require.True(t, ok, words)
		if m[1] != "" {
			d = d.Mul(score.Q(3, 2))
		}
		sum = sum.Add(d)
	}
	return sum
}

// whitePhrase makes a phrase of white keys in C major, on a guitar if asked.
func whitePhrase(t *testing.T, r *rand.Rand, neck bool) *score.Score {
	var words []string
	for eighths := 0; eighths < 16; {
		d := []int{1, 1, 1, 2, 2, 4}[r.IntN(6)]
		if d > 8-eighths%8 {
			d = 8 - eighths%8
		}
		words = append(words, fmt.Sprintf("%c%d/%d", "CDEFGAB"[r.IntN(7)], 3+r.IntN(2), d))
		eighths += d
	}
	s := phrase(t, theory.Key{}, strings.Join(words, " "))
	if neck {
		s.Parts[0].Measures[0].Events = append([]score.Event{&score.NeckChange{Neck: fretboard.Guitar()}}, s.Parts[0].Measures[0].Events...)
	}
	return s
}

// TestGroupSaysChords: where the cells change with the chords that is said, and
// a pickup belongs to the first.
func TestGroupSaysChords(t *testing.T) {
	s := counted(t)
	out, said := Vary(s, []Variation{step(t, "group 2")}, VaryOptions{})
	assert.Equal(t, "grouped: the first 2 notes under each chord, begun again when they are through, in the rhythm that there was", said[0].Msg)
	line := saidLine(out)
	cells := map[int][2]int{}
	first := map[int]int{}
	for i, n := range line {
		bar := int(n.at.Num() / (4 * n.at.Den()))
		if _, ok := first[bar]; !ok {
			first[bar] = i
			cells[bar] = [2]int{n.key, line[i+1].key}
		}
		assert.Equal(t, cells[bar][(i-first[bar])%2], n.key, "note %d", i)
	}
}
