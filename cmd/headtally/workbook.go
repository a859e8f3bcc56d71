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
	"headtally/planner"
)

// runWorkbook writes a workbook to fill in, with an example in every sheet.
func runWorkbook(_ context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "workbook", "FILE.xlsx")
	language := s.String("language", "en", "the `LANGUAGE`, en or es")
	asOf := s.asOf("today")
	files, err := s.read(args)
	if err != nil {
		return err
	}
	if len(files) != 1 {
		return exits{refused, errors.New("headtally workbook takes the file to write")}
	}
	if !strings.EqualFold(filepath.Ext(files[0]), ".xlsx") {
		return exits{refused, fmt.Errorf("a workbook's file ends with .xlsx, not as %s does", files[0])}
	}
	if !slices.Contains(words.Languages, *language) {
		return exits{refused, fmt.Errorf("--language is one of %v", words.Languages)}
	}
	day := *asOf
	if day == 0 {
		day = domain.DayOf(sh.now())
	}
	facts := book.ExampleFarm(day)
	facts.Farm.Language = *language
	if err := writeNew(files[0], func(f *os.File) error {
		return sheets.WriteXLSX(f, book.WorkbookTables(&facts), words.In(*language))
	}); err != nil {
		return err
	}
	_, err = fmt.Fprintf(sh.out, "%s is written. Fill it in, then: headtally plan %s\n", files[0], files[0])
	return err
}

// writeNew writes a file that is not there yet; a failed one is taken away.
func writeNew(name string, write func(*os.File) error) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return exits{refused, fmt.Errorf("%s is there already; take another name or move it away", name)}
	}
	if err != nil {
		return err
	}
	if err := errors.Join(write(f), f.Close()); err != nil {
		return errors.Join(err, os.Remove(name))
	}
	return nil
}

// readSheets reads a spreadsheet; what is wrong with it is told a line each.
func readSheets(sh surroundings, name string) ([]book.Table, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, noFile(name, err)
	}
	defer f.Close()
	tables, notes, err := sheets.ReadFrom(filepath.Base(name), f, sheets.Usual())
	if err != nil {
		return nil, told(words.In("en"), err)
	}
	for _, line := range words.In("en").Faults(notes) {
		fmt.Fprintln(sh.err, line)
	}
	return tables, nil
}

// told puts faults and refusals into words, a line each; other errors, and none,
// stay as they are.
func told(say *words.Speech, err error) error {
	var faults domain.Faults
	if errors.As(err, &faults) {
		lines := say.Faults(faults)
		list := make([]error, len(lines))
		for i, line := range lines {
			list[i] = errors.New(line)
		}
		return exits{refused, errors.Join(list...)}
	}
	var refusal *domain.Refusal
	if errors.As(err, &refusal) {
		return exits{refused, errors.New(say.Refusal(refusal))}
	}
	return err
}

// planWorkbook plans a filled workbook without keeping anything. It is planned
// as of the day of its count where no other is told.
func planWorkbook(sh surroundings, name string, asOf domain.Day, as form) error {
	facts, err := readWorkbook(sh, name)
	if err != nil {
		return err
	}
	if asOf == 0 {
		asOf = domain.NewCalendar(facts.Farm, nil, nil).Today(sh.now())
		if len(facts.Counts) > 0 {
			asOf = facts.Counts[0].Day
		}
	}
	return writeWeek(sh.out, &facts, planner.PlanWeek(&facts, asOf), as)
}

func readWorkbook(sh surroundings, name string) (domain.Facts, error) {
	tables, err := readSheets(sh, name)
	if err != nil {
		return domain.Facts{}, err
	}
	facts, faults := book.ReadWorkbook(tables, "")
	if err := faults.Err(); err != nil {
		return domain.Facts{}, told(words.In("en"), err)
	}
	return facts, nil
}
