package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestPackedHeadsHaveTheirColumn: heads in packed cases are told beside those
// assigned out of the beds, also of a variety that is listed as another.
func TestPackedHeadsHaveTheirColumn(t *testing.T) {
	d := newDesk(t)
	require.Zero(t, d.types(`{"as_of": "2027-03-02", "lead_days": 1, "pickup_days": ["2027-03-03"], "max_recipes": 2,
		"cooler": {"case_spaces": 40, "tray_spaces": 40},
		"varieties": [{"code": "OAK", "name": "Oakleaf", "shelf_days": 12, "heads_per_tray": 12}, {"code": "COS", "name": "Cos", "shelf_days": 12, "heads_per_tray": 12}],
		"products": [{"code": "OAK-6", "name": "Oakleaf case", "slots": [{"heads": 6, "accept": ["OAK", "COS"]}]}],
		"packed": [{"code": "K1", "product": "OAK-6", "cases": 2, "contents": [{"variety": "OAK", "heads": 4}, {"variety": "COS", "heads": 2}], "pulled": "2027-03-01"}],
		"lots": [{"code": "bed 1", "variety": "OAK", "place": "bed", "heads": 6, "cautious_heads": 6, "rafts": 1, "ready": "2027-03-01", "last": "2027-03-05"}],
		"lines": [{"id": "inn", "customer": "The Inn", "product": "OAK-6", "pickup": "2027-03-03", "cases": 3, "received": "2027-02-20T08:00:00Z"}]}`,
		"plan", "--problem", "-", "--format", "text"), &d.err)
	require.Contains(t, d.out.String(), `
  Wednesday 3 March               listed  packed  assigned  short
    Oakleaf                           18       8         6      -
    Cos                                0       4         0      -
`)
}
