package gs1

import (
	"fmt"
	"strings"
)

// Element is one piece of data: its application identifier and its value.
type Element struct{ AI, Value string }

// FNC1 is how this package writes the symbol's function character 1, which
// begins every element string and ends an element of open length.
const FNC1 = "\x1d"

// rule is what an application identifier's value must be.
type rule struct {
	fixed int // so many characters; 0: open length
	most  int // where open
	digit bool
	check func(string) error
}

// rules are the identifiers that stand on cases and pallets.
var rules = map[string]rule{
	"00": {fixed: 18, digit: true, check: CheckNumber},
	"01": {fixed: 14, digit: true, check: CheckNumber},
	"02": {fixed: 14, digit: true, check: CheckNumber},
	"10": {most: 20, check: checkLetters},
	"11": {fixed: 6, digit: true, check: CheckDate},
	"13": {fixed: 6, digit: true, check: CheckDate},
	"15": {fixed: 6, digit: true, check: CheckDate},
	"16": {fixed: 6, digit: true, check: CheckDate},
	"17": {fixed: 6, digit: true, check: CheckDate},
	"21": {most: 20, check: checkLetters},
	"30": {most: 8, digit: true},
	"37": {most: 8, digit: true},
	"90": {most: 30, check: checkLetters},
}

// ruleOf finds the rule of an identifier; net weights have one for each number
// of decimals.
func ruleOf(ai string) (rule, bool) {
	if len(ai) == 4 && (ai[:3] == "310" || ai[:3] == "320") && ai[3] >= '0' && ai[3] <= '5' {
		return rule{fixed: 6, digit: true}, true
	}
	r, known := rules[ai]
	return r, known
}

// Check says what is wrong with elements that are to stand in one symbol.
func Check(elements []Element) error {
	there := map[string]bool{}
	for _, e := range elements {
		r, known := ruleOf(e.AI)
		if !known {
			return fmt.Errorf("(%s) %w", e.AI, ErrElement)
		}
		if err := r.fits(e.Value); err != nil {
			return fmt.Errorf("(%s)%s %w", e.AI, e.Value, err)
		}
		there[e.AI] = true
	}
	switch {
	case len(elements) == 0:
		return ErrElement
	case there["01"] && (there["37"] || there["02"]):
		return fmt.Errorf("(01) %w beside (37) or (02)", ErrElement)
	case there["02"] && !there["37"]:
		return fmt.Errorf("(02) %w without (37)", ErrElement)
	}
	return nil
}

func (r rule) fits(value string) error {
	switch {
	case value == "", r.fixed > 0 && len(value) != r.fixed, r.fixed == 0 && len(value) > r.most:
		return ErrLength
	case r.digit && !allDigits(value):
		return ErrDigits
	case r.check != nil:
		return r.check(value)
	}
	return nil
}

// Text is the elements as people read them: (01)10857674002017(10)1152KMB.
func Text(elements []Element) (string, error) {
	var b strings.Builder
	for _, e := range elements {
		b.WriteString("(" + e.AI + ")" + e.Value)
	}
	return b.String(), Check(elements)
}

// Data is the elements as the symbol bears them: FNC1 first, and after an
// element of open length that is not the last.
func Data(elements []Element) (string, error) {
	if err := Check(elements); err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(FNC1)
	for i, e := range elements {
		b.WriteString(e.AI + e.Value)
		if r, _ := ruleOf(e.AI); r.fixed == 0 && i < len(elements)-1 {
			b.WriteString(FNC1)
		}
	}
	return b.String(), nil
}

// ReadText reads what Text writes.
func ReadText(text string) (elements []Element, err error) {
	for text != "" {
		closing := strings.IndexByte(text, ')')
		if text[0] != '(' || closing < 0 {
			return nil, ErrElement
		}
		e := Element{AI: text[1:closing]}
		text = text[closing+1:]
		if _, known := ruleOf(e.AI); !known {
			return nil, fmt.Errorf("(%s) %w", e.AI, ErrElement)
		}
		end := nextElement(text)
		e.Value, text = text[:end], text[end:]
		elements = append(elements, e)
	}
	return elements, Check(elements)
}

// nextElement is where the next identifier in brackets begins. A lot may hold
// brackets of its own: only those around a known identifier count.
func nextElement(text string) int {
	for at := range len(text) {
		if text[at] != '(' {
			continue
		}
		if closing := strings.IndexByte(text[at:], ')'); closing > 0 {
			if _, known := ruleOf(text[at+1 : at+closing]); known {
				return at
			}
		}
	}
	return len(text)
}

// ReadData reads what Data writes, as a scanner hands it over. A needless FNC1 at
// the end of an element is let pass.
func ReadData(data string) (elements []Element, err error) {
	rest, begins := strings.CutPrefix(data, FNC1)
	if !begins {
		return nil, ErrElement
	}
	for rest != "" {
		e, r, known := Element{}, rule{}, false
		for _, n := range []int{2, 4} {
			if len(rest) >= n && !known {
				e.AI = rest[:n]
				r, known = ruleOf(e.AI)
			}
		}
		if !known {
			return nil, ErrElement
		}
		rest = rest[len(e.AI):]
		end := strings.Index(rest, FNC1)
		if end < 0 {
			end = len(rest)
		}
		if r.fixed > 0 && r.fixed < end {
			end = r.fixed
		}
		e.Value, rest = rest[:end], strings.TrimPrefix(rest[end:], FNC1)
		elements = append(elements, e)
	}
	return elements, Check(elements)
}
