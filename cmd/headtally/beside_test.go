package main

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
)

// The invented farm has a file and an address of its own: the farm's book stays
// as it was, and nothing is left when the service ends.
func TestTheInventedFarmIsABookOfItsOwn(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	d := newDesk(t)
	sh := surroundings{now: func() time.Time { return d.now }, out: io.Discard, err: io.Discard}
	own, done, err := openBook(t.Context(), sh, place{folder: d.file("book")})
	require.NoError(t, err)
	defer done()
	before, err := own.Revision(t.Context())
	require.NoError(t, err)

	log := slog.New(slog.DiscardHandler)
	require.Nil(t, newBeside(t.Context(), sh, serving{reach: reach{listen: "0.0.0.0:8740"}}, log), "not for other machines")
	b := newBeside(t.Context(), sh, serving{reach: reach{listen: "127.0.0.1:8740"}}, log)
	address, err := b.open(t.Context())
	require.NoError(t, err)
	again, err := b.open(t.Context())
	require.NoError(t, err)
	require.Equal(t, address, again, "it is made once")

	page := fetched(t, address+"day")
	require.Contains(t, page, "Nothing done here reaches your own book")
	require.Contains(t, fetched(t, address+"customers"), "/customers/")
	after, err := own.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after)
	customers, err := own.Customers.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	require.Empty(t, customers)

	b.close()
	left, err := filepath.Glob(filepath.Join(os.TempDir(), "headtally-invented-*"))
	require.NoError(t, err)
	require.Empty(t, left)
}

func fetched(t *testing.T, address string) string {
	t.Helper()
	r, err := http.NewRequestWithContext(context.Background(), http.MethodGet, address, nil)
	require.NoError(t, err)
	got, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer got.Body.Close()
	body, err := io.ReadAll(got.Body)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, got.StatusCode, string(body))
	return string(body)
}
