package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"headtally/api/book"
	"headtally/api/sheets"
	"headtally/api/words"
	"headtally/domain"
)

// runExport writes a table of the book as a workbook, or its first table as a
// CSV file: what the file's name ends with decides.
func runExport(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "export", "orders|tally|plan|outlook|shipped FILE.xlsx | FILE.csv")
	data, asOf := s.data(), s.asOf(today)
	var first, last domain.Day
	s.Var(dayFlag{&first}, "from", "of orders and of what was shipped: the first `DAY`; left out: from the beginning")
	s.Var(dayFlag{&last}, "until", "the last `DAY`; left out: all")
	language := s.String("language", "", "the `LANGUAGE`, en or es; left out: the farm's")
	given, err := s.read(args)
	if err != nil {
		return err
	}
	if len(given) != 2 {
		return exits{refused, fmt.Errorf("headtally export takes one of %s and the file to write", exportWords())}
	}
	what, file := book.Export(given[0]), given[1]
	csv := strings.EqualFold(filepath.Ext(file), ".csv")
	switch {
	case !slices.Contains(book.Exports, what):
		return exits{refused, fmt.Errorf("headtally export writes %s, not %q", exportWords(), what)}
	case !csv && !strings.EqualFold(filepath.Ext(file), ".xlsx"):
		return exits{refused, errors.New("the file to write ends with .xlsx or .csv")}
	case *language != "" && !slices.Contains(words.Languages, *language):
		return exits{refused, fmt.Errorf("--language is one of %v", words.Languages)}
	}
	b, done, err := openKept(ctx, sh, *data)
	if err != nil {
		return err
	}
	defer done()
	if *asOf, err = dayOr(ctx, b, *asOf); err != nil {
		return err
	}
	if *language == "" {
		farm, err := b.Farm(ctx)
		if err != nil {
			return err
		}
		*language = farm.Value.Language
	}
	tables, err := b.Export(ctx, book.Owner(), what, *asOf, first, last)
	if err != nil {
		return told(words.In("en"), err)
	}
	err = writeNew(file, func(f *os.File) error {
		if csv {
			return sheets.WriteCSV(f, tables[0], words.In(*language))
		}
		return sheets.WriteXLSX(f, tables, words.In(*language))
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(sh.out, "%s is written\n", file)
	return err
}

func exportWords() string {
	list := make([]string, len(book.Exports))
	for i, x := range book.Exports {
		list[i] = string(x)
	}
	return strings.Join(list, ", ")
}
