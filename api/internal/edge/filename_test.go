package edge

import (
	"mime"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestNamesOfFilesAreNoPaths: whatever a code or a day is called, the header
// stays one, and what a browser saves is one file with a plain name.
func TestNamesOfFilesAreNoPaths(t *testing.T) {
	whole := regexp.MustCompile(`^attachment; filename="[-._0-9A-Za-z]{1,100}"(; filename\*=UTF-8''[-._0-9A-Za-z%]+)?$`)
	for _, c := range []struct{ name, saved string }{
		{"orders-2027-03-05.csv", "orders-2027-03-05.csv"},
		{"load-ÉPICERIE.pdf", "load-ÉPICERIE.pdf"},
		{"tree-霜.pdf", "tree-霜.pdf"},
		{"../../etc/passwd.csv", "-..-etc-passwd.csv"},
		{`..\..\boot.ini`, "-..-boot.ini"},
		{"...hidden.csv", "hidden.csv"},
		{"a\x00b.csv", "a-b.csv"},
		{"a\r\nSet-Cookie: x=1.csv", "a--Set-Cookie--x-1.csv"},
		{`x"; filename="y.exe.csv`, "x---filename--y.exe.csv"},
		{"fdp\u202Evsc.exe.csv", "fdp-vsc.exe.csv"},
		{"\xff\xfe.csv", "-.csv"},
		{strings.Repeat("long", 1000) + ".xlsx", strings.Repeat("long", 22) + "lo" + "glong.xlsx"},
	} {
		header := Named("attachment", c.name)
		require.Regexp(t, whole, header)
		_, params, err := mime.ParseMediaType(header)
		require.NoError(t, err, header)
		require.Equal(t, c.saved, params["filename"])
	}
}
