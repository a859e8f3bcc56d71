package pages

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"net/http"
	"net/url"

	"headtally/api/book"
	"headtally/domain"
)

// once is the context of a change that is kept under the key its form carries;
// done says that it was made before. A form that comes again and says something
// else, as after a way back in the browser, is refused: neither is it stored
// unseen nor taken for the one that was.
func (v *visit) once() (ctx context.Context, done bool, err error) {
	key := v.FormValue("id")
	if key == "" || len(key) > 40 {
		return v.ctx, false, nil
	}
	key = "page " + key
	print := v.fingerprint()
	kept, err := v.office.Book.Reply(v.ctx, v.who, key)
	switch {
	case err != nil:
		return v.ctx, false, err
	case kept != nil && kept.Fingerprint != print:
		return v.ctx, false, sentBefore()
	case kept != nil:
		return v.ctx, true, nil
	}
	return v.office.Book.Keep(v.ctx, v.who, func(any) (book.Reply, error) {
		return book.Reply{Key: key, Fingerprint: print, Status: http.StatusSeeOther, Header: "{}"}, nil
	}), false, nil
}

// fingerprint stands for what a form says, whatever its key.
func (v *visit) fingerprint() string {
	said := url.Values(maps.Clone(v.posted()))
	said.Del("id")
	sum := sha256.Sum256([]byte(v.Request().URL.Path + "\x00" + said.Encode()))
	return hex.EncodeToString(sum[:])
}

// sentBefore refuses a form whose key was used for other figures.
func sentBefore() error {
	return domain.Refuse(domain.ErrConflict, "form", "", "reason", "sent_before")
}
