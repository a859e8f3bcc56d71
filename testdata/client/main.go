// A client made from openapi.yaml goes the main way of a day: a new customer and
// an order, what the plan gives it, a promise, the papers, the lift, the
// packing, the truck, and the trace of a case.
//
//	example ADDRESS KEY PICKUP PACK
//
// PICKUP is the pickup day and PACK the day on which its cases are packed. The
// book holds the workbook of examples.
package main

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"os"
	"time"

	"github.com/oapi-codegen/runtime/types"

	"example/client"
)

func main() {
	if len(os.Args) != 5 {
		fail("example ADDRESS KEY PICKUP PACK")
	}
	key := func(_ context.Context, r *http.Request) error {
		r.Header.Set("Authorization", "Bearer "+os.Args[2])
		return nil
	}
	c, err := client.NewClientWithResponses(os.Args[1], client.WithRequestEditorFn(key))
	if err != nil {
		fail(err)
	}
	w := &way{c: c, ctx: context.Background(), pickup: day(os.Args[3]), pack: day(os.Args[4])}
	w.order()
	w.promise()
	w.print()
	w.lift()
	w.packAll()
	w.depart()
	w.follow()
}

// way is one client on its way through the day.
type way struct {
	c            *client.ClientWithResponses
	ctx          context.Context
	pickup, pack types.Date
	product      string
	carrier      string
	line         client.DayLine
	trace        string
	requests     int
}

// once names a request, so that it can be sent again.
func (w *way) once() string {
	w.requests++
	return fmt.Sprintf("way-%d", w.requests)
}

func (w *way) order() {
	products := must(w.c.ListProductsWithResponse(w.ctx, nil))
	want(products.HTTPResponse, 200, products.Body)
	w.product = products.JSON200.Items[0].Code

	customer := must(w.c.CreateCustomerWithResponse(w.ctx, &client.CreateCustomerParams{IdempotencyKey: w.once()}, client.Customer{Name: "The Reed House"}))
	want(customer.HTTPResponse, 201, customer.Body)
	again := must(w.c.CreateCustomerWithResponse(w.ctx, &client.CreateCustomerParams{IdempotencyKey: "way-1"}, client.Customer{Name: "The Reed House"}))
	want(again.HTTPResponse, 201, again.Body)
	if !bytes.Equal(customer.Body, again.Body) {
		fail("the same request under the same key was answered otherwise")
	}
	cases := 1
	order := must(w.c.CreateOrderWithResponse(w.ctx, &client.CreateOrderParams{IdempotencyKey: w.once()}, client.OrderFields{
		Customer: customer.JSON201.Code, Pickup: w.pickup, Lines: []client.OrderLine{{Product: w.product, Cases: &cases}}}))
	want(order.HTTPResponse, 201, order.Body)

	d := must(w.c.GetDayWithResponse(w.ctx, w.pickup, nil))
	want(d.HTTPResponse, 200, d.Body)
	for _, l := range d.JSON200.Lines {
		if l.Customer == customer.JSON201.Code {
			w.line, w.carrier = l, l.Carrier
		}
	}
	fmt.Printf("ordered %d of %s, filled %d\n", w.line.Cases, w.product, w.line.Filled)
}

func (w *way) promise() {
	asked := must(w.c.GetPromiseWithResponse(w.ctx, &client.GetPromiseParams{Product: w.product, Pickup: w.pickup, Cases: 1}))
	want(asked.HTTPResponse, 200, asked.Body)

	decision := must(w.c.GetDecisionWithResponse(w.ctx, w.line.Order, w.product, w.carrier, w.pickup, nil))
	want(decision.HTTPResponse, 200, decision.Body)
	params := client.PromiseCasesParams{IdempotencyKey: w.once(), IfMatch: decision.HTTPResponse.Header.Get("ETag")}
	given := must(w.c.PromiseCasesWithResponse(w.ctx, w.line.Order, w.product, w.carrier, w.pickup, &params, client.CasesSaid{Cases: w.line.Filled}))
	want(given.HTTPResponse, 200, given.Body)
	params.IdempotencyKey = w.once()
	stale := must(w.c.PromiseCasesWithResponse(w.ctx, w.line.Order, w.product, w.carrier, w.pickup, &params, client.CasesSaid{Cases: w.line.Filled}))
	want(stale.HTTPResponse, 412, stale.Body)
	fmt.Printf("promised %d, %d more are sure\n", *given.JSON200.Promised, asked.JSON200.Sure)
}

func (w *way) print() {
	issue := must(w.c.IssueDayWithResponse(w.ctx, w.pack, &client.IssueDayParams{IdempotencyKey: w.once()}))
	want(issue.HTTPResponse, 201, issue.Body)
	planned := must(w.c.GetPackingDayWithResponse(w.ctx, w.pack, nil))
	want(planned.HTTPResponse, 200, planned.Body)
	for _, p := range planned.JSON200.Papers {
		paper := must(w.c.DrawPaperWithResponse(w.ctx, w.pack, p.Name+".pdf", nil))
		want(paper.HTTPResponse, 200, nil)
		if !bytes.HasPrefix(paper.Body, []byte("%PDF-")) {
			fail(p.Name + " is no PDF")
		}
	}
	fmt.Printf("issue %d with %d papers\n", issue.JSON201.Number, len(planned.JSON200.Papers))
}

func (w *way) lift() {
	planned := must(w.c.GetPackingDayWithResponse(w.ctx, w.pack, nil))
	rows := []client.LiftRowSaid{}
	for _, p := range planned.JSON200.Pulls {
		rows = append(rows, client.LiftRowSaid{Lot: &p.Lot, Heads: &p.HeadsLifted, Rafts: &p.Rafts})
	}
	done := true
	lift := must(w.c.TellLiftWithResponse(w.ctx, &client.TellLiftParams{IdempotencyKey: w.once()}, client.LiftSaid{Day: w.pack, Done: &done, Rows: &rows}))
	want(lift.HTTPResponse, 201, lift.Body)
	heads := 0
	for _, r := range lift.JSON201.Rows {
		heads += r.Heads
	}
	fmt.Printf("lifted %d heads\n", heads)
}

func (w *way) packAll() {
	packing := must(w.c.TellPackingWithResponse(w.ctx, &client.TellPackingParams{IdempotencyKey: w.once()}, client.PackedSaid{Day: w.pack}))
	want(packing.HTTPResponse, 201, packing.Body)
	cases := 0
	for _, r := range packing.JSON201.Runs {
		cases += r.Cases
		for _, l := range r.Lines {
			if l.Line == w.line.Id {
				w.trace = *r.Trace
			}
		}
	}
	fmt.Printf("packed %d cases\n", cases)
}

func (w *way) depart() {
	gone := must(w.c.DepartPickupWithResponse(w.ctx, w.pickup, w.carrier, &client.DepartPickupParams{IdempotencyKey: w.once()}))
	want(gone.HTTPResponse, 200, gone.Body)
}

func (w *way) follow() {
	trace := must(w.c.GetTraceWithResponse(w.ctx, w.trace))
	want(trace.HTTPResponse, 200, trace.Body)
	for _, s := range trace.JSON200.Sent {
		if s.Name == "The Reed House" {
			fmt.Printf("case %s: %d sent to %s from %d lots\n", w.trace, s.Cases, s.Name, len(trace.JSON200.Lots))
			return
		}
	}
	fail("the trace of " + w.trace + " does not name the customer")
}

// want ends the program unless the answer has the status.
func want(r *http.Response, status int, body []byte) {
	if r.StatusCode != status {
		fail(fmt.Sprintf("%s %s: %s, not %d: %s", r.Request.Method, r.Request.URL.Path, r.Status, status, body))
	}
}

func must[T any](answer T, err error) T {
	if err != nil {
		fail(err)
	}
	return answer
}

func day(s string) types.Date { return types.Date{Time: must(time.Parse(time.DateOnly, s))} }

func fail(what any) {
	fmt.Fprintln(os.Stderr, what)
	os.Exit(1)
}
