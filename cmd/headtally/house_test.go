package main

import (
	"encoding/json"
	"os/exec"
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

// storeys is the house from the ground up: a package may import those of its
// own line's left and of every line before.
var storeys = [][]string{
	{"headtally/domain"},
	{"headtally/domain/planning", "headtally/domain/store/storetest", "headtally/domain/store", "headtally/domain/gs1", "headtally/openapi", "headtally/testdata/farm"},
	{"headtally/planner/flow", "headtally/planner/internal/chance"},
	{"headtally/planner/orders", "headtally/planner/growth", "headtally/planner/stock", "headtally/planner/allocation", "headtally/planner/packing", "headtally/planner/sowing"},
	{"headtally/planner", "headtally/planner/internal/judge"},
	{"headtally/planner/internal/trial"},
	{"headtally/api/book"},
	{"headtally/api/words", "headtally/api/manual"},
	{"headtally/api/internal/edge", "headtally/api/internal/contract"},
	{"headtally/api/v1", "headtally/api/feed", "headtally/api/pages", "headtally/api/prints", "headtally/api/sheets"},
	{"headtally/api"},
	{"headtally/cmd/headtally", "headtally/cmd/headtally/trials"},
}

// TestImportsRunOneWay holds the imports against the drawing in DEVELOPERS.md.
func TestImportsRunOneWay(t *testing.T) {
	storey := map[string]int{}
	for i, names := range storeys {
		for _, name := range names {
			storey[name] = i + 1
		}
	}
	for _, p := range packages(t) {
		own := storey[p.ImportPath]
		require.NotZero(t, own, "%s has no place in the house", p.ImportPath)
		for _, i := range p.Imports {
			if strings.HasPrefix(i, "headtally") {
				require.Less(t, storey[i], own, "%s imports %s", p.ImportPath, i)
			}
		}
	}
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
		"os":                             {"cmd/headtally", "domain/store", "domain/store/storetest", "planner/internal/judge"},
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
