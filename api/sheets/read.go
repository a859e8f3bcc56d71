// Package sheets is the spreadsheet face: it reads CSV and XLSX files into
// plain tables and writes tables as CSV and XLSX. It knows cells, dates,
// encodings and limits, and nothing of customers or rules; what a column means
// is settled in api/book.
//
//	tables, notes, err := sheets.Read("orders.csv", data, sheets.Usual())
//	preview, err := b.PreviewOrders(ctx, who, tables, book.OrderSheet{Name: "orders.csv"})
//
// A file is taken for what it holds, whatever its name says. Everything that is
// wrong with one is a domain.Faults that names the place and, where a limit was
// passed, the limit.
package sheets

import (
	"bytes"
	"io"
	"strings"

	"headtally/api/book"
	"headtally/domain"
)

// Limits is how large a file may be. A file beyond one of them is refused by
// the limit's name, before it can take the memory of everybody else.
type Limits struct {
	Bytes      int // of the file as it is sent
	PartBytes  int // of one part of a workbook when inflated
	TotalBytes int // of all parts when inflated
	Parts      int // of a workbook
	Sheets     int
	Rows       int // with anything in them, of one sheet
	Columns    int
	Cells      int // of all sheets together, each row to its last cell with anything in it
	CellRunes  int // characters of one cell
}

// Usual is the limits for files from people.
func Usual() Limits {
	return Limits{Bytes: 32 << 20, PartBytes: 64 << 20, TotalBytes: 128 << 20, Parts: 2000, Sheets: 60,
		Rows: 20_000, Columns: 300, Cells: 1_000_000, CellRunes: 32_767}
}

// Notes is what a reader should know of how a file was read, and no fault.
type Notes = domain.Faults

// Read reads a file into its tables: one of a CSV file, named like it, or one
// for each visible sheet of a workbook.
func Read(name string, data []byte, o Limits) ([]book.Table, Notes, error) {
	file := ofFile(name)
	if len(data) > o.Bytes {
		return nil, nil, fault(file, "file_too_large", "limit", o.Bytes>>20)
	}
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, nil, fault(file, "file_empty")
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return readWorkbook(name, data, o)
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return nil, nil, fault(file, "old_or_locked_workbook")
	case isWorkbookName(name):
		return nil, nil, fault(file, "not_a_workbook")
	}
	table, notes, err := readCSV(name, data, o)
	if err != nil {
		return nil, nil, err
	}
	return []book.Table{table}, notes, nil
}

// chunk is how much of a stream is read at a time.
const chunk = 1 << 20

// ReadFrom is Read of a stream, of which no more than the limit is taken into
// memory. It is taken in pieces that are put together once the length is known:
// a buffer that grows would be there many times over.
func ReadFrom(name string, r io.Reader, o Limits) ([]book.Table, Notes, error) {
	var pieces [][]byte
	for total := 0; ; {
		piece := make([]byte, min(chunk, o.Bytes+1-total))
		n, err := io.ReadFull(r, piece)
		pieces = append(pieces, piece[:n])
		if total += n; total > o.Bytes {
			return nil, nil, fault(ofFile(name), "file_too_large", "limit", o.Bytes>>20)
		}
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			return Read(name, bytes.Join(pieces, nil), o)
		}
		if err != nil {
			return nil, nil, err
		}
	}
}

func isWorkbookName(name string) bool {
	lower := strings.ToLower(name)
	return strings.HasSuffix(lower, ".xlsx") || strings.HasSuffix(lower, ".xlsm")
}

// fault is a refusal of one fault.
func fault(place domain.SheetPlace, code string, args ...any) domain.Faults {
	return domain.Faults{place.Fault(code, args...)}
}

// ofFile is the place of a whole file.
func ofFile(name string) domain.SheetPlace { return domain.SheetPlace{File: name} }
