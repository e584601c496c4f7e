// Package outside finds what tests need from outside the repository: shared
// data beside the checkout and reference programs. Where something is absent
// the test is skipped with a message, or fails if LICKWRIGHT_REQUIRE_ALL is
// set, as the continuous integration does.
package outside

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
)

// RequireAll is the environment variable that makes absence a failure.
const RequireAll = "LICKWRIGHT_REQUIRE_ALL"

// Root returns the root folder of the repository.
func Root() string {
	_, file, _, _ := runtime.Caller(0)
	return filepath.Dir(filepath.Dir(filepath.Dir(file)))
}

// Shared returns the path of something in the shared folder beside the
// repository: Shared(t, "data", "musicxml-suite").
func Shared(t testing.TB, elem ...string) string {
	t.Helper()
	path := filepath.Join(append([]string{Root(), "..", "shared"}, elem...)...)
	if _, err := os.Stat(path); err != nil {
		Absent(t, "no "+filepath.Join(elem...)+" in a folder named shared beside the repository")
	}
	return path
}

// Program returns the path of a program.
func Program(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		Absent(t, "no program "+name+" on this machine")
	}
	return path
}

// Absent skips the test because something is not there, or fails it if all
// must be there.
func Absent(t testing.TB, what string) {
	t.Helper()
	if os.Getenv(RequireAll) != "" {
		t.Fatal(what)
	}
	t.Skip(what)
}
