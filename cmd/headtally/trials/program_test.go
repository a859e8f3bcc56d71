//go:build linux

package trials

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var built = struct {
	sync.Mutex
	dir string
}{}

func TestMain(m *testing.M) {
	code := m.Run()
	if built.dir != "" {
		_ = os.RemoveAll(built.dir)
	}
	os.Exit(code)
}

// change is a text of one source file that a program is built without.
type change struct{ file, old, new string }

// program builds headtally, once for each name, with changes to its sources.
func program(t testing.TB, name string, changes ...change) (path string) {
	t.Helper()
	built.Lock()
	defer built.Unlock()
	bench(t)
	path = filepath.Join(built.dir, name)
	if _, err := os.Stat(path); err == nil {
		return path
	}
	args := []string{"build", "-o", path}
	if len(changes) > 0 {
		args = append(args, "-overlay", overlay(t, name, changes))
	}
	out, err := exec.Command("go", append(args, "headtally/cmd/headtally")...).CombinedOutput()
	require.NoError(t, err, string(out))
	return path
}

// bench makes the folder for what is built, once for all trials.
func bench(t testing.TB) {
	if built.dir == "" {
		var err error
		built.dir, err = os.MkdirTemp("", "headtally-trials-")
		require.NoError(t, err)
	}
}

// overlay writes changed sources beside the program, and the file that names
// them to the compiler.
func overlay(t testing.TB, name string, changes []change) (file string) {
	t.Helper()
	replaced := map[string]string{}
	for i, c := range changes {
		at := c.file
		if !filepath.IsAbs(at) {
			at = filepath.Join("..", "..", "..", c.file)
		}
		at, err := filepath.Abs(at)
		require.NoError(t, err)
		source, err := os.ReadFile(at)
		require.NoError(t, err)
		require.Equal(t, 1, strings.Count(string(source), c.old), "%s holds %s once", c.file, c.old)
		replaced[at] = filepath.Join(built.dir, fmt.Sprintf("%s-%d.go", name, i))
		require.NoError(t, os.WriteFile(replaced[at], []byte(strings.Replace(string(source), c.old, c.new, 1)), 0o600))
	}
	text, err := json.Marshal(map[string]any{"Replace": replaced})
	require.NoError(t, err)
	file = filepath.Join(built.dir, name+".json")
	require.NoError(t, os.WriteFile(file, text, 0o600))
	return file
}

// plain is the program as it is.
func plain(t testing.TB) string { return program(t, "headtally") }

// service is a program that serves a book.
type service struct {
	t    testing.TB
	run  *exec.Cmd
	at   string // its address, without a slash at the end
	told *bytes.Buffer
	gone chan struct{} // closed once it ended
}

// serve starts a program on a book, behind other words such as those of strace,
// and waits until it says where it serves.
func serve(t testing.TB, prog, dir string, before ...string) *service {
	t.Helper()
	s, err := begin(t, prog, dir, before...)
	require.NoError(t, err)
	return s
}

// begin is serve for a program that may end before it serves.
func begin(t testing.TB, prog, dir string, before ...string) (*service, error) {
	t.Helper()
	words := append(append([]string{}, before...), prog, "serve", "--listen", "127.0.0.1:0", "--pace", "0", "--backup-every", "0s", "--log", "json")
	words = append(words, where(t, dir)...)
	s := &service{t: t, run: exec.Command(words[0], words[1:]...), told: &bytes.Buffer{}, gone: make(chan struct{})}
	s.run.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // a signal reaches the program behind strace too
	s.run.Stderr = s.told
	out, err := s.run.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, s.run.Start())
	lines := bufio.NewReader(out)
	first, err := lines.ReadString('\n')
	go func() {
		_, _ = io.Copy(io.Discard, lines)
		_ = s.run.Wait()
		close(s.gone)
	}()
	t.Cleanup(s.kill)
	if err != nil {
		<-s.gone
		return s, fmt.Errorf("it ended before it served: %s", s.told)
	}
	_, s.at, _ = strings.Cut(strings.TrimSpace(first), " on ")
	s.at = strings.TrimSuffix(s.at, "/")
	return s, nil
}

// kill ends it at once, and waits until it is gone.
func (s *service) kill() { s.signal(syscall.SIGKILL) }

// stop asks it to end, and gives its exit code.
func (s *service) stop() int {
	s.signal(syscall.SIGTERM)
	return s.run.ProcessState.ExitCode()
}

func (s *service) signal(sig syscall.Signal) {
	_ = syscall.Kill(-s.run.Process.Pid, sig)
	s.ended()
}

// ended waits until it has ended.
func (s *service) ended() {
	select {
	case <-s.gone:
	case <-time.After(time.Minute):
		_ = syscall.Kill(-s.run.Process.Pid, syscall.SIGKILL)
		<-s.gone
		s.t.Error("it did not end within a minute")
	}
}
