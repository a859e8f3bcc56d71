//go:build linux

package trials

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mutant is one small fault in a source file: there in the built program, and done
// only where the environment says its number.
type mutant struct {
	number int
	file   string
	line   int
	what   string
}

func (m mutant) String() string {
	return fmt.Sprintf("%d: %s:%d: %s", m.number, filepath.Base(m.file), m.line, m.what)
}

// edit is a change of a text at an offset.
type edit struct {
	at, cut int
	text    string
	after   bool // it closes what an edit before it opened
}

// mutating puts mutants into one file. Those of one line that the compiler does
// not take are left out.
type mutating struct {
	path    string
	files   *token.FileSet
	source  []byte
	left    func(line int) bool
	next    int
	edits   []edit
	mutants []mutant
}

// mutated is a file's text with mutants from a number on.
func mutated(t testing.TB, path string, number int, left func(line int) bool) (text []byte, mutants []mutant) {
	t.Helper()
	m := &mutating{path: path, files: token.NewFileSet(), left: left, next: number}
	var err error
	m.source, err = os.ReadFile(path)
	require.NoError(t, err)
	file, err := parser.ParseFile(m.files, path, m.source, parser.SkipObjectResolution)
	require.NoError(t, err)
	for _, d := range file.Decls {
		if f, is := d.(*ast.FuncDecl); is && f.Body != nil {
			ast.Inspect(f.Body, m.look)
		}
	}
	return m.written(), m.mutants
}

func (m *mutating) offset(p token.Pos) int { return m.files.Position(p).Offset }

func (m *mutating) text(n ast.Node) string {
	return string(m.source[m.offset(n.Pos()):m.offset(n.End())])
}

// mutate surrounds a node. In the texts # stands for "this mutant is asked for".
func (m *mutating) mutate(n ast.Node, what, before, after string) {
	line := m.files.Position(n.Pos()).Line
	if m.left(line) {
		return
	}
	asked := fmt.Sprintf("mutantAsked(%d)", m.next)
	m.mutants = append(m.mutants, mutant{m.next, m.path, line, what})
	m.next++
	m.edits = append(m.edits,
		edit{at: m.offset(n.Pos()), text: strings.ReplaceAll(before, "#", asked)},
		edit{at: m.offset(n.End()), text: strings.ReplaceAll(after, "#", asked), after: true})
}

// look makes the mutants of a node, those around it before those within.
func (m *mutating) look(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.BlockStmt:
		m.statements(n.List)
	case *ast.CaseClause:
		m.statements(n.Body)
	case *ast.IfStmt:
		m.mutate(n.Cond, "never: if "+m.text(n.Cond), "(", ") && !#")
	case *ast.BinaryExpr:
		m.binary(n)
	case *ast.FuncLit, *ast.DeclStmt:
		_, is := n.(*ast.FuncLit)
		return is // constants must stay constant
	}
	return true
}

// statements leaves out one statement of a list.
func (m *mutating) statements(list []ast.Stmt) {
	for _, s := range list {
		switch s := s.(type) {
		case *ast.AssignStmt:
			if s.Tok == token.DEFINE {
				continue
			}
		case *ast.ExprStmt, *ast.IncDecStmt:
		case *ast.BranchStmt:
			if s.Tok != token.BREAK && s.Tok != token.CONTINUE {
				continue
			}
		default:
			continue
		}
		m.mutate(s, "left out: "+m.text(s), "if !# { ", " }")
	}
}

// binary turns a comparison round, moves its edge, takes "or" for "and", and
// leaves out what is added, taken off or multiplied.
func (m *mutating) binary(n *ast.BinaryExpr) {
	x, y := m.text(n.X), m.text(n.Y)
	switch n.Op {
	case token.EQL, token.NEQ, token.LSS, token.LEQ, token.GTR, token.GEQ:
		m.mutate(n, "turned round: "+m.text(n), "((", ") != #)")
		switch n.Op {
		case token.LSS, token.GTR:
			m.mutate(n, "its edge moved: "+m.text(n), "(", fmt.Sprintf(" || # && %s == %s)", x, y))
		case token.LEQ, token.GEQ:
			m.mutate(n, "its edge moved: "+m.text(n), "(", fmt.Sprintf(" && !(# && %s == %s))", x, y))
		}
	case token.LAND:
		m.mutate(n, "or for and: "+m.text(n), "(", fmt.Sprintf(" || # && (%s || %s))", x, y))
	case token.LOR:
		m.mutate(n, "and for or: "+m.text(n), "((", fmt.Sprintf(") && (!# || (%s) && (%s)))", x, y))
	case token.ADD, token.SUB, token.MUL, token.QUO:
		if m.left(m.files.Position(n.Pos()).Line) {
			return
		}
		m.edits = append(m.edits, edit{at: m.offset(n.OpPos), cut: 1, text: ","})
		helper := map[token.Token]string{token.ADD: "Plus", token.SUB: "Minus", token.MUL: "Times", token.QUO: "By"}[n.Op]
		m.mutate(n, "left out at the right: "+m.text(n), "mutant"+helper+"(#, ", ")")
	}
}

// written is the source with all edits: at one place what closes comes first, the
// inner before the outer, and what opens last, the outer before the inner.
func (m *mutating) written() []byte {
	order := make([]int, len(m.edits))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := m.edits[i], m.edits[j]
		switch {
		case a.at != b.at:
			return a.at - b.at
		case a.after != b.after:
			return map[bool]int{true: -1, false: 1}[a.after]
		case a.after:
			return j - i
		}
		return i - j
	})
	var out bytes.Buffer
	done := 0
	for _, i := range order {
		e := m.edits[i]
		out.Write(m.source[done:e.at])
		out.WriteString(e.text)
		done = e.at + e.cut
	}
	out.Write(m.source[done:])
	return out.Bytes()
}

// mutantHelpers is a file beside the mutants.
const mutantHelpers = `package %s

import (
	"cmp"
	"os"
	"strconv"
)

var mutantNow, _ = strconv.Atoi(os.Getenv("HEADTALLY_MUTANT"))

func mutantAsked(n int) bool { return n == mutantNow }

type mutantNumber interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float32 | ~float64
}

func mutantPlus[T cmp.Ordered](asked bool, x, y T) T {
	if asked {
		return x
	}
	return x + y
}

func mutantMinus[T mutantNumber](asked bool, x, y T) T {
	if asked {
		return x
	}
	return x - y
}

func mutantTimes[T mutantNumber](asked bool, x, y T) T {
	if asked {
		return x
	}
	return x * y
}

func mutantBy[T mutantNumber](asked bool, x, y T) T {
	if asked {
		return x
	}
	return x / y
}
`

// brokenAt are the places of which the compiler complains.
var brokenAt = regexp.MustCompile(`(?m)^(\S+\.go):(\d+):\d+: `)

// broken reads them as file names and lines.
func broken(said string) map[string]bool {
	lines := map[string]bool{}
	for _, m := range brokenAt.FindAllStringSubmatch(said, -1) {
		lines[filepath.Base(m[1])+":"+m[2]] = true
	}
	return lines
}

func place(path string, line int) string { return filepath.Base(path) + ":" + strconv.Itoa(line) }
