package book

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"headtally/domain"
)

// column is what a column of a sheet means; columns gives for each the ways its
// heading may be written, as foldKey makes them.
type (
	column  string
	columns map[column][]string
)

// The columns of the sheets that are read.
const (
	colCustomer  column = "customer"
	colProduct   column = "case"
	colDay       column = "pickup day"
	colArrival   column = "arrival day"
	colCases     column = "cases"
	colHeads     column = "heads"
	colDozens    column = "dozens"
	colPO        column = "purchase order"
	colReference column = "reference"
	colNote      column = "note"
)

// orderColumns are the columns of an order sheet.
var orderColumns = columns{
	colCustomer: {"customer", "customername", "customercode", "client", "clientname", "account", "accountname", "shipto", "buyer", "restaurant",
		"store", "cliente", "clientenombre", "nombredelcliente", "restaurante"},
	colProduct: {"case", "product", "productname", "productcode", "item", "itemname", "itemcode", "itemnumber", "itemno", "sku", "article", "description",
		"producto", "articulo", "caja", "descripcion"},
	colDay: {"pickupday", "pickupdate", "pickup", "day", "date", "collectionday", "collectiondate", "shipday", "shipdate", "shippingdate",
		"dispatchdate", "despatchdate", "loadday", "loaddate", "diaderecogida", "fechaderecogida", "recogida", "dia", "fecha"},
	colArrival: {"arrivalday", "arrivaldate", "arrival", "deliveryday", "deliverydate", "delivery", "deliveron", "duedate", "due", "needby",
		"diadellegada", "fechadellegada", "llegada", "diadeentrega", "fechadeentrega", "entrega"},
	colCases: {"cases", "casesordered", "quantity", "qty", "orderqty", "orderquantity", "casesqty", "qtycases", "boxes", "cs", "cartons", "ordered",
		"cajas", "cantidad", "pedido"},
	colHeads:     {"heads", "qtyheads", "cabezas"},
	colDozens:    {"dozens", "dozen", "dz", "docenas"},
	colPO:        {"purchaseorder", "purchaseordernumber", "purchaseorderno", "po", "pono", "ponumber", "ponr", "customerpo", "ordendecompra", "oc"},
	colReference: {"reference", "ref", "refno", "orderreference", "orderref", "ordernumber", "orderno", "ordernr", "referencia", "numerodepedido"},
	colNote:      {"note", "notes", "comment", "comments", "remark", "remarks", "instructions", "nota", "notas", "observaciones"},
}

// Columns of counts and of the workbook.
const (
	colSetting    column = "setting"
	colValue      column = "value"
	colVariety    column = "variety"
	colShelf      column = "shelf days"
	colHold       column = "hold days"
	colReady      column = "ready days"
	colGood       column = "good in ten"
	colPerTray    column = "heads per tray"
	colPerRaft    column = "heads per raft"
	colVarieties  column = "varieties"
	colChoice     column = "growers choice"
	colCap        column = "most of one variety"
	colCarrier    column = "carrier"
	colWeekdays   column = "weekdays"
	colHour       column = "hour"
	colLead       column = "lead days"
	colCutoffDays column = "closes days before"
	colCutoffHour column = "closes at"
	colChange     column = "change"
	colMovedTo    column = "moved to"
	colImportance column = "importance"
	colSubstitute column = "substitutes"
	colNever      column = "never sent"
	colLeastLife  column = "least days left"
	colStop       column = "stop"
	colAllOrNone  column = "all or none"
	colEvery      column = "every weeks"
	colFrom       column = "from"
	colUntil      column = "until"
	colPromised   column = "promised"
	colCountDay   column = "count day"
	colBed        column = "bed"
	colPlace      column = "place"
	colRaftsNow   column = "rafts now"
	colRaftsNext  column = "rafts next"
	colRaftsAfter column = "rafts after"
	colHeadsNow   column = "heads now"
	colHeadsNext  column = "heads next"
	colHeadsAfter column = "heads after"
	colPoor       column = "rafts poor"
	colLastDay    column = "last day"
	colPulled     column = "pulled"
	colContents   column = "contents"
	colOwnRound   column = "own round"
	colPhone      column = "telephone"
	colMail       column = "mail"
	colLot        column = "lot"
	colRafts      column = "rafts"
	colCulls      column = "culls"
	colLotCode    column = "lot code"
)

// The columns of the workbook's sheets; orders has those of an order sheet and
// some of its own.
var (
	farmColumns    = columns{colSetting: {"setting", "ajuste"}, colValue: {"value", "valor"}}
	varietyColumns = columns{colVariety: varietySpellings, colShelf: {"shelfdays", "shelflife", "diasdevida"},
		colHold: {"holddays", "heldatmost", "diasdeguarda"}, colReady: {"readydays", "diaslista"}, colGood: {"goodinten", "buenasdediez"},
		colPerTray: {"headspertray", "cabezasporbandeja"}, colPerRaft: {"headsperraft", "cabezasporbalsa"}}
	caseColumns = columns{colProduct: orderColumns[colProduct], colHeads: orderColumns[colHeads],
		colVarieties: {"varieties", "variety", "accepted", "variedades", "variedad"}, colChoice: {"growerschoice", "aeleccion"},
		colCap: {"mostofonevariety", "cap", "maximodeunavariedad"}}
	dayColumns = columns{colCarrier: carrierSpellings, colOwnRound: {"ownround", "rutapropia", "rondapropia"}, colWeekdays: weekdaySpellings, colHour: {"hour", "time", "hora"},
		colLead: {"leaddays", "diasdeantelacion"}, colCutoffDays: {"closesdaysbefore", "cierradiasantes"}, colCutoffHour: {"closesat", "cierraalas"},
		colDay: orderColumns[colDay], colChange: {"change", "cambio"}, colMovedTo: {"movedto", "trasladadoal"}, colNote: orderColumns[colNote]}
	customerColumns = columns{colCustomer: orderColumns[colCustomer], colImportance: {"importance", "importancia"},
		colSubstitute: {"substitutes", "sustitutos"}, colNever: {"neversent", "nuncaseenvia"}, colLeastLife: {"leastdaysleft", "diasminimos"},
		colCarrier: carrierSpellings, colStop: {"stop", "parada"}, colAllOrNone: allOrNoneSpellings,
		colPhone: {"telephone", "phone", "telefono"}, colMail: {"mail", "email", "correo"}}
	standingColumns = columns{colCustomer: orderColumns[colCustomer], colProduct: orderColumns[colProduct], colCases: orderColumns[colCases],
		colDay: orderColumns[colDay], colWeekdays: weekdaySpellings, colEvery: {"everyweeks", "cadasemanas"}, colFrom: {"from", "desde"},
		colUntil: {"until", "hasta"}, colPromised: {"promised", "prometidas"}, colAllOrNone: allOrNoneSpellings, colPO: orderColumns[colPO], colReference: orderColumns[colReference], colNote: orderColumns[colNote]}
	countColumns = columns{colCountDay: {"countday", "counted", "day", "date", "diadelconteo", "fecha"}, colBed: {"bed", "cama"}, colPlace: {"place", "position", "lugar"}, colVariety: varietySpellings,
		colRaftsNow: {"raftsnow", "raftsreadynow", "rafts", "balsasahora", "balsas"}, colRaftsNext: {"raftsnext", "raftsbynextharvest", "balsasproxima"},
		colRaftsAfter: {"raftsafter", "raftsbytheoneafter", "balsassiguiente"}, colHeadsNow: {"headsnow", "headsreadynow", "heads", "cabezasahora", "cabezas"},
		colHeadsNext: {"headsnext", "headsbynextharvest", "cabezasproxima"}, colHeadsAfter: {"headsafter", "headsbytheoneafter", "cabezassiguiente"},
		colPoor: {"raftspoor", "poor", "balsasmalas"}, colPerRaft: {"headsperraft", "cabezasporbalsa"}, colLastDay: {"lastday", "ultimodia"}}
	coolerColumns = columns{colVariety: varietySpellings, colHeads: orderColumns[colHeads], colProduct: orderColumns[colProduct], colCases: orderColumns[colCases],
		colPulled: {"pulled", "pulledon", "harvested", "cosechado", "cosechadoel"}, colContents: {"contents", "contenido"},
		colLotCode: {"lotcode", "traceabilitylotcode", "tlc", "codigodelote"}}
	liftColumns = columns{colCountDay: {"countday", "liftday", "lifted", "day", "date", "diadecosecha", "dia", "fecha"}, colVariety: varietySpellings,
		colBed: countColumns[colBed], colLot: {"lot", "lote"}, colRafts: {"rafts", "raftslifted", "balsas"},
		colHeads: {"heads", "trueheads", "headslifted", "goodheads", "cabezas", "cabezasreales"}, colCulls: {"culls", "culled", "descartes", "descartadas"}}

	varietySpellings   = []string{"variety", "variedad"}
	carrierSpellings   = []string{"carrier", "whocomes", "truck", "round", "transportista"}
	weekdaySpellings   = []string{"weekdays", "diasdelasemana"}
	allOrNoneSpellings = []string{"allornone", "todoonada"}
)

// foldKey is what is left of a name or a heading when case, accents, spaces and
// punctuation are no matter.
func foldKey(text string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(text) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return b.String()
}

// column is what a heading's text means, or "".
func (c columns) column(text string) column {
	key := foldKey(text)
	if key == "" {
		return ""
	}
	for col, spellings := range c {
		for _, s := range spellings {
			if s == key {
				return col
			}
		}
	}
	return ""
}

// heading is the row of a sheet that says what its columns mean.
type heading struct {
	row   int            // its place in the table's rows
	at    map[column]int // the place of each column
	other []int          // columns with a heading of another meaning
}

// headingSearch is how many rows from the top the heading is looked for: above
// it a sheet may have a title, help or an address.
const headingSearch = 30

// findHeading finds the row with the most columns that are known, or none where
// no row has two. A column that stands twice is a fault naming both.
func (c columns) findHeading(t *Table) (*heading, domain.Faults) {
	best, found := -1, 1
	for i := range t.Rows[:min(headingSearch, len(t.Rows))] {
		if n := c.known(&t.Rows[i]); n > found {
			best, found = i, n
		}
	}
	if best < 0 {
		return nil, nil
	}
	return c.readHeading(t, best)
}

// known counts the different columns whose headings a row has.
func (c columns) known(row *TableRow) int {
	seen := map[column]bool{}
	for _, cell := range row.Cells {
		if cell.Kind == CellText {
			if col := c.column(cell.Text); col != "" {
				seen[col] = true
			}
		}
	}
	return len(seen)
}

func (c columns) readHeading(t *Table, n int) (*heading, domain.Faults) {
	h := &heading{row: n, at: map[column]int{}}
	var faults domain.Faults
	row := &t.Rows[n]
	for i, cell := range row.Cells {
		if cell.Kind == CellBlank || cell.Spread && i > 0 && row.Cells[i-1].Text == cell.Text {
			continue
		}
		col := column("")
		if cell.Kind == CellText {
			col = c.column(cell.Text)
		}
		if col == "" {
			h.other = append(h.other, i)
			continue
		}
		if first, twice := h.at[col]; twice {
			faults = append(faults, cellFault(t.Name, row.Number, i, string(col), "heading_twice", "other", ColumnName(first)))
			continue
		}
		h.at[col] = i
	}
	return h, faults
}

// has says whether the sheet has a column.
func (h *heading) has(col column) bool { _, ok := h.at[col]; return ok }

// texts are the columns' headings as the sheet writes them.
func (h *heading) texts(t *Table) map[string]string {
	texts := make(map[string]string, len(h.at))
	for col, i := range h.at {
		texts[string(col)] = t.Rows[h.row].At(i).Text
	}
	return texts
}

// headingsSeen are the texts of the row that is most like a heading in the first
// sheet that is read: the one that is known, else the first with the most texts.
func headingsSeen(tables []Table, o OrderSheet) (texts []string) {
	at := slices.IndexFunc(tables, func(t Table) bool {
		return len(t.Rows) > 0 && (o.Sheet == "" || foldKey(t.Name) == foldKey(o.Sheet))
	})
	if at < 0 {
		return nil
	}
	t := &tables[at]
	texts = rowTexts(&t.Rows[0])
	for i := range t.Rows[:min(headingSearch, len(t.Rows))] {
		if more := rowTexts(&t.Rows[i]); len(more) > len(texts) {
			texts = more
		}
	}
	if h, _ := o.vocabulary().findHeading(t); h != nil {
		return rowTexts(&t.Rows[h.row])
	}
	return texts
}

func rowTexts(row *TableRow) (texts []string) {
	for _, c := range row.Cells {
		if c.Kind == CellText && !slices.Contains(texts, c.Text) {
			texts = append(texts, c.Text)
		}
	}
	return texts
}

// cell is the cell of a column in a row, blank where the sheet has none.
func (h *heading) cell(row *TableRow, col column) TableCell {
	if i, ok := h.at[col]; ok {
		return row.At(i)
	}
	return TableCell{}
}

// index is a column's place, or -1.
func (h *heading) index(col column) int {
	if i, ok := h.at[col]; ok {
		return i
	}
	return -1
}

// repeats says whether a row says the headings once more, as the pages of a
// long sheet do.
func (c columns) repeats(h *heading, row *TableRow) bool {
	for col, i := range h.at {
		if c.column(row.At(i).Text) != col {
			return false
		}
	}
	return true
}

// totals are the words that begin a row of sums.
var totals = map[string]bool{"total": true, "totals": true, "grandtotal": true, "subtotal": true, "sum": true, "totalgeneral": true, "suma": true, "sumas": true}

// isTotal says whether a row is a sum of those above: its first text says so.
func isTotal(row *TableRow) bool {
	for _, cell := range row.Cells {
		if cell.Kind != CellBlank {
			return cell.Kind == CellText && totals[foldKey(cell.Text)]
		}
	}
	return false
}

// isBlank says whether a row has nothing in the columns that are read.
func (h *heading) isBlank(row *TableRow, more []int) bool {
	for _, i := range h.at {
		if row.At(i).Kind != CellBlank {
			return false
		}
	}
	for _, i := range more {
		if row.At(i).Kind != CellBlank {
			return false
		}
	}
	return true
}
