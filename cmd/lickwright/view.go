package main

import (
	"encoding/json"
	"strings"

	"example.org/lickwright/theory"
)

// A view is what a command found out, written as text for people; its exported
// fields are what --json writes.
type view interface{ write(text *strings.Builder) }

// show writes a view as text or as JSON.
func (a *app) show(asJSON bool, v view) error {
	var text strings.Builder
	v.write(&text)
	return a.writeView(asJSON, v, &text)
}

// writeView writes a value as JSON or the text that was made of it.
func (a *app) writeView(asJSON bool, value any, text *strings.Builder) error {
	if !asJSON {
		trimLines(text)
		return writeAll(a.out, []byte(text.String()))
	}
	data, err := json.MarshalIndent(value, "", "  ")
	if err != nil {
		return err
	}
	return writeAll(a.out, append(data, '\n'))
}

// namesOf writes note names, with the signs that are typed.
func namesOf(ns []theory.NoteName) []string {
	out := make([]string, len(ns))
	for i, n := range ns {
		out[i] = n.String()
	}
	return out
}

func degreesOf(ds []theory.Degree) []string {
	out := make([]string, len(ds))
	for i, d := range ds {
		out[i] = d.String()
	}
	return out
}
