package pages

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// HistoryView is who changed what and when, the newest first.
type HistoryView struct {
	Frame
	Rows []HistoryRow
	All  string // the address of everything, where only one record is shown
}

// HistoryRow is one change.
type HistoryRow struct {
	At       time.Time
	Who, Why string
	Kind     string
	Address  string   // of the record's page; "": it has none
	Name     string   // of the record, or its code
	What     []string // what differs, a line a figure

	UndoKind, UndoCode string // of a change that its reader can take back; "": not this one
	Late               bool   // taking it back comes late, and needs its reason
}

const historyShown = 200

// kindOfWord is the book's name of the records that an address's word lists.
var kindOfWord = map[string]string{"customers": "customer", "products": "product", "varieties": "variety", "carriers": "carrier",
	"calendar": "exception", "standing": "standing order", "layouts": "layout", "surges": "surge", "raft-beds": "bed", "profiles": "growing profile", "farm": "farm"}

func (o *Office) registerHistory(e *echo.Echo) {
	e.GET("/history", o.page(func(v *visit) error { return v.history(http.StatusOK, nil) }))
	e.POST("/history/undo", o.page((*visit).undo))
}

func (v *visit) history(status int, wrong []string) error {
	a := v.address()
	kind, code := kindOfWord[a.oneOf("of", slices.Sorted(maps.Keys(kindOfWord))...)], a.text("code")
	if err := a.err(); err != nil {
		return err
	}
	entries, err := v.office.Book.History(v.ctx, v.who, kind, code, historyShown)
	if err != nil {
		return err
	}
	view := HistoryView{Frame: v.frame("more", v.say("page.history.title"))}
	view.Wrong = wrong
	if kind != "" {
		view.All = "/history"
	}
	f, err := v.office.Book.Facts(v.ctx, v.who, v.today)
	if err != nil {
		return err
	}
	told := teller{v, words.NamesOf(&f), map[string]string{}}
	for _, c := range f.Carriers {
		told.carriers[c.Code] = c.Name
	}
	seen := map[[2]string]bool{}
	for _, e := range entries {
		row := HistoryRow{At: v.clock(e.At), Who: e.Who, Why: e.Why, Kind: v.kind(e.Kind), What: told.differences(e.Before, e.After)}
		row.Address, row.Name = told.record(e.Kind, e.Code)
		row.Name = cmp.Or(told.titled(cmp.Or(e.After, e.Before)), row.Name)
		switch {
		case e.Before == "":
			if row.What = told.made(e.Kind, e.After); row.What == nil {
				row.What = append([]string{v.say("page.history.made")}, told.differences("", e.After)...)
			}
		case e.After == "":
			row.What = []string{v.say("page.history.ended")}
		}
		if of := [2]string{e.Kind, e.Code}; !seen[of] {
			seen[of] = true
			if v.canUndo(e.Kind, e.Who) {
				row.UndoKind, row.UndoCode = e.Kind, e.Code
				row.Late = status != http.StatusOK && v.FormValue("kind") == e.Kind && v.FormValue("code") == e.Code
			}
		}
		view.Rows = append(view.Rows, row)
	}
	return v.show(status, "history", view)
}

// canUndo says whether the last change of a record is one that its reader made
// and may take back.
func (v *visit) canUndo(kind, who string) bool {
	return who == v.who.Name && slices.Contains(v.who.Rights, book.MayOrder) && slices.Contains(book.Undoable(), kind)
}

// undo takes the last change of a record back, which is a change itself.
func (v *visit) undo() error {
	err := v.office.Book.Undo(v.ctx, v.who, v.FormValue("kind"), v.FormValue("code"), v.note())
	return v.changed(err, "/history", "undone", v.history)
}

// shownDifferences is the most figures shown of one change.
const shownDifferences = 6

// bookkeeping are fields that say nothing a person asks: which record it is
// stands beside, and when it was told too.
var bookkeeping = []string{"at", "code", "id", "received", "revision", "taken", "promised_at", "table_at"}

// teller tells a record's figures in the farm's words.
type teller struct {
	*visit
	names    words.Names
	carriers map[string]string // code -> name
}

// record is the page and the name of a record.
func (t teller) record(kind, code string) (address, name string) {
	for word, k := range kindOfWord {
		switch {
		case k != kind:
		case word == "farm":
			address = "/farm"
		default:
			address = "/" + word + "/" + url.PathEscape(code)
		}
	}
	return address, t.named(code)
}

// named is what a code stands for, or the code, as much as is shown of it.
func (t teller) named(code string) string {
	name := []rune(t.nameOf(code))
	if len(name) > longestValue {
		return string(name[:longestValue]) + "…"
	}
	return string(name)
}

func (t teller) nameOf(code string) string {
	for _, names := range []map[string]string{t.names.Varieties, t.names.Products, t.names.Customers, t.carriers} {
		if name := names[code]; name != "" {
			return name
		}
	}
	return code
}

// differences lists the figures of two documents that are not the same.
func (t teller) differences(before, after string) (list []string) {
	was, is := t.flat(before), t.flat(after)
	names := slices.Sorted(maps.Keys(is))
	for name := range was {
		if _, there := is[name]; !there {
			names = append(names, name)
		}
	}
	for _, name := range names {
		switch old, now := was[name], is[name]; {
		case old == now:
		case before == "" && (now == "0" || slices.Contains(t.inTitle(), name)):
		case before == "":
			list = append(list, name+": "+now)
		default:
			list = append(list, fmt.Sprintf("%s: %s → %s", name, blank(old), blank(now)))
		}
	}
	if more := len(list) - shownDifferences; more > 0 {
		list = append(list[:shownDifferences], t.say("page.history.more", "n", more))
	}
	return list
}

func blank(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// longestValue is the most of one value that is shown.
const longestValue = 24

// value is one figure as a person reads it.
func (t teller) value(x any) string {
	text := fmt.Sprint(x)
	day, noDay := domain.ParseDay(text)
	at, noTime := time.Parse(time.RFC3339Nano, text)
	switch {
	case x == true:
		return t.say("page.history.yes")
	case x == false:
		return t.say("page.history.no")
	case noDay == nil:
		return t.speech.ShortDay(day)
	case noTime == nil:
		return t.writer().moment(t.clock(at))
	case t.weekday(text) != "":
		return t.weekday(text)
	case strings.Contains(text, "/"):
		return t.line(text)
	case t.speech.Has("page.pick." + text):
		return t.say("page.pick." + text)
	}
	return t.named(text)
}

// fieldWord is the word of a record's field.
func (v *visit) fieldWord(field string) string {
	for _, code := range []string{"page.f." + field, "page.h." + field} {
		if v.speech.Has(code) {
			return v.say(code)
		}
	}
	return field
}
