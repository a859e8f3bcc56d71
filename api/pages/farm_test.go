package pages_test

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/api/pages"
	"headtally/domain"
	"headtally/domain/store"
	"headtally/domain/store/storetest"
)

// house is a farm with its pages, on Wednesday 3 March 2027 at nine.
type house struct {
	t     testing.TB
	store *store.Store
	book  *book.Book
	pages *pages.Office
	echo  *echo.Echo
	now   func() time.Time
}

var (
	today  = domain.MustDay("2027-03-03")
	pickup = domain.MustDay("2027-03-04")
)

func newHouse(t testing.TB) *house {
	t.Helper()
	return houseOf(t, storetest.Place(t))
}

// houseOf is the farm of the book in a place.
func houseOf(t testing.TB, place string) *house {
	t.Helper()
	now := func() time.Time { return time.Date(2027, 3, 3, 15, 0, 0, 0, time.UTC) } // nine in Chicago
	s, err := store.Open(t.Context(), place, now)
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	h := &house{t: t, store: s, book: book.New(s, now), echo: echo.New(), now: now}
	h.pages = pages.New(pages.Deps{Book: h.book, Now: now, Read: readCSV,
		Rack: func(*book.PackingDay) []pages.Paper {
			return []pages.Paper{{Name: "harvest", Title: "Harvest list"}, {Name: "packing", Title: "Pack list"}}
		},
		Draw: func(w io.Writer, _ *book.PackingDay, name string) error {
			_, err := io.WriteString(w, "%PDF "+name)
			return err
		},
		DrawGrowing: func(w io.Writer, g *book.GrowingDay, name string) error {
			if name == "nope" {
				return domain.Refuse(domain.ErrNotFound, "paper", name)
			}
			_, err := fmt.Fprintf(w, "%%PDF %s: %d sown, %d set", name, len(g.Sown), len(g.Set))
			return err
		},
		DrawRecall: func(w io.Writer, c *book.Recall) error {
			_, err := io.WriteString(w, "%PDF recall of "+c.Code)
			return err
		},
		DrawSpares: func(w io.Writer, _ domain.Farm, asOf domain.Day, _ []book.Spare) error {
			_, err := io.WriteString(w, "%PDF spare as of "+asOf.String())
			return err
		},
		SpareLines: func(_ domain.Farm, spares []book.Spare) []string { return []string{"spare", fmt.Sprint(len(spares))} }})
	h.pages.Register(h.echo)
	h.echo.HTTPErrorHandler = func(err error, c echo.Context) {
		_ = c.String(http.StatusInternalServerError, err.Error())
	}
	return h
}

// readCSV reads a table of cells parted by commas, in place of the reader of
// sheets, which pages do not know.
func readCSV(name string, content []byte) ([]book.Table, error) {
	table := book.Table{Name: name}
	for i, line := range strings.Split(strings.TrimSpace(string(content)), "\n") {
		row := book.TableRow{Number: i + 1}
		for _, cell := range strings.Split(line, ",") {
			row.Cells = append(row.Cells, book.TextCell(cell))
		}
		table.Rows = append(table.Rows, row)
	}
	return []book.Table{table}, nil
}

// ServeHTTP lets the owner in, as the edge does.
func (h *house) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h.echo.ServeHTTP(w, r.WithContext(edge.WithPerson(r.Context(), book.Owner())))
}

func (h *house) get(address string) *page {
	return h.send(httptest.NewRequest(http.MethodGet, address, nil))
}

func (h *house) post(address string, form url.Values) *page {
	r := httptest.NewRequest(http.MethodPost, address, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return h.send(r)
}

func (h *house) send(r *http.Request) *page {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return readPage(h.t, w)
}

// must fails the test where a fixture cannot be stored.
func must[T any](t testing.TB) func(book.Record[T], error) book.Record[T] {
	return func(rec book.Record[T], err error) book.Record[T] {
		t.Helper()
		require.NoError(t, err)
		return rec
	}
}

// fullBooks are the books of full farms, by their customers.
var fullBooks = map[int]*storetest.Prepared{}

// full is an invented farm of so many customers.
func full(t testing.TB, customers int) *house {
	t.Helper()
	if fullBooks[customers] == nil {
		fullBooks[customers] = &storetest.Prepared{}
	}
	return houseOf(t, fullBooks[customers].Place(t, store.Restore, func(file string) {
		h := newHouse(t)
		h.fill(customers)
		require.NoError(t, h.store.Backup(t.Context(), file))
	}))
}

// fill tells of twelve varieties, eight products, two trucks and a round,
// customers with standing orders, and a walk on the morning.
func (h *house) fill(customers int) {
	t := h.t
	h.settings()
	for i, name := range []string{"Green romaine", "Red romaine", "Butterhead", "Red butterhead", "Oakleaf", "Red oakleaf", "Green batavia", "Red batavia", "Little gem", "Frisée", "Lollo", "Endive"} {
		must[domain.Variety](t)(h.book.Varieties.Create(t.Context(), book.Owner(), domain.Variety{Code: fmt.Sprintf("V%02d", i+1), Name: name}, book.Note{}))
	}
	h.cases()
	names := []string{"Harbor Table", "Mill Street Kitchen", "Copper Pan", "Orchard House", "Blue Door", "Stone Bridge Inn", "Lantern", "Two Rivers Market", "The Long Room", "Garden Gate"}
	carriers := []string{"NORTH", "SOUTH", "ROUND"}
	for i := range customers {
		c := domain.Customer{Code: fmt.Sprintf("C%03d", i+1), Name: names[i%len(names)], Carrier: carriers[i%3], Stop: i/3 + 1,
			Importance: []domain.Importance{domain.Anchor, domain.Steady, domain.Steady, domain.Casual}[i%4], Substitutes: []string{"yes", "yes", "ask"}[i%3], Phone: fmt.Sprintf("555-01%02d", i%100)}
		if i >= len(names) {
			c.Name += fmt.Sprintf(" %d", i/len(names)+1)
		}
		must[domain.Customer](t)(h.book.Customers.Create(t.Context(), book.Owner(), c, book.Note{}))
		for k := range 2 {
			must[domain.Standing](t)(h.book.Standing.Create(t.Context(), book.Owner(), domain.Standing{Customer: c.Code, Product: fmt.Sprintf("P%d", (i+3*k)%8+1),
				Terms: []domain.Term{{From: domain.MustDay("2027-02-01"), Every: 1, Cases: domain.Cases(2 + (i+k)%5)}}}, book.Note{}))
		}
	}
	h.walk(customers)
}

func (h *house) settings() {
	f := domain.NewFarm()
	f.Name, f.Zone, f.Units = "Stillwater Heads", "America/Chicago", "us"
	f.Harvest = domain.WeekdaysOf(time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday, time.Saturday)
	f.TallyDays = 56
	f.Crew = domain.Crew{RaftsPerDay: 45, HeadsPerHour: 300, HarvestHours: 5, CasesPerHour: 30, PackHours: 5}
	f.CaseSpaces = 90
	must[domain.Farm](h.t)(h.book.SetFarm(h.t.Context(), book.Owner(), f, book.Note{}))
	for _, c := range []domain.Carrier{
		{Code: "NORTH", Name: "North truck", Pickups: domain.WeekdaysOf(time.Thursday, time.Saturday, time.Tuesday), Hour: 7 * 60, CutoffDays: 1, CutoffHour: 14 * 60},
		{Code: "SOUTH", Name: "South truck", Pickups: domain.WeekdaysOf(time.Thursday, time.Monday), Hour: 9 * 60, CutoffDays: 1, CutoffHour: 16 * 60},
		{Code: "ROUND", Name: "Own round", OwnRound: true, Pickups: domain.WeekdaysOf(time.Thursday, time.Friday, time.Tuesday), Hour: 11 * 60, CutoffDays: 1, CutoffHour: 18 * 60},
	} {
		must[domain.Carrier](h.t)(h.book.Carriers.Create(h.t.Context(), book.Owner(), c, book.Note{}))
	}
}

func (h *house) cases() {
	slot := func(heads domain.Heads, accept ...string) domain.Slot {
		return domain.Slot{Heads: heads, Accept: accept}
	}
	for i, p := range []domain.Product{
		{Name: "Romaine case", Slots: []domain.Slot{slot(12, "V01", "V02")}},
		{Name: "Butterhead case", Slots: []domain.Slot{slot(12, "V03")}},
		{Name: "Mixed reds", Slots: []domain.Slot{slot(4, "V02"), slot(4, "V04"), slot(4, "V06", "V08")}},
		{Name: "Chef's mix", Slots: []domain.Slot{slot(3, "V01"), slot(3, "V05"), slot(3, "V07"), slot(3, "V09", "V10")}},
		{Name: "Oakleaf duo", Slots: []domain.Slot{slot(6, "V05"), slot(6, "V06")}},
		{Name: "Little gem flat", Slots: []domain.Slot{slot(18, "V09")}},
		{Name: "Batavia case", Slots: []domain.Slot{slot(6, "V07"), slot(6, "V08", "V07")}},
		{Name: "Grower's dozen", Slots: []domain.Slot{{Heads: 12, Accept: []string{"V10", "V11", "V12"}, GrowersChoice: true}}},
	} {
		p.Code = fmt.Sprintf("P%d", i+1)
		must[domain.Product](h.t)(h.book.Products.Create(h.t.Context(), book.Owner(), p, book.Note{}))
	}
}

// walk counts so much that some lines are short, some at risk, and Endive was
// not walked at all.
func (h *house) walk(customers int) {
	c := domain.Count{Day: today}
	for i := range 11 {
		if i == 10 {
			continue
		}
		rafts := domain.HalfRafts(max(2, customers*(3+i*5%7)/9))
		c.Beds = append(c.Beds, domain.BedCount{Bed: fmt.Sprintf("%c%d", 'A'+i/4, i%4+1), Variety: fmt.Sprintf("V%02d", i+1), RaftsNow: rafts, RaftsNext: rafts, RaftsAfter: rafts / 2})
	}
	must[domain.Count](h.t)(h.book.Counts.Create(h.t.Context(), book.Owner(), c, book.Note{}))
}

// speak sets the farm's language.
func (h *house) speak(language string) {
	rec, err := h.book.Farm(h.t.Context())
	require.NoError(h.t, err)
	rec.Value.Language = language
	must[domain.Farm](h.t)(h.book.SetFarm(h.t.Context(), book.Owner(), rec.Value, book.Note{Base: rec.Rev}))
}

// ordered is the cases of a customer's product on the next pickup day.
func (h *house) ordered(customer, product string) domain.Cases {
	h.t.Helper()
	g, err := h.book.Grid(h.t.Context(), book.Owner(), today, pickup, pickup)
	require.NoError(h.t, err)
	return g.At(customer, product, pickup).Cases
}
