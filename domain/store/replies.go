package store

import (
	"errors"
	"time"

	"gorm.io/gorm"

	"headtally/domain"
)

// ReplyLife is how long an answer is kept under its key.
const ReplyLife = 24 * time.Hour

// Reply is the answer to a change, kept under the key its asker gave.
type Reply struct {
	Who, Key    string
	Fingerprint string // of what the request said
	At          time.Time
	Status      int
	Header      string // a JSON object
	Body        string
}

// Reply is the answer kept for a person's key at an instant, if there is one.
func (tx *Tx) Reply(who, key string, now time.Time) (r Reply, found bool, err error) {
	var row struct {
		Reply
		At string
	}
	err = tx.db.Table("replies").Where("who = ? AND key = ? AND at > ?", plain(who), key, replyCutoff(now)).Take(&row).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return r, false, nil
	}
	if err != nil {
		return r, false, err
	}
	r = row.Reply
	r.At, err = time.Parse(timeLayout, row.At)
	return r, err == nil, err
}

// KeepReply keeps an answer from the transaction's instant on, and lets go of
// those whose time is over. A key that is taken is a conflict.
func (tx *Tx) KeepReply(r Reply) error {
	if err := tx.db.Exec("DELETE FROM replies WHERE at <= ?", replyCutoff(tx.Now)).Error; err != nil {
		return err
	}
	err := insert(tx.db, "replies").Create(map[string]any{"who": plain(r.Who), "key": r.Key, "fingerprint": r.Fingerprint,
		"at": tx.Now.Format(timeLayout), "status": r.Status, "header": r.Header, "body": r.Body}).Error
	if errors.Is(err, gorm.ErrDuplicatedKey) {
		return domain.Refuse(domain.ErrConflict, "key", r.Key)
	}
	return err
}

func replyCutoff(now time.Time) string { return now.UTC().Add(-ReplyLife).Format(timeLayout) }
