package prints

import (
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"headtally/api/words"
)

// Latin, Greek and Cyrillic are drawn; the alphabets of Europe's languages are
// all there, in both weights.
func TestLatinGreekAndCyrillicAreDrawn(t *testing.T) {
	for _, text := range []string{
		"ABCXYZ abcxyz 0123456789 .,;:!?&@#%()[]/-+*='\"",
		"ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖØÙÚÛÜÝÞß àáâãäåæçèéêëìíîïðñòóôõöøùúûüýþÿ",
		"ĄĆČĎĐĘĚĞĦĮİĽŁŃŇŐŒŘŚŞŠŤŢŮŰŲŹŻŽ ąćčďđęěğħįıľłńňőœřśşšťţůűųźżž ȘșȚț ẀẁẂẃ",
		"ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩ αβγδεζηθικλμνξοπρσςτυφχψω άέήίόύώϊϋΐΰ",
		"АБВГДЕЁЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯ абвгдеёжзийклмнопрстуфхцчшщъыьэюя ЄІЇҐ єіїґ ЂЈЉЊЋЏ ђјљњћџ",
		"½ ° · – — ’ “ ” « » € £ → № º ª"} {
		var seen inspector
		assert.Equal(t, text, seen.fit("", text))
		assert.Empty(t, seen.found, text)
	}
	var seen inspector
	assert.Equal(t, "é", seen.fit("", "e\u0301"), "an accent joins its letter")
	assert.Equal(t, "ab c", seen.fit("", "a\u200bb\u00a0c"), "what has no shape is left out, every white space is plain")
	assert.Empty(t, seen.found)
}

// Other letters are replaced, and the sheet says whose they were.
func TestOtherLettersAreNamedOnTheSheet(t *testing.T) {
	s := tell().truck("ferry", "Ferry Freight", "05:30")
	s.customer("北 Garden", "ferry", 1).asks(mixed, 1, 1)
	s.customer("Bar مرسى", "ferry", 2).asks(mixed, 1, 1)
	s.customer("Ταβέρνα Щука", "ferry", 3).asks(mixed, 1, 1)
	p, err := PackList(s.Day, issued)
	require.NoError(t, err)
	require.Len(t, p.warnings, 5)
	assert.Equal(t, "北 Garden: the letter 北 (U+5317) cannot be printed; write it by hand", p.warnings[0])
	text := readText(t, p)[0]
	assert.Contains(t, text, "\uFFFD Garden: the letter \uFFFD (U+5317) cannot be printed")
	assert.Contains(t, text, "(U+0645)")
	assert.Contains(t, text, "Ταβέρνα Щука")
	assert.NotContains(t, text, "北")
	assert.Less(t, strings.Index(text, "U+5317"), strings.Index(text, "Ferry Freight ·"), "the warning stands first")

	f := s.facts()
	f.Farm.Name = "牧場"
	labels, err := CaseLabels(f, wednesday, packedRuns(), LabelRoll, issued)
	require.NoError(t, err)
	assert.Len(t, labels.warnings, 2)
}

// Both languages hold the same codes with the same figures in them, and the
// programs ask for no code that there is not.
func TestBothLanguagesSayTheSame(t *testing.T) {
	read := func(language string) (catalogue map[string]string) {
		raw, err := os.ReadFile("../words/" + language + "/prints.json")
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(raw, &catalogue))
		return catalogue
	}
	en, es := read("en"), read("es")
	figure := regexp.MustCompile(`\{([a-z]+)`)
	figures := func(sentence string) (names []string) {
		for _, m := range figure.FindAllStringSubmatch(sentence, -1) {
			names = append(names, m[1])
		}
		slices.Sort(names)
		return slices.Compact(names)
	}
	for code, sentence := range en {
		require.Contains(t, es, code)
		assert.Equal(t, figures(sentence), figures(es[code]), code)
	}
	assert.Len(t, es, len(en))

	asked := map[string]bool{}
	files, err := os.ReadDir(".")
	require.NoError(t, err)
	for _, file := range files {
		raw, _ := os.ReadFile(file.Name())
		for _, m := range regexp.MustCompile(`\.say\("([a-z_.]+)"`).FindAllStringSubmatch(string(raw), -1) {
			asked["print."+m[1]] = true
			assert.True(t, words.In("en").Has("print."+m[1]), "%s asks for %s", file.Name(), m[1])
		}
		for code := range en { // codes that stand in a list
			if strings.Contains(string(raw), `"`+strings.TrimPrefix(code, "print.")+`"`) {
				asked[code] = true
			}
		}
	}
	for code := range en {
		assert.True(t, asked[code], "%s is said somewhere", code)
	}
}
