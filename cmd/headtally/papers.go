package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"time"

	"headtally/api/book"
	"headtally/api/prints"
	"headtally/domain"
)

// layPapers writes all the paper of a packing day into a folder once the orders
// of every pickup packed on it are closed, so that a dead computer does not stop
// a harvest. It looks every minute until ctx ends; a machine that was off
// catches up.
func layPapers(ctx context.Context, b *book.Book, sh surroundings, dir string, log *slog.Logger) {
	look := time.NewTicker(time.Minute)
	defer look.Stop()
	for {
		if err := inTurn(ctx, b, "papers", func() error { return layDue(ctx, b, sh, dir) }); err != nil && !errors.Is(err, context.Canceled) {
			log.Error("the papers could not be laid out", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		}
	}
}

// layDue writes the papers of today's and tomorrow's packing that are due and
// not there yet. After a late change the newer papers are laid beside the older
// ones, which stay: somebody may be working from them.
func layDue(ctx context.Context, b *book.Book, sh surroundings, dir string) error {
	today, err := b.Today(ctx)
	if err != nil {
		return err
	}
	days, err := b.PackingDays(ctx, book.Owner(), today)
	if err != nil {
		return err
	}
	for _, day := range days {
		if day > today.Add(1) {
			continue
		}
		if err := layOut(ctx, b, sh, today, day, dir); err != nil {
			return err
		}
	}
	return nil
}

// layOut issues one packing day and writes its papers, unless a pickup packed on
// it is still open.
func layOut(ctx context.Context, b *book.Book, sh surroundings, today, day domain.Day, dir string) error {
	p, err := b.PackingDay(ctx, book.Owner(), today, day)
	if err != nil {
		return err
	}
	for _, pickup := range p.Pickups {
		closes, err := b.Closes(ctx, book.Owner(), pickup.Pickup)
		if err != nil {
			return err
		}
		for _, at := range closes {
			if sh.now().Before(at) {
				return nil
			}
		}
	}
	number, paper, err := issued(ctx, b, today, p)
	if err != nil {
		return err
	}
	file := filepath.Join(dir, "everything-"+day.String()+".pdf")
	if laid, err := os.ReadFile(file); err == nil {
		if bytes.Equal(laid, paper) {
			return nil
		}
		file = filepath.Join(dir, fmt.Sprintf("everything-%s-number-%d.pdf", day, number))
	}
	if _, err := os.Stat(file); err == nil {
		return nil
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	return writeNew(file, func(f *os.File) error {
		_, err := f.Write(paper)
		return errors.Join(err, f.Sync())
	})
}

// issued is all the paper of a packing day as its last issue has it, with that
// issue's number. Where nobody issued the day, or it has changed since, it is
// issued now: what is worked from is on record under its number, and counts as
// done if nobody comes to tell.
func issued(ctx context.Context, b *book.Book, today domain.Day, p *book.PackingDay) (number int, paper []byte, err error) {
	var last domain.Issue
	if n := len(p.Before); n > 0 && slices.Equal(p.Before[n-1].Given, p.Given()) {
		last = p.Before[n-1]
	} else {
		rec, err := b.Issue(ctx, book.Owner(), today, p.Day, "")
		if err != nil {
			return 0, nil, err
		}
		last = rec.Value
	}
	paper, err = b.Printed(ctx, book.Owner(), last.ID, "everything")
	return last.Number, paper, err
}

// keptWithIssue are the papers kept with an issue: all in one, and the labels,
// which are not among them.
var keptWithIssue = []string{"everything", "case-labels"}

// issuePapers draws the papers that an issue keeps, under its number.
func issuePapers(issue domain.Issue, p *book.PackingDay) (kept []book.Paper, err error) {
	o := prints.Options{Number: issue.Number, Replaces: issue.Replaces, PrintedAt: issue.At}
	for _, name := range keptWithIssue {
		paper, err := prints.Draw(p, name, o)
		if err != nil {
			return nil, err
		}
		var pdf bytes.Buffer
		if err := paper.PDF(&pdf); err != nil {
			return nil, err
		}
		kept = append(kept, book.Paper{Issue: issue.ID, Name: name, Bytes: pdf.Bytes()})
	}
	return kept, nil
}
