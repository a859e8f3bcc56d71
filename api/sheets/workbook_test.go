package sheets

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strconv"
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

var update = flag.Bool("update", false, "write the demo farm's files anew")

// TestTheDemoFarmsFiles holds the files beside the demo farm against it: what
// they say is what it says.
func TestTheDemoFarmsFiles(t *testing.T) {
	f := farm.Facts()
	mail := mailTable(t)
	if *update {
		folder := filepath.Join("..", "..", "testdata", "farm")
		write := func(name string, put func(*bytes.Buffer) error) {
			var file bytes.Buffer
			require.NoError(t, put(&file))
			require.NoError(t, os.WriteFile(filepath.Join(folder, name), file.Bytes(), 0o644))
		}
		say := words.In("en")
		write("farm.xlsx", func(b *bytes.Buffer) error { return WriteXLSX(b, book.WorkbookTables(&f), say) })
		write("orders.xlsx", func(b *bytes.Buffer) error { return WriteXLSX(b, []book.Table{mail}, say) })
		write("orders.csv", func(b *bytes.Buffer) error { return WriteCSV(b, mail, say) })
		return
	}
	tables, _, err := Read("farm.xlsx", farm.Workbook, Usual())
	require.NoError(t, err)
	got, faults := book.ReadWorkbook(tables, "")
	require.Empty(t, faults)
	require.Equal(t, len(f.Orders), len(got.Orders))
	require.Equal(t, f.Farm, got.Farm)
	require.Equal(t, f.Products, got.Products)
	require.Equal(t, f.Counts, got.Counts)
	for name, data := range map[string][]byte{"orders.csv": farm.OrderCSV, "orders.xlsx": farm.OrderXLSX} {
		tables, _, err := Read(name, data, Usual())
		require.NoError(t, err)
		require.Len(t, tables, 1)
		require.Len(t, tables[0].Rows, len(farm.Mail), name)
		for i, row := range farm.Mail {
			for k, text := range row {
				require.Equal(t, text, tables[0].Rows[i].At(k).Text, "%s, row %d", name, i+1)
			}
		}
	}
}

// mailTable is the demo's mail as a sheet: figures as numbers, days as dates.
func mailTable(t *testing.T) book.Table {
	table := book.Table{Name: "Orders"}
	for i, row := range farm.Mail {
		values := make([]any, len(row))
		for k, text := range row {
			values[k] = text
			if n, err := strconv.Atoi(text); err == nil && i > 0 {
				values[k] = n
			} else if d, err := domain.ParseDay(text); err == nil {
				values[k] = d
			}
		}
		table.Add(values...)
	}
	return table
}
