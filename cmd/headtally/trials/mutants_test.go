//go:build linux

package trials

import (
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain/tried"
)

// mutantRooms are the packages that mutants are put into, those whose tests are to
// kill them, the quickest first, and how many of a hundred must be. Many that live
// in flow change how soon a search ends and not what it finds; in packing, how
// hard it looks for fewer recipes; half of those in the store are in what speaks to
// PostgreSQL or moves a book there, which is tried where there is a server, and
// more in what is done when a call to the database fails.
var mutantRooms = []struct {
	room    string
	killers []string
	least   int
}{
	{"planner/flow", []string{"planner/flow", "planner/allocation"}, 80},
	{"planner/allocation", []string{"planner/allocation", "planner"}, 80},
	{"planner/packing", []string{"planner/packing", "planner"}, 50},
	{"domain", []string{"domain", "planner/orders", "planner/stock", "planner/growth", "planner/sowing", "planner", "domain/store", "api/book"}, 80},
	{"domain/store", []string{"domain/store", "api/book"}, 40},
}

// TestMutantsAreKilled puts small faults into the planner and the records, one at
// a time: a comparison turned round or its edge moved, a condition that never
// holds, a statement left out, "or" for "and", a sum without its second part. The
// short tests are to see most of them; those they do not see are told. A few are
// tried with every run, of flow alone; HEADTALLY_TRIAL is how many of each package,
// long all, and HEADTALLY_MUTANTS names some of the packages.
func TestMutantsAreKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("it builds tests anew")
	}
	few, rooms := 30, mutantRooms
	most := tried.Times(t, few, 1_000_000)
	if most == few {
		rooms = rooms[:1]
	}
	for _, r := range rooms {
		if asked := os.Getenv("HEADTALLY_MUTANTS"); asked != "" && !strings.Contains(" "+asked+" ", " "+r.room+" ") {
			continue
		}
		t.Run(r.room, func(t *testing.T) {
			h := hatch(t, r.room, r.killers)
			random := rand.New(rand.NewPCG(28, 1))
			random.Shuffle(len(h.mutants), func(i, j int) { h.mutants[i], h.mutants[j] = h.mutants[j], h.mutants[i] })
			tries, killed := h.mutants[:min(most, len(h.mutants))], 0
			for n, m := range tries {
				if h.killed(m.number) {
					killed++
				} else {
					t.Log("not killed:", m)
				}
				if (n+1)%50 == 0 {
					t.Logf("%d of %d killed so far", killed, n+1)
				}
			}
			t.Logf("%s: %d of %d mutants killed, %d were made", r.room, killed, len(tries), len(h.mutants))
			require.GreaterOrEqual(t, killed*100, len(tries)*r.least)
		})
	}
}

// hatched are tests built with all mutants of a package in them.
type hatched struct {
	mutants []mutant
	killers []killer
}

type killer struct {
	program, folder string
	args            []string
	most            time.Duration // of a processor's time, after which it hangs for certain
}

// hatch builds the tests with all mutants that the compiler takes, each asleep,
// and sees that the tests pass as long as none is woken.
func hatch(t testing.TB, room string, killers []string) *hatched {
	t.Helper()
	top, err := filepath.Abs(filepath.Join("..", "..", ".."))
	require.NoError(t, err)
	dir, left := t.TempDir(), map[string]bool{}
	h := &hatched{}
	for {
		h.mutants = nil
		overlay := h.write(t, filepath.Join(top, room), dir, left)
		build := exec.Command("go", "build", "-gcflags=-e", "-overlay", overlay, "./"+room)
		build.Dir = top
		said, err := build.CombinedOutput()
		if err == nil {
			break
		}
		more, before := broken(string(said)), len(left)
		maps.Copy(left, more)
		require.Greater(t, len(left), before, "%s", said)
	}
	for i, k := range killers {
		program := filepath.Join(dir, fmt.Sprint(i, ".test"))
		build := exec.Command("go", "test", "-c", "-vet=off", "-o", program, "-overlay", filepath.Join(dir, "overlay.json"), "./"+k)
		build.Dir = top
		said, err := build.CombinedOutput()
		require.NoError(t, err, string(said))
		h.killers = append(h.killers, killer{program, filepath.Join(top, k), killing(program), time.Hour})
	}
	for i := range h.killers {
		k := &h.killers[i]
		passes, took := k.run(0)
		require.True(t, passes, "%s: without a mutant the tests pass", killers[i])
		k.most = 10*took + 2*time.Second
	}
	return h
}

// write writes the package's files with mutants, and the overlay that names them.
func (h *hatched) write(t testing.TB, room, dir string, left map[string]bool) (overlay string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(room, "*.go"))
	require.NoError(t, err)
	replaced := map[string]string{}
	for _, file := range files {
		name := filepath.Base(file)
		if strings.HasSuffix(name, "_test.go") || name == "doc.go" {
			continue
		}
		text, mutants := mutated(t, file, len(h.mutants)+1, func(line int) bool { return left[place(file, line)] })
		h.mutants = append(h.mutants, mutants...)
		replaced[file] = filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(replaced[file], text, 0o600))
	}
	helpers := filepath.Join(dir, "helpers.go")
	require.NoError(t, os.WriteFile(helpers, fmt.Appendf(nil, mutantHelpers, filepath.Base(room)), 0o600))
	replaced[filepath.Join(room, "mutants.go")] = helpers
	text, err := json.Marshal(map[string]any{"Replace": replaced})
	require.NoError(t, err)
	overlay = filepath.Join(dir, "overlay.json")
	require.NoError(t, os.WriteFile(overlay, text, 0o600))
	return overlay
}

// killing are the words for tests that are to end at the first fault, without
// outside solvers, which take longer than all others together, and without leaving
// a file of the fault where they use rapid.
func killing(program string) []string {
	args := []string{"-test.short", "-test.failfast", "-test.timeout=1h", "-test.skip=CBC|GLPK|Simplex"}
	if exec.Command(program, "-rapid.nofailfile", "-test.list=^$").Run() == nil {
		args = append(args, "-rapid.nofailfile")
	}
	return args
}

// killed says whether a test fails once a mutant is woken.
func (h *hatched) killed(number int) bool {
	for _, k := range h.killers {
		if passes, _ := k.run(number); !passes {
			return true
		}
	}
	return false
}

// run runs the tests with one mutant awake, 0 with none, and gives how much of a
// processor's time they took. Tests that take more than they may do not pass.
func (k *killer) run(number int) (passes bool, took time.Duration) {
	limit := fmt.Sprintf(`ulimit -t %.0f && exec "$0" "$@"`, k.most.Seconds())
	run := exec.Command("sh", append([]string{"-c", limit, k.program}, k.args...)...)
	run.Dir = k.folder
	run.Env = append(os.Environ(), fmt.Sprint("HEADTALLY_MUTANT=", number), "HEADTALLY_TRIAL=")
	err := run.Run()
	return err == nil, run.ProcessState.UserTime() + run.ProcessState.SystemTime()
}
