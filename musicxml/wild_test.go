package musicxml_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/musicxml"
	"example.org/lickwright/score"
	"example.org/lickwright/transform"
)

// TestTheWild reads what was counted in files that others wrote (the README of
// the shared data lists it): all of it reads, survives untouched, and moves.
func TestTheWild(t *testing.T) {
	const note = `<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type></note>`
	bar := func(music string) string {
		return `<score-partwise version="3.0"><part-list><score-part id="P1"><part-name>x</part-name>` +
			`<midi-instrument id="P1-I1"><midi-program>0</midi-program></midi-instrument></score-part></part-list>` +
			`<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>` + music + `</measure></part></score-partwise>`
	}
	harmony := func(kind string) string {
		return `<harmony><root><root-step>C</root-step></root>` + kind + `</harmony>` + note
	}
	for _, tc := range []struct{ name, xml, want string }{
		{"no prolog, program 0", bar(note), "D4"},
		{"CRLF", "<?xml version=\"1.0\"?>\r\n" + strings.ReplaceAll(bar(note), "><", ">\r\n<"), "D4"},
		{"a font size with a comma, an unknown attribute", bar(strings.Replace(note, "<note>", `<note font-size="9,2" x-unknown="1">`, 1)), "D4"},
		{"duration 0", bar(strings.Replace(note, "<duration>1", "<duration>0", 1) + note), "D4 D4"},
		{"negative duration", bar(strings.Replace(note, "<duration>1", "<duration>-1", 1)), "D4"},
		{"children in the wrong order", bar(`<note><type>quarter</type><voice>1</voice><duration>1</duration><pitch><octave>4</octave><step>C</step></pitch></note>`), "D4"},
		{"accidental before type", bar(`<note><pitch><alter>1</alter><step>C</step><octave>4</octave></pitch><accidental>sharp</accidental><duration>1</duration></note>`), "D#4"},
		{"chord without a note before", bar(strings.Replace(note, "<note>", "<note><chord/>", 1)), "D4"},
		{"a kind that the standard has not", bar(harmony(`<kind text="aug9">augmented-ninth</kind>`)), "Daug9 D4"},
		{"another", bar(harmony(`<kind>minor-major</kind>`)), "Dm(maj7) D4"},
		{"an empty kind", bar(harmony(`<kind/>`)), "D D4"},
		{"no kind", bar(harmony(``)), "D D4"},
		{"a harmony by function", bar(`<harmony><function>V</function><kind>major</kind></harmony>` + note), "D4"},
		{"no voice, no type", bar(`<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note>`), "D4"},
		{"an empty part", bar(""), ""},
		{"staff and fret that are no numbers", bar(strings.Replace(note, "</note>", `<staff>one</staff><notations><technical><string>x</string><fret>?</fret></technical></notations></note>`, 1)), "D4"},
		{"a string beyond the neck", bar(strings.Replace(note, "</note>", `<notations><technical><string>99</string><fret>1</fret></technical></notations></note>`, 1)), "D4"},
		{"a divisions of 0", strings.Replace(bar(note), "<divisions>1", "<divisions>0", 1), "D4"},
		{"voices with names", bar(strings.Replace(note, "<voice>1", "<voice>lead", 1)), "D4"},
		{"two parts of one id", strings.Replace(bar(note), "</part>", `</part><part id="P1"><measure number="1">`+note+`</measure></part>`, 1), "D4 D4"},
		{"a part that the list has not", strings.Replace(bar(note), `<part id="P1">`, `<part id="P9">`, 1), "D4"},
		{"foreign elements", bar(`<x:thing xmlns:x="urn:x"><note/></x:thing>` + note), "D4"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			d, err := musicxml.Read(strings.NewReader(tc.xml), "wild", score.ReadOptions{})
			require.NoError(t, err)
			same, err := d.Apply(d.Score().Clone())
			require.NoError(t, err)
			assert.Equal(t, tc.xml, string(written(t, same)))
			moved := up(t, d, "M2", transform.RespellAuto)
			var got []string
			for n := range score.Preorder(read(t, written(t, moved), "moved").Score()) {
				switch n := n.(type) {
				case *score.Harmony:
					got = append(got, n.Chord.String())
				case *score.Note:
					got = append(got, n.Pitch.String())
				}
			}
			assert.Equal(t, tc.want, strings.Join(got, " "))
			back := up(t, read(t, written(t, moved), "moved"), "-M2", transform.RespellAuto)
			assert.Equal(t, canonical(tc.xml), canonical(string(written(t, back))))
			var b bytes.Buffer
			assert.NoError(t, musicxml.Write(&b, d.Score(), score.WriteOptions{}))
		})
	}
}

// canonical leaves out what a move may write otherwise: layout of white space.
func canonical(xml string) string { return strings.Join(strings.Fields(xml), " ") }
