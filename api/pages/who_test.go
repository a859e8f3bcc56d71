package pages_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestEveryAddressSaysWhoMayUseIt: an address without a row in May would keep the
// service from starting.
func TestEveryAddressSaysWhoMayUseIt(t *testing.T) {
	h := newHouse(t)
	mays := h.pages.May()
	for _, r := range h.echo.Routes() {
		address := r.Method + " " + strings.ReplaceAll(r.Path, "/:", "/{")
		parts := strings.Split(address, "/")
		for i, part := range parts {
			if strings.HasPrefix(part, "{") {
				parts[i] = part + "}"
			}
		}
		address = strings.Join(parts, "/")
		_, stated := mays[address]
		require.True(t, stated, "who.go has no row for %s", address)
		delete(mays, address)
	}
	require.Empty(t, mays, "rows of addresses that are not there")
}

// TestThePagesOfTheDoorAreWellMade looks at them in both languages, empty and
// with somebody and something on them.
func TestThePagesOfTheDoorAreWellMade(t *testing.T) {
	for _, language := range []string{"en", "es"} {
		h := full(t, 3)
		h.speak(language)
		for range 2 {
			for _, address := range []string{"/sign-in", "/begin?visit=x", "/welcome?visit=x", "/me", "/people"} {
				h.get(address).wellMade(t, http.StatusOK)
			}
			h.post("/people", url.Values{"name": {"Ada"}, "roles": {"owner"}, "password": {"seven wet rafts at dawn"}})
		}
		h.get("/people/ada").wellMade(t, http.StatusOK)
		h.post("/people", url.Values{"name": {""}, "password": {"short"}}).wellMade(t, http.StatusUnprocessableEntity)
		h.post("/people/ada/password", url.Values{"password": {"short"}}).wellMade(t, http.StatusUnprocessableEntity)
		h.post("/people/ada", url.Values{"name": {"Ada"}, "roles": {"office"}, "base": {"0"}}).wellMade(t, http.StatusConflict)
		h.post("/keys", url.Values{"key_label": {""}, "ends": {"soon"}}).wellMade(t, http.StatusUnprocessableEntity)
		key := h.post("/keys", url.Values{"key_label": {"shop"}, "key_roles": {"office"}, "ends": {"2027-12-31"}})
		key.wellMade(t, http.StatusOK)
		require.Len(t, key.text("code.secret"), 43)
		require.NotContains(t, h.get("/people").body, key.text("code.secret"), "shown once")
		h.post("/feeds", url.Values{"feed_label": {""}, "feed_ends": {"soon"}}).wellMade(t, http.StatusUnprocessableEntity)
		h.post("/feeds", url.Values{"feed_label": {"wall"}, "feed_ends": {"2020-01-01"}}).wellMade(t, http.StatusUnprocessableEntity)
		feed := h.post("/feeds", url.Values{"feed_label": {"wall"}, "feed_ends": {"2027-12-31"}})
		feed.wellMade(t, http.StatusOK)
		require.Contains(t, feed.text("code.secret"), "/feed/")
		require.Contains(t, feed.text("code.secret"), ".ics")
		phone := h.post("/devices", url.Values{"device_label": {"packing room"}})
		phone.wellMade(t, http.StatusOK)
		require.Contains(t, phone.text("code.secret"), "/welcome?visit=")
		require.NotEmpty(t, phone.all("svg.qr"))
		h.post("/sign-in", url.Values{"code": {"ada"}, "password": {"wrong"}}).wellMade(t, http.StatusUnauthorized)
		h.post("/begin", url.Values{"visit": {"used"}, "name": {"Eve"}, "password": {"seven wet rafts at dawn"}}).wellMade(t, http.StatusForbidden)
		h.post("/welcome", url.Values{"visit": {"used"}}).wellMade(t, http.StatusForbidden)
	}
}
