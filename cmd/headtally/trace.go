package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"headtally/api/book"
	"headtally/api/prints"
	"headtally/api/sheets"
	"headtally/api/words"
)

// runTrace follows a code both ways: a case's traceability lot code, a lot, a
// batch, a seed lot or a customer.
func runTrace(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "trace", "CODE")
	data := s.data()
	file := s.String("xlsx", "", "write the records as a sortable spreadsheet to `FILE` too")
	drill := s.String("recall", "", "drill a recall: write what would be called back and whom to ring as a PDF to `FILE`")
	codes, err := s.read(args)
	if err != nil {
		return err
	}
	if len(codes) != 1 {
		return exits{refused, errors.New("headtally trace takes one code: of a case, a lot, a batch, a seed lot or a customer")}
	}
	b, done, err := openKept(ctx, sh, *data)
	if err != nil {
		return err
	}
	defer done()
	t, err := b.Trace(ctx, book.Owner(), codes[0])
	if err != nil {
		return told(words.In("en"), err)
	}
	farm, err := b.Farm(ctx)
	if err != nil {
		return err
	}
	say := words.For(farm.Value)
	writeTrace(sh, say, t)
	if *drill != "" {
		if err := writeRecall(ctx, b, sh, codes[0], *drill); err != nil {
			return err
		}
	}
	if *file == "" {
		return nil
	}
	rows, err := b.KeyData(ctx, book.Owner(), codes[0])
	if err != nil {
		return told(words.In("en"), err)
	}
	return writeNew(*file, func(f *os.File) error {
		return sheets.WriteXLSX(f, []book.Table{book.KeyDataTable(rows)}, say)
	})
}

// writeRecall drills a recall of a code on paper.
func writeRecall(ctx context.Context, b *book.Book, sh surroundings, code, file string) error {
	c, err := b.Recall(ctx, book.Owner(), code)
	if err != nil {
		return told(words.In("en"), err)
	}
	paper, err := prints.Recall(c, prints.Options{PrintedAt: sh.now()})
	if err != nil {
		return err
	}
	return writeNew(file, func(f *os.File) error { return paper.PDF(f) })
}

// writeTrace writes what the records say, from the beds to the customers.
func writeTrace(sh surroundings, say *words.Speech, t *book.Trace) {
	line := func(code string, args ...any) { fmt.Fprintln(sh.out, say.Say("trace."+code, args...)) }
	line("of", "code", t.Code)
	for _, l := range t.Lots {
		line("lot", "variety", l.Variety, "bed", l.Bed, "lifted", say.DayYear(l.Lifted), "heads", int(l.Heads), "culls", int(l.Culls), "source", l.Lot)
		if l.Batch != "" {
			line("batch", "batch", l.Batch, "sown", say.DayYear(l.Sown), "seed", l.SeedLot)
		}
	}
	for _, r := range t.Runs {
		line("run", "trace", r.Trace, "cases", int(r.Cases), "product", r.Product, "packed", say.DayYear(r.Packed), "left", int(t.OnHand[r.Trace]))
		if r.AsPrinted {
			line("printed")
		}
	}
	for _, x := range t.Sent {
		line("sent", "day", say.DayYear(x.Day), "cases", int(x.Cases), "product", x.Product, "trace", x.Trace, "name", x.Name, "phone", x.Phone, "po", x.PO)
	}
	for _, x := range t.Uncoded {
		line("unknown", "day", say.DayYear(x.Day), "cases", int(x.Cases), "product", x.Product, "name", x.Name, "phone", x.Phone)
	}
	for _, g := range t.Gone {
		if g.Heads > 0 {
			line("gone.heads", "day", say.DayYear(g.Day), "heads", int(g.Heads), "variety", g.Variety, "where", say.Say("page.gone."+string(g.Where)))
		} else {
			line("gone.cases", "day", say.DayYear(g.Day), "cases", int(g.Cases), "trace", g.Trace, "where", say.Say("page.gone."+string(g.Where)))
		}
	}
	for _, x := range t.Returned {
		line("back", "day", say.DayYear(x.Day), "cases", int(x.Cases), "product", x.Product, "customer", x.Customer, "became", x.Became)
	}
	line("help")
}
