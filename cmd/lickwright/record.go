package main

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
)

// recordName is the file in the output folder in which --skip-unchanged
// remembers what was made from what.
const recordName = ".lickwright-record"

// A recordEntry says what was made of a source. A record is one of them a
// line, as JSON; the last one about a source counts.
type recordEntry struct {
	Source  string            `json:"source"` // below the folder it was found in, with slashes
	Key     string            `json:"key"`    // checksum of the source, the program and its flags
	NotDone int               `json:"notDone,omitempty"`
	Files   map[string]string `json:"files"` // checksums by path below the output folder, with slashes
}

// A record is what is known of a folder. Its methods may be called at once.
type record struct {
	dir     string
	command []byte
	mu      sync.Mutex
	entries map[string]recordEntry
	owner   map[string][]string // checksums that files were made with, by path
	file    *os.File            // that entries are added to
}

// openRecord reads the record of a folder. What cannot be read of it, such as
// the last line of a run that was killed, is taken for not there: what it
// says is made again.
func openRecord(dir string, command []byte) (*record, error) {
	r := &record{dir: dir, command: command, entries: map[string]recordEntry{}, owner: map[string][]string{}}
	data, err := os.ReadFile(filepath.Join(dir, recordName))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, &fileError{filepath.Join(dir, recordName), "cannot be read: " + plain(err), "remove it to make everything again"}
	}
	for line := range bytes.Lines(data) {
		var e recordEntry
		if json.Unmarshal(line, &e) == nil && e.Source != "" {
			r.take(e)
		}
	}
	return r, nil
}

func (r *record) take(e recordEntry) {
	r.entries[e.Source] = e
	for path, sum := range e.Files {
		r.owner[path] = append(r.owner[path], sum)
	}
}

// keyOf returns the key of a source with this content.
func (r *record) keyOf(data []byte) string {
	sum := sha256.New()
	sum.Write(r.command)
	sum.Write([]byte{0})
	sum.Write(data)
	return hex.EncodeToString(sum.Sum(nil))
}

// upToDate returns the entry of a source if everything that was made of it is
// there as it was made, nil if not.
func (r *record) upToDate(src source, key string) *recordEntry {
	r.mu.Lock()
	e, ok := r.entries[src.base+filepath.Ext(src.path)]
	r.mu.Unlock()
	if !ok || e.Key != key {
		return nil
	}
	for path, want := range e.Files {
		if sumOfFile(filepath.Join(r.dir, filepath.FromSlash(path))) != want {
			return nil
		}
	}
	return &e
}

// owns tells whether a file is as it was made by an earlier run, so that it
// may be made again. A nil record owns nothing.
func (r *record) owns(path string) bool {
	if r == nil {
		return false
	}
	rel, err := filepath.Rel(r.dir, path)
	if err != nil {
		return false
	}
	r.mu.Lock()
	sums := r.owner[filepath.ToSlash(rel)]
	r.mu.Unlock()
	return len(sums) > 0 && slices.Contains(sums, sumOfFile(path))
}

func sumOfFile(path string) string {
	data, err := os.ReadFile(path)
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

func sumsOf(dir string, files []stagedFile) map[string]string {
	sums := map[string]string{}
	for _, f := range files {
		rel, err := filepath.Rel(dir, f.path)
		if err == nil {
			sums[filepath.ToSlash(rel)] = hex.EncodeToString(f.sum[:])
		}
	}
	return sums
}

// add remembers an entry, at once. It is called before the files take their
// names: if the run is killed in between, the next one finds that some are not
// there or are those of the entry before, and knows that all are ours.
func (r *record) add(e recordEntry) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.take(e)
	path := filepath.Join(r.dir, recordName)
	if r.file == nil {
		if err := os.MkdirAll(r.dir, 0o777); err != nil {
			return wrapFile(r.dir, err)
		}
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o666)
		if err != nil {
			return wrapFile(path, err)
		}
		r.file = f
		if _, err := f.WriteString("\n"); err != nil { // a line that a killed run began
			return wrapFile(path, err)
		}
	}
	line, err := json.Marshal(e)
	if err != nil {
		return err
	}
	_, err = r.file.Write(append(line, '\n'))
	return wrapFile(path, err)
}

// close writes the record anew, sorted, so that it does not tell in how many
// runs it came about.
func (r *record) close() {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.file == nil {
		return
	}
	_ = r.file.Close() // everything that it should hold is written again
	var b bytes.Buffer
	all := make([]recordEntry, 0, len(r.entries))
	for _, e := range r.entries {
		all = append(all, e)
	}
	slices.SortFunc(all, func(a, b recordEntry) int { return cmp.Compare(a.Source, b.Source) })
	for _, e := range all {
		if line, err := json.Marshal(e); err == nil {
			b.Write(append(line, '\n'))
		}
	}
	_ = writeAtomic(filepath.Join(r.dir, recordName), b.Bytes()) // the lines that were added say the same
}
