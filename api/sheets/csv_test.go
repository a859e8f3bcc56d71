package sheets

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// fields are the texts of a table's rows.
func fields(t book.Table) (rows [][]string) {
	for _, r := range t.Rows {
		var row []string
		for _, c := range r.Cells {
			row = append(row, c.Text)
		}
		rows = append(rows, row)
	}
	return rows
}

func TestCSV(t *testing.T) {
	cases := []struct {
		name, data string
		rows       [][]string
		notes      []string
	}{
		// The examples of RFC 4180, section 2.
		{"rule 1: records end in CRLF", "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [][]string{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}, nil},
		{"rule 2: the last need not", "aaa,bbb,ccc\r\nzzz,yyy,xxx", [][]string{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}, nil},
		{"rule 4: spaces belong to the field", "aaa, bbb ,ccc\r\n", [][]string{{"aaa", " bbb ", "ccc"}}, nil},
		{"rule 5: some fields in quotes", "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", [][]string{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}, nil},
		{"rule 6: a record's end in quotes", "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", [][]string{{"aaa", "b\r\nbb", "ccc"}, {"zzz", "yyy", "xxx"}}, nil},
		{"rule 7: a quote is doubled", "\"aaa\",\"b\"\"bb\",\"ccc\"", [][]string{{"aaa", "b\"bb", "ccc"}}, nil},

		{"LF alone", "a,b\nc,d\n", [][]string{{"a", "b"}, {"c", "d"}}, nil},
		{"CR alone", "a,b\rc,d\r", [][]string{{"a", "b"}, {"c", "d"}}, nil},
		{"semicolons, with decimal commas", "a;b;1,5\nc;d;2,5\n", [][]string{{"a", "b", "1,5"}, {"c", "d", "2,5"}}, nil},
		{"tabs", "a\tb, c\n1\t2\n", [][]string{{"a", "b, c"}, {"1", "2"}}, nil},
		{"the separator told", "sep=;\r\na,b;c\r\n", [][]string{{"a,b", "c"}}, nil},
		{"a byte order mark", "\xef\xbb\xbfcustomer,case\n", [][]string{{"customer", "case"}}, nil},
		{"UTF-8 letters", "Jalapeño,½\n", [][]string{{"Jalapeño", "½"}}, nil},
		{"Windows-1252 is said", "Jalape\xf1o,\x93a\x94\n", [][]string{{"Jalapeño", "“a”"}}, []string{"read_as_windows_1252"}},
		{"UTF-16 is said", "\xff\xfea\x00;\x00b\x00\n\x00", [][]string{{"a", "b"}}, []string{"read_as_utf_16"}},
		{"a guard is taken off", "'=1+2,''=x,it's,'quoted'\n", [][]string{{"=1+2", "'=x", "it's", "'quoted'"}}, nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			tables, notes, err := Read("orders.csv", []byte(c.data), Usual())
			require.NoError(t, err)
			require.Equal(t, c.rows, fields(tables[0]))
			var codes []string
			for _, n := range notes {
				codes = append(codes, n.Code)
			}
			require.Equal(t, c.notes, codes)
		})
	}
}

func TestCSVKeepsRowNumbers(t *testing.T) {
	tables, _, err := Read("orders.csv", []byte("a,b\n\n ,\n\"c\nc\",d\ne,f\n"), Usual())
	require.NoError(t, err)
	var numbers []int
	for _, r := range tables[0].Rows {
		numbers = append(numbers, r.Number)
	}
	require.Equal(t, []int{1, 4, 5}, numbers, "blank rows count, a line within quotes does not")
}

func TestCSVRefused(t *testing.T) {
	few := Usual()
	few.Bytes, few.Rows, few.Columns, few.Cells, few.CellRunes = 200, 3, 3, 8, 10
	cases := []struct{ name, file, data, place, code string }{
		{"nothing in it", "o.csv", " \r\n", "file o.csv", "file_empty"},
		{"too large", "o.csv", strings.Repeat("a,b\n", 60), "file o.csv", "file_too_large"},
		{"too many rows", "o.csv", "a\nb\n\nc\nd\n", "sheet o.csv, row 5", "too_many_rows"},
		{"too many columns", "o.csv", "a,b,c,d\n", "sheet o.csv, row 1, column D", "too_many_columns"},
		{"too many cells", "o.csv", "a,b,c\na,b,c\na,b,c\n", "sheet o.csv, row 3", "too_many_cells"},
		{"a cell too long", "o.csv", "a\n\"" + strings.Repeat("é", 11) + "\"\n", "sheet o.csv, row 2, column A", "cell_too_long"},
		{"a quote left open", "o.csv", "a,b\nc,\"d\ne\n", "sheet o.csv, row 2, column B", "quote_open"},
		{"a quote inside a field", "o.csv", "a,b\nc,5\" pot\n", "sheet o.csv, row 2, column B", "quote_inside"},
		{"text after a quoted field", "o.csv", "\"a\"b,c\n", "sheet o.csv, row 1, column A", "text_after_quote"},
		{"bytes of no text", "o.csv", "a\x00b\n", "file o.csv", "not_text"},
		{"neither UTF-8 nor Windows-1252", "o.csv", "a\x81b\n", "file o.csv", "not_text"},
		{"text by the name of a workbook", "o.xlsx", "customer,case\n", "file o.xlsx", "not_a_workbook"},
		{"an old workbook", "o.xls", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "file o.xls", "old_or_locked_workbook"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read(c.file, []byte(c.data), few)
			requireFault(t, err, c.place, c.code)
		})
	}
}

// requireFault asks for exactly one fault of a place and a code.
func requireFault(t *testing.T, err error, place, code string) {
	t.Helper()
	var faults domain.Faults
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults, 1)
	require.Equal(t, place+" "+code, faults[0].Place+" "+faults[0].Code)
}

// TestReadFromTakesNoMoreThanTheLimit sends 200 MB.
func TestReadFromTakesNoMoreThanTheLimit(t *testing.T) {
	r := &endless{left: 200 << 20}
	_, _, err := ReadFrom("big.csv", r, Usual())
	requireFault(t, err, "file big.csv", "file_too_large")
	require.Equal(t, Usual().Bytes+1, 200<<20-r.left)
}

type endless struct{ left int }

func (e *endless) Read(p []byte) (int, error) {
	n := min(len(p), e.left)
	for i := range p[:n] {
		p[i] = 'a'
	}
	e.left -= n
	return n, nil
}

// FuzzReadCSV: whatever is sent is read or refused, and what is read says the
// same when it is written and read again.
func FuzzReadCSV(f *testing.F) {
	for _, seed := range []string{"a,b\r\n\"c\"\"\",'=d\r\n", "sep=;\na;b", "\xef\xbb\xbfx\ty\n", "\xff\xfea\x00", "'\"\n", "=1+2\";=1+2"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		tables, _, err := Read("f.csv", data, Usual())
		if err != nil {
			return
		}
		again := writtenAndRead(t, tables[0])
		require.Equal(t, plain(tables[0]), plain(again))
	})
}
