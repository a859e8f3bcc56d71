package domain

import "time"

// Sheet is a sheet of orders or a count that was taken into the book. Its ID is
// the fingerprint of the file, so that the same file sent twice changes nothing.
type Sheet struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"`
	Taken  time.Time `json:"taken"`
	Rows   int       `json:"rows"`
	Parked int       `json:"parked,omitempty"`
	Orders []string  `json:"orders,omitempty"` // the orders it made or changed
}

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
