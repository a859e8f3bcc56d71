package book

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

const goodPassword = "seven wet rafts at dawn"

// peopled is a house with an owner, Ada, and the clock at hand.
func peopled(t testing.TB) (*house, Person) {
	h := newHouse(t)
	secret, err := h.book.FirstVisit(t.Context())
	require.NoError(t, err)
	session, err := h.book.Begin(t.Context(), secret, domain.Account{Name: "Ada"}, goodPassword, "here")
	require.NoError(t, err)
	ada, _, err := h.book.Holder(t.Context(), session, domain.SessionPass)
	require.NoError(t, err)
	require.Equal(t, "Ada", ada.Name)
	require.NoError(t, ada.ask(MayManage))
	return h, ada
}

func TestTheFirstAddressWorksOnce(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	secret, err := h.book.FirstVisit(ctx)
	require.NoError(t, err)
	_, err = h.book.Begin(ctx, "guessed", domain.Account{Name: "Eve"}, goodPassword, "")
	require.ErrorIs(t, err, domain.ErrDenied)
	_, err = h.book.Begin(ctx, secret, domain.Account{Name: "Ada"}, "short", "")
	require.Equal(t, "too_short", faultsOf(t, err)[0].Code)
	_, err = h.book.Begin(ctx, secret, domain.Account{Name: "Ada"}, goodPassword, "")
	require.NoError(t, err, "a refused password does not use it up")
	_, err = h.book.Begin(ctx, secret, domain.Account{Name: "Bob"}, goodPassword, "")
	require.ErrorIs(t, err, domain.ErrDenied)
	_, err = h.book.FirstVisit(ctx)
	require.ErrorIs(t, err, domain.ErrDenied)
}

func TestAFarmOfOneNeedsNoPasswordUntilThereArePeople(t *testing.T) {
	h := newHouse(t)
	ctx := t.Context()
	secret, err := h.book.FirstVisit(ctx)
	require.NoError(t, err)
	machine, err := h.book.OpenAlone(ctx, secret, "127.0.0.1")
	require.NoError(t, err)
	_, err = h.book.OpenAlone(ctx, secret, "127.0.0.1")
	require.ErrorIs(t, err, domain.ErrDenied, "it works once")
	h.clock = h.clock.AddDate(0, 3, 0)
	alone, _, err := h.book.Holder(ctx, machine, domain.MachinePass)
	require.NoError(t, err)
	require.NoError(t, alone.ask(MayManage))
	_, err = h.book.AddAccount(ctx, alone, domain.Account{Name: "Ben", Roles: []domain.Role{domain.RoleOffice}}, goodPassword)
	require.Equal(t, "last_owner", reason(t, err), "the first is an owner")
	_, err = h.book.AddAccount(ctx, alone, domain.Account{Name: "Ada", Roles: []domain.Role{domain.RoleOwner}}, goodPassword)
	require.NoError(t, err)
	_, _, err = h.book.Holder(ctx, machine, domain.MachinePass)
	require.ErrorIs(t, err, domain.ErrSignIn, "from the first person on nobody comes in without a password")
}

func TestTheFirstAddressEnds(t *testing.T) {
	h := newHouse(t)
	secret, err := h.book.FirstVisit(t.Context())
	require.NoError(t, err)
	h.clock = h.clock.Add(2 * time.Hour)
	_, err = h.book.Begin(t.Context(), secret, domain.Account{Name: "Ada"}, goodPassword, "")
	require.ErrorIs(t, err, domain.ErrDenied)
}

func TestSigningIn(t *testing.T) {
	h, _ := peopled(t)
	ctx := t.Context()
	for _, x := range []struct{ name, password string }{{"ada", goodPassword + " "}, {"ada", strings.ToUpper(goodPassword)}, {"nobody", goodPassword}, {"ada", ""}} {
		_, err := h.book.SignIn(ctx, x.name, x.password, "10.1.1.1")
		require.ErrorIs(t, err, domain.ErrSignIn, x.name)
	}
	first, err := h.book.SignIn(ctx, "ada", goodPassword, "10.1.1.1")
	require.NoError(t, err)
	second, err := h.book.SignIn(ctx, "ada", goodPassword, "10.1.1.1")
	require.NoError(t, err)
	require.NotEqual(t, first, second)
	require.NoError(t, h.book.SignOut(ctx, first))
	_, _, err = h.book.Holder(ctx, first, domain.SessionPass)
	require.ErrorIs(t, err, domain.ErrSignIn)
	_, _, err = h.book.Holder(ctx, second, domain.SessionPass)
	require.NoError(t, err)
	_, _, err = h.book.Holder(ctx, second, domain.KeyPass)
	require.ErrorIs(t, err, domain.ErrSignIn, "a session is no key")
}

func TestAnIdleSessionAndAnOldOneEnd(t *testing.T) {
	h, _ := peopled(t)
	ctx := t.Context()
	in := func() string {
		s, err := h.book.SignIn(ctx, "ada", goodPassword, "")
		require.NoError(t, err)
		return s
	}
	idle := in()
	h.clock = h.clock.Add(sessionIdle + time.Minute)
	_, _, err := h.book.Holder(ctx, idle, domain.SessionPass)
	require.ErrorIs(t, err, domain.ErrSignIn)

	busy, began := in(), h.clock
	for h.clock.Sub(began) < sessionWhole-30*time.Minute {
		h.clock = h.clock.Add(20 * time.Minute)
		_, _, err := h.book.Holder(ctx, busy, domain.SessionPass)
		require.NoError(t, err, h.clock.Sub(began))
	}
	h.clock = began.Add(sessionWhole + time.Minute)
	_, _, err = h.book.Holder(ctx, busy, domain.SessionPass)
	require.ErrorIs(t, err, domain.ErrSignIn)
}

func TestGuessingIsSlowedWithoutLockingOthersOut(t *testing.T) {
	h, ada := peopled(t)
	ctx := t.Context()
	_, err := h.book.AddAccount(ctx, ada, domain.Account{Name: "Ben", Roles: []domain.Role{domain.RoleOffice}}, goodPassword+"!")
	require.NoError(t, err)
	clock := h.clock
	h.book.now = func() time.Time { return clock }
	for range freeTries {
		_, err := h.book.SignIn(ctx, "ben", "wrong password", "10.6.6.6")
		require.ErrorIs(t, err, domain.ErrSignIn)
	}
	_, err = h.book.SignIn(ctx, "ben", goodPassword+"!", "10.6.6.6")
	require.ErrorIs(t, err, domain.ErrWait)
	var refusal *domain.Refusal
	require.ErrorAs(t, err, &refusal)
	require.Equal(t, 2, refusal.Args["seconds"])
	_, err = h.book.SignIn(ctx, "ada", goodPassword, "10.1.1.1")
	require.NoError(t, err, "somebody else, from elsewhere")
	clock = clock.Add(2 * time.Second)
	_, err = h.book.SignIn(ctx, "ben", "wrong again", "10.7.7.7")
	require.ErrorIs(t, err, domain.ErrSignIn)
	clock = clock.Add(time.Second)
	_, err = h.book.SignIn(ctx, "ben", goodPassword+"!", "10.7.7.7")
	require.ErrorIs(t, err, domain.ErrWait, "the wait doubles")
	clock = clock.Add(2 * time.Second)
	_, err = h.book.SignIn(ctx, "ben", goodPassword+"!", "10.7.7.7")
	require.NoError(t, err)
}

// TestAGuesserKeepsNobodyOut: a person who has signed in from somewhere before is
// let in from there, whoever guesses at the name from elsewhere or at other names
// from there.
func TestAGuesserKeepsNobodyOut(t *testing.T) {
	h, _ := peopled(t)
	ctx, clock := t.Context(), h.clock
	h.book.now = func() time.Time { return clock }
	_, err := h.book.SignIn(ctx, "ada", goodPassword, "10.1.1.1")
	require.NoError(t, err)
	for i := range 3 * freeTries {
		_, err := h.book.SignIn(ctx, "ada", "wrong password", fmt.Sprint("10.6.6.", i))
		require.Error(t, err)
		_, err = h.book.SignIn(ctx, fmt.Sprint("name", i), "wrong password", "10.1.1.1")
		require.Error(t, err)
	}
	_, err = h.book.SignIn(ctx, "ada", goodPassword, "10.9.9.9")
	require.ErrorIs(t, err, domain.ErrWait, "from where she never was")
	_, err = h.book.SignIn(ctx, "ada", goodPassword, "10.1.1.1")
	require.NoError(t, err)
	for range freeTries {
		_, err = h.book.SignIn(ctx, "ada", "wrong password", "10.1.1.1")
		require.ErrorIs(t, err, domain.ErrSignIn)
	}
	_, err = h.book.SignIn(ctx, "ada", goodPassword, "10.1.1.1")
	require.ErrorIs(t, err, domain.ErrWait, "guessing from there is slowed too")
	clock = clock.Add(quietTime + time.Second)
	_, err = h.book.SignIn(ctx, "ada", goodPassword, "10.9.9.9")
	require.NoError(t, err, "after some hours of quiet")
}

// TestGuessesAtOnceGainNothing: tries that come together are counted before they
// are looked at.
func TestGuessesAtOnceGainNothing(t *testing.T) {
	h, _ := peopled(t)
	clock := h.clock
	h.book.now = func() time.Time { return clock }
	looked := make(chan bool, 4*freeTries)
	var all sync.WaitGroup
	for range cap(looked) {
		all.Go(func() {
			_, err := h.book.SignIn(t.Context(), "ada", "wrong password", "10.6.6.6")
			looked <- errors.Is(err, domain.ErrSignIn)
		})
	}
	all.Wait()
	close(looked)
	n := 0
	for is := range looked {
		if is {
			n++
		}
	}
	require.Equal(t, freeTries, n)
}

// TestEveryNameCostsTheSameWork counts what is hashed rather than the time it
// takes: a name that is known, unknown, of somebody who left or nonsense costs one
// argon2id of the same memory, passes and lanes.
func TestEveryNameCostsTheSameWork(t *testing.T) {
	h, ada := peopled(t)
	rec, err := h.book.AddAccount(t.Context(), ada, domain.Account{Name: "Bo", Roles: []domain.Role{domain.RolePacking}}, goodPassword)
	require.NoError(t, err)
	require.NoError(t, h.book.EndAccount(t.Context(), ada, rec.Value.Code, Note{Base: rec.Rev}))
	real, work := derive, []string{}
	t.Cleanup(func() { derive = real })
	derive = func(password, salt []byte, passes, memory uint32, lanes uint8, bytes uint32) []byte {
		work = append(work, fmt.Sprint(len(salt), passes, memory, lanes, bytes))
		return real(password, salt, passes, memory, lanes, bytes)
	}
	names := []string{"ada", "nobody", "bo", "", "../ada' OR 1=1"}
	for i, name := range names {
		_, err := h.book.SignIn(t.Context(), name, "not the password", fmt.Sprint("address ", i))
		require.ErrorIs(t, err, domain.ErrSignIn, name)
		require.Len(t, work, i+1, name)
		require.Equal(t, work[0], work[i], name)
	}
	require.Equal(t, fmt.Sprint(saltBytes, hashPasses, hashMemory, hashLanes, hashBytes), work[0])
}

// BenchmarkAWrongPassword is a wrong try at a name that somebody has and at one
// that nobody has.
func BenchmarkAWrongPassword(b *testing.B) {
	for i, name := range []string{"ada", "nobody"} {
		b.Run([]string{"of somebody", "of nobody"}[i], func(b *testing.B) {
			h, _ := peopled(b)
			for n := 0; b.Loop(); n++ {
				h.book.door = door{}
				if _, err := h.book.SignIn(b.Context(), name, "wrong password", ""); !errors.Is(err, domain.ErrSignIn) {
					b.Fatal(err)
				}
			}
		})
	}
}

func TestPasswords(t *testing.T) {
	tried := triedFirst("Lagoon Greens", "Ada")
	for password, code := range map[string]string{
		"seven77": "too_short", "eight888": "", strings.Repeat("x", 64) + "y": "", strings.Repeat("x", 257): "too_long",
		"password1": "too_common", "PASSWORD1": "too_common", "Lagoon Greens 1": "too_common", "lagoongreens!": "too_common",
		"salad🥬🥬🥬": "", "        a       ": "",
	} {
		faults := domain.CheckPassword(password, tried)
		if code == "" {
			require.Empty(t, faults, password)
		} else {
			require.Len(t, faults, 1, password)
			require.Equal(t, code, faults[0].Code, password)
		}
	}
	listed := 0
	for word := range strings.FieldsSeq(triedText) {
		require.NotEmpty(t, domain.CheckPassword(word, tried), word)
		listed++
	}
	require.Equal(t, 3000, listed)
	hash := hashPassword("eight888")
	require.Regexp(t, `^\$argon2id\$v=19\$m=19456,t=2,p=1\$`, hash)
	same, old, err := samePassword("eight888", hash)
	require.NoError(t, err)
	require.True(t, same)
	require.False(t, old)
	_, _, err = samePassword("x", "$2y$10$something")
	require.Error(t, err)
}

func TestANewPasswordEndsEverySession(t *testing.T) {
	h, ada := peopled(t)
	ctx := t.Context()
	session, err := h.book.SignIn(ctx, "ada", goodPassword, "")
	require.NoError(t, err)
	require.Equal(t, "wrong_password", faultsOf(t, h.book.SetPassword(ctx, ada, "ada", "not it", "another good one"))[0].Code)
	require.NoError(t, h.book.SetPassword(ctx, ada, "ada", goodPassword, "another good one"))
	_, _, err = h.book.Holder(ctx, session, domain.SessionPass)
	require.ErrorIs(t, err, domain.ErrSignIn)
	_, err = h.book.SignIn(ctx, "ada", "another good one", "")
	require.NoError(t, err)
}

func TestTheLastOwnerStays(t *testing.T) {
	h, ada := peopled(t)
	accounts, err := h.book.Accounts(t.Context(), ada)
	require.NoError(t, err)
	err = h.book.EndAccount(t.Context(), ada, "ada", Note{Base: accounts[0].Rev})
	require.Equal(t, "last_owner", reason(t, err))
	_, err = h.book.SetAccount(t.Context(), ada, domain.Account{Code: "ada", Name: "Ada", Roles: []domain.Role{domain.RoleOffice}}, Note{Base: accounts[0].Rev})
	require.Equal(t, "last_owner", reason(t, err))
}

func TestKeysAndDevices(t *testing.T) {
	h, ada := peopled(t)
	ctx := t.Context()
	_, _, err := h.book.NewKey(ctx, ada, "shop", []domain.Role{domain.RoleOwner}, h.clock.AddDate(0, 1, 0))
	require.Equal(t, "roles", faultsOf(t, err)[0].Place)
	key, secret, err := h.book.NewKey(ctx, ada, "shop", []domain.Role{domain.RoleOffice}, h.clock.AddDate(0, 1, 0))
	require.NoError(t, err)
	shop, _, err := h.book.Holder(ctx, secret, domain.KeyPass)
	require.NoError(t, err)
	require.NoError(t, shop.ask(MayOrder))
	require.ErrorIs(t, shop.ask(MayManage), domain.ErrDenied)
	invitation, err := h.book.InviteDevice(ctx, ada, "packing room")
	require.NoError(t, err)
	_, err = h.book.TakeDevice(ctx, secret, "")
	require.ErrorIs(t, err, domain.ErrDenied, "a key is no invitation")
	phoneSecret, err := h.book.TakeDevice(ctx, invitation, "10.1.1.9")
	require.NoError(t, err)
	_, err = h.book.TakeDevice(ctx, invitation, "10.1.1.9")
	require.ErrorIs(t, err, domain.ErrDenied, "it works once")
	h.clock = h.clock.AddDate(0, 2, 0)
	_, _, err = h.book.Holder(ctx, secret, domain.KeyPass)
	require.ErrorIs(t, err, domain.ErrSignIn, "the key has ended")
	phone, pass, err := h.book.Holder(ctx, phoneSecret, domain.DevicePass)
	require.NoError(t, err)
	require.Equal(t, rights([]domain.Role{domain.RolePacking}), phone.Rights)
	require.NoError(t, h.book.StrikeOff(ctx, ada, pass.ID))
	_, _, err = h.book.Holder(ctx, phoneSecret, domain.DevicePass)
	require.ErrorIs(t, err, domain.ErrSignIn)
	passes, err := h.book.Passes(ctx, ada)
	require.NoError(t, err)
	require.Len(t, passes, 2)
	require.NotContains(t, key.ID, secret)
}
