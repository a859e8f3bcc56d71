package tried

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
)

// told is a test that remembers how it ended.
type told struct {
	testing.TB
	skipped, failed string
}

func (t *told) Helper() {}

func (t *told) Skip(args ...any) {
	t.skipped = fmt.Sprint(args...)
	runtime.Goexit()
}

func (t *told) Fatalf(format string, args ...any) {
	t.failed = fmt.Sprintf(format, args...)
	runtime.Goexit()
}

// end runs a test to its end.
func end(do func(t testing.TB)) *told {
	t, done := &told{}, make(chan struct{})
	go func() {
		defer close(done)
		do(t)
	}()
	<-done
	return t
}

func TestAMissingProgramSkipsOrFails(t *testing.T) {
	const missing = "no-such-program"
	path := ""
	with := func(t testing.TB) { With(t, missing) }
	orNot := func(t testing.TB) { path = WithOrNot(t, missing) }
	t.Setenv("HEADTALLY_NEED_TOOLS", "")
	if got := end(with); !strings.Contains(got.skipped, missing) || got.failed != "" {
		t.Errorf("with: %+v", got)
	}
	if got := end(orNot); got.skipped+got.failed+path != "" {
		t.Errorf("with or not: %+v, %q", got, path)
	}
	t.Setenv("HEADTALLY_NEED_TOOLS", "1")
	for _, do := range []func(testing.TB){with, orNot} {
		if got := end(do); got.skipped != "" || !strings.Contains(got.failed, missing) {
			t.Errorf("needed: %+v", got)
		}
	}
	if got := end(func(t testing.TB) { path = With(t, missing, "go") }); got.skipped+got.failed != "" || !strings.HasSuffix(path, "go") {
		t.Errorf("under another name: %+v, %q", got, path)
	}
}

func TestTimes(t *testing.T) {
	for told, want := range map[string]int{"": 3, "long": 1000, "25": 25} {
		t.Setenv("HEADTALLY_TRIAL", told)
		if got := Times(t, 3, 1000); got != want {
			t.Errorf("%q: %d times, want %d", told, got, want)
		}
	}
	for _, wrong := range []string{"short", "0", "-1", "1.5"} {
		t.Setenv("HEADTALLY_TRIAL", wrong)
		if got := end(func(t testing.TB) { Times(t, 3, 1000) }); got.failed == "" {
			t.Errorf("%q is taken", wrong)
		}
	}
}
