package packing

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"headtally/domain"
	"headtally/domain/planning"
)

func (w *bench) warn(warning planning.Warning) {
	w.plan.Warnings = append(w.plan.Warnings, warning)
}

// printWarnings adds what lines, cooler and work days call for, and puts all
// warnings in order: broken promises, then day by day.
func (w *bench) printWarnings() {
	w.warnOfBrokenPromises()
	w.warnOfCooler()
	w.warnOfWork()
	order := []planning.WarningCode{planning.PromiseBroken, planning.CasesOver, planning.TraysOver, planning.RaftsOver,
		planning.HarvestHoursOver, planning.PackHoursOver, planning.RaftInPart,
		planning.LotInFront, planning.RecipesOver}
	slices.SortFunc(w.plan.Warnings, func(x, y planning.Warning) int {
		broken := compareBool(y.Code == planning.PromiseBroken, x.Code == planning.PromiseBroken)
		return cmp.Or(broken, cmp.Compare(max(x.Day, x.Pickup), max(y.Day, y.Pickup)),
			cmp.Compare(slices.Index(order, x.Code), slices.Index(order, y.Code)), cmp.Compare(x.Product, y.Product),
			cmp.Compare(x.Lot, y.Lot), cmp.Compare(x.Line, y.Line))
	})
}

func (w *bench) warnOfBrokenPromises() {
	for i := range w.plan.Lines {
		p, line := &w.plan.Lines[i], &w.Lines[i]
		if p.Broken == 0 {
			continue
		}
		w.warn(planning.Warning{Code: planning.PromiseBroken, Pickup: line.Pickup, Line: line.ID,
			Customer: line.Customer, Product: line.Product, Needed: float64(line.Word()), Had: float64(p.Filled),
			Text: fmt.Sprintf("%s: %s was promised %s of %s and can have %d; the promise of %s is broken", dayName(line.Pickup),
				line.Customer, count(line.Word(), "case"), w.productName(line.Product), p.Filled, count(p.Broken, "case"))})
	}
}

func (w *bench) warnOfCooler() {
	for _, c := range w.plan.Cooler {
		if c.CasesOver > 0 {
			w.warn(planning.Warning{Code: planning.CasesOver, Day: c.Day, Needed: float64(c.Cases), Had: float64(c.CaseSpaces),
				Text: fmt.Sprintf("%s: %s for %s; %s another place or an earlier truck", dayName(c.Day),
					count(c.Cases, "case"), count(c.CaseSpaces, "space"), needs(c.CasesOver, "case"))})
		}
		if c.TraysOver > 0 {
			w.warn(planning.Warning{Code: planning.TraysOver, Day: c.Day, Needed: float64(c.Trays), Had: float64(c.TraySpaces),
				Text: fmt.Sprintf("%s: %s of loose heads for %s; %s another place", dayName(c.Day),
					count(c.Trays, "tray"), count(c.TraySpaces, "space"), needs(c.TraysOver, "tray"))})
		}
	}
}

func (w *bench) warnOfWork() {
	for _, d := range w.plan.Work {
		over := func(code planning.WarningCode, needed, had float64, what, could string) {
			if had > 0 && needed > had {
				w.warn(planning.Warning{Code: code, Day: d.Day, Needed: needed, Had: had,
					Text: fmt.Sprintf("%s: %s %s, and the crew %s %s; %s too many", dayName(d.Day),
						number(needed), what, could, number(had), number(needed-had))})
			}
		}
		over(planning.RaftsOver, float64(d.Rafts)/2, float64(d.RaftsPerDay), "rafts to lift", "can lift")
		over(planning.HarvestHoursOver, d.HarvestHours, d.HarvestHoursHad, "hours of lifting", "has")
		over(planning.PackHoursOver, d.PackHours, d.PackHoursHad, "hours of packing", "has")
	}
}

func raftInPart(w *bench, lot int, l lift) planning.Warning {
	code := w.Lots[lot].Code
	return planning.Warning{Code: planning.RaftInPart, Day: l.day, Lot: code, Needed: float64(l.onRafts), Had: float64(l.stopAt),
		Text: fmt.Sprintf("%s: of the %s on the next %s rafts of lot %s lift %d and leave the rest standing, for a later day",
			dayName(l.day), count(l.onRafts, "head"), l.rafts, code, l.stopAt)}
}

// lotInFront warns of heads that stand in front of a lot on the day it is lifted
// and that the plan cannot take out that day: a person has to move them.
func lotInFront(p *planning.Pull, heads int, lots []string) planning.Warning {
	return planning.Warning{Code: planning.LotInFront, Day: p.Day, Lot: p.Lot, Needed: float64(heads),
		Text: fmt.Sprintf("%s: %s in front of lot %s and cannot be lifted that day (%s); move them aside first",
			dayName(p.Day), stand(heads), p.Lot, strings.Join(lots, ", "))}
}

// stand is "1 head stands", "8 heads stand".
func stand(heads int) string {
	if heads == 1 {
		return "1 head stands"
	}
	return count(heads, "head") + " stand"
}

func (w *bench) warnOfRecipes(pickup domain.Day, product, recipes int) {
	p := &w.Products[product]
	w.warn(planning.Warning{Code: planning.RecipesOver, Pickup: pickup, Product: p.Code,
		Needed: float64(recipes), Had: float64(w.MaxRecipes),
		Text: fmt.Sprintf("%s: %s is packed to %s, and the most is to be %d; fewer were not found without giving up cases",
			dayName(pickup), w.productName(p.Code), count(recipes, "recipe"), w.MaxRecipes)})
}

func (w *bench) productName(code string) string {
	return cmp.Or(w.Products[w.ProductIx[code]].Name, code)
}

// dayName is a day as it is spoken of: "Thursday 12 March".
func dayName(d domain.Day) string {
	_, month, day := d.Date()
	return fmt.Sprintf("%s %d %s", d.Weekday(), day, month)
}

// count is a number of things: "1 case", "8 cases".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// needs is "1 case needs", "8 cases need".
func needs(n int, thing string) string {
	if n == 1 {
		return "1 " + thing + " needs"
	}
	return count(n, thing) + " need"
}

// number is a figure with one decimal where it is not whole.
func number(f float64) string {
	if f == float64(int(f)) {
		return strconv.Itoa(int(f))
	}
	return strconv.FormatFloat(f, 'f', 1, 64)
}
