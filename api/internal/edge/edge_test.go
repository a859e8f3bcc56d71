package edge

import (
	"errors"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

func TestPlacesArePointers(t *testing.T) {
	for place, pointer := range map[string]string{
		"": "#", "document": "#", "cases": "#/cases", "lines[3].cases": "#/lines/3/cases", "[2]": "#/2", "terms[0]": "#/terms/0",
		"crew.pack_hours": "#/crew/pack_hours", `"a b"`: "#/a%20b", `x."."[1]`: "#/x/./1", `"a/b~c"`: "#/a~1b~0c", `""`: "#/", "ä": "#/%C3%A4",
	} {
		require.Equal(t, pointer, Pointer(place), place)
	}
	require.Equal(t, "#/x.y/0", Pointer(placeOf("/x.y/0")))
	require.Equal(t, "#/a~1b~0c", Pointer(placeOf("/a~1b~0c")))
}

func TestNumbersAreReadByWhatTheyAre(t *testing.T) {
	for text, want := range map[string]string{"12": "12", "12.0": "12", "1.2e1": "12", "120e-1": "12", "2.50": "2.5", "-0.0": "0", "1.3": "1.3",
		"1e-400": "1e-400", "1e400": "1e400", "1e99999999999999999999": "1e99999999999999999999", "1.00000000000000000001": "1.00000000000000000001"} {
		require.Equal(t, want, plainNumber(text), text)
	}
}

func TestInstantsAreKeptInUTC(t *testing.T) {
	var o domain.Order
	require.NoError(t, DecodeJSON([]byte(`{"received":"2027-03-01T10:00:00.123456789+02:00"}`), &o))
	require.Equal(t, time.Date(2027, 3, 1, 8, 0, 0, 123456000, time.UTC), o.Received)
}

func TestNothingIsSetByABodyWithFaults(t *testing.T) {
	o := domain.Order{Customer: "MILL"}
	require.Error(t, DecodeJSON([]byte(`{"customer":"QUAY","colour":1}`), &o))
	require.Equal(t, "MILL", o.Customer)
}

func TestBases(t *testing.T) {
	present := func() (int64, error) { return 7, nil }
	for header, want := range map[string]int64{`"5"`: 5, `"5-gzip"`: 5, `*`: 7, `"5", "7"`: 7, `"5" , W/"7"`: 5, `"5","6"`: noRevision, `W/"7"`: noRevision,
		`"x"`: noRevision, `""`: noRevision, `"-1"`: noRevision, `"99999999999999999999"`: noRevision} {
		r := httptest.NewRequest("PUT", "/", nil)
		r.Header.Set("If-Match", header)
		base, err := (&Ask{Request: r}).Base(present)
		require.NoError(t, err, header)
		require.Equal(t, want, base, header)
	}
	for _, header := range []string{"5", `"5`, `"5" "6"`, `"5";`, "x, y"} {
		r := httptest.NewRequest("PUT", "/", nil)
		r.Header.Set("If-Match", header)
		_, err := (&Ask{Request: r}).Base(present)
		require.True(t, errors.Is(err, ErrMalformed), header)
	}
	base, err := (&Ask{Request: httptest.NewRequest("PUT", "/", nil)}).Base(present)
	require.NoError(t, err)
	require.Equal(t, book.NoBase, base)
}
