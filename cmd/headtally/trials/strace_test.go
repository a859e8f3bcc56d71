//go:build linux

package trials

import (
	"bufio"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain/tried"
)

// call is one system call that a program made, as strace wrote it down.
type call struct {
	name       string
	path       string // of the open file it is about
	text       []byte // what was written
	at         int64  // where in the file; the new size for ftruncate
	begun, end int    // the lines on which it began and was over; 0: it never was
	failed     bool
}

// traced are the words before a program that write its calls into a file.
func traced(t testing.TB, file string) []string {
	return []string{tried.With(t, "strace"), "-f", "-y", "-xx", "-s", "200000", "-o", file, "-e", "trace=pwrite64,write,fsync,fdatasync,ftruncate"}
}

var (
	callLine    = regexp.MustCompile(`^(\d+) +(\w+)\((.*)$`)
	resumedLine = regexp.MustCompile(`^(\d+) +<\.\.\. (\w+) resumed>.*\) += (-?\d+)`)
	openFile    = regexp.MustCompile(`^\d+<([^>]*)>`)
	quotedText  = regexp.MustCompile(`"((?:\\x[0-9a-f]{2})*)"`)
	result      = regexp.MustCompile(`\) += (-?\d+)`)
)

// readTrace reads the calls of a program in the order in which they began.
func readTrace(t testing.TB, file string) (calls []*call) {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	lines, under := bufio.NewScanner(f), map[string]*call{} // what each thread has under way
	lines.Buffer(nil, 4<<20)
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		if m := resumedLine.FindStringSubmatch(line); m != nil {
			if c := under[m[1]]; c != nil {
				c.end, c.failed = n, m[3] == "-1"
			}
			continue
		}
		m := callLine.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		c := readCall(t, m[2], m[3])
		c.begun = n
		if strings.HasSuffix(line, "<unfinished ...>") {
			under[m[1]] = c
		} else if r := result.FindStringSubmatch(line[len(line)-min(len(line), 1000):]); r != nil {
			c.end, c.failed = n, r[1] == "-1"
		}
		calls = append(calls, c)
	}
	require.NoError(t, lines.Err())
	return calls
}

// readCall reads a call from its arguments.
func readCall(t testing.TB, name, args string) *call {
	t.Helper()
	c := &call{name: name}
	if m := openFile.FindStringSubmatch(args); m != nil {
		c.path = string(unhex(t, m[1]))
	}
	if m := quotedText.FindStringSubmatchIndex(args); m != nil {
		c.text = unhex(t, args[m[2]:m[3]])
		args = args[m[1]:]
	}
	numbers := regexp.MustCompile(`, (\d+)`).FindAllStringSubmatch(args, -1)
	if (name == "pwrite64" || name == "ftruncate") && len(numbers) > 0 {
		at, err := strconv.ParseInt(numbers[len(numbers)-1][1], 10, 64)
		require.NoError(t, err)
		c.at = at
	}
	return c
}

// unhex reads what strace -xx writes; what is not written so stays as it is.
func unhex(t testing.TB, text string) []byte {
	t.Helper()
	if !strings.HasPrefix(text, `\x`) {
		return []byte(text)
	}
	out := make([]byte, 0, len(text)/4)
	for i := 0; i+3 < len(text); i += 4 {
		b, err := strconv.ParseUint(text[i+2:i+4], 16, 8)
		require.NoError(t, err)
		out = append(out, byte(b))
	}
	return out
}
