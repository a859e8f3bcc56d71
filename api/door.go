package api

import (
	"cmp"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// door finds out who asks and lets pass who may. A key is taken from the
// Authorization header alone, never from an address or a cookie, and opens what
// programs use; a request that brings one is nobody else's, whatever cookies come
// with it. A cookie is a browser's; since browsers send it by themselves, changes
// that another site's page causes are refused before (sameOrigin).
type door struct {
	book  *book.Book
	now   func() time.Time
	log   *slog.Logger
	alone bool
	pace  *pace
	mays  map[string]book.Right // by method and address
	lived atomic.Bool           // the book has people: they never leave it altogether
}

// state notes what each address asks for. An address that says nothing is a
// fault of the program: it would be open to all.
func (d *door) state(address string, may book.Right) error {
	known := []book.Right{edge.Anybody, book.MayRead, book.MayOrder, book.MayGrow, book.MayPack, book.MayManage}
	if slices.ContainsFunc(edge.OneOf(may), func(r book.Right) bool { return !slices.Contains(known, r) }) {
		return fmt.Errorf("api: %s does not say who may use it", address)
	}
	d.mays[address] = may
	return nil
}

// pass lets a request through to an address with who asks in its context, or
// refuses it.
func (d *door) pass(r *http.Request, address string) (*http.Request, error) {
	may, stated := d.mays[address]
	if !stated { // nothing lies there, which is told further on
		return r, nil
	}
	var who book.Person
	var err error
	if may != edge.Anybody {
		if who, err = d.who(r); err != nil && !errors.Is(err, domain.ErrSignIn) {
			return r, err
		}
	}
	own := cmp.Or(who.Own(), "address "+edge.From(r.Context()).Address)
	if wait := d.pace.wait(d.now(), own); wait > 0 {
		return r, domain.Refuse(domain.ErrWait, "request", "", "reason", "pace", "seconds", 1+int(wait/time.Second))
	}
	opens := func(r book.Right) bool { return r == edge.Anybody || slices.Contains(who.Rights, r) }
	if err == nil && !slices.ContainsFunc(edge.OneOf(may), opens) {
		err = domain.Refuse(domain.ErrDenied, "right", string(may))
	}
	if err != nil {
		d.log.LogAttrs(r.Context(), slog.LevelWarn, "turned away", slog.String("request", edge.RequestID(r.Context())),
			slog.String("who", own), slog.String("from", edge.From(r.Context()).Address), slog.String("address", address))
		return r, err
	}
	return r.WithContext(edge.WithPerson(r.Context(), who)), nil
}

// who is who asks.
func (d *door) who(r *http.Request) (book.Person, error) {
	ctx := r.Context()
	if given := r.Header.Get("Authorization"); given != "" {
		secret, is := strings.CutPrefix(given, "Bearer ")
		if !is || !forPrograms(r.URL.Path) {
			return book.Person{}, nobody()
		}
		person, _, err := d.book.Holder(ctx, secret, domain.KeyPass)
		return person, err
	}
	for _, cookie := range []struct {
		name  string
		kinds []domain.PassKind
	}{{edge.SessionCookie, []domain.PassKind{domain.SessionPass, domain.MachinePass}}, {edge.DeviceCookie, []domain.PassKind{domain.DevicePass}}} {
		secret := edge.Secret(r, cookie.name)
		if secret == "" {
			continue
		}
		person, _, err := d.book.Holder(ctx, secret, cookie.kinds...)
		if !errors.Is(err, domain.ErrSignIn) {
			return person, err
		}
	}
	return d.atMachine(r)
}

// forPrograms says whether an address is one that programs use.
func forPrograms(path string) bool { return strings.HasPrefix(path, "/v1/") || path == "/metrics" }

// atMachine is the owner for who asks from this machine of a service that was
// begun for one alone, as the demo is, until its book has people.
func (d *door) atMachine(r *http.Request) (book.Person, error) {
	if !d.alone || !edge.From(r.Context()).Machine || d.lived.Load() {
		return book.Person{}, nobody()
	}
	some, err := d.book.HasPeople(r.Context())
	if err != nil {
		return book.Person{}, err
	}
	if some {
		d.lived.Store(true)
		return book.Person{}, nobody()
	}
	return book.Owner(), nil
}

func nobody() error { return domain.Refuse(domain.ErrSignIn, "pass", "", "reason", "nobody") }
