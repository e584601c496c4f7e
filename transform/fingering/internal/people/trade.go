package people

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"example.org/lickwright/theory/fretboard"
	"example.org/lickwright/transform/fingering"
)

// A TradeLine is an invented line whose fingering follows from a rule of the
// trade.
type TradeLine struct {
	Name    string
	Rule    string
	Problem *fingering.Problem
	Want    [][]fretboard.Place // by group and note
}

// ringTime is how long a note rings that is marked to, in quarter notes.
const ringTime = 4

// ReadLines reads lines as the file testdata/trade.txt describes them.
func ReadLines(r io.Reader, name string) ([]*TradeLine, error) {
	var list []*TradeLine
	scan := bufio.NewScanner(r)
	for n := 1; scan.Scan(); n++ {
		text := strings.TrimSpace(scan.Text())
		if text == "" || text[0] == '#' {
			continue
		}
		l, err := readLine(text)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, n, err)
		}
		list = append(list, l)
	}
	return list, scan.Err()
}

func readLine(text string) (*TradeLine, error) {
	fields := strings.Split(text, "|")
	if len(fields) != 5 {
		return nil, fmt.Errorf("%d fields where 5 are wanted", len(fields))
	}
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	tuning, err := fretboard.ParseTuning(fields[1])
	if err != nil {
		return nil, err
	}
	var tempo, perQuarter float64
	if _, err := fmt.Sscan(fields[2], &tempo, &perQuarter); err != nil {
		return nil, err
	}
	neck := fretboard.Neck{Tuning: tuning, Frets: fretboard.DefaultFrets}
	l := &TradeLine{Name: fields[0], Rule: fields[4], Problem: &fingering.Problem{Neck: neck}}
	at := 0.0
	join := fingering.NotJoined
	for word := range strings.FieldsSeq(fields[3]) {
		if word != "-" {
			g := fingering.Group{Onset: at, Tempo: tempo}
			var want []fretboard.Place
			next := fingering.NotJoined
			for i, w := range strings.Split(word, "+") {
				place := strings.TrimRight(w, "hps=")
				s, f, _ := strings.Cut(place, ".")
				str, err1 := strconv.Atoi(s)
				fret, err2 := strconv.Atoi(f)
				p := fretboard.Place{String: str, Fret: fret}
				if err1 != nil || err2 != nil || !neck.Has(p) {
					return nil, fmt.Errorf("%q is no place", w)
				}
				note := fingering.Note{Pitch: neck.Stopped(p), Duration: 1 / perQuarter}
				if i == 0 && join != fingering.NotJoined {
					note.Join, note.From = join, fingering.Ref{Group: len(l.Problem.Groups) - 1}
				}
				for _, mark := range w[len(place):] {
					switch mark {
					case 'h':
						next = fingering.HammerOn
					case 'p':
						next = fingering.PullOff
					case 's':
						next = fingering.Slide
					case '=':
						note.Duration, note.Ring = ringTime, true
					}
				}
				g.Notes = append(g.Notes, note)
				want = append(want, p)
			}
			join = next
			l.Problem.Groups = append(l.Problem.Groups, g)
			l.Want = append(l.Want, want)
		}
		at += 1 / perQuarter
	}
	return l, l.Problem.Check()
}

// Right tells whether every note lies where the rule puts it.
func (l *TradeLine) Right(stops [][]fingering.Stop) bool {
	for g, want := range l.Want {
		for i, p := range want {
			if stops[g][i].Place != p {
				return false
			}
		}
	}
	return true
}
