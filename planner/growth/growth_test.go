package growth

import (
	"math"
	"testing"
	"time"

	"headtally/domain"
)

// The published schedule that stands behind the default profile: from seed to a
// head in 35 days, set into rafts on day 11 (M. Brechner and A. J. Both,
// Hydroponic Lettuce Handbook, 2013, read in a second-hand copy); days counted
// from the day of sowing as 0. Lifting on Friday 3 April 2026 then means sowing
// on Friday 27 February and setting on Tuesday 10 March (own arithmetic, over a
// month's end and the change of clocks).
func TestDefaultProfilePublishedSchedule(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-02-27", 1)
	p := Project(&s.Facts, day("2026-02-27"))
	same(t, "projections", len(p), 1)
	same(t, "set and ready", []domain.Day{p[0].Chosen.Set, p[0].Chosen.Ready}, []domain.Day{day("2026-03-10"), day("2026-04-03")})
	same(t, "weekday", p[0].Chosen.Ready.Weekday(), time.Friday)

	// Rutgers University's floating system: 12 days in the nursery, 10 and 14 on
	// boards make 36, while its pictures call the harvest day 35. Counting the day
	// of sowing as 0 the default lies within a day of both.
	if total := p[0].Chosen.Ready.Sub(p[0].Batch.Sown); total < 35 || total > 36 {
		t.Errorf("seed to head takes %d days, published 35 to 36", total)
	}
}

// Of 1,200 seeds sown 960 seedlings were set on day 12 (Rutgers University, A. J.
// Both, Lettuce Production): 80 in 100, the default; and that is no less than
// the germination US law asks of lettuce seed (7 CFR 201.31: 80 in 100).
func TestDefaultProfilePublishedSeedlings(t *testing.T) {
	s := newStory(t)
	s.Growing.CellsPerTray = 1200
	s.sow("R1", "ROM", "2026-03-01", 1)
	x := NewFigures(&s.Facts, day("2026-03-01"), 0.9)
	if expected, _ := x.leg("ROM", nursery, day("2026-03-01")).Heads(1200); expected != 960 {
		t.Errorf("of 1,200 sown %d are expected to be set, published 960", expected)
	}
	if germination := 0.80; domain.NewGrowing().Figures.GoodSeedlings < int(100*germination) {
		t.Error("the default sets fewer seedlings than the law's germination")
	}
}

// Common practice, no source: a tray of 162 cells fills about four and a half
// rafts.
func TestTrayFillsRafts(t *testing.T) {
	g := domain.NewGrowing()
	if rafts := float64(g.CellsPerTray) / float64(g.RaftSites); math.Abs(rafts-4.5) > 0.01 {
		t.Errorf("a tray fills %.2f rafts, common practice 4.5", rafts)
	}
}

func TestSownBatchBecomesALot(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 2) // 324 cells
	same(t, "two trays sown", lots(s.stock("2026-03-03")), []string{"R1 246/221 2026-04-06 2026-04-12"})
	s.set("R1", "2026-03-14", "B1", 7) // 252 plants, a day late
	same(t, "set into seven rafts", lots(s.stock("2026-03-14")), []string{"R1/B1 239/215 2026-04-07 2026-04-13"})
	s.set("R1", "2026-03-15", "B2", 1)
	same(t, "and one in another bed", lots(s.stock("2026-03-15")), []string{"R1/B1 239/215 2026-04-07 2026-04-13", "R1/B2 35/31 2026-04-08 2026-04-14"})
	st := s.stock("2026-03-15")
	same(t, "where it comes from", st.From["R1/B1"].Method, Told)
	same(t, "known from what was sown first", st.Known["ROM"], []Span{{day("2026-04-09"), day("2026-04-19")}})
	same(t, "nothing of it is known yet for this week", st.Knows("ROM", day("2026-03-20")), false)
	later := s.stock("2026-04-08")
	same(t, "later all is", []bool{later.Knows("ROM", day("2026-05-13")), later.Knows("ROM", day("2026-05-14"))}, []bool{true, false})
}

func TestBatchNotSetInTimeIsBehind(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 1)
	same(t, "on its day", Project(&s.Facts, day("2026-03-13"))[0].Chosen.Ready, day("2026-04-06"))
	same(t, "three days behind", Project(&s.Facts, day("2026-03-16"))[0].Chosen.Ready, day("2026-04-09"))
	same(t, "never set: forgotten", len(Project(&s.Facts, day("2026-04-10"))), 0)
}

func TestLossesAndLiftsComeOff(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 4)
	s.tell(domain.BatchEvent{Step: domain.Lost, Batch: "R1", Day: day("2026-03-05"), Trays: 1, Why: "dried out"})
	same(t, "a tray dried out", Project(&s.Facts, day("2026-03-05"))[0].Chosen.Plants, 3*162)
	s.set("R1", "2026-03-13", "B1", 10)
	s.tell(domain.BatchEvent{Step: domain.Lost, Batch: "R1", Day: day("2026-03-20"), Heads: 20, Why: "tipped over"})
	same(t, "twenty plants tipped over", Project(&s.Facts, day("2026-03-20"))[0].Chosen.Plants, 340)
	s.lift("R1", "2026-04-06", 4, 130, 6)
	same(t, "four rafts lifted", lots(s.stock("2026-04-06")), []string{"R1/B1 186/167 2026-04-06 2026-04-12"})
	s.lift("R1", "2026-04-07", 6, 180, 20)
	same(t, "all lifted", len(Project(&s.Facts, day("2026-04-07"))), 0)
}

func TestWrongEventIsCorrectedByAnother(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 2)
	wrong := s.set("R1", "2026-03-13", "B1", 70)
	s.tell(domain.BatchEvent{Step: domain.SetOut, Batch: "R1", Day: day("2026-03-13"), Bed: "B1", Rafts: 14, Corrects: wrong.ID})
	same(t, "seven rafts, not seventy", Project(&s.Facts, day("2026-03-14"))[0].Chosen.Plants, 252)
	mistaken := s.sow("B1", "BUT", "2026-03-03", 3)
	s.tell(domain.BatchEvent{Step: domain.Struck, Day: day("2026-03-04"), Corrects: mistaken.ID})
	same(t, "never sown", len(Project(&s.Facts, day("2026-03-14"))), 1)
	same(t, "nothing was erased", len(s.BatchEvents), 5)
}

// One action brings every romaine now growing forward, and no butterhead.
func TestBringAllRomaineForward(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 1)
	s.sow("R2", "ROM", "2026-03-05", 1)
	s.sow("B1", "BUT", "2026-03-02", 1)
	s.walk(domain.Count{Day: day("2026-03-08"), Beds: []domain.BedCount{{Bed: "B9", Variety: "ROM", RaftsNow: 2, RaftsAfter: 4}}})
	s.tell(domain.BatchEvent{Step: domain.Brought, Variety: "ROM", Day: day("2026-03-09"), Days: -2})
	s.sow("R3", "ROM", "2026-03-09", 1) // sown the same day, but nothing of it can be ahead
	ready := map[string]domain.Day{}
	for _, p := range Project(&s.Facts, day("2026-03-09")) {
		ready[p.Batch.Code] = p.Chosen.Ready
	}
	same(t, "days", ready, map[string]domain.Day{"R1": day("2026-04-04"), "R2": day("2026-04-07"), "B1": day("2026-04-06"), "R3": day("2026-04-13")})
	for _, l := range s.stock("2026-03-09").Lots {
		if l.BedName == "B9" && l.Ready > day("2026-03-09") {
			t.Errorf("counted ready by the 10th, still %s after all was brought forward", l.Ready)
		}
	}
}

// A walk count overrides what was projected of the bed it walked from its day
// on: what it found is ready as it says, what it did not find is not counted on,
// what was not due stays projected; and the difference is kept.
func TestWalkOverridesProjection(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 4)
	s.set("R1", "2026-03-13", "B3", 12) // ready on 6 April
	s.sow("R2", "ROM", "2026-03-05", 4)
	s.set("R2", "2026-03-16", "B3", 12) // ready on 9 April
	s.sow("B1", "BUT", "2026-03-02", 4)
	s.set("B1", "2026-03-13", "B4", 12)
	s.walk(domain.Count{Day: day("2026-04-05"), Beds: []domain.BedCount{{Bed: "B3", Variety: "ROM", RaftsNow: 12, RaftsNext: 4}}})
	st := s.stock("2026-04-05") // six rafts now, two more tomorrow
	same(t, "lots", lots(st), []string{
		"B3/ROM/C1.1a 216/194 2026-04-05 2026-04-11",
		"B3/ROM/C1.1b 72/64 2026-04-06 2026-04-12",
		"B1/B4 410/369 2026-04-06 2026-04-12",
		"R1/B3 136/0 2026-04-08 2026-04-12",
		"R2/B3 410/369 2026-04-09 2026-04-15"})
	same(t, "difference", st.Differs, []Difference{{Count: "C1", Day: day("2026-04-05"), Bed: "B3", Variety: "ROM", Until: day("2026-04-07"), Projected: 410, Counted: 288}})
	if st.From["R1/B3"].NotReady != true || st.From["B3/ROM/C1.1a"].Count != "C1" {
		t.Errorf("sources: %+v", st.From)
	}

	// A walk of the whole house that finds nothing says that nothing is ready.
	s.walk(domain.Count{Day: day("2026-04-08"), Whole: true})
	same(t, "nothing found", lots(s.stock("2026-04-08")), []string{
		"B1/B4 410/0 2026-04-11 2026-04-12", "R1/B3 410/0 2026-04-11 2026-04-12", "R2/B3 410/0 2026-04-11 2026-04-15"})
}

// What is lifted after a walk comes off what the walk counted, not off what it
// did not find ready.
func TestLiftsAfterAWalk(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 4)
	s.set("R1", "2026-03-13", "B3", 12)
	s.walk(domain.Count{Day: day("2026-04-05"), Beds: []domain.BedCount{{Bed: "B3", Variety: "ROM", RaftsNow: 12}}})
	lift := domain.Lift{ID: "L1", Day: day("2026-04-06"), At: day("2026-04-06").Time().Add(9 * time.Hour),
		Rows: []domain.LiftRow{{Lot: "B3/ROM/C1.1a", Variety: "ROM", Bed: "B3", Rafts: 8, Heads: 140, Culls: 4}}}
	s.BatchEvents = append(s.BatchEvents, FromLift(&s.Facts, lift)...)
	same(t, "the batch knows of it", Project(&s.Facts, day("2026-04-06"))[0].Chosen.Plants, 8*36)
	st := s.stock("2026-04-06") // the lift itself comes off later, by when each lot was told
	same(t, "lots", lots(st), []string{"B3/ROM/C1.1a 216/194 2026-04-05 2026-04-11", "R1/B3 205/0 2026-04-08 2026-04-12"})
	same(t, "told", []time.Time{st.Since["B3/ROM/C1.1a"], st.Since["R1/B3"]}, []time.Time{s.Counts[0].At, s.Counts[0].At})
}

// A bed is the same whether it is called by its code or its name.
func TestBedsByNameOrCode(t *testing.T) {
	s := newStory(t)
	s.Beds = []domain.Bed{{Code: "B3", Name: "By the door"}}
	s.sow("R1", "ROM", "2026-03-02", 4)
	s.set("R1", "2026-03-13", "By the door", 12)
	s.walk(domain.Count{Day: day("2026-04-05"), Beds: []domain.BedCount{{Bed: "By the door", Variety: "ROM", RaftsNow: 24}}})
	same(t, "counted once", lots(s.stock("2026-04-05")), []string{"By the door/ROM/C1.1a 432/388 2026-04-05 2026-04-11"})
}

// Rafts that a walk found ready before their day are taken from the batch that
// was to come next.
func TestWalkFindsMoreThanProjected(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 4)
	s.set("R1", "2026-03-13", "B3", 4)
	s.sow("R2", "ROM", "2026-03-12", 4)
	s.set("R2", "2026-03-23", "B3", 10) // ready on 16 April
	s.walk(domain.Count{Day: day("2026-04-05"), Beds: []domain.BedCount{{Bed: "B3", Variety: "ROM", RaftsNow: 14}}})
	same(t, "lots", lots(s.stock("2026-04-05")), []string{"B3/ROM/C1.1a 252/226 2026-04-05 2026-04-11", "R2/B3 239/214 2026-04-16 2026-04-22"})
}

func TestCountAloneCarriesAFarm(t *testing.T) {
	s := newStory(t)
	for w := range 6 {
		d := day("2026-03-02").Add(7 * w)
		s.walk(domain.Count{Day: d, Whole: true, Beds: []domain.BedCount{{Bed: "B1", Variety: "ROM", RaftsNow: 10, RaftsNext: 4, RaftsAfter: 4}}})
		st := s.stock(d.Add(1).String())
		same(t, "heads", st.Lots[0].Heads+st.Lots[1].Heads+st.Lots[2].Heads, 9*36)
		same(t, "it speaks to", []bool{st.Knows("ROM", d.Add(2)), st.Knows("ROM", d.Add(3))}, []bool{true, false})
	}
}

func TestBatchesFromALift(t *testing.T) {
	s := newStory(t)
	s.sow("R1", "ROM", "2026-03-02", 4)
	s.set("R1", "2026-03-13", "B3", 4)
	s.sow("R2", "ROM", "2026-03-05", 4)
	s.set("R2", "2026-03-16", "B3", 10)
	lift := domain.Lift{ID: "L7", Day: day("2026-04-09"), Rows: []domain.LiftRow{
		{Lot: "B3/ROM/C1.1a", Variety: "ROM", Bed: "B3", Rafts: 12, Heads: 204, Culls: 6}, // six rafts: all four of R1
		{Lot: "R2/B3", Variety: "ROM", Bed: "B3", Rafts: 4, Heads: 70, Culls: 2},
		{Lot: "B4/BUT/C1.2a", Variety: "BUT", Bed: "B4", Rafts: 4, Heads: 70},
	}}
	var got []string
	for _, e := range FromLift(&s.Facts, lift) {
		got = append(got, e.ID+" "+e.Batch+" "+e.Rafts.String()+" rafts "+time.Duration(e.Heads).String()+" "+time.Duration(e.Culls).String())
	}
	same(t, "events", got, []string{"L7.1 R1 4 rafts 136ns 4ns", "L7.2 R2 2 rafts 68ns 2ns", "L7.3 R2 2 rafts 70ns 2ns"})
}
