package musicxml_test

import (
	"bytes"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// apart takes each part that has a staff of notation and a tab staff apart into
// two parts, as many programs write them. It shares nothing with the package.
func apart(t testing.TB, data []byte) []byte {
	t.Helper()
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(data))
	root := doc.Root()
	for _, p := range root.SelectElements("part") {
		if p.FindElement(".//staff-details[@number='2']") == nil {
			continue
		}
		id := p.SelectAttrValue("id", "")
		sp := root.FindElement("./part-list/score-part[@id='" + id + "']")
		tsp := sp.Copy()
		tsp.CreateAttr("id", id+"-tab")
		for _, in := range tsp.FindElements("./score-instrument") {
			in.CreateAttr("id", id+"-tab-I")
		}
		list := root.SelectElement("part-list")
		list.InsertChildAt(sp.Index()+1, tsp)
		tab := p.Copy()
		tab.CreateAttr("id", id+"-tab")
		root.InsertChildAt(p.Index()+1, tab)
		onlyStaff(p, "1")
		onlyStaff(tab, "2")
	}
	out, err := doc.WriteToBytes()
	require.NoError(t, err)
	return out
}

// onlyStaff keeps what stands on one staff of a part.
func onlyStaff(p *etree.Element, staff string) {
	for _, m := range p.SelectElements("measure") {
		at, now := 0, 0 // in the old bar and in the new one
		length := func(e *etree.Element) int {
			n, _ := strconv.Atoi(e.SelectElement("duration").Text())
			return n
		}
		var list []*etree.Element
		longest := 0
		move := func(to int) {
			name := "forward"
			if to < now {
				name = "backup"
			}
			if to != now {
				e := etree.NewElement(name)
				e.CreateElement("duration").SetText(fmt.Sprint(max(to-now, now-to)))
				list = append(list, e)
			}
			now = to
		}
		for _, e := range m.ChildElements() {
			m.RemoveChild(e)
			s := e.SelectElement("staff")
			if s != nil {
				e.RemoveChild(s)
			}
			switch e.Tag {
			case "backup":
				at -= length(e)
			case "forward":
				at += length(e)
			case "note":
				plain := e.SelectElement("grace") == nil && e.SelectElement("chord") == nil
				d := 0
				if plain {
					d = length(e)
				}
				if s == nil || s.Text() == staff {
					if e.SelectElement("chord") == nil {
						move(at)
					}
					list = append(list, e)
					now += d
				}
				at += d
			case "attributes":
				for _, c := range e.ChildElements() {
					n := c.SelectAttrValue("number", staff)
					c.RemoveAttr("number")
					if n != staff || c.Tag == "staves" || c.Tag == "transpose" && staff == "2" {
						e.RemoveChild(c)
					}
				}
				if len(e.ChildElements()) > 0 {
					move(at)
					list = append(list, e)
				}
			case "barline":
				if e.SelectAttrValue("location", "") == "right" {
					move(at)
				}
				list = append(list, e)
			default:
				if staff == "1" {
					move(at)
					list = append(list, e)
				}
			}
			longest = max(longest, at)
		}
		for _, e := range list {
			m.AddChild(e)
		}
	}
}

// otherHabits writes the tab parts of a file in other ways that programs have.
func otherHabits(t testing.TB, r *rand.Rand, data []byte) []byte {
	t.Helper()
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(data))
	finer, gaps, octave, strings1 := r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(3) == 0, r.IntN(3) == 0
	for _, tab := range doc.Root().SelectElements("part") {
		id, ok := strings.CutSuffix(tab.SelectAttrValue("id", ""), "-tab")
		if !ok {
			continue
		}
		if strings1 { // the notation says strings and frets too
			a, b := doc.FindElement("//part[@id='"+id+"']").FindElements("./measure/note[pitch]"), tab.FindElements("./measure/note[pitch]")
			require.Len(t, b, len(a))
			for i, n := range a {
				ns := n.SelectElement("notations")
				if ns == nil {
					ns = etree.NewElement("notations")
					at := len(n.Child)
					for _, later := range n.SelectElements("play") {
						at = later.Index()
					}
					n.InsertChildAt(at, ns)
				}
				tech := ns.SelectElement("technical")
				if tech == nil {
					tech = ns.CreateElement("technical")
				}
				tech.AddChild(b[i].FindElement("./notations/technical/string").Copy())
				tech.AddChild(b[i].FindElement("./notations/technical/fret").Copy())
			}
		}
		if finer {
			for _, e := range append(tab.FindElements(".//duration"), tab.FindElements(".//divisions")...) {
				n, _ := strconv.Atoi(e.Text())
				e.SetText(strconv.Itoa(5 * n))
			}
		}
		if octave {
			tr := etree.NewElement("transpose")
			for _, c := range []string{"diatonic", "chromatic", "octave-change"} {
				tr.CreateElement(c).SetText(map[bool]string{true: "-1", false: "0"}[c == "octave-change"])
			}
			tab.FindElement("./measure/attributes").AddChild(tr)
			for _, e := range tab.FindElements("./measure/note/pitch/octave") {
				n, _ := strconv.Atoi(e.Text())
				e.SetText(strconv.Itoa(n + 1))
			}
		}
		for _, n := range tab.FindElements("./measure/note[rest]") {
			n.RemoveAttr("print-object")
			if gaps {
				f := etree.NewElement("forward")
				f.AddChild(n.SelectElement("duration").Copy())
				m := n.Parent()
				m.InsertChildAt(n.Index(), f)
				m.RemoveChild(n)
			}
		}
	}
	out, err := doc.WriteToBytes()
	require.NoError(t, err)
	return out
}

// A rawNote is a note as the page has it.
type rawNote struct {
	onset, length string
	pitch         int
	tieStop       bool
	grace         bool
	str, fret     int
}

// rawBars reads the notes of a part of the page, bar by bar, with nothing of
// the package, and which time each bar takes.
func rawBars(p *etree.Element) (bars [][]rawNote, lengths []string) {
	divisions := big.NewRat(1, 1)
	ticks := func(e *etree.Element) *big.Rat {
		d := e.SelectElement("duration")
		if d == nil {
			return new(big.Rat)
		}
		q, _ := new(big.Rat).SetString(d.Text())
		return q.Quo(q, divisions)
	}
	number := func(e *etree.Element, name string) int {
		if c := e.FindElement(name); c != nil {
			n, _ := strconv.Atoi(c.Text())
			return n
		}
		return 0
	}
	for _, m := range p.SelectElements("measure") {
		var list []rawNote
		at, onset, end := new(big.Rat), new(big.Rat), new(big.Rat)
		for _, e := range m.ChildElements() {
			switch e.Tag {
			case "attributes":
				if d := e.SelectElement("divisions"); d != nil {
					divisions, _ = new(big.Rat).SetString(d.Text())
				}
			case "backup":
				at = new(big.Rat).Sub(at, ticks(e))
			case "forward":
				at = new(big.Rat).Add(at, ticks(e))
			case "note":
				if e.SelectElement("chord") == nil {
					onset = at
					if e.SelectElement("grace") == nil {
						at = new(big.Rat).Add(at, ticks(e))
					}
				}
				if e.SelectElement("rest") != nil {
					break
				}
				n := rawNote{onset: onset.RatString(), length: ticks(e).RatString(), grace: e.SelectElement("grace") != nil}
				if pe := e.SelectElement("pitch"); pe != nil {
					n.pitch = 12*(number(pe, "octave")+1) + map[string]int{"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[pe.SelectElement("step").Text()] + number(pe, "alter")
				}
				n.tieStop = e.FindElement("./tie[@type='stop']") != nil
				n.str, n.fret = number(e, "./notations/technical/string"), number(e, "./notations/technical/fret")
				list = append(list, n)
			}
			if end.Cmp(at) < 0 {
				end = at
			}
		}
		bars = append(bars, list)
		lengths = append(lengths, end.RatString())
	}
	return bars, lengths
}

// agree holds that notation and tab of a file say the same in every bar: every
// note at the same time and pitch (but for the octave of the whole staff), as
// long, with the pitch that string, fret and tuning give.
func agree(t testing.TB, data []byte) (pairs int) {
	t.Helper()
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(data))
	for _, tab := range doc.Root().SelectElements("part") {
		id, ok := strings.CutSuffix(tab.SelectAttrValue("id", ""), "-tab")
		if !ok {
			continue
		}
		pairs++
		notation := doc.FindElement("//part[@id='" + id + "']")
		a, la := rawBars(notation)
		b, lb := rawBars(tab)
		require.Equal(t, la, lb, "as many bars of the same lengths")
		off, known := 0, false
		var neck []int // open strings, the first the highest, with the capo
		for _, st := range tab.FindElements(".//staff-tuning") {
			n := map[string]int{"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[st.SelectElement("tuning-step").Text()]
			if al := st.SelectElement("tuning-alter"); al != nil {
				k, _ := strconv.Atoi(al.Text())
				n += k
			}
			o, _ := strconv.Atoi(st.SelectElement("tuning-octave").Text())
			neck = append([]int{n + 12*(o+1)}, neck...)
		}
		octave := 0
		if c := tab.FindElement(".//transpose/octave-change"); c != nil {
			octave, _ = strconv.Atoi(c.Text())
		}
		capo := 0
		if c := tab.FindElement(".//capo"); c != nil {
			capo, _ = strconv.Atoi(c.Text())
		}
		for i := range a {
			key := func(n rawNote) string { return fmt.Sprintf("%s %v %03d", n.onset, n.grace, n.pitch) }
			for _, l := range [][]rawNote{a[i], b[i]} {
				slices.SortStableFunc(l, func(x, y rawNote) int { return strings.Compare(key(x), key(y)) })
			}
			require.Len(t, b[i], len(a[i]), "bar %d: %v\n%v", i, a[i], b[i])
			for j, n := range b[i] {
				if !known {
					off, known = a[i][j].pitch-n.pitch, true
					require.Zero(t, off%12)
				}
				want := a[i][j]
				want.pitch, want.str, want.fret = want.pitch-off, n.str, n.fret
				require.Equal(t, want, n, "bar %d", i)
				if n.str > 0 && len(neck) > 0 {
					require.Equal(t, neck[n.str-1]+capo+n.fret, n.pitch+12*octave, "bar %d: tuning + fret", i)
				}
			}
		}
	}
	return pairs
}

// pairedScore makes a random score of parts that have strings and frets.
func pairedScore(r *rand.Rand) *score.Score {
	for {
		s := randomScore(r)
		if slices.ContainsFunc(s.Parts, (*score.Part).Fretted) {
			return s
		}
	}
}

// bars puts bars in and takes some out.
func changeBars(r *rand.Rand, s *score.Score) {
	p := s.Parts[r.IntN(len(s.Parts))]
	if len(p.Measures) == 0 {
		return
	}
	for round := range r.IntN(3) {
		i := r.IntN(len(p.Measures))
		c := p.Measures[i].Copy()
		c.Number = ""
		c.Events = slices.DeleteFunc(c.Events, func(e score.Event) bool {
			switch e.(type) {
			case *score.Chord, *score.Harmony:
				return false
			}
			return true
		})
		for n := range score.Preorder(c) {
			switch n := n.(type) {
			case *score.Chord:
				n.Tuplets = slices.Clone(n.Tuplets)
				for k := range n.Tuplets {
					n.Tuplets[k].ID += 1000 * (round + 1)
				}
			case *score.Note:
				n.Techniques = slices.DeleteFunc(n.Techniques, func(t score.Technique) bool { _, ok := t.(score.Span); return ok })
			}
		}
		p.Measures = slices.Insert(p.Measures, i+1, c)
	}
	if len(p.Measures) > 2 && r.IntN(3) == 0 {
		i := 1 + r.IntN(len(p.Measures)-1)
		p.Measures = slices.Delete(p.Measures, i, i+1)
	}
}

// TestNotationAndTabAsTwoParts changes rhythm and bars of files that hold
// notation and tab as two parts, partwise and timewise: the result reads as
// what was applied, notation and tab agree on the page, the second application
// wins, and the schema accepts it.
func TestNotationAndTabAsTwoParts(t *testing.T) {
	dir := t.TempDir()
	var files []string
	pairs := 0
	for seed := range uint64(24) {
		r := rand.New(rand.NewPCG(seed, 21))
		var b bytes.Buffer
		require.NoError(t, musicxml.Write(&b, pairedScore(r), score.WriteOptions{}))
		text := otherHabits(t, r, apart(t, b.Bytes()))
		pairs += agree(t, text)
		whole := read(t, b.Bytes(), "one part")
		for _, way := range []string{"partwise", "timewise"} {
			data := text
			if way == "timewise" {
				data = timewise(t, text)
			}
			d := read(t, data, way)
			require.Equal(t, struck(whole.Score()), struck(d.Score()), "seed %d %s: read as one music\n%s", seed, way, data)
			same, err := d.Apply(d.Score().Clone())
			require.NoError(t, err)
			require.Equal(t, string(data), string(written(t, same)))
			for round := range uint64(3) {
				r := rand.New(rand.NewPCG(seed, 100+round))
				s := d.Score().Clone()
				if round != 1 {
					mutate(r, s)
				}
				if round != 0 {
					changeBars(r, s)
				}
				out, err := d.Apply(s)
				require.NoError(t, err, "seed %d, round %d", seed, round)
				text := written(t, out)
				again := read(t, text, "again")
				if !assert.Equal(t, comparable(out.Score()), comparable(again.Score()), "seed %d %s, round %d", seed, way, round) {
					t.Log(string(text))
					return
				}
				if way == "partwise" {
					agree(t, text)
				}
				back, err := out.Apply(d.Score())
				require.NoError(t, err)
				require.Equal(t, string(data), string(written(t, back)), "the second application wins")
				same, err := again.Apply(again.Score().Clone())
				require.NoError(t, err)
				require.Equal(t, string(text), string(written(t, same)))
				files = append(files, filepath.Join(dir, fmt.Sprintf("%d-%d-%s.xml", seed, round, way)))
				require.NoError(t, os.WriteFile(files[len(files)-1], text, 0o600))
			}
		}
	}
	assert.Greater(t, pairs, 20)
	valid := validate(t, files)
	for _, f := range files {
		assert.True(t, valid[f], f)
	}
}

// TestVariationsOfAPair makes a guitar part longer, shorter and earlier that is
// notation and tab as two parts, with a bass beside it: both say the same, what
// is not a note stays, and the bass has no more than bars of rest.
func TestVariationsOfAPair(t *testing.T) {
	var files []string
	dir := t.TempDir()
	for _, tt := range []struct{ step, value string }{{"augment", "2"}, {"diminish", "2"}, {"displace", "-1/8"}, {"displace", "1/8"}, {"in", "thirds"}, {"retrograde", "true"}, {"group", "3"}, {"over", "Dm7 | G7 | Cmaj7 | Am7"}} {
		for _, way := range []string{"partwise", "timewise"} {
			data := []byte(pairFile)
			if way == "timewise" {
				data = timewise(t, data)
			}
			d := read(t, data, way)
			require.Len(t, d.Score().Parts, 2, "notation and tab are one music")
			var changed *score.Score
			if tt.step == "over" {
				over, err := theory.ParseProgression(tt.value, nil)
				require.NoError(t, err)
				changed, _ = transform.RemapOver(d.Score(), nil, over, transform.RemapOptions{Parts: []string{"P1"}})
			} else {
				v, err := transform.ParseVariation(tt.step, tt.value)
				require.NoError(t, err)
				changed, _ = transform.Vary(d.Score(), []transform.Variation{v}, transform.VaryOptions{Parts: []string{"P1"}})
			}
			out, err := d.Apply(changed)
			require.NoError(t, err, "%v", tt)
			text := written(t, out)
			again := read(t, text, "again")
			require.Equal(t, comparable(out.Score()), comparable(again.Score()), "%v %s\n%s", tt, way, text)
			files = append(files, filepath.Join(dir, fmt.Sprintf("%d.xml", len(files))))
			require.NoError(t, os.WriteFile(files[len(files)-1], text, 0o600))
			assert.Contains(t, string(text), ">with a swing</words>")
			assert.Contains(t, string(text), "<system-distance>80</system-distance>")
			if way == "timewise" {
				continue
			}
			agree(t, text)
			doc := etree.NewDocument()
			require.NoError(t, doc.ReadFromBytes(text))
			bass, _ := rawBars(doc.FindElement("//part[@id='P3']"))
			guitar, _ := rawBars(doc.FindElement("//part[@id='P1']"))
			require.Len(t, bass, len(guitar))
			var struck []rawNote
			for _, b := range bass {
				struck = append(struck, b...)
			}
			assert.Equal(t, []rawNote{{onset: "0", length: "4", pitch: 45}, {onset: "0", length: "4", pitch: 40}}, struck)
			for _, r := range doc.FindElements("//part[@id='P3']/measure/note/rest") {
				assert.Len(t, r.Parent().Parent().SelectElements("note"), 1)
			}
			last := doc.FindElements("//part[@id='P3']/measure")
			assert.NotNil(t, last[len(last)-1].FindElement("./barline/bar-style"))
			assert.Len(t, doc.FindElements("//part[@id='P3']/measure/barline"), 1)
		}
	}
	valid := validate(t, files)
	for _, f := range files {
		assert.True(t, valid[f], f)
	}
}

// pairFile holds notation and tab as two parts, and a bass: invented, in the
// manner of programs that guitarists use. The notation says its octave by a
// transposition and has slurs where the tab has hammer-ons; both have divisions
// of their own.
const pairFile = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="3.1">
  <part-list>
    <score-part id="P1"><part-name>Guitar</part-name></score-part>
    <score-part id="P1-tab"><part-name>Guitar (tab)</part-name></score-part>
    <score-part id="P3"><part-name>Bass</part-name></score-part>
  </part-list>
  <part id="P1">
    <measure number="1" width="300">
      <print><system-layout><system-distance>80</system-distance></system-layout></print>
      <attributes>
        <divisions>2</divisions>
        <key><fifths>0</fifths><mode>minor</mode></key>
        <time symbol="common"><beats>4</beats><beat-type>4</beat-type></time>
        <clef><sign>G</sign><line>2</line></clef>
        <transpose><diatonic>0</diatonic><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>
      </attributes>
      <harmony default-y="40"><root><root-step>A</root-step></root><kind text="m7">minor-seventh</kind></harmony>
      <direction placement="above"><direction-type><words default-y="60">with a swing</words></direction-type></direction>
      <note default-x="80"><pitch><step>A</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>eighth</type><stem default-y="3">up</stem><beam number="1">begin</beam></note>
      <note default-x="110"><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration><voice>1</voice><type>eighth</type><stem>up</stem><beam number="1">end</beam><notations><slur type="start" number="1"/></notations></note>
      <note default-x="140"><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice><type>quarter</type><stem>down</stem><notations><slur type="stop" number="1"/></notations></note>
      <note default-x="180"><rest/><duration>2</duration><voice>1</voice><type>quarter</type></note>
      <note default-x="210"><pitch><step>E</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice><type>quarter</type><stem>down</stem></note>
    </measure>
    <measure number="2" width="200">
      <note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>quarter</type><stem>up</stem></note>
      <note><pitch><step>A</step><octave>4</octave></pitch><duration>6</duration><voice>1</voice><type>half</type><dot/><stem>up</stem></note>
      <barline location="right"><bar-style>light-heavy</bar-style></barline>
    </measure>
  </part>
  <part id="P1-tab">
    <measure number="1" width="300">
      <attributes>
        <divisions>4</divisions>
        <key><fifths>0</fifths></key>
        <time symbol="common"><beats>4</beats><beat-type>4</beat-type></time>
        <clef><sign>TAB</sign><line>5</line></clef>
        <staff-details>
          <staff-lines>6</staff-lines>
          <staff-tuning line="1"><tuning-step>E</tuning-step><tuning-octave>2</tuning-octave></staff-tuning>
          <staff-tuning line="2"><tuning-step>A</tuning-step><tuning-octave>2</tuning-octave></staff-tuning>
          <staff-tuning line="3"><tuning-step>D</tuning-step><tuning-octave>3</tuning-octave></staff-tuning>
          <staff-tuning line="4"><tuning-step>G</tuning-step><tuning-octave>3</tuning-octave></staff-tuning>
          <staff-tuning line="5"><tuning-step>B</tuning-step><tuning-octave>3</tuning-octave></staff-tuning>
          <staff-tuning line="6"><tuning-step>E</tuning-step><tuning-octave>4</tuning-octave></staff-tuning>
        </staff-details>
      </attributes>
      <note><pitch><step>A</step><octave>3</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><stem>down</stem><beam number="1">begin</beam><notations><technical><string>4</string><fret>7</fret></technical></notations></note>
      <note><pitch><step>C</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type><stem>down</stem><beam number="1">end</beam><notations><technical><hammer-on type="start">H</hammer-on><string>3</string><fret>5</fret></technical></notations></note>
      <note><pitch><step>D</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><type>quarter</type><stem>down</stem><notations><technical><hammer-on type="stop"/><string>3</string><fret>7</fret></technical></notations></note>
      <note><rest/><duration>4</duration><voice>1</voice><type>quarter</type></note>
      <note><pitch><step>E</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><type>quarter</type><stem>down</stem><notations><technical><string>2</string><fret>5</fret></technical></notations></note>
    </measure>
    <measure number="2" width="200">
      <note><pitch><step>G</step><octave>3</octave></pitch><duration>4</duration><voice>1</voice><type>quarter</type><stem>down</stem><notations><technical><string>4</string><fret>5</fret></technical></notations></note>
      <note><pitch><step>A</step><octave>3</octave></pitch><duration>12</duration><voice>1</voice><type>half</type><dot/><stem>down</stem><notations><technical><string>4</string><fret>7</fret></technical></notations></note>
      <barline location="right"><bar-style>light-heavy</bar-style></barline>
    </measure>
  </part>
  <part id="P3">
    <measure number="1" width="300">
      <attributes><divisions>1</divisions><key><fifths>0</fifths></key><time symbol="common"><beats>4</beats><beat-type>4</beat-type></time><clef><sign>F</sign><line>4</line></clef></attributes>
      <note><pitch><step>A</step><octave>2</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type></note>
    </measure>
    <measure number="2" width="200">
      <note><pitch><step>E</step><octave>2</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type></note>
      <barline location="right"><bar-style>light-heavy</bar-style></barline>
    </measure>
  </part>
</score-partwise>
`
