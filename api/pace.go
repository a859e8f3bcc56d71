package api

import (
	"maps"
	"sync"
	"time"
)

// pace holds each asker to so many requests a second, with a burst of as many as
// four seconds bring. It is the generic cell rate algorithm (ITU-T I.371, annex
// A): of each asker one instant is kept, by which what was asked so far would
// have come at the pace.
type pace struct {
	each time.Duration // between two requests; 0: as many as one likes

	mu  sync.Mutex
	due map[string]time.Time
}

// burst is how many seconds' requests may come at once.
const burst = 4 * time.Second

// mostAskers bounds what is kept; those whose time is over are let go of.
const mostAskers = 10_000

func newPace(perSecond int) *pace {
	p := &pace{due: map[string]time.Time{}}
	if perSecond > 0 {
		p.each = time.Second / time.Duration(perSecond)
	}
	return p
}

// wait is how long an asker must wait before the next request is taken; 0: it is
// taken now.
func (p *pace) wait(now time.Time, who string) time.Duration {
	if p.each == 0 {
		return 0
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	due := p.due[who]
	if due.Before(now) {
		due = now
	}
	if ahead := due.Add(p.each).Sub(now) - burst; ahead > 0 {
		return ahead
	}
	if len(p.due) >= mostAskers {
		maps.DeleteFunc(p.due, func(_ string, d time.Time) bool { return d.Before(now) })
	}
	p.due[who] = due.Add(p.each)
	return 0
}
