package pages

import (
	"maps"

	"headtally/api/book"
	"headtally/api/internal/edge"
)

// May is what each address of the pages asks of who comes: an address that is
// registered and has no row here keeps the service from starting.
func (o *Office) May() map[string]book.Right {
	mays := map[string]book.Right{
		"GET /static/{file}": edge.Anybody,

		"GET /sign-in": edge.Anybody, "POST /sign-in": edge.Anybody, "POST /sign-out": edge.Anybody,
		"GET /begin": edge.Anybody, "POST /begin": edge.Anybody, "POST /begin/alone": edge.Anybody,
		"GET /welcome": edge.Anybody, "POST /welcome": edge.Anybody,
		"GET /me": book.MayRead, "POST /me": book.MayRead,
		"GET /people": book.MayManage, "POST /people": book.MayManage,
		"GET /people/{code}": book.MayManage, "POST /people/{code}": book.MayManage,
		"POST /people/{code}/password": book.MayManage, "POST /people/{code}/end": book.MayManage,
		"POST /keys": book.MayManage, "POST /feeds": book.MayManage, "POST /devices": book.MayManage, "POST /passes/{id}/end": book.MayManage,

		"GET /": book.MayRead, "GET /first": book.MayRead, "POST /first": book.MayManage, "POST /first/demo": book.MayManage,
		"GET /farm": book.MayRead, "POST /farm": book.MayManage, "GET /history": book.MayRead, "GET /trace": book.MayRead, "GET /trace/recall.pdf": book.MayRead,
		"GET /availability": book.MayRead, "GET /availability.pdf": book.MayRead, "GET /manual": book.MayRead, "GET /manual/{chapter}": book.MayRead,

		"GET /day": book.MayRead, "GET /day/{day}": book.MayRead, "GET /day/{day}/line": book.MayRead,
		"POST /day/{day}/answer": book.MayOrder, "POST /day/{day}/close": book.MayOrder, "POST /day/{day}/sure": book.MayOrder,
		"GET /orders": book.MayRead, "GET /orders/{day}": book.MayRead, "POST /orders/{day}": book.MayOrder,
		"GET /week/{day}": book.MayRead, "POST /week/{day}": book.MayOrder, "GET /p/cell": book.MayOrder, "POST /p/cell": book.MayOrder,
		"GET /customer/{code}": book.MayRead, "POST /customer/{code}/entry": book.MayOrder,
		"GET /promise": book.MayRead, "POST /promise": book.MayOrder,
		"POST /history/undo": book.MayOrder, "GET /after": book.MayRead, "GET /holidays": book.MayRead, "GET /after/{day}": book.MayRead,
		"POST /after/{day}/not-collected": edge.Either(book.MayOrder, book.MayPack), "POST /after/{day}/came-back": book.MayPack,
		"GET /exports": book.MayRead, "GET /exports/{export}": book.MayRead,
		"GET /sheet": book.MayRead, "POST /sheet": book.MayOrder, "GET /sheet/{id}": book.MayOrder, "POST /sheet/{id}": book.MayOrder, "GET /sheet/{id}/taking": book.MayOrder,
		"GET /sheet/parked/{id}": book.MayRead, "POST /sheet/parked/{id}": book.MayOrder,

		"GET /outlook": book.MayRead, "GET /outlook/{variety}/{day}": book.MayRead, "GET /recipe": book.MayRead, "GET /recipe/{day}": book.MayRead, "POST /recipe/{day}": book.MayOrder,
		"GET /beds": book.MayRead, "GET /beds/without": book.MayRead, "GET /beds/walk": book.MayRead, "POST /beds/walk": book.MayGrow,
		"GET /batches": book.MayRead, "POST /batches": book.MayGrow, "GET /batches/{code}": book.MayRead, "POST /batches/{code}": book.MayGrow,
		"POST /forward": book.MayGrow, "GET /growing-papers/{day}/{name}": book.MayRead, "GET /sowing": book.MayRead, "POST /sowing": book.MayGrow,
		"GET /went": book.MayRead, "POST /went": book.MayGrow, "GET /growing": book.MayRead, "POST /growing": book.MayGrow,

		"GET /papers": book.MayRead, "GET /papers/{day}": book.MayRead, "GET /papers/{day}/{name}": book.MayRead, "POST /papers/{day}/issue": book.MayOrder,
		"GET /kept/{issue}/{name}": book.MayRead,
		"GET /morning":             book.MayRead, "GET /morning/{day}": book.MayRead,
		"POST /morning/{day}/lift": edge.Either(book.MayGrow, book.MayPack), "POST /morning/{day}/sheet": edge.Either(book.MayGrow, book.MayPack), "POST /morning/{day}/packed": book.MayPack, "POST /morning/{day}/gone": book.MayPack,
	}
	for word, may := range map[string]book.Right{"customers": o.Book.Customers.MayChange(), "products": o.Book.Products.MayChange(),
		"varieties": o.Book.Varieties.MayChange(), "carriers": o.Book.Carriers.MayChange(), "calendar": o.Book.Exceptions.MayChange(),
		"standing": o.Book.Standing.MayChange(), "layouts": o.Book.Layouts().MayChange(), "surges": o.Book.Surges.MayChange(), "raft-beds": o.Book.Beds.MayChange(), "profiles": o.Book.Profiles.MayChange()} {
		maps.Copy(mays, map[string]book.Right{"GET /" + word: book.MayRead, "GET /" + word + "/{code}": book.MayRead,
			"POST /" + word + "/{code}": may, "POST /" + word + "/{code}/end": may})
	}
	return mays
}
