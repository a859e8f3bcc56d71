package pages

import (
	"cmp"
	"net/http"
	"slices"
	"time"

	"github.com/labstack/echo/v4"

	"headtally/api/book"
	"headtally/api/words"
	"headtally/domain"
)

// ComingView is one pickup day: what must be decided before it closes, and its
// figures.
type ComingView struct {
	Frame
	Pickup  domain.Day
	Cutoffs []CutoffView
	Sum     book.DayState
	Decide  []LineView // broken and short, the gravest first
	AtRisk  []LineView
	Unknown []LineView // nothing was counted for them
	Parked  []ParkedView
	Tally   []TallyView
	Resting bool // some bar of the tally has a part that no lot serves
	Cooler  CoolerView
	Work    []WorkView
	Papers  []domain.Day // the packing days whose papers speak of it
	Trucks  []TruckView
	Notices []string
	Mind    []string // what else the plan warns of, since the pickup before
}

// CutoffView is when a carrier's orders close, and how long until then.
type CutoffView struct {
	Carrier string
	Code    string
	At      time.Time
	Left    string // "": closed
}

// LineView is one line with its answers.
type LineView struct {
	book.DayLine
	State    book.LineState
	Asked    int
	Reason   string
	Rev      int64 // of what was decided; 0: nothing was
	Answered domain.Decision
	MoveTo   []domain.Day
	Form     string // the address its answers are posted to
	More     string // the address of the line's own page
	Late     bool   // orders are closed: a change needs its reason
}

// ParkedView is a row of a sheet that waits.
type ParkedView struct {
	Row     domain.ParkedRow
	Base    int64
	Problem string
}

// TruckView is the lines of one carrier.
type TruckView struct {
	Carrier domain.Carrier
	Lines   []LineView
	Cases   int
}

func (o *Office) registerComing(g *echo.Echo) {
	g.GET("/day", o.page(func(v *visit) error { return v.toNext("/day/") }))
	g.GET("/day/:day", o.page(func(v *visit) error { return v.coming(http.StatusOK, nil) }))
	g.POST("/day/:day/answer", o.page((*visit).answer))
	g.POST("/day/:day/sure", o.page((*visit).promiseSure))
	g.POST("/day/:day/close", o.page((*visit).shut))
	g.GET("/day/:day/line", o.page((*visit).line))
}

// begin sends an empty farm to its first questions and every other to the
// coming pickup day.
func (o *Office) begin(c echo.Context) error {
	v, err := o.visit(c)
	if err != nil {
		return err
	}
	varieties, err := o.Book.Varieties.List(v.ctx, v.who, book.Query{Limit: 1})
	if err != nil {
		return err
	}
	if len(varieties) == 0 {
		return v.Redirect(http.StatusSeeOther, "/first")
	}
	return v.Redirect(http.StatusSeeOther, "/day")
}

// EmptyView is a page that has nothing to show yet and says what to do.
type EmptyView struct {
	Frame
	Lines []string
	Go    string
	Word  string
}

// toNext goes to the coming pickup day's page; without one it says what to do.
func (v *visit) toNext(address string) error {
	next, err := v.office.Book.NextPickup(v.ctx, v.who, v.today)
	if err == nil {
		to := address + next.String()
		if said := v.QueryParam("said"); said != "" {
			return v.done(to, said)
		}
		return v.Redirect(http.StatusSeeOther, to)
	}
	view := EmptyView{Frame: v.frame("pickup", v.say("page.noday.title")), Lines: []string{v.say("page.noday.1"), v.say("page.noday.2")},
		Go: "/carriers", Word: v.say("page.noday.go")}
	return v.show(http.StatusOK, "empty", view)
}

func (v *visit) coming(status int, wrong []string) error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	board, err := v.office.Book.Board(v.ctx, v.who, v.today, day)
	if err != nil {
		return err
	}
	view := ComingView{Frame: v.frame("pickup", v.speech.Day(day)), Pickup: day, Sum: board.States[day],
		Tally: tallyOf(board), Cooler: coolerOf(board.Week.Plan.Cooler), Work: v.work(board)}
	view.Wrong = wrong
	view.Resting = slices.ContainsFunc(view.Tally, func(t TallyView) bool { return t.Rest > 0 })
	view.Days = v.strip(board.Week.Problem.PickupDays, board.States, day, "/day/")
	v.cutoffs(&view, board)
	v.sortLines(&view, board)
	for _, p := range board.Parked {
		view.Parked = append(view.Parked, ParkedView{p.Value, p.Rev, sentence(v.speech.Fault(p.Value.Fault))})
	}
	for _, n := range board.Notices {
		view.Notices = append(view.Notices, v.notice(n, board))
	}
	view.Mind = v.speech.Warnings(board.Mind(sinceTheLast(board)), called(board))
	view.Papers = packingDays(board)
	return v.show(status, "coming", view)
}

// strip marks the pickup days one can step between.
func (v *visit) strip(days []domain.Day, states map[domain.Day]book.DayState, here domain.Day, address string) []DayMark {
	strip := make([]DayMark, len(days))
	for i, d := range days {
		strip[i] = DayMark{Day: d, Address: address + d.String(), Here: d == here}
		if s, known := states[d]; known && s.Asked > 0 {
			strip[i].State = s.State()
		}
	}
	return strip
}

func (v *visit) cutoffs(view *ComingView, board *book.Board) {
	for _, c := range board.Cutoffs {
		view.Cutoffs = append(view.Cutoffs, CutoffView{Carrier: c.Carrier.Name, Code: c.Carrier.Code, At: v.clock(c.At), Left: v.left(c.At.Sub(v.office.Now()))})
	}
}

// left is a length of time in words; "" when none is left.
func (v *visit) left(d time.Duration) string {
	switch hours := int(d.Hours()); {
	case d <= 0:
		return ""
	case hours >= 48:
		return v.say("page.left.days", "days", hours/24, "hours", hours%24)
	case hours > 0:
		return v.say("page.left.hours", "hours", hours, "minutes", int(d.Minutes())%60)
	}
	return v.say("page.left.minutes", "minutes", max(1, int(d.Minutes())))
}

// sortLines puts each line where it belongs: to be decided, at risk, not
// counted; and all of them by their truck.
func (v *visit) sortLines(view *ComingView, board *book.Board) {
	for _, l := range board.Lines {
		line := v.lineView(board, l)
		switch line.State {
		case book.StateBroken, book.StateShort:
			view.Decide = append(view.Decide, line)
		case book.StateAtRisk:
			view.AtRisk = append(view.AtRisk, line)
		case book.StateNotCounted:
			view.Unknown = append(view.Unknown, line)
		}
		if n := len(view.Trucks); n == 0 || view.Trucks[n-1].Carrier.Code != l.Carrier {
			view.Trucks = append(view.Trucks, TruckView{Carrier: carrierOf(board, l.Carrier)})
		}
		truck := &view.Trucks[len(view.Trucks)-1]
		truck.Lines, truck.Cases = append(truck.Lines, line), truck.Cases+line.Asked
	}
	slices.SortStableFunc(view.Decide, func(a, b LineView) int {
		return cmp.Or(cmp.Compare(b.Plan.Broken, a.Plan.Broken), cmp.Compare(a.Customer.Importance.Priority(), b.Customer.Importance.Priority()))
	})
}

func carrierOf(board *book.Board, code string) domain.Carrier {
	for _, c := range board.Carriers {
		if c.Code == code {
			return c
		}
	}
	return domain.Carrier{Code: code, Name: code}
}

func (v *visit) lineView(board *book.Board, l book.DayLine) LineView {
	settled := board.Settled[l.Base]
	line := LineView{DayLine: l, State: l.State(), Asked: l.Plan.Cases - l.Plan.Cut, Reason: v.reason(board, l), Rev: settled.Rev,
		Answered: settled.Value, MoveTo: board.MoveTo[l.Carrier], Form: "/day/" + board.Pickup.String() + "/answer",
		More: "/day/" + board.Pickup.String() + "/line?id=" + escape(l.Base)}
	line.Late = v.isClosed(board, l.Carrier)
	if l.MovedFrom >= board.AsOf && l.MovedFrom != 0 && !slices.Contains(line.MoveTo, l.MovedFrom) {
		line.MoveTo = append([]domain.Day{l.MovedFrom}, line.MoveTo...)
	}
	return line
}

// reason says why a line is short.
func (v *visit) reason(board *book.Board, l book.DayLine) string {
	return sentence(v.speech.Why(l.Plan.Reason, l.Counted, words.NamesIn(board.Week.Problem)))
}

// sinceTheLast is the day after the pickup before, or the day of the plan: what
// happens from then on belongs to this pickup.
func sinceTheLast(board *book.Board) domain.Day {
	from := board.AsOf
	for _, t := range board.Week.Problem.PickupDays {
		if t < board.Pickup {
			from = t.Add(1)
		}
	}
	return from
}

// called is what everything on the board is called.
func called(board *book.Board) words.Names {
	n := words.NamesIn(board.Week.Problem)
	for _, l := range board.Lines {
		n.Customers[l.Customer.Code] = l.Customer.Name
	}
	return n
}

func (v *visit) notice(n domain.Notice, board *book.Board) string {
	customer, product := n.Customer, n.Product
	for _, l := range board.Lines {
		if l.Line.Customer == n.Customer {
			customer = l.Customer.Name
		}
	}
	for _, p := range board.Week.Problem.Products {
		if p.Code == n.Product {
			product = p.Name
		}
	}
	return v.say("page.notice."+n.Code, "customer", customer, "product", product, "cases", int(n.Cases),
		"day", v.speech.Day(n.Day), "to", v.speech.Day(n.To))
}

// answers are the names of the buttons, each being one answer; its value is the
// cases it speaks of.
var answers = []string{"promise", "release", "cut", "uncut", "agree", "disagree", "move"}

// answer does what a person decided about one line.
func (v *visit) answer() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	form := v.posted()
	base := v.revision("base")
	at := slices.IndexFunc(answers, form.Has)
	if at < 0 {
		return v.coming(http.StatusUnprocessableEntity, []string{v.say("page.answer.none")})
	}
	act := answers[at]
	cases := domain.Cases(whole(form.Get(act)))
	if form.Get("own") == act {
		cases = domain.Cases(whole(form.Get("cases")))
	}
	err = v.decide(form.Get("line"), act, cases, form.Get("to"), v.noteOn(base))
	if err == nil {
		return v.done("/day/"+day.String()+"#decide", act)
	}
	status, lines := v.formStatus(err)
	if status == 0 {
		return err
	}
	return v.coming(status, append(lines, v.say("page.answer.wanted."+act, "cases", int(cases), "day", form.Get("to"))))
}

// promiseSure gives a word for everything of the day that is sure.
func (v *visit) promiseSure() error {
	day, err := v.day("day")
	if err != nil {
		return err
	}
	if _, err := v.office.Book.PromiseSure(v.ctx, v.who, v.today, day, book.Note{}); err != nil {
		return err
	}
	return v.done("/day/"+day.String(), "sure")
}

// decide calls the book for one answer.
func (v *visit) decide(line, act string, cases domain.Cases, to string, note book.Note) (err error) {
	b := v.office.Book
	switch act {
	case "promise":
		_, err = b.Promise(v.ctx, v.who, v.today, line, cases, note)
	case "release":
		_, err = b.Release(v.ctx, v.who, v.today, line, cases, note)
	case "cut":
		_, err = b.Cut(v.ctx, v.who, v.today, line, &cases, note)
	case "uncut":
		_, err = b.Cut(v.ctx, v.who, v.today, line, nil, note)
	case "agree", "disagree":
		_, err = b.Agree(v.ctx, v.who, v.today, line, act == "agree", note)
	case "move":
		day, bad := domain.ParseDay(to)
		if bad != nil {
			return domain.Faults{{Place: "to", Code: "required"}}
		}
		_, err = b.Move(v.ctx, v.who, v.today, line, day, note)
	}
	return err
}
