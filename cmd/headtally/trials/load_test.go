//go:build linux

package trials

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/store"
	"headtally/domain/tried"
)

// manyOrders puts orders into a book in a few transactions.
func manyOrders(t testing.TB, dir string, n int) {
	t.Helper()
	s, err := store.Open(t.Context(), dir, time.Now)
	require.NoError(t, err)
	defer func() { require.NoError(t, s.Close()) }()
	for from := 0; from < n; from += 10_000 {
		_, err = store.Write(t.Context(), s, store.Act{Who: "trial"}, func(tx *store.Tx) (bool, error) {
			for i := from; i < min(n, from+10_000); i++ {
				o := domain.Order{ID: fmt.Sprint("M", i), Customer: "MILL", Pickup: domain.DayOf(time.Now()).Add(-400 + i%300), Mode: domain.Add,
					Lines: []domain.OrderLine{{Product: "B12", Cases: 2}}, Received: tx.Now}
				if _, err := store.Orders.Create(tx, o); err != nil {
					return false, err
				}
			}
			return true, nil
		})
		require.NoError(t, err)
	}
}

// TestFiftyClientsEditTwentyOrders has them raise the cases of one order after
// another by one, each from the revision it read. Each edit that was acknowledged
// counts, none twice, and each order's history goes from one revision to the next.
func TestFiftyClientsEditTwentyOrders(t *testing.T) {
	const clients, orders = 50, 20
	dir := t.TempDir()
	o := newOffice(farmBook(t, dir))
	s := serve(t, plain(t), dir)
	at := make([]string, orders)
	for i := range at {
		status, answer, _, err := o.ask("POST", s.at+"/v1/orders", `{"customer":"MILL","pickup":"`+farAhead()+`","lines":[{"product":"B12","cases":0}]}`, "Idempotency-Key", fmt.Sprint("o-", i))
		require.NoError(t, err)
		require.Equal(t, http.StatusCreated, status, answer)
		at[i] = s.at + "/v1/orders/" + idOf(t, answer)
	}
	wanted := int64(tried.Times(t, 400, 10_000))
	var edits [orders]atomic.Int64
	var stored, stale atomic.Int64
	var all sync.WaitGroup
	for c := range clients {
		all.Go(func() {
			for n := c; stored.Load() < wanted; n++ {
				switch status := o.raise(t, at[n%orders]); status {
				case http.StatusOK:
					edits[n%orders].Add(1)
					stored.Add(1)
				case http.StatusPreconditionFailed:
					stale.Add(1)
				default:
					t.Errorf("answered %d", status)
					return
				}
			}
		})
	}
	all.Wait()
	total := int64(0)
	for i, address := range at {
		_, answer, _, err := o.ask("GET", address, "")
		require.NoError(t, err)
		require.Equal(t, edits[i].Load(), casesOf(t, answer), "no edit is lost")
		total += edits[i].Load()
	}
	require.Zero(t, s.stop())
	linear(t, dir, orders+int(total))
	t.Logf("%d edits, %d refused as stale, none lost", total, stale.Load())
}

var (
	cases  = regexp.MustCompile(`"cases":(\d+)`)
	itsOwn = regexp.MustCompile(`,"revision":\d+,"ended":false`) // what a change does not send back
)

func casesOf(t testing.TB, order string) int64 {
	n, err := strconv.ParseInt(cases.FindStringSubmatch(order)[1], 10, 64)
	require.NoError(t, err)
	return n
}

// raise reads an order and writes it back with one more case.
func (o *office) raise(t testing.TB, at string) (status int) {
	_, answer, h, err := o.ask("GET", at, "")
	if err != nil {
		return 0
	}
	more := cases.ReplaceAllString(answer, fmt.Sprintf(`"cases":%d`, casesOf(t, answer)+1))
	more = itsOwn.ReplaceAllString(more, "")
	status, _, _, err = o.ask("PUT", at, more, "If-Match", h.Get("ETag"))
	if err != nil {
		return 0
	}
	return status
}

// linear reads the history of every order: what one change left is what the next
// began from.
func linear(t testing.TB, dir string, changes int) {
	t.Helper()
	inBook(t, dir, func(b *book.Book) {
		orders, err := b.Orders.List(t.Context(), book.Owner(), book.Query{})
		require.NoError(t, err)
		seen := 0
		for _, rec := range orders {
			entries, err := b.History(t.Context(), book.Owner(), "order", rec.Value.ID, 1_000_000)
			require.NoError(t, err)
			slices.Reverse(entries)
			before, revision := "", int64(0)
			for _, e := range entries {
				require.Equal(t, before, e.Before)
				require.Greater(t, e.Revision, revision)
				before, revision = e.After, e.Revision
			}
			seen += len(entries)
		}
		require.Equal(t, changes, seen)
	})
}

// BenchmarkLoad is orders written and plans read by several clients at once, with
// the service in a process of its own: how many a second, how long they took, and
// how much memory the service holds after.
func BenchmarkLoad(b *testing.B) {
	for _, clients := range []int{1, 10, 100} {
		for _, kind := range []string{"orders", "plans"} {
			b.Run(fmt.Sprintf("%s/%d clients", kind, clients), func(b *testing.B) {
				dir := b.TempDir()
				o := newOffice(farmBook(b, dir))
				s := serve(b, plain(b), dir)
				ask := func(n int64) int {
					if kind == "orders" {
						return o.write(s.at, anOrder(fmt.Sprint("O-", n)))
					}
					status, _, _, _ := o.ask("GET", s.at+"/v1/plan", "")
					return status
				}
				took := make([]time.Duration, b.N)
				var next atomic.Int64
				var all sync.WaitGroup
				b.ResetTimer()
				for range clients {
					all.Go(func() {
						for n := next.Add(1) - 1; n < int64(b.N); n = next.Add(1) - 1 {
							began := time.Now()
							if status := ask(n); status != http.StatusOK && status != http.StatusCreated {
								b.Errorf("answered %d", status)
							}
							took[n] = time.Since(began)
						}
					})
				}
				all.Wait()
				b.StopTimer()
				slices.Sort(took)
				b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "asked/s")
				b.ReportMetric(float64(took[b.N/2].Microseconds())/1000, "p50-ms")
				b.ReportMetric(float64(took[b.N*99/100].Microseconds())/1000, "p99-ms")
				b.ReportMetric(s.memory(b), "MB")
				s.kill()
			})
		}
	}
}

// BenchmarkPlansBesideOrders is plans read by three clients while one stores
// orders without a pause: how many a second, how long a read took, and how many
// orders were stored meanwhile.
func BenchmarkPlansBesideOrders(b *testing.B) {
	dir := b.TempDir()
	o := newOffice(farmBook(b, dir))
	s := serve(b, plain(b), dir)
	took := make([]time.Duration, b.N)
	var next, stored atomic.Int64
	var readers, writer sync.WaitGroup
	done := make(chan struct{})
	writer.Go(func() {
		for n := 0; ; n++ {
			select {
			case <-done:
				return
			default:
			}
			if status := o.write(s.at, anOrder(fmt.Sprint("O-", n))); status != http.StatusCreated {
				b.Errorf("answered %d", status)
			}
			stored.Add(1)
		}
	})
	b.ResetTimer()
	for range 3 {
		readers.Go(func() {
			for n := next.Add(1) - 1; n < int64(b.N); n = next.Add(1) - 1 {
				began := time.Now()
				if status, _, _, err := o.ask("GET", s.at+"/v1/plan", ""); err != nil || status != http.StatusOK {
					b.Errorf("answered %d, %v", status, err)
				}
				took[n] = time.Since(began)
			}
		})
	}
	readers.Wait()
	b.StopTimer()
	close(done)
	writer.Wait()
	slices.Sort(took)
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "read/s")
	b.ReportMetric(float64(took[b.N/2].Microseconds())/1000, "p50-ms")
	b.ReportMetric(float64(took[b.N*99/100].Microseconds())/1000, "p99-ms")
	b.ReportMetric(float64(stored.Load())/b.Elapsed().Seconds(), "stored/s")
	s.kill()
}

// memory is what the service holds in memory, in MB.
func (s *service) memory(t testing.TB) float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.run.Process.Pid))
	if err != nil {
		t.Skipf("what a process holds is read from /proc: %v", err)
	}
	m := regexp.MustCompile(`VmRSS:\s+(\d+) kB`).FindSubmatch(text)
	kB, err := strconv.ParseFloat(string(m[1]), 64)
	require.NoError(t, err)
	return kB / 1000
}

// TestMemoryStaysFlat keeps an office at work at a steady pace, reading more than
// it writes, and looks at what the service holds. Half an hour of it is asked for
// by HEADTALLY_SOAK=30m; it takes no part in the usual run.
func TestMemoryStaysFlat(t *testing.T) {
	whole, err := time.ParseDuration(os.Getenv("HEADTALLY_SOAK"))
	if err != nil {
		t.Skip("HEADTALLY_SOAK says how long, such as 30m")
	}
	dir := t.TempDir()
	o := newOffice(farmBook(t, dir))
	s := serve(t, plain(t), dir)
	_, answer, _, err := o.ask("POST", s.at+"/v1/orders", anOrder("O-kept").body, "Idempotency-Key", "kept")
	require.NoError(t, err)
	kept := s.at + "/v1/orders/" + idOf(t, answer)
	var held []float64
	began, tick := time.Now(), time.NewTicker(20*time.Millisecond) // 50 a second
	defer tick.Stop()
	for n := 0; time.Since(began) < whole; n++ {
		<-tick.C
		switch n % 10 {
		case 0:
			require.Equal(t, http.StatusOK, o.raise(t, kept))
		case 1, 2, 3:
			status, _, _, err := o.ask("GET", s.at+"/v1/plan", "")
			require.NoError(t, err)
			require.Equal(t, http.StatusOK, status)
		default:
			status, _, _, err := o.ask("GET", s.at+"/v1/orders", "")
			require.NoError(t, err)
			require.Equal(t, http.StatusOK, status)
		}
		if time.Since(began) > time.Duration(len(held)+1)*whole/30 {
			held = append(held, s.memory(t))
		}
	}
	first, last := mean(held[5:10]), mean(held[len(held)-5:])
	t.Logf("MB held, by thirtieths of %v: %.0f", whole, held)
	require.InDelta(t, first, last, 0.05*first+2, "flat after the first sixth")
}

func mean(figures []float64) (sum float64) {
	for _, f := range figures {
		sum += f
	}
	return sum / float64(len(figures))
}

// TestManyKeysManyTimes sends each order once to five times under one key, some
// at once: one order a key, and each answer the same.
func TestManyKeysManyTimes(t *testing.T) {
	dir := t.TempDir()
	o := newOffice(farmBook(t, dir))
	s := serve(t, plain(t), dir)
	keys := tried.Times(t, 60, 10_000)
	var wrong, next atomic.Int64
	var desks sync.WaitGroup
	for range 8 {
		desks.Go(func() {
			for n := next.Add(1) - 1; n < int64(keys); n = next.Add(1) - 1 {
				if !o.sendsAgain(s.at, anOrder(fmt.Sprint("O-", n)), 1+int(n%5)) {
					wrong.Add(1)
				}
			}
		})
	}
	desks.Wait()
	require.Zero(t, wrong.Load())
	require.Zero(t, s.stop())
	require.Empty(t, o.lost(t, dir))
	t.Logf("%d keys, one order each", keys)
}

// sendsAgain sends an order so many times at once, and those that were told that
// the first is under way once more; it says whether all answers are the same.
func (o *office) sendsAgain(at string, p paper, times int) bool {
	answers := make([]string, times)
	var all sync.WaitGroup
	for i := range answers {
		all.Go(func() {
			for status := http.StatusConflict; status == http.StatusConflict; {
				status, answers[i], _ = o.sendOrder(at, p)
			}
		})
	}
	all.Wait()
	var doc struct {
		PO string `json:"purchase_order"`
	}
	return json.Unmarshal([]byte(answers[0]), &doc) == nil && doc.PO == p.name && strings.Count(strings.Join(answers, ""), answers[0]) == times
}
