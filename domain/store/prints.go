package store

import "time"

// Print is one printed sheet, kept as it was.
type Print struct {
	Issue string
	Name  string // which paper it is, such as "load-VAN.pdf"
	At    time.Time
	Bytes []byte
}

// KeepPrints stores the papers of an issue, as they were printed.
func (tx *Tx) KeepPrints(issue string, papers []Print) error {
	for _, p := range papers {
		err := insert(tx.db, "prints").Create(map[string]any{
			"issue": issue, "name": p.Name, "at": tx.Now.Format(timeLayout), "bytes": p.Bytes}).Error
		if err != nil {
			return err
		}
	}
	return nil
}

// Prints lists the papers of an issue, without their bytes, in the order in
// which they are handed out.
func (tx *Tx) Prints(issue string) ([]Print, error) {
	var names []string
	err := tx.db.Table("prints").Where("issue = ?", plain(issue)).Order("seq").Pluck("name", &names).Error
	papers := make([]Print, len(names))
	for i, name := range names {
		papers[i] = Print{Issue: issue, Name: name}
	}
	return papers, err
}

// PrintBytes is one paper as it was printed; nil where there is none.
func (tx *Tx) PrintBytes(issue, name string) ([]byte, error) {
	var rows []struct{ Bytes []byte }
	err := tx.db.Table("prints").Select("bytes").Where("issue = ? AND name = ?", plain(issue), plain(name)).Find(&rows).Error
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	return rows[0].Bytes, nil
}
