package api_test

import (
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/api/book"
	"headtally/api/sheets"
	"headtally/domain"
)

// TestTheRecordsOfATraceComeToABrowser: the link of the trace page leads to the
// API, and whoever is signed in on the pages may follow it.
func TestTheRecordsOfATraceComeToABrowser(t *testing.T) {
	p := newPeopled(t, func(d *api.Deps) { d.WriteXLSX = sheets.WriteXLSX })
	_, err := p.book.Varieties.Create(t.Context(), book.Owner(), domain.Variety{Code: "OAK", Name: "Oak"}, book.Note{})
	require.NoError(t, err)
	today := domain.DayOf(now)
	tell := func(e domain.BatchEvent) string {
		told, err := p.book.RecordBatches(t.Context(), book.Owner(), []domain.BatchEvent{e}, "")
		require.NoError(t, err)
		return told[0].Value.Batch
	}
	batch := tell(domain.BatchEvent{Step: domain.Sown, Variety: "OAK", Day: today.Add(-36), Trays: 3, SeedLot: "S-1"})
	tell(domain.BatchEvent{Step: domain.SetOut, Batch: batch, Day: today.Add(-25), Rafts: 20, Bed: "B1"})
	tell(domain.BatchEvent{Step: domain.Lifted, Batch: batch, Day: today, Rafts: 8, Heads: 138, Culls: 6})
	page := p.ask("packing", "GET", "/trace?code="+batch, "")
	require.Equal(t, 200, page.Code)
	link := "/v1/traces/" + batch + "/records.xlsx"
	require.Contains(t, page.Body.String(), `href="`+link+`"`)
	for who, status := range map[string]int{"packing": 200, "office": 200, "device": 200, "nobody": 401} {
		res := p.ask(who, "GET", link, "", header("Accept", "text/html"), header("Idempotency-Key", ""))
		require.Equal(t, status, res.Code, who)
		if status == 200 {
			file, err := io.ReadAll(res.Body)
			require.NoError(t, err)
			require.Equal(t, "PK", string(file[:2]), who)
		}
	}
}
