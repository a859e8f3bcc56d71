package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
	"headtally/domain/planning"
	"headtally/planner"
)

// runPromise answers how many more cases could be given, of a problem document
// or of the book. It changes nothing.
func runPromise(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "promise", "--product P --pickup DAY --cases N")
	problem := s.String("problem", "", "ask a problem document in `FILE` instead of the book; - for standard input")
	line := planning.Line{}
	s.StringVar(&line.Product, "product", "", "the product's `CODE`")
	s.Var(dayFlag{&line.Pickup}, "pickup", "the pickup `DAY`, YYYY-MM-DD")
	s.IntVar(&line.Cases, "cases", 1, "how many more cases")
	s.BoolVar(&line.AllOrNone, "all-or-none", false, "of a problem: all of them or none")
	substitutes := s.String("substitutes", "yes", "of a problem: the `WORD` yes, ask or never")
	s.IntVar(&line.MinShelfDays, "min-shelf-days", 0, "of a problem: life left at pickup, in `DAYS`")
	customer := s.String("customer", "", "of the book: the customer's `CODE`, whose own rules hold")
	data, asOf := s.data(), s.asOf(today)
	if _, err := s.read(args); err != nil {
		return err
	}
	line.Substitutes = planning.Substitutes(*substitutes)
	if line.Product == "" || line.Pickup == 0 || line.Cases < 1 {
		return exits{refused, errors.New("headtally promise needs --product, --pickup and --cases of 1 or more")}
	}
	if *problem == "" {
		if line.AllOrNone || line.MinShelfDays != 0 || *substitutes != "yes" {
			return exits{refused, errors.New("--all-or-none, --substitutes and --min-shelf-days are for a problem; the book knows its customers' own rules: give --customer")}
		}
		return promiseFromBook(ctx, sh, *data, *asOf, *customer, line)
	}
	text, err := readAll(sh.in, *problem)
	if err != nil {
		return err
	}
	p, faults := planning.ReadBytes(text)
	if len(faults) > 0 {
		return exits{refused, faults}
	}
	answer, faults := planner.NewStanding(p).Quote(line)
	if len(faults) > 0 {
		return exits{refused, faults}
	}
	return sayPromise(sh, words.In("en"), line.Cases, answer.Sure, answer.AllIn, line.Pickup, answer.FirstDay)
}

// sayPromise writes the answer as it is told on the telephone.
func sayPromise(sh surroundings, say *words.Speech, wanted, sure, allIn int, asked, first domain.Day) error {
	answer := say.Say("page.quote", "sure", sure, "all", allIn)
	switch {
	case allIn == wanted:
	case first == 0:
		answer += "; " + say.Say("page.quote.never", "n", wanted)
	case first != asked:
		answer += "; " + say.Say("page.quote.first", "n", wanted, "day", say.Day(first))
	}
	_, err := fmt.Fprintln(sh.out, answer)
	return err
}

// promiseFromBook answers from the farm's own book, by the customer's rules
// where one is named.
func promiseFromBook(ctx context.Context, sh surroundings, at place, asOf domain.Day, customer string, line planning.Line) error {
	b, done, err := openKept(ctx, sh, at)
	if err != nil {
		return err
	}
	defer done()
	if asOf, err = dayOr(ctx, b, asOf); err != nil {
		return err
	}
	say, err := english(ctx, b)
	if err != nil {
		return err
	}
	q, err := b.Quote(ctx, book.Owner(), asOf, line.Product, line.Pickup, domain.Cases(line.Cases), customer)
	if err != nil {
		return told(say, err)
	}
	if !q.Covered {
		w, err := b.Week(ctx, book.Owner(), asOf)
		if err != nil {
			return err
		}
		return exits{refused, notPlanned(say, line.Pickup, asOf, w.Problem.PickupDays)}
	}
	return sayPromise(sh, say, line.Cases, int(q.Sure), int(q.All), line.Pickup, q.First)
}

// notPlanned says that a day is none of the pickup days planned, and which are.
func notPlanned(say *words.Speech, day, asOf domain.Day, planned []domain.Day) error {
	if len(planned) == 0 {
		return fmt.Errorf("nobody comes for cases in the days planned from %s on", say.Day(asOf))
	}
	list := make([]string, len(planned))
	for i, d := range planned {
		list[i] = say.Day(d)
	}
	return fmt.Errorf("%s is none of the pickup days planned as of %s: %s", say.Day(day), say.Day(asOf), strings.Join(list, "; "))
}
