package prints

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
	"headtally/testdata/farm"
)

// mornings are the packing days of the demo farm's week, as it is really
// planned.
func mornings() (all []Morning) {
	facts := farm.Facts()
	w := planner.PlanWeek(&facts, domain.MustDay(farm.AsOf))
	for day := w.AsOf; day < w.AsOf.Add(8); day++ {
		m := Morning{Facts: &facts, Week: w, Day: day}
		for _, r := range w.Plan.Runs {
			if r.Pack == day && !slices.ContainsFunc(m.Pickups, func(d *book.Day) bool { return d.Pickup == r.Pickup }) {
				m.Pickups = append(m.Pickups, book.NewDay(&facts, w, r.Pickup))
			}
		}
		if len(m.Pickups) > 0 {
			all = append(all, m)
		}
	}
	return all
}

// All that the demo farm's plan says of a packing day stands on its papers.
func TestTheDemoFarmsPapersSayWhatItsPlanSays(t *testing.T) {
	all := mornings()
	require.Greater(t, len(all), 2)
	for _, m := range all {
		t.Run(m.Day.String(), func(t *testing.T) {
			lift, err := HarvestList(m.Facts, m.Week, m.Day, issued)
			require.NoError(t, err)
			checkWords(t, lift)
			saysPulls(t, m, wholeText(t, lift))
			for _, day := range m.Pickups {
				saysPickup(t, m, day)
			}
			everything, err := Tomorrow(m, issued)
			require.NoError(t, err)
			checkWords(t, everything)
		})
	}
}

func saysPulls(t *testing.T, m Morning, text string) {
	t.Helper()
	for _, p := range m.Week.Plan.Pulls {
		if p.Day == m.Day && p.Rafts > 0 {
			rafts := strings.ReplaceAll(strings.TrimPrefix(p.Rafts.String(), "0."), ".5", "½")
			if p.Rafts == 1 {
				rafts = "½"
			}
			assert.Contains(t, text, fmt.Sprintf(" %s %d ", rafts, p.StopAt))
		}
	}
}

func saysPickup(t *testing.T, m Morning, day *book.Day) {
	t.Helper()
	list, err := PackList(day, issued)
	require.NoError(t, err)
	figures := figuresOf(t, list, clipboard.weekday.size, clipboard.figure.size, 110)
	require.GreaterOrEqual(t, len(figures), len(day.Lines))
	assert.ElementsMatch(t, filled(day.Lines), figures[:len(day.Lines)], "every line once")
	cases := allCases(totals(day.Lines))
	assert.Contains(t, wholeText(t, list), strconv.Itoa(cases)+" cases in all")
	sum := 0
	for _, truck := range loads(day) {
		load, err := LoadSheet(day, truck.carrier, issued)
		require.NoError(t, err)
		checkWords(t, load)
		figures := figuresOf(t, load, clipboard.weekday.size, clipboard.figure.size, 110)
		sum += figures[len(figures)-1]
	}
	assert.Equal(t, cases, sum, "the trucks take what was packed")
	door, err := DoorSheet(day, m.Day, nil, issued)
	require.NoError(t, err)
	assert.Equal(t, 1, door.Pages())
}

// checkWords sees every word within the margins and none over another.
func checkWords(t *testing.T, p *Paper) {
	t.Helper()
	for n, page := range readBack(t, p) {
		for i, w := range page.Words {
			assert.Truef(t, w.XMin >= margin-0.5 && w.XMax <= page.Width-margin+0.5 && w.YMin >= margin-2 && w.YMax <= page.Height-margin+2,
				"page %d: %q stands within the margins: %v", n+1, w.Text, w)
			assert.NotContains(t, w.Text, "print.")
			for _, other := range page.Words[i+1:] {
				assert.Falsef(t, overlap(w, other), "page %d: %q stands over %q", n+1, w.Text, other.Text)
			}
		}
	}
}

// The rack offers every paper of a packing day, and each can be drawn by its
// name; what the last issue gave otherwise has slips.
func TestTheRackOffersEveryPaper(t *testing.T) {
	m := mornings()[1]
	p := &book.PackingDay{Facts: m.Facts, Week: m.Week, Day: m.Day, Pickups: m.Pickups,
		Runs: []domain.PackedRun{{Trace: "27104-01", Product: m.Facts.Products[0].Code, Cases: 2, Lines: []domain.LineCases{{Line: m.Pickups[0].Lines[0].ID, Cases: 2}}}}}
	slips := "changes." + m.Pickups[0].Pickup.String()
	names := func() (names []string) {
		for _, s := range Rack(p, issued) {
			assert.NotContains(t, s.Title, "rack.", "it has a title")
			names = append(names, s.Name)
		}
		return names
	}
	assert.NotContains(t, names(), slips, "nothing was issued before")
	was := p.Given()
	p.Before = []domain.Issue{{Number: 1, Given: was}}
	assert.NotContains(t, names(), slips, "nothing changed")
	was[0].Cases++
	require.Contains(t, names(), slips)
	for _, name := range names() {
		paper, err := Draw(p, name, issued)
		require.NoError(t, err, name)
		require.Positive(t, paper.Pages(), name)
	}
	packing, err := Draw(p, "slips."+m.Pickups[0].Pickup.String(), issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, packing), "27104-01", "a slip bears the lot codes of its cases")
	_, err = Draw(p, "no-such-paper", issued)
	assert.ErrorIs(t, err, domain.ErrNotFound)
}

func TestTheSowingSheetHasADayARow(t *testing.T) {
	facts := farm.Facts()
	day := domain.MustDay(farm.AsOf)
	facts.BatchEvents = []domain.BatchEvent{{ID: "E1", Batch: "B-12", Step: domain.Sown, Day: day.Add(-10), Variety: facts.Varieties[0].Code, Trays: 3}}
	w := planner.PlanWeek(&facts, day)
	table := planner.SowingTable(&facts, day)
	require.NotEmpty(t, table.Sowings)
	p, err := SowingSheet(&facts, table, planner.HouseOf(&facts, w), day, issued)
	require.NoError(t, err)
	checkWords(t, p)
	text := wholeText(t, p)
	trays := 0
	for _, s := range table.Sowings {
		if s.Day < day.Add(sowingDays) {
			trays += s.Trays
		}
	}
	sum := 0
	for _, page := range readBack(t, p) {
		perPoint := page.Words[0].tall() / clipboard.weekday.size
		for _, word := range page.sized(clipboard.figure.size, perPoint) {
			if n, err := strconv.Atoi(word.Text); err == nil {
				sum += n
			}
		}
	}
	assert.Equal(t, trays+3, sum, "what is to be sown, and the batch to be set")
	assert.Contains(t, text, "B-12")
}

// All the paper of a pickup day of 150 cases.
func BenchmarkAllPaperOfAPickupDay(b *testing.B) {
	s := full(50) // 50 customers, 150 cases
	m := Morning{Facts: s.facts(), Week: s.Week, Day: wednesday, Pickups: []*book.Day{s.Day}, Was: s.before()}
	runs := packedRuns()
	runs[0].Cases, runs[1].Cases = 100, 50
	for b.Loop() {
		p, err := Tomorrow(m, issued)
		if err == nil {
			err = p.PDF(&bytes.Buffer{})
		}
		labels, failed := CaseLabels(m.Facts, wednesday, runs, LabelRoll, issued)
		if failed == nil {
			failed = labels.PDF(&bytes.Buffer{})
		}
		if err != nil || failed != nil {
			b.Fatal(err, failed)
		}
		b.ReportMetric(float64(p.Pages()+labels.Pages()), "pages")
	}
}

func BenchmarkPackList(b *testing.B) {
	s := full(50)
	for b.Loop() {
		p, err := PackList(s.Day, issued)
		if err == nil {
			err = p.PDF(&bytes.Buffer{})
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}
