package api

import (
	"bytes"
	"errors"
	"net/http"
	"strings"
	"time"

	"headtally/api/book"
	"headtally/api/feed"
	"headtally/api/internal/edge"
	"headtally/domain"
)

const feedPath = "/feed/"

// feedRoute is the calendar of the pickups ahead. Calendar programs send no
// keys: who knows the address may read it, which is why no log shows it. An
// address that is not one is told like any other that is none.
func feedRoute(b *book.Book, now func() time.Time) edge.Route {
	return edge.Route{Method: http.MethodGet, Path: feedPath + "{feed}", May: edge.Anybody, Handle: plain(func(a *edge.Ask) (*edge.Answer, error) {
		secret, is := strings.CutSuffix(a.Path("feed"), ".ics")
		if !is {
			return nil, edge.ErrNoRoute
		}
		who, pass, err := b.Holder(a.Context(), secret, domain.FeedPass)
		if errors.Is(err, domain.ErrSignIn) {
			return nil, edge.ErrNoRoute
		}
		if err != nil {
			return nil, err
		}
		ahead, err := b.PickupsAhead(a.Context(), who)
		if err != nil {
			return nil, err
		}
		var body bytes.Buffer
		if err := feed.Write(&body, feed.Of(ahead, pass.ID, now())); err != nil {
			return nil, err
		}
		return (&edge.Answer{Status: http.StatusOK, Body: body.Bytes()}).With("Content-Type", "text/calendar; charset=utf-8").
			With("Content-Disposition", `inline; filename="pickups.ics"`), nil
	})}
}

// shown is an address's path as a log may hold it.
func shown(path string) string {
	if strings.HasPrefix(path, feedPath) {
		return feedPath + "*"
	}
	return path
}
