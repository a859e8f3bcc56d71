package v1

import (
	"io"
	"net/http"

	"headtally/api/internal/edge"
	"headtally/domain"
	"headtally/planner/sowing"
)

// sownSaid is trays that might be sown on a day.
type sownSaid struct {
	Day   domain.Day `json:"day"` // none: the day of the question
	Trays []struct {
		Variety string `json:"variety" validate:"required"`
		Trays   int    `json:"trays" validate:"min=1,max=10000"`
	} `json:"trays" validate:"min=1,max=500,unique=Variety,dive"`
}

// coverDoc is what trays of a variety sown on a day can cover.
type coverDoc struct {
	Variety  string        `json:"variety"`
	Trays    int           `json:"trays"`
	Set      domain.Day    `json:"set"`
	Ready    domain.Day    `json:"ready"`
	Late     domain.Day    `json:"late"`
	Last     domain.Day    `json:"last"`
	Expected int           `json:"expected"`
	Cautious int           `json:"cautious"`
	Pickups  []coverDayDoc `json:"pickups"`
	Unused   int           `json:"unused"`
}

type coverDayDoc struct {
	Day    domain.Day `json:"day"`
	Wanted int        `json:"wanted"`
	Takes  int        `json:"takes"`
}

func (f *Face) sowingCovers(a *edge.Ask) (*edge.Answer, error) {
	asOf, said, err := asked[sownSaid](f, a)
	if err != nil {
		return nil, err
	}
	if said.Day == 0 {
		said.Day = asOf
	}
	trays := map[string]int{}
	for _, t := range said.Trays {
		trays[t.Variety] = t.Trays
	}
	covers, err := f.Book.SowingCovers(a.Context(), a.Person, asOf, said.Day, trays)
	if err != nil {
		return nil, err
	}
	doc := struct {
		AsOf  domain.Day `json:"as_of"`
		Day   domain.Day `json:"day"`
		Items []coverDoc `json:"items"`
	}{AsOf: asOf, Day: said.Day}
	for _, c := range covers {
		doc.Items = append(doc.Items, coverOf(c))
	}
	return edge.JSON(http.StatusOK, doc)
}

func coverOf(c sowing.Cover) coverDoc {
	doc := coverDoc{Variety: c.Variety, Trays: c.Trays, Set: c.Set, Ready: c.Ready, Late: c.Late, Last: c.Last,
		Expected: c.Expected, Cautious: c.Cautious, Unused: c.Unused}
	for _, p := range c.Pickups {
		doc.Pickups = append(doc.Pickups, coverDayDoc(p))
	}
	return doc
}

// surgeAnswerDoc is what a surge asks for on one pickup day.
type surgeAnswerDoc struct {
	Variety string     `json:"variety"`
	Pickup  domain.Day `json:"pickup"`
	Heads   float64    `json:"heads"`
	Trays   int        `json:"trays"`
	Sow     domain.Day `json:"sow,omitzero"`
	By      domain.Day `json:"too_late_after,omitzero"`
	Covered int        `json:"covered"`
	Lacks   int        `json:"lacks"`
}

func (f *Face) surgeAsks(a *edge.Ask) (*edge.Answer, error) {
	asOf, surge, err := asked[domain.Surge](f, a)
	if err != nil {
		return nil, err
	}
	answers, err := f.Book.SurgeAsks(a.Context(), a.Person, asOf, surge)
	if err != nil {
		return nil, err
	}
	doc := struct {
		AsOf  domain.Day       `json:"as_of"`
		Items []surgeAnswerDoc `json:"items"`
	}{AsOf: asOf}
	for _, x := range answers {
		doc.Items = append(doc.Items, surgeAnswerDoc{x.Surge.Variety, x.Surge.Day, x.Surge.Heads, x.Trays, x.Sow, x.By, x.Covered, x.Lacks})
	}
	return edge.JSON(http.StatusOK, doc)
}

// asked reads a question's body, and the day as of which it is answered.
func asked[S any](f *Face, a *edge.Ask) (asOf domain.Day, said S, err error) {
	if asOf, err = f.asOf(a, a.ReadQuery()); err != nil {
		return asOf, said, err
	}
	if err = a.Decode(&said); err != nil {
		return asOf, said, err
	}
	return asOf, said, domain.Check(said).Err()
}

// growingPaper draws a paper of growing: of all that is sown or set on the day,
// or of one batch.
func (f *Face) growingPaper(a *edge.Ask) (*edge.Answer, error) {
	q := a.ReadQuery()
	size, batch := q.OneOf("paper", "letter", "a4"), q.Text("batch")
	if err := q.Err(); err != nil {
		return nil, err
	}
	day, err := a.PathDay("day")
	if err != nil {
		return nil, err
	}
	name, err := paperName(a)
	if err != nil {
		return nil, err
	}
	g, err := f.Book.GrowingDay(a.Context(), a.Person, day, batch)
	if err != nil {
		return nil, err
	}
	return pdf(day.String()+"-"+name, func(w io.Writer) error { return f.DrawGrowing(w, g, name, size) })
}
