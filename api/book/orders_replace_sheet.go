package book

import (
	"cmp"
	"slices"
	"strings"

	"headtally/domain"
	"headtally/domain/store"
)

// LineChange is what a sheet does to one product of an order: Was is 0 for one
// that is added, Now for one that is taken out.
type LineChange struct {
	Order    string // "" for a new one
	Customer string
	Product  string
	Day      domain.Day
	PO       string
	Was, Now domain.Cases
}

// compare holds the sheet's orders against those in the book. An order of a
// sheet stands instead of an earlier one of the same customer, day and
// reference, and where the sender is told, instead of all that the sender's
// earlier sheets asked for the sheet's days.
func (p *OrderPreview) compare(tx *store.Tx, t *trade, o OrderSheet) error {
	if len(p.made) == 0 {
		return nil
	}
	first, last := p.made[0].order.Pickup, p.made[0].order.Pickup
	for _, m := range p.made {
		first, last = min(first, m.order.Pickup), max(last, m.order.Pickup)
	}
	records, err := store.Orders.List(tx, Query{From: map[string]string{"pickup": first.String()}, To: map[string]string{"pickup": last.String()}})
	if err != nil {
		return err
	}
	earlier, err := ordersOfSender(tx, o.Sender)
	if err != nil {
		return err
	}
	days, keys, byID := map[domain.Day]bool{}, map[orderKey]int{}, map[string]int{}
	for i, m := range p.made {
		days[m.order.Pickup] = true
		keys[p.matchKey(&m.order, o)] = i
		byID[m.order.Reference] = i
	}
	for i := range records {
		rec := &records[i]
		sheet, sent := earlier[rec.Value.ID]
		sent = sent && days[rec.Value.Pickup]
		at, same := keys[p.matchKey(&rec.Value, o)]
		if k, named := byID[rec.Value.ID]; named && rec.Value.Reference == "" && p.made[k].was == nil {
			p.takeAsNamed(k, rec, sheet)
			continue
		}
		switch {
		case same && (sent || rec.Value.Reference != "") && p.made[at].was == nil:
			p.made[at].was = rec
			p.changes(rec, &p.made[at].order, sheet)
		case sent:
			p.made = append(p.made, plannedOrder{order: rec.Value, was: rec, ended: true, row: -1})
			p.changes(rec, nil, sheet)
		}
	}
	for _, m := range p.made {
		if m.was == nil {
			p.changes(nil, &m.order, "")
		}
	}
	p.sortChanges()
	if err := p.checkBothReplace(records); err != nil {
		return err
	}
	return p.checkWords(tx, t)
}

// takeAsNamed changes the order that a row's reference names by our code, as
// exports write it for an order without a reference of its own.
func (p *OrderPreview) takeAsNamed(k int, rec *Record[domain.Order], sheet string) {
	m := &p.made[k]
	if m.order.Customer != rec.Value.Customer {
		r := p.Rows[m.row]
		p.Faults = append(p.Faults, cellFault(r.Sheet, r.Row, -1, "", "order_of_another", "order", rec.Value.ID, "customer", rec.Value.Customer))
		return
	}
	m.order.Reference, m.was = "", rec
	m.order.Mode, m.order.Carrier = rec.Value.Mode, rec.Value.Carrier
	p.changes(rec, &m.order, sheet)
}

// matchKey is by what an order of the sheet and one in the book are the same:
// of a sender all that makes an order one, else without the purchase order,
// which may be told later.
func (p *OrderPreview) matchKey(order *domain.Order, o OrderSheet) orderKey {
	key := keyOf(order)
	if o.Sender == "" {
		key.po = ""
	}
	return key
}

// ordersOfSender gives the orders that a sender's earlier sheets made, with the
// sheet of each.
func ordersOfSender(tx *store.Tx, sender string) (map[string]string, error) {
	if sender == "" {
		return nil, nil
	}
	sheets, err := store.Sheets.Values(tx, Query{})
	of := map[string]string{}
	for _, s := range sheets {
		if s.Sender != sender {
			continue
		}
		for _, order := range s.Orders {
			if _, told := of[order]; !told || s.ReplacedBy == "" {
				of[order] = s.ID
			}
		}
	}
	return of, err
}

// changes notes what becomes of each product of an order.
func (p *OrderPreview) changes(was *Record[domain.Order], now *domain.Order, sheet string) {
	change := LineChange{}
	cases := map[string][2]domain.Cases{}
	if was != nil {
		change = LineChange{Order: was.Value.ID, Customer: was.Value.Customer, Day: was.Value.Pickup, PO: was.Value.PO}
		for _, l := range was.Value.Lines {
			cases[l.Product] = [2]domain.Cases{l.Cases, 0}
		}
	}
	if now != nil {
		change.Customer, change.Day, change.PO = now.Customer, now.Pickup, now.PO
		for _, l := range now.Lines {
			cases[l.Product] = [2]domain.Cases{cases[l.Product][0], l.Cases}
		}
	}
	for product, n := range cases {
		if n[0] == n[1] && was != nil {
			continue
		}
		change.Product, change.Was, change.Now = product, n[0], n[1]
		p.Changes = append(p.Changes, change)
		if sheet != "" {
			p.replaced[sheet] = true
		}
	}
}

func (p *OrderPreview) sortChanges() {
	slices.SortFunc(p.Changes, func(a, b LineChange) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), strings.Compare(a.Customer, b.Customer), strings.Compare(a.Product, b.Product), strings.Compare(a.Order, b.Order), strings.Compare(a.PO, b.PO))
	})
}

// checkBothReplace refuses two one-offs that would both stand instead of the
// same standing order.
func (p *OrderPreview) checkBothReplace(records []Record[domain.Order]) error {
	type stead struct {
		customer, product string
		day               domain.Day
	}
	standsInstead := map[stead]string{}
	mine := map[string]bool{}
	for _, m := range p.made {
		if m.was != nil {
			mine[m.was.Value.ID] = true
		}
	}
	for _, rec := range records {
		if rec.Value.Mode == domain.Replace && !mine[rec.Value.ID] {
			for _, l := range rec.Value.Lines {
				standsInstead[stead{rec.Value.Customer, l.Product, rec.Value.Pickup}] = rec.Value.ID
			}
		}
	}
	for _, m := range p.made {
		if m.ended || m.order.Mode != domain.Replace {
			continue
		}
		for _, l := range m.order.Lines {
			key := stead{m.order.Customer, l.Product, m.order.Pickup}
			if other, twice := standsInstead[key]; twice {
				r := p.Rows[m.row]
				p.Faults = append(p.Faults, cellFault(r.Sheet, r.Row, -1, "", "both_replace", "other", other, "product", l.Product))
			}
			standsInstead[key] = m.order.Reference
		}
	}
	return nil
}

// checkWords refuses to take cases away for which a word was given: only a
// person releases one.
func (p *OrderPreview) checkWords(tx *store.Tx, t *trade) error {
	for _, m := range p.made {
		if m.was == nil {
			continue
		}
		left := map[string]domain.Cases{}
		if !m.ended {
			for _, l := range m.order.Lines {
				left[l.Product] = l.Cases
			}
		}
		was := &m.was.Value
		carrier := cmp.Or(was.Carrier, t.customerOf[was.Customer].Carrier)
		for _, l := range was.Lines {
			if left[l.Product] >= l.Cases {
				continue
			}
			d, err := decision(tx, domain.LineID(was.ID, l.Product, carrier, was.Pickup))
			if err != nil {
				return err
			}
			if d.Value.Promised > left[l.Product] {
				where := domain.SheetPlace{Kind: store.Orders.Name, Code: was.ID}
				if m.row >= 0 {
					where = SheetPlace(p.Rows[m.row].Sheet, p.Rows[m.row].Row, -1, "")
				}
				p.Faults = append(p.Faults, where.Fault("word_stands", "cases", int(d.Value.Promised), "product", l.Product, "customer", was.Customer, "day", was.Pickup))
			}
		}
	}
	return nil
}
