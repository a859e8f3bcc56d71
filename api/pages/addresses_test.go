package pages_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"headtally/api/book"
	"headtally/domain"
)

// The owner of a stocked farm, for browsers that must sign in.
const (
	ownerCode     = "ada"
	ownerPassword = "seven wet rafts at dawn"
)

// stocked is a full farm on which everything happened once: a sowing, an issue, a
// sheet that is being looked at, a row that waits, and an owner who signs in. It
// gives the addresses that only such deeds lead to.
func stocked(t testing.TB, customers int) (*house, []string) {
	h := full(t, customers)
	h.follow(h.post("/papers/2027-03-03/issue", nil))
	sown := h.get("/batches").form("[name=trays]")
	sown.Set("trays", "4")
	h.follow(h.post("/batches", sown))
	const head = "Customer,Product,Date,Cases\n"
	h.park(head + "Harbor Table,Chef's mix,2027-03-04,many\n")
	sheet := h.dropped(head + "Harbor Table,Little gem flat,2027-03-04,4\nHarbour Tabel,P1,2027-03-04,2\n")
	_, err := h.book.AddAccount(t.Context(), book.Owner(), domain.Account{Code: ownerCode, Name: "Ada", Roles: []domain.Role{domain.RoleOwner}}, ownerPassword)
	require.NoError(t, err)
	return h, []string{sheet, "/sign-in", "/begin?visit=x", "/welcome?visit=x"}
}

// dropped drops a sheet and gives the address where it is looked at.
func (h *house) dropped(content string) string {
	h.t.Helper()
	p := h.drop("orders.csv", content)
	return attr(p.one("#sheetform"), "action")
}

// park takes a sheet with its rows that cannot be read left waiting.
func (h *house) park(content string) {
	h.t.Helper()
	address := h.dropped(content)
	p := h.get(address + "?park=1")
	take := p.form("#sheetform [name=revision]")
	take.Set("park", "1")
	h.follow(h.post(address, take))
}

// notPages are addresses that a browser is sent to and that show no page of ours:
// files, papers, answers to scripts, and what is seen only while a sheet is taken.
var notPages = []string{"/growing-papers/:day/:name", "/trace/recall.pdf", "/availability.pdf", "/static/:file", "/p/cell", "/papers/:day/:name", "/kept/:issue/:name", "/exports/:export", "/sheet/:id/taking"}

// onward stands in place of the address of a page that only leads to another.
const onward = "→"

// reached follows every link from the first page and from some addresses more. It
// gives an address of each page, by the pattern it is registered with.
func (h *house) reached(more []string) map[string]string {
	h.t.Helper()
	first := map[string]string{}
	seen := map[string]bool{}
	for queue := append([]string{"/"}, more...); len(queue) > 0; queue = queue[1:] {
		address, _, _ := strings.Cut(queue[0], "#")
		pattern := h.pattern(address)
		if seen[address] || first[pattern] != "" || slices.Contains(notPages, pattern) {
			continue
		}
		seen[address] = true
		p := h.get(address)
		if to := p.header.Get("Location"); to != "" {
			first[pattern] = onward
			queue = append(queue, to)
			continue
		}
		require.Equal(h.t, http.StatusOK, p.status, "%s: %s", address, p.body)
		first[pattern] = address
		for _, a := range p.all("a[href]") {
			if to := attr(a, "href"); strings.HasPrefix(to, "/") {
				queue = append(queue, to)
			}
		}
	}
	return first
}

// pattern is what an address is registered with.
func (h *house) pattern(address string) string {
	u, err := url.Parse(address)
	require.NoError(h.t, err)
	c := h.echo.NewContext(httptest.NewRequest(http.MethodGet, address, nil), httptest.NewRecorder())
	h.echo.Router().Find(http.MethodGet, u.Path, c)
	return c.Path()
}

// allPages are the addresses of everyPage and of every other page that links lead
// to.
func (h *house) allPages(more []string) []string {
	list := slices.Clone(everyPage)
	have := map[string]bool{}
	for _, address := range list {
		have[h.pattern(address)] = true
	}
	for pattern, address := range h.reached(more) {
		if !have[pattern] && address != onward {
			list = append(list, address)
		}
	}
	slices.Sort(list)
	return list
}

// Every page is reached by links from the first one, or by something that a
// person does; so what is tried on all pages is tried on each.
func TestLinksLeadToEveryPage(t *testing.T) {
	h, more := stocked(t, 12)
	reached := h.reached(more)
	for _, r := range h.echo.Routes() {
		if r.Method == http.MethodGet && !slices.Contains(notPages, r.Path) {
			require.Contains(t, reached, r.Path, "nothing leads to %s", r.Path)
		}
	}
	for _, address := range h.allPages(more) {
		t.Run(address, func(t *testing.T) { h.get(address).wellMade(t, http.StatusOK) })
	}
}
