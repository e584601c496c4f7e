package musicxml

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
	"example.org/lickwright/score"
	"example.org/lickwright/theory"
)

// schema is the MusicXML 4.0 schema of the W3C.
func schema(t *testing.T) *etree.Document {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(outside.Shared(t, "data", "musicxml-schema"), "musicxml-local.xsd"))
	require.NoError(t, err)
	doc := etree.NewDocument()
	require.NoError(t, doc.ReadFromBytes(data))
	return doc
}

// elementsOf lists the names of all elements in a complex type or group.
func elementsOf(t *testing.T, doc *etree.Document, kind, name string) []string {
	t.Helper()
	ct := doc.FindElement("//xs:" + kind + "[@name='" + name + "']")
	require.NotNil(t, ct)
	var names []string
	for _, e := range ct.FindElements(".//xs:element") {
		names = append(names, e.SelectAttrValue("name", ""))
	}
	return names
}

// TestEveryTechniqueIsMapped enumerates the children of <technical> and
// <articulations> in the standard's schema: each is read into the model or
// listed as kept as it is.
func TestEveryTechniqueIsMapped(t *testing.T) {
	doc := schema(t)
	structured := []string{"harmonic", "fingering", "pluck", "fret", "string", "hammer-on", "pull-off", "bend", "tap"}
	technical := elementsOf(t, doc, "complexType", "technical")
	require.Len(t, technical, 31)
	for _, name := range technical {
		_, mark := technicalMarks[name]
		_, kept := keptTechnical[name]
		n := 0
		for _, in := range []bool{mark, kept, slices.Contains(structured, name)} {
			if in {
				n++
			}
		}
		assert.Equal(t, 1, n, "<technical><%s>", name)
	}
	articulations := elementsOf(t, doc, "complexType", "articulations")
	require.Len(t, articulations, 17)
	for _, name := range articulations {
		_, mark := articulationMarks[name]
		_, edge := slideEdges[name]
		_, kept := keptTechnical[name]
		assert.True(t, mark || edge || kept, "<articulations><%s>", name)
	}
	for name := range keptTechnical {
		assert.True(t, slices.Contains(technical, name) || slices.Contains(articulations, name), "kept %s is in the standard", name)
	}
}

// TestEveryMarkIsWritten: each mark of the model has a sign in MusicXML, and
// reading that sign gives the mark.
func TestEveryMarkIsWritten(t *testing.T) {
	for _, m := range score.Marks() {
		te, ok := elementOf(m, 1)
		assert.True(t, ok || inNote(m), "mark %v", m)
		if ok {
			assert.NotEmpty(t, te.elems)
		}
	}
}

// TestNamesOfTheStandard: what we write by name is in the schema.
func TestNamesOfTheStandard(t *testing.T) {
	doc := schema(t)
	assert.ElementsMatch(t, dynamicNames, slices.DeleteFunc(elementsOf(t, doc, "complexType", "dynamics"), func(s string) bool { return s == "other-dynamics" }))
	values := func(typ string) (out []string) {
		for _, e := range doc.FindElements("//xs:simpleType[@name='" + typ + "']//xs:enumeration") {
			out = append(out, e.SelectAttrValue("value", ""))
		}
		return out
	}
	types := values("note-type-value")
	require.NotEmpty(t, types)
	for _, v := range types {
		assert.True(t, noteValue(v).Known, v)
	}
	assert.Len(t, noteTypes, len(types))
	accidentals := values("accidental-value")
	for _, m := range []map[int]string{plainAccidentals, quarterAccidentals} {
		for _, v := range m {
			assert.Contains(t, accidentals, v)
		}
	}
	for _, base := range []int{-2, -1, 0, 1, 2} {
		for _, arrow := range []string{"-up", "-down"} {
			assert.Contains(t, accidentals, plainAccidentals[base]+arrow)
		}
	}
	// The order of a note's children is that of the type "note" and the groups
	// in it, as noteOrder has it: each pair that the schema orders.
	note := doc.FindElement("//xs:complexType[@name='note']")
	var order []string
	for _, e := range note.FindElements("./xs:sequence/*") {
		if n := e.SelectAttrValue("name", ""); n != "" {
			order = append(order, n)
		}
	}
	require.Contains(t, order, "notations")
	last := -1
	for _, n := range order {
		i := slices.Index(noteOrder, n)
		require.GreaterOrEqual(t, i, 0, n)
		assert.Greater(t, i, last, n)
		last = i
	}
	kinds := values("kind-value")
	assert.Subset(t, kinds, theory.Kinds())
}
