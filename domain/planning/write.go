package planning

import (
	"encoding/json"
	"slices"
	"strconv"

	"headtally/domain"
)

// AppendPlan appends a plan as its document, byte for byte as encoding/json
// writes it where it does not escape for HTML. A farm's plan is half a megabyte,
// which is written here in half of the time; a test fills every field of a plan
// and holds one against the other.
func AppendPlan(b []byte, p *Plan) []byte {
	w := &writer{slices.Grow(b, 512*len(p.Lines))} // as plans of farms turned out to need
	w.object(func() {
		rows(w, "tally", p.Tally, w.tallyRow)
		rows(w, "lines", p.Lines, w.linePlan)
		rows(w, "runs", p.Runs, w.run)
		rows(w, "pulls", p.Pulls, w.pull)
		rows(w, "cooler", p.Cooler, w.coolerDay)
		rows(w, "work", p.Work, w.workDay)
		rows(w, "leftover", p.Leftover, w.leftoverRow)
		rows(w, "warnings", p.Warnings, w.warning)
		w.name("totals")
		w.object(func() { w.totals(&p.Totals) })
	})
	return w.b
}

func (w *writer) tallyRow(r *TallyRow) {
	w.day("pickup", r.Pickup)
	w.text("variety", r.Variety)
	w.count("listed", r.Listed)
	w.count("assigned", r.Assigned)
	w.count("short", r.Short)
}

func (w *writer) linePlan(l *LinePlan) {
	w.text("id", l.ID)
	w.count("cases", l.Cases)
	w.count("cut", l.Cut)
	w.count("filled", l.Filled)
	w.count("firm", l.Firm)
	w.count("short", l.Short)
	w.count("broken", l.Broken)
	w.count("offer", l.Offer)
	if l.Reason != nil {
		w.name("reason")
		w.object(func() { w.reason(l.Reason) })
	}
	rows(w, "packed", l.Packed, func(p *PackedCases) {
		w.text("code", p.Code)
		w.count("cases", p.Cases)
	})
	rows(w, "heads", l.Heads, func(h *SlotLot) {
		w.text("lot", h.Lot)
		w.text("variety", h.Variety)
		w.count("slot", h.Slot)
		w.count("heads", h.Heads)
	})
}

func (w *writer) reason(r *Reason) {
	w.text("code", string(r.Code))
	w.countAny("heads_missing", r.HeadsMissing)
	w.countAny("heads_missing_all", r.HeadsMissingAll)
	w.textsAny("varieties", r.Varieties)
	w.dayAny("next_ready", r.NextReady)
}

func (w *writer) run(r *Run) {
	w.day("pickup", r.Pickup)
	w.text("product", r.Product)
	w.count("cases", r.Cases)
	rows(w, "contents", r.Contents, func(c *VarietyHeads) {
		w.text("variety", c.Variety)
		w.count("heads", c.Heads)
	})
	rows(w, "lots", r.Lots, func(l *LotHeads) {
		w.text("lot", l.Lot)
		w.count("heads", l.Heads)
	})
	rows(w, "lines", r.Lines, func(l *LineCases) {
		w.text("id", l.ID)
		w.count("cases", l.Cases)
	})
	w.day("pack", r.Pack)
	if len(r.StandIns) > 0 {
		rows(w, "stand_ins", r.StandIns, func(s *StandIn) {
			w.text("variety", s.Variety)
			w.texts("then", s.Then)
			w.textsAny("not_for", s.NotFor)
		})
	}
	w.textsAny("drop_first", r.DropFirst)
	if r.ByHand {
		w.truth("by_hand", true)
	}
}

func (w *writer) pull(p *Pull) {
	w.day("day", p.Day)
	w.text("lot", p.Lot)
	w.text("variety", p.Variety)
	w.count("heads", p.Heads)
	w.count("stop_at", p.StopAt)
	w.rafts("rafts", p.Rafts)
	w.rafts("rafts_up_to", p.RaftsUpTo)
	w.count("heads_lifted", p.HeadsLifted)
	w.textsAny("in_front", p.InFront)
	w.dayAny("moved_from", p.MovedFrom)
	w.countAny("moved_heads", p.MovedHeads)
	w.textAny("moved_why", p.MovedWhy)
}

func (w *writer) coolerDay(c *CoolerDay) {
	w.day("day", c.Day)
	w.count("cases", c.Cases)
	w.count("case_spaces", c.CaseSpaces)
	w.count("trays", c.Trays)
	w.count("tray_spaces", c.TraySpaces)
	w.count("cases_over", c.CasesOver)
	w.count("trays_over", c.TraysOver)
}

func (w *writer) workDay(d *WorkDay) {
	w.day("day", d.Day)
	w.rafts("rafts", d.Rafts)
	w.countAny("rafts_per_day", d.RaftsPerDay)
	w.figureAny("harvest_hours", d.HarvestHours)
	w.figureAny("harvest_hours_had", d.HarvestHoursHad)
	w.figureAny("pack_hours", d.PackHours)
	w.figureAny("pack_hours_had", d.PackHoursHad)
}

func (w *writer) leftoverRow(l *Leftover) {
	w.textAny("lot", l.Lot)
	w.countAny("heads", l.Heads)
	w.textAny("packed", l.Packed)
	w.countAny("cases", l.Cases)
	w.truth("expires", l.Expires)
}

func (w *writer) warning(a *Warning) {
	w.text("code", string(a.Code))
	w.dayAny("pickup", a.Pickup)
	w.dayAny("day", a.Day)
	w.textAny("line", a.Line)
	w.textAny("customer", a.Customer)
	w.textAny("lot", a.Lot)
	w.textAny("product", a.Product)
	w.textAny("variety", a.Variety)
	w.figureAny("needed", a.Needed)
	w.figureAny("had", a.Had)
	w.text("text", a.Text)
}

func (w *writer) totals(t *Totals) {
	w.count("asked", t.Asked)
	w.count("cut", t.Cut)
	w.count("filled", t.Filled)
	w.count("firm", t.Firm)
	w.count("short", t.Short)
	w.count("broken", t.Broken)
	w.count("substitution", t.Substitution)
	w.count("expiring_used", t.ExpiringUsed)
	if t.SubstitutionWithoutLimit != nil {
		w.count("substitution_without_limit", *t.SubstitutionWithoutLimit)
	}
	if t.ExpiringUsedWithoutLimit != nil {
		w.count("expiring_used_without_limit", *t.ExpiringUsedWithoutLimit)
	}
}

// writer appends a document. The methods ending in Any leave a field out that
// has nothing to say.
type writer struct{ b []byte }

func (w *writer) object(fields func()) {
	w.b = append(w.b, '{')
	fields()
	w.b = append(w.b, '}')
}

// rows writes a list of objects, or null where there is no list.
func rows[T any](w *writer, name string, list []T, fields func(*T)) {
	w.name(name)
	if list == nil {
		w.b = append(w.b, "null"...)
		return
	}
	w.b = append(w.b, '[')
	for i := range list {
		if i > 0 {
			w.b = append(w.b, ',')
		}
		w.b = append(w.b, '{')
		fields(&list[i])
		w.b = append(w.b, '}')
	}
	w.b = append(w.b, ']')
}

func (w *writer) name(name string) {
	if w.b[len(w.b)-1] != '{' {
		w.b = append(w.b, ',')
	}
	w.b = append(w.b, '"')
	w.b = append(w.b, name...)
	w.b = append(w.b, '"', ':')
}

func (w *writer) count(name string, n int) {
	w.name(name)
	w.b = strconv.AppendInt(w.b, int64(n), 10)
}

func (w *writer) countAny(name string, n int) {
	if n != 0 {
		w.count(name, n)
	}
}

func (w *writer) truth(name string, is bool) {
	w.name(name)
	w.b = strconv.AppendBool(w.b, is)
}

func (w *writer) day(name string, d domain.Day) {
	w.name(name)
	w.b = append(w.b, '"')
	if d != 0 {
		w.b = d.AppendTo(w.b)
	}
	w.b = append(w.b, '"')
}

func (w *writer) dayAny(name string, d domain.Day) {
	if d != 0 {
		w.day(name, d)
	}
}

func (w *writer) rafts(name string, n domain.HalfRafts) {
	w.name(name)
	w.b = append(w.b, n.String()...)
}

// figureAny writes a number that need not be whole.
func (w *writer) figureAny(name string, f float64) {
	if f != 0 {
		w.name(name)
		w.other(f)
	}
}

func (w *writer) text(name, text string) {
	w.name(name)
	w.quoted(text)
}

func (w *writer) textAny(name, text string) {
	if text != "" {
		w.text(name, text)
	}
}

func (w *writer) texts(name string, list []string) {
	w.name(name)
	if list == nil {
		w.b = append(w.b, "null"...)
		return
	}
	w.b = append(w.b, '[')
	for i, text := range list {
		if i > 0 {
			w.b = append(w.b, ',')
		}
		w.quoted(text)
	}
	w.b = append(w.b, ']')
}

func (w *writer) textsAny(name string, list []string) {
	if len(list) > 0 {
		w.texts(name, list)
	}
}

// quoted writes a text. Codes and names are nearly always plain letters; what
// has to be escaped, or is not ASCII, is left to the library.
func (w *writer) quoted(text string) {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			w.other(text)
			return
		}
	}
	w.b = append(w.b, '"')
	w.b = append(w.b, text...)
	w.b = append(w.b, '"')
}

// other writes what is left to the library: seldom, so at its own pace.
func (w *writer) other(v any) {
	e := json.NewEncoder((*appending)(w))
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		panic("planning: a plan with a figure that is no number: " + err.Error())
	}
	w.b = w.b[:len(w.b)-1] // the line end
}

// appending is a writer as an io.Writer.
type appending writer

func (w *appending) Write(p []byte) (int, error) {
	w.b = append(w.b, p...)
	return len(p), nil
}
