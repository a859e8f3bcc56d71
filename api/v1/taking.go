package v1

import (
	"net/http"
	"sync"
	"time"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// The takings that are known at one time, of those that have ended; a client
// that asks looks every second or so, and has its own answer when it is over.
const (
	takingKept  = time.Hour
	takingsKept = 1000
)

// How far an order sheet is.
const (
	takingUnderWay = "under_way"
	takingTaken    = "taken"
	takingRefused  = "refused" // nothing of it was stored
)

// takings are the order sheets that this program is taking into the book, and
// how the last ones ended, by the person and the key that named the request.
type takings struct {
	now func() time.Time
	mu  sync.Mutex
	of  map[string]*taking
}

// taking is how far one order sheet is.
type taking struct {
	State   string     `json:"state"`
	Written int        `json:"written"` // orders
	Of      int        `json:"of"`      // orders; 0 while the rows are read
	Began   time.Time  `json:"began"`
	Ended   *time.Time `json:"ended,omitempty"`
}

// begin notes that a sheet is being taken; told is called with how far it is,
// and over once with whether it was taken.
func (ts *takings) begin(name string) (told func(written, of int), over func(taken bool)) {
	t := &taking{State: takingUnderWay, Began: ts.now().UTC()}
	ts.mu.Lock()
	defer ts.mu.Unlock()
	ts.forget()
	ts.of[name] = t
	told = func(written, of int) {
		ts.mu.Lock()
		defer ts.mu.Unlock()
		t.Written, t.Of = written, of
	}
	over = func(taken bool) {
		ended := ts.now().UTC()
		ts.mu.Lock()
		defer ts.mu.Unlock()
		t.Ended = &ended
		if t.State = takingTaken; !taken {
			t.State, t.Written = takingRefused, 0
		}
	}
	return told, over
}

// forget makes room for one more: it drops those that ended long ago, and the
// first that ended where there are too many still.
func (ts *takings) forget() {
	var first string
	since := ts.now().Add(-takingKept)
	for name, t := range ts.of {
		switch {
		case t.Ended == nil:
		case t.Ended.Before(since):
			delete(ts.of, name)
		case first == "" || t.Ended.Before(*ts.of[first].Ended):
			first = name
		}
	}
	if len(ts.of) >= takingsKept {
		delete(ts.of, first)
	}
}

// look is a taking as it stands.
func (ts *takings) look(name string) (t taking, known bool) {
	ts.mu.Lock()
	defer ts.mu.Unlock()
	if ts.of[name] == nil {
		return t, false
	}
	return *ts.of[name], true
}

// owned is a key of a person, as this program's memory has it.
func owned(p book.Person, key string) string { return p.Own() + "\x00" + key }

// orderTaking tells how far the sheet is that its sender named by a key.
func (f *Face) orderTaking(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	if err := q.Err(); err != nil {
		return nil, err
	}
	t, known := f.takings.look(owned(a.Person, a.Path("key")))
	if !known {
		return nil, domain.Refuse(domain.ErrNotFound, "taking", a.Path("key"))
	}
	return edge.JSON(http.StatusOK, t)
}
