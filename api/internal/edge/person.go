package edge

import (
	"context"

	"headtally/api/book"
)

type personKey struct{}

// WithPerson puts who asks into a request's context. One middleware does it.
func WithPerson(ctx context.Context, p book.Person) context.Context {
	return context.WithValue(ctx, personKey{}, p)
}

// Person is who asks. Where nobody was put in, it is somebody without rights.
func Person(ctx context.Context) book.Person {
	p, _ := ctx.Value(personKey{}).(book.Person)
	return p
}

type requestKey struct{}

// WithRequestID puts the name of a request into its context.
func WithRequestID(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, requestKey{}, id)
}

// RequestID is the name under which the log knows a request.
func RequestID(ctx context.Context) string {
	id, _ := ctx.Value(requestKey{}).(string)
	return id
}
