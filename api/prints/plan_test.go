package prints

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
)

var issued = Options{Number: 1, PrintedAt: printedAt}

// figuresOf are the whole numbers a paper shows in at least so many points, at
// the left of a place, as they stand down its pages.
func figuresOf(t *testing.T, p *Paper, weekday, points, left float64) (figures []int) {
	t.Helper()
	for _, page := range readBack(t, p) {
		perPoint := page.Words[0].tall() / weekday
		words := page.sized(points, perPoint)
		slices.SortStableFunc(words, func(a, b seenWord) int { return int(a.YMin - b.YMin) })
		for _, w := range words {
			if n, err := strconv.Atoi(w.Text); err == nil && w.XMax < left {
				figures = append(figures, n)
			}
		}
	}
	return figures
}

// sumsOf are the figures of a table of totals: by product, and in all.
func sumsOf(lines []book.DayLine) (sums []int) {
	sum := 0
	for _, name := range []string{"Butterhead case", "Grower's choice", "Mixed living case"} {
		cases, there := 0, false
		for _, l := range lines {
			if l.Product.Name == name {
				cases, there = cases+l.Plan.Filled, true
			}
		}
		if there {
			sums = append(sums, cases)
			sum += cases
		}
	}
	return append(sums, sum)
}

func filled(lines []book.DayLine) (cases []int) {
	for _, l := range lines {
		cases = append(cases, l.Plan.Filled)
	}
	return cases
}

// The figures down a pack list are those of every line in the order of trucks
// and stops, then the totals, then the runs, then the heads by variety; so each
// line of the plan stands on it once, and nothing else does.
func TestEveryLineStandsOnThePackListOnce(t *testing.T) {
	for name, s := range map[string]*story{"ordinary": ordinary(), "60 customers with long names": full(60)} {
		t.Run(name, func(t *testing.T) {
			want := append(filled(s.Lines), sumsOf(s.Lines)...)
			for _, r := range s.Runs {
				want = append(want, r.Cases)
			}
			for _, v := range s.Tally {
				want = append(want, v.Assigned)
			}
			p, err := PackList(s.Day, issued)
			require.NoError(t, err)
			assert.Equal(t, want, figuresOf(t, p, clipboard.weekday.size, clipboard.figure.size, 110))
			text := wholeText(t, p)
			for _, l := range s.Lines {
				assert.Contains(t, text, l.Customer.Name, "nothing of a name is cut off")
			}
		})
	}
}

// A customer's heading is never the last thing on a page, and what goes on over
// the page stands under the heading again.
func TestAPageBreakNeverPartsAHeadingFromItsFirstLine(t *testing.T) {
	for _, size := range []string{"letter", "a4"} {
		s := full(60)
		s.Runs = nil // their rows name customers too, but head nothing
		o := issued
		o.Size = size
		for name, make := range map[string]func() (*Paper, error){
			"pack list":     func() (*Paper, error) { return PackList(s.Day, o) },
			"load sheet":    func() (*Paper, error) { return LoadSheet(s.Day, "round", o) },
			"packing slips": func() (*Paper, error) { return PackingSlips(s.Day, nil, o) },
		} {
			p, err := make()
			require.NoError(t, err)
			pages := readText(t, p)
			require.Greater(t, len(pages), 3)
			for n, page := range pages {
				for _, l := range s.Lines {
					assert.Falsef(t, strings.HasSuffix(page, l.Customer.Name) || strings.HasSuffix(page, "PO "+l.PO), "%s, page %d ends in a heading", name, n+1)
				}
			}
		}
	}
}

func TestTheLoadSheetHasTheLastStopFirstAndABoxForEveryCase(t *testing.T) {
	s := ordinary()
	p, err := LoadSheet(s.Day, "ferry", issued)
	require.NoError(t, err)
	ferry := s.Lines[:3]
	last := []book.DayLine{ferry[2], ferry[0], ferry[1]}
	assert.Equal(t, append(filled(last), sumsOf(ferry)...), figuresOf(t, p, clipboard.weekday.size, clipboard.figure.size, 110))
	text := wholeText(t, p)
	assert.Less(t, strings.Index(text, "The Long Table"), strings.Index(text, "Bistro Annabel"))
	assert.Contains(t, text, "PO PO-c000")
	assert.NotContains(t, text, "Harbour Kitchen", "it goes with another truck")
	boxes := 0
	for _, page := range p.pages {
		for _, m := range page.marks {
			if m.kind == box && m.w > 10 && m.w < 30 {
				boxes++
			}
		}
	}
	assert.Equal(t, 14, boxes)
}

func TestManyCasesHaveBoxesForTen(t *testing.T) {
	assert.Len(t, tickBoxes(40), 40)
	sum := 0
	for _, n := range tickBoxes(57) {
		sum += n
	}
	assert.Equal(t, 57, sum)
	assert.Less(t, len(tickBoxes(400)), 80)
}

func TestOwnItemCodesStandOnLoadSheetAndSlip(t *testing.T) {
	s := ordinary()
	s.Lines[0].Customer.ItemCodes = map[string]string{mixed: "LTC-77"}
	for _, make := range []func() (*Paper, error){
		func() (*Paper, error) { return LoadSheet(s.Day, "ferry", issued) },
		func() (*Paper, error) { return PackingSlips(s.Day, nil, issued) },
	} {
		p, err := make()
		require.NoError(t, err)
		assert.Contains(t, wholeText(t, p), "Mixed living case · LTC-77")
	}
}

// What the door says of a truck is what its load sheet says.
func TestDoorSheetAndLoadSheetsAgree(t *testing.T) {
	s := full(60)
	door, err := DoorSheet(s.Day, wednesday, nil, issued)
	require.NoError(t, err)
	require.Equal(t, 1, door.Pages())
	trucks := loads(s.Day)
	require.Len(t, trucks, 3)
	words := readBack(t, door)[0].Words
	all := 0
	for _, truck := range trucks {
		p, err := LoadSheet(s.Day, truck.carrier, issued)
		require.NoError(t, err)
		figures := figuresOf(t, p, clipboard.weekday.size, clipboard.figure.size, 110)
		sum := figures[len(figures)-1]
		all += sum
		assert.True(t, slices.ContainsFunc(words, func(w seenWord) bool { return w.Text == strconv.Itoa(sum) }), truck.name)
	}
	assert.True(t, slices.ContainsFunc(words, func(w seenWord) bool { return w.Text == strconv.Itoa(all) }))
}

// A farm of eight products, nine varieties and four trucks still has one page on
// its door, its figures 28 points and more.
func TestTheDoorSheetIsOnePageInLargeFigures(t *testing.T) {
	s := full(40).truck("night", "Night Mail", "22:40")
	for i := range 5 {
		code := "p" + strconv.Itoa(i)
		s.problem.Products = append(s.problem.Products, planning.Product{Code: code, Name: "Case number " + strconv.Itoa(i), Slots: []planning.Slot{{Heads: 12, Accept: []string{butter}}}})
		s.customer("Late Diner "+strconv.Itoa(i), "night", i).asks(code, 12, 12)
		v := "v" + strconv.Itoa(i)
		s.problem.Varieties = append(s.problem.Varieties, planning.Variety{Code: v, Name: "Curly type " + strconv.Itoa(i), HeadsPerTray: 18})
		s.lift(s.bed("Bed "+strconv.Itoa(20+i), 1, v, 200, 12), v, 200, 200, 25)
	}
	for i := range 4 {
		s.plan.Warnings = append(s.plan.Warnings, planning.Warning{Code: planning.CasesOver, Day: wednesday, Needed: float64(160 + i), Had: 150})
	}
	p, err := DoorSheet(s.Day, wednesday, s.before(), Options{Number: 2, Replaces: 1, PrintedAt: printedAt})
	require.NoError(t, err)
	require.Equal(t, 1, p.Pages())
	page := readBack(t, p)[0]
	perPoint := page.Words[0].tall() / wall.weekday.size
	figures := page.sized(28, perPoint)
	for _, want := range []string{"60", "40", "12½"} {
		assert.True(t, slices.ContainsFunc(figures, func(w seenWord) bool { return w.Text == want }), want)
	}
	notices := 0
	for _, w := range page.Words {
		if w.Text == "!" {
			notices++
		}
	}
	assert.Equal(t, mostNotices, notices)
}

func TestTheDoorSheetTellsWhatChanged(t *testing.T) {
	s := ordinary()
	p, err := DoorSheet(s.Day, wednesday, s.before(), Options{Number: 2, Replaces: 1, PrintedAt: printedAt})
	require.NoError(t, err)
	text := wholeText(t, p)
	assert.Contains(t, text, "Changed since No. 1 Bistro Annabel: Mixed living case 5 → 6 Gone Fishing: Mixed living case 2 → 0")
	p, err = DoorSheet(s.Day, wednesday, s.Given(), Options{Number: 2, Replaces: 1, PrintedAt: printedAt})
	require.NoError(t, err)
	assert.NotContains(t, wholeText(t, p), "Changed")
}

func TestChangesAreOnlyWhatDiffers(t *testing.T) {
	now := ordinary().Given()
	assert.Empty(t, changes(now, now))
	assert.Empty(t, changes(nil, now), "nothing was printed before")
	slips, err := ChangeSlips(ordinary().Day, now, issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, slips), "Nothing changed.")
	var list []string
	for _, c := range changes(ordinary().before(), now) {
		list = append(list, c.Name+" "+strconv.Itoa(int(c.was))+" "+strconv.Itoa(int(c.Cases)))
	}
	assert.Equal(t, []string{"Bistro Annabel 5 6", "Gone Fishing 2 0"}, list)
}

func TestRecipesHaveAPageEachInLargeFigures(t *testing.T) {
	s := ordinary()
	p, err := Recipes(s.Day, wednesday, issued)
	require.NoError(t, err)
	pages := readBack(t, p)
	require.Len(t, pages, 2)
	for _, page := range pages {
		perPoint := page.Words[0].tall() / wall.weekday.size
		for _, w := range page.Words {
			if _, err := strconv.Atoi(w.Text); err == nil && w.YMin > 200 && w.tall()/perPoint < 27.7 {
				assert.Contains(t, []string{"8", "4", "2"}, w.Text, "only the cases for whom stand in smaller figures")
			}
		}
	}
	text := readText(t, p)
	assert.Contains(t, text[0], "Lay out 12 cases")
	assert.Contains(t, text[0], "Red oakleaf 6 72 3", "heads a box, in all, trays of 24")
	assert.Contains(t, text[0], "When Red oakleaf runs out: Green oakleaf. Not for Harbour Kitchen.")
	assert.Contains(t, text[0], "When Butterhead runs out, nothing stands in")
	assert.Contains(t, text[0], "first: Bistro Annabel, then Harbour Kitchen")
	assert.Contains(t, text[1], "Lay out 2 cases")
	s.Runs[0].Pack = wednesday.Add(-1)
	p, err = Recipes(s.Day, wednesday, issued)
	require.NoError(t, err)
	assert.Equal(t, 1, p.Pages(), "what was packed the day before is not packed again")
}

func TestTheHarvestListWalksTheHouse(t *testing.T) {
	s := ordinary().morning()
	p, err := HarvestList(s.facts(), s.Week, wednesday, issued)
	require.NoError(t, err)
	text := wholeText(t, p)
	rows := []string{"Bed 10 Butterhead from the harvest end up to 3 rafts if heads are few 2½ 84", "Bed 10 Green oakleaf from the harvest end ½ 12",
		"Bed 2 Batavia from the harvest end brought forward from Thu 12 Mar 2 60", "Bed 2 Red oakleaf behind Batavia, which stays 2 72"}
	at := 0
	for _, row := range rows {
		k := strings.Index(text[at:], row)
		require.GreaterOrEqual(t, k, 0, "%q stands after what is walked before it in %q", row, text)
		at += k
	}
	assert.Less(t, strings.Index(text, "start early"), strings.Index(text, "Bed 10"), "cautions come first")
	for _, caution := range []string{"before gloves", "drip", "ill stays out", "41 °F", "Local codes and licensed advice"} {
		assert.Contains(t, text, caution)
	}
	assert.Contains(t, text, "Butterhead 84 90", "needed, and to come")
	p, err = HarvestList(s.facts(), s.Week, thursday, issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, p), "Nothing is lifted on this day.")
}

func TestBedsAreWalkedAsOnRecordThenByNumber(t *testing.T) {
	f := &domain.Facts{Beds: []domain.Bed{{Code: "Z", Name: "Zed"}}, Counts: []domain.Count{
		{Whole: true, Beds: []domain.BedCount{{Bed: "Old"}}}, {Whole: true, Beds: []domain.BedCount{{Bed: "North"}}}}}
	beds := []string{"Bed 10", "Bed 2", "North", "Old", "Zed"}
	slices.SortFunc(beds, walkOf(f).compare)
	assert.Equal(t, []string{"Zed", "North", "Bed 2", "Bed 10", "Old"}, beds)
}

func TestTheCountFormHasEveryBedOnce(t *testing.T) {
	s := ordinary().morning()
	f := s.facts()
	f.Beds = []domain.Bed{{Code: "B2", Name: "Bed 2"}, {Code: "B7", Name: "Bed 7"}}
	p, err := CountForm(f, s.Week, wednesday, issued)
	require.NoError(t, err)
	text := wholeText(t, p)
	assert.Contains(t, text, "Bed 2 Batavia 2 Bed 2 Red oakleaf 3 Bed 7 Bed 10 Butterhead 5 Bed 10 Green oakleaf 1")
	assert.Contains(t, text, "By Thu 12 Mar")
}

func TestNotCountedIsNeverCalledShort(t *testing.T) {
	s := tell().truck("ferry", "Ferry Freight", "05:30")
	l := s.customer("Early Bird", "ferry", 1).asks(mixed, 3, 0)
	l.Counted = false
	l.Plan.Reason = &planning.Reason{Code: planning.NotEnoughReady, HeadsMissing: 6, Varieties: []string{redOak}}
	s.Tally = []book.TallyRow{{TallyRow: planning.TallyRow{Variety: redOak, Listed: 18, Short: 18}}}
	for name, make := range everyPaper(s, issued) {
		if name == "load-sheet" || strings.HasPrefix(name, "labels") || name == "availability" {
			continue
		}
		p, err := make()
		require.NoError(t, err)
		text := wholeText(t, p)
		assert.NotContains(t, text, "short:", name)
		assert.NotContains(t, text, "heads short", name)
		assert.NotContains(t, text, "missing", name)
	}
	p, err := CallList(s.Day, nil, issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, p), "Nobody has to be rung: nothing is short. Not counted yet: nothing to ring about Early Bird")
}

func TestTheCallListRingsBrokenWordsThenTheImportant(t *testing.T) {
	s := tell().truck("ferry", "Ferry Freight", "05:30")
	for _, c := range []struct {
		name       string
		importance domain.Importance
		broken     int
	}{{"Casual", domain.Casual, 0}, {"Steady", domain.Steady, 0}, {"Anchor", domain.Anchor, 0}, {"Promised", domain.Casual, 1}} {
		l := s.customer(c.name, "ferry", 1).asks(mixed, 3, 2)
		l.Customer.Importance, l.Plan.Broken = c.importance, c.broken
		lacking(l, redOak)
	}
	s.Lines[2].Plan.Offer = 1
	p, err := CallList(s.Day, map[string]domain.Day{s.Lines[0].ID: thursday.Add(2)}, issued)
	require.NoError(t, err)
	text := wholeText(t, p)
	var at []int
	for _, name := range []string{"Promised", "Anchor", "Steady", "Casual"} {
		at = append(at, strings.Index(text, name))
	}
	assert.True(t, slices.IsSorted(at) && at[0] > 0, "%v in %q", at, text)
	assert.Contains(t, text, "1 more with Green oakleaf")
	assert.Contains(t, text, "the missing 1 on Sat 14 Mar")
	assert.Contains(t, text, "555 0100")
}

func TestTheAvailabilityTextHasAtMostSixLines(t *testing.T) {
	farm := tell().Farm
	lines := AvailabilityText(farm, spares(), Options{})
	assert.Equal(t, []string{"Tidewater Raft Farm: living lettuce still to be had", "Thu 12 Mar: 12 Butterhead case, 3 Mixed living case",
		"Sat 14 Mar: 4 Butterhead case", "Cases, while they last. To order: 555 0142"}, lines)
	var many []book.Spare
	for i := range 20 {
		many = append(many, book.Spare{Pickup: thursday.Add(i), Name: "Butterhead case", Cases: 2})
	}
	assert.Len(t, AvailabilityText(farm, many, Options{}), 6)
	assert.Len(t, AvailabilityText(farm, nil, Options{Language: "es"}), 3)
}

func TestTagsCountTraysAndStacks(t *testing.T) {
	s := ordinary().morning()
	p, err := TrayTags(s.facts(), s.Week, wednesday, issued)
	require.NoError(t, err)
	text := wholeText(t, p)
	assert.Equal(t, 4+3+5+1, strings.Count(text, "Lot Bed"), "trays of 18 and 24")
	p, err = StackTags(s.Day, 5, issued)
	require.NoError(t, err)
	text = wholeText(t, p)
	assert.Contains(t, text, "Bistro Annabel 2 of 2 4 of 9 cases")
	assert.NotContains(t, text, "Óscar", "who gets nothing has no stack")
}

func TestASlipTellsTheCustomerNothingOfTheHouse(t *testing.T) {
	s := ordinary()
	p, err := PackingSlips(s.Day, map[string][]string{s.Lines[0].ID: {"26070-01"}}, issued)
	require.NoError(t, err)
	text := wholeText(t, p)
	assert.Contains(t, text, "26070-01")
	assert.Contains(t, text, "2 cases could not be filled")
	assert.Contains(t, text, "4 Ferry Lane, Saltmarsh")
	assert.NotContains(t, text, "word was given")
	assert.NotContains(t, text, "if all comes in")
}
