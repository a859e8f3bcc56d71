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
		for word != "" && s.width(word) > width {
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

// leastShrink is how far a letter may shrink so that a word stays whole.
const leastShrink = 0.6

// shrunk is the style in which the longest word of a text fits a width, within
// bounds: a smaller word is read sooner than a broken one.
func (s style) shrunk(words string, width float64) style {
	longest := 0.0
	for _, word := range strings.Fields(words) {
		longest = max(longest, s.width(word))
	}
	if longest > width {
		// A trifle less than exact, for sizes are written to the PDF rounded.
		s.size *= max(width/longest*0.995, leastShrink)
	}
	return s
}

// inOneLine is the style in which a text fits a width without a break, within
// the bounds of shrunk: a date is read at once when it stands in one line.
func (s style) inOneLine(words string, width float64) style {
	if w := s.width(words); w > width {
		s.size *= max(width/w*0.995, leastShrink)
	}
	return s
}
