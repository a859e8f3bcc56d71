package api_test

import (
	"bytes"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/api"
	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/api/pages"
	"headtally/domain"
	"headtally/domain/store"
	"headtally/domain/store/storetest"
	"headtally/domain/tried"
)

const aPassword = "seven wet rafts at dawn"

// peopled is a service with its true pages and somebody of every kind.
type peopled struct {
	*testing.T
	book    *book.Book
	handler http.Handler
	log     *bytes.Buffer
	past    time.Duration
	first   string            // the secret of the address that opened the book
	holders map[string]holder // by role, "key office", "device", "nobody"
	keys    int
}

// holder is what somebody sends to be known.
type holder struct{ cookie, secret, key string }

func (h holder) show(r *http.Request) {
	if h.secret != "" {
		r.AddCookie(&http.Cookie{Name: h.cookie, Value: h.secret})
	}
	if h.key != "" {
		r.Header.Set("Authorization", "Bearer "+h.key)
	}
}

// peopledBook is a book with somebody of every kind, and what they send to be
// known. Making it hashes four passwords and tries three of them.
var peopledBook struct {
	storetest.Prepared
	first   string
	holders map[string]holder
}

func newPeopled(t *testing.T, change ...func(*api.Deps)) *peopled {
	t.Helper()
	p := &peopled{T: t, log: &bytes.Buffer{}}
	clock := func() time.Time { return now.Add(p.past) }
	opened := func(place string) *store.Store {
		s, err := store.Open(t.Context(), place, clock)
		require.NoError(t, err)
		t.Cleanup(func() { require.NoError(t, s.Close()) })
		p.book = book.New(s, clock)
		return s
	}
	opened(peopledBook.Place(t, store.Restore, func(file string) {
		s := opened(storetest.Place(t))
		p.fill()
		peopledBook.first, peopledBook.holders = p.first, p.holders
		require.NoError(t, s.Backup(t.Context(), file))
	}))
	p.first, p.holders = peopledBook.first, maps.Clone(peopledBook.holders)
	d := api.Deps{Book: p.book, Now: clock, Log: slog.New(slog.NewJSONHandler(p.log, nil)), Hosts: []string{"farm.example"},
		SpareLines: func(domain.Farm, []book.Spare) []string { return []string{} },
		DrawSpares: func(w io.Writer, _ domain.Farm, _ domain.Day, _ []book.Spare, _ string) error {
			_, err := io.WriteString(w, "%PDF")
			return err
		},
		Pages: pages.New(pages.Deps{Book: p.book, Now: clock})}
	for _, c := range change {
		c(&d)
	}
	var err error
	p.handler, err = api.New(d)
	require.NoError(t, err)
	return p
}

// fill opens the book and lets everybody in.
func (p *peopled) fill() {
	p.Helper()
	ctx := p.Context()
	p.holders = map[string]holder{"nobody": {}, "a guess": {cookie: edge.SessionCookie, secret: "guessed"}, "a guessed key": {key: "guessed"}}
	var err error
	p.first, err = p.book.FirstVisit(ctx)
	require.NoError(p, err)
	session, err := p.book.Begin(ctx, p.first, domain.Account{Name: "Ada"}, aPassword, "")
	require.NoError(p, err)
	p.holders["owner"] = holder{cookie: edge.SessionCookie, secret: session}
	ada, _, err := p.book.Holder(ctx, session, domain.SessionPass)
	require.NoError(p, err)
	for _, role := range []domain.Role{domain.RoleOffice, domain.RoleGrowing, domain.RolePacking} {
		name := string(role)
		_, err := p.book.AddAccount(ctx, ada, domain.Account{Code: name, Name: name, Roles: []domain.Role{role}}, aPassword)
		require.NoError(p, err)
		session, err := p.book.SignIn(ctx, name, aPassword, "")
		require.NoError(p, err)
		p.holders[name] = holder{cookie: edge.SessionCookie, secret: session}
		_, key, err := p.book.NewKey(ctx, ada, name, []domain.Role{role}, now.AddDate(0, 1, 0))
		require.NoError(p, err)
		p.holders["key "+name] = holder{key: key}
	}
	invitation, err := p.book.InviteDevice(ctx, ada, "packing room")
	require.NoError(p, err)
	device, err := p.book.TakeDevice(ctx, invitation, "")
	require.NoError(p, err)
	p.holders["device"] = holder{cookie: edge.DeviceCookie, secret: device}
}

// ask sends a request as somebody; each change may change it before.
func (p *peopled) ask(who, method, path, body string, change ...func(*http.Request)) *httptest.ResponseRecorder {
	p.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host, r.RemoteAddr = "farm.example", "192.0.2.7:5000"
	if strings.HasPrefix(path, "/v1/") {
		p.keys++
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Idempotency-Key", "key-"+strconv.Itoa(p.keys))
	} else {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Accept", "text/html")
	}
	p.holders[who].show(r)
	for _, c := range change {
		c(r)
	}
	res := httptest.NewRecorder()
	p.handler.ServeHTTP(res, r)
	return res
}

func header(name, value string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set(name, value) }
}

// signIn posts the sign-in form.
func (p *peopled) signIn(code, password, from string) *httptest.ResponseRecorder {
	p.Helper()
	form := url.Values{"code": {code}, "password": {password}, "back": {"/orders"}}
	return p.ask("nobody", "POST", "/sign-in", form.Encode(), func(r *http.Request) { r.RemoteAddr = from + ":1" })
}

// session is the session cookie that an answer sets.
func session(t *testing.T, res *httptest.ResponseRecorder) *http.Cookie {
	t.Helper()
	for _, c := range res.Result().Cookies() {
		if c.Name == edge.SessionCookie {
			return c
		}
	}
	require.Fail(t, "no session", res.Body.String())
	return nil
}

func TestTheSessionCookie(t *testing.T) {
	p := newPeopled(t)
	res := p.signIn(" Office ", aPassword, "192.0.2.1")
	require.Equal(t, http.StatusSeeOther, res.Code)
	require.Equal(t, "/orders", res.Header().Get("Location"))
	c := session(t, res)
	require.Equal(t, "__Host-headtally", c.Name)
	require.True(t, c.Secure && c.HttpOnly && c.SameSite == http.SameSiteStrictMode && c.Path == "/" && c.Domain == "", c.Raw)
	require.Len(t, c.Value, 43, "32 bytes in base64url")
}

// TestSecretsAreNew signs in over and over: every secret is 256 bits of its own.
func TestSecretsAreNew(t *testing.T) {
	p := newPeopled(t)
	seen := map[string]bool{}
	for range tried.Times(t, 40, 10_000) {
		c := session(t, p.signIn("office", aPassword, "192.0.2.1"))
		require.Len(t, c.Value, 43)
		require.False(t, seen[c.Value])
		seen[c.Value] = true
	}
}

func TestSignedOutIsOutOnTheServer(t *testing.T) {
	p := newPeopled(t)
	require.Equal(t, 200, p.ask("office", "GET", "/v1/farm", "").Code)
	res := p.ask("office", "POST", "/sign-out", "")
	require.Equal(t, http.StatusSeeOther, res.Code)
	require.Negative(t, session(t, res).MaxAge)
	require.Equal(t, 401, p.ask("office", "GET", "/v1/farm", "").Code, "the old cookie sent again")
	require.Equal(t, 200, p.ask("growing", "GET", "/v1/farm", "").Code, "nobody else is out")
}

func TestRevocation(t *testing.T) {
	p := newPeopled(t)
	base := func(code string) url.Values {
		page := p.ask("owner", "GET", "/people/"+code, "").Body.String()
		return url.Values{"base": {regexp.MustCompile(`name="base" value="(\d+)"`).FindStringSubmatch(page)[1]}}
	}
	require.Equal(t, 303, p.ask("owner", "POST", "/people/office/end", base("office").Encode()).Code)
	require.Equal(t, 401, p.ask("office", "GET", "/v1/farm", "").Code, "who is ended")
	require.Equal(t, 303, p.ask("owner", "POST", "/people/growing/password", url.Values{"password": {"another good one"}}.Encode()).Code)
	require.Equal(t, 401, p.ask("growing", "GET", "/v1/farm", "").Code, "whose password changed")
	page := p.ask("owner", "GET", "/people", "").Body.String()
	for _, m := range regexp.MustCompile(`action="(/passes/[0-9a-f]+/end)"`).FindAllStringSubmatch(page, -1) {

		require.Equal(t, 303, p.ask("owner", "POST", m[1], "").Code)
	}
	for _, who := range []string{"device", "key office", "key packing"} {
		require.Equal(t, 401, p.ask(who, "GET", "/v1/farm", "").Code, "%s struck off", who)
	}
	require.Equal(t, 200, p.ask("owner", "GET", "/v1/farm", "").Code)
}

func TestSessionsTimeOut(t *testing.T) {
	p := newPeopled(t)
	p.past = 29 * time.Minute
	require.Equal(t, 200, p.ask("office", "GET", "/v1/farm", "").Code)
	p.past += 31 * time.Minute
	require.Equal(t, 401, p.ask("office", "GET", "/v1/farm", "").Code, "idle")
	require.Equal(t, 200, p.ask("device", "GET", "/v1/farm", "").Code, "a telephone stays")
}

func TestThePolicyOfPasswordsOnThePage(t *testing.T) {
	p := newPeopled(t)
	form := func(password string) int {
		return p.ask("owner", "POST", "/people/office/password", url.Values{"password": {password}}.Encode()).Code
	}
	for _, bad := range []string{"", "1234567", "password", "password1", "office office"[:6]} {
		require.Equal(t, 422, form(bad), "%q", bad)
	}
	for _, good := range []string{"hub raft", strings.Repeat("raft ", 12) + "four", "🥬🥬🥬🥬🥬🥬🥬🥬", "ends with a blank "} {
		require.Equal(t, 303, form(good), "%q", good)
		require.Equal(t, 303, p.signIn("office", good, "192.0.2.1").Code, "%q", good)
	}
	require.Equal(t, 401, p.signIn("office", "ends with a blank", "192.0.2.1").Code)
	require.Equal(t, 401, p.signIn("office", "Ends with a blank ", "192.0.2.1").Code)
}

func TestNoAccountComesWithTheProgram(t *testing.T) {
	p := newPeopled(t)
	for _, x := range []string{"admin", "owner", "root", "headtally"} {
		require.Equal(t, 401, p.signIn(x, x, "192.0.2.1").Code)
	}
	form := url.Values{"visit": {p.first}, "name": {"Eve"}, "password": {aPassword}}
	require.Equal(t, 403, p.ask("nobody", "POST", "/begin", form.Encode()).Code, "the first address works once")
	require.Equal(t, 403, p.ask("nobody", "POST", "/begin/alone", form.Encode()).Code)
	require.Equal(t, 200, p.ask("nobody", "GET", "/begin?visit="+p.first, "").Code, "looking uses nothing up and lets nobody in")
}

func TestGuessingIsBraked(t *testing.T) {
	p := newPeopled(t)
	for range 5 {
		require.Equal(t, 401, p.signIn("office", "wrong guess", "192.0.2.66").Code)
	}
	res := p.signIn("office", "wrong guess", "192.0.2.66")
	require.Equal(t, 429, res.Code)
	require.Equal(t, "2", res.Header().Get("Retry-After"))
	require.Equal(t, 303, p.signIn("growing", aPassword, "192.0.2.1").Code, "nobody else is held up")
	one, other := p.signIn("nobody-of-that-name", "wrong guess", "192.0.2.4").Body.String(), p.signIn("packing", "wrong guess", "192.0.2.5").Body.String()
	require.Equal(t, strings.ReplaceAll(one, "nobody-of-that-name", "packing"), other, "a wrong name is told as a wrong password is")
}

func TestChangesOfOtherSitesAreRefused(t *testing.T) {
	p := newPeopled(t)
	for name, as := range map[string]func(*http.Request){"by what the browser says": header("Sec-Fetch-Site", "cross-site"), "by its origin": header("Origin", "https://x.example")} {
		require.Equal(t, 403, p.ask("owner", "POST", "/people", "name=Eve", as).Code, name)
		require.Equal(t, 403, p.ask("owner", "POST", "/v1/varieties", `{"name":"Lollo"}`, as).Code, name)
		require.Equal(t, 403, p.ask("nobody", "POST", "/sign-in", "code=office", as).Code, name)
	}
	res := p.ask("owner", "OPTIONS", "/v1/varieties", "", header("Origin", "https://x.example"), header("Access-Control-Request-Method", "POST"))
	require.Empty(t, res.Header().Get("Access-Control-Allow-Origin"))
}

func TestKeysComeInTheHeaderAlone(t *testing.T) {
	p := newPeopled(t)
	key := p.holders["key office"].key
	require.Equal(t, 200, p.ask("key office", "GET", "/v1/farm", "").Code)
	for _, query := range []string{"api_key=", "key=", "access_token=", "Authorization=Bearer+"} {
		require.Equal(t, 401, p.ask("nobody", "GET", "/v1/farm?"+query+key, "").Code)
	}
	require.Equal(t, 401, p.ask("nobody", "GET", "/v1/farm", "", header("Cookie", edge.SessionCookie+"="+key)).Code)
	require.Equal(t, 401, p.ask("nobody", "GET", "/v1/farm", "", header("Authorization", "Basic "+key)).Code)
	res := p.ask("owner", "GET", "/v1/farm", "", header("Authorization", "Bearer guessed"))
	require.Equal(t, 401, res.Code, "a key that lets nobody in is not made good by a cookie")
	require.Contains(t, res.Header().Get("WWW-Authenticate"), "Bearer")
	require.Equal(t, 303, p.ask("key office", "GET", "/orders", "").Code, "pages take no keys")
	require.NotContains(t, p.log.String(), key)
	require.NotContains(t, p.log.String(), aPassword)
}

func TestUnknownReadersAreAskedInAndBroughtBack(t *testing.T) {
	p := newPeopled(t)
	res := p.ask("nobody", "GET", "/customers?name=a", "")
	require.Equal(t, http.StatusSeeOther, res.Code)
	require.Equal(t, "/sign-in?back=%2Fcustomers%3Fname%3Da", res.Header().Get("Location"))
	require.Contains(t, p.ask("nobody", "GET", res.Header().Get("Location"), "").Body.String(), `value="/customers?name=a"`)
	for _, bad := range []string{"//x.example", "https://x.example/", `/\x.example`, "javascript:alert(1)", "x", "/\tx"} {
		require.Contains(t, p.ask("nobody", "GET", "/sign-in?back="+url.QueryEscape(bad), "").Body.String(), `name="back" value="/"`, bad)
	}
	require.Equal(t, 401, p.ask("nobody", "POST", "/customers/new", "").Code)
}

func TestAskersAreHeldToAPace(t *testing.T) {
	p := newPeopled(t, func(d *api.Deps) { d.Pace = 25 })
	ask := func(who, from string) int {
		return p.ask(who, "GET", "/v1/farm", "", func(r *http.Request) { r.RemoteAddr = from + ":1" }).Code
	}
	held := 0
	for range 200 {
		if ask("key office", "192.0.2.1") == 429 {
			held++
		}
	}
	require.Equal(t, 100, held, "four seconds' are let through at once")
	res := p.ask("key office", "GET", "/v1/farm", "")
	require.Equal(t, "1", res.Header().Get("Retry-After"))
	require.Equal(t, 200, ask("key growing", "192.0.2.1"), "another key, from the same address")
	p.past += time.Second
	for range 25 {
		require.Equal(t, 200, ask("key office", "192.0.2.1"))
	}
	require.Equal(t, 429, ask("key office", "192.0.2.9"), "and from another address")
}

func TestForwardedIsBelievedFromKnownProxiesAlone(t *testing.T) {
	p := newPeopled(t, func(d *api.Deps) { d.Proxies = []netip.Prefix{netip.MustParsePrefix("10.0.0.0/24")} })
	from := func(peer, forwarded, proto string) *httptest.ResponseRecorder {
		p.keys++
		return p.ask("nobody", "POST", "/sign-in", "code=n"+strconv.Itoa(p.keys)+"&password=wrong+guess", func(r *http.Request) { r.RemoteAddr = peer + ":1" },
			header("X-Forwarded-For", forwarded), header("X-Forwarded-Proto", proto))
	}
	require.Empty(t, from("192.0.2.1", "127.0.0.1", "https").Header().Get("Strict-Transport-Security"), "anybody can say that")
	require.NotEmpty(t, from("10.0.0.9", "192.0.2.1", "https").Header().Get("Strict-Transport-Security"))
	for i := range 6 { // each says it is somebody else; all are one
		from("192.0.2.80", "198.51.100."+string(rune('0'+i)), "")
	}
	require.Equal(t, 429, from("192.0.2.80", "198.51.100.9", "").Code)
	require.Equal(t, 429, p.signIn("nobody-else", "wrong guess", "192.0.2.80").Code)
	require.Equal(t, 429, p.ask("nobody", "POST", "/sign-in", "code=x&password=y", func(r *http.Request) { r.RemoteAddr = "10.0.0.9:1" },
		header("X-Forwarded-For", "203.0.113.5, 192.0.2.80, 10.0.0.8")).Code, "the last before the known proxies counts")
}

func TestTheMachineItselfIsTheOwnerOnlyWhereThatWasAskedFor(t *testing.T) {
	at := func(p *peopled, from string) int {
		return p.ask("nobody", "GET", "/v1/farm", "", func(r *http.Request) { r.RemoteAddr = from + ":1" }).Code
	}
	p := newPeopled(t, func(d *api.Deps) { d.Alone = true })
	require.Equal(t, 401, at(p, "127.0.0.1"), "not once there are people")
	s, err := store.Open(t.Context(), storetest.Place(t), func() time.Time { return now })
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	b := book.New(s, func() time.Time { return now })
	for name, x := range map[string]struct {
		deps   api.Deps
		from   string
		status int
	}{
		"as the demo, from this machine": {api.Deps{Alone: true}, "127.0.0.1", 200},
		"from another":                   {api.Deps{Alone: true}, "192.0.2.1", 401},
		"through a proxy":                {api.Deps{Alone: true, Proxies: []netip.Prefix{netip.MustParsePrefix("127.0.0.0/8")}}, "127.0.0.1", 401},
		"a book of a farm":               {api.Deps{}, "127.0.0.1", 401},
	} {
		x.deps.Book, x.deps.Now, x.deps.Log, x.deps.Hosts = b, func() time.Time { return now }, slog.New(slog.DiscardHandler), []string{"farm.example"}
		p.handler, err = api.New(x.deps)
		require.NoError(t, err)
		require.Equal(t, x.status, at(p, x.from), name)
	}
}

func TestFiguresForPrometheus(t *testing.T) {
	p := newPeopled(t, func(d *api.Deps) {
		d.Gauges = []api.Gauge{{Name: "database_bytes", Help: "How large it is.", Read: func() float64 { return 4096 }}}
	})
	require.Equal(t, 200, p.ask("office", "GET", "/v1/plan", "").Code)
	require.Equal(t, 404, p.ask("office", "GET", "/v1/orders/NONE", "").Code)
	require.Equal(t, 401, p.ask("nobody", "GET", "/metrics", "").Code)
	require.Equal(t, 403, p.ask("key packing", "GET", "/metrics", "").Code)
	res := p.ask("key office", "GET", "/metrics", "")
	require.Equal(t, 200, res.Code)
	require.Contains(t, res.Header().Get("Content-Type"), "text/plain; version=0.0.4")
	for _, line := range []string{`headtally_requests_total{address="GET /v1/orders/{id}",status="404"} 1`, `headtally_requests_total{address="GET /metrics",status="401"} 1`,
		`headtally_request_seconds_count{address="GET /v1/plan"} 1`, "headtally_plans 1", "headtally_plan_lines 0", "headtally_database_bytes 4096"} {
		require.Contains(t, res.Body.String(), line+"\n")
	}
}
