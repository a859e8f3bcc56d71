package api_test

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWhatIsTypedIsShownAsText stores markup wherever a name or a note is taken,
// and looks for it in every page that is read.
func TestWhatIsTypedIsShownAsText(t *testing.T) {
	const typed = `<script>alert(1)</script>\"'><img src=x onerror=alert(2)>`
	p := newPeopled(t)
	for address, body := range map[string]string{
		"varieties": `{"code":"OAK","name":"` + typed + `","note":""}`,
		"carriers":  `{"code":"VAN","name":"` + typed + `","pickups":["tue","fri"]}`,
	} {
		body = strings.Replace(body, `,"note":""`, "", 1)
		res := p.ask("owner", "POST", "/v1/"+address, body)
		require.Equal(t, http.StatusCreated, res.Code, res.Body.String())
	}
	for _, sent := range [][2]string{
		{"products", `{"code":"OAK6","name":"` + typed + `","slots":[{"heads":6,"accept":["OAK"]}]}`},
		{"customers", `{"code":"INN","name":"` + typed + `","carrier":"VAN"}`},
		{"orders", `{"id":"O1","customer":"INN","pickup":"2027-03-05","purchase_order":"` + typed + `","note":"` + typed + `","lines":[{"product":"OAK6","cases":2}]}`},
		{"counts", `{"id":"N1","day":"2027-03-01","note":"` + typed + `","beds":[{"bed":"A1","variety":"OAK","rafts_now":2}]}`},
	} {
		res := p.ask("owner", "POST", "/v1/"+sent[0]+"?why="+"%3Cscript%3Ealert(1)%3C%2Fscript%3E", sent[1])
		require.Equal(t, http.StatusCreated, res.Code, res.Body.String())
	}
	live := regexp.MustCompile(`<script>alert|<img src=x`)
	shown := 0
	for _, address := range addresses(p) {
		path, is := strings.CutPrefix(address, "GET ")
		if !is || strings.HasPrefix(path, "/v1/") || strings.HasPrefix(path, "/static") {
			continue
		}
		for _, code := range []string{"OAK", "OAK6", "INN", "VAN", "O1"} {
			at := strings.NewReplacer("{day}", "2027-03-05", "{code}", code, "{variety}", "OAK", "{id}", "N1", "{issue}", "1", "{name}", "x").Replace(path)
			res := p.ask("owner", "GET", at, "")
			if strings.HasPrefix(res.Header().Get("Content-Type"), "text/html") {
				require.NotRegexp(t, live, res.Body.String(), at)
				shown += strings.Count(res.Body.String(), "&lt;script&gt;alert")
			}
		}
	}
	require.Greater(t, shown, 10, "it is shown, as text")
}
