package pages

import (
	"cmp"
	"strconv"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

func (o *Office) registerGrowing(e *echo.Echo) {
	e.GET("/growing", o.page(growingSettings.form))
	e.POST("/growing", o.page(growingSettings.save))
	registerSort(o, e, raftBeds)
	registerSort(o, e, profiles)
}

// raftBeds are the beds with their raft sites.
var raftBeds = sort[domain.Bed]{
	word:  "raft-beds",
	nav:   "beds",
	shelf: func(b *book.Book) book.Shelf[domain.Bed] { return b.Beds },
	code:  func(x *domain.Bed) string { return x.Code },
	heads: []string{"name", "bed_walk", "bed_rafts"},
	cells: func(_ *visit, _ lists, x *domain.Bed) []string {
		return []string{x.Name, blankZero(x.Walk), blankZero(x.Rafts)}
	},
	fields: func(_ *visit, _ lists, x *domain.Bed) []Field {
		return []Field{needed(text("name", "name", x.Name)), count("walk", "bed_walk", x.Walk), count("rafts", "bed_rafts", x.Rafts)}
	},
	read: func(r *reader, x *domain.Bed) {
		x.Name, x.Walk, x.Rafts = r.text("name"), r.number("walk"), r.number("rafts")
	},
}

// profiles are days and losses of a variety or a season.
var profiles = sort[domain.Profile]{
	word:  "profiles",
	shelf: func(b *book.Book) book.Shelf[domain.Profile] { return b.Profiles },
	code:  func(x *domain.Profile) string { return x.ID },
	heads: []string{"variety", "season", "nursery_days", "bed_days", "good_seedlings", "good_heads"},
	cells: func(v *visit, l lists, x *domain.Profile) []string {
		season := v.say("page.profiles.year")
		if x.FromMonth != 0 {
			season = v.say("month."+strconv.Itoa(x.FromMonth)) + " – " + v.say("month."+strconv.Itoa(x.UntilMonth))
		}
		return []string{cmp.Or(varietyOf(l, x.Variety), v.say("page.profiles.all")), season, blankZero(x.NurseryDays), blankZero(x.BedDays), blankZero(x.GoodSeedlings), blankZero(x.GoodHeads)}
	},
	fields: func(v *visit, l lists, x *domain.Profile) []Field {
		variety := kinded("pick", "variety", "variety", x.Variety)
		variety.Picks = append([]Pick{{"", v.say("page.profiles.all")}}, varietiesNamed(l)...)
		fields := []Field{variety, v.month("from_month", x.FromMonth), v.month("until_month", x.UntilMonth)}
		return append(append(fields, figureFields("", x)...), maybeCount("ready_days", "ready_days", x.ReadyDays), text("note", "note", x.Note))
	},
	read: func(r *reader, x *domain.Profile) {
		x.Variety, x.FromMonth, x.UntilMonth = r.text("variety"), r.number("from_month"), r.number("until_month")
		readFigures(r, "", x)
		x.ReadyDays, x.Note = r.maybe("ready_days"), r.text("note")
	},
}

// month is a field to choose a month with, or the whole year.
func (v *visit) month(name string, now int) Field {
	f := kinded("pick", name, name, strconv.Itoa(now))
	f.Picks = []Pick{{"0", v.say("page.profiles.year")}}
	for m := 1; m <= 12; m++ {
		f.Picks = append(f.Picks, Pick{strconv.Itoa(m), v.say("month." + strconv.Itoa(m))})
	}
	return f
}

// figureFields ask for days and shares; under is the place they lie under.
func figureFields(under string, x *domain.Profile) []Field {
	return []Field{count(under+"nursery_days", "nursery_days", x.NurseryDays), count(under+"bed_days", "bed_days", x.BedDays),
		maybeCount(under+"late_days", "late_days", x.LateDays), count(under+"good_seedlings", "good_seedlings", x.GoodSeedlings),
		count(under+"good_heads", "good_heads", x.GoodHeads)}
}

func readFigures(r *reader, under string, x *domain.Profile) {
	x.NurseryDays, x.BedDays, x.LateDays = r.number(under+"nursery_days"), r.number(under+"bed_days"), r.maybe(under+"late_days")
	x.GoodSeedlings, x.GoodHeads = r.number(under+"good_seedlings"), r.number(under+"good_heads")
}

var growingSettings = settings[domain.Growing]{
	address: "/growing", template: "growing-settings", title: "page.growing.title", view: RecordView{Word: "growing"},
	read:   func(v *visit) (book.Record[domain.Growing], error) { return v.office.Book.Growing(v.ctx, v.who) },
	fields: (*visit).growingFields, typed: readGrowing,
	store: func(v *visit, g domain.Growing, note book.Note) error {
		_, err := v.office.Book.SetGrowing(v.ctx, v.who, g, note)
		return err
	},
}

func (v *visit) growingFields(g *domain.Growing) []Field {
	return append([]Field{{Kind: "head", Code: "growing.house"}, count("cells_per_tray", "cells_per_tray", g.CellsPerTray),
		count("sites_per_raft", "sites_per_raft", int(g.RaftSites)), count("nursery_trays", "nursery_trays", g.NurseryTrays),
		{Kind: "head", Code: "growing.sowing"}, v.weekdayTicks("sowing_days", "sowing_days", g.SowingDays),
		count("assurance", "assurance", g.Assurance), count("table_weeks", "table_weeks", g.TableWeeks),
		{Kind: "head", Code: "growing.figures"}}, figureFields("figures.", &g.Figures)...)
}

func readGrowing(r *reader, g *domain.Growing) {
	g.CellsPerTray, g.RaftSites, g.NurseryTrays = r.number("cells_per_tray"), domain.Heads(r.number("sites_per_raft")), r.number("nursery_trays")
	g.SowingDays, g.Assurance, g.TableWeeks = r.weekdays("sowing_days"), r.number("assurance"), r.number("table_weeks")
	readFigures(r, "figures.", &g.Figures)
}
