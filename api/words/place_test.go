package words

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

func TestPlacesInASheetAreTold(t *testing.T) {
	cell := domain.SheetPlace{Sheet: "Orders", Row: 3, Column: "C", What: "arrival day"}.Fault("required")
	require.Equal(t, "sheet Orders, row 3, column C (arrival day)", cell.Place, "as programs read it")
	require.Equal(t, "sheet Orders, row 3, column C (arrival day)", In("en").Place(cell))
	require.Equal(t, "hoja Orders, fila 3, columna C (día de llegada)", In("es").Place(cell))
	file := domain.SheetPlace{File: "a.csv"}.Fault("file_empty")
	require.Equal(t, "archivo a.csv: el archivo está vacío", In("es").Faults(domain.Faults{file})[0])
	record := domain.SheetPlace{Kind: "customer", Code: "INN", What: "name"}.Fault("required")
	require.Equal(t, "cliente INN (name)", In("es").Place(record))
	require.Equal(t, "lines[3].cases", In("es").Place(domain.Fault{Place: "lines[3].cases"}), "a path is a path in every language")
	alike := domain.SheetPlace{Sheet: "Orders", Row: 4}.Fault("rows_alike", "other", domain.SheetPlace{Sheet: "Orders", Row: 2})
	require.Contains(t, In("es").Fault(alike), "hoja Orders, fila 2")
}
