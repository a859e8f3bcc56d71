package book

import (
	"cmp"
	"context"
	"slices"

	"github.com/rickar/cal/v2"
	"github.com/rickar/cal/v2/ar"
	"github.com/rickar/cal/v2/at"
	"github.com/rickar/cal/v2/au"
	"github.com/rickar/cal/v2/be"
	"github.com/rickar/cal/v2/bg"
	"github.com/rickar/cal/v2/br"
	"github.com/rickar/cal/v2/ca"
	"github.com/rickar/cal/v2/ch"
	"github.com/rickar/cal/v2/cz"
	"github.com/rickar/cal/v2/de"
	"github.com/rickar/cal/v2/dk"
	"github.com/rickar/cal/v2/es"
	"github.com/rickar/cal/v2/fr"
	"github.com/rickar/cal/v2/gb"
	"github.com/rickar/cal/v2/gr"
	"github.com/rickar/cal/v2/hr"
	"github.com/rickar/cal/v2/ie"
	"github.com/rickar/cal/v2/it"
	"github.com/rickar/cal/v2/jp"
	"github.com/rickar/cal/v2/lt"
	"github.com/rickar/cal/v2/lv"
	"github.com/rickar/cal/v2/nl"
	"github.com/rickar/cal/v2/no"
	"github.com/rickar/cal/v2/nz"
	"github.com/rickar/cal/v2/pl"
	"github.com/rickar/cal/v2/ro"
	"github.com/rickar/cal/v2/se"
	"github.com/rickar/cal/v2/si"
	"github.com/rickar/cal/v2/sk"
	"github.com/rickar/cal/v2/us"
	"github.com/rickar/cal/v2/za"

	"headtally/domain"
	"headtally/domain/store"
)

// Holiday is a public holiday on which the farm may want to close, move a pickup
// or expect more orders. It is a suggestion: nothing follows from it by itself.
type Holiday struct {
	Day      domain.Day
	Name     string
	Carriers []string // who would come that day
	Told     bool     // the calendar says something about the day already
}

// publicHolidays are the national ones by country; those of a region are left
// to the farm's own calendar.
var publicHolidays = map[string][]*cal.Holiday{
	"ar": ar.Holidays, "at": at.Holidays, "au": au.HolidaysACT, "be": be.Holidays, "bg": bg.Holidays, "br": br.Holidays,
	"ca": ca.Holidays, "ch": ch.HolidaysZH, "cz": cz.Holidays, "de": de.Holidays, "dk": dk.Holidays, "es": es.Holidays,
	"fr": fr.Holidays, "gb": gb.Holidays, "gr": gr.Holidays, "hr": hr.Holidays, "ie": ie.Holidays, "it": it.Holidays,
	"jp": jp.Holidays, "lt": lt.Holidays, "lv": lv.Holidays, "nl": nl.Holidays, "no": no.Holidays, "nz": nz.Holidays,
	"pl": pl.Holidays, "ro": ro.Holidays, "se": se.Holidays, "si": si.Holidays, "sk": sk.Holidays, "us": us.Holidays,
	"za": za.Holidays,
}

// Holidays suggests the public holidays of the farm's country from first to
// last, by day. A farm that has told no country has none.
func (b *Book) Holidays(ctx context.Context, who Person, first, last domain.Day) ([]Holiday, error) {
	if err := who.ask(MayRead); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]Holiday, error) {
		f, err := farm(tx)
		if err != nil {
			return nil, err
		}
		calendar, err := calendar(tx)
		if err != nil {
			return nil, err
		}
		told, err := store.Exceptions.Values(tx, Query{From: map[string]string{"day": first.String()}, To: map[string]string{"day": last.String()}})
		if err != nil {
			return nil, err
		}
		list := holidaysOf(f.Value.Country, first, last)
		for i := range list {
			h := &list[i]
			for _, c := range calendar.Carriers(h.Day) {
				h.Carriers = append(h.Carriers, c.Code)
			}
			h.Told = slices.ContainsFunc(told, func(e domain.Exception) bool { return e.Day == h.Day })
		}
		return list, nil
	})
}

// holidaysOf are a country's public holidays as they are observed.
func holidaysOf(country string, first, last domain.Day) (list []Holiday) {
	fromYear, _, _ := first.Date()
	toYear, _, _ := last.Date()
	for _, h := range publicHolidays[country] {
		for year := fromYear; year <= toYear+1; year++ {
			actual, observed := h.Calc(year)
			if actual.IsZero() {
				continue
			}
			if observed.IsZero() {
				observed = actual
			}
			if d := domain.DayOf(observed); first <= d && d <= last {
				list = append(list, Holiday{Day: d, Name: h.Name})
			}
		}
	}
	slices.SortFunc(list, func(a, b Holiday) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Name, b.Name)) })
	return slices.CompactFunc(list, func(a, b Holiday) bool { return a.Day == b.Day && a.Name == b.Name })
}
