package edge

import (
	"context"
	"net/http"
	"strings"
	"time"

	"headtally/api/book"
)

// Anybody is what an address says that is open to all, known or not.
const Anybody book.Right = "anybody"

// Either is what an address asks for that any of several rights opens.
func Either(rights ...book.Right) book.Right {
	words := make([]string, len(rights))
	for i, r := range rights {
		words[i] = string(r)
	}
	return book.Right(strings.Join(words, either))
}

const either = " or "

// OneOf takes what an address asks for apart into the rights that open it.
func OneOf(may book.Right) (rights []book.Right) {
	for word := range strings.SplitSeq(string(may), either) {
		rights = append(rights, book.Right(word))
	}
	return rights
}

// The cookies that let a browser in. Their prefix makes browsers take them only
// with Secure, for every path and for this host alone (RFC 6265bis, 4.1.3.2).
const (
	SessionCookie = "__Host-headtally"       // a person signed in, or the machine of a farm of one
	DeviceCookie  = "__Host-headtally-phone" // a shared telephone that is known
)

// LetIn gives a browser a secret to keep; lasts 0: until it is closed.
func LetIn(w http.ResponseWriter, cookie, secret string, lasts time.Duration) {
	http.SetCookie(w, &http.Cookie{Name: cookie, Value: secret, Path: "/", Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(lasts.Seconds())})
}

// LetOut takes a secret back from a browser.
func LetOut(w http.ResponseWriter, cookie string) {
	http.SetCookie(w, &http.Cookie{Name: cookie, Path: "/", Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: -1})
}

// Secret is what a browser brings in a cookie, "" where it has none.
func Secret(r *http.Request, cookie string) string {
	if c, err := r.Cookie(cookie); err == nil {
		return c.Value
	}
	return ""
}

// Origin is where a request comes from.
type Origin struct {
	Address string // the asker's own, through the proxies that are known
	Machine bool   // from this machine, through no proxy
	Secret  bool   // nobody on the way can read it: TLS, here or at a known proxy
}

type originKey struct{}

// WithOrigin puts where a request comes from into its context.
func WithOrigin(ctx context.Context, o Origin) context.Context {
	return context.WithValue(ctx, originKey{}, o)
}

// From is where a request comes from.
func From(ctx context.Context) Origin {
	o, _ := ctx.Value(originKey{}).(Origin)
	return o
}
