package prints

import (
	"bytes"
	"io"
	"slices"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// Paper is a finished paper: its pages with everything drawn on them.
type Paper struct {
	title    string
	language string
	made     time.Time
	pages    []page
	warnings []string // which letters of whose text could not be drawn; its first page says the same
}

// Title says what the paper is, in its language.
func (p *Paper) Title() string { return p.title }

// Pages is how many sides it has.
func (p *Paper) Pages() int { return len(p.pages) }

// Together puts papers into one file, in their order; each keeps its own count
// of pages.
func Together(title string, papers ...*Paper) *Paper {
	all := &Paper{title: title}
	for _, p := range papers {
		all.language, all.made = p.language, p.made
		all.pages = append(all.pages, p.pages...)
		all.warnings = append(all.warnings, p.warnings...)
	}
	return all
}

const fontName = "text"

// PDF writes the paper as a PDF file. The same paper gives the same bytes.
func (p *Paper) PDF(w io.Writer) error {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: 8.5 * inch, Ht: 11 * inch}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(p.made.UTC())
	pdf.SetModificationDate(p.made.UTC())
	pdf.SetTitle(p.title, true)
	pdf.SetLang(p.language)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes(fontName, "", letters().regular.file)
	pdf.AddUTF8FontFromBytes(fontName, "B", letters().bold.file)
	for i := range p.pages {
		drawPage(pdf, &p.pages[i])
	}
	if err := pdf.Error(); err != nil {
		return err
	}
	var file bytes.Buffer // nothing is sent of a file that cannot be finished
	if err := pdf.Output(&file); err != nil {
		return err
	}
	_, err := file.WriteTo(w)
	return err
}

func drawPage(pdf *fpdf.Fpdf, p *page) {
	pdf.AddPageFormat("P", fpdf.SizeType{Wd: p.w, Ht: p.h})
	set := style{}
	for _, m := range p.marks {
		switch m.kind {
		case word:
			if m.style != set {
				weight := ""
				if m.style.bold {
					weight = "B"
				}
				pdf.SetFont(fontName, weight, m.style.size)
				set = m.style
			}
			pdf.Text(m.x, m.y, m.text)
		case line:
			pdf.SetLineWidth(m.thick)
			pdf.Line(m.x, m.y, m.x+m.w, m.y+m.h)
		case box:
			pdf.SetLineWidth(m.thick)
			pdf.Rect(m.x, m.y, m.w, m.h, "D")
		case bar:
			pdf.Rect(m.x, m.y, m.w, m.h, "F")
		}
	}
}

// document is a paper being written: its head and what stands below it.
type document struct {
	reading
	options Options
	farm    domain.Farm
	speech  *words.Speech
	zone    *time.Location
	size    paperSize
	names   named
	whose   map[string]string // line id -> customer's name
	head    header
	items   []item
	faults  domain.Faults // of the options
}

// begin opens a document of a farm that is read at a distance.
func begin(farm domain.Farm, o Options, r reading) *document {
	d := &document{reading: r, whose: map[string]string{}, options: o, farm: farm, zone: domain.NewCalendar(farm, nil, nil).Zone}
	spoken := farm
	spoken.Language = d.oneOf("language", words.Languages, o.Language, farm.Language)
	d.speech = words.For(spoken)
	d.size = paperSizes[d.oneOf("size", []string{"letter", "a4"}, o.Size, farm.Paper)]
	return d
}

// beginDay opens a document of a pickup day.
func beginDay(day *book.Day, o Options, r reading) *document {
	d := begin(day.Farm, o, r)
	d.names = namesOf(day.Week.Problem)
	for _, l := range day.Lines {
		d.names.Customers[l.Line.Customer] = l.Customer.Name
		d.whose[l.ID] = d.names.customer(l.Line.Customer)
	}
	return d
}

// oneOf is the option asked for, else the farm's, else the first there is. One
// that is asked for and does not exist is a fault.
func (d *document) oneOf(place string, allowed []string, asked, farms string) string {
	if asked != "" && !slices.Contains(allowed, asked) {
		d.faults.Add(place, "one_of", "allowed", allowed)
	}
	for _, v := range []string{asked, farms} {
		if slices.Contains(allowed, v) {
			return v
		}
	}
	return allowed[0]
}

// say is a sentence of the papers' part of the catalogue.
func (d *document) say(code string, args ...any) string { return d.speech.Say("print."+code, args...) }

// add puts an item under what is already written.
func (d *document) add(it item) { d.items = append(d.items, it) }

// width is how wide a sheet is between its margins.
func (d *document) width() float64 { return d.size.w - 2*margin }

// paper lays the document out. Letters that cannot be drawn are told on the
// first page, under its head.
func (d *document) paper(title string) (*Paper, error) {
	if err := d.faults.Err(); err != nil {
		return nil, err
	}
	var seen inspector
	d.head.inspect(&seen)
	for _, it := range d.items {
		it.inspect(&seen)
		for _, b := range it.top {
			b.inspect(&seen)
		}
	}
	p := &Paper{title: title, language: d.speech.Language, made: d.options.PrintedAt}
	items := d.items
	if len(seen.found) > 0 {
		items = append(d.strangeLetters(seen.found, p), items...)
	}
	w, top := d.width(), d.head.height(d.width())
	pages := flow(items, w, d.size.h-2*margin-top)
	for n, blocks := range pages {
		sheet := page{w: d.size.w, h: d.size.h}
		d.head.draw(&sheet, margin, margin, w, n+1, len(pages))
		for _, b := range blocks {
			b.draw(&sheet, margin, margin+top+b.y, w)
		}
		p.pages = append(p.pages, sheet)
	}
	return p, nil
}

// strangeLetters are the lines that name each letter which is not drawn, and
// whose it is; they are the paper's warnings as well.
func (d *document) strangeLetters(found []strange, p *Paper) (items []item) {
	var fit inspector
	for i, s := range found {
		owner := s.owner
		if owner == "" {
			owner = d.head.title
		}
		p.warnings = append(p.warnings, d.say("letter", "whose", owner, "letter", string(s.letter), "number", s.number()))
		told := d.say("letter", "whose", fit.fit("", owner), "letter", string(replacement), "number", s.number())
		r := &row{cols: []column{{share: 1}}, cells: []cell{{texts: []text{{style{d.text.size, true}, told}}}}, upright: bold}
		if i == 0 {
			r.over = bold
		}
		if i == len(found)-1 {
			r.under = bold
		}
		items = append(items, item{block: r, keep: i < len(found)-1})
	}
	return items
}
