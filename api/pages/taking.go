package pages

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"time"

	"headtally/api/book"
	"headtally/domain"
)

// A sheet that is taken is waited for so long; then the page shows how far it
// is, and loads again by itself.
const (
	takingWait  = 2 * time.Second
	takingAgain = 1 // seconds
)

// takings are the sheets that this program is taking into the book, and how the
// last ones ended, by the ID of the dropped file.
type takings struct {
	mu  sync.Mutex
	now map[string]*taking
}

// taking is one sheet on its way into the book.
type taking struct {
	over  chan struct{} // closed when it has ended
	asked book.OrderSheet
	err   error // once it is over

	mu          sync.Mutex
	done, total int // orders
}

func (t *taking) progress(done, total int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.done, t.total = done, total
}

func (t *taking) soFar() (done, total int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.done, t.total
}

// begin starts to take a sheet, unless it is being taken.
func (ts *takings) begin(id string, asked book.OrderSheet, take func(*taking) error) *taking {
	ts.mu.Lock()
	defer ts.mu.Unlock()
	if ts.now == nil {
		ts.now = map[string]*taking{}
	}
	if t := ts.now[id]; t != nil && !t.ended() {
		return t
	}
	t := &taking{over: make(chan struct{}), asked: asked}
	ts.now[id] = t
	go t.run(take)
	return t
}

// run takes the sheet; a fault of the program ends the taking and nothing else.
func (t *taking) run(take func(*taking) error) {
	defer close(t.over)
	defer func() {
		if fault := recover(); fault != nil {
			t.err = fmt.Errorf("taking %s: %v", t.asked.Name, fault)
		}
	}()
	t.err = take(t)
}

func (t *taking) ended() bool {
	select {
	case <-t.over:
		return true
	default:
		return false
	}
}

func (ts *takings) of(id string) *taking {
	ts.mu.Lock()
	defer ts.mu.Unlock()
	return ts.now[id]
}

// end forgets a taking whose end was told.
func (ts *takings) end(id string) {
	ts.mu.Lock()
	defer ts.mu.Unlock()
	delete(ts.now, id)
}

// take takes the sheet into the book as its page showed. One that takes long
// goes on when its reader leaves.
func (v *visit) take() error {
	s, err := v.heldSheet()
	if err != nil {
		return v.sheet(http.StatusNotFound, []string{v.say("page.sheet.gone")})
	}
	revision := v.revision("revision")
	ctx, who, id := context.WithoutCancel(v.ctx), v.who, v.Param("id")
	t := v.office.takings.begin(id, v.askedSheet(s.name), func(t *taking) error {
		o := t.asked
		o.Progress = t.progress
		_, err := v.office.Book.TakeOrders(ctx, who, s.tables, o, revision)
		return err
	})
	select {
	case <-t.over:
		return v.taken(s, t)
	case <-time.After(takingWait):
		return v.Redirect(http.StatusSeeOther, "/sheet/"+id+"/taking")
	}
}

// TakingView is how far a sheet is on its way into the book.
type TakingView struct {
	Frame
	Done, Total int // orders; no total: the rows are being read
}

// takingPage shows how far a sheet is, and loads again by itself until it is in
// the book. Where this program knows nothing of it, another may: whether it was
// taken the sheet's own page says.
func (v *visit) takingPage() error {
	s, err := v.heldSheet()
	if err != nil {
		return v.sheet(http.StatusNotFound, []string{v.say("page.sheet.gone")})
	}
	t := v.office.takings.of(v.Param("id"))
	if t == nil {
		return v.Redirect(http.StatusSeeOther, "/sheet/"+v.Param("id"))
	}
	if t.ended() {
		return v.taken(s, t)
	}
	view := TakingView{Frame: v.frame("more", s.name)}
	view.Done, view.Total = t.soFar()
	v.Response().Header().Set("Refresh", strconv.Itoa(takingAgain))
	return v.show(http.StatusOK, "taking", view)
}

// taken tells how taking a sheet ended.
func (v *visit) taken(s heldSheet, t *taking) error {
	v.office.takings.end(v.Param("id"))
	if t.err == nil {
		return v.done("/day", "taken")
	}
	status, lines := v.formStatus(t.err)
	if status == 0 {
		return t.err
	}
	if errors.Is(t.err, domain.ErrStale) {
		lines = []string{v.say("page.sheet.stale")}
	}
	return v.previewAs(s, t.asked, status, lines)
}
