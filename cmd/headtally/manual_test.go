package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain/store/storetest"
	"headtally/domain/tried"
)

// documents are what a user reads, from the top of the module.
var documents = []string{"README.md", "api/manual/spreadsheet.md", "api/manual/how-the-plan-decides.md", "api/manual/running.md", "api/manual/api.md",
	"api/manual/es/spreadsheet.md", "api/manual/es/how-the-plan-decides.md", "api/manual/es/running.md"}

// The addresses that the documents show.
const (
	shownService  = "http://127.0.0.1:8740"
	shownDatabase = "postgres://headtally@db.example/headtally"
)

// reader is a person who reads a document at a desk and types what it says.
type reader struct {
	*desk
	service, key, database string // what stands for the addresses shown, once it is needed
}

// TestEveryCommandOfTheDocumentsRuns types each document's commands in turn, in
// an empty folder, and holds what is said against what the document shows. A
// block of commands is marked console, one for a shell sh; a file to make bears
// its name behind the language. "..." stands for anything. What has to be there
// before is typed in a comment.
func TestEveryCommandOfTheDocumentsRuns(t *testing.T) {
	for _, name := range documents {
		t.Run(name, func(t *testing.T) {
			text := document(t, name)
			r := reader{desk: newDesk(t)}
			t.Chdir(r.dir)
			r.env["HEADTALLY_DATA"] = r.file("headtally")
			for _, b := range blocks(text) {
				switch {
				case b.file != "":
					require.NoError(t, os.WriteFile(b.file, []byte(b.text), 0o600))
				case b.language == "sh":
					r.asks(b.text)
				case b.language == "console":
					for _, c := range b.commands() {
						r.says(c.command, c.answer)
					}
				}
			}
		})
	}
}

// TestTheReadmesFirstWeekRuns types the commands that stand in the README's steps.
func TestTheReadmesFirstWeekRuns(t *testing.T) {
	steps := regexp.MustCompile("(?m)^\\d+\\. `headtally ([a-z][^`]*)`").FindAllStringSubmatch(document(t, "README.md"), -1)
	require.Len(t, steps, 3)
	d := newDesk(t)
	t.Chdir(d.dir)
	d.env["HEADTALLY_DATA"] = d.file("headtally")
	for _, s := range steps {
		require.Zero(t, d.types("", strings.Fields(s[1])...), "headtally %s: %s", s[1], &d.err)
	}
}

// TestEveryCommandShownIsKnown finds the commands in running text too: each is
// one of ours, with settings it has.
func TestEveryCommandShownIsKnown(t *testing.T) {
	shown := 0
	for _, name := range append(slices.Clone(documents), "DEVELOPERS.md") {
		for _, m := range regexp.MustCompile("(?m)(?:`|^ {4}|^\\$ )(?:\\S*/)?headtally ([a-z][^`\n]*)").FindAllStringSubmatch(document(t, name), -1) {
			words := strings.Fields(m[1])
			d := newDesk(t)
			require.Zero(t, d.types("", words[0], "--help"), "%s: headtally %s", name, m[1])
			for _, w := range words[1:] {
				if flag, ok := strings.CutPrefix(w, "--"); ok && flag != unseen {
					require.Contains(t, d.out.String(), "\n  -"+flag, "%s: headtally %s", name, m[1])
				}
			}
			shown++
		}
	}
	require.Greater(t, shown, 20)
}

// says types a command and compares what is said.
func (r *reader) says(command, want string) {
	r.t.Helper()
	if strings.Contains(command, shownDatabase) && r.database == "" {
		r.database = storetest.NewCluster(r.t).Address()
	}
	ctx, stop := context.WithTimeout(r.t.Context(), time.Minute)
	defer stop()
	r.out.Reset()
	r.err.Reset()
	run(ctx, strings.Fields(strings.ReplaceAll(strings.TrimPrefix(command, "headtally "), shownDatabase, r.database)),
		surroundings{getenv: func(name string) string { return r.env[name] }, now: r.clock, in: strings.NewReader(""), out: &r.out, err: &r.err})
	parts := strings.Split(strings.TrimSpace(want), "...")
	for i, p := range parts {
		parts[i] = regexp.QuoteMeta(strings.TrimSpace(strings.ReplaceAll(p, shownDatabase, r.database)))
	}
	require.Regexp(r.t, `^(?s)\s*`+strings.Join(parts, ".*")+`\s*$`, r.out.String()+r.err.String(), command)
}

// asks runs what a document shows for a shell against a service that holds the
// workbook of examples. Each answer is a success, or says that what was read is
// no longer so.
func (r *reader) asks(script string) {
	r.t.Helper()
	tried.With(r.t, "curl")
	if r.service == "" {
		data := r.file("served")
		require.Zero(r.t, r.types("", "workbook", r.file("week.xlsx")), &r.err)
		require.Zero(r.t, r.types("", "import", r.file("week.xlsx"), "--data", data), &r.err)
		r.key, r.service = r.keyOfTheHouse(data), r.serves(data)
	}
	sh := exec.CommandContext(r.t.Context(), "sh", "-e", "-c",
		strings.NewReplacer(shownService, r.service, "curl ", `curl -sS -w '\n%{http_code}\n' `).Replace(script))
	sh.Env = append(os.Environ(), "KEY="+r.key)
	said, err := sh.CombinedOutput()
	require.NoError(r.t, err, string(said))
	codes := regexp.MustCompile(`(?m)^\d{3}$`).FindAllString(string(said), -1)
	require.Len(r.t, codes, strings.Count(script, "curl "), string(said))
	for _, code := range codes {
		require.Contains(r.t, []string{"200", "201", "412"}, code, string(said))
	}
}

func document(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
	require.NoError(t, err)
	return string(text)
}

// block is a fenced block of a document, or a comment that stands for one.
type block struct{ language, file, text string }

func blocks(document string) (all []block) {
	for _, m := range regexp.MustCompile("(?ms)^(?:```|<!-- )(\\w+) ?(\\S*)\n(.*?)^(?:```|-->)$").FindAllStringSubmatch(document, -1) {
		all = append(all, block{m[1], m[2], m[3]})
	}
	return all
}

// typed is a command and what it answers.
type typed struct{ command, answer string }

func (b block) commands() (all []typed) {
	for line := range strings.Lines(b.text) {
		if command, ok := strings.CutPrefix(line, "$ "); ok {
			all = append(all, typed{command: strings.TrimSpace(command)})
		} else {
			all[len(all)-1].answer += line
		}
	}
	return all
}
