package domain

import "time"

// Sheet is a file of sheets that was taken into the book. Its ID is the
// fingerprint of what it says, so that the same file sent twice changes nothing.
type Sheet struct {
	ID         string    `json:"id"`
	Name       string    `json:"name"`
	Kind       SheetKind `json:"kind,omitempty"`
	Sender     string    `json:"sender,omitempty"` // who sends such sheets, where that was told
	Taken      time.Time `json:"taken"`
	Rows       int       `json:"rows"`
	Parked     int       `json:"parked,omitempty"`
	Orders     []string  `json:"orders,omitempty"`      // the orders it made or changed
	ReplacedBy string    `json:"replaced_by,omitempty"` // the later sheet of its sender that changed its orders
}

// SheetKind is what a file of sheets is about.
type SheetKind string

// An order sheet, a walk count, a lift count, and a whole workbook for a first
// week.
const (
	OrderSheetKind SheetKind = "orders"
	CountSheetKind SheetKind = "count"
	LiftSheetKind  SheetKind = "lift"
	WorkbookKind   SheetKind = "workbook"
)

// ParkedRow is a row of an order sheet that could not be read, kept with its
// fault at the head of its day's list of things to decide.
type ParkedRow struct {
	ID    string   `json:"id"`
	Sheet string   `json:"sheet"`
	Row   int      `json:"row"`
	Day   Day      `json:"day"`
	Cells []string `json:"cells"`
	Fault Fault    `json:"fault"`
	Done  string   `json:"done,omitempty"` // how it was settled
}
