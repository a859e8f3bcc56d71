package store

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/tried"
)

// TestACopyPutBackIsTheSameBook compares every table, row by row.
func TestACopyPutBackIsTheSameBook(t *testing.T) {
	dir, back := filled(t), t.TempDir()
	s, err := Open(ctx, dir, clock)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, s.Backup(ctx, file))
	require.NoError(t, s.Close())
	require.NoError(t, Restore(ctx, file, back))
	was, is := raw(t, dir), raw(t, back)
	require.Equal(t, tables(t, was), tables(t, is))
	require.Equal(t, digests(t, was, tables(t, was)), digests(t, is, tables(t, is)))
}

// copiedFrom is the environment variable that makes a test the program that is
// killed while it makes a copy: it names the folder of the book.
const copiedFrom = "HEADTALLY_TEST_COPIED_FROM"

// TestACopyBrokenOffLeavesTheLastGoodOne kills a program at some moment of making
// a copy: no half copy has the name of a whole one, and the one before is sound.
func TestACopyBrokenOffLeavesTheLastGoodOne(t *testing.T) {
	if dir := os.Getenv(copiedFrom); dir != "" {
		s, err := Open(context.Background(), dir, time.Now)
		require.NoError(t, err)
		fmt.Println("ready")
		require.NoError(t, s.Backup(context.Background(), filepath.Join(dir, BackupName(time.Now()))))
		return
	}
	dir, whole := filled(t), 0
	first := filepath.Join(dir, BackupName(clock()))
	s, err := Open(ctx, dir, clock)
	require.NoError(t, err)
	require.NoError(t, s.Backup(ctx, first))
	require.NoError(t, s.Close())
	for turn := range tried.Times(t, 8, 100) {
		child := exec.Command(os.Args[0], "-test.run", "^"+t.Name()+"$")
		child.Env = append(os.Environ(), copiedFrom+"="+dir)
		out := &firstWord{seen: make(chan struct{})}
		child.Stdout = out
		require.NoError(t, child.Start())
		<-out.seen
		time.Sleep(time.Duration(turn*turn*733%15_000) * time.Microsecond)
		_ = child.Process.Kill()
		_ = child.Wait()
		copies, err := filepath.Glob(filepath.Join(dir, "headtally-*Z.db"))
		require.NoError(t, err)
		require.Contains(t, copies, first)
		for _, file := range copies {
			found, err := CheckFile(ctx, file)
			require.NoError(t, err)
			require.Empty(t, found, file)
			if file != first {
				whole++
				require.NoError(t, os.Remove(file))
			}
		}
	}
	t.Logf("%d copies were whole before the kill", whole)
}

// TestDamageIsNoticed changes one byte at random places of a copy. It is told, or
// it lies where SQLite keeps no structure and no figure of it: in a text, whose
// content only its reader can judge, or in room that is not used.
func TestDamageIsNoticed(t *testing.T) {
	s, err := Open(ctx, filled(t), clock)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, s.Backup(ctx, file))
	require.NoError(t, s.Close())
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(3, 1))
	flips, told := tried.Times(t, 60, 1000), 0
	bad := filepath.Join(t.TempDir(), "bad.db")
	for range flips {
		damaged := append([]byte{}, whole...)
		damaged[random.IntN(len(damaged))] ^= byte(1 + random.IntN(255))
		require.NoError(t, os.WriteFile(bad, damaged, 0o600))
		found, err := CheckFile(ctx, bad)
		require.NoError(t, err)
		if len(found) > 0 {
			told++
		}
	}
	page := 4096
	for at := page; at < len(whole); at += page { // the kind of each page is structure for certain
		damaged := append([]byte{}, whole...)
		damaged[at] ^= 0xff
		require.NoError(t, os.WriteFile(bad, damaged, 0o600))
		found, err := CheckFile(ctx, bad)
		require.NoError(t, err)
		require.NotEmpty(t, found, "page %d", at/page+1)
	}
	require.Positive(t, told)
	t.Logf("%d changed bytes of %d are told, and the kind of every page", told, flips)
}

// TestTheLogDoesNotStayLarge holds a reader open while much is written: once it
// is gone the log is folded into the book and cut back.
func TestTheLogDoesNotStayLarge(t *testing.T) {
	s := open(t)
	create(t, s, Counts, domain.Count{ID: "C", Day: domain.MustDay("2027-02-03")})
	size := func() int64 {
		info, err := os.Stat(filepath.Join(s.dir, FileName+"-wal"))
		require.NoError(t, err)
		return info.Size()
	}
	write := func(n int) {
		_, err := Write(ctx, s, anna, func(tx *Tx) (Record[domain.Count], error) {
			rec, err := Counts.Get(tx, "C")
			if err != nil {
				return rec, err
			}
			rec.Value.Note = fmt.Sprint(n, strings.Repeat(" rafts", 20_000))
			return Counts.Replace(tx, rec.Value, rec.Rev)
		})
		require.NoError(t, err)
	}
	_, err := Read(ctx, s, func(tx *Tx) (bool, error) {
		for n := 0; n < 200 && size() < 8<<20; n++ {
			write(n)
		}
		return true, nil
	})
	require.NoError(t, err)
	require.Greater(t, size(), int64(8<<20), "a reader holds it")
	for n := range 3 {
		write(1000 + n)
	}
	require.LessOrEqual(t, size(), int64(4<<20))
}
