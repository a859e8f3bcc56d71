//go:build linux

package trials

import (
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain/tried"
)

// TestThreeYearsAhead runs other tests under a clock that is three years on: the
// standard library they are built with says so. It shows what stops working
// merely because time goes by.
func TestThreeYearsAhead(t *testing.T) {
	if testing.Short() {
		t.Skip("it builds everything anew")
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	const begins = "func Now() Time {\n\tsec, nsec, mono := runtimeNow()\n"
	ahead := change{filepath.Join(strings.TrimSpace(string(root)), "src", "time", "time.go"), begins, begins + "\tsec += 3 * 365.25 * 24 * 3600\n"}
	asked := []string{"./api/book", "./cmd/headtally"}
	if tried.Times(t, 0, 1) > 0 {
		asked = append(asked, "./domain/...", "./planner/...", "./openapi", "./api", "./api/feed", "./api/manual", "./api/prints", "./api/sheets", "./api/v1", "./api/words")
	}
	built.Lock()
	defer built.Unlock()
	bench(t)
	run := exec.Command("go", append([]string{"test", "-short", "-vet=off", "-overlay", overlay(t, "ahead", []change{ahead})}, asked...)...)
	run.Dir = filepath.Join("..", "..", "..")
	out, err := run.CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "ok  \theadtally/cmd/headtally\t")
	t.Logf("%d packages pass three years on", len(regexp.MustCompile(`(?m)^ok `).FindAll(out, -1)))
}
