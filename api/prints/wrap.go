package prints

import "strings"

// wrap breaks a text into lines no wider than width: between words, and within
// a word only where it alone is too wide. Nothing is cut off.
func (s style) wrap(text string, width float64) []string {
	if s.width(text) <= width {
		return []string{text}
	}
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if s.width(longer) <= width {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for s.width(word) > width {
			head := s.fitting(word, width)
			lines = append(lines, word[:head])
			word = word[head:]
		}
		line = word
	}
	return append(lines, line)
}

// fitting is how many bytes of a word fit a width, at least its first letter.
func (s style) fitting(word string, width float64) int {
	end := 0
	for at, r := range word {
		next := at + len(string(r))
		if end > 0 && s.width(word[:next]) > width {
			break
		}
		end = next
	}
	return end
}
