package pages

import (
	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
)

// TallyView is the heads of one variety, as numbers and as a bar. The bar's
// figures are in hundredths of the longest bar.
type TallyView struct {
	Code    string
	Name    string
	Listed  int
	Given   int
	Short   int
	Rest    int // served from cases packed before, or by another variety
	Counted bool
	Bar     Bar
}

// Bar is the parts of one bar, one after another.
type Bar struct{ Given, Rest, Short, RestAt, ShortAt, Missing float64 }

// tallyOf is the tally of a day.
func tallyOf(board *book.Board) []TallyView {
	most := 1
	for _, row := range board.Tally {
		most = max(most, row.Listed, row.Assigned+row.Short)
	}
	share := func(n int) float64 { return float64(1000*n/most) / 10 }
	var list []TallyView
	for _, row := range board.Tally {
		t := TallyView{Code: row.Variety.Code, Name: row.Variety.Name, Listed: row.Listed, Given: row.Assigned, Short: row.Short,
			Rest: max(0, row.Listed-row.Assigned-row.Short), Counted: row.Counted || row.Short == 0}
		t.Bar = Bar{Given: share(t.Given), Rest: share(t.Rest), Short: share(t.Short), RestAt: share(t.Given), ShortAt: share(t.Given + t.Rest)}
		list = append(list, t)
	}
	return list
}

// CoolerView is the cooler day by day against its spaces.
type CoolerView struct {
	Days    []CoolerDayView
	Over    bool
	Nothing bool // no case and no tray on any day
}

// CoolerDayView is one day's column; heights are in hundredths of the plot.
type CoolerDayView struct {
	planning.CoolerDay
	Cases, Trays Column
}

// Column is what stands, the part of it over the spaces, and where their line is.
type Column struct{ Height, Top, Over, Line float64 }

// coolerOf draws the cooler's days.
func coolerOf(days []planning.CoolerDay) CoolerView {
	view := CoolerView{Nothing: true}
	cases, trays := 1, 1
	for _, d := range days {
		cases, trays = max(cases, d.Cases, d.CaseSpaces), max(trays, d.Trays, d.TraySpaces)
	}
	for _, d := range days {
		view.Over = view.Over || d.CasesOver > 0 || d.TraysOver > 0
		view.Nothing = view.Nothing && d.Cases == 0 && d.Trays == 0
		view.Days = append(view.Days, CoolerDayView{d, column(d.Cases, d.CaseSpaces, cases), column(d.Trays, d.TraySpaces, trays)})
	}
	return view
}

func column(n, spaces, most int) Column {
	share := func(n int) float64 { return float64(900*n/most) / 10 }
	return Column{Height: share(n), Top: 100 - share(n), Over: share(max(0, n-spaces)), Line: 100 - share(spaces)}
}

// WorkView is the rafts and hours of one day.
type WorkView struct {
	planning.WorkDay
	RaftsOver, HarvestOver, PackOver bool
}

// work is the crew's days up to the pickup.
func (v *visit) work(board *book.Board) (list []WorkView) {
	for _, d := range board.Week.Plan.Work {
		if d.Day > board.Pickup {
			continue
		}
		list = append(list, WorkView{d, d.RaftsPerDay > 0 && d.Rafts > domain.HalfRafts(2*d.RaftsPerDay),
			d.HarvestHoursHad > 0 && d.HarvestHours > d.HarvestHoursHad, d.PackHoursHad > 0 && d.PackHours > d.PackHoursHad})
	}
	return list
}
