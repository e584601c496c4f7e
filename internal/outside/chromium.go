package outside

import (
	"os"
	"os/exec"
	"testing"
)

// ChromiumPath is the environment variable that says where Chromium is, if
// not in the PATH under one of its usual names.
const ChromiumPath = "LICKWRIGHT_CHROMIUM"

// Chromium returns the path of a Chromium, which reads a page as a browser
// does.
func Chromium(t testing.TB) string {
	t.Helper()
	if path := os.Getenv(ChromiumPath); path != "" {
		return path
	}
	for _, name := range []string{"chromium", "chromium-browser"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	Absent(t, "no Chromium on this machine; "+ChromiumPath+" says where it is")
	return ""
}
