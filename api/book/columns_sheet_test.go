package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/words"
)

// TestWrittenHeadingsAreReadBack: whatever language a sheet is written in, its
// headings are known when it comes back.
func TestWrittenHeadingsAreReadBack(t *testing.T) {
	sheets := map[string]columns{"orders": orderColumns, "farm": farmColumns, "varieties": varietyColumns, "cases": caseColumns, "days": dayColumns,
		"customers": customerColumns, "standing": standingColumns, "count": countColumns, "cooler": coolerColumns}
	for _, language := range words.Languages {
		for sheet, known := range sheets {
			for col := range known {
				heading := words.In(language).Say("column." + string(col))
				require.Equal(t, col, known.column(heading), "%s, %s: %s", language, sheet, heading)
			}
		}
	}
}

// TestNoHeadingMeansTwoColumns: which of two columns is meant must not depend on
// chance.
func TestNoHeadingMeansTwoColumns(t *testing.T) {
	for _, known := range []columns{orderColumns, farmColumns, varietyColumns, caseColumns, dayColumns, customerColumns, standingColumns, countColumns, coolerColumns} {
		seen := map[string]column{}
		for col, spellings := range known {
			for _, s := range spellings {
				require.Equal(t, s, foldKey(s), "a spelling as headings are compared by")
				require.Empty(t, seen[s], "%s is %s and %s", s, seen[s], col)
				seen[s] = col
			}
		}
	}
}
