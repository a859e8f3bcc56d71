package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// declared are the tests, fuzz targets and benchmarks of the whole module.
func declared(t *testing.T, top string) map[string]bool {
	t.Helper()
	names := map[string]bool{}
	function := regexp.MustCompile(`(?m)^func ((?:Test|Fuzz|Benchmark)\w+)\(`)
	require.NoError(t, filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		content, err := os.ReadFile(path)
		for _, m := range function.FindAllStringSubmatch(string(content), -1) {
			names[m[1]] = true
		}
		return err
	}))
	return names
}

// TestWhatIsPromisedIsHeld: every row of anchors.md is there once and names only
// what exists; a row that names nothing says that it is not built.
func TestWhatIsPromisedIsHeld(t *testing.T) {
	top := filepath.Join("..", "..")
	content, err := os.ReadFile(filepath.Join(top, "testdata", "anchors.md"))
	require.NoError(t, err)
	names := declared(t, top)
	row := regexp.MustCompile(`^\| ([RS]\d+) \|`)
	quoted := regexp.MustCompile("`([^`]+)`")
	seen := map[string]bool{}
	for line := range strings.Lines(string(content)) {
		m := row.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		require.False(t, seen[m[1]], "%s stands twice", m[1])
		seen[m[1]] = true
		cells := strings.Split(line, " | ")
		require.Len(t, cells, 5, m[1])
		held := quoted.FindAllStringSubmatch(cells[2], -1)
		require.True(t, len(held) > 0 || strings.Contains(cells[4], "not built") || strings.Contains(cells[4], "no form is released yet"), "%s names nothing", m[1])
		for _, h := range held {
			if regexp.MustCompile(`^(Test|Fuzz|Benchmark)`).MatchString(h[1]) {
				require.True(t, names[h[1]], "%s names %s, which does not exist", m[1], h[1])
			} else {
				require.FileExists(t, filepath.Join(top, h[1]), m[1])
			}
		}
	}
	for letter, n := range map[string]int{"R": 28, "S": 35} {
		for i := 1; i <= n; i++ {
			require.True(t, seen[letter+strconv.Itoa(i)], "%s%d is missing", letter, i)
		}
	}
}
