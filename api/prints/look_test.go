package prints

import (
	"os"
	"path/filepath"
	"testing"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
	"headtally/testdata/farm"
)

// TestLook writes every paper into the folder named by HEADTALLY_LOOK, to be
// looked at by a person.
func TestLook(t *testing.T) {
	folder := os.Getenv("HEADTALLY_LOOK")
	if folder == "" {
		t.Skip("set HEADTALLY_LOOK to a folder to have every paper written there")
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, paper := range everyPaper(ordinary().morning(), Options{Number: 2, Replaces: 1, PrintedAt: printedAt}) {
		save(t, folder, name, paper)
	}
	for name, paper := range everyPaper(ordinary().morning(), Options{Language: "es", Size: "a4", PrintedAt: printedAt}) {
		save(t, folder, name+"-es", paper)
	}
	for _, m := range mornings() {
		save(t, folder, "farm-"+m.Day.String(), func() (*Paper, error) { return Tomorrow(m, Options{Number: 1, PrintedAt: printedAt}) })
	}
	facts := farm.Facts()
	day := domain.MustDay(farm.AsOf)
	save(t, folder, "sowing", func() (*Paper, error) {
		return SowingSheet(&facts, planner.SowingTable(&facts, day), planner.HouseOf(&facts, planner.PlanWeek(&facts, day)), day, issued)
	})
}

// everyPaper makes each paper there is of a story.
func everyPaper(s *story, o Options) map[string]func() (*Paper, error) {
	return map[string]func() (*Paper, error){
		"pack-list":    func() (*Paper, error) { return PackList(s.Day, o) },
		"recipes":      func() (*Paper, error) { return Recipes(s.Day, wednesday, o) },
		"harvest-list": func() (*Paper, error) { return HarvestList(s.facts(), s.Week, wednesday, o) },
		"load-sheet":   func() (*Paper, error) { return LoadSheet(s.Day, "ferry", o) },
		"door-sheet":   func() (*Paper, error) { return DoorSheet(s.Day, wednesday, s.before(), o) },
		"count-form":   func() (*Paper, error) { return CountForm(s.facts(), s.Week, wednesday, o) },
		"call-list": func() (*Paper, error) {
			return CallList(s.Day, map[string]domain.Day{s.Lines[0].ID: thursday.Add(2)}, o)
		},
		"availability": func() (*Paper, error) { return Availability(s.Farm, wednesday, spares(), o) },
		"packing-slips": func() (*Paper, error) {
			return PackingSlips(s.Day, map[string][]string{s.Lines[0].ID: {"7K-0311-1", "7K-0311-2"}}, o)
		},
		"labels-sheet": func() (*Paper, error) { return CaseLabels(s.facts(), wednesday, packedRuns(), LabelSheet, o) },
		"labels-roll":  func() (*Paper, error) { return CaseLabels(s.facts(), wednesday, packedRuns(), LabelRoll, o) },
		"tomorrow": func() (*Paper, error) {
			return Tomorrow(Morning{Facts: s.facts(), Week: s.Week, Day: wednesday, Pickups: []*book.Day{s.Day}, Was: s.before()}, o)
		},
		"stack-tags":   func() (*Paper, error) { return StackTags(s.Day, 5, o) },
		"tray-tags":    func() (*Paper, error) { return TrayTags(s.facts(), s.Week, wednesday, o) },
		"recall":       func() (*Paper, error) { return Recall(recalled(s), o) },
		"change-slips": func() (*Paper, error) { return ChangeSlips(s.Day, s.before(), o) },
		"recipe-slips": func() (*Paper, error) {
			x := byHand()
			return RecipeSlips(x.Day, x.Runs[0].Pack, printedRuns(s), o)
		},
		"recipe-by-hand": func() (*Paper, error) { x := byHand(); return Recipes(x.Day, x.Runs[0].Pack, o) },
	}
}

func save(t *testing.T, folder, name string, paper func() (*Paper, error)) {
	t.Helper()
	p, err := paper()
	if err != nil {
		t.Fatal(name, err)
	}
	file, err := os.Create(filepath.Join(folder, name+".pdf"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := p.PDF(file); err != nil {
		t.Fatal(name, err)
	}
}
