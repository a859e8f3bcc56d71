package pages_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What the plan warns of stands on the page of the pickup it belongs to, and on
// no other.
func TestADayTellsWhatThePlanWarnsOf(t *testing.T) {
	h := full(t, 30)
	minded := func(address string) (said []string) {
		for _, li := range h.get(address).all("[aria-labelledby=mind-h] li") {
			said = append(said, textOf(li))
		}
		return said
	}
	const full, rafts = "Wednesday, March 3: 217 cases for 90 spaces; 127 cases need another place or an earlier truck",
		"Wednesday, March 3: 80 rafts to lift, the crew does 45"
	require.Subset(t, minded("/day/2027-03-04"), []string{full, rafts})
	require.NotContains(t, minded("/day/2027-03-05"), full)
}
