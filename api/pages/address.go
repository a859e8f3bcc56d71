package pages

import (
	"slices"

	"headtally/api/internal/edge"
	"headtally/domain"
)

// address reads what a page's address asks. What is left out or left empty is
// the usual; what cannot be read is a fault that names its parameter, and never
// taken for the usual. Parameters that a page does not know are of no account,
// for pages are reached from other programs' links too.
type address struct{ reader }

func (v *visit) address() *address { return &address{reader{Values: v.QueryParams()}} }

// within is a whole number from low to high, or usual.
func (a *address) within(name string, low, high, usual int) int {
	if a.text(name) == "" {
		return usual
	}
	n := whole(a.text(name))
	if n < low || n > high {
		a.faults.Add(name, "between", "min", low, "max", high)
		return usual
	}
	return n
}

// dayOr is a day, or the usual.
func (a *address) dayOr(name string, usual domain.Day) domain.Day {
	text := a.text(name)
	if text == "" {
		return usual
	}
	d, err := domain.ParseDay(text)
	if err != nil {
		a.faults.Add(name, "must_be_day")
		return usual
	}
	return d
}

// oneOf is one of a few words, or "".
func (a *address) oneOf(name string, words ...string) string {
	text := a.text(name)
	if text != "" && !slices.Contains(words, text) {
		a.faults.Add(name, "one_of", "allowed", words)
	}
	return text
}

// customer is the code of a customer there is, or "".
func (a *address) customer(v *visit) string {
	code := a.text("customer")
	if code == "" {
		return ""
	}
	if _, err := v.office.Book.Customers.Get(v.ctx, v.who, code); err != nil {
		a.faults.Add("customer", "unknown", "what", "customer", "value", code)
	}
	return code
}

// err is nil where all could be read.
func (a *address) err() error {
	if len(a.faults) == 0 {
		return nil
	}
	return &edge.Bad{Kind: domain.ErrInvalid, In: edge.InQuery, Faults: a.faults}
}
