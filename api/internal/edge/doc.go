// Package edge is what the JSON face and the pages share: who asks, how a
// request is read strictly, and how a refusal is told.
//
// A handler is given an Ask and returns an Answer or an error, and neither knows
// the web framework: an order is taken as
//
//	func take(a *edge.Ask) (*edge.Answer, error) {
//		var o domain.Order
//		if err := a.Decode(&o); err != nil {
//			return nil, err
//		}
//		...
//		return edge.JSON(http.StatusCreated, o)
//	}
//
// Errors go up as they are; the one error handler above turns them into problem
// documents (RFC 9457) or pages.
package edge
