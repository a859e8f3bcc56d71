package api_test

import (
	"bytes"
	"context"
	"maps"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/api/prints"
	"headtally/api/sheets"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/domain/store"
	"headtally/domain/tried"
	"headtally/planner"
	"headtally/testdata/farm"
)

// TestAMonthFromTheOrderSheetToTheTrace lives through four weeks of the demo
// farm with everything that goes wrong in a house, on the use cases alone: the
// counts come from a house of our own whose true heads the book never sees.
// After each step the book is held against that house (month_checks_test.go).
// The same month is lived again with every date three years later.
func TestAMonthFromTheOrderSheetToTheTrace(t *testing.T) {
	for name, later := range map[string]int{"as dated": 0, "three years on": 3 * 52 * 7} {
		t.Run(name, func(t *testing.T) {
			m := newMonth(t, later)
			days := 28
			if testing.Short() {
				days = 7
			}
			for n := range days {
				m.live(n)
			}
			if !testing.Short() {
				require.Empty(t, m.script, "everything that was to happen happened")
				require.Positive(t, m.spared, "some cases were packed beyond what was asked")
				require.Positive(t, m.fewer, "some cases were not packed")
				require.Positive(t, m.released, "a person took back a word")
			}
			t.Logf("%d days, %d steps, %d checks; %d cases packed, %d shipped, %d words kept, %d told broken, %d taken back; %d papers read",
				days, m.steps, m.checks, m.cases, m.sent, m.kept, m.broken, m.released, m.papers)
		})
	}
}

const harbour, round = "HARBOUR-TRUCK", "OWN-ROUND"

// month is the demo farm as it is lived: the book, the clock, and what truly
// stands in the house and lies in the cooler.
type month struct {
	t     *testing.T
	ctx   context.Context
	dir   string
	book  *book.Book
	first domain.Day
	today domain.Day
	now   time.Time
	zone  *time.Location
	house *house

	script map[moment]func()
	absent string                  // the truck that does not come today
	words  map[string]domain.Cases // line -> the word given and not taken back
	less   map[domain.Day]bool     // pickups for which the crew packed fewer than planned
	hand   map[string]domain.Cases // product -> packed cases on hand
	over   map[string]bool         // trucks that have left, by pickup

	printed  domain.Issue // the last printing
	untraced domain.Cases // counted in the cooler when the book began: they bear no lot code

	packed, shipped, back map[string]domain.Cases // trace -> cases; back: that can be sold again

	steps, checks, papers, cases, sent, kept, broken, spared, fewer, released int
}

func newMonth(t *testing.T, later int) *month {
	first := domain.MustDay(farm.AsOf).Add(later)
	m := &month{t: t, ctx: t.Context(), dir: t.TempDir(), first: first, today: first, words: map[string]domain.Cases{}, less: map[domain.Day]bool{}, hand: map[string]domain.Cases{}, over: map[string]bool{},
		packed: map[string]domain.Cases{}, shipped: map[string]domain.Cases{}, back: map[string]domain.Cases{}}
	facts := farm.Facts()
	zone, err := time.LoadLocation(facts.Farm.Zone)
	require.NoError(t, err)
	m.zone, m.house = zone, newHouse(&facts)
	m.clock(5, 0)
	m.open()
	tables, _, err := sheets.Read("farm.xlsx", farm.Workbook, sheets.Usual())
	require.NoError(t, err)
	_, err = m.book.TakeWorkbook(m.ctx, book.Owner(), postponed(tables, later), "", "farm.xlsx")
	require.NoError(t, err)
	mail, _, err := sheets.Read("orders.csv", farm.OrderCSV, sheets.Usual())
	require.NoError(t, err)
	sheet := book.OrderSheet{Name: "orders.csv", AsOf: first}
	preview, err := m.book.PreviewOrders(m.ctx, book.Owner(), postponed(mail, later), sheet)
	require.NoError(t, err)
	_, err = m.book.TakeOrders(m.ctx, book.Owner(), postponed(mail, later), sheet, preview.Revision)
	require.NoError(t, err)
	for _, p := range facts.Counts[0].Packed {
		m.hand[p.Product] += p.Cases
		m.untraced += p.Cases
	}
	m.noteWords()
	m.script = m.happenings()
	m.check("the order sheet and the first walk")
	return m
}

// postponed is tables with every day so many days later.
func postponed(tables []book.Table, later int) []book.Table {
	for i := range tables {
		for j := range tables[i].Rows {
			for k := range tables[i].Rows[j].Cells {
				c := &tables[i].Rows[j].Cells[k]
				if c.Day != 0 {
					c.Day = c.Day.Add(later)
				}
				if d, err := domain.ParseDay(c.Text); err == nil {
					c.Text = d.Add(later).String()
				}
			}
		}
	}
	return tables
}

func (m *month) clock(hour, minute int) {
	y, mo, d := m.today.Date()
	m.now = time.Date(y, mo, d, hour, minute, 0, 0, m.zone)
}

// open opens the book in its folder. A book that is open already is left as a
// killed process leaves it: nothing of it is closed.
func (m *month) open() {
	s, err := store.Open(context.Background(), m.dir, func() time.Time { m.now = m.now.Add(time.Second); return m.now })
	require.NoError(m.t, err)
	m.t.Cleanup(func() { require.NoError(m.t, s.Close()) })
	m.book = book.New(s, func() time.Time { return m.now })
	m.book.Draw(func(issue domain.Issue, day *book.PackingDay) ([]book.Paper, error) {
		var file bytes.Buffer
		paper, err := prints.Draw(day, "harvest", prints.Options{PrintedAt: issue.At})
		if err == nil {
			err = paper.PDF(&file)
		}
		return []book.Paper{{Name: "harvest", Bytes: file.Bytes()}}, err
	})
}

// live is one day: trucks leave at dawn, Mondays begin with a walk, the day is
// printed, lifted and packed, and in the afternoon the office gives its word for
// what is sure and prints tomorrow.
func (m *month) live(n int) {
	m.today = m.first.Add(n)
	m.clock(4, 30)
	m.check("dawn")
	m.clock(5, 30)
	m.depart(harbour)
	m.depart(round)
	if n > 0 && m.today.Weekday() == time.Monday {
		m.clock(6, 0)
		m.walk()
	}
	m.clock(6, 30)
	if m.today.Weekday() == time.Sunday {
		m.sunday()
	}
	m.happen(n, morning)
	m.issue(m.today)
	m.clock(8, 0)
	m.lift()
	m.clock(11, 0)
	m.happen(n, lifted)
	m.pack(m.changes(n))
	m.clock(13, 0)
	m.happen(n, afternoon)
	m.promise()
	m.release()
	m.clock(16, 0)
	m.issue(m.today.Add(1))
	m.happen(n, evening)
}

func (m *month) week() *planner.Week {
	w, err := m.book.Week(m.ctx, book.Owner(), m.today)
	require.NoError(m.t, err)
	return w
}

// depart lets a truck leave, if it comes today.
func (m *month) depart(carrier string) {
	if !m.facts().Calendar().PicksUp(carrier, m.today) {
		return
	}
	if carrier == m.absent {
		m.absent = ""
		m.notCollected(carrier)
		m.check("a truck has not come")
		return
	}
	w := m.week()
	left, err := m.book.Depart(m.ctx, book.Owner(), carrier, m.today, "")
	require.NoError(m.t, err)
	m.left(w, carrier, left.Value.Took)
	m.check("a truck has left")
}

// walk counts the whole house as it truly stands on a Monday.
func (m *month) walk() {
	m.house.grow()
	m.count()
	m.check("the walk")
}

// count tells the book what truly stands on the rafts.
func (m *month) count() {
	count := domain.Count{Day: m.today, SpeaksTo: m.today.Add(6), Whole: true, Beds: m.house.beds()}
	_, err := m.book.Counts.Create(m.ctx, book.Owner(), count, book.Note{})
	require.NoError(m.t, err)
}

// issue prints a packing day and reads its papers back.
func (m *month) issue(day domain.Day) domain.Issue {
	issue, err := m.book.Issue(m.ctx, book.Owner(), m.today, day, "")
	if w := m.week(); !planned(w, day) {
		m.that(err != nil, "%s: nothing is planned, and nothing is issued", day)
		return domain.Issue{}
	}
	require.NoError(m.t, err)
	m.read(issue.Value)
	m.printed = issue.Value
	m.check("printed")
	return issue.Value
}

func planned(w *planner.Week, day domain.Day) bool {
	return slices.ContainsFunc(w.Plan.Pulls, func(p planning.Pull) bool { return p.Day == day && p.StopAt > 0 }) ||
		slices.ContainsFunc(w.Plan.Runs, func(r planning.Run) bool { return r.Pack == day })
}

// lift takes the planned rafts out of the true house: what stands on them is
// not quite what was thought. That nothing was lifted is told too where paper
// was printed, for a printed day of which nothing is told counts as done.
func (m *month) lift() {
	var counts []book.LiftCount
	for _, p := range m.week().Plan.Pulls {
		if p.Day == m.today && p.Rafts > 0 {
			good, culls := m.house.lift(p.Lot, p.Rafts)
			counts = append(counts, book.LiftCount{Lot: p.Lot, Rafts: p.Rafts, Heads: good, Culls: culls})
		}
	}
	if issues, err := m.book.Issues(m.ctx, book.Owner(), m.today); counts == nil && len(issues) == 0 {
		require.NoError(m.t, err)
		return
	}
	_, err := m.book.RecordLift(m.ctx, book.Owner(), book.LiftTold{Day: m.today, Counts: counts, Done: true}, "")
	require.NoError(m.t, err)
	m.check("the lift")
}

// pack packs the day as planned save for the changes.
func (m *month) pack(changes []book.PackedChange, gone ...domain.HeadsGone) {
	w := m.week()
	if !planned(w, m.today) && gone == nil {
		return
	}
	for _, c := range changes {
		run := runsOn(w, m.today)[c.Run]
		if int(c.Cases) < run.Cases {
			m.less[run.Pickup] = true
		}
	}
	packing, err := m.book.RecordPacked(m.ctx, book.Owner(), book.PackedTold{Day: m.today, Changes: changes, Gone: gone}, "")
	require.NoError(m.t, err)
	m.stacked(w, packing.Value, changes)
	m.check("packed")
}

func runsOn(w *planner.Week, day domain.Day) (runs []planning.Run) {
	for _, r := range w.Plan.Runs {
		if r.Pack == day {
			runs = append(runs, r)
		}
	}
	return runs
}

// changes lets the crew pack a case less on some days, and on others a case
// more where heads are left for one.
func (m *month) changes(n int) []book.PackedChange {
	w := m.week()
	runs := runsOn(w, m.today)
	left := map[string]int{}
	for _, l := range w.Problem.Lots {
		if l.Place == planning.Chilled {
			left[l.Variety] += l.Heads
		}
	}
	for _, r := range runs {
		for _, c := range r.Contents {
			left[c.Variety] -= c.Heads * r.Cases
		}
	}
	for i, r := range runs {
		enough := !slices.ContainsFunc(r.Contents, func(c planning.VarietyHeads) bool { return left[c.Variety] < c.Heads })
		switch {
		case n%3 == 1 && enough:
			m.spared++
			return []book.PackedChange{{Run: i, Cases: domain.Cases(r.Cases + 1)}}
		case n%5 == 4:
			m.fewer++
			return []book.PackedChange{{Run: i, Cases: domain.Cases(r.Cases - 1)}}
		}
	}
	return nil
}

// promise gives a word for everything sure of the next two pickup days.
func (m *month) promise() {
	days := m.week().Problem.PickupDays
	for _, d := range days[:min(2, len(days))] {
		if d > m.today {
			_, err := m.book.PromiseSure(m.ctx, book.Owner(), m.today, d, book.Note{})
			require.NoError(m.t, err)
		}
	}
	m.noteWords()
	m.check("words were given")
}

// release takes back, as a person does, what of a word cannot be kept.
func (m *month) release() {
	w := m.week()
	broken := map[string]domain.Cases{}
	for i, l := range w.Lines {
		if n := w.Plan.Lines[i].Broken; n > 0 && l.Pickup > m.today {
			broken[l.Base] += domain.Cases(n)
		}
	}
	for _, base := range slices.Sorted(maps.Keys(broken)) {
		n := broken[base]
		was, err := m.book.Decision(m.ctx, book.Owner(), base)
		require.NoError(m.t, err)
		m.words[base] = was.Value.Promised - n
		_, err = m.book.Release(m.ctx, book.Owner(), m.today, base, m.words[base], book.Note{Base: was.Rev})
		require.NoError(m.t, err)
		m.released += int(n)
		m.check("a word was taken back")
	}
}

// noteWords remembers every word that the book holds. A word is never lowered.
func (m *month) noteWords() {
	for _, d := range m.facts().Decisions {
		m.that(d.Promised >= m.words[d.Line], "%s: the word of %d still stands: %d", d.Line, m.words[d.Line], d.Promised)
		if d.Promised > 0 {
			m.words[d.Line] = d.Promised
		}
	}
}

func (m *month) facts() *domain.Facts {
	f, err := m.book.Facts(m.ctx, book.Owner(), m.today)
	require.NoError(m.t, err)
	return &f
}

// sunday has neither pickups nor lifting.
func (m *month) sunday() {
	w := m.week()
	m.that(!slices.Contains(w.Problem.PickupDays, m.today), "no truck comes on a Sunday")
	m.that(!slices.ContainsFunc(w.Plan.Pulls, func(p planning.Pull) bool { return p.Day.Weekday() == time.Sunday }), "nothing is lifted on a Sunday")
}

var casesInAll = regexp.MustCompile(`(\d+) cases? in all`)

// read reads the papers of a day as they would be printed now: the cases on
// them are the plan's.
func (m *month) read(issue domain.Issue) {
	p, err := m.book.PackingDay(m.ctx, book.Owner(), m.today, issue.Day)
	require.NoError(m.t, err)
	runs, labels := 0, domain.Cases(0)
	for _, r := range runsOn(p.Week, issue.Day) {
		runs += r.Cases
	}
	for _, r := range issue.Runs {
		labels += r.Cases
	}
	m.that(runs == int(labels), "%s: %d cases in the plan, %d in the issue", issue.Day, runs, labels)
	options := prints.Options{PrintedAt: m.now}
	draw := func(name string) *prints.Paper {
		paper, err := prints.Draw(p, name, options)
		require.NoError(m.t, err)
		m.papers++
		return paper
	}
	if runs > 0 {
		m.that(draw("case-labels-4x6").Pages() == runs, "%s: a label for each of the %d cases", issue.Day, runs)
	}
	for _, d := range p.Pickups {
		filled := 0
		for _, l := range d.Lines {
			filled += l.Plan.Filled
		}
		found := casesInAll.FindStringSubmatch(m.text(draw("pack-list." + d.Pickup.String())))
		if found == nil {
			continue // no pdftotext on this machine
		}
		said, _ := strconv.Atoi(found[1])
		m.that(said == filled, "%s: %d cases on the pack list, %d in the plan", d.Pickup, said, filled)
	}
}

// text is what a paper says, by pdftotext where it is installed.
func (m *month) text(p *prints.Paper) string {
	pdftotext := tried.WithOrNot(m.t, "pdftotext")
	if pdftotext == "" {
		return ""
	}
	var file bytes.Buffer
	require.NoError(m.t, p.PDF(&file))
	run := exec.Command(pdftotext, "-layout", "-", "-")
	run.Stdin = &file
	out, err := run.Output()
	require.NoError(m.t, err)
	return strings.Join(strings.Fields(string(out)), " ")
}
