//go:build linux

package trials

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain/store"
	"headtally/domain/tried"
)

// failing are the words before a program whose n-th call of a kind on the book's
// files fails; from then on once, or each one with more "+".
func failing(t testing.TB, dir, call, with string, n int, more string) []string {
	t.Helper()
	return []string{tried.With(t, "strace"), "-f", "-o", os.DevNull, "-P", filepath.Join(dir, store.FileName), "-P", filepath.Join(dir, store.FileName+"-wal"),
		"-e", "trace=" + call, "-e", fmt.Sprintf("inject=%s:error=%s:when=%d%s", call, with, n, more)}
}

// TestAFailedDiskWriteIsNeverAcknowledged has one call after another fail: a sync
// or a write that fails is told (500) and ends the program with a code that says
// so; a disk that is full is told (507) and the service goes on. Nothing
// acknowledged is lost, whatever failed.
func TestAFailedDiskWriteIsNeverAcknowledged(t *testing.T) {
	prog, told := plain(t), map[string]int{}
	for _, f := range []struct {
		call, with string
		status     int
	}{
		{"fsync,fdatasync", "EIO", http.StatusInternalServerError},
		{"pwrite64", "EIO", http.StatusInternalServerError},
		{"pwrite64", "ENOSPC", http.StatusInsufficientStorage},
	} {
		for n := range tried.Times(t, 2, 30) {
			dir := t.TempDir()
			o := newOffice(farmBook(t, dir))
			at := 3 + n*7%200
			if strings.HasPrefix(f.call, "fsync") {
				at = 2 + n
			}
			s, err := begin(t, prog, dir, failing(t, dir, f.call, f.with, at, "")...)
			status := 0
			if err == nil {
				status = writeUntilRefused(o, s.at, 60)
			}
			switch {
			case err != nil || status == 0: // it ended before, or before it could answer
				s.ended()
				require.NotZero(t, s.run.ProcessState.ExitCode())
				told[f.with+" at the start"]++
			case status < 300: // strace counts the calls of each thread apart: it was not come to
				told[f.with+" met no answer"]++
			default:
				require.Equal(t, f.status, status, "%s %s at %d: %s", f.call, f.with, at, s.told)
				told[fmt.Sprint(f.with, " told with ", status)]++
				if status == http.StatusInsufficientStorage {
					goesOn(t, o, s.at)
				} else {
					s.ended()
					require.NotZero(t, s.run.ProcessState.ExitCode(), "it says that it failed")
				}
			}
			s.kill()
			require.Empty(t, o.lost(t, dir), "%s %s at %d", f.call, f.with, at)
		}
	}
	t.Log(told)
}

// writeUntilRefused writes orders until one is refused, and gives the last status.
func writeUntilRefused(o *office, at string, most int) (status int) {
	for n := range most {
		if status = o.write(at, anOrder(fmt.Sprint("O-", n))); status >= 300 || status == 0 {
			return status
		}
	}
	return status
}

// goesOn reads an order and the plan.
func goesOn(t testing.TB, o *office, at string) {
	t.Helper()
	for _, address := range []string{"/v1/orders", "/v1/plan", "/readyz"} {
		status, answer, _, err := o.ask("GET", at+address, "")
		require.NoError(t, err)
		require.Equal(t, http.StatusOK, status, answer)
	}
}

// TestAFullDiskIsSurvived fills a small disk. Writing is refused, reading goes
// on; when there is room again so does writing, without a restart.
func TestAFullDiskIsSurvived(t *testing.T) {
	disk := filepath.Join(t.TempDir(), "disk")
	require.NoError(t, os.Mkdir(disk, 0o700))
	if err := syscall.Mount("none", disk, "tmpfs", 0, "size=8m"); err != nil {
		t.Skipf("a small disk can be made by root alone: %v", err)
	}
	t.Cleanup(func() { require.NoError(t, syscall.Unmount(disk, 0)) })
	dir := filepath.Join(disk, "book")
	o := newOffice(farmBook(t, dir))
	s := serve(t, plain(t), dir)
	require.Equal(t, http.StatusCreated, o.write(s.at, anOrder("O-first")))

	rest := filepath.Join(disk, "rest")
	f, err := os.Create(rest)
	require.NoError(t, err)
	for block := make([]byte, 4096); err == nil; {
		_, err = f.Write(block)
	}
	require.ErrorIs(t, err, syscall.ENOSPC)
	require.NoError(t, f.Close())
	require.Equal(t, http.StatusInsufficientStorage, writeUntilRefused(o, s.at, 2000))
	goesOn(t, o, s.at)
	_, answer, _, err := o.ask("GET", s.at+"/v1/orders", "")
	require.NoError(t, err)
	require.Contains(t, answer, "O-first")

	require.NoError(t, os.Remove(rest))
	require.Equal(t, http.StatusCreated, o.write(s.at, anOrder("O-again")))
	require.Zero(t, s.stop())
	require.Empty(t, o.lost(t, dir))
	sound(t, dir)
}

// BenchmarkReadyAfterAKill is how soon a killed service with a log of some MiB
// answers again, over a book of 100,000 orders.
func BenchmarkReadyAfterAKill(b *testing.B) {
	dir := b.TempDir()
	o := newOffice(farmBook(b, dir))
	manyOrders(b, dir, 100_000)
	prog := plain(b)
	for b.Loop() {
		b.StopTimer()
		s := serve(b, prog, dir)
		for n := range 80 {
			o.write(s.at, anOrder(fmt.Sprint("O-", n, "-", b.N, time.Now().UnixNano())))
		}
		s.kill()
		b.StartTimer()
		s = serve(b, prog, dir)
		status, _, _, err := o.ask("GET", s.at+"/readyz", "")
		b.StopTimer()
		require.NoError(b, err)
		require.Equal(b, http.StatusOK, status)
		s.kill()
		b.StartTimer()
	}
}
