package book

import (
	"strings"

	"headtally/domain"
)

// setting is one line of the farm sheet: what it is called, how it is written
// from a farm and read into one.
type setting struct {
	name string // also the code of its words
	give func(*domain.Farm) any
	take func(*domain.Farm, TableCell) *misread
}

// settings are the lines of the farm sheet, in its order.
var settings = []setting{
	textSetting("name", 80, func(f *domain.Farm) *string { return &f.Name }),
	textSetting("address", 200, func(f *domain.Farm) *string { return &f.Address }),
	textSetting("telephone", 40, func(f *domain.Farm) *string { return &f.Phone }),
	textSetting("time zone", 60, func(f *domain.Farm) *string { return &f.Zone }),
	wordSetting("language", func(f *domain.Farm) *string { return &f.Language }),
	wordSetting("paper", func(f *domain.Farm) *string { return &f.Paper }),
	wordSetting("units", func(f *domain.Farm) *string { return &f.Units }),
	{"harvest days", func(f *domain.Farm) any { return weekdaysText(f.Harvest) }, func(f *domain.Farm, c TableCell) (m *misread) {
		f.Harvest, m = readWeekdays(c)
		return m
	}},
	numberSetting("days planned", func(f *domain.Farm) *int { return &f.PlanDays }),
	numberSetting("days ahead in the tally", func(f *domain.Farm) *int { return &f.TallyDays }),
	numberSetting("lifted days before pickup", func(f *domain.Farm) *int { return &f.LeadDays }),
	wordSetting("who is served first", func(f *domain.Farm) *string { return &f.Rank }),
	wordSetting("when there is not enough", func(f *domain.Farm) *string { return &f.ShareRule }),
	numberSetting("recipes of a case at most", func(f *domain.Farm) *int { return &f.MaxRecipes }),
	numberSetting("cooler spaces for cases", func(f *domain.Farm) *int { return &f.CaseSpaces }),
	numberSetting("cooler spaces for trays", func(f *domain.Farm) *int { return &f.TraySpaces }),
	wordSetting("when the cooler is full", func(f *domain.Farm) *string { return &f.CaseRule }),
	numberSetting("rafts a morning", func(f *domain.Farm) *int { return &f.Crew.RaftsPerDay }),
	rateSetting("heads lifted an hour", func(f *domain.Farm) *float64 { return &f.Crew.HeadsPerHour }),
	rateSetting("hours of lifting", func(f *domain.Farm) *float64 { return &f.Crew.HarvestHours }),
	rateSetting("cases packed an hour", func(f *domain.Farm) *float64 { return &f.Crew.CasesPerHour }),
	rateSetting("hours of packing", func(f *domain.Farm) *float64 { return &f.Crew.PackHours }),
	numberSetting("cases in a stack", func(f *domain.Farm) *int { return &f.StackCases }),
	{"cases of each product held back", func(f *domain.Farm) any { return int(f.HoldBack) }, func(f *domain.Farm, c TableCell) *misread {
		n, _, m := readWhole(c, 0, domain.MaxCount)
		if m == nil {
			f.HoldBack = domain.Cases(n)
		}
		return m
	}},
	numberSetting("good heads in ten", func(f *domain.Farm) *int { return &f.GoodInTen }),
	numberSetting("days of life left at pickup", func(f *domain.Farm) *int { return &f.MinShelfDays }),
	numberSetting("days held at most", func(f *domain.Farm) *int { return &f.HoldDays }),
	numberSetting("days a bed stands ready", func(f *domain.Farm) *int { return &f.ReadyDays }),
	numberSetting("days of life from lifting", func(f *domain.Farm) *int { return &f.ShelfDays }),
	numberSetting("heads in a tray", func(f *domain.Farm) *int { return &f.HeadsPerTray }),
	{"heads on a raft", func(f *domain.Farm) any { return f.HeadsPerRaft }, func(f *domain.Farm, c TableCell) *misread {
		n, _, m := readWhole(c, 1, 1000)
		if m == nil {
			f.HeadsPerRaft = domain.Heads(n)
		}
		return m
	}},
}

// The words of the farm sheet for what the book knows by a code.
var wordsFor = map[string]string{"even_share": "share evenly", "first_come": "first come", "day_first": "by day", "priority_first": "by customer"}

func textSetting(name string, limit int, of func(*domain.Farm) *string) setting {
	return setting{name, func(f *domain.Farm) any { return *of(f) }, func(f *domain.Farm, c TableCell) *misread {
		text, m := readLine(c, limit)
		*of(f) = text
		return m
	}}
}

// wordSetting is one of a few words; a code of the book is written in plain words.
func wordSetting(name string, of func(*domain.Farm) *string) setting {
	return setting{name, func(f *domain.Farm) any {
		if plain, ok := wordsFor[*of(f)]; ok {
			return plain
		}
		return *of(f)
	}, func(f *domain.Farm, c TableCell) *misread {
		text, m := readLine(c, 60)
		*of(f) = strings.ToLower(text)
		for code, plain := range wordsFor {
			if foldKey(plain) == foldKey(text) || foldKey(code) == foldKey(text) {
				*of(f) = code
			}
		}
		return m
	}}
}

func numberSetting(name string, of func(*domain.Farm) *int) setting {
	return setting{name, func(f *domain.Farm) any { return *of(f) }, func(f *domain.Farm, c TableCell) *misread {
		n, _, m := readWhole(c, 0, domain.MaxCount)
		if m == nil {
			*of(f) = n
		}
		return m
	}}
}

func rateSetting(name string, of func(*domain.Farm) *float64) setting {
	return setting{name, func(f *domain.Farm) any { return *of(f) }, func(f *domain.Farm, c TableCell) *misread {
		n, m := readNumber(c)
		if m == nil {
			*of(f) = n
		}
		return m
	}}
}

func weekdaysText(w domain.Weekdays) string {
	if w == domain.EveryDay {
		return "every day"
	}
	names := w.Names()
	for i, n := range names {
		names[i] = strings.ToUpper(n[:1]) + n[1:]
	}
	return strings.Join(names, ", ")
}

// The two lines of the farm sheet that are of the count.
const (
	lineCounted = "day of the count"
	lineSpeaks  = "the count speaks to"
)

// readFarm reads the farm sheet: a line left blank keeps the default.
func (w *workbookReader) readFarm(t *Table) {
	eachRow(t, farmColumns, w.order, &w.faults, nil, func(r *sheetFields) {
		name, cell := foldKey(r.text(colSetting)), r.cell(r.row, colValue)
		if name == "" || cell.Kind == CellBlank {
			return
		}
		switch name {
		case foldKey(lineCounted):
			w.day = r.day(colValue)
			return
		case foldKey(lineSpeaks):
			w.speaks = r.day(colValue)
			return
		}
		for _, s := range settings {
			if foldKey(s.name) == name {
				if m := s.take(&w.facts.Farm, cell); m != nil {
					r.wrong(colValue, m)
				}
				return
			}
		}
		r.wrong(colSetting, unread("unknown", "what", "setting", "value", r.text(colSetting)))
	})
	for _, f := range domain.Check(w.facts.Farm) {
		w.faults = append(w.faults, located(SheetPlace(t.Name, 0, -1, f.Place), f))
	}
}
