package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// desk is a person at a terminal on Tuesday 13 April 2027, with a folder.
type desk struct {
	t        *testing.T
	dir      string
	now      time.Time
	looked   atomic.Int64 // how often a service looked at the clock
	env      map[string]string
	out, err bytes.Buffer
}

func newDesk(t *testing.T) *desk {
	return &desk{t: t, dir: t.TempDir(), now: time.Date(2027, 4, 13, 6, 0, 0, 0, time.UTC), env: map[string]string{}}
}

// types runs a command line and gives its exit code; in is what is typed in.
func (d *desk) types(in string, args ...string) int {
	d.out.Reset()
	d.err.Reset()
	return run(d.t.Context(), args, surroundings{getenv: func(name string) string { return d.env[name] },
		now: func() time.Time { d.now = d.now.Add(time.Second); return d.now }, in: strings.NewReader(in), out: &d.out, err: &d.err})
}

func (d *desk) file(name string) string { return filepath.Join(d.dir, name) }

func TestHelpNamesEveryCommandInALine(t *testing.T) {
	d := newDesk(t)
	require.Zero(t, d.types("", "--help"))
	for _, c := range commands() {
		require.Contains(t, d.out.String(), "headtally "+c.word)
	}
	for _, c := range commands() {
		if c.word == "version" {
			continue
		}
		require.Zero(t, d.types("", c.word, "--help"), c.word)
		require.Contains(t, d.out.String(), "headtally "+c.word+" "+c.usage, c.word)
	}
	require.Equal(t, refused, d.types("", "harvest"))
	require.Contains(t, d.err.String(), `no command "harvest"`)
}

// TestAFirstWeek is what the README says a first real week looks like.
func TestAFirstWeek(t *testing.T) {
	d := newDesk(t)
	week, data := d.file("week.xlsx"), d.file("book")
	require.Zero(t, d.types("", "workbook", week), d.err.String())
	require.Equal(t, refused, d.types("", "workbook", week), "it never writes over another file")
	require.Zero(t, d.types("", "plan", week), d.err.String())
	require.Contains(t, d.out.String(), "Pack list, Wednesday, April 14")
	require.Contains(t, d.out.String(), "The Example Inn")
	planned := d.out.String()

	require.Zero(t, d.types("", "import", week, "--data", data), d.err.String())
	require.Contains(t, d.out.String(), "is taken")
	require.Zero(t, d.types("", "import", "--data", data, week))
	require.Contains(t, d.out.String(), "nothing is changed")
	require.Zero(t, d.types("", "plan", "--data", data, "--as-of", "2027-04-13"))
	require.Equal(t, planned, d.out.String(), "the book plans what the workbook did")
	d.env["HEADTALLY_DATA"] = data
	require.Zero(t, d.types("", "plan"))
	require.Equal(t, planned, d.out.String())
	require.Zero(t, d.types("", "promise", "--product", "BUTTERHEAD-12", "--pickup", "2027-04-14", "--cases", "2"), d.err.String())
	require.Equal(t, "1 sure, 2 if all comes in\n", d.out.String())

	copied := d.file("copy.db")
	require.Zero(t, d.types("", "backup", copied), d.err.String())
	require.Zero(t, d.types("", "restore", copied, "--data", d.file("second")), d.err.String())
	require.Zero(t, d.types("", "plan", "--data", d.file("second")))
	require.Equal(t, planned, d.out.String())
	require.Zero(t, d.types("", "check"), d.out.String()+d.err.String())
	require.Equal(t, "the book is sound\n", d.out.String())
}

func TestTheDemoIsTheSameOnEveryDay(t *testing.T) {
	d := newDesk(t)
	t.Setenv("TMPDIR", d.dir)
	folder := regexp.MustCompile(`headtally-demo-\d+`)
	require.Zero(t, d.types("", "demo", "--once"), d.err.String())
	first := folder.ReplaceAllString(d.out.String(), "")
	d.now = d.now.AddDate(3, 0, 0)
	require.Zero(t, d.types("", "demo", "--once"))
	require.Equal(t, first, folder.ReplaceAllString(d.out.String(), ""))
	for _, part := range []string{"spaces; ", "of 12 cases", "Red lollo or Red oakleaf missing", "at risk", "Further ahead"} {
		require.Contains(t, strings.ToLower(first), strings.ToLower(part))
	}
	papers, err := filepath.Glob(filepath.Join(d.dir, "headtally-demo-*", "pack-list-2027-04-14.pdf"))
	require.NoError(t, err)
	require.Len(t, papers, 2)
	pdf, err := os.ReadFile(papers[0])
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(pdf, []byte("%PDF-")))
}

func TestAProblemIsPlannedFromAFileOrFromStandardInput(t *testing.T) {
	d := newDesk(t)
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "planning", "hand-02.json"))
	require.NoError(t, err)
	problem := string(text[len(`{"problem":`):bytes.Index(text, []byte(`,"expected":`))])
	require.Zero(t, d.types(problem, "plan", "--problem", "-"), d.err.String())
	require.Contains(t, d.out.String(), `"filled":4`)
	require.Zero(t, d.types(problem, "plan", "--problem", "-", "--format", "text"))
	require.Contains(t, d.out.String(), "4 of 6 cases")
	require.Equal(t, refused, d.types(strings.Replace(problem, `"cases":6`, `"cases":-6,"colour":"red"`, 1), "plan", "--problem", "-"))
	require.Len(t, strings.Split(strings.TrimSpace(d.err.String()), "\n"), 2, d.err.String())
	require.Contains(t, d.err.String(), "lines[1].cases: ")
	require.Contains(t, d.err.String(), "lines[1].colour: ")
	require.Empty(t, d.out.String())
	require.Zero(t, d.types(problem, "promise", "--problem", "-", "--product", "SA", "--pickup", "2027-03-03", "--cases", "3"))
	require.Equal(t, "0 sure, 0 if all comes in; 3 on none of the days planned\n", d.out.String())
}

func TestAPlanIsHeldAgainstTheOneBefore(t *testing.T) {
	d := newDesk(t)
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "planning", "hand-02.json"))
	require.NoError(t, err)
	problem := string(text[len(`{"problem":`):bytes.Index(text, []byte(`,"expected":`))])
	require.Zero(t, d.types(problem, "plan", "--problem", "-"), d.err.String())
	before := filepath.Join(t.TempDir(), "before.json")
	require.NoError(t, os.WriteFile(before, d.out.Bytes(), 0o600))

	require.Zero(t, d.types(problem, "plan", "--problem", "-", "--since", before, "--format", "text"), d.err.String())
	require.Contains(t, d.out.String(), "Nothing: every line gets the same")
	fewer := strings.Replace(problem, `"cases":6`, `"cases":3`, 1)
	require.NotEqual(t, problem, fewer)
	require.Zero(t, d.types(fewer, "plan", "--problem", "-", "--since", before, "--format", "text"), d.err.String())
	require.Contains(t, d.out.String(), "Wed 3 Mar: d, MIX: 3 of 3 cases, 3 sure; before, 4 of 6, 4 sure\n"+
		"Tue 2 Mar: A, LA: 18 heads; before, 20 heads\nTue 2 Mar: B, LB: 6 heads; before, 8 heads\n")
	require.Zero(t, d.types(fewer, "plan", "--problem", "-", "--since", before), d.err.String())
	require.JSONEq(t, `{"lines": [{"id": "2",
		"was": {"cases": 6, "filled": 4, "firm": 4, "short": 2, "broken": 0, "contents": [{"variety": "A", "heads": 8}, {"variety": "B", "heads": 8}]},
		"is": {"cases": 3, "filled": 3, "firm": 3, "short": 0, "broken": 0, "contents": [{"variety": "A", "heads": 6}, {"variety": "B", "heads": 6}]}}],
		"pulls": [
		{"day": "2027-03-02", "lot": "LA", "variety": "A", "was": {"heads": 20, "stop_at": 20}, "is": {"heads": 18, "stop_at": 18}},
		{"day": "2027-03-02", "lot": "LB", "variety": "B", "was": {"heads": 8, "stop_at": 8}, "is": {"heads": 6, "stop_at": 6}}]}`, d.out.String())
	another := strings.Replace(problem, `"id":"2"`, `"id":"3"`, 1)
	require.NotEqual(t, problem, another)
	require.Zero(t, d.types(another, "plan", "--problem", "-", "--since", before, "--format", "text"), d.err.String())
	require.Contains(t, d.out.String(), "Wed 3 Mar: d, MIX: new, 4 of 6 cases, 4 sure\nline 2: ordered no more; before, it got 4 cases\n")
	given := strings.Replace(problem, `"cases":6,`, `"cases":12,"promised":12,"promised_at":"2027-02-03T08:00:00Z",`, 1)
	require.NotEqual(t, problem, given)
	require.Zero(t, d.types(given, "plan", "--problem", "-", "--since", before, "--format", "text"), d.err.String())
	require.Contains(t, d.out.String(), "d, MIX: 10 of 12 cases, 2 of those promised cannot be filled; before, 4 of 6, 0 of those promised not\n")
	require.Equal(t, refused, d.types(problem, "plan", "--problem", "-", "--since", filepath.Join("..", "..", "README.md")))
	require.Contains(t, d.err.String(), "holds no plan as `headtally plan --format json` writes it")
}

func TestBadInputSaysWhatIsWrong(t *testing.T) {
	d := newDesk(t)
	text := d.file("notes.xlsx")
	require.NoError(t, os.WriteFile(text, []byte("three rafts of oak"), 0o600))
	for wrong, args := range map[string][]string{
		"the name says it is a workbook":          {"plan", text},
		"there is no file":                        {"plan", d.file("nothing.xlsx")},
		"there is no book in":                     {"plan", "--data", d.file("nowhere")},
		"ends with .xlsx":                         {"workbook", d.file("week.pdf")},
		"--format is json or text":                {"plan", "--format", "xml"},
		"where other machines can reach it":       {"serve", "--listen", "0.0.0.0:80", "--data", d.file("x")},
		"the book knows its customers' own rules": {"promise", "--product", "P", "--pickup", "2027-04-14", "--substitutes", "never"},
		"needs --product":                         {"promise"},
		"takes the file to write":                 {"workbook"},
		"is not a date written YYYY-MM-DD":        {"plan", "--as-of", "tomorrow"},
	} {
		require.NotZero(t, d.types("", args...), wrong)
		require.Contains(t, d.err.String()+d.out.String(), wrong)
	}
	d.env["HEADTALLY_AS_OF"] = "31 March"
	require.Equal(t, refused, d.types("", "plan"))
	require.Contains(t, d.err.String(), "HEADTALLY_AS_OF")
}

// TestServeAnswersUntilItIsStopped starts the service on a port of its own.
func TestServeAnswersUntilItIsStopped(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	read, write := io.Pipe()
	ended := make(chan int, 1)
	data := t.TempDir()
	var failed bytes.Buffer
	go func() {
		code := run(ctx, []string{"serve", "--data", data, "--listen", "127.0.0.1:0"}, surroundings{
			getenv: func(string) string { return "" }, now: time.Now, in: strings.NewReader(""), out: write, err: &failed})
		_ = write.Close()
		ended <- code
	}()
	said := make([]byte, 4096)
	n, err := read.Read(said)
	require.NoError(t, err, &failed)
	go func() { _, _ = io.Copy(io.Discard, read) }()
	address := regexp.MustCompile(`http://[0-9.:]+/`).FindString(string(said[:n]))
	require.NotEmpty(t, address, string(said[:n]))
	answer, err := http.Get(address + "readyz")
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusOK, answer.StatusCode)

	second := newDesk(t)
	require.NotZero(t, second.types("", "serve", "--data", data, "--listen", "127.0.0.1:0"))
	require.Contains(t, second.err.String(), "is served already")
	stop()
	require.Zero(t, <-ended)
}
