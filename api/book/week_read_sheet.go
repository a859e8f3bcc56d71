package book

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"headtally/domain"
)

// The sheets of a workbook, by the words their names are found by.
const (
	sheetFarm      = "Farm"
	sheetVarieties = "Varieties"
	sheetCases     = "Cases"
	sheetDays      = "Days"
	sheetCustomers = "Customers"
	sheetCount     = "Count"
	sheetCooler    = "Cooler"
	sheetOrders    = "Orders"
)

// workbookReader reads a workbook into facts, sheet by sheet.
type workbookReader struct {
	order  DayOrder
	facts  domain.Facts
	day    domain.Day // of the count, and what it speaks to
	speaks domain.Day
	trade  *trade
	house  *countReader
	faults domain.Faults
	known  bookNames // nothing, where no book is asked
}

// ReadWorkbook reads a filled workbook: everything a first week's plan is made
// from. Codes are made from names; customers that only the orders name are made
// with what the farm means when it says nothing. Orders were asked for in the
// order of their rows.
func ReadWorkbook(tables []Table, order DayOrder) (domain.Facts, domain.Faults) {
	return readWorkbook(domain.NewFarm(), &bookNames{}, tables, order)
}

// readWorkbook is ReadWorkbook for a farm of which something is known: what the
// workbook leaves blank stays so, and what the book knows by a name keeps its
// code.
func readWorkbook(farm domain.Farm, known *bookNames, tables []Table, order DayOrder) (domain.Facts, domain.Faults) {
	w := &workbookReader{order: order, facts: domain.Facts{Farm: farm}, known: *known}
	for _, step := range []struct {
		sheet string
		must  bool
		read  func(*Table)
	}{
		{sheetFarm, false, w.readFarm}, {sheetVarieties, true, w.readVarieties}, {sheetCases, true, w.readCases}, {sheetDays, true, w.readCarriers},
		{sheetCustomers, false, w.readCustomers}, {sheetOrders, false, w.readOrders}, {sheetCount, false, w.readCount}, {sheetCooler, false, w.readCooler},
	} {
		t := sheetNamed(tables, step.sheet)
		switch {
		case t != nil:
			step.read(t)
		case step.must:
			w.faults = append(w.faults, SheetPlace(step.sheet, 0, -1, "").Fault("sheet_missing"))
		}
	}
	w.finish()
	return w.facts, w.faults
}

// sheetNamed finds a sheet by its English or Spanish name.
func sheetNamed(tables []Table, name string) *Table {
	spanish := map[string]string{sheetFarm: "finca", sheetVarieties: "variedades", sheetCases: "cajas", sheetDays: "dias", sheetCustomers: "clientes",
		sheetCount: "conteo", sheetCooler: "camara", sheetOrders: "pedidos"}
	for i := range tables {
		if key := foldKey(tables[i].Name); key == foldKey(name) || key == spanish[name] {
			return &tables[i]
		}
	}
	return nil
}

func (w *workbookReader) readVarieties(t *Table) {
	codes := coder{known: w.known.varieties}
	eachRow(t, varietyColumns, w.order, &w.faults, nil, func(r *sheetFields) {
		v := domain.Variety{Name: r.need(colVariety), ShelfDays: r.whole(colShelf, 1, 90), HoldDays: r.whole(colHold, 0, 60),
			ReadyDays: r.whole(colReady, 1, 60), GoodInTen: r.whole(colGood, 1, 10), HeadsPerTray: r.whole(colPerTray, 1, 1000)}
		if n := r.whole(colPerRaft, 1, 1000); n != nil {
			heads := domain.Heads(*n)
			v.HeadsPerRaft = &heads
		}
		if v.Name == "" {
			return
		}
		v.Code = codes.code(r, colVariety, v.Name)
		w.facts.Varieties = append(w.facts.Varieties, v)
	})
}

// readCases reads what goes in each case: a row a part of it; a row without a
// name belongs to the case above.
func (w *workbookReader) readCases(t *Table) {
	varieties := newRegister("variety", w.facts.Varieties, func(v domain.Variety) Named { return Named{v.Code, v.Name} })
	codes := coder{known: w.known.products}
	var p *domain.Product
	eachRow(t, caseColumns, w.order, &w.faults, nil, func(r *sheetFields) {
		if name := r.text(colProduct); name != "" {
			if p = w.productNamed(name); p == nil {
				w.facts.Products = append(w.facts.Products, domain.Product{Name: name, Code: codes.code(r, colProduct, name)})
				p = &w.facts.Products[len(w.facts.Products)-1]
			}
		}
		if p == nil {
			r.wrong(colProduct, unread("required"))
			return
		}
		if most := r.whole(colCap, 1, domain.MaxCount); most != nil {
			p.MaxHeadsPerVariety = most
		}
		slot := domain.Slot{Heads: domain.Heads(r.count(colHeads)), GrowersChoice: r.yes(colChoice)}
		slot.Accept = r.list(colVarieties, varieties)
		if slot.Heads == 0 {
			r.wrong(colHeads, unread("at_least", "limit", 1))
		} else if len(slot.Accept) == 0 && r.blank(colVarieties) {
			r.wrong(colVarieties, unread("required"))
		}
		p.Slots = append(p.Slots, slot)
	})
	for i := range w.facts.Products {
		for _, f := range w.facts.Products[i].Check() {
			if f.Code == "no_case_under_cap" || f.Code == "unique" {
				w.faults = append(w.faults, located(SheetPlace(t.Name, 0, -1, w.facts.Products[i].Name), f))
			}
		}
	}
}

func (w *workbookReader) productNamed(name string) *domain.Product {
	for i := range w.facts.Products {
		if foldKey(w.facts.Products[i].Name) == foldKey(name) {
			return &w.facts.Products[i]
		}
	}
	return nil
}

func (w *workbookReader) readCarriers(t *Table) {
	codes := coder{known: w.known.carriers}
	eachRow(t, dayColumns, w.order, &w.faults, nil, func(r *sheetFields) {
		if !r.blank(colDay) || !r.blank(colChange) {
			return // read when every carrier is known
		}
		c := domain.Carrier{Name: r.need(colCarrier), OwnRound: r.yes(colOwnRound), Pickups: r.weekdays(colWeekdays), Hour: r.clock(colHour),
			LeadDays: r.whole(colLead, 0, 7), CutoffHour: r.clock(colCutoffHour)}
		if n := r.whole(colCutoffDays, 0, 14); n != nil {
			c.CutoffDays = *n
		}
		if c.Pickups == 0 && r.blank(colWeekdays) {
			r.wrong(colWeekdays, unread("required"))
		}
		c.Code = codes.code(r, colCarrier, c.Name)
		w.facts.Carriers = append(w.facts.Carriers, c)
	})
	if len(w.facts.Carriers) == 0 {
		w.faults = append(w.faults, SheetPlace(t.Name, 0, -1, "").Fault("no_carrier"))
	}
	w.readExceptions(t)
}

// changeWords are the ways a day can differ from the week, as a sheet says them.
var changeWords = map[string]string{"closed": string(domain.Closed), "cerrado": string(domain.Closed), "extra": string(domain.Extra),
	"moved": string(domain.Moved), "trasladado": string(domain.Moved), "noharvest": string(domain.NoHarvest), "sincosecha": string(domain.NoHarvest),
	"extraharvest": string(domain.ExtraHarvest), "cosechaextra": string(domain.ExtraHarvest)}

// readExceptions reads the rows for single days: closed, extra or moved, of one
// carrier or of all.
func (w *workbookReader) readExceptions(t *Table) {
	carriers := newRegister("carrier", w.facts.Carriers, func(c domain.Carrier) Named { return Named{c.Code, c.Name} })
	var more []domain.Exception
	var ignored domain.Faults // those of the heading were told with the carriers
	eachRow(t, dayColumns, w.order, &ignored, nil, func(r *sheetFields) {
		if r.blank(colDay) && r.blank(colChange) {
			return
		}
		r.faults = &w.faults
		x := domain.Exception{ID: fmt.Sprintf("X%d", len(more)+1), Day: r.day(colDay), Carrier: r.named(colCarrier, carriers), To: r.day(colMovedTo), Note: r.text(colNote),
			Kind: domain.ExceptionKind(r.choice(colChange, changeWords, "closed", "extra", "moved", "no harvest", "extra harvest"))}
		if r.blank(colDay) {
			r.wrong(colDay, unread("required"))
		}
		if r.blank(colChange) {
			r.wrong(colChange, unread("required"))
		}
		if x.Day != 0 && x.Kind != "" {
			r.check(x.Check())
		}
		more = append(more, x)
	})
	w.facts.Exceptions = more
}

func (w *workbookReader) readCustomers(t *Table) {
	codes := coder{known: w.known.customers}
	w.trade = w.tradeNow()
	eachRow(t, customerColumns, w.order, &w.faults, nil, func(r *sheetFields) {
		c := domain.Customer{Name: r.need(colCustomer), Importance: domain.Importance(strings.ToLower(r.text(colImportance))),
			Substitutes: strings.ToLower(r.text(colSubstitute)), MinShelfDays: r.whole(colLeastLife, 0, 60), AllOrNone: r.yes(colAllOrNone),
			Phone: r.text(colPhone), Email: r.text(colMail)}
		if n := r.whole(colStop, 0, 1000); n != nil {
			c.Stop = *n
		}
		c.Importance, c.Substitutes = cmp.Or(c.Importance, domain.Steady), cmp.Or(c.Substitutes, "yes")
		c.Carrier = w.carrier(r)
		c.Refuse = r.list(colNever, w.trade.varieties)
		c.Code = codes.code(r, colCustomer, c.Name)
		if c.Name != "" && c.Carrier != "" {
			r.check(domain.Check(c))
		}
		w.facts.Customers = append(w.facts.Customers, c)
	})
}

// carrier is the carrier a row names, or the only one there is.
func (w *workbookReader) carrier(r *sheetFields) string {
	name := r.text(colCarrier)
	if name == "" {
		if w.trade.onlyOne == "" {
			r.wrong(colCarrier, unread("required"))
		}
		return w.trade.onlyOne
	}
	return r.find(colCarrier, w.trade.carriers, name)
}

func (w *workbookReader) readCount(t *Table) { w.counted().beds(t) }

func (w *workbookReader) readCooler(t *Table) { w.counted().cooler(t) }

// counted reads the house into the workbook's one count.
func (w *workbookReader) counted() *countReader {
	if w.house == nil {
		w.house = newCountReader(w.tradeNow(), w.day, w.order, &w.faults)
	}
	return w.house
}

// finish puts the count into the facts and gives every record its time.
func (w *workbookReader) finish() {
	f := &w.facts
	count := w.counted().done()
	if len(count.Beds)+len(count.Loose)+len(count.Packed) > 0 {
		if count.Day == 0 {
			w.faults = append(w.faults, SheetPlace(sheetFarm, 0, -1, lineCounted).Fault("required"))
			return
		}
		count.ID, count.Whole, count.SpeaksTo, count.At = "C1", true, w.speaks, count.Day.Time()
		w.faults = append(w.faults, w.counted().check(&count)...)
		f.Counts = []domain.Count{count}
	}
	byName := func(a, b string) int { return strings.Compare(a, b) }
	slices.SortFunc(f.Varieties, func(a, b domain.Variety) int { return byName(a.Code, b.Code) })
	slices.SortFunc(f.Products, func(a, b domain.Product) int { return byName(a.Code, b.Code) })
	slices.SortFunc(f.Carriers, func(a, b domain.Carrier) int { return byName(a.Code, b.Code) })
	slices.SortFunc(f.Customers, func(a, b domain.Customer) int { return byName(a.Code, b.Code) })
}

// asked is when the order of a row was asked for: before the count, one row
// after another, so that rows rank as they stand.
func (w *workbookReader) asked(row int) time.Time {
	return w.day.Add(-1).Time().Add(time.Duration(row) * time.Second)
}

// SheetsAre says what a file's sheets hold: a whole workbook, a walk count, a
// lift count, or orders.
func SheetsAre(tables []Table) domain.SheetKind {
	if sheetNamed(tables, sheetVarieties) != nil && sheetNamed(tables, sheetCases) != nil {
		return domain.WorkbookKind
	}
	for i := range tables {
		if isCounted(&tables[i], liftColumns, colHeads, colCulls) {
			return domain.LiftSheetKind
		}
		if isCounted(&tables[i], countColumns, colBed, colVariety) || isCounted(&tables[i], coolerColumns, colPulled) {
			return domain.CountSheetKind
		}
	}
	return domain.OrderSheetKind
}
