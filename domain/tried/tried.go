// Package tried says what a test may go without and how often it is done, the
// same for every test: outside programs, and the length of trials.
package tried

import (
	"cmp"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"testing"
)

// Without leaves a test out that cannot be done on this machine, and says why.
// Where HEADTALLY_NEED_TOOLS is set the test fails instead.
func Without(t testing.TB, why string) {
	t.Helper()
	missed(t, why)
	t.Skip(why)
}

func missed(t testing.TB, why string) {
	t.Helper()
	if os.Getenv("HEADTALLY_NEED_TOOLS") != "" {
		t.Fatalf("%s, and HEADTALLY_NEED_TOOLS asks for it", why)
	}
}

// With finds an outside program by the first of its names that is there, or does
// as Without.
func With(t testing.TB, names ...string) (path string) {
	t.Helper()
	path, why := find(names)
	if path == "" {
		Without(t, why)
	}
	return path
}

// WithOrNot is With for a test of which only a part asks the program: "" says
// that it is not there.
func WithOrNot(t testing.TB, names ...string) (path string) {
	t.Helper()
	path, why := find(names)
	if path == "" {
		missed(t, why)
	}
	return path
}

// packaged are the Debian packages of programs that have another name.
var packaged = map[string]string{
	"cbc": "coinor-cbc", "glpsol": "glpk-utils", "pdftoppm": "poppler-utils", "pdftotext": "poppler-utils",
	"soffice": "libreoffice-calc", "zbarimg": "zbar-tools",
}

func find(names []string) (path, why string) {
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path, ""
		}
	}
	return "", fmt.Sprintf("%s is not installed (Debian's package %s)", names[0], cmp.Or(packaged[names[0]], names[0]))
}

// Times is how often a trial is done: a few times with every run of the tests,
// as often as its promise says where HEADTALLY_TRIAL=long, or so many times
// where it is a number.
func Times(t testing.TB, few, long int) int {
	t.Helper()
	switch told := os.Getenv("HEADTALLY_TRIAL"); told {
	case "":
		return few
	case "long":
		return long
	default:
		n, err := strconv.Atoi(told)
		if err != nil || n < 1 {
			t.Fatalf("HEADTALLY_TRIAL is long, or how often: %q", told)
		}
		return n
	}
}
