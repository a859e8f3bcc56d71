package sheets

import (
	"encoding/xml"
	"path"
	"strconv"
	"strings"

	"headtally/api/book"
)

// A workbook is read here part by part as it streams by, rather than by the
// library that writes them: that hands out cells as text, which tells neither a
// date from a number nor a formula that keeps no value from an empty cell, and
// where it does tell, it holds the whole sheet and makes room for every row up
// to the last one a file names. The tests read what the library writes.

// workbook is a workbook being read.
type workbook struct {
	parts     *parts
	limits    Limits
	since1904 bool
	texts     []string // the shared strings
	days      []bool   // cell style -> it shows a day
	cells     int      // read so far, all sheets together
}

// sheetRef is a sheet as the workbook names it.
type sheetRef struct {
	name, part string
	hidden     bool
}

func readWorkbook(name string, data []byte, o Limits) ([]book.Table, Notes, error) {
	p, err := openParts(name, data, o)
	if err != nil {
		return nil, nil, err
	}
	w := &workbook{parts: p, limits: o}
	refs, err := w.contents()
	if err != nil {
		return nil, nil, err
	}
	var tables []book.Table
	var notes Notes
	for _, ref := range refs {
		if ref.hidden {
			notes = append(notes, book.SheetPlace(ref.name, 0, -1, "").Fault("sheet_hidden"))
			continue
		}
		table, err := w.sheet(ref)
		if err != nil {
			return nil, nil, err
		}
		tables = append(tables, table)
	}
	if len(tables) == 0 {
		return nil, nil, fault(ofFile(name), "no_sheet_inside")
	}
	return tables, notes, p.anyBroken()
}

// relation is one line of a part's relationships.
type relation struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
}

// relations reads the relationships of a part, with targets as part names.
func (w *workbook) relations(part string) ([]relation, error) {
	dir, base := path.Split(part)
	file := path.Join(dir, "_rels", base+".rels")
	if !w.parts.has(file) {
		return nil, nil
	}
	var doc struct {
		Relations []relation `xml:"Relationship"`
	}
	if err := w.whole(file, &doc); err != nil {
		return nil, err
	}
	for i, r := range doc.Relations {
		if !strings.HasPrefix(r.Target, "/") {
			doc.Relations[i].Target = path.Join(dir, r.Target)
		}
	}
	return doc.Relations, nil
}

// whole reads a small part at once.
func (w *workbook) whole(part string, doc any) error {
	place := ofFile(w.parts.name)
	r, err := w.parts.open(part, place)
	if err != nil {
		return err
	}
	defer r.Close()
	if err := xml.NewDecoder(r).Decode(doc); err != nil {
		return fault(place, "part_unreadable", "part", part)
	}
	return nil
}

// contents reads what the workbook holds: its date system, its sheets in their
// order, its shared strings and its styles.
func (w *workbook) contents() ([]sheetRef, error) {
	main := "xl/workbook.xml"
	top, err := w.relations("")
	if err != nil {
		return nil, err
	}
	for _, r := range top {
		if strings.HasSuffix(r.Type, "/officeDocument") {
			main = r.Target
		}
	}
	if !w.parts.has(main) {
		return nil, fault(ofFile(w.parts.name), "no_workbook_inside")
	}
	var doc struct {
		Properties struct {
			Date1904 string `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name  string     `xml:"name,attr"`
			State string     `xml:"state,attr"`
			Attrs []xml.Attr `xml:",any,attr"`
		} `xml:"sheets>sheet"`
	}
	if err := w.whole(main, &doc); err != nil {
		return nil, err
	}
	w.since1904 = isTrue(doc.Properties.Date1904)
	links, err := w.relations(main)
	if err != nil {
		return nil, err
	}
	targets := map[string]relation{}
	for _, r := range links {
		targets[r.ID] = r
		switch {
		case strings.HasSuffix(r.Type, "/sharedStrings"):
			err = w.readTexts(r.Target)
		case strings.HasSuffix(r.Type, "/styles"):
			err = w.readStyles(r.Target)
		}
		if err != nil {
			return nil, err
		}
	}
	var refs []sheetRef
	for _, s := range doc.Sheets {
		link, there := targets[attr(s.Attrs, "id")]
		if !there {
			return nil, fault(book.SheetPlace(s.Name, 0, -1, ""), "part_missing", "part", attr(s.Attrs, "id"))
		}
		if strings.HasSuffix(link.Type, "/worksheet") {
			refs = append(refs, sheetRef{name: s.Name, part: link.Target, hidden: s.State == "hidden" || s.State == "veryHidden"})
		}
	}
	if len(refs) > w.limits.Sheets {
		return nil, fault(ofFile(w.parts.name), "too_many_sheets", "limit", w.limits.Sheets)
	}
	return refs, nil
}

// readTexts reads the strings that cells share; the pronunciation that East
// Asian text carries is left out.
func (w *workbook) readTexts(part string) error {
	place := ofFile(w.parts.name)
	r, err := w.parts.open(part, place)
	if err != nil {
		return err
	}
	defer r.Close()
	d := xml.NewDecoder(r)
	for {
		token, err := d.Token()
		if err != nil {
			if isEnd(err) {
				return nil
			}
			return fault(place, "part_unreadable", "part", part)
		}
		start, ok := token.(xml.StartElement)
		if !ok || start.Name.Local != "si" {
			continue
		}
		text, err := richText(d)
		if err != nil {
			return fault(place, "part_unreadable", "part", part)
		}
		if len(w.texts) >= w.limits.Cells {
			return fault(place, "too_many_cells", "limit", w.limits.Cells)
		}
		w.texts = append(w.texts, text)
	}
}

// richText reads the text of the element that was just begun, to its end.
func richText(d *xml.Decoder) (string, error) {
	var b strings.Builder
	inText, phonetic := false, 0
	for depth := 1; depth > 0; {
		token, err := d.Token()
		if err != nil {
			return "", err
		}
		switch t := token.(type) {
		case xml.StartElement:
			depth++
			inText = t.Name.Local == "t"
			if t.Name.Local == "rPh" {
				phonetic = depth
			}
		case xml.EndElement:
			if depth == phonetic {
				phonetic = 0
			}
			depth--
			inText = false
		case xml.CharData:
			if inText && phonetic == 0 {
				b.Write(t)
			}
		}
	}
	return unescape(b.String()), nil
}

// unescape reads _xHHHH_, by which a workbook writes a character that XML
// cannot hold (ECMA-376 Part 1, section 22.9.2.19).
func unescape(text string) string {
	if !strings.Contains(text, "_x") {
		return text
	}
	var b strings.Builder
	for {
		n := strings.Index(text, "_x")
		if n < 0 || n+7 > len(text) {
			break
		}
		code, err := strconv.ParseUint(text[n+2:n+6], 16, 16)
		if err != nil || text[n+6] != '_' {
			b.WriteString(text[:n+2])
			text = text[n+2:]
			continue
		}
		b.WriteString(text[:n])
		b.WriteRune(rune(code))
		text = text[n+7:]
	}
	return b.String() + text
}

// readStyles learns which cell styles show a day.
func (w *workbook) readStyles(part string) error {
	var doc struct {
		Formats []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if err := w.whole(part, &doc); err != nil {
		return err
	}
	own := map[int]bool{}
	for _, f := range doc.Formats {
		own[f.ID] = showsDay(f.Code)
	}
	for _, c := range doc.Cells {
		shows, told := own[c.Format]
		w.days = append(w.days, shows || !told && builtinDate(c.Format))
	}
	return nil
}

func attr(attrs []xml.Attr, local string) string {
	for _, a := range attrs {
		if a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}

func isTrue(text string) bool { return text == "1" || text == "true" || text == "on" }
