package handout

import (
	"fmt"
	"strings"

	"example.org/lickwright/render/internal/engrave"
	"example.org/lickwright/render/internal/ink"
)

// A look is how a path is drawn.
type look struct {
	class  string
	stroke float64
	dashed bool
}

// A face is how a text is written.
type face struct {
	class        string
	size         float64
	bold, italic bool
	anchor       engrave.Anchor
}

// Looks are the looks and faces that a page uses. Each is written once, as a
// rule of the page's style sheet, and has a class: what its lines or texts are
// for, with a number where that is drawn in several ways.
type looks struct {
	classes map[any]string // of looks and faces
	taken   map[string]int
	rules   strings.Builder
}

func newLooks() *looks { return &looks{classes: map[any]string{}, taken: map[string]int{}} }

// css returns the rules of what was used.
func (l *looks) css() string { return l.rules.String() }

// class gives a look or a face its class, and says whether it is new.
func (l *looks) class(key any, name string) (class string, isNew bool) {
	if class, ok := l.classes[key]; ok {
		return class, false
	}
	class = name
	if l.taken[name]++; l.taken[name] > 1 {
		class = fmt.Sprintf("%s-%d", name, l.taken[name])
	}
	l.classes[key] = class
	return class, true
}

// ofPath returns the class of a look.
func (l *looks) ofPath(k look) string {
	class, isNew := l.class(k, k.class)
	if !isNew {
		return class
	}
	if k.stroke == 0 {
		fmt.Fprintf(&l.rules, ".tab .%s { fill: %s }\n", class, hexOf(colorOf(k.class)))
		return class
	}
	fmt.Fprintf(&l.rules, ".tab .%s { fill: none; stroke: %s; stroke-width: %s", class, hexOf(colorOf(k.class)), number(k.stroke))
	if k.dashed {
		l.rules.WriteString("; stroke-dasharray: 4 3")
	}
	l.rules.WriteString(" }\n")
	return class
}

// ofText returns the class of a face. Names of two words, which say of what
// kind a label is, keep the second.
func (l *looks) ofText(f face) string {
	name, kind, _ := strings.Cut(f.class, " ")
	f.class = name
	class, isNew := l.class(f, name)
	if isNew {
		// all of it, since a run may lie in a row of another face
		weight, slant := "400", "normal"
		if f.bold {
			weight = "700"
		}
		if f.italic {
			slant = "italic"
		}
		anchor := map[engrave.Anchor]string{ink.Start: "start", ink.Middle: "middle", ink.End: "end"}[f.anchor]
		fmt.Fprintf(&l.rules, ".tab .%s { fill: %s; font-size: %spx; font-weight: %s; font-style: %s; text-anchor: %s }\n",
			class, hexOf(colorOf(name)), number(f.size), weight, slant, anchor)
	}
	if kind != "" {
		class += " " + kind
	}
	return class
}

func hexOf(c ink.Color) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }
