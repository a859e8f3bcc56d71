//go:build linux

package trials

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/store"
)

// farmBook is a small farm's book in a folder, and a key of the office to it.
func farmBook(t testing.TB, dir string) (key string) {
	t.Helper()
	inBook(t, dir, func(b *book.Book) {
		ctx, owner := t.Context(), book.Owner()
		secret, err := b.FirstVisit(ctx)
		require.NoError(t, err)
		_, err = b.Begin(ctx, secret, domain.Account{Name: "Ada"}, "seven wet rafts at dawn", "")
		require.NoError(t, err)
		_, key, err = b.NewKey(ctx, owner, "trial", []domain.Role{domain.RoleOffice}, time.Now().AddDate(0, 1, 0))
		require.NoError(t, err)
		made := func(_ any, err error) { require.NoError(t, err) }
		made(b.Varieties.Create(ctx, owner, domain.Variety{Code: "BUTTER", Name: "Green butterhead"}, book.Note{}))
		made(b.Varieties.Create(ctx, owner, domain.Variety{Code: "OAK", Name: "Red oakleaf"}, book.Note{}))
		made(b.Products.Create(ctx, owner, domain.Product{Code: "B12", Name: "Butterhead 12", Slots: []domain.Slot{{Heads: 12, Accept: []string{"BUTTER"}}}}, book.Note{}))
		made(b.Products.Create(ctx, owner, domain.Product{Code: "MIX", Name: "Mixed six", Slots: []domain.Slot{{Heads: 6, Accept: []string{"OAK", "BUTTER"}}}}, book.Note{}))
		made(b.Carriers.Create(ctx, owner, domain.Carrier{Code: "NORTH", Name: "North truck", Pickups: domain.EveryDay}, book.Note{}))
		made(b.Customers.Create(ctx, owner, domain.Customer{Code: "MILL", Name: "Mill kitchen", Carrier: "NORTH"}, book.Note{}))
		made(b.Customers.Create(ctx, owner, domain.Customer{Code: "QUAY", Name: "Quay grocers", Carrier: "NORTH"}, book.Note{}))
	})
	return key
}

// inBook does something with a book that no program serves.
func inBook(t testing.TB, dir string, do func(*book.Book)) {
	t.Helper()
	s, err := store.Open(t.Context(), dir, time.Now)
	require.NoError(t, err)
	do(book.New(s, time.Now))
	require.NoError(t, s.Close())
}

// farAhead is a day on which orders are taken and that no plan looks at yet.
func farAhead() string { return domain.DayOf(time.Now()).Add(150).String() }

// paper is something that the office writes into the book: an order of two lines,
// or an order sheet of four. Its name is the purchase order on all its lines.
type paper struct {
	name  string
	lines int
	body  string
}

func anOrder(name string) paper {
	return paper{name, 2, fmt.Sprintf(`{"customer":"MILL","pickup":%q,"purchase_order":%q,"lines":[{"product":"B12","cases":2},{"product":"MIX","cases":1}]}`, farAhead(), name)}
}

func aSheet(name string) paper {
	var rows strings.Builder
	rows.WriteString("Customer,Product,Day,Cases,Purchase order\n")
	for _, customer := range []string{"Mill kitchen", "Quay grocers"} {
		for _, product := range []string{"Butterhead 12", "Mixed six"} {
			fmt.Fprintf(&rows, "%s,%s,%s,3,%s\n", customer, product, farAhead(), name)
		}
	}
	return paper{name, 4, rows.String()}
}

func (p paper) sheet() bool { return strings.HasPrefix(p.body, "Customer") }

// office writes into a service and remembers what it tried and what was
// acknowledged, as the checker of sets in Jepsen does: what was acknowledged must
// be there, what is there must have been tried.
type office struct {
	key    string
	client *http.Client

	mu     sync.Mutex
	tried  map[string]paper
	stored map[string]string // what was answered, by the name of the paper
	keys   map[string]string // the name of the paper that was sent under each key
}

func newOffice(key string) *office {
	return &office{key: key, client: &http.Client{Timeout: 30 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 128, DisableCompression: true}},
		tried: map[string]paper{}, stored: map[string]string{}, keys: map[string]string{}}
}

// ask sends a request. header holds pairs of a name and a value.
func (o *office) ask(method, at, body string, header ...string) (status int, answer string, h http.Header, err error) {
	r, err := http.NewRequest(method, at, strings.NewReader(body))
	if err != nil {
		return 0, "", nil, err
	}
	r.Header.Set("Authorization", "Bearer "+o.key)
	r.Header.Set("Content-Type", "application/json")
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	res, err := o.client.Do(r)
	if err != nil {
		return 0, "", nil, err
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	return res.StatusCode, string(text), res.Header, err
}

// write sends a paper under a key of its own until it is acknowledged, the
// service refuses it or cannot be reached. It gives the last status; 0: none.
func (o *office) write(at string, p paper) (status int) {
	send := o.sendOrder
	if p.sheet() {
		send = o.sendSheet
	}
	status, answer, err := send(at, p)
	for err == nil && (status == http.StatusPreconditionFailed || status == http.StatusConflict) { // others wrote meanwhile
		status, answer, err = send(at, p)
	}
	switch {
	case err != nil:
		return 0
	case status == http.StatusCreated || status == http.StatusOK:
		o.mu.Lock()
		o.stored[p.name] = answer
		o.mu.Unlock()
	}
	return status
}

// waitFor waits until so many papers are acknowledged, half a minute at most.
func (o *office) waitFor(papers int) {
	acknowledged := func() int {
		o.mu.Lock()
		defer o.mu.Unlock()
		return len(o.stored)
	}
	for began := time.Now(); acknowledged() < papers && time.Since(began) < 30*time.Second; {
		time.Sleep(time.Millisecond)
	}
}

// trying notes that a paper is sent under a key.
func (o *office) trying(p paper, key string) string {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.tried[p.name], o.keys[key] = p, p.name
	return key
}

func (o *office) sendOrder(at string, p paper) (int, string, error) {
	status, answer, _, err := o.ask("POST", at+"/v1/orders", p.body, "Idempotency-Key", o.trying(p, p.name))
	return status, answer, err
}

// sendSheet asks what taking a sheet would do, and takes it as previewed.
func (o *office) sendSheet(at string, p paper) (int, string, error) {
	status, answer, h, err := o.ask("POST", at+"/v1/imports/orders/preview?name="+p.name, p.body, "Content-Type", "text/csv")
	if err != nil || status != http.StatusOK {
		return status, answer, err
	}
	tag := h.Get("ETag")
	status, answer, _, err = o.ask("POST", at+"/v1/imports/orders?name="+p.name, p.body, "Content-Type", "text/csv",
		"If-Match", tag, "Idempotency-Key", o.trying(p, p.name+"-at-"+strings.Trim(tag, `"`)))
	return status, answer, err
}

// open are the papers that were tried and not acknowledged.
func (o *office) open() (list []paper) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for name, p := range o.tried {
		if _, is := o.stored[name]; !is {
			list = append(list, p)
		}
	}
	return list
}

// found is what a book holds of the office's papers.
type found struct {
	lines map[string]int  // of each paper, by its name
	kept  map[string]bool // the papers an answer is kept of

	unsound []string // what the book's own check says
}

// look looks through a book that no program serves. A book that cannot be opened
// is told as wrong.
func (o *office) look(t testing.TB, dir string) (f found) {
	t.Helper()
	f = found{lines: map[string]int{}, kept: map[string]bool{}}
	if s, err := store.Open(t.Context(), dir, time.Now); err != nil {
		f.unsound = append(f.unsound, err.Error())
		return f
	} else {
		require.NoError(t, s.Close())
	}
	inBook(t, dir, func(b *book.Book) {
		ctx := t.Context()
		orders, err := b.Orders.List(ctx, book.Owner(), book.Query{Ended: true})
		require.NoError(t, err)
		for _, rec := range orders {
			f.lines[rec.Value.PO] += len(rec.Value.Lines)
		}
		who, _, err := b.Holder(ctx, o.key, domain.KeyPass)
		require.NoError(t, err)
		for key, name := range o.keys {
			reply, err := b.Reply(ctx, who, key)
			require.NoError(t, err)
			f.kept[name] = f.kept[name] || reply != nil
		}
		today, err := b.Today(ctx)
		require.NoError(t, err)
		f.unsound, err = b.Check(ctx, book.Owner(), today)
		require.NoError(t, err)
	})
	return f
}

// wrong holds what was found against what was tried and what was acknowledged.
func (f found) wrong(tried map[string]paper, acknowledged func(name string) bool) (list []string) {
	list = append(list, f.unsound...)
	for name, p := range tried {
		n := f.lines[name]
		if n == 0 && acknowledged(name) {
			list = append(list, name+" was acknowledged and is gone")
		}
		if n != 0 && n != p.lines {
			list = append(list, fmt.Sprintf("%s has %d lines of %d", name, n, p.lines))
		}
		if f.kept[name] != (n > 0) {
			list = append(list, fmt.Sprintf("%s has %d lines, and that an answer is kept of it is %v", name, n, f.kept[name]))
		}
	}
	for name := range f.lines {
		if _, is := tried[name]; !is {
			list = append(list, name+" was never sent")
		}
	}
	return list
}

// lost is what is wrong with a book after its service ended.
func (o *office) lost(t testing.TB, dir string) []string {
	t.Helper()
	return o.look(t, dir).wrong(o.tried, func(name string) bool { _, is := o.stored[name]; return is })
}

// sound runs the program's own check on a book.
func sound(t testing.TB, dir string) {
	t.Helper()
	out, err := exec.Command(plain(t), append([]string{"check"}, where(t, dir)...)...).CombinedOutput()
	require.NoError(t, err, string(out))
	require.Equal(t, "the book is sound\n", string(out))
}

// idOf is the id in an answer.
func idOf(t testing.TB, answer string) string {
	t.Helper()
	var doc struct{ ID string }
	require.NoError(t, json.Unmarshal([]byte(answer), &doc), answer)
	return doc.ID
}
