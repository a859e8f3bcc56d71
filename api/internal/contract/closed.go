package contract

import (
	"fmt"
	"slices"
	"strings"
)

// Open lists the schemas that let members through that are not documented. A
// schema that others are composed of may be open, as long as each schema that
// takes it in is closed.
func (c *Contract) Open() (list []string) {
	parts := map[string]bool{} // schemas taken in by closed ones only
	loose := map[string]bool{} // schemas referred to by themselves
	walk("#", c.doc, func(at string, v map[string]any) {
		ref, ok := v["$ref"].(string)
		if !ok {
			return
		}
		if v["unevaluatedProperties"] == false || strings.Contains(at, "/allOf/") {
			parts[ref] = true
		} else {
			loose[ref] = true
		}
	})
	walk("#", c.doc, func(at string, v map[string]any) {
		_, inAllOf := v["allOf"]
		_, hasMembers := v["properties"]
		isObject := v["type"] == "object" || hasMembers || inAllOf
		closed := v["additionalProperties"] != nil || v["unevaluatedProperties"] == false
		if isObject && !closed && (!parts[at] || loose[at]) {
			list = append(list, at)
		}
	})
	return list
}

// walk visits every object of the document that can be a schema: names of
// members are no schemas.
func walk(at string, v any, visit func(string, map[string]any)) {
	switch v := v.(type) {
	case map[string]any:
		if !strings.HasSuffix(at, "/properties") {
			visit(at, v)
		}
		for _, k := range sorted(v) {
			walk(at+"/"+k, v[k], visit)
		}
	case []any:
		for i, x := range v {
			walk(fmt.Sprintf("%s/%d", at, i), x, visit)
		}
	}
}

// Members lists the members of a schema of the document and of what they hold,
// as paths.
func (c *Contract) Members(schema string) []string {
	var list []string
	g := &Generator{Contract: c}
	var walk func(at string, raw map[string]any)
	walk = func(at string, raw map[string]any) {
		s := g.merged(raw)
		if items := object(s["items"]); items != nil {
			walk(at, items)
		}
		members := object(s["properties"])
		for _, name := range sorted(members) {
			list = append(list, at+name)
			walk(at+name+".", object(members[name]))
		}
	}
	walk("", map[string]any{"$ref": "#/components/schemas/" + schema})
	slices.Sort(list)
	return list
}
