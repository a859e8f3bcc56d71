// Package feed writes calendars that other programs subscribe to, as iCalendar
// (RFC 5545): the days on which trucks come and on which orders close.
//
//	feed.Write(w, feed.Calendar{Name: "Pickups", Stamp: now, Events: []feed.Event{
//		{UID: "pickup.NORTH.2027-03-03@headtally", Day: domain.MustDay("2027-03-03"), Summary: "North truck, 06:30"}}})
//
// Every event is of whole days: a truck's hour is read in its summary, on the
// farm's clock, wherever the reader is.
package feed

import (
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"headtally/domain"
)

// Calendar is a feed. It must have an event (RFC 5545, 3.6: a calendar has at
// least one component).
type Calendar struct {
	Name   string    // RFC 7986, 5.1
	Stamp  time.Time // when it was made
	Events []Event
}

// Event is one whole day.
type Event struct {
	UID      string // the same for as long as it is the same event, and no other's anywhere
	Sequence int64  // grows when the event is changed
	Day      domain.Day
	Summary  string
	Note     string
}

// Write writes a calendar.
func Write(w io.Writer, c Calendar) error {
	var b strings.Builder
	line(&b, "BEGIN:VCALENDAR")
	line(&b, "VERSION:2.0")
	line(&b, "PRODID:-//headtally//pickups//EN")
	line(&b, "NAME:"+text(c.Name))
	line(&b, "REFRESH-INTERVAL;VALUE=DURATION:PT1H")
	for _, e := range c.Events {
		e.write(&b, c.Stamp)
	}
	line(&b, "END:VCALENDAR")
	_, err := io.WriteString(w, b.String())
	return err
}

func (e *Event) write(b *strings.Builder, stamp time.Time) {
	line(b, "BEGIN:VEVENT")
	line(b, "UID:"+text(e.UID))
	line(b, "DTSTAMP:"+stamp.UTC().Format("20060102T150405Z"))
	line(b, "SEQUENCE:"+strconv.FormatInt(e.Sequence, 10))
	line(b, "DTSTART;VALUE=DATE:"+date(e.Day))
	line(b, "DTEND;VALUE=DATE:"+date(e.Day.Add(1))) // not included (3.6.1)
	line(b, "TRANSP:TRANSPARENT")                   // it keeps nobody busy
	line(b, "SUMMARY:"+text(e.Summary))
	if e.Note != "" {
		line(b, "DESCRIPTION:"+text(e.Note))
	}
	line(b, "END:VEVENT")
}

func date(d domain.Day) string { return strings.ReplaceAll(d.String(), "-", "") }

// text writes a value of kind TEXT (3.3.11): signs that mean something are
// escaped, and control characters, which have no writing there, are left out.
func text(s string) string {
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "\ufffd"), "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		if r != '\t' && r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, escapes.Replace(s))
}

var escapes = strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`)

// longest is the most octets of a line without its break (3.1).
const longest = 75

// line writes a content line, folded where it is too long: the rest goes on
// after a line break and a space, which counts. No character is broken.
func line(b *strings.Builder, s string) {
	room := longest
	for len(s) > room {
		cut := room
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		b.WriteString(s[:cut] + "\r\n ")
		s, room = s[cut:], longest-1
	}
	b.WriteString(s + "\r\n")
}
