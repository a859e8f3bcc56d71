package pages_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

const recipePage = "/recipe/2027-03-04"

// reds is the form of the mixed reds: 4 red romaine, 4 red butterhead, and 4 red
// oakleaf or else red batavia.
const reds = "#p-P3 form"

// boxes types heads into the boxes of a form; what it held is wiped out.
func boxes(form url.Values, heads map[string]string) url.Values {
	for name := range form {
		if strings.HasPrefix(name, "heads[") {
			form.Set(name, heads[strings.Trim(name[5:], "[]")])
		}
	}
	return form
}

func TestARecipeIsTypedOverPlannedAgainAndGivenBack(t *testing.T) {
	h := full(t, 12)
	before := h.get(recipePage)
	before.wellMade(t, http.StatusOK)
	require.Equal(t, []string{"4", "4", "4"}, []string{attr(before.one("#b-P3-V02"), "value"), attr(before.one("#b-P3-V04"), "value"), attr(before.one("#b-P3-V06"), "value")},
		"typing over starts from what is planned")
	require.False(t, has(before.one("#p-P3 details"), "open"))
	planned := before.text("#p-P3 .lay")

	after := h.follow(h.post(recipePage, boxes(before.form(reds), map[string]string{"V02": "2", "V04": "4", "V08": "6"})))
	after.wellMade(t, http.StatusOK)
	require.Contains(t, after.text(".said"), "Planned again")
	card := after.text("#p-P3")
	for _, said := range []string{"by hand", "2 Red romaine", "4 Red butterhead", "6 Red batavia", "Against the planned recipe", "Back to the planned recipe"} {
		require.Contains(t, card, said)
	}
	require.Contains(t, after.text("#p-P3 .cost"), planned, "the way back is shown beside the cost")
	require.Len(t, after.all(".byhand"), 1)

	back := h.follow(h.post(recipePage, with(after.form(reds), "clear", "1")))
	require.Contains(t, back.text(".said"), "without your recipe")
	require.Equal(t, planned, back.text("#p-P3 .lay"))
	require.Empty(t, back.all(".byhand"))
}

func with(form url.Values, name, value string) url.Values {
	form.Set(name, value)
	return form
}

func TestARecipeThatCannotBeKeepsWhatWasTyped(t *testing.T) {
	h := full(t, 12)
	form := h.get(recipePage).form(reds)
	wrong := h.post(recipePage, boxes(form, map[string]string{"V02": "2", "V04": "4", "V08": "7"}))
	wrong.wellMade(t, http.StatusUnprocessableEntity)
	require.Contains(t, wrong.text("#p-P3 .err"), "Holds 13 heads, and a case holds 12")
	require.Equal(t, "7", attr(wrong.one("#b-P3-V08"), "value"))
	require.True(t, has(wrong.one("#p-P3 details.fold"), "open"))

	wrong = h.post(recipePage, boxes(form, map[string]string{"V02": "two", "V04": "10"}))
	wrong.wellMade(t, http.StatusUnprocessableEntity)
	require.Equal(t, "two", attr(wrong.one("#b-P3-V02"), "value"))
	require.Equal(t, "true", attr(wrong.one("#b-P3-V02"), "aria-invalid"))
	require.Len(t, wrong.all("#p-P3 .err"), 1, "each fault is said once")

	wrong = h.post(recipePage, boxes(form, map[string]string{"V02": "-2", "V04": "14"}))
	wrong.wellMade(t, http.StatusUnprocessableEntity)
	require.Equal(t, "true", attr(wrong.one("#b-P3-V02"), "aria-invalid"))
}

func TestTwoPeopleTypingOneRecipeAreTold(t *testing.T) {
	h := full(t, 12)
	mine := h.get(recipePage).form(reds)
	theirs := h.get(recipePage).form(reds)
	h.follow(h.post(recipePage, boxes(theirs, map[string]string{"V02": "12"})))
	told := h.post(recipePage, boxes(mine, map[string]string{"V04": "12"}))
	told.wellMade(t, http.StatusConflict)
	require.Contains(t, told.text("#p-P3 .lay"), "12 Red romaine", "what stands now is seen")
	require.Equal(t, "12", attr(told.one("#b-P3-V04"), "value"), "and what was typed is kept")
	after := h.follow(h.post(recipePage, told.form(reds)))
	require.Contains(t, after.text("#p-P3 .lay"), "12 Red butterhead")
}

func TestAPrintedRecipeAsksWhyItComesLate(t *testing.T) {
	h := full(t, 12)
	page := h.get(recipePage)
	form := boxes(page.form(reds), map[string]string{"V02": "12"})
	days, err := h.book.PackingDays(t.Context(), book.Owner(), today)
	require.NoError(t, err)
	for _, d := range days {
		if d < domain.MustDay("2027-03-04") {
			_, err = h.book.Issue(t.Context(), book.Owner(), today, d, "")
			require.NoError(t, err)
		}
	}
	refused := h.post(recipePage, form)
	refused.wellMade(t, http.StatusConflict)
	require.Contains(t, refused.text("#p-P3 .err"), "say why the change comes late")
	after := h.follow(h.post(recipePage, refused.form(reds)))
	require.Contains(t, after.text("#p-P3 .told"), "was printed with another recipe")
	require.Contains(t, attr(after.one("#p-P3 .told a"), "href"), "/papers/2027-03-0")
}

func TestARecipeNamesWhomItDoesNotSuit(t *testing.T) {
	h := full(t, 12)
	list, err := h.book.Customers.List(t.Context(), book.Owner(), book.Query{})
	require.NoError(t, err)
	for _, c := range list {
		c.Value.Refuse = []string{"V08"}
		must[domain.Customer](t)(h.book.Customers.Replace(t.Context(), book.Owner(), c.Value.Code, c.Value, book.Note{Base: c.Rev}))
	}
	after := h.follow(h.post(recipePage, boxes(h.get(recipePage).form(reds), map[string]string{"V08": "4", "V12": "8"})))
	card := after.text("#p-P3")
	require.Contains(t, card, "never gets Red batavia")
	require.Contains(t, card, "Endive is not among what this case is packed from")
	require.Contains(t, card, "fewer filled")
	require.Contains(t, card, "cases short")
}

// What lacks heads of a variety that nobody counted is not called short.
func TestARecipeOfWhatNobodyCounted(t *testing.T) {
	h := full(t, 12)
	card := h.follow(h.post(recipePage, boxes(h.get(recipePage).form(reds), map[string]string{"V02": "2", "V04": "4", "V12": "6"}))).text("#p-P3 h2")
	require.Contains(t, card, "not counted")
	require.NotContains(t, card, "short")
}
