package prints

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// sownAndSet is a batch of three trays that was set into two and a half rafts.
func sownAndSet(f *domain.Facts) ([]*domain.Batch, []book.SetOfBatch) {
	sown := domain.MustDay("2026-03-02")
	f.Beds = []domain.Bed{{Code: "B2", Name: "South"}}
	variety := f.Varieties[0].Code
	f.BatchEvents = []domain.BatchEvent{
		{ID: "E1", Batch: variety + "-0302", Step: domain.Sown, Day: sown, Variety: variety, Trays: 3, SeedLot: "K-7741"},
		{ID: "E2", Batch: variety + "-0302", Step: domain.SetOut, Day: sown.Add(11), Bed: "B2", Rafts: 5},
	}
	batches := domain.Batches(domain.Holding(f.BatchEvents), sown.Add(11))
	return batches, []book.SetOfBatch{{Batch: batches[0], Event: batches[0].Sets[0]}}
}

func TestEveryTrayAndRaftOfABatchHasALabel(t *testing.T) {
	f := ordinary().facts()
	batches, sets := sownAndSet(f)
	code, variety := batches[0].Code, f.Varieties[0].Name
	for stock, dots := range map[Stock]int{LabelSheet: 300, LabelRoll: 203} {
		trays, err := TrayLabels(f, batches, stock, issued)
		require.NoError(t, err)
		text := wholeText(t, trays)
		for _, want := range []string{variety, code, "Sown Monday 2 March 2026", "Seed lot K-7741", "Tray 1 of 3", "Tray 3 of 3", f.Farm.Name} {
			assert.Contains(t, text, want)
		}
		assert.Contains(t, scan(t, trays, dots), "CODE-128:"+code, "a scanner reads the batch's code off it")

		rafts, err := RaftLabels(f, sets, stock, issued)
		require.NoError(t, err)
		text = wholeText(t, rafts)
		for _, want := range []string{variety, code, "Set Friday 13 March 2026, bed South", "Seed lot K-7741", "Raft 1 of 3", "Raft 3 of 3"} {
			assert.Contains(t, text, want, "half a raft has a label too")
		}
	}
}

func TestTheFarmsPaperAndLanguageAreKeptOnBatchLabels(t *testing.T) {
	f := ordinary().facts()
	batches, _ := sownAndSet(f)
	p, err := TrayLabels(f, batches, LabelSheet, Options{Language: "es", Size: "a4", PrintedAt: printedAt})
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, p), "Bandeja 2 de 3")
	assert.Equal(t, 1, p.Pages(), "three labels of six a page")
	_, err = RaftLabels(f, nil, LabelSheet, Options{Size: "foolscap"})
	assert.Error(t, err)
}

func TestADayWithoutSowingSaysSo(t *testing.T) {
	f := ordinary().facts()
	p, err := RaftLabels(f, nil, LabelSheet, issued)
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, p), "Nothing was sown or set on this day.")
}
