package prints

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// tagged are the papers that are cut up: what is written on a tag may be as
// large as the weekday, and labels have no head at all.
var tagged = []string{"stack-tags", "tray-tags", "change-slips"}

// Every paper of an ordinary and of a full day, in both languages and sizes,
// has all its words within the margins, none over another, nothing left of the
// catalogue's own codes, and the head on every page.
func TestEveryPaperIsFitToBePrinted(t *testing.T) {
	for _, o := range []Options{
		{Number: 2, Replaces: 1, PrintedAt: printedAt},
		{Language: "es", Size: "a4", PrintedAt: printedAt},
	} {
		for day, s := range map[string]*story{"ordinary": ordinary().morning(), "full": full(60)} {
			for name, make := range everyPaper(s, o) {
				t.Run(fmt.Sprint(day, " ", name, " ", o.Size), func(t *testing.T) {
					p, err := make()
					require.NoError(t, err)
					checkPaper(t, name, p, o)
				})
			}
		}
	}
}

func checkPaper(t *testing.T, name string, p *Paper, o Options) {
	t.Helper()
	edge := margin
	if strings.HasPrefix(name, "labels") {
		edge = 9
	}
	for n, page := range readBack(t, p) {
		for i, w := range page.Words {
			assert.Truef(t, w.XMin >= edge-0.5 && w.XMax <= page.Width-edge+0.5 && w.YMin >= edge-2 && w.YMax <= page.Height-edge+2,
				"page %d: %q stands within the margins: %v", n+1, w.Text, w)
			assert.NotContains(t, w.Text, "print.", "every word is in the catalogue")
			assert.NotContains(t, w.Text, "{", "every figure is filled in")
			for _, other := range page.Words[i+1:] {
				assert.Falsef(t, overlap(w, other), "page %d: %q stands over %q", n+1, w.Text, other.Text)
			}
		}
		if !strings.HasPrefix(name, "labels") && name != "tomorrow" {
			checkHead(t, name, page, n+1, p.Pages(), o)
		}
	}
}

// checkHead sees the weekday first and biggest, and date, number, page and hour.
func checkHead(t *testing.T, name string, page seenPage, n, of int, o Options) {
	t.Helper()
	require.NotEmpty(t, page.Words)
	first := page.Words[0]
	assert.Contains(t, []string{"THURSDAY", "WEDNESDAY", "JUEVES", "MIÉRCOLES"}, first.Text)
	if !slices.Contains(tagged, name) {
		for _, w := range page.Words[1:] {
			assert.Less(t, w.tall(), first.tall(), "%q is smaller than the weekday", w.Text)
		}
	}
	text := ""
	for _, w := range page.Words {
		text += w.Text + " "
	}
	wanted := []string{fmt.Sprintf("page %d of %d", n, of), "March 2026", "printed Wed 11 Mar, 01:05", "No. 2", "Replaces No. 1"}
	if o.Language == "es" {
		wanted = []string{fmt.Sprintf("página %d de %d", n, of), "marzo de 2026", "impreso mié 11 mar, 01:05"}
		assert.Equal(t, !slices.Contains([]string{"availability", "recall"}, name), strings.Contains(text, "Borrador"), "a draft is of what will be issued")
	}
	for _, w := range wanted {
		assert.Contains(t, text, w)
	}
}

func TestTheNumberThatIsReplacedIsLarge(t *testing.T) {
	p, err := PackList(ordinary().Day, Options{Number: 4, Replaces: 3, PrintedAt: printedAt})
	require.NoError(t, err)
	for _, page := range readBack(t, p) {
		perPoint := page.Words[0].tall() / clipboard.weekday.size
		assert.True(t, slices.ContainsFunc(page.sized(28, perPoint), func(w seenWord) bool { return w.Text == "Replaces" }))
	}
}

func TestTheSameInputGivesTheSameBytes(t *testing.T) {
	o := Options{Number: 1, PrintedAt: printedAt}
	for name := range everyPaper(ordinary().morning(), o) {
		var first, second bytes.Buffer
		for _, to := range []*bytes.Buffer{&first, &second} {
			p, err := everyPaper(ordinary().morning(), o)[name]()
			require.NoError(t, err)
			require.NoError(t, p.PDF(to))
		}
		assert.True(t, bytes.Equal(first.Bytes(), second.Bytes()), name)
	}
}

func TestPapersAreMadeSideBySide(t *testing.T) {
	s := ordinary()
	for range 4 {
		t.Run("one of four", func(t *testing.T) {
			t.Parallel()
			p, err := PackList(s.Day, Options{PrintedAt: printedAt})
			require.NoError(t, err)
			require.NoError(t, p.PDF(&bytes.Buffer{}))
		})
	}
}

func TestAnUnknownLanguageOrSizeIsRefused(t *testing.T) {
	_, err := PackList(ordinary().Day, Options{Language: "xx", Size: "a5"})
	var faults domain.Faults
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults, 2)
	assert.Equal(t, "language", faults[0].Place)
	assert.Equal(t, "size", faults[1].Place)
	_, err = CaseLabels(ordinary().facts(), wednesday, packedRuns(), "5x7", Options{})
	require.ErrorAs(t, err, &faults)
	assert.Equal(t, "stock", faults[0].Place)
}

func TestTheHourOfPrintingIsTheFarms(t *testing.T) {
	s := ordinary()
	s.Farm.Zone = "Asia/Tokyo"
	p, err := PackList(s.Day, Options{PrintedAt: printedAt})
	require.NoError(t, err)
	assert.Contains(t, wholeText(t, p), "printed Wed 11 Mar, 13:05")
}
