package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/lickwright/internal/outside"
)

const module = "example.org/lickwright/"

// allowed lists what each room of the repository may import, directly or not:
// rooms of ours, and modules of others beyond the standard library. A room's
// own sub-packages are its own business.
func allowed() map[string][]string {
	model := []string{"score", "theory", "theory/fretboard", "internal/typo", "golang.org/x/text"}
	return map[string][]string{
		"internal/typo":    nil,
		"theory":           {"internal/typo"},
		"theory/fretboard": {"theory", "internal/typo"},
		"score":            {"theory", "theory/fretboard", "internal/typo"},
		"transform":        {"score", "theory", "theory/fretboard", "internal/typo"},
		"musicxml":         append([]string{"github.com/beevik/etree"}, model...),
		"tabtext":          model,
		"internal/prove":   model, // and nothing that makes lessons
		"render":           append([]string{"golang.org/x/image", "golang.org/x/sys", "gitlab.com/gomidi/midi/v2"}, model...),
	}
}

// Arrows run one way: cmd → {musicxml, tabtext, render, transform} → score →
// theory/fretboard → theory. Formats import neither each other nor transform.
func TestImportsRunOneWay(t *testing.T) {
	list := exec.Command("go", "list", "-deps", "-f", `{{if not .Standard}}{{.ImportPath}} {{join .Deps " "}}{{end}}`, "./...")
	list.Dir = outside.Root()
	out, err := list.Output()
	require.NoError(t, err)
	rooms := allowed()
	checked := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		pkg, ours := strings.CutPrefix(fields[0], module)
		room := roomOf(pkg, rooms)
		if !ours || room == "" {
			continue
		}
		checked[room] = true
		for _, dep := range fields[1:] {
			name, mine := strings.CutPrefix(dep, module)
			switch {
			case !mine && !strings.Contains(strings.Split(dep, "/")[0], "."):
				continue // the standard library
			case mine && (name == room || strings.HasPrefix(name, room+"/")) && room != "theory":
				continue
			}
			ok := slices.ContainsFunc(rooms[room], func(may string) bool {
				return name == may || !mine && strings.HasPrefix(dep+"/", may+"/")
			})
			assert.True(t, ok, "%s must not reach %s", pkg, name)
		}
	}
	for _, room := range []string{"theory", "theory/fretboard", "score", "transform", "musicxml", "tabtext"} {
		assert.True(t, checked[room], "%s was not looked at", room)
	}
}

// roomOf finds the room that a package is in, the longest name first.
func roomOf(pkg string, rooms map[string][]string) string {
	best := ""
	for room := range rooms {
		if (pkg == room || strings.HasPrefix(pkg, room+"/")) && len(room) > len(best) {
			best = room
		}
	}
	return best
}
