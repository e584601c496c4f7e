package main

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// recordName is the file in the output folder that remembers what was made
// from what.
const recordName = ".lickwright-record"

// A recordEntry says what was made of a source. A record is one of them a
// line, as JSON; the last one about a source counts.
type recordEntry struct {
	Source  string            `json:"source"` // below the folder it was found in, with slashes; of a lesson the step
	Key     string            `json:"key"`    // checksum of the source, the program and its flags
	NotDone int               `json:"notDone,omitempty"`
	Files   map[string]string `json:"files"` // checksums by path below the output folder, with slashes
	// Promises are what the files of a lesson promise, for its manifest.
	Promises []promise `json:"promises,omitempty"`
}

// A record is what is known of a folder. Only where its entries stand is kept
// in memory, so it takes the same room whatever was made. Its methods may be
// called at once.
type record struct {
	dir     string
	command []byte // what is done, with all that decides about it
	mu      sync.Mutex
	lines   map[string][]stretchOf // of the entries about each source
	file    *os.File               // nil until there is one
	end     int64
	added   bool
	stale   bool // the file has entries that were forgotten
}

// A stretchOf is a stretch of a file.
type stretchOf struct{ from, to int64 }

// openRecord reads the record of a folder. What cannot be read of it, such as
// the last line of a run that was killed, is taken for not there: what it
// says is made again.
func openRecord(dir string, command []byte) (*record, error) {
	r := &record{dir: dir, command: command, lines: map[string][]stretchOf{}}
	f, err := os.OpenFile(r.path(), os.O_RDWR, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return r, nil
	}
	if err != nil {
		return nil, &fileError{r.path(), "cannot be read: " + plain(err), "remove it to make everything again"}
	}
	r.file = f
	in := bufio.NewReader(f)
	for {
		line, err := in.ReadBytes('\n')
		if err != nil && err != io.EOF {
			_ = f.Close() // the first error is the one to tell
			return nil, &fileError{r.path(), "cannot be read: " + plain(err), ""}
		}
		from := r.end
		r.end += int64(len(line))
		var e recordEntry
		if json.Unmarshal(line, &e) == nil && e.Source != "" {
			r.lines[e.Source] = append(r.lines[e.Source], stretchOf{from, r.end})
		}
		if err == io.EOF {
			return r, nil
		}
	}
}

func (r *record) path() string { return filepath.Join(r.dir, recordName) }

// entries reads all entries about a source, the one that counts last.
func (r *record) entries(source string) []recordEntry {
	r.mu.Lock()
	defer r.mu.Unlock()
	var list []recordEntry
	for _, l := range r.lines[source] {
		var e recordEntry
		data := make([]byte, l.to-l.from)
		if _, err := r.file.ReadAt(data, l.from); err == nil && json.Unmarshal(data, &e) == nil {
			list = append(list, e)
		}
	}
	return list
}

// sources lists what there are entries about, in order.
func (r *record) sources() []string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return slices.Sorted(maps.Keys(r.lines))
}

// forget takes out all entries about sources.
func (r *record) forget(sources ...string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, s := range sources {
		delete(r.lines, s)
		r.stale = true
	}
}

// keyOf returns the key of what is made from these contents.
func (r *record) keyOf(contents ...[]byte) string {
	sum := sha256.New()
	for _, c := range append([][]byte{r.command}, contents...) {
		one := sha256.Sum256(c)
		sum.Write(one[:])
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// upToDate returns the entry of a source if everything that was made of it is
// there as it was made, nil if not.
func (r *record) upToDate(source, key string) *recordEntry {
	list := r.entries(source)
	if len(list) == 0 {
		return nil
	}
	e := list[len(list)-1]
	if e.Key != key {
		return nil
	}
	for path, want := range e.Files {
		if sumOfFile(filepath.Join(r.dir, filepath.FromSlash(path))) != want {
			return nil
		}
	}
	return &e
}

// owner returns a function that tells whether a file is as it was made of a
// source by an earlier run, so that it may be made again.
func (r *record) owner(source string) func(path string) bool {
	if r == nil {
		return func(string) bool { return false }
	}
	return r.owned(r.entries(source))
}

// ownerOfAll is owner for all sources whose names begin alike.
func (r *record) ownerOfAll(begins string) func(path string) bool {
	var list []recordEntry
	for _, source := range slices.Sorted(maps.Keys(r.lines)) {
		if strings.HasPrefix(source, begins) {
			list = append(list, r.entries(source)...)
		}
	}
	return r.owned(list)
}

// owned returns a function that tells whether a file is as one of the entries
// says.
func (r *record) owned(list []recordEntry) func(path string) bool {
	return func(path string) bool {
		rel, err := filepath.Rel(r.dir, path)
		if err != nil {
			return false
		}
		sum := ""
		return slices.ContainsFunc(list, func(e recordEntry) bool {
			want, ok := e.Files[filepath.ToSlash(rel)]
			if ok && sum == "" {
				sum = sumOfFile(path)
			}
			return ok && want == sum
		})
	}
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
	if r.file == nil {
		if err := os.MkdirAll(r.dir, 0o777); err != nil {
			return wrapFile(r.dir, err)
		}
		f, err := os.OpenFile(r.path(), os.O_RDWR|os.O_CREATE, 0o666)
		if err != nil {
			return wrapFile(r.path(), err)
		}
		r.file = f
	}
	line, err := json.Marshal(e)
	if err != nil {
		return err
	}
	if !r.added { // after a line that a killed run began
		line = append([]byte("\n"), line...)
	}
	line = append(line, '\n')
	if _, err := r.file.WriteAt(line, r.end); err != nil {
		return wrapFile(r.path(), err)
	}
	from := r.end + int64(bytes.IndexByte(line, '{'))
	r.end += int64(len(line))
	r.lines[e.Source] = append(r.lines[e.Source], stretchOf{from, r.end})
	r.added = true
	return nil
}

// close writes the record anew, one entry for each source and in their order,
// so that it does not tell in how many runs it came about.
func (r *record) close() {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.file == nil {
		return
	}
	if r.added || r.stale {
		r.compact()
	}
	_ = r.file.Close() // nothing waits to be written
}

// compact replaces the file by one without entries that count no more. If
// that fails, the file as it is says the same.
func (r *record) compact() {
	temp, err := os.CreateTemp(r.dir, ".lickwright-record-*")
	if err != nil {
		return
	}
	defer func() { _ = os.Remove(temp.Name()) }() // not there any more if it was renamed
	out := bufio.NewWriter(temp)
	for _, source := range slices.Sorted(maps.Keys(r.lines)) {
		lines := r.lines[source]
		last := lines[len(lines)-1]
		_, err = io.Copy(out, io.NewSectionReader(r.file, last.from, last.to-last.from))
		if err != nil {
			break
		}
	}
	mode := os.Chmod(temp.Name(), 0o644)
	if err = errors.Join(err, mode, out.Flush(), temp.Close()); err == nil {
		_ = os.Rename(temp.Name(), r.path())
	}
}
