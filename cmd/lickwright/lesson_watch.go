package main

import (
	"io"
	"sync"

	"example.org/lickwright/score"
)

// A watch is told what a step makes, says and leaves undone.
type watch struct {
	promises map[string]promise // by path
	order    []string           // of the paths
	notDone  int
	said     map[score.Diagnostic]bool // by the step, whose targets are made one by one
	sources  *remarks
}

func (w *watch) delivered(path string, p promise) {
	w.promises[path] = p
	w.order = append(w.order, path)
}

// remarks are what reading the files of a lesson has told. They are the same
// for every step that reads a file, so they are said once, and not as a
// step's own. They may be added to at once.
type remarks struct {
	to    io.Writer
	guard sync.Mutex
	said  map[score.Diagnostic]bool // false: told, and not said yet
}

// read is told what reading a file tells. The watch may be nil.
func (w *watch) read(d score.Diagnostic) {
	if w == nil {
		return
	}
	w.sources.guard.Lock()
	defer w.sources.guard.Unlock()
	if _, ok := w.sources.said[d]; !ok {
		w.sources.said[d] = false
	}
}

// unsaid says of diagnostics what was not said before: those of reading to
// whom the lesson talks, the others to the step's own.
func (w *watch) unsaid(ds score.Diagnostics, step io.Writer, say func(io.Writer, score.Diagnostics)) {
	w.sources.guard.Lock()
	defer w.sources.guard.Unlock()
	var read, made score.Diagnostics
	for _, d := range ds {
		said, ofReading := w.sources.said[d]
		switch {
		case ofReading && !said:
			w.sources.said[d] = true
			read = append(read, d)
		case !ofReading && !w.said[d]:
			made = append(made, d)
		}
	}
	for _, d := range made {
		w.said[d] = true
	}
	say(w.sources.to, read)
	say(step, made)
}
