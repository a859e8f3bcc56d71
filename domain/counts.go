package domain

import (
	"fmt"
	"strconv"
	"strings"
)

// Heads counts plants sold, each with its roots on.
type Heads int

// Cases counts whole cases of a product.
type Cases int

// MaxCount is the largest count any document may hold.
const MaxCount = 1_000_000

// HalfRafts counts rafts in halves: 5 is two and a half rafts. Documents write
// it as a number of rafts, whole or ending in .5.
type HalfRafts int

// String is the number of rafts, such as "2.5".
func (h HalfRafts) String() string {
	if h%2 == 0 {
		return strconv.Itoa(int(h / 2))
	}
	return strconv.Itoa(int(h/2)) + ".5"
}

// ParseHalfRafts reads a number of rafts, whole or ending in .5.
func ParseHalfRafts(text string) (HalfRafts, error) {
	whole, part, dotted := strings.Cut(text, ".")
	n, err := strconv.Atoi(whole)
	if err != nil || n < 0 || n > MaxCount || whole[0] == '+' || whole[0] == '-' || dotted && part != "5" && part != "0" {
		return 0, fmt.Errorf("%q is no number of rafts: whole or ending in .5, from 0 to %d", text, MaxCount)
	}
	h := HalfRafts(2 * n)
	if part == "5" {
		h++
	}
	return h, nil
}

// MarshalJSON writes the number of rafts.
func (h HalfRafts) MarshalJSON() ([]byte, error) { return []byte(h.String()), nil }

// UnmarshalJSON reads a number of rafts.
func (h *HalfRafts) UnmarshalJSON(b []byte) (err error) {
	*h, err = ParseHalfRafts(string(b))
	return err
}
