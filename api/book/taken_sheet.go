package book

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"headtally/domain"
	"headtally/domain/store"
)

// looked is a file of sheets as its preview found it.
type looked struct {
	print, name string
	already     bool
	faults      domain.Faults
}

// takeSheet is how every file of sheets is taken, whatever it is about. The same
// file again changes nothing; another is taken on the revision of its preview
// alone, and whole or not at all.
func takeSheet[T any](tx *store.Tx, l looked, previewed int64, again func(before domain.Sheet) T, take func() (T, error)) (taken T, err error) {
	if l.already {
		before, err := store.Sheets.Get(tx, l.print)
		return again(before.Value), err
	}
	switch previewed {
	case NoBase:
		return taken, domain.Refuse(domain.ErrNoMatch, store.Sheets.Name, l.name)
	case tx.Revision:
	default:
		return taken, domain.Refuse(domain.ErrStale, store.Sheets.Name, l.name, "revision", tx.Revision)
	}
	if err := l.faults.Err(); err != nil {
		return taken, err
	}
	return take()
}

// fingerprint tells files apart by what their sheets say: the same rows give
// the same, whatever the file is called and in whichever format it came.
func fingerprint(tables []Table) string {
	h := sha256.New()
	for _, t := range tables {
		fmt.Fprintf(h, "%d rows\n", len(t.Rows))
		for _, row := range t.Rows {
			last := len(row.Cells)
			for last > 0 && row.Cells[last-1].Kind == CellBlank {
				last--
			}
			for _, c := range row.Cells[:last] {
				fmt.Fprintf(h, "%q,", c.Text)
			}
			fmt.Fprintln(h)
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// takenBefore says whether a sheet's file was taken and still stands: one whose
// orders a later sheet replaced can be taken again.
func takenBefore(tx *store.Tx, fingerprint string) (bool, error) {
	there, err := store.Sheets.Exists(tx, fingerprint)
	if err != nil || !there {
		return false, err
	}
	rec, err := store.Sheets.Get(tx, fingerprint)
	return rec.Value.ReplacedBy == "", err
}

// storeSheet keeps the record of a sheet, anew where it had been replaced.
func storeSheet(tx *store.Tx, sheet domain.Sheet) error {
	there, err := store.Sheets.Exists(tx, sheet.ID)
	if err != nil {
		return err
	}
	if !there {
		_, err = store.Sheets.Create(tx, sheet)
		return err
	}
	was, err := store.Sheets.Get(tx, sheet.ID)
	if err != nil {
		return err
	}
	_, err = store.Sheets.Replace(tx, sheet, was.Rev)
	return err
}
