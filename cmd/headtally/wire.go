package main

import (
	"context"
	"io"
	"log/slog"
	"math"
	"net/http"
	"time"

	"headtally/api"
	"headtally/api/book"
	"headtally/api/pages"
	"headtally/api/prints"
	"headtally/api/sheets"
	v1 "headtally/api/v1"
	"headtally/api/words"
	"headtally/domain"
)

// openBook opens the book in a place; done lets go of it.
func openBook(ctx context.Context, sh surroundings, at place) (b *book.Book, done func(), err error) {
	s, err := at.open(ctx, sh)
	if err != nil {
		return nil, nil, err
	}
	b = book.New(s, sh.now)
	b.Draw(issuePapers)
	return b, func() { _ = s.Close() }, nil
}

// openKept is openBook for a command that looks into a book and begins none.
func openKept(ctx context.Context, sh surroundings, at place) (b *book.Book, done func(), err error) {
	if err := at.holdsBook(); err != nil {
		return nil, nil, err
	}
	return openBook(ctx, sh, at)
}

// english is how the program itself speaks of a farm: in English, with days as
// the farm's units have them.
func english(ctx context.Context, b *book.Book) (*words.Speech, error) {
	farm, err := b.Farm(ctx)
	if err != nil {
		return nil, err
	}
	farm.Value.Language = "en"
	return words.For(farm.Value), nil
}

// wire puts the parts of the service together; broken ends it.
func wire(b *book.Book, sh surroundings, log *slog.Logger, o serving, broken func(error)) (http.Handler, error) {
	proxies, err := o.proxies()
	if err != nil {
		return nil, exits{refused, err}
	}
	return api.New(api.Deps{Book: b, Now: sh.now, Log: log, Hosts: o.names(), Proxies: proxies, Pace: o.pace, Alone: o.alone, Broken: broken,
		Gauges: []api.Gauge{{Name: "database_bytes", Help: "How large the book is on the disk, with what is not folded in yet.", Read: func() float64 { return sizeOf(b) }}},
		Pages:  office(b, sh, o),
		PackList: func(w io.Writer, d *book.Day, paper string) error {
			sheet, err := prints.PackList(d, prints.Options{Language: d.Farm.Language, Size: paper, PrintedAt: sh.now()})
			if err != nil {
				return err
			}
			return sheet.PDF(w)
		},
		ReadSheets: func(name string, content []byte) ([]book.Table, domain.Faults, error) {
			return sheets.Read(name, content, sheets.Usual())
		},
		Rack: func(p *book.PackingDay) (list []v1.Paper) {
			for _, x := range prints.Rack(p, prints.Options{PrintedAt: sh.now()}) {
				list = append(list, v1.Paper{Name: x.Name, Title: x.Title})
			}
			return list
		},
		Draw: func(w io.Writer, p *book.PackingDay, name, size string) error {
			paper, err := prints.Draw(p, name, prints.Options{Size: size, PrintedAt: sh.now()})
			if err != nil {
				return err
			}
			return paper.PDF(w)
		},
		DrawGrowing: func(w io.Writer, g *book.GrowingDay, name, size string) error {
			return pdfTo(w)(prints.DrawGrowing(g, name, prints.Options{Size: size, PrintedAt: sh.now()}))
		},
		DrawRecall: func(w io.Writer, c *book.Recall, size string) error {
			return pdfTo(w)(prints.Recall(c, prints.Options{Size: size, PrintedAt: sh.now()}))
		},
		DrawSpares: func(w io.Writer, farm domain.Farm, asOf domain.Day, spares []book.Spare, size string) error {
			return pdfTo(w)(prints.Availability(farm, asOf, spares, prints.Options{Size: size, PrintedAt: sh.now()}))
		},
		SpareLines: spareLines,
		WriteCSV:   sheets.WriteCSV, WriteXLSX: sheets.WriteXLSX})
}

// pdfTo writes a paper that could be drawn as a PDF.
func pdfTo(w io.Writer) func(*prints.Paper, error) error {
	return func(paper *prints.Paper, err error) error {
		if err != nil {
			return err
		}
		return paper.PDF(w)
	}
}

func spareLines(farm domain.Farm, spares []book.Spare) []string {
	return prints.AvailabilityText(farm, spares, prints.Options{})
}

// sizeOf is the bytes of the book; none while it cannot be asked.
func sizeOf(b *book.Book) float64 {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	bytes, err := b.Bytes(ctx)
	if err != nil {
		return math.NaN()
	}
	return float64(bytes)
}

// office is the pages, with the papers they offer and the sheets they take.
func office(b *book.Book, sh surroundings, o serving) *pages.Office {
	face := pages.New(pages.Deps{Invented: o.invented, Book: b, Now: sh.now,
		Rack: func(p *book.PackingDay) (list []pages.Paper) {
			for _, x := range prints.Rack(p, prints.Options{PrintedAt: sh.now()}) {
				list = append(list, pages.Paper{Name: x.Name, Title: x.Title})
			}
			return list
		},
		Draw: func(w io.Writer, p *book.PackingDay, name string) error {
			paper, err := prints.Draw(p, name, prints.Options{PrintedAt: sh.now()})
			if err != nil {
				return err
			}
			return paper.PDF(w)
		},
		DrawGrowing: func(w io.Writer, g *book.GrowingDay, name string) error {
			return pdfTo(w)(prints.DrawGrowing(g, name, prints.Options{PrintedAt: sh.now()}))
		},
		DrawRecall: func(w io.Writer, c *book.Recall) error {
			return pdfTo(w)(prints.Recall(c, prints.Options{PrintedAt: sh.now()}))
		},
		DrawSpares: func(w io.Writer, farm domain.Farm, asOf domain.Day, spares []book.Spare) error {
			return pdfTo(w)(prints.Availability(farm, asOf, spares, prints.Options{PrintedAt: sh.now()}))
		},
		SpareLines: spareLines,
		Read: func(name string, content []byte) ([]book.Table, error) {
			tables, _, err := sheets.Read(name, content, sheets.Usual())
			return tables, err
		},
		WriteCSV: sheets.WriteCSV, WriteXLSX: sheets.WriteXLSX})
	if o.beside != nil {
		face.Demo = o.beside.open
	}
	return face
}
