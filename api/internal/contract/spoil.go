package contract

import (
	"encoding/json"
	"strings"
)

// Spoil is a text made wrong in one place: a member taken away or one put in
// that nobody knows, a value of another kind, a figure beyond its range, a word
// out of none, null, or text that is no JSON at all. The schema may still take
// some of what comes out.
func (g *Generator) Spoil(body []byte) []byte {
	if g.Chance.IntN(8) == 0 {
		return g.Garble(body)
	}
	var v any
	if json.Unmarshal(body, &v) != nil {
		return g.Garble(body)
	}
	return encode(g.spoilt(v))
}

// spoilt changes one place of a value: here or further down.
func (g *Generator) spoilt(v any) any {
	switch v := v.(type) {
	case map[string]any:
		names := sorted(v)
		if len(names) == 0 || g.Chance.IntN(6) == 0 {
			v[[]string{"colour", "revision", "", "a/b~c", "__proto__"}[g.Chance.IntN(5)]] = 1
			return v
		}
		name := names[g.Chance.IntN(len(names))]
		if g.Chance.IntN(5) == 0 {
			delete(v, name)
			return v
		}
		v[name] = g.spoilt(v[name])
		return v
	case []any:
		if len(v) == 0 || g.Chance.IntN(5) == 0 {
			return g.strange(v)
		}
		i := g.Chance.IntN(len(v))
		v[i] = g.spoilt(v[i])
		return v
	}
	return g.strange(v)
}

// strange is a value that is hardly ever right.
func (g *Generator) strange(was any) any {
	choices := []any{nil, true, -1, 1e9, 1.3, 1e300, "", "x", " ", strings.Repeat("x", 500), "a\x00b", "a\nb", "2027-02-29", "2027-13-01", "0000-00-00", "24:00", []any{}, map[string]any{},
		[]any{was, was}, "' OR 1=1 --", "<script>alert(1)</script>", "=1+1", "../../etc/passwd", json.Number("99999999999999999999"), json.Number("1e-400")}
	return choices[g.Chance.IntN(len(choices))]
}

// Garble makes a text of another that is most likely no document any more.
func (g *Generator) Garble(body []byte) []byte {
	if len(body) == 0 {
		return []byte("{")
	}
	at := g.Chance.IntN(len(body))
	switch g.Chance.IntN(5) {
	case 0:
		return body[:at]
	case 1:
		return append(append([]byte{}, body...), body...)
	case 2:
		changed := append([]byte{}, body...)
		changed[at] ^= byte(1 << g.Chance.IntN(8))
		return changed
	case 3:
		return append(append(append([]byte{}, body[:at]...), 0xff), body[at:]...)
	}
	return []byte(strings.Repeat("[", 1+g.Chance.IntN(2000)))
}
