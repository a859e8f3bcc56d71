package book

import (
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// Cases counted by their lot code stay the lines' that the book holds them for,
// those of lines before what is nobody's; more than it holds is nobody's.
func TestCountedCasesStayTheirLines(t *testing.T) {
	oak := []domain.VarietyHeads{{Variety: "OAK", Heads: 12}}
	held := []domain.PackedCount{
		{Product: "OAK12", Trace: "27060-01", Pulled: monday, Cases: 3, Line: "S1", Contents: oak},
		{Product: "OAK12", Trace: "27060-01", Pulled: monday, Cases: 2, Line: "S2", Contents: oak},
		{Product: "OAK12", Trace: "27060-02", Pulled: monday, Cases: 9, Contents: oak},
	}
	split := func(cases domain.Cases, pulled domain.Day) (lines map[string]domain.Cases) {
		lines = map[string]domain.Cases{}
		for _, p := range ofLines(domain.PackedCount{Product: "OAK12", Trace: "27060-01", Pulled: pulled, Cases: cases}, held) {
			require.Equal(t, monday, p.Pulled)
			require.Equal(t, oak, p.Contents)
			lines[p.Line] += p.Cases
		}
		return lines
	}
	require.Equal(t, map[string]domain.Cases{"S1": 3, "S2": 2}, split(5, monday))
	require.Equal(t, map[string]domain.Cases{"S1": 3, "S2": 1}, split(4, monday), "fewer than it holds")
	require.Equal(t, map[string]domain.Cases{"S1": 3, "S2": 2, "": 4}, split(9, 0), "more, and the day was not told")
	other := ofLines(domain.PackedCount{Product: "OAK12", Trace: "27059-01", Pulled: monday, Cases: 2}, held)
	require.Equal(t, []domain.PackedCount{{Product: "OAK12", Trace: "27059-01", Pulled: monday, Cases: 2}}, other)
}
