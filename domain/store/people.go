package store

import (
	"encoding/json"
	"time"

	"gorm.io/gorm/clause"

	"headtally/domain"
)

// People are the accounts of the book.
var People = Kind[domain.Account]{"person", "people", func(v *domain.Account) *string { return &v.Code },
	func(v *domain.Account) map[string]any { return map[string]any{"name": v.Name} }}

// SetPassword keeps what a person's password was made into.
func (tx *Tx) SetPassword(person, hash string) error {
	return insert(tx.db, "passwords").Clauses(clause.OnConflict{Columns: []clause.Column{{Name: "person"}},
		DoUpdates: clause.Assignments(map[string]any{"hash": hash})}).
		Create(map[string]any{"person": person, "hash": hash}).Error
}

// Password is what a person's password was made into; "" where there is none.
func (tx *Tx) Password(person string) (string, error) {
	var hashes []string
	err := tx.db.Table("passwords").Where("person = ?", plain(person)).Pluck("hash", &hashes).Error
	if err != nil || len(hashes) == 0 {
		return "", err
	}
	return hashes[0], nil
}

// KeepPass stores a pass under the hash of its secret.
func (tx *Tx) KeepPass(p domain.Pass, secret string) error {
	body, err := json.Marshal(p)
	if err != nil {
		return err
	}
	return insert(tx.db, "passes").Create(map[string]any{
		"id": p.ID, "secret": secret, "person": p.Person, "kind": string(p.Kind), "body": string(body)}).Error
}

// ChangePass stores a pass anew: seen again, or struck off.
func (tx *Tx) ChangePass(p domain.Pass) error {
	body, err := json.Marshal(p)
	if err != nil {
		return err
	}
	return tx.db.Table("passes").Where("id = ?", p.ID).Updates(map[string]any{"body": string(body)}).Error
}

// PassOf is the pass of a secret's hash; false where there is none.
func (tx *Tx) PassOf(secret string) (domain.Pass, bool, error) {
	passes, err := tx.passes("secret = ?", secret)
	if err != nil || len(passes) == 0 {
		return domain.Pass{}, false, err
	}
	return passes[0], true, nil
}

// Passes lists the passes of a person, or all where person is "".
func (tx *Tx) Passes(person string) ([]domain.Pass, error) {
	if person == "" {
		return tx.passes("1 = 1")
	}
	return tx.passes("person = ?", person)
}

func (tx *Tx) passes(where string, args ...any) ([]domain.Pass, error) {
	var bodies []string
	if err := tx.db.Table("passes").Where(where, args...).Order("id").Pluck("body", &bodies).Error; err != nil {
		return nil, err
	}
	passes := make([]domain.Pass, len(bodies))
	for i, body := range bodies {
		if err := json.Unmarshal([]byte(body), &passes[i]); err != nil {
			return nil, err
		}
	}
	return passes, nil
}

// DropPasses removes sessions and one-use addresses that ended before an instant or were
// struck off.
func (tx *Tx) DropPasses(before time.Time) error {
	passes, err := tx.passes("kind IN ('session', 'first', 'invite')")
	if err != nil {
		return err
	}
	for _, p := range passes {
		if p.Ends.Before(before) || p.Struck != nil {
			if err := tx.db.Exec("DELETE FROM passes WHERE id = ?", p.ID).Error; err != nil {
				return err
			}
		}
	}
	return nil
}

// NoteAtDoor adds who came in or was turned away, and from where.
func (tx *Tx) NoteAtDoor(who, origin, what string) error {
	return insert(tx.db, "doorlog").Create(map[string]any{"at": tx.Now.Format(timeLayout), "who": plain(who), "origin": plain(origin), "what": what}).Error
}

// WasAtDoor says whether something was noted of somebody and an origin.
func (tx *Tx) WasAtDoor(who, origin, what string) (bool, error) {
	var n int64
	err := tx.db.Table("doorlog").Where("who = ? AND origin = ? AND what = ?", plain(who), plain(origin), what).Limit(1).Count(&n).Error
	return n > 0, err
}
