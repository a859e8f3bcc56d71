package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestAfterAPowerCutThePapersComeFirst(t *testing.T) {
	d := newDesk(t)
	week, data := d.file("week.xlsx"), d.file("book")
	require.Zero(t, d.types("", "workbook", week), &d.err)
	require.Zero(t, d.types("", "import", week, "--data", data), &d.err)
	d.keyOfTheHouse(data)

	welcomes := func() string {
		said, stop := d.starts(data)
		stop()
		return said
	}
	require.NotContains(t, welcomes(), "power cut")
	require.NoFileExists(t, filepath.Join(data, servingMark), "it was stopped in order")
	require.NoError(t, os.WriteFile(filepath.Join(data, servingMark), nil, 0o600), "it is cut off")
	require.Equal(t, refused, d.types("", "serve", "--data", data, "--listen", "0.0.0.0:0"), "a start that is refused forgets nothing")
	require.Regexp(t, `as in a power cut. The next papers: http://[0-9.:]+/papers/2027-04-13`, welcomes())
	require.NotContains(t, welcomes(), "power cut")
}
