package book

import (
	"sync"
	"time"
)

// freeTries is how many wrong passwords pass before a further try must wait.
const freeTries = 5

// longestWait bounds the doubling.
const longestWait = 15 * time.Minute

// door counts wrong tries by name and by origin. A wait of one name hinders no
// other, and a wait of one origin hinders no other.
type door struct {
	mu    sync.Mutex
	tries map[string]tries
}

type tries struct {
	wrong int
	last  time.Time
}

// wait is how long a name or an origin must still wait: after freeTries wrong
// ones a second, and twice as long after each further one.
func (d *door) wait(now time.Time, code, origin string) time.Duration {
	d.mu.Lock()
	defer d.mu.Unlock()
	return max(d.tries["name "+code].left(now), d.tries["origin "+origin].left(now))
}

func (t tries) left(now time.Time) time.Duration {
	if t.wrong < freeTries {
		return 0
	}
	wait := time.Second << min(t.wrong-freeTries, 20)
	return t.last.Add(min(wait, longestWait)).Sub(now)
}

// note counts a wrong try, and forgets them after a right one.
func (d *door) note(now time.Time, code, origin string, right bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.tries == nil || len(d.tries) > 100_000 {
		d.tries = map[string]tries{}
	}
	for _, who := range []string{"name " + code, "origin " + origin} {
		if right {
			delete(d.tries, who)
			continue
		}
		t := d.tries[who]
		d.tries[who] = tries{t.wrong + 1, now}
	}
}
