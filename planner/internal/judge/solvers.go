package judge

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// Solver answers programs that have nothing in common, each with its greatest
// value.
type Solver func(t testing.TB, programs []*Program) []float64

// batch is how many programs go into one run of an outside solver, as blocks
// of one large program; starting the process would else take most of the time.
const batch = 150

// GLPK is the GNU Linear Programming Kit's glpsol.
func GLPK(t testing.TB) Solver {
	path := Tool(t, "glpsol")
	return inBatches(func(problem, answer string) *exec.Cmd {
		return exec.Command(path, "--mps", problem, "--write", answer)
	}, readGLPK)
}

// CBC is the COIN-OR branch-and-cut solver's linear part.
func CBC(t testing.TB) Solver {
	path := Tool(t, "cbc")
	return inBatches(func(problem, answer string) *exec.Cmd {
		return exec.Command(path, problem, "solve", "solution", answer)
	}, readCBC)
}

func inBatches(command func(problem, answer string) *exec.Cmd, read func(line string) (column int, value float64, ok bool)) Solver {
	return func(t testing.TB, programs []*Program) (values []float64) {
		t.Helper()
		folder := t.TempDir()
		for len(programs) > 0 {
			some := programs[:min(batch, len(programs))]
			programs = programs[len(some):]
			problem, answer := filepath.Join(folder, "problem.mps"), filepath.Join(folder, "answer.txt")
			var text bytes.Buffer
			WriteMPS(&text, some)
			if err := os.WriteFile(problem, text.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			if out, err := command(problem, answer).CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			answered, err := os.ReadFile(answer)
			if err != nil {
				t.Fatal(err)
			}
			values = append(values, valuesOf(t, some, string(answered), read)...)
		}
		return values
	}
}

// WriteMPS writes programs as blocks of one, in the fixed MPS format, which
// minimises: gains are written as negative costs.
func WriteMPS(w io.Writer, programs []*Program) {
	out := bufio.NewWriter(w)
	defer out.Flush()
	fmt.Fprint(out, "NAME          HEADS\nROWS\n N  GAIN\n")
	type entry struct{ row, factor int }
	var columns [][]entry
	var bounds, gains []int
	for _, p := range programs {
		first := len(columns)
		columns = append(columns, make([][]entry, len(p.gain))...)
		gains = append(gains, p.gain...)
		for _, r := range p.rows {
			sign := "L"
			if r.exact {
				sign = "E"
			}
			fmt.Fprintf(out, " %s  R%d\n", sign, len(bounds))
			for i, c := range r.columns {
				columns[first+c] = append(columns[first+c], entry{len(bounds), r.factors[i]})
			}
			bounds = append(bounds, r.bound)
		}
	}
	fmt.Fprint(out, "COLUMNS\n")
	for c, entries := range columns {
		fmt.Fprintf(out, "    %-8s  %-8s  %12d\n", fmt.Sprintf("C%d", c), "GAIN", -gains[c])
		for _, e := range entries {
			fmt.Fprintf(out, "    %-8s  %-8s  %12d\n", fmt.Sprintf("C%d", c), fmt.Sprintf("R%d", e.row), e.factor)
		}
	}
	fmt.Fprint(out, "RHS\n")
	for r, bound := range bounds {
		if bound != 0 {
			fmt.Fprintf(out, "    %-8s  %-8s  %12d\n", "BOUND", fmt.Sprintf("R%d", r), bound)
		}
	}
	fmt.Fprint(out, "ENDATA\n")
}

// valuesOf adds up each program's gains from a solver's listing of columns.
func valuesOf(t testing.TB, programs []*Program, listing string, read func(string) (int, float64, bool)) []float64 {
	t.Helper()
	if lower := strings.ToLower(listing); !strings.Contains(lower, "optimal") || strings.Contains(lower, "infeasible") {
		t.Fatalf("the solver found no optimum:\n%.300s", listing)
	}
	var owner, gain []int
	for i, p := range programs {
		for _, g := range p.gain {
			owner, gain = append(owner, i), append(gain, g)
		}
	}
	values := make([]float64, len(programs))
	for line := range strings.Lines(listing) {
		if c, value, ok := read(line); ok {
			values[owner[c]] += value * float64(gain[c])
		}
	}
	return values
}

// readGLPK reads "j COLUMN STATUS VALUE DUAL", columns counted from 1.
func readGLPK(line string) (int, float64, bool) {
	f := strings.Fields(line)
	if len(f) < 4 || f[0] != "j" {
		return 0, 0, false
	}
	column, _ := strconv.Atoi(f[1])
	value, err := strconv.ParseFloat(f[3], 64)
	return column - 1, value, err == nil
}

// readCBC reads "INDEX NAME VALUE COST", columns counted from 0.
func readCBC(line string) (int, float64, bool) {
	f := strings.Fields(line)
	if len(f) < 4 || !strings.HasPrefix(f[1], "C") {
		return 0, 0, false
	}
	column, err := strconv.Atoi(f[1][1:])
	if err != nil {
		return 0, 0, false
	}
	value, err := strconv.ParseFloat(f[2], 64)
	return column, value, err == nil
}

// Gonum is the simplex method of gonum's optimize/convex/lp, in this process.
func Gonum(t testing.TB, programs []*Program) (values []float64) {
	t.Helper()
	for _, p := range programs {
		if len(p.rows) == 0 {
			values = append(values, 0)
			continue
		}
		costs, rows, bounds := p.standardForm()
		least, _, err := lp.Simplex(costs, rows, bounds, 1e-9, nil)
		if err != nil {
			t.Fatalf("gonum: %v", err)
		}
		values = append(values, -least)
	}
	return values
}

// standardForm has a slack column for every "at most" row, and costs to be
// made least.
func (p *Program) standardForm() (costs []float64, rows *mat.Dense, bounds []float64) {
	columns := len(p.gain)
	for _, r := range p.rows {
		if !r.exact {
			columns++
		}
	}
	costs, rows = make([]float64, columns), mat.NewDense(len(p.rows), columns, nil)
	for c, g := range p.gain {
		costs[c] = float64(-g)
	}
	slack := len(p.gain)
	for i, r := range p.rows {
		for k, c := range r.columns {
			rows.Set(i, c, float64(r.factors[k]))
		}
		if !r.exact {
			rows.Set(i, slack, 1)
			slack++
		}
		bounds = append(bounds, float64(r.bound))
	}
	return costs, rows, bounds
}

// Confirm holds claims against a solver. A value counts as whole when it is
// within a millionth: the programs are totally unimodular, so it should be.
func Confirm(t testing.TB, solve Solver, claims []Claim) {
	t.Helper()
	programs := make([]*Program, len(claims))
	for i, c := range claims {
		programs[i] = c.Program
	}
	for i, value := range solve(t, programs) {
		c, whole := &claims[i], math.Round(value)
		if !(math.Abs(value-whole) < 1e-6) || int(whole) < c.Least || int(whole) > c.Most {
			t.Errorf("%s: the solver says %v, which is not from %d to %d", c.Says, value, c.Least, c.Most)
		}
	}
}
