package pages

import (
	"regexp"
	"strconv"
	"strings"
	"sync"

	"headtally/domain"
)

// entry is one wish typed in a line while on the telephone: so many cases, or
// so many more or fewer, of a product.
type entry struct {
	Product string
	Cases   int
	More    bool // on top of what stands; Cases may then be below 0
}

var entryShape = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?:([+\-−]?)\s*(\d{1,7})\s*[x×]?\s*(.*?)|(.+?)\s+([+\-−]?)\s*(\d{1,7}))$`)
})

// readEntries reads a line such as "+2", "6 mix, +1 rom" or "rom 4"; wishes are
// parted by commas or semicolons. One that names no product means the only one
// the customer usually has. Faults are placed on "entry".
func readEntries(line string, products []domain.Product, usual []string) (list []entry, faults domain.Faults) {
	for part := range strings.FieldsFuncSeq(line, func(r rune) bool { return r == ',' || r == ';' }) {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		m := entryShape().FindStringSubmatch(part)
		if m == nil {
			faults.Add("entry", "entry_shape", "value", part)
			continue
		}
		sign, digits, name := m[1]+m[5], m[2]+m[6], strings.TrimSpace(m[3]+m[4])
		n, err := strconv.Atoi(digits)
		if err != nil || n > domain.MaxCount {
			faults.Add("entry", "at_most", "limit", domain.MaxCount)
			continue
		}
		e := entry{Cases: n, More: sign != ""}
		if sign == "-" || sign == "−" {
			e.Cases = -n
		}
		found := named(name, products, usual)
		switch len(found) {
		case 1:
			e.Product = found[0].Code
			list = append(list, e)
		case 0:
			faults.Add("entry", "entry_unknown", "value", name)
		default:
			faults.Add("entry", "entry_which", "value", part, "allowed", namesOf(found))
		}
	}
	if len(list) == 0 && faults == nil {
		faults.Add("entry", "required")
	}
	return list, faults
}

// named is the products a word can mean: by its code, else by the beginning of
// its code or of a word of its name.
func named(word string, products []domain.Product, usual []string) (found []domain.Product) {
	word = strings.ToLower(word)
	for _, p := range products {
		if word != "" && strings.ToLower(p.Code) == word {
			return []domain.Product{p}
		}
	}
	for _, p := range products {
		if word == "" {
			for _, code := range usual {
				if code == p.Code {
					found = append(found, p)
				}
			}
			continue
		}
		if begins(p.Code, word) || begins(p.Name, word) {
			found = append(found, p)
		}
	}
	return found
}

// begins says whether a text, or the rest of it from the beginning of one of
// its words, begins with a word.
func begins(text, word string) bool {
	text = strings.ToLower(text)
	for {
		if strings.HasPrefix(text, word) {
			return true
		}
		_, rest, more := strings.Cut(text, " ")
		if !more {
			return false
		}
		text = rest
	}
}

func namesOf(products []domain.Product) []string {
	names := make([]string, len(products))
	for i, p := range products {
		names[i] = p.Name
	}
	return names
}
