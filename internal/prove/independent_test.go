package prove

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The check uses the data that readers give and none of the functions by which
// lessons are made: of theory and theory/fretboard only the types of fields,
// and no method that reckons with pitches or places.
func TestSharesNothingWithTheMakers(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	types := []string{"theory.Pitch", "fretboard.Neck", "fretboard.Place"}
	reckon := []string{"MIDI", "Class", "Transpose", "Simplest", "Stopped", "FretOn", "Places", "Reach", "Fifths", "Degrees", "Tones", "Sounding", "TopFret", "Validate", "HarmonicPlaces"}
	looked := 0
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		looked++
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		for _, i := range f.Imports {
			path := strings.Trim(i.Path.Value, `"`)
			if rest, mine := strings.CutPrefix(path, "example.org/lickwright/"); mine {
				assert.Contains(t, []string{"score", "theory", "theory/fretboard"}, rest, name)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && (x.Name == "theory" || x.Name == "fretboard") {
					assert.Contains(t, types, x.Name+"."+n.Sel.Name, name)
				}
			case *ast.CallExpr:
				if sel, ok := n.Fun.(*ast.SelectorExpr); ok {
					assert.NotContains(t, reckon, sel.Sel.Name, name)
				}
			}
			return true
		})
	}
	assert.Greater(t, looked, 5)
}
