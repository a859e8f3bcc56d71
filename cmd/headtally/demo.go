package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"headtally/api/book"
	"headtally/api/prints"
	"headtally/api/sheets"
	"headtally/api/words"
	"headtally/domain"
	"headtally/testdata/farm"
)

// runDemo makes the demo farm in a temporary folder from its sheets, plans it as
// of its own fixed day, prints what a grower works from, writes the pack list of
// the next pickup day, and serves it on this machine.
func runDemo(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "demo", "[--once]")
	once := s.Bool("once", false, "stop after printing")
	listen := s.String("listen", "127.0.0.1:8740", "the `ADDRESS` to serve on; only this machine's own")
	asOf := s.asOf("the demo's own fixed day")
	if _, err := s.read(args); err != nil {
		return err
	}
	if *asOf == 0 {
		*asOf = domain.MustDay(farm.AsOf)
	}
	dir, err := os.MkdirTemp("", "headtally-demo-")
	if err != nil {
		return err
	}
	sh.now = clockFrom(*asOf, sh.now)
	file, err := makeDemo(ctx, sh, dir, *asOf)
	if err != nil {
		return err
	}
	fmt.Fprintf(sh.out, "\nThe demo farm is in %s\nThe pack list of its next pickup day: %s\n", dir, file)
	if *once {
		return nil
	}
	fmt.Fprintln(sh.out)
	return serve(ctx, sh, serving{data: place{folder: dir}, reach: reach{listen: *listen, alone: true}, log: "text", invented: true})
}

// clockFrom is a clock that goes on from seven in the morning of a day, so that
// the demo is the same whenever it is tried.
func clockFrom(day domain.Day, now func() time.Time) func() time.Time {
	began := now()
	return func() time.Time { return day.Time().Add(5*time.Hour + now().Sub(began)) } // seven by a clock two hours ahead
}

// makeDemo takes the demo's sheets into a book of its own, prints the plan, and
// writes the pack list.
func makeDemo(ctx context.Context, sh surroundings, dir string, asOf domain.Day) (string, error) {
	b, done, err := openBook(ctx, sh, place{folder: dir})
	if err != nil {
		return "", err
	}
	defer done()
	if err := takeDemoSheets(ctx, b, asOf); err != nil {
		return "", told(words.In("en"), err)
	}
	week, err := b.Week(ctx, book.Owner(), asOf)
	if err != nil {
		return "", err
	}
	facts, err := b.Facts(ctx, book.Owner(), asOf)
	if err != nil {
		return "", err
	}
	if err := writeWeek(sh.out, &facts, week, form{}); err != nil {
		return "", err
	}
	next, err := b.NextPickup(ctx, book.Owner(), asOf)
	if err != nil {
		return "", err
	}
	file := filepath.Join(dir, "pack-list-"+next.String()+".pdf")
	return file, writeNew(file, func(f *os.File) error {
		paper, err := prints.PackList(book.NewDay(&facts, week, next), prints.Options{PrintedAt: sh.now()})
		if err != nil {
			return err
		}
		return paper.PDF(f)
	})
}

// takeDemoSheets takes the workbook, then the mail of later orders.
func takeDemoSheets(ctx context.Context, b *book.Book, asOf domain.Day) error {
	tables, _, err := sheets.Read("farm.xlsx", farm.Workbook, sheets.Usual())
	if err != nil {
		return err
	}
	if _, err := b.TakeWorkbook(ctx, book.Owner(), tables, "", "farm.xlsx"); err != nil {
		return err
	}
	mail, _, err := sheets.Read("orders.csv", farm.OrderCSV, sheets.Usual())
	if err != nil {
		return err
	}
	o := book.OrderSheet{Name: "orders.csv", AsOf: asOf}
	preview, err := b.PreviewOrders(ctx, book.Owner(), mail, o)
	if err != nil {
		return err
	}
	_, err = b.TakeOrders(ctx, book.Owner(), mail, o, preview.Revision)
	return err
}
