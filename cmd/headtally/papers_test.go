package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/testdata/farm"
)

// The demo farm's own round of Wednesday is packed on Tuesday and closes at
// three; the harbour truck of Thursday is packed on Wednesday and closes at noon.
func TestAllPaperIsLaidOutOnceOrdersAreClosed(t *testing.T) {
	d := newDesk(t)
	clock := domain.MustDay(farm.AsOf).Time().Add(10 * time.Hour) // noon by the farm's clock
	sh := surroundings{now: func() time.Time { return clock }}
	b, done, err := openBook(t.Context(), sh, place{folder: d.file("book")})
	require.NoError(t, err)
	defer done()
	require.NoError(t, takeDemoSheets(t.Context(), b, domain.MustDay(farm.AsOf)))
	papers := d.file("papers")
	there := func() (names []string) {
		files, err := filepath.Glob(filepath.Join(papers, "*.pdf"))
		require.NoError(t, err)
		for _, f := range files {
			names = append(names, filepath.Base(f))
		}
		return names
	}
	require.NoError(t, layDue(t.Context(), b, sh, papers))
	require.Empty(t, there(), "orders are still taken")
	clock = clock.Add(3 * time.Hour)
	require.NoError(t, layDue(t.Context(), b, sh, papers))
	require.Equal(t, []string{"everything-2027-04-13.pdf"}, there())
	pdf, err := os.ReadFile(filepath.Join(papers, there()[0]))
	require.NoError(t, err)
	require.Greater(t, len(pdf), 20_000)
	issues, err := b.Issues(t.Context(), book.Owner(), domain.MustDay("2027-04-13"))
	require.NoError(t, err)
	require.Len(t, issues, 1, "what is laid out is issued")
	kept, err := b.Printed(t.Context(), book.Owner(), issues[0].Value.ID, "everything")
	require.NoError(t, err)
	require.Equal(t, kept, pdf)
	require.NoError(t, layDue(t.Context(), b, sh, papers))
	require.Equal(t, []string{"everything-2027-04-13.pdf"}, there(), "laid once")

	lines, err := b.Day(t.Context(), book.Owner(), domain.MustDay(farm.AsOf), domain.MustDay("2027-04-14"))
	require.NoError(t, err)
	o, err := b.Orders.Create(t.Context(), book.Owner(), domain.Order{Customer: lines.Lines[0].Customer.Code, Pickup: domain.MustDay("2027-04-14"),
		Lines: []domain.OrderLine{{Product: lines.Lines[0].Product.Code, Cases: 1}}}, book.Note{Late: book.LateCustomer, Why: "they rang"})
	require.NoError(t, err)
	require.NotEmpty(t, o.Value.ID)
	clock = clock.Add(time.Minute)
	require.NoError(t, layDue(t.Context(), b, sh, papers))
	require.NoError(t, layDue(t.Context(), b, sh, papers))
	require.Equal(t, []string{"everything-2027-04-13-number-2.pdf", "everything-2027-04-13.pdf"}, there(), "a late change is laid beside")
	older, err := os.ReadFile(filepath.Join(papers, "everything-2027-04-13.pdf"))
	require.NoError(t, err)
	require.Equal(t, pdf, older)
	clock = clock.Add(22 * time.Hour)
	require.NoError(t, layDue(t.Context(), b, sh, papers))
	require.Contains(t, there(), "everything-2027-04-14.pdf")
}

func TestAnIssueKeepsItsPapers(t *testing.T) {
	d := newDesk(t)
	day := domain.MustDay(farm.AsOf)
	clock := day.Time().Add(10 * time.Hour)
	b, done, err := openBook(t.Context(), surroundings{now: func() time.Time { return clock }}, place{folder: d.file("book")})
	require.NoError(t, err)
	defer done()
	require.NoError(t, takeDemoSheets(t.Context(), b, day))
	first, err := b.Issue(t.Context(), book.Owner(), day, day, "")
	require.NoError(t, err)
	kept, err := b.Printed(t.Context(), book.Owner(), first.Value.ID, "everything")
	require.NoError(t, err)
	clock = clock.Add(time.Hour)
	second, err := b.Issue(t.Context(), book.Owner(), day, day, "a change")
	require.NoError(t, err)
	require.Equal(t, first.Value.Number, second.Value.Replaces)
	again, err := b.Printed(t.Context(), book.Owner(), first.Value.ID, "everything")
	require.NoError(t, err)
	require.Equal(t, kept, again, "the first is kept as it was")
	newer, err := b.Printed(t.Context(), book.Owner(), second.Value.ID, "everything")
	require.NoError(t, err)
	require.NotEqual(t, kept, newer)
}
