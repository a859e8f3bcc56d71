package book

import (
	"maps"
	"sync"
	"time"
)

// freeTries is how many wrong passwords pass before a further try must wait.
const freeTries = 5

// longestWait bounds the doubling; after quietTime without a wrong try those
// before are forgotten.
const (
	longestWait = 15 * time.Minute
	quietTime   = 6 * time.Hour
)

// mostTried bounds what is kept; those whose time is over are let go of.
const mostTried = 100_000

// door counts wrong tries: of a name, from an origin, and of a name from an
// origin. A try of a name from where that person has signed in before is held up
// by the last count alone, so that nobody who guesses elsewhere, or at other
// names, keeps a person out.
type door struct {
	mu    sync.Mutex
	tries map[counted]tries
}

// counted is what wrong tries are counted by; one of the two may be "".
type counted struct{ name, origin string }

type tries struct {
	wrong int
	last  time.Time
}

// try counts a try as wrong before it is looked at, so that many at once gain
// nothing, unless it must still wait: after freeTries wrong ones a second, and
// twice as long after each further one. known says, when it is asked, whether
// the person of that name has signed in from that origin before.
func (d *door) try(now time.Time, name, origin string, known func() (bool, error)) (wait time.Duration, err error) {
	wait, own := d.count(now, name, origin, false)
	if own >= wait {
		return wait, nil
	}
	is, err := known() // asked of the book, and so with the door free for others
	if err == nil && is {
		wait, _ = d.count(now, name, origin, true)
	}
	return wait, err
}

// count counts a try, or tells how long it must wait and counts nothing; own is
// what its own count alone makes it wait, which holds for who is known to come
// from there.
func (d *door) count(now time.Time, name, origin string, known bool) (wait, own time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	own = max(0, d.tries[counted{name, origin}].left(now))
	wait = own
	if !known {
		wait = max(wait, d.tries[counted{name, ""}].left(now), d.tries[counted{"", origin}].left(now))
	}
	if wait > 0 {
		return wait, own
	}
	if d.tries == nil {
		d.tries = map[counted]tries{}
	}
	if len(d.tries) >= mostTried {
		maps.DeleteFunc(d.tries, func(_ counted, t tries) bool { return t.left(now) <= 0 })
	}
	for _, of := range []counted{{name, origin}, {name, ""}, {"", origin}} {
		d.tries[of] = tries{d.tries[of].since(now) + 1, now}
	}
	return 0, 0
}

// since is how many wrong tries still count.
func (t tries) since(now time.Time) int {
	if now.Sub(t.last) > quietTime {
		return 0
	}
	return t.wrong
}

// left is how long a further try must wait.
func (t tries) left(now time.Time) time.Duration {
	wrong := t.since(now)
	if wrong < freeTries {
		return 0
	}
	return t.last.Add(min(time.Second<<min(wrong-freeTries, 20), longestWait)).Sub(now)
}

// right takes back the counting of a try that was right. What others tried
// wrong stays counted: who has a password of their own must not wipe out their
// guesses at others'.
func (d *door) right(name, origin string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.tries, counted{name, origin})
	for _, of := range []counted{{name, ""}, {"", origin}} {
		if t, kept := d.tries[of]; kept {
			t.wrong--
			d.tries[of] = t
		}
	}
}
