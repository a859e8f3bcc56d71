package sheets

import (
	"archive/zip"
	"bytes"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// workbookOf zips parts, those of the smallest workbook being there already. A
// part given as "" is left out.
func workbookOf(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	const ns = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`
	const rel = `http://schemas.openxmlformats.org/officeDocument/2006/relationships`
	all := map[string]string{
		"_rels/.rels": `<Relationships><Relationship Id="rId1" Type="` + rel + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="rId1" Type="` + rel + `/worksheet" Target="worksheets/sheet1.xml"/>` +
			`<Relationship Id="rId2" Type="` + rel + `/styles" Target="/xl/styles.xml"/><Relationship Id="rId3" Type="` + rel + `/sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
		"xl/workbook.xml":      `<workbook ` + ns + `><workbookPr/><sheets><sheet name="Orders" sheetId="1" r:id="rId1"/></sheets></workbook>`,
		"xl/sharedStrings.xml": `<sst ` + ns + `><si><t>customer</t></si><si><r><t>Red </t></r><r><t>butterhead</t></r><rPh><t>no</t></rPh></si><si><t>a_x000D_b_x005F_c</t></si></sst>`,
		"xl/styles.xml": `<styleSheet ` + ns + `><numFmts count="2"><numFmt numFmtId="164" formatCode="dd/mm/yyyy"/><numFmt numFmtId="165" formatCode="[Red]0.0&quot;days&quot;"/></numFmts>` +
			`<cellXfs count="4"><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="164"/><xf numFmtId="165"/></cellXfs></styleSheet>`,
		"xl/worksheets/sheet1.xml": sheetXML(`<row r="1"><c r="A1" t="s"><v>0</v></c></row>`),
	}
	for name, text := range parts {
		all[name] = text
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	names := make([]string, 0, len(all))
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if all[name] == "" {
			continue
		}
		w, err := z.Create(name)
		require.NoError(t, err)
		_, err = w.Write([]byte(all[name]))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

func sheetXML(rows string) string {
	return `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` + rows + `</sheetData></worksheet>`
}

func TestCellsAreToldApart(t *testing.T) {
	cases := []struct {
		name, cell string
		want       book.TableCell
	}{
		{"shared text", `<c t="s"><v>0</v></c>`, book.TextCell("customer")},
		{"text in runs, without its pronunciation", `<c t="s"><v>1</v></c>`, book.TextCell("Red butterhead")},
		{"escaped characters", `<c t="s"><v>2</v></c>`, book.TextCell("a\rb_c")},
		{"text in its place", `<c t="inlineStr"><is><t>x</t></is></c>`, book.TextCell("x")},
		{"a number", `<c><v>46356</v></c>`, book.NumberCell(46356)},
		{"a number shown with days in quotes", `<c s="3"><v>4</v></c>`, book.NumberCell(4)},
		{"a day by a format of every workbook", `<c s="1"><v>36161</v></c>`, book.DayCell(domain.MustDay("1999-01-01"))},
		{"a day by the workbook's own format", `<c s="2"><v>46023.75</v></c>`, book.DayCell(domain.MustDay("2026-01-01"))},
		{"the day that never was", `<c s="1"><v>60</v></c>`, book.TableCell{Kind: book.CellBadDay, Text: "60"}},
		{"a day before days begin", `<c s="1"><v>-1</v></c>`, book.TableCell{Kind: book.CellBadDay, Text: "-1"}},
		{"a day as text, typed", `<c t="d"><v>2026-01-01T00:00:00</v></c>`, book.DayCell(domain.MustDay("2026-01-01"))},
		{"a formula with its value", `<c><f>1+1</f><v>2</v></c>`, book.NumberCell(2)},
		{"a formula with a text", `<c t="str"><f>A1</f><v>x</v></c>`, book.TextCell("x")},
		{"a formula with an empty text", `<c t="str"><f>A1</f><v></v></c>`, book.TableCell{}},
		{"a formula without a value", `<c><f>1+1</f></c>`, book.TableCell{Kind: book.CellNoValue}},
		{"a formula with an empty value", `<c><f>1+1</f><v></v></c>`, book.TableCell{Kind: book.CellNoValue}},
		{"an error", `<c t="e"><v>#REF!</v></c>`, book.TableCell{Kind: book.CellBroken, Text: "#REF!"}},
		{"yes", `<c t="b"><v>1</v></c>`, book.TextCell("TRUE")},
		{"styled and empty", `<c s="1"/>`, book.TableCell{}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			data := workbookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(`<row>` + c.cell + `<c t="inlineStr"><is><t>end</t></is></c></row>`)})
			tables, _, err := Read("o.xlsx", data, Usual())
			require.NoError(t, err)
			require.Equal(t, c.want, tables[0].Rows[0].Cells[0])
		})
	}
}

// TestSerialDays: ECMA-376 Part 4, section 3.17.4.1, and sums of the calendar.
func TestSerialDays(t *testing.T) {
	cases := []struct {
		serial float64
		s1904  bool
		want   string
	}{
		{1, false, "1900-01-01"}, {59, false, "1900-02-28"}, {60, false, ""}, {61, false, "1900-03-01"}, {0, false, ""},
		{36161, false, "1999-01-01"}, {40179, false, "2010-01-01"}, {46023, false, "2026-01-01"}, {2958465, false, "9999-12-31"}, {2958466, false, ""},
		{0, true, "1904-01-01"}, {44561, true, "2026-01-01"}, {46023, true, "2030-01-02"}, {2957003, true, "9999-12-31"}, {2957004, true, ""},
	}
	for _, c := range cases {
		d, ok := dayOf(c.serial, c.s1904)
		require.Equal(t, c.want != "", ok, c.serial)
		if ok {
			require.Equal(t, c.want, d.String())
		}
	}
}

func TestFormatsThatShowDays(t *testing.T) {
	for format, want := range map[string]bool{
		"dd/mm/yyyy": true, "yyyy-mm-dd": true, "d-mmm-yy": true, "[$-C0A]d mmmm;@": true, `mmm\ yy`: true, "mmmm": true, "dd.mm.yyyy hh:mm": true,
		"General": false, "0.00": false, "h:mm": false, "[h]:mm:ss": false, "mm:ss": false, `0 "day"`: false, `0\d`: false, "[Red]0;[Blue]-0": false, "0.00E+00": false, "@": false,
	} {
		require.Equal(t, want, showsDay(format), format)
	}
}

func TestDateSystem1904(t *testing.T) {
	data := workbookOf(t, map[string]string{
		"xl/workbook.xml":          `<workbook xmlns:r="r"><workbookPr date1904="1"/><sheets><sheet name="Orders" r:id="rId1"/></sheets></workbook>`,
		"xl/worksheets/sheet1.xml": sheetXML(`<row><c s="1"><v>44561</v></c></row>`),
	})
	tables, _, err := Read("o.xlsx", data, Usual())
	require.NoError(t, err)
	require.Equal(t, "2026-01-01", tables[0].Rows[0].Cells[0].Text)
}

func TestRowsAndMergedCells(t *testing.T) {
	data := workbookOf(t, map[string]string{"xl/worksheets/sheet1.xml": strings.Replace(sheetXML(
		`<row r="2"><c r="B2"><v>1</v></c></row><row r="3"><c r="C3" s="1"/></row><row r="5"><c r="A5"><v>2</v></c><c r="C5"><v>3</v></c></row>`),
		"</sheetData>", `</sheetData><mergeCells><mergeCell ref="B2:C5"/><mergeCell ref="XFA9:XFD1048576"/></mergeCells>`, 1)})
	tables, _, err := Read("o.xlsx", data, Usual())
	require.NoError(t, err)
	require.Equal(t, [][]string{{"", "1", "1"}, {"2", "1", "3"}}, fields(tables[0]))
	require.Equal(t, []int{2, 5}, []int{tables[0].Rows[0].Number, tables[0].Rows[1].Number})
	require.True(t, tables[0].Rows[1].Cells[1].Spread)
	require.False(t, tables[0].Rows[0].Cells[1].Spread)
}

func TestHiddenSheetsAreLeftOutAndSaid(t *testing.T) {
	f := excelize.NewFile()
	_, err := f.NewSheet("Lists")
	require.NoError(t, err)
	require.NoError(t, f.SetSheetVisible("Lists", false))
	require.NoError(t, f.SetCellValue("Sheet1", "A1", "x"))
	tables, notes, err := Read("o.xlsx", bytesOf(t, f), Usual())
	require.NoError(t, err)
	require.Len(t, tables, 1)
	require.Equal(t, "sheet Lists", notes[0].Place)
}

func bytesOf(t testing.TB, f *excelize.File) []byte {
	t.Helper()
	b, err := f.WriteToBuffer()
	require.NoError(t, err)
	return b.Bytes()
}

func TestWorkbookRefused(t *testing.T) {
	few := Usual()
	few.Rows, few.Columns, few.Cells, few.CellRunes, few.Sheets, few.Parts, few.PartBytes, few.TotalBytes = 2, 4, 6, 10, 1, 8, 4000, 9000
	sheet := func(rows string) map[string]string {
		return map[string]string{"xl/worksheets/sheet1.xml": sheetXML(rows)}
	}
	two := `<workbook xmlns:r="r"><sheets><sheet name="A" r:id="rId1"/><sheet name="B" r:id="rId1"/></sheets></workbook>`
	cases := []struct {
		name        string
		parts       map[string]string
		place, code string
	}{
		{"too many rows", sheet(`<row r="1"><c><v>1</v></c></row><row r="2"/><row r="5"><c><v>1</v></c></row><row r="9"><c><v>1</v></c></row>`), "sheet Orders, row 9", "too_many_rows"},
		{"too many columns", sheet(`<row r="7"><c r="E7"><v>1</v></c></row>`), "sheet Orders, row 7, column E", "too_many_columns"},
		{"too many cells", sheet(`<row><c r="D1"><v>1</v></c></row><row><c r="C2"><v>1</v></c></row>`), "sheet Orders, row 2, column C", "too_many_cells"},
		{"a cell too long", sheet(`<row><c t="inlineStr"><is><t>12345678901</t></is></c></row>`), "sheet Orders, row 1, column A", "cell_too_long"},
		{"too many sheets", map[string]string{"xl/workbook.xml": two}, "file o.xlsx", "too_many_sheets"},
		{"too many parts", map[string]string{"a": "a", "b": "b", "c": "c"}, "file o.xlsx", "too_many_parts"},
		{"a part too large", map[string]string{"a": strings.Repeat("a", 4001)}, "file o.xlsx", "part_too_large"},
		{"all parts too large", map[string]string{"a": strings.Repeat("a", 4000), "b": strings.Repeat("a", 4000)}, "file o.xlsx", "workbook_too_large"},
		{"no workbook inside", map[string]string{"xl/workbook.xml": ""}, "file o.xlsx", "no_workbook_inside"},
		{"no sheet inside", map[string]string{"xl/workbook.xml": `<workbook><sheets/></workbook>`}, "file o.xlsx", "no_sheet_inside"},
		{"a sheet that is nowhere", map[string]string{"xl/workbook.xml": `<workbook xmlns:r="r"><sheets><sheet name="Orders" r:id="rId9"/></sheets></workbook>`}, "sheet Orders", "part_missing"},
		{"a sheet is missing", map[string]string{"xl/worksheets/sheet1.xml": ""}, "sheet Orders", "part_missing"},
		{"a sheet cut off", map[string]string{"xl/worksheets/sheet1.xml": `<worksheet><sheetData><row r="4"><c r="B4"><v>1`}, "sheet Orders, row 4, column B", "part_unreadable"},
		{"rows going back", sheet(`<row r="4"/><row r="3"/>`), "sheet Orders, row 4", "part_unreadable"},
		{"a text that is not there", sheet(`<row><c t="s"><v>9</v></c></row>`), "sheet Orders, row 1, column A", "part_unreadable"},
		{"a number that is none", sheet(`<row><c r="C1"><v>1,5</v></c></row>`), "sheet Orders, row 1, column C", "part_unreadable"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("o.xlsx", workbookOf(t, c.parts), few)
			requireFault(t, err, c.place, c.code)
		})
	}
}

// TestDamagedWorkbooks: a workbook cut off, and one with a single changed byte
// anywhere in a part, is refused or read exactly as it was.
func TestDamagedWorkbooks(t *testing.T) {
	var rows strings.Builder
	for i := range 200 {
		fmt.Fprintf(&rows, `<row r="%d"><c t="s"><v>%d</v></c><c><v>%d</v></c></row>`, i+1, i%3, i*7919%1000)
	}
	data := workbookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(rows.String())})
	whole, _, err := Read("o.xlsx", data, Usual())
	require.NoError(t, err)
	t.Run("cut off", func(t *testing.T) {
		_, _, err := Read("o.xlsx", data[:len(data)*2/3], Usual())
		requireFault(t, err, "file o.xlsx", "workbook_cut_off")
		for n := 3; n < len(data); n += 3 {
			_, _, err := Read("o.xlsx", data[:n], Usual())
			require.Error(t, err, "the first %d bytes of %d", n, len(data))
		}
	})
	t.Run("a byte of the sheet changed", func(t *testing.T) {
		at := bytes.Index(data, []byte("xl/worksheets/sheet1.xml")) + 200
		changed := slices.Clone(data)
		changed[at] ^= 0x10
		_, _, err := Read("o.xlsx", changed, Usual())
		requireFault(t, err, "sheet Orders", "part_damaged")
	})
	t.Run("a byte anywhere changed", func(t *testing.T) {
		t.Log(len(data), "bytes")
		for at := 4; at < len(data); at += 5 {
			changed := slices.Clone(data)
			changed[at] ^= 0x55
			if tables, _, err := Read("o.xlsx", changed, Usual()); err == nil {
				require.Equal(t, fields(whole[0]), fields(tables[0]), "byte %d", at)
			}
		}
	})
}

// TestZipBomb: 300 MB of blanks in 300 kB are refused without being kept.
func TestZipBomb(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("xl/worksheets/sheet1.xml")
	require.NoError(t, err)
	blank := bytes.Repeat([]byte(" "), 1<<20)
	for range 300 {
		_, err = w.Write(blank)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, _, err = Read("bomb.xlsx", b.Bytes(), Usual())
	runtime.ReadMemStats(&after)
	requireFault(t, err, "file bomb.xlsx", "part_too_large")
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20))
}

// TestTheLibrarysWorkbooks reads what another reader and writer of workbooks
// makes of the same cells.
func TestTheLibrarysWorkbooks(t *testing.T) {
	f := excelize.NewFile()
	for at, v := range map[string]any{"A1": "customer", "B1": "cases", "A2": " =x", "B2": 12, "A3": true, "B3": 2.5, "C3": "é½"} {
		require.NoError(t, f.SetCellValue("Sheet1", at, v))
	}
	require.NoError(t, f.SetCellFormula("Sheet1", "D2", "B2*2"))
	require.NoError(t, f.MergeCell("Sheet1", "A1", "A1"))
	tables, _, err := Read("o.xlsx", bytesOf(t, f), Usual())
	require.NoError(t, err)
	require.Equal(t, [][]string{{"customer", "cases"}, {" =x", "12", "", ""}, {"TRUE", "2.5", "é½"}}, fields(tables[0]))
	require.Equal(t, book.CellNoValue, tables[0].Rows[1].Cells[3].Kind)
}

// FuzzReadXLSX: whatever a sheet's part holds, it is read or refused.
func FuzzReadXLSX(f *testing.F) {
	for _, seed := range []string{`<row r="1"><c r="A1" t="s"><v>0</v></c></row>`, `<row><c s="1"><v>60</v></c><c><f/></c></row>`,
		`</sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells><sheetData>`, `<row r="9"/><row r="1"/>`, `<row><c t="inlineStr"><is><t>_x0041_`} {
		f.Add(seed)
	}
	limits := Usual()
	limits.Cells, limits.Rows = 5000, 100
	f.Fuzz(func(t *testing.T, rows string) {
		tables, _, err := Read("f.xlsx", workbookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(rows)}), limits)
		if err != nil {
			return
		}
		last := 0
		for _, r := range tables[0].Rows {
			require.Greater(t, r.Number, last)
			last = r.Number
		}
	})
}

// large is an order sheet of 20,000 rows.
func large() book.Table {
	table := book.Table{Name: "Orders"}
	table.Add("customer", "product", "day", "cases", "purchase order", "reference", "note")
	for i := range 20_000 - 1 {
		table.Add(fmt.Sprintf("Customer %d", i%400), fmt.Sprintf("Case %d", i%30), domain.MustDay("2027-02-10").Add(i/2000), i%9, "PO 4500", fmt.Sprintf("R%d", i), "leave at the back door")
	}
	return table
}

func BenchmarkReadXLSX(b *testing.B) {
	var data bytes.Buffer
	require.NoError(b, WriteXLSX(&data, []book.Table{large()}, words.In("en")))
	benchmarkRead(b, "o.xlsx", data.Bytes())
}

func BenchmarkReadCSV(b *testing.B) {
	var data bytes.Buffer
	require.NoError(b, WriteCSV(&data, large(), words.In("en")))
	benchmarkRead(b, "o.csv", data.Bytes())
}

func benchmarkRead(b *testing.B, name string, data []byte) {
	b.ReportAllocs()
	for b.Loop() {
		tables, _, err := Read(name, data, Usual())
		if err != nil || len(tables[0].Rows) != 20_000 {
			b.Fatal(err)
		}
	}
}

func BenchmarkWriteXLSX(b *testing.B) {
	table := large()
	b.ReportAllocs()
	for b.Loop() {
		var out bytes.Buffer
		if err := WriteXLSX(&out, []book.Table{table}, words.In("en")); err != nil {
			b.Fatal(err)
		}
	}
}
