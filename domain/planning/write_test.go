package planning_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/domain/planning"
)

// TestPlansAreWrittenAsTheLibraryWritesThem fills plans at random, every field
// and list now with something and now with nothing.
func TestPlansAreWrittenAsTheLibraryWritesThem(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		var p planning.Plan
		fillAny(r, reflect.ValueOf(&p).Elem())
		var want bytes.Buffer
		e := json.NewEncoder(&want)
		e.SetEscapeHTML(false)
		require.NoError(t, e.Encode(&p))
		got := planning.AppendPlan(nil, &p)
		same := 0
		for same < min(len(got), want.Len()-1) && got[same] == want.Bytes()[same] {
			same++
		}
		require.Equal(t, want.String()[same:], string(got[same:])+"\n", "behind %s", got[max(0, same-200):same])
	}
}

func fillAny(r *rand.Rand, v reflect.Value) {
	texts := []string{"", "A-1", "Lola \"Red\"", "späth & <co>", "a\\b", "\x00\x7f\u2028", "a\xff", "Thursday: 104 cases"}
	if r.IntN(4) == 0 {
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fillAny(r, v.Field(i))
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), r.IntN(4), 4))
		for i := range v.Len() {
			fillAny(r, v.Index(i))
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fillAny(r, v.Elem())
	case reflect.String:
		v.SetString(texts[r.IntN(len(texts))])
	case reflect.Bool:
		v.SetBool(r.IntN(2) == 0)
	case reflect.Float64:
		v.SetFloat([]float64{0, 3, 2.5, 1.0 / 3, 1e-7, 123456789, 1e21}[r.IntN(7)])
	case reflect.Int, reflect.Int32, reflect.Int64:
		v.SetInt(int64(r.IntN(40_000)))
	default:
		panic("a kind of field that plans do not have: " + v.Kind().String())
	}
}

func BenchmarkAppendPlan(b *testing.B) {
	p := planning.Plan{Lines: make([]planning.LinePlan, 1000)}
	for i := range p.Lines {
		p.Lines[i] = planning.LinePlan{ID: "L0001", Cases: 4, Filled: 4, Packed: []planning.PackedCases{},
			Heads: []planning.SlotLot{{Lot: "B-101", Variety: "GRN", Heads: 24}, {Lot: "B-102", Variety: "RED", Slot: 1, Heads: 24}}}
	}
	b.ReportAllocs()
	for b.Loop() {
		planning.AppendPlan(nil, &p)
	}
}
