package book

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
)

// KeyData is one record of what the US rule on food traceability asks a grower
// and packer of leafy greens to keep: which event, by its paragraph of 21 CFR
// part 1 subpart S, and its data elements. Returns and what went elsewhere are
// added under no paragraph. It is a help for keeping records and no legal
// advice: exemptions and local rules decide.
type KeyData struct {
	Event     string // "harvesting", "cooling", "initial packing", "shipping", "return", "gone elsewhere"
	Paragraph string
	Trace     string // traceability lot code, from initial packing on; "" where nobody knows it
	Commodity string // commodity and variety, or the product with what is in it
	Quantity  int
	Unit      string // "heads" or "cases"
	Day       domain.Day
	From      string     // where it took place: name, address and telephone of the farm
	Area      string     // the growing area: the bed
	Harvested domain.Day // initial packing: of the lot received
	Cooled    domain.Day
	Received  int    // initial packing: heads of the lot received for it
	To        string // the next in the chain: name and telephone
	Source    string // who assigned the lot code
	Document  string // reference document: its type and number
}

// KeyData lists a trace's records, event by event, ready to be sorted in a
// spreadsheet.
func (b *Book) KeyData(ctx context.Context, who Person, code string) ([]KeyData, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]KeyData, error) {
		r, err := readRecords(tx, b.now())
		if err != nil {
			return nil, err
		}
		t, err := r.trace(code)
		if err != nil {
			return nil, err
		}
		f, err := farm(tx)
		if err != nil {
			return nil, err
		}
		return r.keyData(t, location(f.Value)), nil
	})
}

// location is a location as the rule asks for it: name, address and telephone.
func location(f domain.Farm) string {
	parts := slices.DeleteFunc([]string{f.Name, f.Address, f.Phone}, func(s string) bool { return s == "" })
	return strings.Join(parts, ", ")
}

func (r *records) keyData(t *Trace, farm string) (rows []KeyData) {
	lots := map[string]TracedLot{}
	for _, l := range t.Lots {
		lots[sameLot(domain.LotTaken{Lot: l.Lot, Pulled: l.Lifted})] = l
		row := KeyData{Event: "harvesting", Paragraph: "§ 1.1325(a)(1)", Commodity: "lettuce, " + r.variety(l.Variety), Quantity: int(l.Heads),
			Unit: "heads", Day: l.Lifted, From: farm, Area: bedName(l.Bed), To: farm, Document: "lift record " + strings.Join(l.Lifts, ", ")}
		cooling := row
		cooling.Event, cooling.Paragraph = "cooling", "§ 1.1325(b)(1)"
		rows = append(rows, row, cooling)
	}
	for _, run := range t.Runs {
		rows = append(rows, r.packedRows(run, lots, farm)...)
	}
	for _, s := range append(slices.Clone(t.Sent), t.Uncoded...) {
		rows = append(rows, r.sentRow(s, farm))
	}
	for _, x := range t.Returned {
		c := r.customers[x.Customer]
		rows = append(rows, KeyData{Event: "return", Trace: x.Trace, Commodity: r.product(x.Product), Quantity: int(x.Cases), Unit: "cases", Day: x.Day,
			From: called(cmp.Or(c.Name, x.Customer), c.Phone), To: farm, Source: farm, Document: "return record " + x.ID + ", became " + x.Became})
	}
	for _, g := range t.Gone {
		row := KeyData{Event: "gone elsewhere", Trace: g.Trace, Commodity: "lettuce", Quantity: int(g.Cases), Unit: "cases", Day: g.Day, From: farm, To: string(g.Where)}
		if g.Heads > 0 {
			row.Commodity, row.Quantity, row.Unit = "lettuce, "+r.variety(g.Variety), int(g.Heads), "heads"
		}
		rows = append(rows, row)
	}
	return rows
}

// packedRows are the records of a run's packing: one for each lot received.
func (r *records) packedRows(run TracedRun, lots map[string]TracedLot, farm string) (rows []KeyData) {
	row := KeyData{Event: "initial packing", Paragraph: "§ 1.1330(a)", Trace: run.Trace, Commodity: r.described(run.Product, run.Contents),
		Quantity: int(run.Cases), Unit: "cases", Day: run.Packed, From: farm, To: farm, Source: farm, Document: run.Document}
	for _, l := range run.Lots {
		of := lots[sameLot(l)]
		row.Area, row.Harvested, row.Cooled, row.Received = bedName(of.Bed), l.Pulled, l.Pulled, int(l.Heads)
		row.Commodity = "lettuce, " + r.variety(l.Variety) + ": " + r.described(run.Product, run.Contents)
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		rows = append(rows, row)
	}
	return rows
}

func (r *records) sentRow(s Sent, farm string) KeyData {
	document := "departure record " + domain.PickupID(s.Carrier, s.Day)
	if s.PO != "" {
		document += ", purchase order " + s.PO
	}
	return KeyData{Event: "shipping", Paragraph: "§ 1.1340(a)", Trace: s.Trace, Commodity: r.product(s.Product), Quantity: int(s.Cases), Unit: "cases",
		Day: s.Day, From: farm, To: called(s.Name, s.Phone), Source: farm, Document: document}
}

func bedName(bed string) string {
	if bed == "" {
		return ""
	}
	return "bed " + bed
}

// called is a name with the telephone that reaches it.
func called(name, phone string) string {
	if phone == "" {
		return name
	}
	return name + ", " + phone
}

// KeyDataTable is the records as a sheet that can be sorted. Its first line says
// that it is a help for keeping records.
func KeyDataTable(rows []KeyData) Table {
	t := Table{Name: "Trace"}
	t.Add(TableCell{Kind: CellHelp, Text: "trace"})
	var headings []any
	for _, name := range []string{"event", "paragraph", "lot code", "commodity", "quantity", "unit", "day", "from", "area", "harvested", "cooled", "received", "to", "source", "document"} {
		headings = append(headings, TableCell{Kind: CellHeading, Text: "trace " + name})
	}
	t.Add(headings...)
	for _, r := range rows {
		t.Add(r.Event, r.Paragraph, r.Trace, r.Commodity, r.Quantity, r.Unit, r.Day, r.From, r.Area, r.Harvested, r.Cooled, r.Received, r.To, r.Source, r.Document)
	}
	return t
}
