package pages

import (
	"encoding/json"

	"headtally/domain"
)

// made says what a new record holds in the words of the trade; nil where the list
// of its figures says it as well.
func (t teller) made(kind, document string) []string {
	switch kind {
	case "order":
		return madeOf(document, t.order)
	case "standing order":
		return madeOf(document, t.standingOrder)
	case "carrier":
		return madeOf(document, t.carrier)
	case "sheet":
		return madeOf(document, t.sheet)
	case "count":
		return madeOf(document, t.count)
	case "decision":
		return madeOf(document, t.decision)
	case "lift":
		return madeOf(document, t.lift)
	case "packing":
		return madeOf(document, t.packing)
	case "issue":
		return madeOf(document, func(x domain.Issue) []string {
			return []string{t.say("page.history.issue.number", "n", x.Number)}
		})
	}
	return nil
}

// madeOf reads a record's document and tells it in at most as many lines as are
// shown; a document that cannot be read is told by its figures.
func madeOf[T any](document string, tell func(T) []string) []string {
	var x T
	if json.Unmarshal([]byte(document), &x) != nil {
		return nil
	}
	return tell(x)
}

// first are as many lines as are shown, and how many there are beside them.
func (t teller) first(lines []string) []string {
	if more := len(lines) - shownDifferences; more > 0 {
		return append(lines[:shownDifferences], t.say("page.history.more", "n", more))
	}
	return lines
}

func (t teller) order(x domain.Order) (lines []string) {
	for _, l := range x.Lines {
		lines = append(lines, t.say("page.history.order.line", "n", l.Cases, "product", t.named(l.Product)))
	}
	lines = t.first(lines)
	if x.Mode == domain.Replace {
		lines = append(lines, t.say("page.history.order.instead"))
	}
	if x.PO != "" {
		lines = append(lines, t.say("page.history.order.po", "po", x.PO))
	}
	return appendTold(lines, x.Note)
}

func (t teller) standingOrder(x domain.Standing) (lines []string) {
	for _, term := range x.Terms {
		lines = append(lines, t.say("page.history.order.line", "n", term.Cases, "product", t.named(x.Product)))
		lines = appendTold(lines, t.days(term.Weekdays))
		if term.Every > 1 {
			lines = append(lines, t.say("page.history.terms.every", "n", term.Every))
		}
		lines = append(lines, t.say("page.history.terms.from", "day", t.speech.ShortDay(term.From)))
	}
	return appendTold(t.first(lines), x.Note)
}

func (t teller) days(w domain.Weekdays) string {
	var names []string
	for _, d := range w.Days() {
		names = append(names, t.speech.Weekday(d))
	}
	return t.speech.List(names)
}

func (t teller) carrier(x domain.Carrier) []string {
	return []string{
		t.say("page.history.carrier.comes", "days", t.days(x.Pickups), "hour", t.speech.Clock(x.Hour)),
		t.say("page.history.carrier.closes", "n", x.CutoffDays, "hour", t.speech.Clock(x.CutoffHour)),
	}
}

func (t teller) sheet(x domain.Sheet) []string {
	lines := []string{}
	if x.Rows > 0 {
		lines = append(lines, t.say("page.history.sheet.rows", "n", x.Rows))
	}
	if len(x.Orders) > 0 {
		lines = append(lines, t.say("page.history.sheet.orders", "n", len(x.Orders)))
	}
	if x.Parked > 0 {
		lines = append(lines, t.say("page.history.sheet.parked", "n", x.Parked))
	}
	return lines
}

func (t teller) lift(x domain.Lift) (lines []string) {
	for _, row := range x.Rows {
		lines = append(lines, t.say("page.history.lift.row", "heads", row.Heads, "n", row.Heads, "variety", t.named(row.Variety)))
	}
	if x.AsPlanned {
		lines = append(lines, t.say("page.history.lift.planned"))
	}
	return t.first(lines)
}

func (t teller) packing(x domain.Packing) (lines []string) {
	for _, run := range x.Runs {
		lines = append(lines, t.say("page.history.packing.run", "n", run.Cases, "product", t.named(run.Product)))
	}
	return t.first(lines)
}

func (t teller) count(x domain.Count) []string {
	lines := []string{t.say("page.history.count.rows", "n", len(x.Beds))}
	if x.Whole {
		lines = append(lines, t.say("page.beds.whole"))
	}
	for _, l := range x.Loose {
		lines = append(lines, t.say("page.history.count.loose", "n", l.Heads, "variety", t.named(l.Variety)))
	}
	for _, p := range x.Packed {
		lines = append(lines, t.say("page.history.count.packed", "n", p.Cases, "product", t.named(p.Product)))
	}
	return appendTold(t.first(lines), x.Note)
}

func (t teller) decision(x domain.Decision) (lines []string) {
	if x.Promised > 0 {
		lines = append(lines, t.say("page.history.decision.promised", "n", x.Promised))
	}
	if x.AtMost != nil {
		lines = append(lines, t.say("page.history.decision.cut", "n", *x.AtMost))
	}
	if x.MovedTo != 0 {
		lines = append(lines, t.say("page.history.decision.moved", "day", t.speech.ShortDay(x.MovedTo)))
	}
	if x.Agreed {
		lines = append(lines, t.say("page.history.decision.agreed"))
	}
	return appendTold(lines, x.Note)
}

func appendTold(lines []string, text string) []string {
	if text == "" {
		return lines
	}
	return append(lines, text)
}
