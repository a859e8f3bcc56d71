package main

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// pkg is a package of the module with what it imports itself.
type pkg struct {
	ImportPath string
	Imports    []string
}

func packages(t *testing.T) []pkg {
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "headtally/...").Output()
	require.NoError(t, err)
	var list []pkg
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var p pkg
		require.NoError(t, d.Decode(&p))
		list = append(list, p)
	}
	require.NotEmpty(t, list)
	return list
}

// TestImportsRunOneWay reads the house from the table of rooms in DEVELOPERS.md:
// a package may import those of the rows below its own.
func TestImportsRunOneWay(t *testing.T) {
	row := map[string]int{}
	for i, line := range regexp.MustCompile("(?m)^\\| (`[a-z0-9/]+`(?:, `[a-z0-9/]+`)*) \\|").FindAllStringSubmatch(rooms(t), -1) {
		for _, name := range strings.Split(strings.ReplaceAll(line[1], "`", ""), ", ") {
			row["headtally/"+name] = i + 1
		}
	}
	for _, p := range packages(t) {
		own := row[p.ImportPath]
		require.NotZero(t, own, "%s has no room in the house", p.ImportPath)
		for _, i := range p.Imports {
			if strings.HasPrefix(i, "headtally") {
				require.Greater(t, row[i], own, "%s imports %s", p.ImportPath, i)
			}
		}
	}
	for name := range row {
		require.DirExists(t, filepath.Join("..", "..", strings.TrimPrefix(name, "headtally/")), "a room of the table")
	}
}

// rooms is the chapter of DEVELOPERS.md that holds the table.
func rooms(t *testing.T) string {
	_, after, found := strings.Cut(document(t, "DEVELOPERS.md"), "| room | what belongs there |")
	require.True(t, found)
	table, _, _ := strings.Cut(after, "\n\n")
	return table
}

// TestLibrariesStayInTheirRooms holds the rules about who may know what. A
// library is meant with all below it, a package of the standard library alone.
func TestLibrariesStayInTheirRooms(t *testing.T) {
	rooms := map[string][]string{
		"gorm.io/":                       {"domain/store"},
		"modernc.org/":                   {"domain/store"},
		"github.com/jackc/":              {"domain/store", "domain/store/storetest"},
		"github.com/labstack/echo/":      {"api", "api/pages"},
		"github.com/xuri/excelize/":      {"api/sheets"},
		"codeberg.org/go-pdf/":           {"api/prints"},
		"github.com/teambition/rrule-go": {"planner/orders"},
		"github.com/rickar/cal/":         {"api/book"},
		"github.com/go-json-experiment/": {"domain/planning", "api/internal/contract", "api/internal/edge", "api/v1"},
		"net/http":                       {"api", "api/pages", "api/v1", "api/internal/edge", "api/internal/contract", "cmd/headtally"},
		"os":                             {"cmd/headtally", "domain/store", "domain/store/storetest", "domain/tried", "planner/internal/judge"},
		"html/template":                  {"api", "api/pages", "api/manual"},
		"github.com/yuin/goldmark":       {}, // tests alone
	}
	for _, p := range packages(t) {
		room := strings.TrimPrefix(p.ImportPath, "headtally/")
		for _, i := range p.Imports {
			for library, allowed := range rooms {
				if i == library || strings.HasSuffix(library, "/") && strings.HasPrefix(i, library) {
					require.Contains(t, allowed, room, "%s knows %s", p.ImportPath, i)
				}
			}
		}
	}
}
