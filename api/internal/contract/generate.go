package contract

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
)

// Generator makes values that a schema takes, or nearly takes. The same source
// of chance gives the same values.
type Generator struct {
	Contract *Contract
	Chance   *rand.Rand
	Known    []string // codes of records, taken for texts that refer to one
	Days     []string // days that mean something, beside any others
}

// Body is a text that a schema takes.
func (g *Generator) Body(s *Schema) []byte { return encode(g.Value(s.Raw, 0)) }

// encode writes a generated value, which can always be written.
func encode(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		panic("contract: " + err.Error())
	}
	return b
}

// merged is a schema with all it refers to and is composed of.
func (g *Generator) merged(raw map[string]any) map[string]any {
	all := map[string]any{}
	add := func(part map[string]any) {
		for k, v := range part {
			switch have := all[k].(type) {
			case map[string]any:
				both := map[string]any{}
				for _, m := range []map[string]any{have, object(v)} {
					for name, x := range m {
						both[name] = x
					}
				}
				all[k] = both
			case []any:
				more, _ := v.([]any)
				all[k] = append(append([]any{}, have...), more...)
			default:
				all[k] = v
			}
		}
	}
	raw = g.Contract.Follow(raw)
	parts, _ := raw["allOf"].([]any)
	for _, p := range parts {
		add(g.merged(object(p)))
	}
	add(raw)
	delete(all, "allOf")
	return all
}

// Value is a value that a schema takes; what lies deep is small.
func (g *Generator) Value(raw map[string]any, depth int) any {
	s := g.merged(raw)
	if c, ok := s["const"]; ok {
		return c
	}
	if list, ok := s["enum"].([]any); ok {
		return list[g.Chance.IntN(len(list))]
	}
	switch g.kind(s) {
	case "object":
		return g.object(s, depth)
	case "array":
		return g.array(s, depth)
	case "integer":
		low, high := g.bounds(s)
		return low + g.spread(high-low)
	case "number":
		low, high := g.bounds(s)
		return float64(2*low+g.spread(2*(high-low))) / 2
	case "boolean":
		return g.Chance.IntN(2) == 0
	case "null":
		return nil
	}
	return g.text(s)
}

// kind is one of the types a schema allows.
func (g *Generator) kind(s map[string]any) string {
	if list, ok := s["type"].([]any); ok {
		return text(list[g.Chance.IntN(len(list))])
	}
	return text(s["type"])
}

// spread is a number up to most, small ones and the ends more often.
func (g *Generator) spread(most int) int {
	switch {
	case most <= 0:
		return 0
	case g.Chance.IntN(20) == 0:
		return most
	case g.Chance.IntN(10) == 0:
		return g.Chance.IntN(most + 1)
	}
	return g.Chance.IntN(min(most, 12) + 1)
}

func (g *Generator) bounds(s map[string]any) (low, high int) {
	return number(s["minimum"], 0), number(s["maximum"], 1_000_000)
}

func number(v any, otherwise int) int {
	if n, ok := v.(json.Number); ok {
		if i, err := n.Int64(); err == nil {
			return int(i)
		}
	}
	return otherwise
}

func (g *Generator) object(s map[string]any, depth int) any {
	v := map[string]any{}
	required := map[string]bool{}
	list, _ := s["required"].([]any)
	for _, name := range list {
		required[text(name)] = true
	}
	members := object(s["properties"])
	for _, name := range sorted(members) {
		if required[name] || g.Chance.IntN(3+depth) == 0 {
			v[name] = g.Value(object(members[name]), depth+1)
		}
	}
	if more := object(s["additionalProperties"]); more != nil && g.Chance.IntN(2) == 0 {
		v[g.code()] = g.Value(more, depth+1)
	}
	return v
}

func (g *Generator) array(s map[string]any, depth int) any {
	low, high := number(s["minItems"], 0), min(number(s["maxItems"], 4), 4)
	n := low + g.Chance.IntN(max(high-low, 0)+1)
	list, seen := []any{}, map[string]bool{}
	for range n {
		item := g.Value(object(s["items"]), depth+1)
		if key := string(encode(item)); s["uniqueItems"] != true || !seen[key] {
			seen[key] = true
			list = append(list, item)
		}
	}
	return list
}

// letters are those of names: common ones, wide ones, and such as mean
// something to a database, a page or a spreadsheet.
var letters = []rune("abcXYZ 019äéßñ½’💧漢ع<>&\"'`%_;-=+@/\\{}[]()$#!?*~|^.,:")

func (g *Generator) text(s map[string]any) string {
	switch s["format"] {
	case "date":
		return g.day()
	case "date-time":
		return g.day() + fmt.Sprintf("T%02d:%02d:%02dZ", g.Chance.IntN(24), g.Chance.IntN(60), g.Chance.IntN(60))
	}
	pattern := text(s["pattern"])
	switch {
	case strings.HasPrefix(pattern, "^([01]"):
		return fmt.Sprintf("%02d:%02d", g.Chance.IntN(24), g.Chance.IntN(60))
	case strings.HasPrefix(pattern, "^([0-9]{14}"):
		return fmt.Sprintf("%014d", g.Chance.Int64N(1e14))
	case strings.HasPrefix(pattern, `^[\p{L}`):
		return g.code()
	case pattern == "" && g.Chance.IntN(8) > 0:
		return g.Known[g.Chance.IntN(len(g.Known))]
	}
	low, high := number(s["minLength"], 0), min(number(s["maxLength"], 30), 30)
	var b strings.Builder
	for range low + g.Chance.IntN(high-low+1) {
		b.WriteRune(letters[g.Chance.IntN(len(letters))])
	}
	return b.String()
}

func (g *Generator) code() string {
	if g.Chance.IntN(3) == 0 {
		return g.Known[g.Chance.IntN(len(g.Known))]
	}
	return fmt.Sprintf("%c%d", 'A'+rune(g.Chance.IntN(26)), g.Chance.IntN(40))
}

// day is mostly one that means something, and now and then the ends of what a
// day can be.
func (g *Generator) day() string {
	switch g.Chance.IntN(12) {
	case 0:
		return []string{"0001-01-01", "9999-12-31", "2028-02-29", "1970-01-01"}[g.Chance.IntN(4)]
	case 1, 2:
		return fmt.Sprintf("2027-%02d-%02d", 1+g.Chance.IntN(12), 1+g.Chance.IntN(28))
	}
	return g.Days[g.Chance.IntN(len(g.Days))]
}
