package musicxml_test

import (
	"archive/zip"
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
	"example.org/lickwright/transform"
)

// tiny is a document with one note, an odd style, and things that only stay
// whole if nothing but the note is touched.
const tiny = `<?xml version='1.0' encoding="UTF-8" standalone='no' ?>` + "\r\n" +
	`<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 3.1 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<!-- kept: &amp; <note> -->
<score-partwise version = "3.1" xmlns:x='urn:x'>
	<?app keep="me"?>
	<part-list><score-part id="P1"><part-name>Caf&#233; &amp; more</part-name></score-part></part-list>
	<part id='P1'><measure  number="1" >
		<attributes><divisions>1</divisions><key><fifths> 0 </fifths></key></attributes>
		<x:odd a='1'></x:odd>
		<note default-x="10.5"   default-y='-20' >
			<pitch><step>B</step><octave>4</octave></pitch><duration>4</duration ><voice>1</voice><type>whole</type>
			<lyric><text><![CDATA[a<b]]></text></lyric>
		</note>
	</measure></part>
</score-partwise>
<!-- behind -->`

func up(t testing.TB, d *musicxml.Document, by string, respell transform.Respell) *musicxml.Document {
	t.Helper()
	iv, err := theory.ParseInterval(by)
	require.NoError(t, err)
	moved, _ := transform.Transpose(d.Score(), iv, transform.TransposeOptions{Respell: respell})
	out, err := d.Apply(moved)
	require.NoError(t, err)
	return out
}

func TestOnlyTheMoveIsEdited(t *testing.T) {
	d := read(t, []byte(tiny), "tiny.xml")
	assert.Equal(t, "Café & more", d.Score().Parts[0].Name)
	got := string(written(t, up(t, d, "m3", transform.RespellAuto)))
	want := strings.NewReplacer(
		"<fifths> 0 </fifths>", "<fifths> -3 </fifths>",
		"<step>B</step><octave>4</octave>", "<step>D</step><octave>5</octave>",
		`   default-y='-20' >`, ` >`,
	).Replace(tiny)
	assert.Equal(t, want, got)
}

func TestAlterIsPutInAndTakenOut(t *testing.T) {
	d := read(t, []byte(tiny), "tiny.xml")
	sharp := written(t, up(t, d, "A1", transform.RespellNever))
	assert.Contains(t, string(sharp), "<step>B</step><alter>1</alter><octave>4</octave>")
	assert.Contains(t, string(sharp), "<fifths> 7 </fifths>")
	assert.Equal(t, tiny, string(written(t, up(t, read(t, sharp, "sharp.xml"), "-A1", transform.RespellNever))))
}

// TestRespelling: C major up an augmented unison is C♯ major, seven sharps;
// B major up an augmented unison is C major by default and B♯ major with
// twelve sharps if no respelling is asked for (circle of fifths, common
// practice).
func TestRespelling(t *testing.T) {
	inB := strings.Replace(tiny, "<fifths> 0 </fifths>", "<fifths> 5 </fifths>", 1)
	d := read(t, []byte(inB), "b.xml")
	auto := string(written(t, up(t, d, "A1", transform.RespellAuto)))
	assert.Contains(t, auto, "<fifths> 0 </fifths>")
	assert.Contains(t, auto, "<step>C</step><octave>5</octave>")
	never := string(written(t, up(t, d, "A1", transform.RespellNever)))
	assert.Contains(t, never, "<fifths> 12 </fifths>")
	assert.Contains(t, never, "<step>B</step><alter>1</alter><octave>4</octave>")
}

// TestEncodings reads the same text in the encodings of XML 1.0, appendix F,
// and edits it there.
func TestEncodings(t *testing.T) {
	utf16Text := strings.Replace(tiny, `encoding="UTF-8"`, `encoding="UTF-16"`, 1)
	wide := func(big bool, bom bool) []byte {
		var b []byte
		units := utf16.Encode([]rune(utf16Text))
		if bom {
			units = append([]uint16{0xFEFF}, units...)
		}
		for _, u := range units {
			if big {
				b = append(b, byte(u>>8), byte(u))
			} else {
				b = append(b, byte(u), byte(u>>8))
			}
		}
		return b
	}
	latin := strings.Replace(strings.Replace(tiny, `"UTF-8"`, `"ISO-8859-1"`, 1), "Caf&#233;", "Caf\xe9", 1)
	for name, data := range map[string][]byte{
		"UTF-8 with mark": append([]byte{0xEF, 0xBB, 0xBF}, tiny...),
		"UTF-16LE":        wide(false, true), "UTF-16BE": wide(true, true),
		"UTF-16LE without mark": wide(false, false), "UTF-16BE without mark": wide(true, false),
		"Latin-1":                      []byte(latin),
		"said to be UTF-16, but UTF-8": []byte(utf16Text),
		"XML 1.1":                      []byte(strings.Replace(tiny, "version='1.0'", "version='1.1'", 1)),
	} {
		t.Run(name, func(t *testing.T) {
			d := read(t, data, name)
			assert.Equal(t, "Café & more", d.Score().Parts[0].Name)
			assert.Equal(t, data, written(t, up(t, up(t, d, "P8", transform.RespellAuto), "-P8", transform.RespellAuto)))
			there := written(t, up(t, d, "A1", transform.RespellAuto))
			assert.NotEqual(t, data, there)
			assert.Equal(t, data[:30], there[:30])
			assert.Equal(t, "B#4", firstNote(read(t, there, name)).Pitch.String())
			assert.Equal(t, data, written(t, up(t, read(t, there, name), "-A1", transform.RespellAuto)))
		})
	}
}

func firstNote(d *musicxml.Document) *score.Note {
	for n := range score.Notes(d.Score()) {
		return n
	}
	return nil
}

func zipped(t testing.TB, files ...[2]string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, f := range files {
		e, err := w.Create(f[0])
		require.NoError(t, err)
		_, err = e.Write([]byte(f[1]))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

func TestCompressed(t *testing.T) {
	for name, data := range map[string][]byte{
		"standard": zipped(t, [2]string{"mimetype", "application/vnd.recordare.musicxml"},
			[2]string{"META-INF/container.xml", `<container><rootfiles><rootfile full-path="a/b.xml"/><rootfile full-path="a.pdf" media-type="application/pdf"/></rootfiles></container>`},
			[2]string{"a.pdf", "%PDF"}, [2]string{"a/b.xml", tiny}),
		"container not well-formed": zipped(t,
			[2]string{"META-INF/container.xml", `<container><rootfiles><rootfile full-path='Nobody's lick.xml'/></rootfiles></container>`},
			[2]string{"other.xml", "<no/>"}, [2]string{"Nobody's lick.xml", tiny}),
		"no container": zipped(t, [2]string{"picture.png", "PNG"}, [2]string{"lick.musicxml", tiny}),
	} {
		t.Run(name, func(t *testing.T) {
			d := read(t, data, name)
			assert.Equal(t, data, written(t, d))
			moved := written(t, up(t, d, "M2", transform.RespellAuto))
			assert.Equal(t, "C#5", firstNote(read(t, moved, name)).Pitch.String())
			before, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
			require.NoError(t, err)
			after, err := zip.NewReader(bytes.NewReader(moved), int64(len(moved)))
			require.NoError(t, err)
			require.Equal(t, len(before.File), len(after.File))
			for i := range before.File {
				assert.Equal(t, before.File[i].Name, after.File[i].Name)
				if !strings.HasSuffix(before.File[i].Name, "b.xml") && !strings.Contains(before.File[i].Name, "lick") {
					assert.Equal(t, before.File[i].CRC32, after.File[i].CRC32)
				}
			}
		})
	}
}

// TestBadInput: each is one error with a place, a message and, where there is
// something to be done, a hint.
func TestBadInput(t *testing.T) {
	bomb := bomb(t)
	deep := strings.Repeat("<a>", 1000)
	for _, tc := range []struct{ name, in, want string }{
		{"empty", "", "x: the file is empty"},
		{"blank", " \n\t", "x: the file is empty"},
		{"text", "hello", "x:1:1: there is no XML element"},
		{"truncated in a tag", tiny[:700], "x:12:26: the file ends inside of a tag or comment"},
		{"truncated between", tiny[:strings.Index(tiny, "<duration>")], "the file ends inside of <note>"},
		{"wrong end tag", "<a>\n  <b></a>", "x:2:6: </a> does not close <b> of line 2, column 3"},
		{"end without start", "</a>", "x:1:1: </a> closes nothing"},
		{"two roots", "<a/>\n<b/>", "x:2:1: a second root element"},
		{"html", "<html><body/></html>", "x:1:1: this is XML, but not MusicXML: the root element is <html>"},
		{"opus", "<opus/>", "x:1:1: this is XML, but not MusicXML: the root element is <opus>"},
		{"no zip", "PK\x03\x04 nothing more", "x: the compressed file is damaged"},
		{"other zip", string(zipped(t, [2]string{"a.txt", "hello"})), "x: the compressed file holds no score"},
		{"zip bomb", bomb, "x: a.xml inside cannot be unpacked: it would unfold to"},
		{"entities", `<!DOCTYPE a [<!ENTITY b "c"><!ENTITY d "&b;&b;">]><a>&d;</a>`, "x:1:"},
		{"external entity", `<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><a>&b;</a>`, "not well-formed XML"},
		{"deep", deep, "x:1:601: elements are nested more than 200 deep"},
		{"encoding", `<?xml version="1.0" encoding="EBCDIC-XX"?><a/>`, `x: encoding "EBCDIC-XX" is not known`},
		{"not UTF-8", "<score-partwise>\xff</score-partwise>", "x:1:"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			d, err := musicxml.Read(strings.NewReader(tc.in), "x", score.ReadOptions{})
			require.Error(t, err)
			assert.Nil(t, d)
			assert.Contains(t, err.Error(), tc.want)
			assert.NotContains(t, err.Error(), "\n", "one line")
			var ds score.Diagnostics
			require.True(t, errors.As(err, &ds))
			require.Len(t, ds, 1)
			assert.Equal(t, score.Error, ds[0].Severity)
		})
	}
}

// bomb is an archive that says it unfolds to a gigabyte.
func bomb(t testing.TB) string {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	e, err := w.CreateRaw(&zip.FileHeader{Name: "a.xml", Method: zip.Deflate, CompressedSize64: 4, UncompressedSize64: 1 << 30})
	require.NoError(t, err)
	_, err = e.Write([]byte("\x01\x00\x00\xff"))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.String()
}

func TestFaultyInputAndOutput(t *testing.T) {
	_, err := musicxml.Read(iotest.ErrReader(errors.New("disk on fire")), "x", score.ReadOptions{})
	assert.EqualError(t, err, "x: cannot be read: disk on fire")
	d, err := musicxml.Read(iotest.OneByteReader(strings.NewReader(tiny)), "x", score.ReadOptions{})
	require.NoError(t, err)
	_, err = d.WriteTo(failing{})
	assert.EqualError(t, err, "no room")
	assert.EqualError(t, musicxml.Write(failing{}, d.Score(), score.WriteOptions{}), "no room")
	assert.EqualError(t, musicxml.WriteCompressed(failing{}, d.Score(), score.WriteOptions{}), "no room")
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("no room") }

// TestPositions: the element at the position of every node that was read
// begins with the tag that the node comes from.
func TestPositions(t *testing.T) {
	for _, file := range corpus(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		text := bytes.TrimPrefix(plainXML(t, data), []byte("\xEF\xBB\xBF"))
		d := read(t, data, file)
		for n := range score.Preorder(d.Score()) {
			var tags []string
			var h score.Handle
			switch n := n.(type) {
			case *score.Score:
				tags, h = []string{"<score-partwise", "<score-timewise"}, n.Src
			case *score.Part:
				tags, h = []string{"<part"}, n.Src
			case *score.Measure:
				tags, h = []string{"<measure", "<part"}, n.Src
			case *score.Note:
				tags, h = []string{"<note"}, n.Src
			case *score.Chord:
				tags, h = []string{"<note"}, n.Src
			case *score.Harmony:
				tags, h = []string{"<harmony"}, n.Src
			case *score.KeySignature:
				tags, h = []string{"<key"}, n.Src
			default:
				continue
			}
			pos := d.Locate(h)
			require.True(t, pos.IsValid(), "%s: %T", file, n)
			at := string(text[pos.Offset:min(pos.Offset+20, len(text))])
			ok := false
			for _, tag := range tags {
				ok = ok || strings.HasPrefix(at, tag)
			}
			require.True(t, ok, "%s: %T at %s is %q", file, n, pos, at)
		}
	}
}

// TestTabFromPitchAndFret holds what was measured on files of several
// programs: on a tab staff, pitch = tuning of the line + capo + fret.
func TestTabFromPitchAndFret(t *testing.T) {
	for name, want := range map[string]string{
		// W3C's tutorial on tablature: two parts, notation and tab, one music.
		"tutorial-tablature.xml": "C4@3/5 D4@3/7 Eb4@3/8 D4@3/7 C4@3/5",
		"slides.musicxml":        "E4@1/0 F4@1/1",
	} {
		data, err := os.ReadFile(filepath.Join(outside.Shared(t, "data", "musicxml-tab"), name))
		require.NoError(t, err)
		d := read(t, data, name)
		require.Len(t, d.Score().Parts, 1)
		var got []string
		for n := range score.Notes(d.Score()) {
			got = append(got, n.Pitch.String()+"@"+string(rune('0'+n.Place.String))+"/"+string(rune('0'+n.Place.Fret)))
		}
		assert.Equal(t, want, strings.Join(got, " "), name)
	}
}

// TestPalmMuteInWords: the field writes palm muting as words with a dashed
// line (common practice), the standard as <play><mute>.
func TestPalmMuteInWords(t *testing.T) {
	note := `<note><pitch><step>E</step><octave>2</octave></pitch><duration>1</duration></note>`
	dir := func(s string) string { return `<direction><direction-type>` + s + `</direction-type></direction>` }
	doc := func(music string) string {
		return `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">` +
			`<attributes><divisions>1</divisions></attributes>` + music + `</measure></part></score-partwise>`
	}
	marks := func(music string) string {
		var b strings.Builder
		for n := range score.Notes(read(t, []byte(doc(music)), "pm").Score()) {
			c := "."
			for _, tech := range n.Techniques {
				switch tech := tech.(type) {
				case score.Mark:
					c = "m"
				case score.Span:
					c = map[score.SpanEnd]string{score.Start: "<", score.Stop: ">"}[tech.End]
				}
			}
			b.WriteString(c)
		}
		return b.String()
	}
	assert.Equal(t, ".m..", marks(note+dir("<words>P.M.</words>")+note+note+note))
	assert.Equal(t, ".<.>.", marks(note+dir(`<words>P. M.</words></direction-type><direction-type><dashes type="start" number="1"/>`)+
		note+note+note+dir(`<dashes type="stop" number="1"/>`)+note))
	assert.Equal(t, ".<>", marks(note+dir(`<words>palm mute</words><dashes type="start"/>`)+note+note), "a line that does not end ends with the part")
	assert.Equal(t, "..", marks(note+dir("<words>pm. softly</words>")+note))
	assert.Equal(t, "m", marks(strings.Replace(note, "</note>", "<play><mute>palm</mute></play></note>", 1)))
}

// TestMeasureRepeat: a bar with the sign for repeating the bar before holds
// its music (MusicXML 4.0, measure-repeat), and follows it when it moves.
func TestMeasureRepeat(t *testing.T) {
	note := func(step string) string {
		return `<note><pitch><step>` + step + `</step><octave>4</octave></pitch><duration>2</duration><type>half</type></note>`
	}
	sign := func(typ, text string) string {
		return `<attributes><measure-style><measure-repeat type="` + typ + `">` + text + `</measure-repeat></measure-style></attributes>`
	}
	doc := `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1">` +
		`<measure number="1">` + note("C") + note("E") + `</measure>` +
		`<measure number="2">` + sign("start", "1") + `<forward><duration>4</duration></forward></measure>` +
		`<measure number="3"><note><rest/><duration>4</duration></note></measure>` +
		`<measure number="4">` + sign("stop", "") + note("G") + `<forward><duration>2</duration></forward></measure></part></score-partwise>`
	d := read(t, []byte(doc), "repeat")
	bars := func(s *score.Score) (out []string) {
		for _, m := range s.Parts[0].Measures {
			var w []string
			for n := range score.Notes(m) {
				w = append(w, n.Pitch.String())
			}
			out = append(out, strings.Join(w, " "))
		}
		return out
	}
	assert.Equal(t, []string{"C4 E4", "C4 E4", "C4 E4", "G4"}, bars(d.Score()))
	moved := up(t, d, "M2", transform.RespellAuto)
	assert.Equal(t, []string{"D4 F#4", "D4 F#4", "D4 F#4", "A4"}, bars(read(t, written(t, moved), "moved").Score()))
	assert.Equal(t, doc, string(written(t, up(t, read(t, written(t, moved), "moved"), "-M2", transform.RespellAuto))))
}

// TestHarmonyOfManyKinds: stacked chords in one element all move; an inversion
// without a bass has one (MusicXML 4.0, inversion: 1 is the first inversion,
// so G with inversion 1 has B in the bass).
func TestHarmonyOfManyKinds(t *testing.T) {
	doc := func(harmony string) string {
		return `<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">` +
			`<harmony>` + harmony + `</harmony><note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note></measure></part></score-partwise>`
	}
	stack := doc(`<root><root-step>C</root-step></root><kind>major</kind><root><root-step>F</root-step><root-alter>1</root-alter></root><kind>minor</kind><bass><bass-step>A</bass-step></bass>`)
	moved := string(written(t, up(t, read(t, []byte(stack), "stack"), "M2", transform.RespellAuto)))
	assert.Contains(t, moved, `<root><root-step>D</root-step></root><kind>major</kind><root><root-step>G</root-step><root-alter>1</root-alter></root><kind>minor</kind>`)

	inverted := doc(`<root><root-step>G</root-step></root><kind>major</kind><inversion>1</inversion>`)
	d := read(t, []byte(inverted), "inverted")
	for n := range score.Preorder(d.Score()) {
		if h, ok := n.(*score.Harmony); ok {
			assert.Equal(t, "G/B", h.Chord.String())
		}
	}
	assert.Equal(t, strings.Replace(strings.Replace(inverted, ">G<", ">A<", 1), ">C<", ">D<", 1), string(written(t, up(t, d, "M2", transform.RespellAuto))))
}
