package pages

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"headtally/domain"
)

// titleFields are those that say which record it is.
var titleFields = []string{"name", "customer", "product", "variety", "carrier", "bed", "line", "pickup", "day"}

// inTitle are the words of what the title of a new record says already.
func (t teller) inTitle() (words []string) {
	for _, field := range titleFields {
		if field != "carrier" && field != "line" { // a customer's truck is no part of its name, and an order's lines are called alike
			words = append(words, t.fieldWord(field))
		}
	}
	return words
}

// titled is what a record is called by those who have to do with it: its name,
// or whose it is, of what, and for which day; "" where the document says none.
func (t teller) titled(document string) string {
	var fields map[string]any
	if json.Unmarshal([]byte(document), &fields) != nil {
		return ""
	}
	if name, ok := fields["name"].(string); ok && name != "" {
		return t.named(name)
	}
	var parts []string
	for _, field := range titleFields[1:] {
		if text, ok := fields[field].(string); ok && text != "" {
			parts = append(parts, t.value(text))
		}
	}
	return strings.Join(parts, ", ")
}

// line is what the code of an order's line says: product, carrier and day, the
// order's own code left out. Any other text with a stroke is given as it is.
func (t teller) line(code string) string {
	parts := strings.Split(code, "/")
	if _, err := domain.ParseDay(parts[len(parts)-1]); err != nil || len(parts) < 3 {
		return t.named(code)
	}
	for i, part := range parts {
		parts[i] = t.value(part)
	}
	return strings.Join(parts[1:], ", ")
}

// weekday is the day of a document's short name for it, such as "sat"; "" is
// none.
func (t teller) weekday(text string) string {
	w, err := domain.ParseWeekdays([]string{text})
	if err != nil || len(w.Days()) != 1 {
		return ""
	}
	return t.speech.Weekday(w.Days()[0])
}

// flat is a document as names in the catalogue's words, and values. A document
// that is none has none.
func (t teller) flat(document string) map[string]string {
	var value any
	if json.Unmarshal([]byte(document), &value) != nil {
		return map[string]string{}
	}
	out := map[string]string{}
	t.flatten("", value, out)
	return out
}

// entriesShown is how many entries of a list are told one by one; of a longer one
// it is told how many there are.
const entriesShown = 4

func (t teller) flatten(name string, value any, out map[string]string) {
	switch value := value.(type) {
	case map[string]any:
		for k, x := range value {
			if !slices.Contains(bookkeeping, k) {
				t.flatten(strings.TrimSpace(name+" "+t.fieldWord(k)), x, out)
			}
		}
	case []any:
		t.flattenList(name, value, out)
	case float64:
		out[name] = t.speech.Decimal(value)
	default:
		out[name] = t.value(value)
	}
}

// flattenList tells a list of words in one, and of records each in one line.
func (t teller) flattenList(name string, list []any, out map[string]string) {
	var words []string
	for _, x := range list {
		if _, is := x.(map[string]any); !is {
			words = append(words, t.value(x))
		}
	}
	switch {
	case len(list) > entriesShown:
		out[name] = strconv.Itoa(len(list))
	case len(words) == len(list):
		out[name] = t.speech.List(words)
	default:
		for i, x := range list {
			one := name
			if len(list) > 1 {
				one = fmt.Sprintf("%s %d", name, i+1)
			}
			out[one] = t.entry(x)
		}
	}
}

// entry is one record of a list in one line: "Cases 4, From Tue 16 Mar".
func (t teller) entry(x any) string {
	fields := map[string]string{}
	t.flatten("", x, fields)
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		if fields[name] != "" {
			parts = append(parts, strings.TrimSpace(name+" "+fields[name]))
		}
	}
	return strings.Join(parts, ", ")
}
