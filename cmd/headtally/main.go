// Command headtally plans a greenhouse's week from orders to packed cases. It
// serves the office's pages and the JSON API, and does from the command line
// what a person does most: plan, print, take sheets, back up.
//
// This package is the only place that knows every part of the program, the
// clock and the environment.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"
	_ "time/tzdata" // zones on machines that have none
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], surroundings{
		getenv: os.Getenv, now: time.Now, in: os.Stdin, out: os.Stdout, err: os.Stderr,
	})
	stop()
	os.Exit(code)
}

// surroundings is everything of the machine that a command may touch beside
// files and the network; tests give their own.
type surroundings struct {
	getenv   func(string) string
	now      func() time.Time
	in       io.Reader
	out, err io.Writer
}

// command is one word of the program.
type command struct {
	word  string
	usage string // what follows the word
	line  string // what it does, in a line
	run   func(ctx context.Context, sh surroundings, args []string) error
}

// commands lists them in the order in which a farm meets them.
func commands() []command {
	return []command{
		{"demo", "[--once]", "make an invented farm in a temporary folder, plan it, print, and serve it on this machine", runDemo},
		{"workbook", "FILE.xlsx", "write a workbook to fill in: farm, varieties, cases, days, count, cooler, orders", runWorkbook},
		{"plan", "FILE.xlsx | --problem FILE | --data DIR", "plan a workbook, a problem document or the book: heads, shorts, pack list", runPlan},
		{"promise", "--product P --pickup DAY --cases N", "answer how many more cases can be promised, and change nothing", runPromise},
		{"import", "FILE.xlsx | FILE.csv", "take a filled workbook, an order sheet, a walk count or a lift count into the book", runImport},
		{"export", "orders|tally|plan|outlook|shipped FILE", "write a table of the book for a spreadsheet, as .xlsx or .csv", runExport},
		{"serve", "--data DIR", "serve the pages and the API of a book", runServe},
		{"trace", "CODE", "follow a case, lot, batch, seed lot or customer back to the beds and forward to everybody", runTrace},
		{"backup", "FILE", "copy the book to a file while it is served, and check the copy", runBackup},
		{"restore", "FILE --data DIR", "put a copy into an empty folder", runRestore},
		{"check", "--data DIR", "hold the book against what it must be, and say what was found", runCheck},
		{"healthcheck", "", "ask the service on this machine whether it is ready; for containers", runHealthcheck},
		{"version", "", "print the version", runVersion},
	}
}

// exits is an error with the code that the program ends with.
type exits struct {
	code int
	err  error
}

func (e exits) Error() string { return e.err.Error() }
func (e exits) Unwrap() error { return e.err }

// refused is the exit code of input that is wrong; other failures end with 1.
const refused = 2

// run is the program: it gives the exit code.
func run(ctx context.Context, args []string, sh surroundings) int {
	if len(args) == 0 {
		args = []string{"serve", "--open"}
	}
	word, rest := args[0], args[1:]
	if word == "help" || word == "--help" || word == "-h" {
		fmt.Fprint(sh.out, help())
		return 0
	}
	for _, c := range commands() {
		if c.word != word {
			continue
		}
		err := c.run(ctx, sh, rest)
		var coded exits
		switch {
		case err == nil || errors.Is(err, errHelp):
			return 0
		case errors.As(err, &coded):
			fmt.Fprintln(sh.err, err)
			return coded.code
		}
		fmt.Fprintf(sh.err, "headtally %s: %v\n", word, err)
		return 1
	}
	fmt.Fprintf(sh.err, "headtally has no command %q; it has:\n\n%s", word, help())
	return refused
}

// help explains each command in a line.
func help() string {
	var b strings.Builder
	b.WriteString("headtally: from orders to heads to packed cases, for a greenhouse\n\n")
	b.WriteString("  headtally                  open the farm's book in the browser\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "  headtally %-16s %s\n", c.word, c.line)
	}
	b.WriteString("\nheadtally COMMAND --help lists a command's settings. Each can be given in the environment too:\n--data as HEADTALLY_DATA, and so on.\n")
	return b.String()
}
