package sheets

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
	"headtally/testdata/farm"
)

// readBack writes facts as a workbook in a language, and reads the file.
func readBack(t *testing.T, f domain.Facts, language string) (domain.Facts, domain.Faults) {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, WriteXLSX(&file, book.WorkbookTables(&f), words.In(language)))
	tables, notes, err := Read("week.xlsx", file.Bytes(), Usual())
	require.NoError(t, err)
	require.Empty(t, notes)
	return book.ReadWorkbook(tables, "")
}

func TestAWorkbookReadsBackAsItWasWritten(t *testing.T) {
	for _, language := range words.Languages {
		for name, f := range map[string]domain.Facts{"demo": farm.Facts(), "example": book.ExampleFarm(domain.MustDay("2027-04-13"))} {
			got, faults := readBack(t, f, language)
			require.Empty(t, faults, name+" in "+language)
			for i := range got.Orders { // the rows' seconds depend on where they stand
				got.Orders[i].Received = f.Orders[i].Received
			}
			for i := range got.Standing {
				got.Standing[i].Terms[0].Received = f.Standing[i].Terms[0].Received
			}
			for i := range got.Decisions {
				got.Decisions[i].PromisedAt = f.Decisions[i].PromisedAt
			}
			require.Equal(t, f, got, name+" in "+language)
		}
	}
}
