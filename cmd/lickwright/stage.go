package main

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
)

// stageName is the folder, inside of the output folder, in which files wait
// until they may take their names. It is there only while files are made;
// what a killed run left in it is removed by the next.
const stageName = ".lickwright-unfinished"

// A stage is where results wait. Its methods may be called at once.
type stage struct {
	into  string // the output folder
	dir   string
	made  sync.Once
	err   error // of making it
	count atomic.Int64
	over  atomic.Bool
	// disk is held by who makes a file or gives files their names: file systems
	// let only one do so in a folder, and who waits for them keeps a core busy.
	disk sync.Mutex
}

// newStage makes ready to write into a folder, which it makes when the first
// result is there.
func newStage(into string) (*stage, error) {
	if info, err := os.Stat(into); err == nil && !info.IsDir() {
		return nil, &fileError{into, "it is a file", "name a folder with -d"}
	}
	s := &stage{into: into, dir: filepath.Join(into, stageName)}
	return s, wrapFile(s.dir, os.RemoveAll(s.dir))
}

// abandon makes what is still being staged stop.
func (s *stage) abandon() { s.over.Store(true) }

// stopped returns an error once the stage is abandoned.
func (s *stage) stopped() error {
	if s.over.Load() {
		return errInterrupted
	}
	return nil
}

// close removes all that did not take its name.
func (s *stage) close() { _ = os.RemoveAll(s.dir) } // the next run tries again

// A stagedFile is a result that waits for its name.
type stagedFile struct {
	path string // that it is to have
	temp string
	sum  [sha256.Size]byte
	// promise is what it claims.
	promise promise
}

// put stages a result. It is not flushed to the disk itself: a run that is
// interrupted leaves whole files, and 144,000 flushes take minutes.
func (s *stage) put(out output) (stagedFile, error) {
	if err := s.stopped(); err != nil {
		return stagedFile{}, err
	}
	s.made.Do(func() { s.err = os.MkdirAll(s.dir, 0o777) })
	if s.err != nil {
		return stagedFile{}, wrapFile(s.into, s.err)
	}
	f := stagedFile{path: out.path, temp: filepath.Join(s.dir, strconv.FormatInt(s.count.Add(1), 10)), sum: sha256.Sum256(out.data), promise: out.promise}
	s.disk.Lock()
	defer s.disk.Unlock()
	return f, wrapFile(f.path, os.WriteFile(f.temp, out.data, 0o666))
}

// id stands for the path in eight bytes, of which two paths have the same only
// by a chance of one to 2⁶⁴ divided by their number.
func (f stagedFile) id() uint64 {
	sum := sha256.Sum256([]byte(filepath.Clean(f.path)))
	return binary.BigEndian.Uint64(sum[:])
}

// commit gives the file its name. What stands there keeps its mode, and a
// link is followed.
func (f stagedFile) commit() error {
	if err := os.MkdirAll(filepath.Dir(f.path), 0o777); err != nil {
		return wrapFile(filepath.Dir(f.path), err)
	}
	if _, err := os.Lstat(f.path); err == nil { // a file, a link or a device
		data, err := os.ReadFile(f.temp)
		if err == nil {
			err = writeAtomic(f.path, data)
		}
		return err
	}
	return wrapFile(f.path, os.Rename(f.temp, f.path))
}

// programSum is the checksum of the program that runs, "" if it cannot be
// read: another program may make other results.
var programSum = sync.OnceValue(func() string {
	path, err := os.Executable()
	if err != nil {
		return ""
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
})
