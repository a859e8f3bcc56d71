package domain

import (
	"slices"
	"testing"
)

var monday = MustDay("2027-03-01")

func codesOf(faults Faults) (codes []string) {
	for _, f := range faults {
		codes = append(codes, f.Place+" "+f.Code)
	}
	return codes
}

func TestWhatACountCannotSay(t *testing.T) {
	half := func(n int) HalfRafts { return HalfRafts(n) }
	for name, c := range map[string]struct {
		count Count
		want  []string
	}{
		"right": {Count{Beds: []BedCount{{Bed: "A", Variety: "OAK", RaftsNow: half(2), RaftsAfter: half(2), Poor: half(4)}}}, nil},
		"more poor rafts than rafts in all three weeks": {Count{Beds: []BedCount{{Bed: "A", Variety: "OAK", RaftsNow: half(1), RaftsNext: half(1), RaftsAfter: half(1), Poor: half(4)}}},
			[]string{"beds[0].rafts_poor more_poor_than_rafts"}},
		"poor rafts of rafts that nobody counted": {Count{Beds: []BedCount{{Bed: "A", Variety: "OAK", Poor: half(4)}}}, nil},
		"cases of tomorrow's heads":               {Count{Packed: []PackedCount{{Product: "B12", Cases: 1, Pulled: monday + 1}}}, []string{"packed[0].pulled after_count"}},
		"heads of tomorrow":                       {Count{Loose: []LooseHeads{{Variety: "OAK", Heads: 1, Pulled: monday + 1}}}, []string{"loose[0].pulled after_count"}},
		"a bed's variety twice":                   {Count{Beds: []BedCount{{Bed: "A", Variety: "OAK"}, {Bed: "A", Variety: "OAK"}}}, []string{"beds[1].place same_bed_and_variety"}},
		"at two places":                           {Count{Beds: []BedCount{{Bed: "A", Variety: "OAK", Place: new(1)}, {Bed: "A", Variety: "OAK", Place: new(2)}}}, nil},
	} {
		c.count.Day = monday
		if got := codesOf(c.count.Check()); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// Two of one product on two days, or of two products on one, have each their own
// recipe; each truck, customer and product its own cases.
func TestWhatIsAskedForByTwoNames(t *testing.T) {
	f := Facts{Recipes: []Recipe{{ID: "1", Product: "MIX", Pickup: monday}, {ID: "2", Product: "SIX", Pickup: monday}, {ID: "3", Product: "MIX", Pickup: monday + 1}}}
	for _, r := range f.Recipes {
		if got := f.Recipe(r.Product, r.Pickup); got == nil || got.ID != r.ID {
			t.Errorf("%s on %s: %+v", r.Product, r.Pickup, got)
		}
	}
	if got := f.Recipe("SIX", monday+1); got != nil {
		t.Errorf("a recipe of another day: %+v", got)
	}
	g := Given{Pickup: monday, Carrier: "VAN", Customer: "INN", Product: "MIX"}
	for _, o := range []Given{{Pickup: monday + 1, Carrier: "VAN", Customer: "INN", Product: "MIX"}, {Pickup: monday, Carrier: "SHIP", Customer: "INN", Product: "MIX"},
		{Pickup: monday, Carrier: "VAN", Customer: "GRILL", Product: "MIX"}, {Pickup: monday, Carrier: "VAN", Customer: "INN", Product: "SIX"}} {
		if g.Same(o) || !g.Same(g) {
			t.Errorf("%+v is the same as %+v", g, o)
		}
	}
}

func TestLinesAndProfilesByThemselves(t *testing.T) {
	if l := (Line{Cases: 5}); l.Asked() != 5 {
		t.Errorf("a line without a cut asks for %d", l.Asked())
	}
	if l := (Line{Cases: 5, AtMost: new(Cases(3))}); l.Asked() != 3 {
		t.Errorf("a line cut to three asks for %d", l.Asked())
	}
	spring, winter := Profile{FromMonth: 3, UntilMonth: 5}, Profile{FromMonth: 11, UntilMonth: 2}
	for month, want := range map[string][2]bool{"02": {false, true}, "03": {true, false}, "05": {true, false}, "06": {false, false}, "10": {false, false}, "11": {false, true}} {
		d := MustDay("2027-" + month + "-28")
		if got := [2]bool{spring.Covers("OAK", d), winter.Covers("OAK", d)}; got != want {
			t.Errorf("month %s: %v, want %v", month, got, want)
		}
	}
	if faults := codesOf((&Exception{Day: monday, Kind: Moved}).Check()); !slices.Contains(faults, "to required") {
		t.Errorf("a pickup that moves nowhere: %v", faults)
	}
}

// Who comes first in the morning stands first; a farm whose zone is none has UTC.
func TestCarriersByHour(t *testing.T) {
	carriers := []Carrier{{Code: "A", Pickups: EveryDay, Hour: 600}, {Code: "B", Pickups: EveryDay, Hour: 420}, {Code: "C", Pickups: EveryDay, Hour: 420}}
	cal := NewCalendar(Farm{Zone: "Nowhere/None"}, carriers, nil)
	var codes []string
	for _, c := range cal.Carriers(monday) {
		codes = append(codes, c.Code)
	}
	if !slices.Equal(codes, []string{"B", "C", "A"}) {
		t.Errorf("they come as %v", codes)
	}
	if cal.Zone == nil || cal.Zone.String() != "UTC" {
		t.Errorf("its zone is %v", cal.Zone)
	}
}
