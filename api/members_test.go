package api_test

import (
	"encoding"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/planning"
)

// TestDocumentsHaveTheMembersOfTheirSchemas holds the documents that are read
// and written as they are in the domain against the contract, member by member.
func TestDocumentsHaveTheMembersOfTheirSchemas(t *testing.T) {
	c, err := readContract()
	require.NoError(t, err)
	for schema, document := range map[string]reflect.Type{
		"Farm": reflect.TypeFor[domain.Farm](), "Variety": reflect.TypeFor[domain.Variety](), "Product": reflect.TypeFor[domain.Product](),
		"Carrier": reflect.TypeFor[domain.Carrier](), "Customer": reflect.TypeFor[domain.Customer](), "Exception": reflect.TypeFor[domain.Exception](),
		"StandingOrder": reflect.TypeFor[domain.Standing](), "Order": reflect.TypeFor[domain.Order](), "Count": reflect.TypeFor[domain.Count](),
		"Bed": reflect.TypeFor[domain.Bed](), "Profile": reflect.TypeFor[domain.Profile](), "Surge": reflect.TypeFor[domain.Surge](), "Growing": reflect.TypeFor[domain.Growing](),
		"BatchEventTold": reflect.TypeFor[domain.BatchEvent](), "ClosingFields": reflect.TypeFor[domain.Closing](), "DepartureFields": reflect.TypeFor[domain.Departure](),
		"ReturnFields": reflect.TypeFor[domain.Return](), "ReturnTold": reflect.TypeFor[domain.Return](), "LiftFields": reflect.TypeFor[domain.Lift](),
		"PackingFields": reflect.TypeFor[domain.Packing](), "PackedRun": reflect.TypeFor[domain.PackedRun](), "Shipped": reflect.TypeFor[domain.Shipped](),
		"Sheet": reflect.TypeFor[domain.Sheet](), "Problem": reflect.TypeFor[planning.Problem](), "Plan": reflect.TypeFor[planning.Plan](),
	} {
		require.Equal(t, membersOf(document), c.Members(schema), schema)
	}
}

// membersOf lists a type's members and those of what it holds, as paths.
func membersOf(t reflect.Type) []string {
	var list []string
	var walk func(at string, t reflect.Type)
	walk = func(at string, t reflect.Type) {
		for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct || isWritten(t) {
			return
		}
		for i := range t.NumField() {
			name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			list = append(list, at+name)
			walk(at+name+".", t.Field(i).Type)
		}
	}
	walk("", t)
	slices.Sort(list)
	return list
}

// isWritten says whether a type has its own way of being written.
func isWritten(t reflect.Type) bool {
	return t.Implements(reflect.TypeFor[encoding.TextMarshaler]()) || t.Implements(reflect.TypeFor[json.Marshaler]())
}
