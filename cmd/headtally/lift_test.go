package main

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestALiftCountIsImported: a lift count is known by its headings, shown, taken
// once, and corrected by another that names it.
func TestALiftCountIsImported(t *testing.T) {
	d := newDesk(t)
	d.env["HEADTALLY_DATA"] = d.file("book")
	require.Zero(t, d.types("", "workbook", d.file("week.xlsx"), "--as-of", "2027-04-13"), d.err.String())
	require.Zero(t, d.types("", "import", d.file("week.xlsx"), "--as-of", "2027-04-13"), d.err.String())
	sheet := d.file("lift.csv")
	require.NoError(t, os.WriteFile(sheet, []byte("Variety,Heads,Culls\nGreen butterhead,50,2\n"), 0o600))
	day := []string{"--as-of", "2027-04-13"}
	require.Zero(t, d.types("", append([]string{"import", sheet, "--dry-run"}, day...)...), d.err.String())
	require.Contains(t, d.out.String(), "50 heads, 2 culls")
	require.Contains(t, d.out.String(), "can be taken: the lift of Tuesday, April 13")
	require.Zero(t, d.types("", append([]string{"import", sheet, "--as", "lift"}, day...)...), d.err.String())
	require.Contains(t, d.out.String(), "is taken: lift L1 of Tuesday, April 13")
	require.Zero(t, d.types("", append([]string{"import", sheet}, day...)...), d.err.String())
	require.Contains(t, d.out.String(), "nothing is changed")
	require.NoError(t, os.WriteFile(sheet, []byte("Variety,Heads,Culls\nGreen butterhead,47,5\n"), 0o600))
	require.Zero(t, d.types("", append([]string{"import", sheet, "--instead", "L1"}, day...)...), d.err.String())
	require.Contains(t, d.out.String(), "is taken: lift L2")
	require.NoError(t, os.WriteFile(sheet, []byte("Variety,Heads,Culls\nGreen butterhead,4.5,5\n"), 0o600))
	require.Equal(t, refused, d.types("", append([]string{"import", sheet}, day...)...))
	require.Contains(t, d.err.String(), "row 2, column B (heads)")
}
