package book

import (
	"time"

	"headtally/planner"
)

// Figures are what the planning of a book has taken and come to.
type Figures struct {
	Plans   int           // made since the start
	Took    time.Duration // by the last
	Most    time.Duration // by the slowest
	Lines   int           // of the last
	Lacking int           // lines of the last that lack cases: short, or not counted yet
}

// Figures are those of now.
func (b *Book) Figures() Figures {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.figures
}

// noteWeek counts a plan. The caller holds the lock.
func (b *Book) noteWeek(w *planner.Week, took time.Duration) {
	f := &b.figures
	f.Plans, f.Took, f.Most, f.Lines, f.Lacking = f.Plans+1, took, max(f.Most, took), len(w.Plan.Lines), 0
	for i := range w.Plan.Lines {
		if w.Plan.Lines[i].Short > 0 {
			f.Lacking++
		}
	}
}
