package main

import (
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// answers reads where the answers of a worksheet go that are not to stand
// behind it.
func (r *lessonReader) answers(s *lessonStep, n *yaml.Node) {
	i := slices.IndexFunc(s.flags, func(f setting) bool { return f.flag == "answers" })
	switch p := r.text(n); {
	case p == "":
	case !slices.Contains(s.said, "worksheet"):
		r.fault(r.pos(n), "answers: goes with a worksheet, and "+s.command+" is not asked for one", "say worksheet: true below the command")
	case i >= 0:
		r.fault(s.flags[i].at, "where the answers go is said twice", "leave it out below the command")
	default:
		sheets := len(s.targets)
		var formats []string
		if strings.HasSuffix(p, "/") {
			formats = []string{"html"}
		}
		for j := range s.targets {
			if s.targets[j].is("html") {
				s.targets[j].answers = "none"
			}
		}
		r.target(s, n, p, formats, nil)
		for j := sheets; j < len(s.targets); j++ {
			s.targets[j].answers = "only"
			if _, known := formatOfPath(s.targets[j].path); !s.targets[j].folder && known && !s.targets[j].is("html") {
				r.fault(r.pos(n), fmt.Sprintf("answers are a sheet in html, and %s is none", p), "end the name with .html")
			}
		}
	}
}

// formatsOf finds flags that are about a format which the step does not make.
func (r *lessonReader) formatsOf(s *lessonStep) {
	for _, f := range s.flags {
		format, only := formatOfFlag(f.flag)
		off := slices.Equal(f.values, []string{"false"})
		if only && !off && !slices.ContainsFunc(s.targets, func(t stepTarget) bool { return t.is(format) }) {
			form, _ := formatNamed(format)
			r.fault(f.at, fmt.Sprintf("%s is about %s, which this step does not make", f.flag, form.about),
				fmt.Sprintf("say to: NAME%s, or with a folder as: %s", form.extensions[0], format))
		}
	}
}

// formatOfFlag returns the only format that a flag is about.
func formatOfFlag(flag string) (format string, only bool) {
	switch flag {
	case "worksheet", "answers":
		return "html", true
	case "loop", "count-in", "click", "backing", "swing":
		return "mid", true
	case "pixels":
		return "png", true
	}
	return "", false
}
