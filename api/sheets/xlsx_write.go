package sheets

import (
	"archive/zip"
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"headtally/api/book"
	"headtally/api/words"
)

// A workbook is written as few parts as ECMA-376 asks for: texts stand in their
// cells, and there are three looks. (A library that knows all of the standard
// costs every start of the program as much as planning costs; the tests read
// with one what is written here.)

// WriteXLSX writes tables as the sheets of a workbook. Days are cells that the
// spreadsheet shows as dates, in the 1900 system; a heading row stays in sight.
func WriteXLSX(w io.Writer, tables []book.Table, say *words.Speech) error {
	archive := zip.NewWriter(w)
	for _, part := range [][2]string{
		{"[Content_Types].xml", contentTypes(len(tables))},
		{"_rels/.rels", relations("/officeDocument", "xl/workbook.xml")},
		{"xl/workbook.xml", sheetList(tables, say)},
		{"xl/_rels/workbook.xml.rels", sheetRelations(len(tables))},
		{"xl/styles.xml", looks},
	} {
		if err := writePart(archive, part[0], func(b *bufio.Writer) { b.WriteString(part[1]) }); err != nil {
			return err
		}
	}
	for i, t := range tables {
		if err := writePart(archive, "xl/"+sheetPart(i), func(b *bufio.Writer) { writeSheet(b, t, say) }); err != nil {
			return err
		}
	}
	return archive.Close()
}

func writePart(archive *zip.Writer, name string, write func(*bufio.Writer)) error {
	part, err := archive.Create(name)
	if err != nil {
		return err
	}
	b := bufio.NewWriter(part)
	b.WriteString(xmlHead)
	write(b)
	return b.Flush()
}

// The names of ECMA-376 Part 1 (transitional) and Part 2.
const (
	xmlHead   = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"
	mainSpace = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`
	related   = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	partKind  = "application/vnd.openxmlformats-officedocument.spreadsheetml."
)

// The looks of cells, by their place in cellXfs. A day's format is the first
// that is not built in.
const (
	lookPlain = iota
	lookHeading
	lookHelp
	lookDay
)

const looks = `<styleSheet ` + mainSpace + `><numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy\-mm\-dd"/></numFmts>` +
	`<fonts count="3"><font><sz val="11"/><name val="Calibri"/><family val="2"/></font>` +
	`<font><b/><sz val="11"/><name val="Calibri"/><family val="2"/></font>` +
	`<font><i/><sz val="9"/><color rgb="FF555555"/><name val="Calibri"/><family val="2"/></font></fonts>` +
	`<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills>` +
	`<borders count="2"><border><left/><right/><top/><bottom/><diagonal/></border>` +
	`<border><left/><right/><top/><bottom style="thin"><color rgb="FF000000"/></bottom><diagonal/></border></borders>` +
	`<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>` +
	`<cellXfs count="4"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>` +
	`<xf numFmtId="0" fontId="1" fillId="0" borderId="1" xfId="0" applyFont="1" applyBorder="1"/>` +
	`<xf numFmtId="0" fontId="2" fillId="0" borderId="0" xfId="0" applyFont="1" applyAlignment="1"><alignment vertical="top" wrapText="1"/></xf>` +
	`<xf numFmtId="164" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/></cellXfs>` +
	`<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>`

func sheetPart(i int) string { return fmt.Sprintf("worksheets/sheet%d.xml", i+1) }

func contentTypes(sheets int) string {
	var b strings.Builder
	b.WriteString(`<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="xml" ContentType="application/xml"/>`)
	part := func(name, kind string) {
		fmt.Fprintf(&b, `<Override PartName="/xl/%s" ContentType="%s%s+xml"/>`, name, partKind, kind)
	}
	part("workbook.xml", "sheet.main")
	part("styles.xml", "styles")
	for i := range sheets {
		part(sheetPart(i), "worksheet")
	}
	return b.String() + `</Types>`
}

// relations names parts by kind and place, rId1 and so on.
func relations(kindsAndTargets ...string) string {
	var b strings.Builder
	b.WriteString(`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`)
	for i := 0; i < len(kindsAndTargets); i += 2 {
		fmt.Fprintf(&b, `<Relationship Id="rId%d" Type="%s%s" Target="%s"/>`, i/2+1, related, kindsAndTargets[i], kindsAndTargets[i+1])
	}
	return b.String() + `</Relationships>`
}

func sheetRelations(sheets int) string {
	var all []string
	for i := range sheets {
		all = append(all, "/worksheet", sheetPart(i))
	}
	return relations(append(all, "/styles", "styles.xml")...)
}

func sheetList(tables []book.Table, say *words.Speech) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<workbook %s xmlns:r="%s"><sheets>`, mainSpace, related)
	for i, t := range tables {
		fmt.Fprintf(&b, `<sheet name="%s" sheetId="%d" r:id="rId%d"/>`, cellText(sheetName(t.Name, say)), i+1, i+1)
	}
	return b.String() + `</sheets></workbook>`
}

// mostName is the most letters of a sheet's name that spreadsheets take.
const mostName = 31

// sheetName is a table's name in the language, without what no sheet may be
// called by.
func sheetName(name string, say *words.Speech) string {
	if code := "sheet." + name; say.Has(code) {
		name = say.Say(code)
	}
	name = strings.Trim(strings.NewReplacer(":", " ", `\`, " ", "/", " ", "?", " ", "*", " ", "[", "(", "]", ")").Replace(name), "'")
	for utf8.RuneCountInString(name) > mostName {
		_, n := utf8.DecodeLastRuneInString(name)
		name = name[:len(name)-n]
	}
	return name
}

// Widths of columns, in characters; a column is as wide as what it says. A row
// with help is this many points high.
const (
	leastWidth = 16
	mostWidth  = 44
	helpHeight = 66
)

func writeSheet(b *bufio.Writer, t book.Table, say *words.Speech) {
	b.WriteString(`<worksheet ` + mainSpace + `><sheetViews><sheetView workbookViewId="0">`)
	if n := headingRow(t); n > 0 {
		fmt.Fprintf(b, `<pane ySplit="%d" topLeftCell="A%d" activePane="bottomLeft" state="frozen"/>`, n, n+1)
	}
	b.WriteString(`</sheetView></sheetViews>`)
	if all := widths(t, say); len(all) > 0 {
		b.WriteString(`<cols>`)
		for i, width := range all {
			fmt.Fprintf(b, `<col min="%d" max="%d" width="%d" customWidth="1"/>`, i+1, i+1, width)
		}
		b.WriteString(`</cols>`)
	}
	b.WriteString(`<sheetData>`)
	for _, row := range t.Rows {
		writeRow(b, row, say)
	}
	b.WriteString(`</sheetData></worksheet>`)
}

func writeRow(b *bufio.Writer, row book.TableRow, say *words.Speech) {
	fmt.Fprintf(b, `<row r="%d"`, row.Number)
	for _, cell := range row.Cells {
		if cell.Kind == book.CellHelp {
			fmt.Fprintf(b, ` ht="%d" customHeight="1"`, helpHeight)
			break
		}
	}
	b.WriteString(`>`)
	for i, cell := range row.Cells {
		writeCell(b, columnName(i)+strconv.Itoa(row.Number), cell, say)
	}
	b.WriteString(`</row>`)
}

func writeCell(b *bufio.Writer, at string, cell book.TableCell, say *words.Speech) {
	look := lookPlain
	switch cell.Kind {
	case book.CellBlank:
		return
	case book.CellNumber:
		number(b, at, lookPlain, strconv.FormatFloat(cell.Number, 'f', -1, 64))
		return
	case book.CellDay:
		// Before the day that never was, the 29th of February 1900, the systems
		// disagree about the numbers of days.
		if serial := cell.Day.Sub(zero1900) + 1; serial > 60 {
			number(b, at, lookDay, strconv.Itoa(serial))
			return
		}
	case book.CellHeading:
		look = lookHeading
	case book.CellHelp:
		look = lookHelp
	}
	openCell(b, at, look)
	b.WriteString(` t="inlineStr"><is><t xml:space="preserve">`)
	b.WriteString(cellText(shown(cell, say)))
	b.WriteString(`</t></is></c>`)
}

func number(b *bufio.Writer, at string, look int, figure string) {
	openCell(b, at, look)
	b.WriteString(`><v>`)
	b.WriteString(figure)
	b.WriteString(`</v></c>`)
}

func openCell(b *bufio.Writer, at string, look int) {
	b.WriteString(`<c r="`)
	b.WriteString(at)
	b.WriteString(`" s="`)
	b.WriteString(strconv.Itoa(look))
	b.WriteByte('"')
}

// columnName is a column, counted from 0, as spreadsheets call it: A, Z, AA.
func columnName(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return columnName(i/26-1) + string(rune('A'+i%26))
}

// mostText is the most characters of a cell that spreadsheets take.
const mostText = 32_767

// cellText is a text as it stands in a part: what XML cannot hold, and what
// would be read as such, is written _xHHHH_ (see unescape).
func cellText(text string) string {
	var b strings.Builder
	written := 0
	for i, r := range text {
		if written++; written > mostText {
			break
		}
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&quot;")
		case r < ' ' && r != '\t' && r != '\n', r == '\uFFFE', r == '\uFFFF', r == '_' && isEscape(text[i:]):
			fmt.Fprintf(&b, "_x%04X_", r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// isEscape says whether a text begins like a character written _xHHHH_.
func isEscape(text string) bool {
	if len(text) < 7 || text[1] != 'x' || text[6] != '_' {
		return false
	}
	_, err := strconv.ParseUint(text[2:6], 16, 16)
	return err == nil
}

// headingRow is the number of the row of headings, or 0.
func headingRow(t book.Table) int {
	for _, row := range t.Rows {
		if len(row.Cells) > 0 && row.Cells[0].Kind == book.CellHeading {
			return row.Number
		}
	}
	return 0
}

func widths(t book.Table, say *words.Speech) (widths []int) {
	for _, row := range t.Rows {
		for i, cell := range row.Cells {
			for len(widths) <= i {
				widths = append(widths, leastWidth)
			}
			if cell.Kind != book.CellHelp {
				widths[i] = min(max(widths[i], utf8.RuneCountInString(shown(cell, say))+2), mostWidth)
			}
		}
	}
	return widths
}
