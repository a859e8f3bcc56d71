package main

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// documents are what a user reads, from the top of the module.
var documents = []string{"README.md", "api/manual/spreadsheet.md", "api/manual/how-the-plan-decides.md", "api/manual/running.md", "api/manual/api.md"}

// TestEveryCommandOfTheDocumentsRuns types each document's commands in turn, in
// an empty folder, and holds what is said against what the document shows. A
// block of commands is marked console, a file to make bears its name behind the
// language. "..." stands for anything.
func TestEveryCommandOfTheDocumentsRuns(t *testing.T) {
	for _, name := range documents {
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
			require.NoError(t, err)
			d := newDesk(t)
			t.Setenv("TMPDIR", d.dir)
			t.Chdir(d.dir)
			d.env["HEADTALLY_DATA"] = d.file("headtally")
			for _, b := range blocks(string(text)) {
				switch {
				case b.file != "":
					require.NoError(t, os.WriteFile(b.file, []byte(b.text), 0o600))
				case b.language == "console":
					for _, said := range b.commands() {
						d.says(said.command, said.answer)
					}
				}
			}
		})
	}
}

// TestEveryCommandShownIsKnown finds commands in running text and in blocks that
// are not typed by the test before: each is one of ours, with settings it has.
func TestEveryCommandShownIsKnown(t *testing.T) {
	shown := 0
	for _, name := range append(slices.Clone(documents), "DEVELOPERS.md") {
		text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
		require.NoError(t, err)
		for _, line := range regexp.MustCompile("(?m)(?:`|^ {4}|^\\$ )(?:\\S*/)?headtally ([^`\n]*)").FindAllStringSubmatch(string(text), -1) {
			words := strings.Fields(strings.NewReplacer("DIR", ".", "[", "", "]", "").Replace(line[1]))
			if words[0] == "COMMAND" || strings.HasPrefix(words[0], "-") {
				continue
			}
			d := newDesk(t)
			require.Zero(t, d.types("", words[0], "--help"), "%s: headtally %s", name, line[1])
			for _, w := range words[1:] {
				if flag, ok := strings.CutPrefix(w, "--"); ok {
					require.Contains(t, d.out.String(), "\n  -"+flag, "%s: headtally %s", name, line[1])
				}
			}
			shown++
		}
	}
	require.Greater(t, shown, 20)
}

// says types a command and compares; a service is stopped once it says where it
// listens.
func (d *desk) says(command, want string) {
	d.t.Helper()
	args := strings.Fields(strings.TrimPrefix(command, "headtally "))
	ctx, stop := context.WithTimeout(d.t.Context(), time.Minute)
	defer stop()
	d.out.Reset()
	d.err.Reset()
	run(ctx, args, surroundings{getenv: func(name string) string { return d.env[name] },
		now: func() time.Time { d.now = d.now.Add(time.Second); return d.now }, in: strings.NewReader(""), out: &d.out, err: &d.err})
	parts := strings.Split(strings.TrimSpace(want), "...")
	for i, p := range parts {
		parts[i] = regexp.QuoteMeta(strings.TrimSpace(p))
	}
	require.Regexp(d.t, `^(?s)\s*`+strings.Join(parts, ".*")+`\s*$`, d.out.String()+d.err.String(), command)
}

// block is a fenced block of a document.
type block struct{ language, file, text string }

func blocks(document string) (all []block) {
	for _, m := range regexp.MustCompile("(?ms)^```(\\w+) ?(\\S*)\n(.*?)^```$").FindAllStringSubmatch(document, -1) {
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
