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

	"headtally/domain/tried"
)

// Solver answers programs that have nothing in common, each with its greatest
// value.
type Solver func(t testing.TB, programs []*Program) []float64

// batch is how many columns of linear programs go into one run of an outside
// solver, as blocks of one large program: starting the process would else take
// most of the time. Programs in whole numbers are searched, so each has a run
// alone.
const batch = 3000

func nextBatch(programs []*Program) []*Program {
	n, columns := 0, 0
	for n < len(programs) && (n == 0 || programs[n-1].whole == nil && programs[n].whole == nil) {
		if columns += len(programs[n].gain); n > 0 && columns > batch {
			break
		}
		n++
	}
	return programs[:n]
}

// GLPK is the GNU Linear Programming Kit's glpsol.
func GLPK(t testing.TB) Solver {
	path := tried.With(t, "glpsol")
	return inBatches(func(problem, answer string) *exec.Cmd {
		return exec.Command(path, "--mps", problem, "--write", answer)
	}, readGLPK)
}

// CBC is the COIN-OR branch-and-cut solver's linear part.
func CBC(t testing.TB) Solver {
	path := tried.With(t, "cbc")
	return inBatches(func(problem, answer string) *exec.Cmd {
		return exec.Command(path, problem, "solve", "solution", answer)
	}, readCBC)
}

func inBatches(command func(problem, answer string) *exec.Cmd, read func(line string) (column int, value float64, ok bool)) Solver {
	return func(t testing.TB, programs []*Program) (values []float64) {
		t.Helper()
		folder := t.TempDir()
		for len(programs) > 0 {
			some := nextBatch(programs)
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
	m := mps{}
	for _, p := range programs {
		m.add(p)
	}
	fmt.Fprint(out, "NAME          HEADS\nROWS\n N  GAIN\n")
	for r, sign := range m.signs {
		fmt.Fprintf(out, " %s  R%d\n", sign, r)
	}
	fmt.Fprint(out, "COLUMNS\n")
	for c, entries := range m.columns {
		m.mark(out, c)
		fmt.Fprintf(out, "    C%-7d  %-8s  %12d\n", c, "GAIN", -m.gains[c])
		for _, e := range entries {
			fmt.Fprintf(out, "    C%-7d  R%-7d  %12d\n", c, e.row, e.factor)
		}
	}
	m.mark(out, len(m.columns))
	fmt.Fprint(out, "RHS\n")
	for r, bound := range m.bounds {
		if bound != 0 {
			fmt.Fprintf(out, "    %-8s  R%-7d  %12d\n", "BOUND", r, bound)
		}
	}
	fmt.Fprint(out, "BOUNDS\n")
	for c, whole := range m.whole {
		if whole { // a whole column has else, for some readers, an upper bound of 1
			fmt.Fprintf(out, " UP %-8s  C%-7d  %12d\n", "BOUND", c, plenty)
		}
	}
	fmt.Fprint(out, "ENDATA\n")
}

// mps is programs put together by columns.
type mps struct {
	signs   []string
	bounds  []int
	columns [][]entry
	gains   []int
	whole   []bool
}

type entry struct{ row, factor int }

func (m *mps) add(p *Program) {
	first := len(m.columns)
	m.columns = append(m.columns, make([][]entry, len(p.gain))...)
	m.gains = append(m.gains, p.gain...)
	for c := range p.gain {
		m.whole = append(m.whole, p.whole[c])
	}
	for _, r := range p.rows {
		sign := "L"
		if r.exact {
			sign = "E"
		}
		for i, c := range r.columns {
			m.columns[first+c] = append(m.columns[first+c], entry{len(m.bounds), r.factors[i]})
		}
		m.signs, m.bounds = append(m.signs, sign), append(m.bounds, r.bound)
	}
}

// mark writes where whole columns begin and end.
func (m *mps) mark(out io.Writer, c int) {
	before, now := c > 0 && m.whole[c-1], c < len(m.whole) && m.whole[c]
	switch {
	case now && !before:
		fmt.Fprintf(out, "    M%-7d  'MARKER'                 'INTORG'\n", c)
	case before && !now:
		fmt.Fprintf(out, "    M%-7d  'MARKER'                 'INTEND'\n", c)
	}
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
