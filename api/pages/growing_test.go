package pages_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// growing is a full farm that records its batches: a dozen of green romaine that
// finished, one in a bed with another behind it, and one in trays.
func growing(t testing.TB) *house {
	h := full(t, 12)
	beds := []domain.Bed{{Code: "G1", Name: "Bed 1", Walk: 1, Rafts: 300}, {Code: "G2", Name: "Bed 2", Walk: 2, Rafts: 20}}
	for _, code := range []string{"A1", "A2", "A3", "A4", "B1", "B2", "B3", "B4", "C1", "C2"} { // those that were walked
		beds = append(beds, domain.Bed{Code: code, Name: code, Rafts: 60})
	}
	for _, b := range beds {
		must[domain.Bed](t)(h.book.Beds.Create(t.Context(), book.Owner(), b, book.Note{}))
	}
	today := domain.MustDay("2027-03-02")
	var events []domain.BatchEvent
	grow := func(code string, sown domain.Day, lifted bool) {
		events = append(events, domain.BatchEvent{Step: domain.Sown, Batch: code, Variety: "V01", Day: sown, Trays: 2, SeedLot: "K 7"})
		if set := sown.Add(12); set <= today {
			events = append(events, domain.BatchEvent{Step: domain.SetOut, Batch: code, Day: set, Rafts: 14, Bed: "G1"})
		}
		if lifted {
			events = append(events, domain.BatchEvent{Step: domain.Lifted, Batch: code, Day: sown.Add(38), Rafts: 14, Heads: 236, Culls: 16})
		}
	}
	for i := range 12 {
		grow("OLD"+string(rune('A'+i)), today.Add(-200+12*i), true)
	}
	grow("FIRST", today.Add(-35), false)
	grow("SECOND", today.Add(-28), false)
	grow("TRAYS", today.Add(-6), false)
	_, err := h.book.RecordBatches(t.Context(), book.Owner(), events, "")
	require.NoError(t, err)
	return h
}

func TestBedsShowWhatStandsInFrontOfWhat(t *testing.T) {
	h := growing(t)
	p := h.get("/batches")
	p.wellMade(t, http.StatusOK)
	var order []string
	for _, n := range p.all(".lane .rafts li") {
		for _, code := range []string{"FIRST", "SECOND"} {
			if strings.Contains(textOf(n), code) {
				order = append(order, code)
			}
		}
	}
	require.Equal(t, []string{"FIRST", "SECOND"}, order)
	require.Contains(t, p.text("main"), "286 of 300 raft sites free")
	require.Regexp(t, `[0-9½,]+ of 920 raft sites are free in all`, p.text("main"))
	open := p.text("[aria-labelledby=op-h]")
	require.Contains(t, open, "will lie open for want of seedlings")
	require.Contains(t, open, "252 seedlings of Green romaine are near enough: 7 rafts")
}

func TestAllOfAVarietyIsBroughtForwardInOneAction(t *testing.T) {
	h := growing(t)
	before := h.get("/batches/TRAYS").text("main table")
	f := h.get("/batches").form("[name=which]")
	f.Set("variety", "V01")
	f.Set("days", "2")
	f.Set("why", "warm week")
	p := h.follow(h.post("/forward", f))
	p.wellMade(t, http.StatusOK)
	require.NotEqual(t, before, h.get("/batches/TRAYS").text("main table"))
	f.Set("days", "0")
	f.Set("id", "another")
	h.post("/forward", f).wellMade(t, http.StatusUnprocessableEntity)
}

func TestABatchShowsBothMethodsAndIsCorrected(t *testing.T) {
	h := growing(t)
	p := h.get("/batches/SECOND")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main table"), "mean and worst of the last 8 batches")
	require.Contains(t, p.text("main table"), "learned from 12 batches")
	require.Contains(t, p.text("main"), "How well each would have done")
	tell := p.form("[name=why]")
	tell.Set("step", "lifted")
	tell.Set("heads", "30")
	tell.Set("culls", "4")
	p = h.follow(h.post("/batches/SECOND", tell))
	require.Contains(t, p.text("main"), "30 heads · 4 culls")
	last := p.all("[name=corrects]")
	strike := p.form("[name=corrects][value=" + attr(last[len(last)-1], "value") + "]")
	p = h.follow(h.post("/batches/SECOND", strike))
	require.Contains(t, textOf(p.one("main s")), "30 heads · 4 culls")
	h.get("/batches/OLDA").wellMade(t, http.StatusOK)
}

func TestTheFarmSaysYesToLearnedFigures(t *testing.T) {
	h := growing(t)
	p := h.get("/went")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "26 (24)", "days on rafts as they were and as told")
	yes := p.form("[name=variety]")
	yes.Set("use", "yes")
	p = h.follow(h.post("/went", yes))
	require.Contains(t, p.text("main"), "The learned figures are used.")
	h.post("/went", yes).wellMade(t, http.StatusConflict)
	p = h.get("/batches/TRAYS")
	require.Contains(t, textOf(p.all("main table tbody tr")[1]), "used")
}

func TestTheSowingTableIsAgreedOnAPage(t *testing.T) {
	h := growing(t)
	p := h.get("/sowing")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("[aria-labelledby=cv-h]"), "For pickups, of the heads wanted", "what the first sowing of the table can cover")
	agree := p.form("[name=rows[0].trays]")
	agree.Set("rows[0].trays", "9")
	h.follow(h.post("/sowing", agree))
	rec, err := h.book.Growing(t.Context(), book.Owner())
	require.NoError(t, err)
	require.Equal(t, 9, rec.Value.Table[0].Trays)
	h.post("/sowing", agree).wellMade(t, http.StatusConflict)

	covers := h.get("/sowing?sow=2027-03-04&trays.V03=4")
	covers.wellMade(t, http.StatusOK)
	require.Contains(t, covers.text("[aria-labelledby=cv-h]"), "Butterhead 4 trays")
	h.get("/sowing?sow=2027-02-04&trays.V03=4").wellMade(t, http.StatusUnprocessableEntity)
}

func TestASurgeIsAskedAfterAndPutDown(t *testing.T) {
	h := growing(t)
	p := h.get("/sowing?heads=300&variety=V03&from=2027-04-15")
	p.wellMade(t, http.StatusOK)
	require.Regexp(t, `[0-9]+ trays extra, by `, p.text("main .big"))
	put := p.form("form[action=/surges/new] [name=heads]")
	h.follow(h.post("/surges/new", put))
	list, err := h.book.Surges.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Equal(t, domain.Heads(300), list[0].Value.Heads)
	require.Contains(t, h.get("/sowing?heads=3000&variety=V03&from=2027-03-04").text("main .big"), "too late to sow for")
	h.get("/sowing?heads=many&variety=V03&from=2027-03-04").wellMade(t, http.StatusUnprocessableEntity)
}

func TestHowTheFarmGrowsIsTold(t *testing.T) {
	h := growing(t)
	f := h.get("/growing").form("[name=assurance]")
	f.Set("assurance", "80")
	f.Set("nursery_trays", "40")
	f.Set("figures.bed_days", "26")
	h.follow(h.post("/growing", f))
	rec, err := h.book.Growing(t.Context(), book.Owner())
	require.NoError(t, err)
	require.Equal(t, []int{80, 40, 26, 162}, []int{rec.Value.Assurance, rec.Value.NurseryTrays, rec.Value.Figures.BedDays, rec.Value.CellsPerTray})
	h.post("/growing", f).wellMade(t, http.StatusConflict)
	f = h.get("/growing").form("[name=assurance]")
	f.Set("assurance", "12")
	h.post("/growing", f).wellMade(t, http.StatusUnprocessableEntity)

	profile := h.get("/profiles/new").form("[name=from_month]")
	profile.Set("variety", "V01")
	profile.Set("from_month", "6")
	profile.Set("until_month", "8")
	profile.Set("bed_days", "22")
	p := h.follow(h.post("/profiles/new", profile))
	require.Contains(t, p.text("main table"), "Green romaineJune – August")
	bed := h.get("/raft-beds/G2").form("[name=rafts]")
	bed.Set("rafts", "24")
	require.Contains(t, h.follow(h.post("/raft-beds/G2", bed)).text("main table"), "Bed 2224")
}

func TestPapersOfGrowingLieBesideTheBatches(t *testing.T) {
	h := growing(t)
	for _, address := range []string{"/growing-papers/2027-03-07/count-form.pdf", "/growing-papers/2027-03-02/sowing-sheet.pdf", "/growing-papers/2027-01-26/tray-labels.pdf?batch=FIRST"} {
		got := h.get(address)
		require.Equal(t, http.StatusOK, got.status)
		require.Contains(t, got.body, "%PDF")
	}
	require.Contains(t, h.get("/growing-papers/2027-01-26/tray-labels.pdf?batch=FIRST").body, "1 sown, 1 set")
	for _, address := range []string{"/growing-papers/2027-03-02/tray-labels.pdf?batch=NOPE", "/growing-papers/2027-03-02/nope.pdf", "/growing-papers/2027-03-02/tray-labels"} {
		require.Contains(t, h.get(address).body, "not found", address)
	}
}

func TestACellOfTheOutlookLeadsToLotsLinesAndSowings(t *testing.T) {
	h := growing(t)
	p := h.get("/outlook/V01/2027-04-06")
	p.wellMade(t, http.StatusOK)
	require.Contains(t, p.text("main"), "Lines behind it")
	require.Contains(t, p.text("main"), "batch TRAYS")
	short := h.get("/outlook").all(".outlook td.short a")
	require.NotEmpty(t, short)
	require.Regexp(t, `Sow [0-9]+ trays? of|too late to sow|mends this one too`, h.get(attr(short[0], "href")).text("main"))
}
