package prints

import (
	"strings"

	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/gs1"
)

// Growing is the names of the papers of growing, in the order in which they are
// used: the form of a walk, what to sow and set from a day on, and labels for the
// trays sown and the rafts set on it.
var Growing = []string{"count-form", "sowing-sheet", "tray-labels", "raft-labels"}

// DrawGrowing makes one of the papers of growing by its name.
func DrawGrowing(g *book.GrowingDay, name string, o Options) (*Paper, error) {
	switch name {
	case "count-form":
		return CountForm(&g.Facts, g.Week, g.Day, o)
	case "sowing-sheet":
		return SowingSheet(&g.Facts, g.Table, g.House, g.Day, o)
	case "tray-labels":
		return TrayLabels(&g.Facts, g.Sown, LabelSheet, o)
	case "raft-labels":
		return RaftLabels(&g.Facts, g.Set, LabelSheet, o)
	}
	return nil, domain.Refuse(domain.ErrNotFound, "paper", name)
}

// TrayLabels are a label for every tray of batches: variety, day of sowing, seed
// lot, which tray it is, and the batch's code in letters and as a symbol.
func TrayLabels(f *domain.Facts, batches []*domain.Batch, stock Stock, o Options) (*Paper, error) {
	d := begin(f.Farm, o, office)
	if err := d.faults.Err(); err != nil {
		return nil, err
	}
	s := d.batchStickers(f, d.say("tray_labels"), stock)
	for _, b := range batches {
		for n := range b.Trays {
			s.add(b, d.say("sown_on", "day", d.speech.DayYear(b.Sown)), d.say("nth_tray", "n", n+1, "of", b.Trays))
		}
	}
	return s.paper(), nil
}

// RaftLabels are a label for every raft that batches were set into, a half one
// having a label of its own.
func RaftLabels(f *domain.Facts, sets []book.SetOfBatch, stock Stock, o Options) (*Paper, error) {
	d := begin(f.Farm, o, office)
	if err := d.faults.Err(); err != nil {
		return nil, err
	}
	s := d.batchStickers(f, d.say("raft_labels"), stock)
	for _, x := range sets {
		rafts := int(x.Event.Rafts+1) / 2
		for n := range rafts {
			s.add(x.Batch, d.say("set_on_in", "day", d.speech.DayYear(x.Event.Day), "bed", s.bed(x.Event.Bed)), d.say("nth_raft", "n", n+1, "of", rafts))
		}
	}
	return s.paper(), nil
}

// batchStickers gathers labels of batches.
type batchStickers struct {
	*document
	made   *Paper
	stock  Stock
	names  map[string]string // of varieties and of beds
	labels []label
	seen   inspector
}

func (d *document) batchStickers(f *domain.Facts, title string, stock Stock) *batchStickers {
	s := &batchStickers{document: d, stock: stock, names: map[string]string{}, made: &Paper{title: title, language: d.speech.Language, made: d.options.PrintedAt}}
	for _, v := range f.Varieties {
		s.names[v.Code] = v.Name
	}
	for _, b := range f.Beds {
		s.names["bed "+b.Code] = b.Name
	}
	return s
}

// bed is a bed's name.
func (s *batchStickers) bed(code string) string {
	if name := s.names["bed "+code]; name != "" {
		return name
	}
	return code
}

// add makes one label.
func (s *batchStickers) add(b *domain.Batch, when, which string) {
	variety := s.names[b.Variety]
	if variety == "" {
		variety = b.Variety
	}
	fit := func(text string) string { return s.seen.fit(variety, text) }
	l := label{product: fit(variety), contents: when, packed: which, lot: fit(b.Code), farm: fit(s.foot())}
	if b.SeedLot != "" {
		l.storage = fit(s.say("seed_lot_is", "lot", b.SeedLot))
	}
	l.codeSymbol(b.Code, labelPlaces(s.stock, s.size)[0].w-2*labelEdge)
	s.labels = append(s.labels, l)
}

// codeSymbol gives a label the Code 128 symbol of a code, which a hand scanner
// types where a batch is asked for; where the label is too narrow there is none.
func (l *label) codeSymbol(code string, wide float64) {
	words, err := gs1.Words(code)
	if err != nil {
		return
	}
	modules := gs1.Bars(words)
	for _, m := range moduleWidths {
		if float64(len(modules)+2*quiet)*m <= wide {
			l.modules, l.module = modules, m
			return
		}
	}
}

// paper lays the labels out; without any it says so.
func (s *batchStickers) paper() *Paper {
	if len(s.labels) == 0 {
		p := newLabelPage(s.stock, s.size)
		p.word(labelEdge*4, labelEdge*4, style{14, false}, s.say("no_labels"))
		s.made.pages = append(s.made.pages, p)
	}
	s.made.stick(s.labels, s.stock, s.size)
	s.warnOfLetters(s.made, &s.seen)
	return s.made
}

// foot is whose label it is.
func (s *batchStickers) foot() string {
	return strings.Join(nonEmpty(s.document.farm.Name, s.document.farm.Phone), " · ")
}
