package pages_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestEveryAddressSaysWhoMayUseIt: an address without a row in May would keep the
// service from starting.
func TestEveryAddressSaysWhoMayUseIt(t *testing.T) {
	h := newHouse(t)
	mays := h.pages.May()
	for _, r := range h.echo.Routes() {
		address := r.Method + " " + strings.ReplaceAll(r.Path, "/:", "/{")
		parts := strings.Split(address, "/")
		for i, part := range parts {
			if strings.HasPrefix(part, "{") {
				parts[i] = part + "}"
			}
		}
		address = strings.Join(parts, "/")
		_, stated := mays[address]
		require.True(t, stated, "who.go has no row for %s", address)
		delete(mays, address)
	}
	require.Empty(t, mays, "rows of addresses that are not there")
}
