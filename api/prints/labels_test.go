package prints

import (
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/tried"
)

// scan renders the pages of a paper as a printer would and has another program
// find and decode the symbols on them.
func scan(t *testing.T, p *Paper, dots int) (found []string) {
	t.Helper()
	pdftoppm, zbarimg := tried.With(t, "pdftoppm"), tried.With(t, "zbarimg")
	path := file(t, p)
	pages := filepath.Join(filepath.Dir(path), "page")
	require.NoError(t, exec.Command(pdftoppm, "-r", strconv.Itoa(dots), "-gray", "-png", path, pages).Run())
	images, err := filepath.Glob(pages + "*.png")
	require.NoError(t, err)
	for _, image := range images {
		out, _ := exec.Command(zbarimg, "-q", "-Sdisable", "-Scode128.enable", image).Output() // it fails where a page has no symbol
		for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
			if line != "" {
				found = append(found, line)
			}
		}
	}
	return found
}

func TestTheSymbolsOnLabelsAreRead(t *testing.T) {
	// Each case has a lot of its own, for the decoder tells of symbols alike once.
	lots := []string{"1152KMB", "26070-01", "7", "Z9"}
	var runs []domain.PackedRun
	for _, lot := range lots {
		run := packedRuns()[0]
		run.Cases, run.Trace = 1, lot
		runs = append(runs, run)
	}
	for stock, dots := range map[Stock]int{LabelSheet: 300, LabelRoll: 203} {
		p, err := CaseLabels(ordinary().facts(), wednesday, append(runs, packedRuns()[1]), stock, issued)
		require.NoError(t, err)
		require.Empty(t, p.warnings)
		found := scan(t, p, dots)
		require.Len(t, found, len(lots), "a symbol on every label whose product has a GTIN")
		for _, lot := range lots {
			// GTIN, pack date and lot run on from each other, for the first two
			// are of fixed length.
			assert.Contains(t, found, "CODE-128:01108576740020171326031110"+lot)
		}
	}
}

func TestALabelSaysAllItMust(t *testing.T) {
	p, err := CaseLabels(ordinary().facts(), wednesday, packedRuns(), LabelRoll, issued)
	require.NoError(t, err)
	require.Equal(t, 7, p.Pages(), "a label a case")
	pages := readText(t, p)
	for _, want := range []string{"Mixed living case", "6 Red oakleaf, 6 Butterhead", "Packed Wednesday 11 March 2026", "Lot 1152KMB",
		"(01)10857674002017(13)260311(10)1152KMB", "Tidewater Raft Farm · 4 Ferry Lane, Saltmarsh · 555 0142", "Keep cold"} {
		assert.Contains(t, pages[0], want)
	}
	words := readBack(t, p)[0].Words
	var small, large float64
	for _, w := range words { // the code 9624 of this label, computed by domain/gs1
		switch w.Text {
		case "96":
			small = w.tall()
		case "24":
			large = w.tall()
		}
	}
	assert.Greater(t, large, 1.3*small, "the last two figures of the voice pick code are the large ones")
	assert.NotContains(t, pages[4], "(01)", "no GTIN, no symbol")
	assert.Contains(t, pages[4], "Lot 0311-2")
}

// The modules of a symbol are whole dots of a label printer, and no symbol is
// squeezed onto a label that is too narrow for it.
func TestASymbolThatDoesNotFitIsLeftOutAndSaid(t *testing.T) {
	runs := packedRuns()[:1]
	runs[0].Trace = "a-LoT-of-Odd-Letters"
	p, err := CaseLabels(ordinary().facts(), wednesday, runs, LabelSheet, issued)
	require.NoError(t, err)
	require.Len(t, p.warnings, 1)
	assert.Contains(t, p.warnings[0], "Mixed living case: no symbol")
	assert.Contains(t, wholeText(t, p), "Lot a-LoT-of-Odd-Letters")
	p, err = CaseLabels(ordinary().facts(), wednesday, runs, LabelRoll, issued)
	require.NoError(t, err)
	assert.Empty(t, p.warnings, "the roll is wide enough")
	for _, bad := range []string{"Ñ-1", "two words", strings.Repeat("9", 21)} {
		runs[0].Trace = bad
		p, err = CaseLabels(ordinary().facts(), wednesday, runs, LabelRoll, issued)
		require.NoError(t, err)
		assert.Len(t, p.warnings, 1, bad)
	}
}

// A long name, many contents and a long address still fit a small label.
func TestALabelShrinksWhatItSays(t *testing.T) {
	f := ordinary().facts()
	f.Products[0].Name = strings.Repeat("Long ", 15) + "case"
	f.Farm.Address = strings.Repeat("Very Long Lane ", 8)
	runs := packedRuns()[:1]
	for range 8 {
		runs[0].Contents = append(runs[0].Contents, domain.VarietyHeads{Variety: batavia, Heads: 2})
	}
	p, err := CaseLabels(f, wednesday, runs, LabelSheet, issued)
	require.NoError(t, err)
	checkPaper(t, "labels", p, issued)
	assert.NotEmpty(t, scan(t, p, 300))
}

// lotTall is how tall the lot code's word is on the first label of a page.
func lotTall(p seenPage) float64 {
	for _, w := range p.Words {
		if w.Text == "Lot" {
			return w.tall()
		}
	}
	return 0
}

// TestALabelWithoutASymbolIsFilled: what a symbol would take, the letters take.
func TestALabelWithoutASymbolIsFilled(t *testing.T) {
	runs := packedRuns()[1:]
	for _, stock := range []Stock{LabelSheet, LabelRoll} {
		p, err := CaseLabels(ordinary().facts(), wednesday, runs, stock, issued)
		require.NoError(t, err)
		with, err := CaseLabels(ordinary().facts(), wednesday, packedRuns()[:1], stock, issued)
		require.NoError(t, err)
		require.Greater(t, lotTall(readBack(t, p)[0]), 1.1*lotTall(readBack(t, with)[0]), "%s", stock)
		require.Contains(t, readText(t, p)[0], "Packed Wednesday 11 March 2026", "the pack date in one line")
	}
}

func TestAFarmOfTheUnitedStatesWritesItsDatesSo(t *testing.T) {
	f := ordinary().facts()
	f.Farm.Units = "us"
	p, err := CaseLabels(f, wednesday, packedRuns(), LabelSheet, issued)
	require.NoError(t, err)
	require.Contains(t, readText(t, p)[0], "Packed Wednesday, March 11, 2026")
	s := ordinary()
	s.Farm.Units = "us"
	door, err := DoorSheet(s.Day, wednesday, nil, issued)
	require.NoError(t, err)
	require.Contains(t, readText(t, door)[0], "March 12, 2026")
}
