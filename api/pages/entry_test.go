package pages

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

func TestWhatIsTypedOnTheTelephone(t *testing.T) {
	products := []domain.Product{{Code: "MIX12", Name: "Chef's mix"}, {Code: "ROM", Name: "Romaine case"}, {Code: "RED", Name: "Red romaine"}}
	cases := []struct {
		name, line string
		usual      []string
		want       []entry
		fault      string
	}{
		{"more of the only usual one", "+2", []string{"ROM"}, []entry{{"ROM", 2, true}}, ""},
		{"fewer", "-1 mix", nil, []entry{{"MIX12", -1, true}}, ""},
		{"a typeset minus", "−1 mix", nil, []entry{{"MIX12", -1, true}}, ""},
		{"so many", "6 x mix", nil, []entry{{"MIX12", 6, false}}, ""},
		{"the product first", "mix 6", nil, []entry{{"MIX12", 6, false}}, ""},
		{"two wishes", "6 mix, +1 rom", nil, []entry{{"MIX12", 6, false}, {"ROM", 1, true}}, ""},
		{"a code stands before a beginning", "1 rom", nil, []entry{{"ROM", 1, false}}, ""},
		{"a word that begins two", "1 r", nil, nil, "entry_which"},
		{"no usual one", "+2", nil, nil, "entry_unknown"},
		{"two usual ones", "+2", []string{"ROM", "RED"}, nil, "entry_which"},
		{"no such product", "3 kale", nil, nil, "entry_unknown"},
		{"no number", "rom", nil, nil, "entry_shape"},
		{"nothing", " ", nil, nil, "required"},
		{"too many", "9999999 rom", nil, nil, "at_most"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, faults := readEntries(c.line, products, c.usual)
			require.Equal(t, c.want, got)
			if c.fault == "" {
				require.Empty(t, faults)
			} else {
				require.Equal(t, c.fault, faults[0].Code)
			}
		})
	}
}
