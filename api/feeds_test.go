package api_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

func TestACalendarOfPickups(t *testing.T) {
	s := newService(t)
	s.settle()
	ctx := context.Background()
	pass, secret, err := s.book.NewFeed(ctx, book.Owner(), "office wall", now.AddDate(1, 0, 0))
	require.NoError(t, err)
	at := "/feed/" + secret + ".ics"
	first := s.do(call{name: "read", method: "GET", path: at, status: 200, has: []string{
		"UID:pickup.NORTH.2027-03-03." + pass.ID + "@headtally\r\n", "DTSTART;VALUE=DATE:20270303\r\nDTEND;VALUE=DATE:20270304\r\n", "SUMMARY:North truck comes at 6:30 am\r\n"}})
	require.Equal(t, "text/calendar; charset=utf-8", first.Header().Get("Content-Type"))
	require.Equal(t, 0, strings.Count(strings.ReplaceAll(first.Body.String(), "\r\n", ""), "\n"))

	s.do(call{method: "POST", path: "/v1/pickups/" + wednesday + "/NORTH/close", status: 200})
	closed := s.do(call{name: "closed by hand", method: "GET", path: at, status: 200, has: []string{"SUMMARY:Orders close at 9:30 am: North truck of Wednesday\\, March 3\r\n", "DTSTART;VALUE=DATE:20270301\r\n"}}).Body.String()
	before, after := sequence(t, first.Body.String(), "pickup.NORTH.2027-03-03"), sequence(t, closed, "pickup.NORTH.2027-03-03")
	require.Less(t, before, after, "what changed has a higher number")
	require.Equal(t, sequence(t, first.Body.String(), "pickup.NORTH.2027-03-05"), sequence(t, closed, "pickup.NORTH.2027-03-05"), "what did not has the same")
	s.create("/v1/calendar", `{"id":"X9","day":"2027-03-05","kind":"closed"}`)
	s.do(call{name: "a day on which nobody comes", method: "GET", path: at, status: 200, hasNot: []string{"2027-03-05"}})

	s.do(call{name: "the secret alone", method: "GET", path: "/feed/" + secret, status: 404})
	s.do(call{name: "another secret", method: "GET", path: "/feed/x" + secret + ".ics", status: 404})
	s.do(call{name: "it opens nothing else", method: "GET", path: "/v1/orders", header: map[string]string{"Authorization": "Bearer " + secret}, status: 401})
	require.NotContains(t, s.log.String(), secret, "who reads the log cannot read the calendar")

	_, key, err := s.book.NewKey(ctx, book.Owner(), "shop", []domain.Role{domain.RoleOffice}, now.AddDate(1, 0, 0))
	require.NoError(t, err)
	s.do(call{name: "a key is no feed", method: "GET", path: "/feed/" + key + ".ics", status: 404})
	require.NoError(t, s.book.StrikeOff(ctx, book.Owner(), pass.ID))
	s.do(call{name: "taken back", method: "GET", path: at, status: 404})
}

func TestACalendarEnds(t *testing.T) {
	s := newService(t)
	s.settle()
	at := s.feed()
	s.clock(366 * 24 * time.Hour)
	s.do(call{method: "GET", path: at, status: 404})
}

// sequence is the number of an event.
func sequence(t *testing.T, calendar, uid string) string {
	t.Helper()
	_, rest, found := strings.Cut(calendar, "UID:"+uid)
	require.True(t, found, uid)
	_, rest, _ = strings.Cut(rest, "SEQUENCE:")
	number, _, _ := strings.Cut(rest, "\r\n")
	return strings.Repeat("0", 9-len(number)) + number
}
