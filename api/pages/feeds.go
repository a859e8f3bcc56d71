package pages

import (
	"errors"
	"net/http"
	"time"

	"headtally/api/internal/edge"
	"headtally/domain"
)

func (v *visit) feedForm(ends string) Form {
	return Form{Fields: []Field{needed(text("feed_label", "device_label", v.FormValue("feed_label"))), needed(kinded("day", "feed_ends", "key_ends", ends))}}
}

// makeFeed answers with the address of a calendar, as makeKey does with a key.
func (v *visit) makeFeed() error {
	r := &reader{Values: v.posted()}
	ends := r.day("feed_ends")
	var secret string
	err := r.faults.Err()
	if err == nil {
		var until time.Time
		if ends != 0 {
			until = ends.Add(1).Time()
		}
		_, secret, err = v.office.Book.NewFeed(v.ctx, v.who, r.text("feed_label"), until)
	}
	if errors.Is(err, domain.ErrInvalid) {
		view := PeopleView{Feed: v.feedForm(r.Get("feed_ends"))}
		view.Wrong = v.mindDoor(&view.Feed, ofPass(err, "feed_"))
		return v.people(http.StatusUnprocessableEntity, view)
	}
	if err != nil {
		return err
	}
	return v.people(http.StatusOK, PeopleView{Shown: &ShownView{Label: r.text("feed_label"), Feed: v.own() + "/feed/" + secret + ".ics"}})
}

// own is how the browser calls this service.
func (v *visit) own() string {
	if edge.From(v.ctx).Secret {
		return "https://" + v.Request().Host
	}
	return "http://" + v.Request().Host
}
