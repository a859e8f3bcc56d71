package book

import (
	"strconv"
	"strings"
	"time"

	"headtally/domain"
)

// WorkbookTables writes facts as a workbook that ReadWorkbook reads back: eight
// sheets, each with a line of help and its headings. Only the first term of a
// standing order and the last count are in it.
func WorkbookTables(f *domain.Facts) []Table {
	w := workbookWriter{f: f, varieties: map[string]string{}, products: map[string]string{}, carriers: map[string]string{}, customers: map[string]string{}}
	for _, v := range f.Varieties {
		w.varieties[v.Code] = v.Name
	}
	for _, v := range f.Products {
		w.products[v.Code] = v.Name
	}
	for _, v := range f.Carriers {
		w.carriers[v.Code] = v.Name
	}
	for _, v := range f.Customers {
		w.customers[v.Code] = v.Name
	}
	if len(f.Counts) > 0 {
		w.count = f.Counts[len(f.Counts)-1]
	}
	return []Table{w.farm(), w.varietySheet(), w.caseSheet(), w.daySheet(), w.customerSheet(), w.countSheet(), w.coolerSheet(), w.orderSheet()}
}

type workbookWriter struct {
	f                                        *domain.Facts
	count                                    domain.Count
	varieties, products, carriers, customers map[string]string // code -> name
}

// begin is a sheet with its line of help and its headings.
func begin(name string, cols ...column) Table {
	t := Table{Name: name}
	t.Add(TableCell{Kind: CellHelp, Text: strings.ToLower(name)})
	headings := make([]any, len(cols))
	for i, col := range cols {
		headings[i] = TableCell{Kind: CellHeading, Text: string(col)}
	}
	t.Add(headings...)
	return t
}

func (w *workbookWriter) farm() Table {
	t := begin(sheetFarm, colSetting, colValue)
	for _, s := range settings {
		t.Add(s.name, s.give(&w.f.Farm))
	}
	t.Add(lineCounted, w.count.Day)
	t.Add(lineSpeaks, w.count.SpeaksTo)
	return t
}

// told is a figure of one's own, or a blank cell.
func told(n *int) any {
	if n == nil {
		return nil
	}
	return *n
}

func toldHeads(n *domain.Heads) any {
	if n == nil {
		return nil
	}
	return *n
}

// some is a figure, or a blank cell for none.
func some[T ~int](n T) any {
	if n == 0 {
		return nil
	}
	return cellOf(int(n))
}

func someRafts(n domain.HalfRafts) any {
	if n == 0 {
		return nil
	}
	return n
}

func yesOr(yes bool) any {
	if yes {
		return "yes"
	}
	return nil
}

func clockOr(c domain.Clock, blank bool) any {
	if blank {
		return nil
	}
	return c.String()
}

func (w *workbookWriter) varietySheet() Table {
	t := begin(sheetVarieties, colVariety, colShelf, colHold, colReady, colGood, colPerTray, colPerRaft)
	for _, v := range w.f.Varieties {
		t.Add(v.Name, told(v.ShelfDays), told(v.HoldDays), told(v.ReadyDays), told(v.GoodInTen), told(v.HeadsPerTray), toldHeads(v.HeadsPerRaft))
	}
	return t
}

func (w *workbookWriter) caseSheet() Table {
	t := begin(sheetCases, colProduct, colHeads, colVarieties, colChoice, colCap)
	for _, p := range w.f.Products {
		for i, s := range p.Slots {
			most := any(nil)
			if i == 0 {
				most = told(p.MaxHeadsPerVariety)
			}
			t.Add(p.Name, s.Heads, w.names(s.Accept, " / "), yesOr(s.GrowersChoice), most)
		}
	}
	return t
}

func (w *workbookWriter) names(codes []string, between string) string {
	names := make([]string, len(codes))
	for i, code := range codes {
		names[i] = w.varieties[code]
	}
	return strings.Join(names, between)
}

func (w *workbookWriter) daySheet() Table {
	t := begin(sheetDays, colCarrier, colOwnRound, colWeekdays, colHour, colLead, colCutoffDays, colCutoffHour, colDay, colChange, colMovedTo, colNote)
	for _, c := range w.f.Carriers {
		never := c.CutoffDays == 0 && c.CutoffHour == 0
		t.Add(c.Name, yesOr(c.OwnRound), weekdaysText(c.Pickups), clockOr(c.Hour, c.Hour == 0), told(c.LeadDays), some(c.CutoffDays), clockOr(c.CutoffHour, never))
	}
	for _, x := range w.f.Exceptions {
		t.Add(w.carriers[x.Carrier], nil, nil, nil, nil, nil, nil, x.Day, strings.ReplaceAll(string(x.Kind), "_", " "), x.To, x.Note)
	}
	return t
}

func (w *workbookWriter) customerSheet() Table {
	t := begin(sheetCustomers, colCustomer, colImportance, colSubstitute, colNever, colLeastLife, colCarrier, colStop, colAllOrNone, colPhone, colMail)
	for _, c := range w.f.Customers {
		t.Add(c.Name, string(c.Importance), c.Substitutes, w.names(c.Refuse, " / "), told(c.MinShelfDays), w.carriers[c.Carrier], some(c.Stop), yesOr(c.AllOrNone), c.Phone, c.Email)
	}
	return t
}

func (w *workbookWriter) countSheet() Table {
	t := begin(sheetCount, colBed, colPlace, colVariety, colRaftsNow, colRaftsNext, colRaftsAfter, colPoor, colPerRaft, colLastDay, colHeadsNow, colHeadsNext, colHeadsAfter)
	for _, b := range w.count.Beds {
		bed := any(b.Bed)
		if n, err := strconv.Atoi(b.Bed); err == nil && strconv.Itoa(n) == b.Bed {
			bed = n
		}
		t.Add(bed, told(b.Place), w.varieties[b.Variety], someRafts(b.RaftsNow), someRafts(b.RaftsNext), someRafts(b.RaftsAfter), someRafts(b.Poor),
			toldHeads(b.HeadsPerRaft), b.LastDay, some(b.HeadsNow), some(b.HeadsNext), some(b.HeadsAfter))
	}
	return t
}

func (w *workbookWriter) coolerSheet() Table {
	t := begin(sheetCooler, colVariety, colHeads, colProduct, colCases, colPulled, colLotCode)
	for _, l := range w.count.Loose {
		t.Add(w.varieties[l.Variety], l.Heads, nil, nil, l.Pulled)
	}
	for _, p := range w.count.Packed {
		t.Add(nil, nil, w.products[p.Product], p.Cases, p.Pulled, p.Trace)
	}
	return t
}

func (w *workbookWriter) orderSheet() Table {
	t := begin(sheetOrders, colCustomer, colProduct, colDay, colWeekdays, colCases, colPromised, colAllOrNone, colPO, colReference, colNote, colFrom, colUntil, colEvery)
	for _, s := range w.f.Standing {
		term := s.Terms[0]
		every := any(nil)
		if term.Every > 1 {
			every = term.Every
		}
		t.Add(w.customers[s.Customer], w.products[s.Product], nil, weekdaysText(term.Weekdays), term.Cases, nil, yesOr(term.AllOrNone), s.PO, nil, s.Note,
			term.From, term.Until, every)
	}
	words := map[string]domain.Cases{}
	for _, d := range w.f.Decisions {
		words[d.Line] = d.Promised
	}
	carriers := map[string]string{}
	for _, c := range w.f.Customers {
		carriers[c.Code] = c.Carrier
	}
	for _, o := range w.f.Orders {
		for _, l := range o.Lines {
			t.Add(w.customers[o.Customer], w.products[l.Product], o.Pickup, nil, l.Cases, some(words[domain.LineID(o.ID, l.Product, carriers[o.Customer], o.Pickup)]),
				yesOr(l.AllOrNone), o.PO, o.Reference, o.Note)
		}
	}
	return t
}

// ExampleFarm is the tiny invented farm whose rows stand in a new workbook as
// examples. It is counted on the day given, which has a pickup the day after.
func ExampleFarm(day domain.Day) domain.Facts {
	farm := domain.NewFarm()
	farm.Name, farm.HeadsPerRaft, farm.CaseSpaces = "My greenhouse", 30, 60
	asked := day.Add(-1).Time()
	next := day.Add(1)
	return domain.Facts{Farm: farm,
		Varieties: []domain.Variety{{Code: "GREEN-BUTTERHEAD", Name: "Green butterhead"}, {Code: "RED-OAKLEAF", Name: "Red oakleaf"}},
		Products: []domain.Product{
			{Code: "BUTTERHEAD-12", Name: "Butterhead 12", Slots: []domain.Slot{{Heads: 12, Accept: []string{"GREEN-BUTTERHEAD"}}}},
			{Code: "MIXED-12", Name: "Mixed 12", Slots: []domain.Slot{{Heads: 6, Accept: []string{"RED-OAKLEAF", "GREEN-BUTTERHEAD"}}, {Heads: 6, Accept: []string{"GREEN-BUTTERHEAD"}}}},
		},
		Carriers:  []domain.Carrier{{Code: "VAN", Name: "Van", Pickups: domain.WeekdaysOf(next.Weekday(), next.Add(3).Weekday()), Hour: 7 * 60, CutoffDays: 1, CutoffHour: 14 * 60}},
		Customers: []domain.Customer{{Code: "THE-EXAMPLE-INN", Name: "The Example Inn", Importance: domain.Steady, Substitutes: "yes", Carrier: "VAN"}},
		Standing: []domain.Standing{{ID: "S1", Customer: "THE-EXAMPLE-INN", Product: "MIXED-12",
			Terms: []domain.Term{{From: day, Weekdays: domain.WeekdaysOf(next.Weekday()), Every: 1, Cases: 4, Received: asked.Add(3 * time.Second)}}}},
		Orders: []domain.Order{{ID: "O1", Customer: "THE-EXAMPLE-INN", Pickup: next, Mode: domain.Add, PO: "1001", Received: asked.Add(4 * time.Second),
			Lines: []domain.OrderLine{{Product: "BUTTERHEAD-12", Cases: 3}}}},
		Counts: []domain.Count{{ID: "C1", Day: day, SpeaksTo: day.Add(5), Whole: true, Cooler: true, At: day.Time(), Beds: []domain.BedCount{
			{Bed: "1", Variety: "GREEN-BUTTERHEAD", RaftsNow: 6, RaftsNext: 2}, {Bed: "2", Variety: "RED-OAKLEAF", RaftsNow: 3}},
			Loose: []domain.LooseHeads{{Variety: "RED-OAKLEAF", Heads: 8, Pulled: day.Add(-1)}}}},
	}
}
