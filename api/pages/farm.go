package pages

import (
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

func (o *Office) registerFarm(e *echo.Echo) {
	e.GET("/farm", o.page(farmSettings.form))
	e.POST("/farm", o.page(farmSettings.save))
}

var farmSettings = settings[domain.Farm]{
	address: "/farm", template: "farm", title: "page.farm.title", view: RecordView{Word: "farm", Kind: "farm", Code: "farm"},
	read:   func(v *visit) (book.Record[domain.Farm], error) { return v.office.Book.Farm(v.ctx) },
	fields: (*visit).farmFields, typed: readFarm,
	store: func(v *visit, f domain.Farm, note book.Note) error {
		_, err := v.office.Book.SetFarm(v.ctx, v.who, f, note)
		return err
	},
}

func (v *visit) farmFields(f *domain.Farm) []Field {
	crew := func(name string, n float64) Field {
		text := strconv.FormatFloat(n, 'f', -1, 64)
		if n == 0 {
			text = ""
		}
		return kinded("count", "crew."+name, name, text)
	}
	return []Field{
		{Kind: "head", Code: "farm.who"}, text("name", "name", f.Name), kinded("area", "address", "address", f.Address), kinded("tel", "phone", "phone", f.Phone),
		text("zone", "zone", f.Zone), text("country", "country", f.Country), v.choice("language", "language", f.Language, "en", "es"), v.choice("units", "units", f.Units, "us", "metric"),
		v.choice("paper", "paper", f.Paper, "letter", "a4"), v.weekdayTicks("harvest_days", "harvest_days", f.Harvest),
		{Kind: "head", Code: "farm.share"}, v.choice("share_rule", "share_rule", f.ShareRule, "even_share", "first_come"),
		v.choice("rank", "rank", f.Rank, "day_first", "priority_first"),
		{Kind: "head", Code: "farm.cooler"}, count("case_spaces", "case_spaces", f.CaseSpaces), count("tray_spaces", "tray_spaces", f.TraySpaces),
		v.choice("case_rule", "case_rule", f.CaseRule, "warn", "limit"), count("stack_cases", "stack_cases", f.StackCases), count("hold_back", "hold_back", int(f.HoldBack)),
		{Kind: "head", Code: "farm.crew"}, crew("rafts_per_day", float64(f.Crew.RaftsPerDay)), crew("harvest_heads_per_hour", f.Crew.HeadsPerHour),
		crew("harvest_hours", f.Crew.HarvestHours), crew("pack_cases_per_hour", f.Crew.CasesPerHour), crew("pack_hours", f.Crew.PackHours),
		{Kind: "head", Code: "farm.plan"}, count("plan_days", "plan_days", f.PlanDays), count("tally_days", "tally_days", f.TallyDays), count("lead_days", "farm_lead_days", f.LeadDays),
		count("max_recipes", "max_recipes", f.MaxRecipes),
		{Kind: "head", Code: "farm.usual"}, count("heads_per_raft", "heads_per_raft", int(f.HeadsPerRaft)), count("good_in_ten", "good_in_ten", f.GoodInTen),
		count("ready_days", "ready_days", f.ReadyDays), count("shelf_days", "shelf_days", f.ShelfDays), count("min_shelf_days", "min_shelf_days", f.MinShelfDays),
		count("hold_days", "hold_days", f.HoldDays), count("heads_per_tray", "heads_per_tray", f.HeadsPerTray),
	}
}

func readFarm(r *reader, f *domain.Farm) {
	f.Name, f.Address, f.Phone, f.Zone = r.text("name"), r.text("address"), r.text("phone"), r.text("zone")
	f.Country = strings.ToLower(r.text("country"))
	f.Language, f.Units, f.Paper, f.Harvest = r.text("language"), r.text("units"), r.text("paper"), r.weekdays("harvest_days")
	f.ShareRule, f.Rank, f.CaseRule = r.text("share_rule"), r.text("rank"), r.text("case_rule")
	f.CaseSpaces, f.TraySpaces = r.number("case_spaces"), r.number("tray_spaces")
	f.StackCases, f.HoldBack = r.number("stack_cases"), domain.Cases(r.number("hold_back"))
	f.Crew = domain.Crew{RaftsPerDay: r.number("crew.rafts_per_day"), HeadsPerHour: r.decimal("crew.harvest_heads_per_hour"),
		HarvestHours: r.decimal("crew.harvest_hours"), CasesPerHour: r.decimal("crew.pack_cases_per_hour"), PackHours: r.decimal("crew.pack_hours")}
	f.PlanDays, f.TallyDays, f.LeadDays, f.MaxRecipes = r.number("plan_days"), r.number("tally_days"), r.number("lead_days"), r.number("max_recipes")
	f.HeadsPerRaft, f.GoodInTen, f.ReadyDays = domain.Heads(r.number("heads_per_raft")), r.number("good_in_ten"), r.number("ready_days")
	f.ShelfDays, f.MinShelfDays, f.HoldDays, f.HeadsPerTray = r.number("shelf_days"), r.number("min_shelf_days"), r.number("hold_days"), r.number("heads_per_tray")
}
