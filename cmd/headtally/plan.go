package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// runPlan plans a problem document, a filled workbook, or the farm's own book.
func runPlan(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "plan", "FILE.xlsx | --problem FILE | --data DIR")
	problem := s.String("problem", "", "a problem document as JSON in `FILE`; - for standard input")
	format := s.String("format", "", "the `FORM`, json or text; left out: json for a problem, else text")
	since := s.String("since", "", "a plan in `FILE`, written as json before: tell what is different from it")
	data, asOf := s.data(), s.asOf("the day of a workbook's count, else "+today)
	files, err := s.read(args)
	if err != nil {
		return err
	}
	if *format != "" && *format != "json" && *format != "text" {
		return exits{refused, fmt.Errorf("--format is json or text, not %q", *format)}
	}
	as := form{name: *format}
	if *since != "" {
		if as.since, err = readPlan(sh, *since); err != nil {
			return err
		}
	}
	switch {
	case *problem != "":
		return planProblem(sh, *problem, as)
	case len(files) == 1:
		return planWorkbook(sh, files[0], *asOf, as)
	case len(files) > 1:
		return exits{refused, errors.New("headtally plan takes one workbook")}
	}
	return planBook(ctx, sh, *data, *asOf, as)
}

// form is how a plan is written: json or text, whole, or what is different in it
// from one before.
type form struct {
	name  string
	since *planning.Plan
}

// planProblem plans a problem document. Being short is a result; a document
// that is refused ends with its faults, one a line.
//
// The process ends with the answer, so memory is let grow to five times what is
// held rather than twice: a farm's plan is then made without a collection, in
// four fifths of the time, and a region's is still held in bounds.
func planProblem(sh surroundings, name string, as form) error {
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	text, err := readAll(sh.in, name)
	if err != nil {
		return err
	}
	p, faults := planning.ReadBytes(text)
	if len(faults) > 0 {
		return exits{refused, faults}
	}
	plan := planner.Plan(p)
	switch {
	case as.name == "text":
		return writePlan(sh.out, p, plan, as.since)
	case as.since != nil:
		return writeDifferenceJSON(sh.out, as.since, plan)
	}
	return writePlanJSON(sh.out, plan)
}

func readAll(in io.Reader, name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(in)
	}
	text, err := os.ReadFile(name)
	return text, noFile(name, err)
}

// noFile says plainly that a file is not there.
func noFile(name string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return exits{refused, fmt.Errorf("there is no file %s", name)}
	}
	return err
}

// writePlanJSON writes a plan as its document, on one line.
func writePlanJSON(w io.Writer, plan *planning.Plan) error {
	_, err := w.Write(append(planning.AppendPlan(nil, plan), '\n'))
	return err
}

// planBook plans the coming days of the book in a folder.
func planBook(ctx context.Context, sh surroundings, at place, asOf domain.Day, as form) error {
	b, done, err := openKept(ctx, sh, at)
	if err != nil {
		return err
	}
	defer done()
	if asOf, err = dayOr(ctx, b, asOf); err != nil {
		return err
	}
	week, err := b.Week(ctx, book.Owner(), asOf)
	if err != nil {
		return err
	}
	facts, err := b.Facts(ctx, book.Owner(), asOf)
	if err != nil {
		return err
	}
	return writeWeek(sh.out, &facts, week, as)
}

// dayOr is the day told, or today on the farm's clock.
func dayOr(ctx context.Context, b *book.Book, told domain.Day) (domain.Day, error) {
	if told != 0 {
		return told, nil
	}
	return b.Today(ctx)
}
