package main

import (
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// checkTarget tells why a path cannot be written to, before anything is.
func checkTarget(path string, force bool) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return &fileError{path, plain(err), ""}
	case info.IsDir():
		return &fileError{path, "it is a folder", "name a file, or use -d to write into a folder"}
	case info.Mode().IsRegular() && !force:
		return &fileError{path, "the file exists already", "say --force to overwrite it"}
	}
	return nil
}

// writeAtomic writes a file as a whole or not at all: to a new file beside it,
// which then takes its name. An existing file keeps its mode, and a link is
// followed. What is no regular file, such as a device, is written to plainly.
func writeAtomic(path string, data []byte) error {
	mode := fs.FileMode(0o666)
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if info, err := os.Stat(path); err == nil {
		if !info.Mode().IsRegular() {
			return wrapFile(path, os.WriteFile(path, data, mode))
		}
		mode = info.Mode().Perm()
	}
	temp := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+"."+rand.Text()[:8]+".tmp")
	f, err := os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return wrapFile(path, err)
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Chmod(temp, modeAfter(temp, mode, path))
	}
	if err == nil {
		err = os.Rename(temp, path)
	}
	if err != nil {
		_ = os.Remove(temp) // the first error is the one to tell
	}
	return wrapFile(path, err)
}

// modeAfter returns the mode that the finished file is to have: that of the
// file it replaces, else what the process gives to new files.
func modeAfter(temp string, mode fs.FileMode, path string) fs.FileMode {
	if _, err := os.Stat(path); err == nil {
		return mode
	}
	if info, err := os.Stat(temp); err == nil {
		return info.Mode().Perm()
	}
	return mode
}

func wrapFile(path string, err error) error {
	if err == nil {
		return nil
	}
	return &fileError{path, "cannot be written: " + plain(err), ""}
}

// plain returns the reason of a file error without its path and operation.
func plain(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	var le *os.LinkError
	if errors.As(err, &le) {
		return le.Err.Error()
	}
	return err.Error()
}
