package growth

import (
	"fmt"
	"testing"
	"time"

	"headtally/domain"
)

// story is a farm of two varieties whose house is told day by day.
type story struct {
	domain.Facts
	t *testing.T
}

func newStory(t *testing.T) *story {
	s := &story{t: t}
	s.Farm = domain.NewFarm()
	s.Farm.LeadDays = 0
	s.Growing = domain.NewGrowing()
	s.Varieties = []domain.Variety{{Code: "ROM", Name: "Romaine"}, {Code: "BUT", Name: "Butterhead"}}
	return s
}

func day(text string) domain.Day { return domain.MustDay(text) }

// tell adds an event; its id and the time it was told follow the order of telling.
func (s *story) tell(e domain.BatchEvent) domain.BatchEvent {
	s.t.Helper()
	e.ID = fmt.Sprintf("E%d", len(s.BatchEvents)+1)
	e.At = e.Day.Time().Add(time.Duration(8*60+len(s.BatchEvents)) * time.Minute)
	if faults := e.Check(); faults != nil {
		s.t.Fatalf("%s %s: %v", e.Step, e.Batch, faults)
	}
	s.BatchEvents = append(s.BatchEvents, e)
	return e
}

func (s *story) sow(batch, variety, on string, trays int) domain.BatchEvent {
	return s.tell(domain.BatchEvent{Step: domain.Sown, Batch: batch, Variety: variety, Day: day(on), Trays: trays})
}

func (s *story) set(batch, on, bed string, rafts float64) domain.BatchEvent {
	return s.tell(domain.BatchEvent{Step: domain.SetOut, Batch: batch, Day: day(on), Bed: bed, Rafts: domain.HalfRafts(2 * rafts)})
}

func (s *story) lift(batch, on string, rafts float64, heads, culls int) domain.BatchEvent {
	return s.tell(domain.BatchEvent{Step: domain.Lifted, Batch: batch, Day: day(on), Rafts: domain.HalfRafts(2 * rafts),
		Heads: domain.Heads(heads), Culls: domain.Heads(culls)})
}

func (s *story) walk(c domain.Count) {
	c.ID = fmt.Sprintf("C%d", len(s.Counts)+1)
	c.At = c.Day.Time().Add(18 * time.Hour)
	if faults := c.Check(); faults != nil {
		s.t.Fatalf("count of %s: %v", c.Day, faults)
	}
	s.Counts = append(s.Counts, c)
}

func (s *story) stock(on string) Stock { return Of(&s.Facts, s.Calendar(), day(on)) }

// lots writes lots as "code heads/cautious ready last".
func lots(st Stock) (list []string) {
	for _, l := range st.Lots {
		list = append(list, fmt.Sprintf("%s %d/%d %s %s", l.Code, l.Heads, l.Cautious(), l.Ready, l.Last))
	}
	return list
}

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if g, w := fmt.Sprint(got), fmt.Sprint(want); g != w {
		t.Errorf("%s:\n got %s\nwant %s", what, g, w)
	}
}
