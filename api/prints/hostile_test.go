package prints

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
	"headtally/planner"
	"headtally/testdata/farm"
)

// TestPaperHoldsWhatIsTypedAsText puts what would be markup, a formula or an order
// to another program into the names of customers: it is drawn letter by letter,
// and the file asks its reader to do nothing.
func TestPaperHoldsWhatIsTypedAsText(t *testing.T) {
	for typed, drawn := range map[string]string{
		`<script>a()</script>`:   `<script>a()</script>`,
		`=cmd|'/C calc'!A0`:      `=cmd|'/C calc'!A0`,
		`(x) Tj ET \( /JS (y)`:   `(x) Tj ET \( /JS (y)`,
		"Farm \u202Efdp.exe":     "Farm fdp.exe", // what turns the reading round has no shape
		"Inn\u0000\u0007\r\nEnd": "Inn End",
	} {
		t.Run(drawn, func(t *testing.T) {
			facts := farm.Facts()
			for i := range facts.Customers {
				facts.Customers[i].Name = typed
			}
			w := planner.PlanWeek(&facts, domain.MustDay(farm.AsOf))
			day := book.NewDay(&facts, w, w.Plan.Runs[0].Pickup)
			paper, err := PackList(day, issued)
			require.NoError(t, err)
			require.Contains(t, wholeText(t, paper), drawn)
			var b bytes.Buffer
			require.NoError(t, paper.PDF(&b))
			for _, asked := range []string{"/JavaScript", "/OpenAction", "/Launch", "/URI", "/AA"} {
				require.False(t, bytes.Contains(b.Bytes(), []byte(asked)), asked)
			}
		})
	}
}
