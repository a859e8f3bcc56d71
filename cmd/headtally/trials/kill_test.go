//go:build linux

package trials

import (
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain/tried"
)

// killsABook is how many kills one book lives through before a new one is begun,
// so that looking through it stays quick.
const killsABook = 50

// TestAcknowledgedWritesOutliveKills kills the service at random moments of a
// busy office. After each restart everything acknowledged is there once, nothing
// half there, and the book is sound; what was not acknowledged is sent again
// under its key and stands there once.
func TestAcknowledgedWritesOutliveKills(t *testing.T) {
	prog, kills, acknowledged := plain(t), tried.Times(t, 12, 1000), 0
	random := rand.New(rand.NewPCG(1, uint64(kills)))
	var dir string
	var o *office
	for turn := range kills {
		if turn%killsABook == 0 {
			dir = t.TempDir()
			o = newOffice(farmBook(t, dir))
		}
		before := len(o.stored)
		s := serve(t, prog, dir)
		for _, p := range o.open() {
			require.Contains(t, []int{200, 201}, o.write(s.at, p), "sent again")
		}
		busy(o, s.at, turn, func() {
			if turn%2 == 1 { // half amid the first papers, half amid many
				o.waitFor(before + random.IntN(160))
			}
			time.Sleep(time.Duration(random.IntN(60_000)) * time.Microsecond)
			s.kill()
		})
		acknowledged += len(o.stored) - before
		require.Empty(t, o.lost(t, dir), "kill %d", turn)
		sound(t, dir)
	}
	t.Logf("%d kills, %d papers acknowledged, none lost", kills, acknowledged)
}

// busy has four desks write one paper after another, until the service is gone;
// meanwhile is done once the first paper is stored.
func busy(o *office, at string, turn int, meanwhile func()) {
	var desks sync.WaitGroup
	first := make(chan struct{})
	var once sync.Once
	for desk := range 4 {
		desks.Go(func() {
			for n := 0; ; n++ {
				p := anOrder(fmt.Sprintf("O-%d-%d-%d", turn, desk, n))
				if desk == 0 {
					p = aSheet(fmt.Sprintf("S-%d-%d", turn, n))
				}
				if o.write(at, p) == 0 {
					once.Do(func() { close(first) })
					return
				}
				once.Do(func() { close(first) })
			}
		})
	}
	<-first
	meanwhile()
	desks.Wait()
}

// TestAStopFinishesWhatIsUnderWay stops the service amid a busy office: what was
// begun is answered, what was answered is stored, and the log is folded into the
// book.
func TestAStopFinishesWhatIsUnderWay(t *testing.T) {
	prog, dir := plain(t), t.TempDir()
	o, slowest := newOffice(farmBook(t, dir)), time.Duration(0)
	for turn := range tried.Times(t, 2, 20) {
		s := serve(t, prog, dir)
		busy(o, s.at, turn, func() {
			time.Sleep(100 * time.Millisecond)
			began := time.Now()
			require.Zero(t, s.stop(), s.told)
			slowest = max(slowest, time.Since(began))
		})
		require.Less(t, slowest, 10*time.Second)
		require.Empty(t, o.lost(t, dir))
		require.Len(t, o.look(t, dir).lines, len(o.stored), "what was begun is answered")
		require.NoFileExists(t, dir+"/headtally.db-wal")
	}
	t.Logf("%d papers acknowledged, none lost; the slowest stop took %v", len(o.stored), slowest)
}
