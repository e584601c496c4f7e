package musicxml

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/require"
)

// Generated returns a one-part partwise document with so many notes.
func Generated(notes int) []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<score-partwise version="4.0">
  <part-list>
    <score-part id="P1">
      <part-name>Guitar</part-name>
    </score-part>
  </part-list>
  <part id="P1">
`)
	const steps = "CDEFGAB"
	for i := range notes {
		if i%8 == 0 {
			if i > 0 {
				b.WriteString("    </measure>\n")
			}
			fmt.Fprintf(&b, "    <measure number=\"%d\" width=\"240\">\n", i/8+1)
			if i == 0 {
				b.WriteString("      <attributes>\n        <divisions>2</divisions>\n        <key>\n          <fifths>1</fifths>\n          <mode>major</mode>\n        </key>\n        <time>\n          <beats>4</beats>\n          <beat-type>4</beat-type>\n        </time>\n        <clef>\n          <sign>G</sign>\n          <line>2</line>\n        </clef>\n      </attributes>\n")
			}
			b.WriteString("      <harmony default-y=\"40\">\n        <root>\n          <root-step>A</root-step>\n        </root>\n        <kind text=\"m7\">minor-seventh</kind>\n      </harmony>\n")
		}
		step := steps[i*5%7 : i*5%7+1]
		fmt.Fprintf(&b, "      <note default-x=\"%d\">\n        <pitch>\n          <step>%s</step>\n", 20+i%8*25, step)
		if step == "F" {
			b.WriteString("          <alter>1</alter>\n")
		}
		fmt.Fprintf(&b, "          <octave>%d</octave>\n        </pitch>\n        <duration>1</duration>\n        <voice>1</voice>\n        <type>eighth</type>\n        <stem>up</stem>\n      </note>\n", 4+i%2)
	}
	b.WriteString("    </measure>\n  </part>\n</score-partwise>\n")
	return b.Bytes()
}

// BenchmarkIndexDesigns compares the flat element records with a tree of
// etree elements and a span for each, built in the same kind of loop, and
// with etree's own reading: the measurement by which the flat one was chosen.
func BenchmarkIndexDesigns(b *testing.B) {
	text := Generated(20_000)
	b.Run("flat", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			if _, err := buildIndex(text); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("etree+spans", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			if n := etreeWithSpans(text); n == 0 {
				b.Fatal("nothing read")
			}
		}
	})
	b.Run("etree", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			if err := etree.NewDocument().ReadFromBytes(text); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("tokens", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			dec := xml.NewDecoder(bytes.NewReader(text))
			for {
				if _, err := dec.RawToken(); err == io.EOF {
					break
				} else if err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}

// etreeWithSpans is the design that was not chosen; it returns the number of
// spans.
func etreeWithSpans(text []byte) int {
	type span struct{ start, end int64 }
	spans := map[*etree.Element]span{}
	doc := etree.NewDocument()
	cur := &doc.Element
	dec := xml.NewDecoder(bytes.NewReader(text))
	for {
		start := dec.InputOffset()
		tok, err := dec.RawToken()
		if err != nil {
			return len(spans)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			cur = cur.CreateElement(tok.Name.Local)
			for _, a := range tok.Attr {
				cur.CreateAttr(a.Name.Local, a.Value)
			}
			spans[cur] = span{start: start}
		case xml.EndElement:
			s := spans[cur]
			s.end = dec.InputOffset()
			spans[cur] = s
			cur = cur.Parent()
		case xml.CharData:
			cur.CreateText(string(tok))
		}
	}
}

func TestIndexSpans(t *testing.T) {
	const src = `<?xml version='1.0'?><!-- c --><a x="1&amp;2"><b/><c>t &lt; u</c><d><![CDATA[<e>]]></d></a>`
	x, err := buildIndex([]byte(src))
	require.NoError(t, err)
	var got []string
	for i := range x.elems {
		e := x.elems[i]
		got = append(got, src[e.start:e.end]+" = "+x.content(int32(i)))
	}
	require.Equal(t, []string{
		src[strings.Index(src, "<a"):] + " = ",
		"<b/> = ",
		"<c>t &lt; u</c> = t < u",
		"<d><![CDATA[<e>]]></d> = <e>",
	}, got)
	require.Equal(t, "1&2", x.attrOr(0, "x"))
}
