package main

import (
	"bufio"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/testdata/farm"
)

// BenchmarkStart is a whole `headtally serve` process on the demo farm's book,
// from its start until it says that it is ready. It tells the program's size and,
// on Linux, the memory it holds a second later.
func BenchmarkStart(b *testing.B) {
	dir := b.TempDir()
	program := filepath.Join(dir, "headtally")
	said, err := exec.CommandContext(b.Context(), "go", "build", "-ldflags=-s", "-o", program, ".").CombinedOutput()
	require.NoError(b, err, string(said))
	info, err := os.Stat(program)
	require.NoError(b, err)
	week, data := filepath.Join(dir, "farm.xlsx"), filepath.Join(dir, "book")
	require.NoError(b, os.WriteFile(week, farm.Workbook, 0o600))
	said, err = exec.CommandContext(b.Context(), program, "import", "--data", data, "--as-of", farm.AsOf, week).CombinedOutput()
	require.NoError(b, err, string(said))

	atRest := 0
	for b.Loop() {
		serve := exec.CommandContext(b.Context(), program, "serve", "--data", data, "--listen", "127.0.0.1:0", "--backup-every", "0")
		out, err := serve.StdoutPipe()
		require.NoError(b, err)
		require.NoError(b, serve.Start())
		line, err := bufio.NewReader(out).ReadString('\n')
		require.NoError(b, err)
		answer, err := http.Get(regexp.MustCompile(`http://[0-9.:]+/`).FindString(line) + "readyz")
		require.NoError(b, err)
		require.NoError(b, answer.Body.Close())
		require.Equal(b, http.StatusOK, answer.StatusCode)
		b.StopTimer()
		if atRest == 0 && runtime.GOOS == "linux" {
			time.Sleep(time.Second)
			atRest = resident(b, serve.Process.Pid)
		}
		require.NoError(b, serve.Process.Kill())
		_ = serve.Wait()
		b.StartTimer()
	}
	b.ReportMetric(float64(info.Size())/1e6, "MB-program")
	b.ReportMetric(float64(atRest)/1e6, "MB-at-rest")
}

// resident is the memory a process holds, in bytes.
func resident(b *testing.B, pid int) (bytes int) {
	b.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	require.NoError(b, err)
	_, err = fmt.Sscanf(regexp.MustCompile(`VmRSS:\s*\d+`).FindString(string(status)), "VmRSS: %d", &bytes)
	require.NoError(b, err)
	return bytes * 1024
}
