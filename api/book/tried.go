package book

import (
	_ "embed"
	"strings"
	"sync"
)

// The 3,000 most used passwords of eight letters and more, the most used first:
// from the frequency list of zxcvbn 4.4.2 (Dropbox, Inc., MIT licence), itself
// made from published leaks.
//
//go:embed tried.txt
var triedText string

var triedList = sync.OnceValue(func() map[string]bool {
	list := map[string]bool{}
	for word := range strings.FieldsSeq(triedText) {
		list[word] = true
	}
	return list
})

// triedFirst says whether a password is one of the most used, or made of the
// words of this house.
func triedFirst(house ...string) func(string) bool {
	return func(password string) bool {
		password = strings.ToLower(password)
		if triedList()[password] {
			return true
		}
		bare := strings.Trim(password, "0123456789!?.-_ ")
		for _, name := range append(house, "headtally", "lettuce", "greenhouse") {
			name = strings.ToLower(name)
			if name != "" && (bare == name || bare == strings.ReplaceAll(name, " ", "")) {
				return true
			}
		}
		return false
	}
}
