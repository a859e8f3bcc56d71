package book

import (
	"context"
	"encoding/json"

	"headtally/domain"
	"headtally/domain/store"
)

// Undoable are the kinds of record of which the last change can be taken back.
func Undoable() []string {
	return []string{store.Orders.Name, store.Standing.Name, store.Decisions.Name, store.Recipes.Name}
}

// Undo takes back the last change to an order, a standing order, what was decided
// about a line or a recipe typed over, by the person who made it. It is itself a change: the
// history keeps both, and undoing again brings the change back. Like every
// change it needs a reason once the pickup is closed.
func (b *Book) Undo(ctx context.Context, who Person, kind, code string, note Note) error {
	if err := who.ask(MayOrder); err != nil {
		return err
	}
	if note.Why == "" {
		note.Why = "undone"
	}
	_, err := change(ctx, b, who, note, func(tx *store.Tx) (bool, error) {
		last, err := tx.History(kind, code, 2)
		if err != nil {
			return false, err
		}
		if len(last) == 0 {
			return false, domain.Refuse(domain.ErrNotFound, kind, code)
		}
		if last[0].Who != who.Name {
			return false, domain.Refuse(domain.ErrConflict, kind, code, "reason", "changed_by_another", "who", last[0].Who)
		}
		switch kind {
		case store.Orders.Name:
			return true, undo(tx, store.Orders, last)
		case store.Standing.Name:
			return true, undo(tx, store.Standing, last)
		case store.Decisions.Name:
			return true, undo(tx, store.Decisions, last)
		case store.Recipes.Name:
			return true, undoRecipe(tx, last, note)
		}
		return false, domain.Faults{{Place: "kind", Code: "one_of", Args: map[string]any{"allowed": Undoable()}}}
	})
	return err
}

// undoRecipe is undo of a recipe, which needs a reason once it is printed.
func undoRecipe(tx *store.Tx, last []store.Entry, note Note) error {
	rec, err := store.Recipes.Get(tx, last[0].Code)
	if err != nil {
		return err
	}
	if err := unprinted(tx, &rec.Value, note); err != nil {
		return err
	}
	return undo(tx, store.Recipes, last)
}

// undo brings a record to what it was before its last change, the newest of its
// history: one that was made or taken up again is ended, one that was ended goes
// on.
func undo[T any](tx *store.Tx, kind store.Kind[T], last []store.Entry) error {
	e := last[0]
	now, err := kind.Get(tx, e.Code)
	if err != nil {
		return err
	}
	if e.Before == "" || len(last) > 1 && last[1].After == "" {
		_, err = kind.End(tx, e.Code, now.Rev)
		return err
	}
	var before T
	if err := json.Unmarshal([]byte(e.Before), &before); err != nil {
		return err
	}
	_, err = kind.Replace(tx, before, now.Rev)
	return err
}
