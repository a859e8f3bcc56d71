package edge

import (
	"errors"

	"headtally/domain"
)

// Refusals that only the edge makes; the table of statuses knows them all.
var (
	ErrMalformed   = errors.New("malformed")       // the request cannot be read
	ErrTooLarge    = errors.New("too large")       // the body has too many bytes
	ErrMediaType   = errors.New("media type")      // the body is of a kind not taken here
	ErrNoRoute     = errors.New("no such address") // nothing lies there
	ErrMethod      = errors.New("method")          // the address takes other methods
	ErrHost        = errors.New("host")            // called by a name that is not ours
	ErrCrossOrigin = errors.New("cross-origin")    // another site's page sent it
	ErrNoKey       = errors.New("no key")          // a POST that stores came without Idempotency-Key
	ErrKeyReused   = errors.New("key reused")      // the key was used for another request
	ErrKeyBusy     = errors.New("key busy")        // the first request with the key is still under way
	ErrBusy        = errors.New("busy")            // too much at once, or too long
	ErrNotReady    = errors.New("not ready")       // the book cannot be read
)

// Part is a part of a request.
type Part string

// The parts a fault can lie in.
const (
	InBody   Part = "body"
	InQuery  Part = "query"
	InPath   Part = "path"
	InHeader Part = "header"
	InSheet  Part = "sheet"
)

// Bad is a request that is wrong in one of its parts: which, how, and what
// kind of refusal it is.
type Bad struct {
	Kind   error
	In     Part
	Faults domain.Faults
}

// Error lists the faults.
func (b *Bad) Error() string { return string(b.In) + ": " + b.Faults.Error() }

// Unwrap lets errors.Is find the kind.
func (b *Bad) Unwrap() error { return b.Kind }

// malformed is a request with one fault in a part.
func malformed(in Part, place, code string, args ...any) *Bad {
	b := &Bad{Kind: ErrMalformed, In: in}
	b.Faults.Add(place, code, args...)
	return b
}
