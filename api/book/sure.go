package book

import (
	"context"
	"maps"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// PromiseSure gives a word for every case of a pickup day that is sure and has
// none yet, as planned as of a day, and says for how many.
func (b *Book) PromiseSure(ctx context.Context, who Person, asOf, pickup domain.Day, note Note) (domain.Cases, error) {
	if err := who.ask(MayOrder); err != nil {
		return 0, err
	}
	return store.Write(ctx, b.store, who.act(note), func(tx *store.Tx) (given domain.Cases, err error) {
		w, err := b.week(tx, asOf)
		if err != nil {
			return 0, err
		}
		sure := map[string]domain.Cases{}
		for i, l := range w.Lines {
			if l.Pickup == pickup {
				sure[l.Base] += domain.Cases(w.Plan.Lines[i].Firm)
			}
		}
		for _, line := range slices.Sorted(maps.Keys(sure)) {
			was, err := decision(tx, line)
			if err != nil {
				return 0, err
			}
			now := was.Value
			if sure[line] <= now.Promised {
				continue
			}
			given += sure[line] - now.Promised
			now.Promised, now.PromisedAt = sure[line], tx.Now
			if was.Rev == 0 {
				_, err = store.Decisions.Create(tx, now)
			} else {
				_, err = store.Decisions.Replace(tx, now, was.Rev)
			}
			if err != nil {
				return 0, err
			}
		}
		return given, nil
	})
}
