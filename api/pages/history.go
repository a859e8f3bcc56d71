package pages

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"
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
	Code     string
	What     []string // what differs, a line a figure
}

const historyShown = 200

// kindOfWord is the book's name of the records that an address's word lists.
var kindOfWord = map[string]string{"customers": "customer", "products": "product", "varieties": "variety", "carriers": "carrier",
	"calendar": "exception", "standing": "standing order", "layouts": "layout", "farm": "farm"}

func (o *Office) registerHistory(e *echo.Echo) { e.GET("/history", o.page((*visit).history)) }

func (v *visit) history() error {
	kind, code := kindOfWord[v.QueryParam("of")], v.QueryParam("code")
	entries, err := v.office.Book.History(v.ctx, v.who, kind, code, historyShown)
	if err != nil {
		return err
	}
	view := HistoryView{Frame: v.frame("more", v.say("page.history.title"))}
	if kind != "" {
		view.All = "/history"
	}
	for _, e := range entries {
		row := HistoryRow{At: v.clock(e.At), Who: e.Who, Why: e.Why, Kind: v.kind(e.Kind), Code: e.Code, What: v.differences(e.Before, e.After)}
		switch {
		case e.Before == "":
			row.What = append([]string{v.say("page.history.made")}, row.What...)
		case e.After == "":
			row.What = []string{v.say("page.history.ended")}
		}
		view.Rows = append(view.Rows, row)
	}
	return v.show(http.StatusOK, "history", view)
}

// shownDifferences is the most figures shown of one change.
const shownDifferences = 6

// differences lists the figures of two documents that are not the same.
func (v *visit) differences(before, after string) (list []string) {
	was, is := v.flat(before), v.flat(after)
	names := slices.Sorted(maps.Keys(is))
	for name := range was {
		if _, there := is[name]; !there {
			names = append(names, name)
		}
	}
	for _, name := range names {
		switch old, now := was[name], is[name]; {
		case old == now:
		case before == "":
			list = append(list, name+": "+now)
		default:
			list = append(list, fmt.Sprintf("%s: %s → %s", name, blank(old), blank(now)))
		}
	}
	if len(list) > shownDifferences {
		list = append(list[:shownDifferences], "…")
	}
	return list
}

func blank(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// flat is a document as names in the catalogue's words, and values. A document
// that is none has none.
func (v *visit) flat(document string) map[string]string {
	var value any
	if json.Unmarshal([]byte(document), &value) != nil {
		return map[string]string{}
	}
	out := map[string]string{}
	v.flatten("", value, out)
	return out
}

func (v *visit) flatten(name string, value any, out map[string]string) {
	switch value := value.(type) {
	case map[string]any:
		for k, x := range value {
			v.flatten(strings.TrimSpace(name+" "+v.fieldWord(k)), x, out)
		}
	case []any:
		for i, x := range value {
			v.flatten(fmt.Sprintf("%s %d", name, i+1), x, out)
		}
	default:
		out[name] = fmt.Sprint(value)
	}
}

// fieldWord is the word of a record's field.
func (v *visit) fieldWord(field string) string {
	if code := "page.f." + field; v.speech.Has(code) {
		return v.say(code)
	}
	return strings.ReplaceAll(field, "_", " ")
}
