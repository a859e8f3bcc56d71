package farm

import _ "embed"

// Workbook is the farm as a workbook, OrderCSV and OrderXLSX a mail of later
// orders that came as a sheet; all are written by a test of api/sheets with
// -update.
var (
	//go:embed farm.xlsx
	Workbook []byte
	//go:embed orders.csv
	OrderCSV []byte
	//go:embed orders.xlsx
	OrderXLSX []byte
)

// Mail is the rows of the mail's sheet: the headings first.
var Mail = [][]string{
	{"Customer", "Product", "Ship date", "Qty", "PO", "Remarks"},
	{"Hotel Palisade", "Coast blend", "2027-04-15", "2", "HP-2211", "banquet, cold room entrance"},
	{"Windward Foods", "Butterhead ten", "2027-04-19", "3", "W-5121", ""},
	{"The Tin Lantern", "Chef's six", "2027-04-17", "1", "TL 89", ""},
	{"Sandpiper Canteen", "Coast blend", "2027-04-22", "0", "", "holiday week"},
}
