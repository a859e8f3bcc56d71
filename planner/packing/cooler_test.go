package packing_test

import (
	"testing"

	"headtally/domain/planning"
)

func TestCasesStanding(t *testing.T) {
	p := smallFarm()
	bed(p, "L1", "B", 500, 0)
	p.Packed = []planning.Packed{{Code: "K1", Product: "HEAD", Cases: 5, Contents: []planning.VarietyHeads{{Variety: "B", Heads: 1}}, Pulled: on(9)}}
	order(p, "wed", "HEAD", 11, 3)
	order(p, "sat", "HEAD", 14, 10).LeadDays = new(2)
	order(p, "thu", "HEAD", 12, 4).LeadDays = new(0)
	plan := packed(t, p)
	// Three packed cases leave with Wednesday's truck and two with Thursday's, with
	// two more that are packed on that day itself.
	var cases []int
	for _, c := range plan.Cooler {
		cases = append(cases, c.Cases)
	}
	same(t, "cases from Tuesday to Saturday", cases, "5", "2", "12", "10", "0")
}

func TestTrays(t *testing.T) {
	for _, c := range []struct {
		name  string
		make  func(p *planning.Problem)
		trays []string // from Tuesday to Saturday
	}{
		{"a morning's heads lie in trays until they are packed",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 0)
				order(p, "thu", "HEAD", 12, 25)
			}, []string{"0", "3", "0", "0", "0"}},
		{"the rest of a raft stays until the next line takes it",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 100, 5)
				order(p, "wed", "HEAD", 11, 30)
				order(p, "sat", "HEAD", 14, 10)
			}, []string{"4", "1", "1", "1", "0"}},
		{"heads pulled early are held",
			func(p *planning.Problem) {
				bed(p, "L1", "B", 40, 0).Last = on(10)
				order(p, "sat", "HEAD", 14, 40)
			}, []string{"4", "4", "4", "4", "0"}},
		{"a tray holds one variety of one pull day",
			func(p *planning.Problem) {
				p.Lots = append(p.Lots, planning.Lot{Code: "C1", Variety: "B", Place: planning.Chilled, Heads: 1, Pulled: on(9)},
					planning.Lot{Code: "C2", Variety: "B", Place: planning.Chilled, Heads: 1, Pulled: on(8)},
					planning.Lot{Code: "C3", Variety: "O", Place: planning.Chilled, Heads: 1, Pulled: on(9)},
					planning.Lot{Code: "C4", Variety: "O", Place: planning.Chilled, Heads: 11, Pulled: on(9)})
			}, []string{"3", "3", "3", "3", "3"}},
		{"what is left over goes when its life has ended",
			func(p *planning.Problem) {
				p.Varieties[0].HoldDays = new(3)
				p.Lots = append(p.Lots, planning.Lot{Code: "C1", Variety: "B", Place: planning.Chilled, Heads: 20, Pulled: on(9)},
					planning.Lot{Code: "C2", Variety: "B", Place: planning.Chilled, Heads: 20, Pulled: on(6)})
			}, []string{"2", "2", "2", "0", "0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := smallFarm()
			c.make(p)
			same(t, "trays", trays(packed(t, p)), c.trays...)
		})
	}
}

func TestLeftover(t *testing.T) {
	p := smallFarm()
	bed(p, "keeps", "B", 50, 0)
	bed(p, "ends", "O", 50, 0).Last = on(4)
	bed(p, "comes", "R", 50, 0).Ready = on(18)
	p.Packed = []planning.Packed{{Code: "K1", Product: "HEAD", Cases: 5, Contents: []planning.VarietyHeads{{Variety: "B", Heads: 1}}, Pulled: on(4)},
		{Code: "K2", Product: "HEAD", Cases: 5, Contents: []planning.VarietyHeads{{Variety: "B", Heads: 1}}, Pulled: on(5)}}
	order(p, "wed", "HEAD", 11, 3)
	same(t, "left over", packed(t, p).Leftover,
		"{keeps 50  0 false}", "{ends 50  0 true}", "{comes 50  0 false}", "{ 0 K1 2 true}", "{ 0 K2 5 false}")
}

func TestWarningsInOneSentence(t *testing.T) {
	for _, c := range []struct {
		name string
		make func(p *planning.Problem)
		want []string
	}{
		{"cases over", func(p *planning.Problem) {
			bed(p, "L1", "B", 500, 0)
			order(p, "sat", "HEAD", 14, 104).LeadDays = new(2)
		}, []string{"Thursday 12 March: 104 cases for 96 spaces; 8 cases need another place or an earlier truck",
			"Friday 13 March: 104 cases for 96 spaces; 8 cases need another place or an earlier truck"}},
		{"one tray over", func(p *planning.Problem) {
			p.Cooler.TraySpaces = 2
			bed(p, "L1", "B", 500, 0)
			order(p, "thu", "HEAD", 12, 30)
		}, []string{"Wednesday 11 March: 3 trays of loose heads for 2 spaces; 1 tray needs another place"}},
		{"a broken promise before all else", func(p *planning.Problem) {
			p.Cooler.CaseSpaces = 1
			bed(p, "L1", "B", 4, 0)
			order(p, "sat", "HEAD", 14, 6).Promised = 5
		}, []string{"Saturday 14 March: Customer sat was promised 5 cases of Butterhead and can have 4; the promise of 1 case is broken",
			"Friday 13 March: 4 cases for 1 space; 3 cases need another place or an earlier truck"}},
		{"hours", func(p *planning.Problem) {
			p.Work = planning.Work{HarvestHeadsPerHour: 10, HarvestHours: 2, PackCasesPerHour: 10, PackHours: 1}
			bed(p, "L1", "B", 500, 0)
			order(p, "wed", "HEAD", 11, 25)
		}, []string{"Tuesday 10 March: 2.5 hours of lifting, and the crew has 2; 0.5 too many",
			"Tuesday 10 March: 2.5 hours of packing, and the crew has 1; 1.5 too many"}},
		{"recipes", func(p *planning.Problem) {
			p.MaxRecipes = 1
			bed(p, "L1", "B", 500, 0)
			bed(p, "L2", "O", 4, 0)
			bed(p, "L3", "R", 2, 0)
			order(p, "wed", "MIX", 11, 3)
		}, []string{"Wednesday 11 March: Mixed case is packed to 2 recipes, and the most is to be 1; fewer were not found without giving up cases"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := smallFarm()
			c.make(p)
			same(t, "warnings", sentences(packed(t, p)), c.want...)
		})
	}
}
