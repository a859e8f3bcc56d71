//go:build linux

package trials

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain/store"
	"headtally/domain/tried"
)

// sector is what a disk writes whole or not at all.
const sector = 512

// session is an office's day at a service, with every call the service made.
type session struct {
	o     *office
	first map[string][]byte // the book's files before
	calls []*call
	acked map[string]int // the line on which each paper's answer began to be sent
	dir   string
}

// bookFiles are the files of a book that a disk holds; what readers and writers
// share in memory is made anew.
var bookFiles = []string{store.FileName, store.FileName + "-wal"}

var answered = regexp.MustCompile(`^HTTP/1\.1 20[01] `)

// writeSession has a program take papers, and notes what it asks of the disk meanwhile.
func writeSession(t testing.TB, prog string, papers int) *session {
	t.Helper()
	dir, trace := t.TempDir(), filepath.Join(t.TempDir(), "calls")
	s := &session{o: newOffice(farmBook(t, dir)), first: map[string][]byte{}, acked: map[string]int{}, dir: dir}
	for _, name := range bookFiles {
		if text, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
			s.first[name] = text
		}
	}
	service := serve(t, prog, dir, traced(t, trace)...)
	for n := range papers {
		p := anOrder(fmt.Sprint("O-", n))
		if n%8 == 0 {
			p = aSheet(fmt.Sprint("S-", n))
		}
		require.Less(t, s.o.write(service.at, p), 300)
	}
	service.kill()
	s.calls = readTrace(t, trace)
	named := regexp.MustCompile(`"(?:purchase_order|name)":"([OS]-\d+)"`)
	for _, c := range s.calls {
		if c.name != "write" || !answered.Match(c.text) || bytes.HasPrefix(c.text, []byte("HTTP/1.1 200")) && !bytes.Contains(c.text, []byte(`"added":2`)) {
			continue
		}
		for _, m := range named.FindAllSubmatch(c.text, -1) {
			s.acked[string(m[1])] = c.begun
		}
	}
	require.Len(t, s.acked, papers, "every answer is seen in the trace")
	return s
}

// disk is what of one file is on the disk when the power goes at a line: all that
// was written before the last sync of it began, and of the rest what lands: each
// sector or none. A file that was made is there for certain once its folder was
// synced.
func (s *session) disk(name string, line int, lands func() bool) (image []byte, is bool) {
	path := filepath.Join(s.dir, name)
	image, is = slices.Clone(s.first[name]), s.first[name] != nil
	synced, made := 0, is
	for _, c := range s.calls {
		over := c.end > 0 && c.end < line && !c.failed
		switch {
		case (c.name == "fsync" || c.name == "fdatasync") && over && c.path == path:
			synced = c.begun
		case c.name == "fsync" && over && c.path == s.dir && is:
			made = true
		case c.name == "pwrite64" && c.begun < line && c.path == path:
			is = true
		}
	}
	if is && !made && !lands() {
		return nil, false
	}
	for _, c := range s.calls {
		if c.path != path || c.begun >= line || c.failed {
			continue
		}
		certain := c.end > 0 && c.end < synced
		switch {
		case c.name == "pwrite64":
			image = landed(image, c, func() bool { return certain || lands() })
		case c.name == "ftruncate" && (certain || lands()):
			image = append(image, make([]byte, max(0, int(c.at)-len(image)))...)[:c.at]
		}
	}
	return image, is
}

// landed writes those sectors of a write that land.
func landed(image []byte, c *call, lands func() bool) []byte {
	for from := 0; from < len(c.text); {
		at := c.at + int64(from)
		to := min(len(c.text), from+sector-int(at%sector))
		if lands() {
			if need := int(at) + to - from; need > len(image) {
				image = append(image, make([]byte, need-len(image))...)
			}
			copy(image[at:], c.text[from:to])
		}
		from = to
	}
	return image
}

// cutAt lays out what the disk holds after a cut at a line, opens it as the
// program would, and gives what is wrong with it.
func (s *session) cutAt(t testing.TB, line int, lands func() bool) []string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range bookFiles {
		if image, is := s.disk(name, line, lands); is {
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), image, 0o600))
		}
	}
	defer os.RemoveAll(dir)
	return s.o.look(t, dir).wrong(s.o.tried, func(name string) bool { return s.acked[name] < line })
}

// cut cuts the power at so many random moments, half of them with nothing landed
// that was not synced and half with some sectors of it. It gives how often
// something acknowledged was lost.
func (s *session) cut(t testing.TB, times int) (losses int, example []string) {
	t.Helper()
	random := rand.New(rand.NewPCG(7, uint64(times)))
	begin := len(s.calls) - 1
	for i, c := range s.calls {
		if c.name == "pwrite64" {
			begin = i
			break
		}
	}
	first, last := s.calls[begin].begun, s.calls[len(s.calls)-1].begun
	for turn := range times {
		lands := func() bool { return false }
		if turn%2 == 1 {
			lands = func() bool { return random.IntN(2) == 0 }
		}
		line := first + 1 + random.IntN(last-first)
		if wrong := s.cutAt(t, line, lands); len(wrong) > 0 {
			losses, example = losses+1, append([]string{fmt.Sprintf("cut %d, at line %d of %d:", turn, line, last)}, wrong...)
		}
	}
	return losses, example
}

// TestAcknowledgedWritesOutlivePowerCuts makes disks as they would be after a
// power cut: nothing acknowledged is lost, nothing half there, no book unsound.
func TestAcknowledgedWritesOutlivePowerCuts(t *testing.T) {
	s := writeSession(t, plain(t), tried.Times(t, 120, 400))
	cuts := tried.Times(t, 60, 2000)
	losses, example := s.cut(t, cuts)
	require.Zero(t, losses, "%v", example)
	t.Logf("%d papers, %d system calls, %d power cuts, nothing lost", len(s.acked), len(s.calls), cuts)
}

// TestPowerCutsBite: a program that does not write fully through before it
// answers loses what it acknowledged, and the trial sees it.
func TestPowerCutsBite(t *testing.T) {
	hasty := program(t, "hasty", change{"domain/store/store.go", "synchronous(FULL)", "synchronous(NORMAL)"})
	s := writeSession(t, hasty, 40)
	cuts := tried.Times(t, 20, 1000)
	losses, _ := s.cut(t, cuts)
	require.Greater(t, losses, cuts/2)
	t.Logf("without full synchronous writes %d power cuts of %d lose what was acknowledged", losses, cuts)
}
