package v1

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"regexp"
	"strings"
	"sync"

	"headtally/api/book"
	"headtally/api/internal/edge"
	"headtally/domain"
)

// A POST that stores something names itself by an Idempotency-Key
// (draft-ietf-httpapi-idempotency-key-header-06): a quoted string, or the same
// without quotes. The key belongs to the person who sends it. Its answer is
// kept for a day, in the transaction of the change itself, and given again
// where the same request comes again; another request under the key is refused
// (422), and so is one that comes while the first is under way (409). A request
// that was refused stored nothing and has not used its key.

// keyForm is what a key may look like: a String of RFC 9651 without escapes, or
// the same characters bare. It takes half a millisecond to make, so it is made
// when first asked for and not at every start of a command.
var keyForm = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?:"[ !#-\[\]-~]{1,128}"|[!#-+\--:<-\[\]-~]{1,128})$`)
})

// key reads the request's key.
func key(a *edge.Ask) (string, error) {
	given := a.Header.Values("Idempotency-Key")
	bad := &edge.Bad{In: edge.InHeader, Kind: edge.ErrNoKey}
	switch {
	case len(given) == 0:
		bad.Faults.Add("Idempotency-Key", "required")
		return "", bad
	case len(given) > 1 || !keyForm().MatchString(given[0]):
		bad.Kind = edge.ErrMalformed
		bad.Faults.Add("Idempotency-Key", "key")
		return "", bad
	}
	return strings.Trim(given[0], `"`), nil
}

// keys knows which keys are being worked on in this program.
type keys struct {
	mu   sync.Mutex
	busy map[string]bool
}

func (k *keys) take(name string) bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.busy[name] {
		return false
	}
	k.busy[name] = true
	return true
}

func (k *keys) free(name string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	delete(k.busy, name)
}

// once makes a change at most once under the request's key. said is what the
// request says, decoded: a retry of an upload is other bytes. change is the
// book's call, under a context that keeps the answer in its transaction.
func once[R any](f *Face, a *edge.Ask, said any, change func(context.Context) (R, error), answer func(R) (*edge.Answer, error)) (*edge.Answer, error) {
	name, err := key(a)
	if err != nil {
		return nil, err
	}
	print, err := fingerprint(a, said)
	if err != nil {
		return nil, err
	}
	mine := owned(a.Person, name)
	if !f.keys.take(mine) {
		return nil, edge.ErrKeyBusy
	}
	defer f.keys.free(mine)
	if kept, err := f.again(a, name, print); kept != nil || err != nil {
		return kept, err
	}
	var made *edge.Answer
	ctx := f.Book.Keep(a.Context(), a.Person, func(result any) (book.Reply, error) {
		if made, err = answer(result.(R)); err != nil {
			return book.Reply{}, err
		}
		header, err := json.Marshal(made.Header)
		return book.Reply{Key: name, Fingerprint: print, Status: made.Status, Header: string(header), Body: string(made.Body)}, err
	})
	if _, err = change(ctx); err == nil {
		return made, nil
	}
	if errors.Is(err, domain.ErrConflict) { // another program on the same book may have taken the key
		if kept, failed := f.again(a, name, print); kept != nil || failed != nil {
			return kept, failed
		}
	}
	return nil, err
}

// again is the answer kept under a key; none where the key is new.
func (f *Face) again(a *edge.Ask, name, print string) (*edge.Answer, error) {
	kept, err := f.Book.Reply(a.Context(), a.Person, name)
	if err != nil || kept == nil {
		return nil, err
	}
	if kept.Fingerprint != print {
		return nil, edge.ErrKeyReused
	}
	answer := &edge.Answer{Status: kept.Status, Body: []byte(kept.Body)}
	return answer, json.Unmarshal([]byte(kept.Header), &answer.Header)
}

// fingerprint stands for everything a request says.
func fingerprint(a *edge.Ask, said any) (string, error) {
	body, err := json.Marshal(said)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	for _, part := range []string{a.Method, a.URL.EscapedPath(), a.URL.Query().Encode(), cmp.Or(a.Header.Get("If-Match"), "-"), string(body)} {
		h.Write([]byte(part))
		h.Write([]byte{0})
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
