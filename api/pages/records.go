package pages

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/domain"
)

// sort is one kind of record as the pages list and change it. Its word is both
// its address and the middle of its codes in the catalogue.
type sort[T any] struct {
	word   string
	shelf  func(*book.Book) book.Shelf[T]
	code   func(*T) string
	fields func(v *visit, lists lists, x *T) []Field
	read   func(r *reader, x *T)
	heads  []string                               // of the list's columns, the catalogue's codes
	cells  func(v *visit, l lists, x *T) []string // of a row; the first is its name
	fresh  func(v *visit, a *address) T           // a new one, as its address proposes it
	nav    string
	needs  []string        // the sorts of which there must be a record before there can be one of this
	key    func(*T) string // what the list is sorted by; nil: the name
}

// lists is what other records' forms choose from.
type lists struct {
	Varieties []domain.Variety
	Products  []domain.Product
	Carriers  []domain.Carrier
	Customers []domain.Customer
	Calendar  *domain.Calendar
}

// ListView is the records of one sort.
type ListView struct {
	Frame
	Word  string
	Heads []string
	Rows  []ListRow
	Find  string
}

// ListRow is one record of a list.
type ListRow struct {
	Address string
	Cells   []string
}

// RecordView is one record's form.
type RecordView struct {
	Frame
	Word string
	Name string
	Form Form
	Kind string // of its history
	Code string

	Missing string // what must be told before there can be such a record; "": nothing
}

func (v *visit) lists() (lists, error) {
	f, err := v.office.Book.Facts(v.ctx, v.who, v.today)
	return lists{f.Varieties, f.Products, f.Carriers, f.Customers, f.Calendar()}, err
}

// missing is the first of some sorts of which the book has no record yet; "" is
// none.
func (l lists) missing(words ...string) string {
	have := map[string]int{varieties.word: len(l.Varieties), products.word: len(l.Products), carriers.word: len(l.Carriers), customers.word: len(l.Customers)}
	for _, word := range words {
		if have[word] == 0 {
			return word
		}
	}
	return ""
}

// registerSort adds the addresses of a sort's records.
func registerSort[T any](o *Office, e *echo.Echo, s sort[T]) {
	if s.nav == "" {
		s.nav = "more"
	}
	e.GET("/"+s.word, o.page(s.list))
	e.GET("/"+s.word+"/:code", o.page(s.open))
	e.POST("/"+s.word+"/:code", o.page(s.save))
	e.POST("/"+s.word+"/:code/end", o.page(s.end))
}

// newCode stands in an address for a record that is not stored yet. No record
// has it, for codes made by the book have capitals.
const newCode = "new"

func (s sort[T]) list(v *visit) error {
	l, err := v.lists()
	if err != nil {
		return err
	}
	records, err := s.shelf(v.office.Book).List(v.ctx, v.who, book.Query{})
	if err != nil {
		return err
	}
	view := ListView{Frame: v.frame(s.nav, v.say("page."+s.word+".title")), Word: s.word, Heads: s.heads}
	for _, r := range s.sorted(v, l, records) {
		view.Rows = append(view.Rows, ListRow{"/" + s.word + "/" + s.code(&r.Value), s.cells(v, l, &r.Value)})
	}
	return v.show(http.StatusOK, "list", view)
}

// sorted puts records in the order in which people look for them.
func (s sort[T]) sorted(v *visit, l lists, records []book.Record[T]) []book.Record[T] {
	key := s.key
	if key == nil {
		key = func(x *T) string { return strings.ToLower(s.cells(v, l, x)[0]) }
	}
	slices.SortStableFunc(records, func(a, b book.Record[T]) int { return cmp.Compare(key(&a.Value), key(&b.Value)) })
	return records
}

func (s sort[T]) open(v *visit) error {
	rec, err := s.get(v)
	if err != nil {
		return err
	}
	return s.show(v, http.StatusOK, rec, nil, nil)
}

// get is the record of the address, or a new one.
func (s sort[T]) get(v *visit) (rec book.Record[T], err error) {
	if v.Param("code") == newCode {
		a := v.address()
		if s.fresh != nil {
			rec.Value = s.fresh(v, a)
		}
		return rec, a.err()
	}
	return s.shelf(v.office.Book).Get(v.ctx, v.who, v.Param("code"))
}

// show writes the form of a value. meanwhile is what stands in the book, where
// that was changed while the value was typed.
func (s sort[T]) show(v *visit, status int, rec book.Record[T], faults domain.Faults, meanwhile *book.Record[T]) error {
	l, err := v.lists()
	if err != nil {
		return err
	}
	form := Form{Fields: s.fields(v, l, &rec.Value), Action: s.action(v), Base: rec.Rev}
	title := v.say("page." + s.word + ".new")
	if v.Param("code") != newCode {
		title = s.cells(v, l, &rec.Value)[0]
		form.End = form.Action + "/end"
	}
	view := RecordView{Frame: v.frame(s.nav, title), Word: s.word, Kind: s.word, Code: v.Param("code")}
	if v.Param("code") == newCode {
		view.Missing = l.missing(s.needs...)
	}
	if meanwhile != nil {
		form.against(s.fields(v, l, &meanwhile.Value))
		form.Base = meanwhile.Rev
	}
	if rest := form.mind(v, faults); len(faults) > 0 {
		view.Wrong = append([]string{v.say("page.form.faults", "n", len(faults))}, rest...)
	}
	view.Form = form
	return v.show(status, "record", view)
}

func (s sort[T]) save(v *visit) error {
	rec, err := s.get(v)
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	typed := rec.Value
	s.read(r, &typed)
	base := v.revision("base")
	err = r.faults.Err()
	if err == nil && v.Param("code") == newCode {
		_, err = s.shelf(v.office.Book).Create(v.ctx, v.who, typed, book.Note{})
	} else if err == nil {
		_, err = s.shelf(v.office.Book).Replace(v.ctx, v.who, v.Param("code"), typed, book.Note{Base: base})
	}
	var faults domain.Faults
	switch {
	case err == nil:
		return v.done(v.backOr("/"+s.word), "saved")
	case errors.As(err, &faults):
		return s.show(v, http.StatusUnprocessableEntity, book.Record[T]{Value: typed, Rev: base}, faults, nil)
	case errors.Is(err, domain.ErrStale):
		return s.show(v, http.StatusConflict, book.Record[T]{Value: typed, Rev: base}, nil, &rec)
	}
	return s.refused(v, book.Record[T]{Value: typed, Rev: base}, err)
}

// action is where a record's form goes. That of a new one keeps the page it was
// reached from, to go back there.
func (s sort[T]) action(v *visit) string {
	at := "/" + s.word + "/" + v.Param("code")
	if back := v.QueryParam("back"); back != "" && v.Param("code") == newCode {
		at += "?back=" + url.QueryEscape(back)
	}
	return at
}

// refused shows a form with why its record could not be changed.
func (s sort[T]) refused(v *visit, rec book.Record[T], err error) error {
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	l, bad := v.lists()
	if bad != nil {
		return bad
	}
	view := RecordView{Frame: v.frame(s.nav, v.say("page."+s.word+".title")), Word: s.word, Kind: s.word, Code: v.Param("code"),
		Form: Form{Fields: s.fields(v, l, &rec.Value), Action: s.action(v), Base: rec.Rev}}
	view.Wrong = lines
	return v.show(status, "record", view)
}

func (s sort[T]) end(v *visit) error {
	rec, err := s.shelf(v.office.Book).Get(v.ctx, v.who, v.Param("code"))
	if err != nil {
		return err
	}
	base := v.revision("base")
	if _, err = s.shelf(v.office.Book).End(v.ctx, v.who, v.Param("code"), book.Note{Base: base}); err != nil {
		return s.refused(v, rec, err)
	}
	return v.done("/"+s.word, "ended")
}
