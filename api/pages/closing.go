package pages

import (
	"slices"

	"headtally/api/book"
	"headtally/domain"
)

// note is what a form says of why a change comes late, if it does.
func (v *visit) note() book.Note { return book.Note{Late: book.Late(v.FormValue("late"))} }

func (v *visit) noteOn(base int64) book.Note {
	n := v.note()
	n.Base = base
	return n
}

// closed says whether orders of a day are closed for any of its carriers. What
// cannot be read shows when the change is made.
func (v *visit) closed(day domain.Day) bool {
	at, err := v.office.Book.Closes(v.ctx, v.who, day)
	if err != nil {
		return false
	}
	for _, instant := range at {
		if !v.office.Now().Before(instant) {
			return true
		}
	}
	return false
}

func (v *visit) isClosed(board *book.Board, carrier string) bool {
	return slices.ContainsFunc(board.Cutoffs, func(c book.Cutoff) bool {
		return c.Carrier.Code == carrier && !v.office.Now().Before(c.At)
	})
}

// shut closes a carrier's pickup now, or opens it again.
func (v *visit) shut() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	open := v.FormValue("open") != ""
	if _, err := v.office.Book.Close(v.ctx, v.who, v.FormValue("carrier"), day, open, ""); err != nil {
		return err
	}
	said := "closed"
	if open {
		said = "opened"
	}
	return v.done("/day/"+day.String(), said)
}
