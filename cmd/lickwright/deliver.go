package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.org/lickwright/score"
	"example.org/lickwright/score/compare"
)

// An output is a text to be written.
type output struct {
	path string // "" for standard output
	data []byte
	from *input
	was  []byte // what it is compared with by --diff
	// music is what --diff compares with the input's, and what the format it
	// is shown in cannot hold.
	music *score.Score
	lacks compare.Lacks
	// promise is what the file claims, for the manifest of a lesson.
	promise promise
}

// outputFormat returns the format that results are to have.
func (j *job) outputFormat(in *input) (format, error) {
	if j.write.as != "" {
		return formatNamed(j.write.as)
	}
	if j.write.output != "" && j.write.output != "-" {
		f, ok := formatOfPath(j.write.output)
		if !ok && filepath.Ext(j.write.output) != "" {
			return f, &usageError{fmt.Sprintf("-o: the extension of %q names no format", j.write.output), "say --as " + formatNames()}
		}
		if ok {
			return f, nil
		}
	}
	return in.format, nil
}

func nonEmpty(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

// deliver writes the outputs, or shows what they change. Nothing is written
// if one of them cannot be.
func (j *job) deliver(outs []output) (changed bool, err error) {
	if j.write.diff {
		return j.showChanges(outs)
	}
	if j.write.dir != "" {
		if err := os.MkdirAll(j.write.dir, 0o777); err != nil {
			return false, wrapFile(j.write.dir, err)
		}
	}
	taken := map[string]string{}
	for _, o := range outs {
		if o.path == "" {
			continue
		}
		if other, ok := taken[o.path]; ok {
			return false, &fileError{o.path, fmt.Sprintf("both %s and %s would be written to it", other, o.from.name), "write them into different folders"}
		}
		taken[o.path] = o.from.name
		if err := checkTarget(o.path, j.write.force); err != nil {
			return false, err
		}
	}
	for _, o := range outs {
		if o.path != "" {
			err = writeAtomic(o.path, o.data)
		} else {
			err = writeAll(j.app.out, o.data)
		}
		if err != nil {
			return false, err
		}
		j.app.delivered(o.path, o.promise)
	}
	if j.write.dir != "" && !j.write.quiet && j.app.watch == nil {
		fmt.Fprintf(j.app.errOut, "%s written to %s\n", plural(len(outs), "file"), j.write.dir)
	}
	return false, nil
}

func writeAll(w io.Writer, data []byte) error {
	if _, err := w.Write(data); err != nil {
		return wrapFile("standard output", err)
	}
	return nil
}

// showChanges prints the difference that each output makes: in the music, and
// line by line in the text.
func (j *job) showChanges(outs []output) (changed bool, err error) {
	for _, o := range outs {
		d, err := unifiedDiff(o.from.name, o.from.name+" (changed)", string(o.was), string(o.data))
		if err != nil {
			return changed, &fileError{o.from.name, err.Error(), "write the result to a file and compare parts of it"}
		}
		changed = changed || d != ""
		if found := compare.Differences(o.from.doc.Score(), o.music, compare.Options{B: o.lacks}); len(found) > 0 {
			d = fmt.Sprintf("%s: %s\n%s", o.from.name, plural(len(found), "difference"), listed(found)) + d
		}
		if j.app.outTTY && j.app.color {
			d = colored(d)
		}
		if err := writeAll(j.app.out, []byte(d)); err != nil {
			return changed, err
		}
	}
	return changed, nil
}
