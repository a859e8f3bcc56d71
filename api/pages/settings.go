package pages

import (
	"errors"
	"net/http"

	"headtally/api/book"
	"headtally/domain"
)

// settings is a record of which the farm has one, kept by a form: the farm
// itself, and how it grows.
type settings[T any] struct {
	address, template string
	view              RecordView // without its frame
	title             string     // the code of its title
	read              func(v *visit) (book.Record[T], error)
	fields            func(v *visit, value *T) []Field
	typed             func(r *reader, value *T) // puts what was typed into it
	store             func(v *visit, value T, note book.Note) error
}

// form shows the settings as they are.
func (s settings[T]) form(v *visit) error {
	rec, err := s.read(v)
	if err != nil {
		return err
	}
	return s.show(v, http.StatusOK, rec, nil, nil)
}

// show shows the form with what is wrong in it, and beside the fields what is in
// the book meanwhile.
func (s settings[T]) show(v *visit, status int, rec book.Record[T], faults domain.Faults, meanwhile *book.Record[T]) error {
	form := Form{Fields: s.fields(v, &rec.Value), Action: s.address, Base: rec.Rev}
	view := s.view
	view.Frame = v.frame("more", v.say(s.title))
	if meanwhile != nil {
		form.against(s.fields(v, &meanwhile.Value))
		form.Base = meanwhile.Rev
	}
	if rest := form.mind(v, faults); len(faults) > 0 {
		view.Wrong = append([]string{v.say("page.form.faults", "n", len(faults))}, rest...)
	}
	view.Form = form
	return v.show(status, s.template, view)
}

// save stores what was typed, or brings the form back with it.
func (s settings[T]) save(v *visit) error {
	rec, err := s.read(v)
	if err != nil {
		return err
	}
	r := &reader{Values: v.posted()}
	typed := book.Record[T]{Value: rec.Value, Rev: v.revision("base")}
	s.typed(r, &typed.Value)
	if err = r.faults.Err(); err == nil {
		err = s.store(v, typed.Value, book.Note{Base: typed.Rev})
	}
	var faults domain.Faults
	switch {
	case err == nil:
		return v.done(s.address, "saved")
	case errors.As(err, &faults):
		return s.show(v, http.StatusUnprocessableEntity, typed, faults, nil)
	case errors.Is(err, domain.ErrStale):
		return s.show(v, http.StatusConflict, typed, nil, &rec)
	}
	return err
}
