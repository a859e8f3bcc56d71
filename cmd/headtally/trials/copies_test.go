//go:build linux

package trials

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain/store"
	"headtally/domain/store/storetest"
	"headtally/domain/tried"
)

// where is a book as the program is told of it: in a folder, or in a database.
func where(t testing.TB, place string) []string {
	t.Helper()
	if store.IsDatabase(place) {
		return []string{"--database", place, "--data", t.TempDir()}
	}
	return []string{"--data", place}
}

// pair is two services on one book, whichever of them is there.
type pair struct {
	t     testing.TB
	prog  string
	place string
	both  [2]*service
}

func servePair(t testing.TB, place string) *pair {
	p := &pair{t: t, prog: plain(t), place: place}
	for i := range p.both {
		p.both[i] = serve(t, p.prog, place)
	}
	return p
}

// at are the addresses, those of a service first.
func (p *pair) at(first int) [2]string {
	return [2]string{p.both[first%2].at, p.both[1-first%2].at}
}

// TestTwoServicesServeOneBook has an office write through two services on one
// database at once. One of them is killed at a random moment, its desks go on at
// the other with what was under way, and it is started again. Everything
// acknowledged is there once, nothing half there, the other service refuses
// nobody, and the history is one line.
func TestTwoServicesServeOneBook(t *testing.T) {
	place, kills := storetest.Schema(t), tried.Times(t, 5, 500)
	o := newOffice(farmBook(t, place))
	p := servePair(t, place)
	cases := &tally{t: t, order: p.anOrder(o)}
	random := rand.New(rand.NewPCG(2, uint64(kills)))
	for turn := range kills {
		dies := random.IntN(2)
		p.busy(o, cases, turn, func() {
			time.Sleep(time.Duration(random.IntN(300_000)) * time.Microsecond)
			p.both[dies].kill()
			time.Sleep(150 * time.Millisecond)
		})
		p.both[dies] = serve(t, p.prog, place)
	}
	require.Empty(t, o.lost(t, place))
	cases.holds(t, o, p.at(0)[0])
	oneLine(t, place)
	for _, s := range p.both {
		require.Zero(t, s.stop(), s.told)
	}
	sound(t, place)
	t.Logf("%d kills, %d papers and %d changes of one order acknowledged, none lost", kills, len(o.stored), cases.acknowledged.Load())
}

// TestTheDatabaseIsKilledUnderTwoServices ends the database server as a kill
// does, and starts it again: both services go on by themselves.
func TestTheDatabaseIsKilledUnderTwoServices(t *testing.T) {
	server := storetest.NewCluster(t)
	place := server.Address()
	o := newOffice(farmBook(t, place))
	p := servePair(t, place)
	cases := &tally{t: t, order: p.anOrder(o)}
	for turn := range tried.Times(t, 2, 50) {
		p.busy(o, cases, turn, func() {
			time.Sleep(time.Duration(50+turn*37%100) * time.Millisecond)
			server.Stop("immediate")
			server.Start()
			time.Sleep(200 * time.Millisecond)
		})
	}
	for _, s := range p.both {
		require.Zero(t, s.stop(), s.told)
		for line := range strings.Lines(s.told.String()) {
			require.NotContains(t, line, `"status":500`)
		}
	}
	p.both = [2]*service{serve(t, p.prog, place), serve(t, p.prog, place)}
	require.Empty(t, o.lost(t, place))
	cases.holds(t, o, p.at(0)[0])
	oneLine(t, place)
	t.Logf("%d papers and %d changes of one order acknowledged, none lost", len(o.stored), cases.acknowledged.Load())
}

// busy has six desks write papers and two change one order, half of them at each
// service, until meanwhile is done and each has ended what it was at.
func (p *pair) busy(o *office, cases *tally, turn int, meanwhile func()) {
	var desks sync.WaitGroup
	var over atomic.Bool
	for desk := range 6 {
		desks.Go(func() {
			for n := 0; !over.Load(); n++ {
				paper := anOrder(fmt.Sprintf("O-%d-%d-%d", turn, desk, n))
				if desk == 0 {
					paper = aSheet(fmt.Sprintf("S-%d-%d", turn, n))
				}
				p.send(o, desk, paper)
			}
		})
	}
	for desk := range 2 {
		desks.Go(func() {
			for at := p.at(desk); !over.Load(); {
				if cases.add(o, at[0]) {
					at[0], at[1] = at[1], at[0]
				}
			}
		})
	}
	meanwhile()
	over.Store(true)
	desks.Wait()
}

// send writes a paper at one service, and where that is gone or cannot reach the
// book, at either until it is acknowledged, under the same key.
func (p *pair) send(o *office, desk int, paper paper) {
	at := p.at(desk)
	for try := 0; ; try++ {
		switch status := o.write(at[try%2], paper); status {
		case http.StatusOK, http.StatusCreated:
			return
		case 0, http.StatusServiceUnavailable:
		default:
			p.t.Errorf("%s was answered with %d", paper.name, status)
			return
		}
		if try > 1000 {
			p.t.Errorf("%s is never stored", paper.name)
			return
		}
		time.Sleep(time.Duration(min(try, 10)) * time.Millisecond)
	}
}

// anOrder is the address of an order that many change.
func (p *pair) anOrder(o *office) string {
	shared := anOrder("SHARED")
	require.Equal(p.t, http.StatusCreated, o.write(p.at(0)[0], shared))
	return "/v1/orders/" + idOf(p.t, o.stored[shared.name])
}

// tally counts the cases that were added to the first line of an order: those
// acknowledged, and those of which nobody knows.
type tally struct {
	t                     testing.TB
	order                 string
	acknowledged, unknown atomic.Int64
}

// add adds a case from the revision that it reads. gone says that the service
// did not answer or could not reach the book.
func (c *tally) add(o *office, at string) (gone bool) {
	doc, tag, err := c.read(o, at)
	if err != nil {
		return true
	}
	line := doc["lines"].([]any)[0].(map[string]any)
	line["cases"] = line["cases"].(float64) + 1
	for _, own := range []string{"id", "revision", "ended"} {
		delete(doc, own)
	}
	body, err := json.Marshal(doc)
	if err != nil {
		return true
	}
	switch status, answer, _, err := o.ask("PUT", at+c.order, string(body), "If-Match", tag); {
	case err != nil || status == http.StatusServiceUnavailable:
		c.unknown.Add(1)
		return true
	case status == http.StatusOK:
		c.acknowledged.Add(1)
	case status != http.StatusPreconditionFailed:
		c.t.Errorf("a change was answered with %d: %s", status, answer)
		return true
	}
	return false
}

func (c *tally) read(o *office, at string) (doc map[string]any, tag string, err error) {
	status, answer, h, err := o.ask("GET", at+c.order, "")
	if err == nil && status != http.StatusOK {
		err = fmt.Errorf("answered with %d", status)
	}
	if err != nil {
		return nil, "", err
	}
	return doc, h.Get("ETag"), json.Unmarshal([]byte(answer), &doc)
}

// holds asks that every acknowledged case is there, and no other but those of
// which nobody knows.
func (c *tally) holds(t testing.TB, o *office, at string) {
	t.Helper()
	doc, _, err := c.read(o, at)
	require.NoError(t, err)
	added := int64(doc["lines"].([]any)[0].(map[string]any)["cases"].(float64)) - 2
	require.GreaterOrEqual(t, added, c.acknowledged.Load())
	require.LessOrEqual(t, added, c.acknowledged.Load()+c.unknown.Load())
	require.Positive(t, c.acknowledged.Load())
}

// oneLine asks that the history is one line: every revision is there, each
// change follows the one before, and begins from what the last one of its record
// left.
func oneLine(t testing.TB, place string) {
	t.Helper()
	inBook(t, place, func(b *book.Book) {
		entries, err := b.History(t.Context(), book.Owner(), "", "", 10_000_000)
		require.NoError(t, err)
		left, revision := map[string]string{}, int64(0)
		for i := len(entries) - 1; i >= 0; i-- { // the newest comes first
			e := entries[i]
			require.Equal(t, int64(len(entries)-i), e.Seq)
			require.Contains(t, []int64{revision, revision + 1}, e.Revision)
			require.Equal(t, left[e.Kind+" "+e.Code], e.Before, "%s %s at revision %d", e.Kind, e.Code, e.Revision)
			left[e.Kind+" "+e.Code], revision = e.After, e.Revision
		}
		now, err := b.Revision(t.Context())
		require.NoError(t, err)
		require.Equal(t, now, revision)
	})
}
