package words

import (
	"slices"

	"headtally/domain"
	"headtally/domain/planning"
)

// Names gives the names of codes; a code without one is its own name.
type Names struct {
	Varieties, Products, Customers map[string]string
	Lots                           map[string]*planning.Lot
}

// NamesOf are the names in the book.
func NamesOf(f *domain.Facts) Names {
	n := newNames()
	for _, v := range f.Varieties {
		n.Varieties[v.Code] = v.Name
	}
	for _, v := range f.Products {
		n.Products[v.Code] = v.Name
	}
	for _, v := range f.Customers {
		n.Customers[v.Code] = v.Name
	}
	return n
}

// NamesIn are the names in a problem document, which knows no customers'.
func NamesIn(p *planning.Problem) Names {
	n := newNames()
	for _, v := range p.Varieties {
		n.Varieties[v.Code] = v.Name
	}
	for _, v := range p.Products {
		n.Products[v.Code] = v.Name
	}
	return n.WithLots(p)
}

func newNames() Names {
	return Names{map[string]string{}, map[string]string{}, map[string]string{}, map[string]*planning.Lot{}}
}

// WithLots adds what the lots of a plan's problem are called: by their variety
// and bed.
func (n Names) WithLots(p *planning.Problem) Names {
	for i := range p.Lots {
		n.Lots[p.Lots[i].Code] = &p.Lots[i]
	}
	return n
}

// Lot is what a lot is called: its variety and where it stands.
func (s *Speech) Lot(code string, n Names) string {
	lot := n.Lots[code]
	if lot == nil || lot.BedName == "" {
		return code
	}
	return s.Say("lot.in_bed", "variety", n.Of(n.Varieties, lot.Variety), "bed", lot.BedName)
}

// Of is the name of a code in one of the maps.
func (Names) Of(names map[string]string, code string) string {
	if name := names[code]; name != "" {
		return name
	}
	return code
}

// VarietyList is the names of varieties.
func (n Names) VarietyList(codes []string) []string {
	list := make([]string, len(codes))
	for i, code := range codes {
		list[i] = n.Of(n.Varieties, code)
	}
	return list
}

// Why says why a line is short, in one sentence without a stop: "3 heads of red
// oakleaf or romaine missing; more ready Saturday 6 March", the heads being those
// of all the cases it lacks. Where
// nothing was counted it says that instead.
func (s *Speech) Why(r *planning.Reason, counted bool, n Names) string {
	switch {
	case r == nil:
		return ""
	case !counted:
		return s.Say("why.not_counted", "varieties", s.Either(n.VarietyList(r.Varieties)))
	case r.Code != planning.NotEnoughReady:
		return s.Say("why." + string(r.Code))
	}
	sentence := s.Say("why.not_enough_ready", "heads", r.HeadsMissingAll, "varieties", s.Either(n.VarietyList(r.Varieties)))
	if r.NextReady != 0 {
		sentence += s.Say("why.next_ready", "day", r.NextReady)
	}
	return sentence
}

// Either joins words by "or": "a, b or c".
func (s *Speech) Either(list []string) string { return s.join(list, "list.or") }

// Assumption says which figure was taken because none was told.
func (s *Speech) Assumption(a domain.Assumption, n Names) string {
	return s.Say("assumed."+a.Code, "value", a.Value, "what", n.Of(n.Products, a.What))
}

// Notice says what became of an order that fell on a day without a pickup.
func (s *Speech) Notice(x domain.Notice, n Names) string {
	return s.Say("notice."+x.Code, "day", x.Day, "to", x.To, "cases", int(x.Cases),
		"customer", n.Of(n.Customers, x.Customer), "product", n.Of(n.Products, x.Product))
}

// Warnings says what warnings of the plan are about, with their figures; what two
// of them say alike, as of lots that are called alike, is said once.
func (s *Speech) Warnings(list []planning.Warning, n Names) (said []string) {
	for _, w := range list {
		if words := s.warning(w, n); !slices.Contains(said, words) {
			said = append(said, words)
		}
	}
	return said
}

func (s *Speech) warning(w planning.Warning, n Names) string {
	return s.Say("warning."+string(w.Code), "day", w.Day, "pickup", w.Pickup, "line", w.Line, "lot", s.Lot(w.Lot, n),
		"customer", n.Of(n.Customers, w.Customer), "product", n.Of(n.Products, w.Product),
		"variety", n.Of(n.Varieties, w.Variety), "needed", w.Needed, "had", w.Had, "over", w.Needed-w.Had)
}
