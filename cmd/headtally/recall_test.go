package main

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/testdata/farm"
)

// TestARecallIsDrilledFromTheCommandLine packs a day of the demo farm and drills
// the recall of one of its lot codes.
func TestARecallIsDrilledFromTheCommandLine(t *testing.T) {
	d := newDesk(t)
	d.env["HEADTALLY_DATA"] = d.file("book")
	day := domain.MustDay(farm.AsOf)
	b, done, err := openBook(t.Context(), surroundings{now: day.Time().Add(10 * time.Hour).UTC}, place{folder: d.file("book")})
	require.NoError(t, err)
	require.NoError(t, takeDemoSheets(t.Context(), b, day))
	packing, err := b.RecordPacked(t.Context(), book.Owner(), book.PackedTold{Day: day}, "")
	require.NoError(t, err)
	done()

	drill, code := d.file("drill.pdf"), packing.Value.Runs[0].Trace
	require.Zero(t, d.types("", "trace", code, "--recall", drill), d.err.String())
	require.Contains(t, d.out.String(), code)
	pdf, err := os.ReadFile(drill)
	require.NoError(t, err)
	require.Equal(t, "%PDF-", string(pdf[:5]))
	require.Equal(t, refused, d.types("", "trace", code, "--recall", drill), "it never writes over a file")
	require.Contains(t, d.err.String(), "is there already")
	require.Equal(t, refused, d.types("", "trace", "NOPE", "--recall", d.file("none.pdf")))
	require.NoFileExists(t, d.file("none.pdf"))
}
