package book

import (
	"cmp"
	"context"
	"slices"

	"headtally/domain"
	"headtally/domain/store"
)

// OpenAlone uses the secret of FirstVisit without making an account: the
// browser that has what comes back is the person at this machine, and may do
// everything for as long as the book has no people. The secret works once.
func (b *Book) OpenAlone(ctx context.Context, secret, origin string) (machine string, err error) {
	machine, hash := newSecret()
	_, err = store.Write(ctx, b.store, store.Act{Who: Owner().Name}, func(tx *store.Tx) (bool, error) {
		if err := useFirst(tx, secret); err != nil {
			return false, err
		}
		pass := domain.Pass{ID: hash[:16], Kind: domain.MachinePass, Made: tx.Now, Seen: tx.Now, Ends: tx.Now.Add(deviceLasts)}
		return true, cmp.Or(tx.KeepPass(pass, hash), tx.NoteAtDoor(Owner().Name, origin, "opened without people"))
	})
	return machine, err
}

// OpenedAlone says whether some browser has opened the book without people.
func (b *Book) OpenedAlone(ctx context.Context) (bool, error) {
	return store.Read(ctx, b.store, func(tx *store.Tx) (bool, error) {
		passes, err := tx.Passes("")
		return slices.ContainsFunc(passes, func(p domain.Pass) bool { return p.Kind == domain.MachinePass && open(p, b.now()) }), err
	})
}

// useFirst uses up the secret of an empty book's address.
func useFirst(tx *store.Tx, secret string) error {
	some, err := hasPeople(tx)
	if err != nil {
		return err
	}
	if some {
		return domain.Refuse(domain.ErrDenied, "first visit", "address")
	}
	_, err = useOnce(tx, secret, domain.FirstPass)
	return err
}

// useOnce strikes off a pass that works once.
func useOnce(tx *store.Tx, secret string, kind domain.PassKind) (domain.Pass, error) {
	pass, known, err := tx.PassOf(hashSecret(secret))
	if err != nil {
		return pass, err
	}
	if !known || pass.Kind != kind || !open(pass, tx.Now) {
		return pass, domain.Refuse(domain.ErrDenied, "first visit", "address")
	}
	pass.Struck = &tx.Now
	return pass, tx.ChangePass(pass)
}

// atMachine is the person at the machine, while the book has no people.
func atMachine(tx *store.Tx) (Person, error) {
	some, err := hasPeople(tx)
	if err != nil || some {
		return Person{}, cmp.Or(err, domain.Refuse(domain.ErrSignIn, "pass", "", "reason", "nobody"))
	}
	return Owner(), nil
}

// InviteDevice makes the secret of a one-use address. Opened on a shared
// telephone within the hour it makes the telephone known, see TakeDevice.
func (b *Book) InviteDevice(ctx context.Context, who Person, label string) (secret string, err error) {
	_, secret, err = b.newPass(ctx, who, domain.Pass{Kind: domain.InvitePass, Label: label, Roles: []domain.Role{domain.RolePacking}})
	return secret, err
}

// TakeDevice uses an invitation and makes the telephone that opened it known: it
// stays signed in with packing rights alone until it is struck off, a year at
// most.
func (b *Book) TakeDevice(ctx context.Context, invitation, origin string) (secret string, err error) {
	secret, hash := newSecret()
	_, err = store.Write(ctx, b.store, store.Act{Who: "device"}, func(tx *store.Tx) (bool, error) {
		invite, err := useOnce(tx, invitation, domain.InvitePass)
		if err != nil {
			return false, err
		}
		device := domain.Pass{ID: hash[:16], Kind: domain.DevicePass, Label: invite.Label, Person: invite.Person,
			Roles: []domain.Role{domain.RolePacking}, Made: tx.Now, Seen: tx.Now, Ends: tx.Now.Add(deviceLasts)}
		return true, cmp.Or(tx.KeepPass(device, hash), tx.NoteAtDoor("device "+device.Label, origin, "made known"))
	})
	return secret, err
}
