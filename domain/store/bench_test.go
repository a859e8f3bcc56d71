package store

import (
	"fmt"
	"testing"

	"headtally/domain"
	"headtally/domain/store/storetest"
)

// BenchmarkWrite is one change, acknowledged: a record, its history and the
// revision, through to the disk.
func BenchmarkWrite(b *testing.B) {
	for _, h := range []home{inSQLite, {"postgres", storetest.Schema}} {
		b.Run(h.name, func(b *testing.B) {
			s := h.open(b, h.place(b))
			for n := 0; b.Loop(); n++ {
				_, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Variety], error) {
					code := fmt.Sprint("V", n)
					return Varieties.Create(tx, domain.Variety{Code: code, Name: code})
				})
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkReadOne is one record read in a transaction of its own.
func BenchmarkReadOne(b *testing.B) {
	for _, h := range []home{inSQLite, {"postgres", storetest.Schema}} {
		b.Run(h.name, func(b *testing.B) {
			s := h.open(b, h.place(b))
			_, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Variety], error) {
				return Varieties.Create(tx, domain.Variety{Code: "V", Name: "V"})
			})
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := Read(ctx, s, func(tx *Tx) (Record[domain.Variety], error) { return Varieties.Get(tx, "V") }); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkKeepDropped is a file of 5 MB that is dropped: what is allocated for
// it, beside what goes to the disk.
func BenchmarkKeepDropped(b *testing.B) {
	s := inSQLite.open(b, b.TempDir())
	d := Dropped{ID: "a", Name: "a.csv", Bytes: make([]byte, 5<<20)}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Write(ctx, s, anna, func(tx *Tx) (bool, error) { return true, tx.KeepDropped(d) }); err != nil {
			b.Fatal(err)
		}
	}
}
