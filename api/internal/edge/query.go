package edge

import (
	"net/url"
	"slices"
	"strconv"
	"unicode/utf8"

	"headtally/domain"
)

// Query reads the parameters of an address strictly: one it was not asked for,
// one given twice and one that cannot be read are faults, all told at once.
type Query struct {
	values url.Values
	known  []string
	faults domain.Faults
}

// ReadQuery begins reading a request's parameters.
func (a *Ask) ReadQuery() *Query {
	values, err := url.ParseQuery(a.URL.RawQuery)
	q := &Query{values: values}
	if err != nil {
		q.faults.Add("", "query")
	}
	return q
}

// Err is nil when every parameter was known and could be read.
func (q *Query) Err() error {
	for _, name := range sortedKeys(q.values) {
		switch {
		case !slices.Contains(q.known, name):
			q.faults.Add(name, "unknown_parameter", "allowed", q.allowed())
		case len(q.values[name]) > 1:
			q.faults.Add(name, "given_twice")
		}
	}
	if len(q.faults) == 0 {
		return nil
	}
	return &Bad{Kind: ErrMalformed, In: InQuery, Faults: q.faults}
}

func (q *Query) allowed() []string {
	if len(q.known) == 0 {
		return []string{"-"}
	}
	return q.known
}

func sortedKeys(v url.Values) []string {
	keys := make([]string, 0, len(v))
	for k := range v {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// given is a parameter's value, and whether it is there.
func (q *Query) given(name string) (string, bool) {
	q.known = append(q.known, name)
	if !q.values.Has(name) {
		return "", false
	}
	return q.values.Get(name), true
}

// maxText is the longest text a parameter may have, in characters.
const maxText = 200

// Text is a parameter of one line, "" where it is not given.
func (q *Query) Text(name string) string {
	s, ok := q.given(name)
	switch {
	case !ok:
	case s == "":
		q.faults.Add(name, "required")
	case !utf8.ValidString(s) || !isLine(s):
		q.faults.Add(name, "line")
	case utf8.RuneCountInString(s) > maxText:
		q.faults.Add(name, "too_long", "limit", maxText)
	}
	return s
}

func isLine(s string) bool {
	for _, r := range s {
		if r < ' ' || r >= 0x7f && r < 0xa0 {
			return false
		}
	}
	return true
}

// Needs says which of the parameters read so far may not be left out.
func (q *Query) Needs(names ...string) {
	for _, name := range names {
		if !q.values.Has(name) {
			q.faults.Add(name, "required")
		}
	}
}

// OneOf is a parameter that is one of a few words, "" where it is not given.
func (q *Query) OneOf(name string, words ...string) string {
	s, ok := q.given(name)
	if ok && !slices.Contains(words, s) {
		q.faults.Add(name, "one_of", "allowed", words)
	}
	return s
}

// Day is a day, 0 where it is not given.
func (q *Query) Day(name string) domain.Day {
	s, ok := q.given(name)
	if !ok {
		return 0
	}
	d, err := domain.ParseDay(s)
	if err != nil {
		q.faults.Add(name, "must_be_day")
	}
	return d
}

// Whole is a number from low to high, or usual where it is not given.
func (q *Query) Whole(name string, low, high, usual int) int {
	s, ok := q.given(name)
	if !ok {
		return usual
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < low || n > high || s[0] == '+' {
		q.faults.Add(name, "between", "min", low, "max", high)
	}
	return n
}

// Truth is true or false; false where it is not given.
func (q *Query) Truth(name string) bool { return q.OneOf(name, "false", "true") == "true" }

// PathDay is a part of the address that is a day.
func (a *Ask) PathDay(name string) (domain.Day, error) {
	d, err := domain.ParseDay(a.Path(name))
	if err != nil {
		return 0, malformed(InPath, name, "must_be_day")
	}
	return d, nil
}
