package store

import (
	"time"

	"gorm.io/gorm/clause"
)

// Dropped files of sheets are kept for so long, and so many bytes of them
// together beside the newest; older ones are let go of.
const (
	DroppedLife  = 3 * 24 * time.Hour
	DroppedBytes = 64 << 20
)

// Dropped is a file of sheets that waits for a person to decide about it.
type Dropped struct {
	ID    string // a fingerprint of its bytes
	Name  string
	Bytes []byte
}

// KeepDropped keeps a file, and lets go of those whose time is over and of the
// oldest that are too many.
func (tx *Tx) KeepDropped(d Dropped) error {
	if err := tx.db.Exec("DELETE FROM dropped WHERE at <= ?", droppedCutoff(tx.Now)).Error; err != nil {
		return err
	}
	err := insert(tx.db, "dropped").Clauses(clause.OnConflict{Columns: []clause.Column{{Name: "id"}},
		DoUpdates: clause.AssignmentColumns([]string{"name", "at"})}).
		Create(map[string]any{"id": d.ID, "name": d.Name, "at": tx.Now.Format(timeLayout), "bytes": d.Bytes}).Error
	if err != nil {
		return err
	}
	var kept []struct {
		ID   string
		Size int64
	}
	if err := tx.db.Table("dropped").Select("id, length(bytes) AS size").Where("id <> ?", d.ID).Order("at DESC, id").Find(&kept).Error; err != nil {
		return err
	}
	total := int64(0)
	for _, k := range kept {
		if total += k.Size; total <= DroppedBytes {
			continue
		}
		if err := tx.db.Exec("DELETE FROM dropped WHERE id = ?", k.ID).Error; err != nil {
			return err
		}
	}
	return nil
}

// Dropped is the file of an ID that is kept at an instant; false where there is
// none any more.
func (tx *Tx) Dropped(id string, now time.Time) (d Dropped, found bool, err error) {
	var rows []Dropped
	err = tx.db.Table("dropped").Select("id, name, bytes").Where("id = ? AND at > ?", plain(id), droppedCutoff(now)).Find(&rows).Error
	if err != nil || len(rows) == 0 {
		return d, false, err
	}
	return rows[0], true, nil
}

func droppedCutoff(now time.Time) string { return now.UTC().Add(-DroppedLife).Format(timeLayout) }
