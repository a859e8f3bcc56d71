package judge

import (
	"os"
	"os/exec"
	"testing"
)

// Tool finds an outside program that a test is held against. Without it the
// test is skipped; with HEADTALLY_NEED_TOOLS=1 its absence is a failure.
func Tool(t testing.TB, name string) (path string) {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("HEADTALLY_NEED_TOOLS") == "1" {
		t.Fatalf("%s is not installed and HEADTALLY_NEED_TOOLS=1 asks for it", name)
	}
	t.Skipf("%s is not installed, so nothing is held against it here", name)
	return ""
}
