package planning

import (
	"fmt"
	"strconv"
	"strings"

	"headtally/domain"
)

// The limits of a problem.
const (
	MaxSlots = 100     // of one product
	MaxLines = 200_000 // of one problem
	maxLead  = 7       // lead days
)

// Check tells every rule that a problem made by other means than Read breaks,
// in the order of the problem's fields.
func Check(p *Problem) Faults { return check(p, nil) }

// CheckLine tells every rule that a line which is not in the problem would
// break there, its id aside.
func CheckLine(p *Problem, l *Line) Faults {
	c := &checker{p: p, variety: map[string]bool{}, product: map[string]bool{}, pickup: map[domain.Day]bool{}}
	for i := range p.Varieties {
		c.variety[p.Varieties[i].Code] = true
	}
	for i := range p.Products {
		c.product[p.Products[i].Code] = true
	}
	for _, t := range p.PickupDays {
		c.pickup[t] = true
	}
	c.terms(l, top)
	return c.faults
}

// check makes no check on the values in holes: they are missing or could not
// be read, which is told already.
func check(p *Problem, holes map[string]bool) Faults {
	c := &checker{p: p, holes: holes}
	c.days()
	c.store()
	c.varieties()
	c.products()
	c.lots()
	c.packed()
	c.lines()
	return c.faults
}

type checker struct {
	p      *Problem
	holes  map[string]bool
	faults Faults

	variety map[string]bool
	product map[string]bool
	lot     map[string]bool // packed too: they share their codes
	pickup  map[domain.Day]bool
}

// fault notes a fault unless it would follow from a hole: at the place itself,
// around it, or in a value it was judged by.
func (c *checker) fault(place, text string, judgedBy ...string) {
	if len(c.holes) > 0 {
		for _, p := range append(judgedBy, place) {
			if c.inHole(p) {
				return
			}
		}
	}
	c.faults = append(c.faults, Fault{place, text})
}

func (c *checker) inHole(place string) bool {
	for place != "" {
		if c.holes[place] {
			return true
		}
		place = place[:max(0, strings.LastIndexAny(place, ".["))]
	}
	return false
}

// torn says whether a list has holes, so that what is not found in it may
// well have been meant to be there.
func (c *checker) torn(list string) bool {
	for place := range c.holes {
		if strings.HasPrefix(place, list) {
			return true
		}
	}
	return false
}

// within checks a number against what is allowed.
func (c *checker) within(low, high, n int, at places, field string) {
	if n < low || n > high {
		c.fault(at(field), fmt.Sprintf("must be from %s to %s, not %s", grouped(low), grouped(high), grouped(n)))
	}
}

func (c *checker) count(n int, at places, field string) { c.within(0, domain.MaxCount, n, at, field) }

func (c *checker) oneOf(given string, at places, field string, allowed ...string) {
	for _, a := range allowed {
		if given == a {
			return
		}
	}
	c.fault(at(field), strconv.Quote(given)+" is not known; allowed is "+strings.Join(allowed, ", "))
}

// code checks that a code or id is there and new in its name space.
func (c *checker) code(code string, taken map[string]bool, at places, field string) {
	switch {
	case code == "":
		c.fault(at(field), "is empty; every one needs a name of its own")
	case taken[code]:
		c.fault(at(field), strconv.Quote(code)+" is there twice; every one needs a name of its own")
	}
	taken[code] = true
}

// known checks that a code is one of a list.
func (c *checker) known(code string, codes map[string]bool, list string, at places, field string) bool {
	if codes[code] {
		return true
	}
	if !c.torn(list) {
		c.fault(at(field), strconv.Quote(code)+" is not among the "+list)
	}
	return false
}

// differ checks that no variety stands twice in a list.
func (c *checker) differ(codes []string, at func(i int) string) {
	if len(codes) < 2 {
		return
	}
	seen := make(map[string]bool, len(codes))
	for i, code := range codes {
		if seen[code] {
			c.fault(at(i), strconv.Quote(code)+" is there twice; name a variety once")
		}
		seen[code] = true
	}
}

// places names a field of the object that is being checked.
type places func(field string) string

func item(list string, i int) places {
	return func(field string) string {
		if field == "" {
			return fmt.Sprintf("%s[%d]", list, i)
		}
		return fmt.Sprintf("%s[%d].%s", list, i, field)
	}
}

func top(field string) string { return field }

func (c *checker) days() {
	p := c.p
	if p.AsOf.IsZero() {
		c.fault("as_of", "is missing")
	}
	if p.NextPull != 0 && p.NextPull < p.AsOf {
		c.fault("next_pull", fmt.Sprintf("must not be before as_of, %v", p.AsOf), "as_of")
	}
	c.within(0, maxLead, p.LeadDays, top, "lead_days")
	c.ascending("pull_days", p.PullDays)
	c.oneOf(string(p.Rank), top, "rank", string(DayFirst), string(PriorityFirst), "")
	c.oneOf(string(p.ShareRule), top, "share_rule", string(EvenShare), string(FirstCome), "")
	c.ascending("pickup_days", p.PickupDays)
	c.pickup = make(map[domain.Day]bool, len(p.PickupDays))
	for i, t := range p.PickupDays {
		c.pickup[t] = true
		if t < p.AsOf {
			c.fault(item("pickup_days", i)(""), fmt.Sprintf("must not be before as_of, %v", p.AsOf), "as_of")
		}
	}
}

func (c *checker) ascending(list string, days []domain.Day) {
	for i := 1; i < len(days); i++ {
		if days[i] <= days[i-1] {
			c.fault(item(list, i)(""), fmt.Sprintf("must be after the day before it in the list, %v", days[i-1]), item(list, i-1)(""))
		}
	}
}

func (c *checker) store() {
	p := c.p
	at := func(field string) string { return "cooler." + field }
	c.count(p.Cooler.CaseSpaces, at, "case_spaces")
	c.count(p.Cooler.TraySpaces, at, "tray_spaces")
	c.oneOf(string(p.Cooler.CaseRule), at, "case_rule", string(Warn), string(Limit), "")
	c.count(p.MaxRecipes, top, "max_recipes")
	at = func(field string) string { return "work." + field }
	c.count(p.Work.RaftsPerDay, at, "rafts_per_day")
	c.amount(p.Work.HarvestHeadsPerHour, at, "harvest_heads_per_hour")
	c.amount(p.Work.HarvestHours, at, "harvest_hours")
	c.amount(p.Work.PackCasesPerHour, at, "pack_cases_per_hour")
	c.amount(p.Work.PackHours, at, "pack_hours")
}

func (c *checker) amount(n float64, at places, field string) {
	if !(n >= 0 && n <= domain.MaxCount) {
		c.fault(at(field), fmt.Sprintf("must be from 0 to %s, not %v", grouped(domain.MaxCount), n))
	}
}

func (c *checker) varieties() {
	c.variety = make(map[string]bool, len(c.p.Varieties))
	for i := range c.p.Varieties {
		v, at := &c.p.Varieties[i], item("varieties", i)
		c.code(v.Code, c.variety, at, "code")
		c.count(v.ShelfDays, at, "shelf_days")
		if v.HoldDays != nil {
			c.count(*v.HoldDays, at, "hold_days")
		}
		c.within(1, domain.MaxCount, v.HeadsPerTray, at, "heads_per_tray")
	}
}

func (c *checker) products() {
	c.product = make(map[string]bool, len(c.p.Products))
	for i := range c.p.Products {
		p, at := &c.p.Products[i], item("products", i)
		c.code(p.Code, c.product, at, "code")
		if n := len(p.Slots); n < 1 || n > MaxSlots {
			c.fault(at("slots"), fmt.Sprintf("must be from 1 to %d, not %d", MaxSlots, n))
		}
		before := len(c.faults)
		for s := range p.Slots {
			c.slot(&p.Slots[s], item(at("slots"), s))
		}
		if p.MaxHeadsPerVariety == nil {
			continue
		}
		c.count(*p.MaxHeadsPerVariety, at, "max_heads_per_variety")
		if len(c.faults) == before && !c.torn(at("")) && !satisfiable(p) {
			c.fault(at("max_heads_per_variety"), fmt.Sprintf("no case can be made with at most %d heads of a variety of what the slots accept", *p.MaxHeadsPerVariety))
		}
	}
}

func (c *checker) slot(s *Slot, at places) {
	c.within(1, domain.MaxCount, s.Heads, at, "heads")
	if len(s.Accept) == 0 {
		c.fault(at("accept"), "must name at least one variety")
	}
	accept := func(k int) string { return item(at("accept"), k)("") }
	for k, code := range s.Accept {
		c.known(code, c.variety, "varieties", func(string) string { return accept(k) }, "")
	}
	c.differ(s.Accept, accept)
}

// satisfiable says whether a case of the product can be made of all that its
// slots accept.
func satisfiable(p *Product) bool {
	r, _ := p.rules()
	return r.CanBeMade()
}

func (c *checker) lots() {
	c.lot = make(map[string]bool, len(c.p.Lots)+len(c.p.Packed))
	for i := range c.p.Lots {
		l, at := &c.p.Lots[i], item("lots", i)
		c.code(l.Code, c.lot, at, "code")
		c.known(l.Variety, c.variety, "varieties", at, "variety")
		c.count(l.Heads, at, "heads")
		if l.CautiousHeads != nil {
			c.count(*l.CautiousHeads, at, "cautious_heads")
			if *l.CautiousHeads > l.Heads {
				c.fault(at("cautious_heads"), fmt.Sprintf("must not be above heads, %d", l.Heads), at("heads"))
			}
		}
		switch l.Place {
		case Bed:
			c.bedLot(l, at)
		case Chilled:
			c.cooledLot(l, at)
		default:
			c.oneOf(string(l.Place), at, "place", string(Bed), string(Chilled))
		}
	}
}

func (c *checker) bedLot(l *Lot, at places) {
	if l.Rafts != nil {
		if *l.Rafts < 0 || *l.Rafts > 2*domain.MaxCount {
			c.fault(at("rafts"), fmt.Sprintf("must be from 0 to %s", grouped(domain.MaxCount)))
		}
		if *l.Rafts == 0 && l.Heads > 0 {
			c.fault(at("rafts"), "must be above 0 where there are heads; leave it out for heads lifted one by one", at("heads"))
		}
	}
	if l.At != nil {
		c.count(*l.At, at, "at")
	}
	for _, d := range []struct {
		field string
		day   domain.Day
	}{{"ready", l.Ready}, {"last", l.Last}} {
		if d.day.IsZero() {
			c.fault(at(""), d.field+" is missing; a lot in a bed has it", at(d.field), at("place"))
		}
	}
	if l.Last < l.Ready && l.Last != 0 {
		c.fault(at("last"), fmt.Sprintf("must not be before ready, %v", l.Ready), at("ready"))
	}
	if l.Pulled != 0 {
		c.fault(at("pulled"), "belongs to lots in the cooler; this one stands in a bed")
	}
}

func (c *checker) cooledLot(l *Lot, at places) {
	for _, f := range []struct {
		field string
		given bool
	}{{"rafts", l.Rafts != nil}, {"ready", l.Ready != 0}, {"last", l.Last != 0}, {"bed", l.BedName != ""}, {"at", l.At != nil}} {
		if f.given {
			c.fault(at(f.field), "belongs to lots in a bed; this one lies in the cooler")
		}
	}
	if l.Pulled.IsZero() {
		c.fault(at(""), "pulled is missing; a lot in the cooler has it", at("pulled"))
	}
	c.pulled(l.Pulled, at)
}

func (c *checker) pulled(d domain.Day, at places) {
	if d > c.p.AsOf {
		c.fault(at("pulled"), fmt.Sprintf("must not be after as_of, %v", c.p.AsOf), "as_of")
	}
}

func (c *checker) packed() {
	if len(c.p.Packed) == 0 {
		return
	}
	productOf := make(map[string]string, len(c.p.Lines))
	for i := range c.p.Lines {
		productOf[c.p.Lines[i].ID] = c.p.Lines[i].Product
	}
	for i := range c.p.Packed {
		k, at := &c.p.Packed[i], item("packed", i)
		c.code(k.Code, c.lot, at, "code")
		c.known(k.Product, c.product, "products", at, "product")
		c.count(k.Cases, at, "cases")
		var codes []string
		for j, h := range k.Contents {
			content := item(at("contents"), j)
			c.known(h.Variety, c.variety, "varieties", content, "variety")
			c.count(h.Heads, content, "heads")
			codes = append(codes, h.Variety)
		}
		c.differ(codes, func(j int) string { return item(at("contents"), j)("variety") })
		if k.Pulled.IsZero() {
			c.fault(at(""), "pulled is missing", at("pulled"))
		}
		c.pulled(k.Pulled, at)
		product, known := productOf[k.Line]
		switch {
		case k.Line == "" || c.torn("lines"):
		case !known:
			c.fault(at("line"), strconv.Quote(k.Line)+" is not among the lines")
		case product != k.Product:
			c.fault(at("line"), fmt.Sprintf("asks for product %q; these cases are %q", product, k.Product), at("product"))
		}
	}
}

func (c *checker) lines() {
	if n := len(c.p.Lines); n > MaxLines {
		c.fault("lines", fmt.Sprintf("must be %s at most, not %s", grouped(MaxLines), grouped(n)))
	}
	taken := make(map[string]bool, len(c.p.Lines))
	for i := range c.p.Lines {
		c.line(&c.p.Lines[i], taken, item("lines", i))
	}
}

func (c *checker) line(l *Line, taken map[string]bool, at places) {
	c.code(l.ID, taken, at, "id")
	c.terms(l, at)
}

// terms checks all of a line but its id.
func (c *checker) terms(l *Line, at places) {
	c.known(l.Product, c.product, "products", at, "product")
	if !c.pickup[l.Pickup] && !c.torn("pickup_days") {
		c.fault(at("pickup"), fmt.Sprintf("%v is not among pickup_days", l.Pickup))
	}
	c.count(l.Cases, at, "cases")
	if l.Priority != 0 {
		c.within(1, domain.MaxCount, l.Priority, at, "priority")
	}
	c.count(l.Promised, at, "promised")
	if l.AtMost != nil {
		c.count(*l.AtMost, at, "at_most")
	}
	c.oneOf(string(l.Substitutes), at, "substitutes", string(SubstituteYes), string(SubstituteAsk), string(SubstituteNever), "")
	refuse := func(k int) string { return item(at("refuse"), k)("") }
	for k, code := range l.Refuse {
		c.known(code, c.variety, "varieties", func(string) string { return refuse(k) }, "")
	}
	c.differ(l.Refuse, refuse)
	c.count(l.MinShelfDays, at, "min_shelf_days")
	if l.LeadDays != nil {
		c.within(0, maxLead, *l.LeadDays, at, "lead_days")
	}
}

// grouped writes a number with commas between thousands.
func grouped(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0 && text[i-1] != '-'; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}
