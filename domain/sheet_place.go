package domain

import "strconv"

// SheetPlace is a place in a file of sheets. What is left out is not meant: a
// place without a row is its whole sheet, one without a sheet the whole file.
type SheetPlace struct {
	File   string
	Sheet  string
	Row    int    // as the sheet numbers it, 1 being the first
	Column string // its letters
	What   string // the column's meaning, or the field of a record made from the row

	Kind, Code string // of the record that is at fault, where no row is
}

// String is the place in English, as logs and programs read it; people read it
// in the words of their language.
func (p SheetPlace) String() string {
	var place string
	switch {
	case p.Kind != "":
		place = p.Kind + " " + p.Code
	case p.Sheet == "":
		place = "file " + p.File
	default:
		place = "sheet " + p.Sheet
	}
	if p.Row > 0 {
		place += ", row " + strconv.Itoa(p.Row)
	}
	if p.Column != "" {
		place += ", column " + p.Column
	}
	if p.What != "" {
		place += " (" + p.What + ")"
	}
	return place
}

// Field is the place of a field of the record that was made here.
func (p SheetPlace) Field(name string) SheetPlace {
	p.What = name
	return p
}

// Fault is a fault at this place; args are pairs of a name and a value.
func (p SheetPlace) Fault(code string, args ...any) Fault {
	var faults Faults
	faults.Add(p.String(), code, args...)
	faults[0].In = &p
	return faults[0]
}
