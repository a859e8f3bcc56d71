package store

import (
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// trial is how often a trial is done: a few times with every run of the tests,
// and as often as the promise is held to where HEADTALLY_TRIAL=long, or so many
// times where it is a number.
func trial(t testing.TB, few, long int) int {
	t.Helper()
	switch told := os.Getenv("HEADTALLY_TRIAL"); told {
	case "":
		return few
	case "long":
		return long
	default:
		n, err := strconv.Atoi(told)
		require.NoError(t, err, "HEADTALLY_TRIAL is long, or how often")
		return n
	}
}
