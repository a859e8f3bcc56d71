package book

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"headtally/domain"
	"headtally/domain/store"
)

// How long passes last (OWASP Session Management Cheat Sheet: half an hour idle
// for what is not high risk; a day's work in all).
const (
	sessionIdle  = 30 * time.Minute
	sessionWhole = 12 * time.Hour
	firstLasts   = time.Hour
	deviceLasts  = 365 * 24 * time.Hour
	seenEvery    = time.Minute // how exactly "last seen" is kept
)

// rightsOf is what each role may do.
var rightsOf = map[domain.Role][]Right{
	domain.RoleOffice:  {MayRead, MayOrder},
	domain.RoleGrowing: {MayRead, MayGrow},
	domain.RolePacking: {MayRead, MayPack},
	domain.RoleOwner:   {MayRead, MayOrder, MayGrow, MayPack, MayManage},
}

func rights(roles []domain.Role) []Right {
	var all []Right
	for _, r := range roles {
		all = append(all, rightsOf[r]...)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// HasPeople says whether anybody can sign in yet.
func (b *Book) HasPeople(ctx context.Context) (bool, error) {
	return store.Read(ctx, b.store, hasPeople)
}

func hasPeople(tx *store.Tx) (bool, error) {
	some, err := store.People.List(tx, Query{Limit: 1})
	return len(some) > 0, err
}

// FirstVisit makes the secret of the one-use address by which an empty book is
// opened. It is refused once the book has people.
func (b *Book) FirstVisit(ctx context.Context) (secret string, err error) {
	secret, hash := newSecret()
	_, err = store.Write(ctx, b.store, store.Act{Who: "program"}, func(tx *store.Tx) (bool, error) {
		if some, err := hasPeople(tx); err != nil || some {
			return false, cmp.Or(err, domain.Refuse(domain.ErrDenied, "first visit", "book"))
		}
		pass := domain.Pass{ID: hash[:16], Kind: domain.FirstPass, Made: tx.Now, Seen: tx.Now, Ends: tx.Now.Add(firstLasts)}
		return true, cmp.Or(tx.DropPasses(tx.Now), tx.KeepPass(pass, hash))
	})
	return secret, err
}

// Begin uses the secret of FirstVisit to make the first account, an owner, and
// signs it in. The secret works once.
func (b *Book) Begin(ctx context.Context, secret string, a domain.Account, password, origin string) (session string, err error) {
	a.Roles = []domain.Role{domain.RoleOwner}
	hash := hashPassword(password)
	session, sessionHash := newSecret()
	_, err = store.Write(ctx, b.store, store.Act{Who: a.Name, Why: "first visit"}, func(tx *store.Tx) (bool, error) {
		if err := useFirst(tx, secret); err != nil {
			return false, err
		}
		if err := b.newAccount(tx, &a, password, hash); err != nil {
			return false, err
		}
		if err := tx.NoteAtDoor(a.Code, origin, "first visit"); err != nil {
			return false, err
		}
		return true, tx.KeepPass(newSession(tx, a.Code, sessionHash), sessionHash)
	})
	return session, err
}

func newSession(tx *store.Tx, person, hash string) domain.Pass {
	return domain.Pass{ID: hash[:16], Kind: domain.SessionPass, Person: person, Made: tx.Now, Seen: tx.Now, Ends: tx.Now.Add(sessionWhole)}
}

// newAccount checks and stores an account with its password.
func (b *Book) newAccount(tx *store.Tx, a *domain.Account, password, hash string) error {
	taken := func(code string) bool { is, err := store.People.Exists(tx, code); return err != nil || is }
	a.Code = cmp.Or(a.Code, strings.ToLower(codeFor(a.Name, taken)))
	farm, err := farm(tx)
	if err != nil {
		return err
	}
	faults := append(domain.Check(a), domain.CheckPassword(password, triedFirst(farm.Value.Name, a.Name, a.Code))...)
	if faults != nil {
		return faults
	}
	if _, err := store.People.Create(tx, *a); err != nil {
		return err
	}
	return tx.SetPassword(a.Code, hash)
}

// signedIn is what the door log says of who came in by name and password.
const signedIn = "signed in"

// SignIn lets a person in by name and password and gives the session's secret.
// A wrong name and a wrong password are told alike and take as long; after five
// wrong ones each further try must wait, see door.
func (b *Book) SignIn(ctx context.Context, code, password, origin string) (session string, err error) {
	wait, err := b.door.try(b.now(), code, origin, func() (bool, error) {
		return store.Read(ctx, b.store, func(tx *store.Tx) (bool, error) { return tx.WasAtDoor(code, origin, signedIn) })
	})
	if err != nil {
		return "", err
	}
	if wait > 0 {
		return "", domain.Refuse(domain.ErrWait, "sign-in", "", "seconds", int(wait.Seconds())+1)
	}
	hash, err := store.Read(ctx, b.store, func(tx *store.Tx) (string, error) {
		rec, unknown := store.People.Get(tx, code)
		hash, err := tx.Password(code)
		if unknown != nil || rec.Ended {
			return nobodysHash, nil
		}
		return hash, err
	})
	if err != nil {
		return "", err
	}
	same, old, err := samePassword(password, cmp.Or(hash, nobodysHash))
	if err != nil {
		return "", err
	}
	session, sessionHash := newSecret()
	_, err = store.Write(ctx, b.store, store.Act{Who: code}, func(tx *store.Tx) (bool, error) {
		if !same {
			return false, tx.NoteAtDoor(code, origin, "wrong name or password")
		}
		if old {
			if err := tx.SetPassword(code, hashPassword(password)); err != nil {
				return false, err
			}
		}
		if err := cmp.Or(tx.DropPasses(tx.Now), tx.NoteAtDoor(code, origin, signedIn)); err != nil {
			return false, err
		}
		return true, tx.KeepPass(newSession(tx, code, sessionHash), sessionHash)
	})
	if err != nil {
		return "", err
	}
	if !same {
		return "", domain.Refuse(domain.ErrSignIn, "sign-in", "")
	}
	b.door.right(code, origin)
	return session, nil
}

// SignOut ends a session.
func (b *Book) SignOut(ctx context.Context, secret string) error {
	_, err := store.Write(ctx, b.store, store.Act{}, func(tx *store.Tx) (bool, error) {
		pass, known, err := tx.PassOf(hashSecret(secret))
		if err != nil || !known {
			return false, err
		}
		pass.Struck = &tx.Now
		return true, tx.ChangePass(pass)
	})
	return err
}

// Holder is who holds a secret of one of the kinds given. A session that was
// idle too long, a pass that ended or was struck off, and one whose person has
// left let nobody in.
func (b *Book) Holder(ctx context.Context, secret string, kinds ...domain.PassKind) (Person, domain.Pass, error) {
	type held struct {
		person Person
		pass   domain.Pass
	}
	now := b.now()
	h, err := store.Read(ctx, b.store, func(tx *store.Tx) (held, error) {
		pass, known, err := tx.PassOf(hashSecret(secret))
		if err != nil {
			return held{}, err
		}
		if !known || !slices.Contains(kinds, pass.Kind) || !open(pass, now) {
			return held{}, domain.Refuse(domain.ErrSignIn, "pass", "", "reason", "nobody")
		}
		person, err := personOf(tx, pass)
		return held{person, pass}, err
	})
	if err == nil && now.Sub(h.pass.Seen) >= seenEvery {
		if err = b.seen(ctx, secret); errors.Is(err, domain.ErrFull) { // reading goes on
			err = nil
		}
	}
	return h.person, h.pass, err
}

// open says whether a pass lets its holder in at an instant.
func open(p domain.Pass, now time.Time) bool {
	idle := p.Kind == domain.SessionPass && now.Sub(p.Seen) > sessionIdle
	return p.Struck == nil && (p.Ends.IsZero() || now.Before(p.Ends)) && !idle
}

func personOf(tx *store.Tx, pass domain.Pass) (Person, error) {
	switch pass.Kind {
	case domain.MachinePass:
		return atMachine(tx)
	case domain.FeedPass:
		return Person{Name: string(pass.Kind) + " " + pass.Label + " " + pass.ID[:6], Rights: []Right{MayRead}}, nil
	case domain.DevicePass, domain.KeyPass:
		return Person{Name: string(pass.Kind) + " " + pass.Label + " " + pass.ID[:6], Rights: rights(pass.Roles)}, nil
	}
	rec, err := store.People.Get(tx, pass.Person)
	if err != nil || rec.Ended {
		return Person{}, domain.Refuse(domain.ErrSignIn, "pass", "", "reason", "nobody")
	}
	return Person{Name: rec.Value.Name, Code: rec.Value.Code, Rights: rights(rec.Value.Roles)}, nil
}

func (b *Book) seen(ctx context.Context, secret string) error {
	_, err := store.Write(ctx, b.store, store.Act{}, func(tx *store.Tx) (bool, error) {
		pass, known, err := tx.PassOf(hashSecret(secret))
		if err != nil || !known {
			return false, err
		}
		pass.Seen = tx.Now
		return true, tx.ChangePass(pass)
	})
	return err
}

// Accounts lists the people who can sign in.
func (b *Book) Accounts(ctx context.Context, who Person) ([]Record[domain.Account], error) {
	if err := who.ask(MayManage); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]Record[domain.Account], error) { return store.People.List(tx, Query{}) })
}

// AddAccount makes an account with a first password. The first of a book is an
// owner.
func (b *Book) AddAccount(ctx context.Context, who Person, a domain.Account, password string) (Record[domain.Account], error) {
	if err := who.ask(MayManage); err != nil {
		return Record[domain.Account]{}, err
	}
	hash := hashPassword(password)
	return store.Write(ctx, b.store, who.act(Note{}), func(tx *store.Tx) (Record[domain.Account], error) {
		if err := cmp.Or(b.newAccount(tx, &a, password, hash), ownerLeft(tx)); err != nil {
			return Record[domain.Account]{}, err
		}
		return store.People.Get(tx, a.Code)
	})
}

// SetAccount changes an account's name and roles. The last owner stays one.
func (b *Book) SetAccount(ctx context.Context, who Person, a domain.Account, note Note) (Record[domain.Account], error) {
	if err := who.ask(MayManage); err != nil {
		return Record[domain.Account]{}, err
	}
	if err := domain.Check(a).Err(); err != nil {
		return Record[domain.Account]{}, err
	}
	return store.Write(ctx, b.store, who.act(note), func(tx *store.Tx) (Record[domain.Account], error) {
		rec, err := store.People.Replace(tx, a, note.Base)
		if err != nil {
			return rec, err
		}
		return rec, ownerLeft(tx)
	})
}

// EndAccount ends an account; its sessions end with it.
func (b *Book) EndAccount(ctx context.Context, who Person, code string, note Note) error {
	if err := who.ask(MayManage); err != nil {
		return err
	}
	_, err := store.Write(ctx, b.store, who.act(note), func(tx *store.Tx) (bool, error) {
		if _, err := store.People.End(tx, code, note.Base); err != nil {
			return false, err
		}
		return true, cmp.Or(strikeSessions(tx, code), ownerLeft(tx))
	})
	return err
}

// ownerLeft refuses a change after which nobody could manage the book.
func ownerLeft(tx *store.Tx) error {
	people, err := store.People.Values(tx, Query{})
	if err != nil {
		return err
	}
	for _, p := range people {
		if slices.Contains(p.Roles, domain.RoleOwner) {
			return nil
		}
	}
	return domain.Refuse(domain.ErrConflict, store.People.Name, "owner", "reason", "last_owner")
}

// SetPassword changes a password: one's own with the old one, another's by who
// manages the book. Every session of that person ends.
func (b *Book) SetPassword(ctx context.Context, who Person, code, old, password string) error {
	if who.Code != code {
		if err := who.ask(MayManage); err != nil {
			return err
		}
	} else if err := b.checkOld(ctx, code, old); err != nil {
		return err
	}
	hash := hashPassword(password)
	_, err := store.Write(ctx, b.store, who.act(Note{}), func(tx *store.Tx) (bool, error) {
		rec, err := store.People.Get(tx, code)
		if err != nil {
			return false, err
		}
		farm, err := farm(tx)
		if err != nil {
			return false, err
		}
		if faults := domain.CheckPassword(password, triedFirst(farm.Value.Name, rec.Value.Name, code)); faults != nil {
			return false, faults
		}
		return true, cmp.Or(tx.SetPassword(code, hash), strikeSessions(tx, code), tx.NoteAtDoor(code, "", "password changed"))
	})
	return err
}

func (b *Book) checkOld(ctx context.Context, code, old string) error {
	hash, err := store.Read(ctx, b.store, func(tx *store.Tx) (string, error) { return tx.Password(code) })
	if err != nil {
		return err
	}
	if same, _, err := samePassword(old, cmp.Or(hash, nobodysHash)); err != nil || !same {
		return cmp.Or(err, error(domain.Faults{{Place: "old", Code: "wrong_password"}}))
	}
	return nil
}

func strikeSessions(tx *store.Tx, person string) error {
	passes, err := tx.Passes(person)
	if err != nil {
		return err
	}
	for _, p := range passes {
		if p.Kind == domain.SessionPass && p.Struck == nil {
			p.Struck = &tx.Now
			if err := tx.ChangePass(p); err != nil {
				return err
			}
		}
	}
	return nil
}

// NewKey makes a key for another program: its secret is shown this once. A key
// never has more roles than the person who makes it, nor the owner's.
func (b *Book) NewKey(ctx context.Context, who Person, label string, roles []domain.Role, ends time.Time) (domain.Pass, string, error) {
	return b.newPass(ctx, who, domain.Pass{Kind: domain.KeyPass, Label: label, Roles: roles, Ends: ends})
}

func (b *Book) newPass(ctx context.Context, who Person, p domain.Pass) (domain.Pass, string, error) {
	if err := who.ask(MayManage); err != nil {
		return p, "", err
	}
	secret, hash := newSecret()
	p, err := store.Write(ctx, b.store, who.act(Note{}), func(tx *store.Tx) (domain.Pass, error) {
		p.ID, p.Person, p.Made, p.Seen = hash[:16], who.Code, tx.Now, tx.Now
		if p.Kind == domain.InvitePass {
			p.Ends = tx.Now.Add(firstLasts)
		}
		faults := domain.Check(p)
		if p.Label == "" {
			faults.Add("label", "required")
		}
		if p.Kind != domain.FeedPass && len(p.Roles) == 0 || slices.ContainsFunc(p.Roles, func(r domain.Role) bool { return rightsOf[r] == nil || r == domain.RoleOwner }) {
			faults.Add("roles", "one_of", "allowed", []string{string(domain.RoleOffice), string(domain.RoleGrowing), string(domain.RolePacking)})
		}
		if p.Ends.IsZero() || !p.Ends.After(tx.Now) || p.Ends.After(tx.Now.AddDate(2, 0, 0)) {
			faults.Add("ends", "within_two_years")
		}
		if faults != nil {
			return p, faults
		}
		return p, cmp.Or(tx.KeepPass(p, hash), tx.NoteAtDoor(who.Name, "", "made "+string(p.Kind)+" "+p.Label))
	})
	return p, secret, err
}

// Passes lists devices, keys and feeds, without their secrets.
func (b *Book) Passes(ctx context.Context, who Person) ([]domain.Pass, error) {
	if err := who.ask(MayManage); err != nil {
		return nil, err
	}
	return store.Read(ctx, b.store, func(tx *store.Tx) ([]domain.Pass, error) {
		passes, err := tx.Passes("")
		return slices.DeleteFunc(passes, func(p domain.Pass) bool {
			return p.Kind != domain.DevicePass && p.Kind != domain.KeyPass && p.Kind != domain.FeedPass
		}), err
	})
}

// StrikeOff takes a device, a key or a feed back.
func (b *Book) StrikeOff(ctx context.Context, who Person, id string) error {
	if err := who.ask(MayManage); err != nil {
		return err
	}
	_, err := store.Write(ctx, b.store, who.act(Note{}), func(tx *store.Tx) (bool, error) {
		passes, err := tx.Passes("")
		if err != nil {
			return false, err
		}
		for _, p := range passes {
			if p.ID == id && p.Struck == nil {
				p.Struck = &tx.Now
				return true, cmp.Or(tx.ChangePass(p), tx.NoteAtDoor(who.Name, "", "struck off "+string(p.Kind)+" "+p.Label))
			}
		}
		return false, domain.Refuse(domain.ErrNotFound, "pass", id)
	})
	return err
}
