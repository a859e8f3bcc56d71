package domain

import (
	"fmt"
	"slices"
	"testing"
)

func places(f Faults) (list []string) {
	for _, x := range f {
		list = append(list, x.Place+" "+x.Code)
	}
	return list
}

func TestBatchEventsTellWhatTheirStepNeeds(t *testing.T) {
	d := MustDay("2026-03-02")
	for _, c := range []struct {
		event BatchEvent
		want  []string
	}{
		{BatchEvent{Step: Sown, Batch: "R1", Day: d, Variety: "ROM", Trays: 2, SeedLot: "L4"}, nil},
		{BatchEvent{Step: Sown, Batch: "R1", Day: d}, []string{"variety required", "trays required"}},
		{BatchEvent{Step: Sown, Batch: "R1", Day: d, Variety: "ROM", Trays: 2, Heads: 5}, []string{"heads not_for_step"}},
		{BatchEvent{Step: SetOut, Batch: "R1", Day: d, Rafts: 5, Bed: "B1"}, nil},
		{BatchEvent{Step: SetOut, Batch: "R1", Day: d, Rafts: 5}, []string{"bed required"}},
		{BatchEvent{Step: Lifted, Batch: "R1", Day: d, Culls: 5}, nil},
		{BatchEvent{Step: Lifted, Batch: "R1", Day: d, Rafts: 5}, []string{"heads required"}},
		{BatchEvent{Step: Lost, Batch: "R1", Day: d}, []string{"heads required"}},
		{BatchEvent{Step: Germinated, Batch: "R1", Day: d}, nil},
		{BatchEvent{Step: Brought, Variety: "ROM", Day: d, Days: -2}, nil},
		{BatchEvent{Step: Brought, Variety: "ROM", Day: d}, []string{"days required"}},
		{BatchEvent{Step: Struck, Day: d}, []string{"corrects required"}},
		{BatchEvent{Step: Finished, Batch: "R1"}, []string{"day required"}},
		{BatchEvent{Step: "eaten", Batch: "R1", Day: d}, []string{"step one_of"}},
	} {
		if got := places(c.event.Check()); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.event.Step, got, c.want)
		}
	}
}

func TestCorrectionsOfCorrections(t *testing.T) {
	d := MustDay("2026-03-02")
	told := []BatchEvent{
		{ID: "1", Batch: "R1", Step: Sown, Day: d, Variety: "ROM", Trays: 2},
		{ID: "2", Batch: "R1", Step: SetOut, Day: d.Add(11), Rafts: 4, Bed: "B1"},
		{ID: "3", Batch: "R1", Step: SetOut, Day: d.Add(11), Rafts: 6, Bed: "B1", Corrects: "2"},
		{ID: "4", Batch: "R1", Step: SetOut, Day: d.Add(12), Rafts: 8, Bed: "B1", Corrects: "3"},
		{ID: "5", Batch: "R1", Step: Finished, Day: d.Add(12)},
		{ID: "6", Step: Struck, Day: d.Add(12), Corrects: "5"},
	}
	b := Batches(Holding(told), d.Add(20))
	if len(b) != 1 || len(b[0].Sets) != 1 || b[0].Sets[0].Rafts != 8 || b[0].Ended != 0 {
		t.Errorf("%+v", b[0])
	}
	if early := Batches(Holding(told), d.Add(11)); len(early[0].Sets) != 0 {
		t.Error("as of the day before it was set, nothing was")
	}
}

func TestProfilesCoverSeasonsOverTheNewYear(t *testing.T) {
	p := Profile{Variety: "ROM", FromMonth: 11, UntilMonth: 2}
	for text, want := range map[string]bool{"2026-10-31": false, "2026-11-01": true, "2026-12-31": true, "2027-02-28": true, "2027-03-01": false} {
		if p.Covers("ROM", MustDay(text)) != want {
			t.Errorf("November to February covers %s: %t", text, !want)
		}
	}
	if p.Covers("BUT", MustDay("2026-12-01")) {
		t.Error("a profile of romaine speaks of butterhead")
	}
	if got := places((&Profile{FromMonth: 11}).Check()); fmt.Sprint(got) != "[until_month month_alone]" {
		t.Error(got)
	}
}

func TestSurgesTellOneThing(t *testing.T) {
	d := MustDay("2026-03-02")
	for _, c := range []struct {
		surge Surge
		want  string
	}{
		{Surge{From: d, Variety: "ROM", Heads: 300}, "[]"},
		{Surge{From: d, Percent: 20}, "[]"},
		{Surge{From: d, Product: "P", Cases: -4}, "[]"},
		{Surge{From: d, Heads: 300}, "[variety required]"},
		{Surge{From: d, Variety: "ROM", Cases: 3}, "[product required]"},
		{Surge{From: d, Variety: "ROM", Heads: 3, Percent: 4}, "[heads one_figure]"},
		{Surge{From: d, Until: d.Add(-1), Variety: "ROM", Product: "P", Percent: 4}, "[until before_from product variety_or_product]"},
	} {
		if got := fmt.Sprint(places(c.surge.Check())); got != c.want {
			t.Errorf("%+v: %s, want %s", c.surge, got, c.want)
		}
	}
}

func TestGrowingTellsAllItsFigures(t *testing.T) {
	g := NewGrowing()
	if f := g.Check(); f != nil {
		t.Errorf("the defaults: %v", places(f))
	}
	g.Figures.BedDays, g.Figures.LateDays, g.Assurance = 0, nil, 100
	g.Table = []SowRow{{"ROM", "mon", 2}, {"ROM", "mon", 3}}
	want := []string{"assurance at_most", "figures.bed_days required", "figures.late_days required", "table[1].weekday twice"}
	if got := places(g.Check()); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
