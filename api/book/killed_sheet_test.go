package book

import (
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/store"
)

// killedIn is the environment variable that makes TestAKillLeavesTheBookAsItWas
// the program that is killed: it names the folder of the book.
const killedIn = "HEADTALLY_TEST_KILLED_IN"

// TestAKillLeavesTheBookAsItWas kills a program in the middle of taking an order
// sheet.
func TestAKillLeavesTheBookAsItWas(t *testing.T) {
	now := func() time.Time { return time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC) }
	if dir := os.Getenv(killedIn); dir != "" {
		takeAndDie(t, dir, now)
		return
	}
	dir := t.TempDir()
	s, err := store.Open(t.Context(), dir, now)
	require.NoError(t, err)
	b := New(s, now)
	_, err = b.Carriers.Create(t.Context(), owner, domain.Carrier{Name: "Van", Pickups: domain.WeekdaysOf(time.Tuesday, time.Friday)}, Note{})
	require.NoError(t, err)
	_, err = b.Varieties.Create(t.Context(), owner, domain.Variety{Name: "Oak"}, Note{})
	require.NoError(t, err)
	for _, name := range []string{"Blend", "Oak case"} {
		_, err = b.Products.Create(t.Context(), owner, domain.Product{Name: name, Slots: []domain.Slot{{Heads: 6, Accept: []string{"OAK"}}}}, Note{})
		require.NoError(t, err)
	}
	before, err := b.Revision(t.Context())
	require.NoError(t, err)
	require.NoError(t, s.Close())

	child := exec.CommandContext(t.Context(), os.Args[0], "-test.run=^TestAKillLeavesTheBookAsItWas$")
	child.Env = append(os.Environ(), killedIn+"="+dir)
	out, err := child.CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(out), "writing")
	require.NotContains(t, string(out), "PASS")

	s, err = store.Open(t.Context(), dir, now)
	require.NoError(t, err)
	defer s.Close()
	b = New(s, now)
	after, err := b.Revision(t.Context())
	require.NoError(t, err)
	require.Equal(t, before, after)
	orders, err := b.Orders.List(t.Context(), owner, Query{Ended: true})
	require.NoError(t, err)
	require.Empty(t, orders)
	customers, err := b.Customers.List(t.Context(), owner, Query{})
	require.NoError(t, err)
	require.Empty(t, customers)
	p, err := b.PreviewOrders(t.Context(), owner, manyOrders(2000), OrderSheet{NewCustomers: true})
	require.NoError(t, err)
	require.False(t, p.Already)
	taken, err := b.TakeOrders(t.Context(), owner, manyOrders(2000), OrderSheet{NewCustomers: true}, p.Revision)
	require.NoError(t, err)
	require.Equal(t, 2000, taken.Added, "the same sheet can be taken afterwards")
}

// takeAndDie takes a sheet and kills its own process while orders are written.
func takeAndDie(t *testing.T, dir string, now func() time.Time) {
	s, err := store.Open(t.Context(), dir, now)
	require.NoError(t, err)
	b := New(s, now)
	o := OrderSheet{NewCustomers: true, Progress: func(done, _ int) {
		if done < 1000 {
			return
		}
		_, _ = os.Stdout.WriteString("writing\n")
		self, err := os.FindProcess(os.Getpid())
		require.NoError(t, err)
		require.NoError(t, self.Kill())
		time.Sleep(time.Minute)
	}}
	revision, err := b.Revision(t.Context())
	require.NoError(t, err)
	_, err = b.TakeOrders(t.Context(), owner, manyOrders(2000), o, revision)
	require.NoError(t, err)
}
