package midi

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/score"
)

// inOrder returns the names of the bars of a line in the order in which they
// are played.
func inOrder(t *testing.T, line string) (names string) {
	t.Helper()
	p, all := bars(t, line)
	sequence, ok := order(barsOf([]*score.Part{p}))
	require.True(t, ok)
	for _, i := range sequence {
		names += all[i : i+1]
	}
	return names
}

// bars makes a part of a line: bars parted by spaces, each a letter with signs:
// "|:A" begins a repeat, "A:|" and "A:|3" end it, "[1,2" and "]" begin and end an
// ending, what stands in braces is written over the bar.
func bars(t *testing.T, line string) (*score.Part, string) {
	t.Helper()
	p := &score.Part{ID: "P1", Staves: 1}
	names := ""
	for _, f := range strings.Fields(line) {
		m := &score.Measure{Length: score.Q(1, 1)}
		left, right := &score.Barline{}, &score.Barline{Common: score.Common{Onset: m.Length}}
		for f != "" {
			switch {
			case strings.HasPrefix(f, "|:"):
				left.Repeat = score.Forward
				f = f[2:]
			case strings.HasPrefix(f, ":|"):
				right.Repeat = score.Backward
				if f = f[2:]; f != "" && f[0] >= '0' && f[0] <= '9' {
					right.Times = int(f[0] - '0')
					f = f[1:]
				}
			case f[0] == '[':
				n := 1
				for n < len(f) && strings.IndexByte("0123456789,-", f[n]) >= 0 {
					n++
				}
				left.Ending, left.EndingType = f[1:n], "start"
				f = f[n:]
			case f[0] == ']':
				right.EndingType = "stop"
				f = f[1:]
			case f[0] == '<': // for players of sound
				end := strings.IndexByte(f, '>')
				require.Positive(t, end)
				what, name, _ := strings.Cut(f[1:end], "=")
				r := &m.Route
				switch what {
				case "segno":
					r.Segno = name
				case "coda":
					r.Coda = name
				case "dalsegno":
					r.DalSegno = name
				case "tocoda":
					r.ToCoda = name
				case "dacapo":
					r.DaCapo = true
				case "fine":
					r.Fine = true
				case "forward-repeat":
					r.ForwardRepeat = true
				default:
					t.Fatal(what)
				}
				f = f[end+1:]
			case f[0] == '{':
				end := strings.IndexByte(f, '}')
				require.Positive(t, end)
				m.Events = append(m.Events, &score.Words{Kind: "words", Text: strings.ReplaceAll(f[1:end], "_", " ")})
				f = f[end+1:]
			default:
				names += f[:1]
				f = f[1:]
			}
		}
		m.Events = append(m.Events, left, right)
		p.Measures = append(p.Measures, m)
	}
	return p, names
}

// The order in which bars are played. Source: common practice, as handbooks of
// notation have it: a repeat is played twice if nothing else is said, an ending at
// the passes that it names; after D.C. and D.S. repeats are not taken and the last
// ending is played.
func TestOrder(t *testing.T) {
	for _, test := range []struct{ name, line, want string }{
		{"plain", "A B C", "ABC"},
		{"repeat from the beginning", "A B:| C", "ABABC"},
		{"repeat", "A |:B C:| D", "ABCBCD"},
		{"three times", "A |:B:|3 C", "ABBBC"},
		{"two repeats", "|:A:| |:B:| C", "AABBC"},
		{"two ends, one beginning", "|:A B:| C:| D", "ABABCCD"},
		{"first and second ending", "|:A [1B]:| [2C] D", "ABACD"},
		{"endings of two bars", "|:A [1B C]:| [2D E] F", "ABCADEF"},
		{"three passes", "|:A [1,2B]:| [3C] D", "ABABACD"},
		{"three endings", "|:A [1B]:| [2C]:| [3D] E", "ABACADE"},
		{"a range", "|:A [1-3B]:| [4C]", "ABABABAC"},
		{"first ending only", "|:A [1B]:| C", "ABAC"},
		{"last ending repeats too", "|:A [1B]:| [2C]:| D", "ABACD"},
		{"endings twice", "|:A [1B]:| [2C] |:D [1E]:| [2F] G", "ABACDEDFG"},
		{"an ending without a repeat is passed through", "A [1B] C", "ABC"},
		{"da capo", "A B{D.C.}", "ABAB"},
		{"da capo al fine", "A B{Fine} C{D.C._al_Fine}", "ABCAB"},
		{"dal segno", "A {Segno}B C{D.S.}", "ABCBC"},
		{"dal segno al fine", "A {Segno}B C{Fine} D{D.S._al_Fine} E", "ABCDBC"},
		{"dal segno al coda", "A {Segno}B C{To_Coda} D{D.S._al_Coda} {Coda}E F", "ABCDBCEF"},
		{"da capo al coda", "A B{To_Coda} C{Da_Capo_al_Coda} {Coda}D", "ABCABD"},
		{"repeats are not taken after da capo", "|:A:| B{Fine} C{D.C._al_Fine}", "AABCAB"},
		{"the last ending after da capo", "|:A [1B]:| [2C] D{D.C.}", "ABACDACD"},
		{"words that are none", "A{Fine_tuning} B{Slow_down_D.C.} C", "ABC"},
	} {
		t.Run(test.name, func(t *testing.T) {
			assert.Equal(t, test.want, inOrder(t, test.line))
		})
	}
}

// The order that files state for players of sound. Source: MusicXML 4.0, the
// documentation of the type sound: "Segno and dalsegno are used for backwards
// jumps to a segno sign; coda and tocoda are used for forward jumps to a coda
// sign. If there are multiple jumps, the value of these parameters can be used to
// name and distinguish them." "By default, a dalsegno or dacapo attribute
// indicates that the jump should occur the first time through, while a tocoda
// attribute indicates the jump should occur the second time through." "The
// forward-repeat attribute indicates that a forward repeat sign is implied but
// not displayed." The fine attribute "follows the final note or rest in a
// movement with a da capo or dal segno direction".
func TestOrderOfSound(t *testing.T) {
	for _, test := range []struct{ name, line, want string }{
		{"da capo, the first time through", "A B<dacapo> C", "ABABC"},
		{"da capo al fine", "A B<fine> C<dacapo>", "ABCAB"},
		{"dal segno", "A <segno=x>B C<dalsegno=x> D", "ABCBCD"},
		{"to coda, the second time through", "A <segno=x>B C<tocoda=y> D<dalsegno=x> <coda=y>E", "ABCDBCE"},
		{"names tell signs apart", "A <segno=x>B <segno=y>C D<dalsegno=x> E", "ABCDBCDE"},
		{"names of codas too", "A B<tocoda=q> C<dacapo> <coda=p>D <coda=q>E", "ABCABE"},
		{"two jumps, each once", "<segno=x>A B<dalsegno=x> <segno=y>C D<dalsegno=y> E", "ABABCDCDE"},
		{"a name that is nowhere", "A <segno=x>B C<dalsegno=z>", "ABCBC"},
		{"words and sound say the same once", "A{Fine}<fine> B{D.C._al_Fine}<dacapo>", "ABA"},
		{"words tell nothing else", "A <segno=x>B <segno=y>C D{D.S.}<dalsegno=x>", "ABCDBCD"},
		{"a repeat that is not displayed", "A <forward-repeat>B C:| D", "ABCBCD"},
		{"after its repeat", "|:A B:|<dacapo> C", "ABABABC"},
	} {
		t.Run(test.name, func(t *testing.T) {
			assert.Equal(t, test.want, inOrder(t, test.line))
		})
	}
}

// However the signs stand, playing comes to an end.
func TestOrderEnds(t *testing.T) {
	signs := []string{"A", "|:A", "A:|", "|:A:|", "[1A]", "[2A]:|", "[1A]:|", "[1,2A", "A]", "A{D.C.}", "{Segno}A", "A{D.S._al_Coda}", "A{To_Coda}", "{Coda}A", "A{Fine}", "A:|9", "A<dalsegno=x>", "A<tocoda=y>"}
	n := 0
	var try func(line string, depth int)
	try = func(line string, depth int) {
		if depth == 0 {
			p, _ := bars(t, line)
			sequence, ok := order(barsOf([]*score.Part{p}))
			assert.True(t, ok, line)
			assert.NotEmpty(t, sequence, line)
			n++
			return
		}
		for _, s := range signs {
			try(line+" "+s, depth-1)
		}
	}
	try("", 3)
	assert.Equal(t, 18*18*18, n)
}
