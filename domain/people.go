package domain

import (
	"time"
	"unicode/utf8"
)

// Role is what a person in the house does.
type Role string

// The roles: the office takes orders, growing keeps beds and counts, packing has
// lists and counts as packed, the owner everything and the people.
const (
	RoleOffice  Role = "office"
	RoleGrowing Role = "growing"
	RolePacking Role = "packing"
	RoleOwner   Role = "owner"
)

// Account is a person who can sign in. What the password is made into is kept
// apart and is in no history.
type Account struct {
	Code  string `json:"code" validate:"omitempty,code"` // what is typed to sign in
	Name  string `json:"name" validate:"required,max=80,line"`
	Roles []Role `json:"roles" validate:"min=1,max=4,unique,dive,oneof=office growing packing owner"`
}

// The lengths a password may have. Any letters and signs are allowed, and none
// is asked for (OWASP ASVS 5.0, 6.2.1 to 6.2.9: at least 8, 15 advised, at least
// 64 allowed, no rules of composition).
const (
	PasswordLeast = 8
	PasswordMost  = 256
)

// CheckPassword holds a new password against its length and against those that
// are tried first: a list of the most used, and what this house is called.
func CheckPassword(password string, tried func(string) bool) Faults {
	var faults Faults
	switch n := utf8.RuneCountInString(password); {
	case n < PasswordLeast:
		faults.Add("password", "too_short", "limit", PasswordLeast)
	case len(password) > PasswordMost:
		faults.Add("password", "too_long", "limit", PasswordMost)
	case tried(password):
		faults.Add("password", "too_common")
	}
	return faults
}

// PassKind is what a pass is for.
type PassKind string

// A session is a signed-in browser; a device is a shared telephone that stays
// signed in; a key is for another program; the first is the one-use address that
// opens an empty book, and the machine the browser that opened it and needs no
// password while there are no people; the invite is the one-use address that
// makes a telephone a device; a feed is the secret in the address of a calendar.
const (
	SessionPass PassKind = "session"
	DevicePass  PassKind = "device"
	KeyPass     PassKind = "key"
	FirstPass   PassKind = "first"
	MachinePass PassKind = "machine"
	InvitePass  PassKind = "invite"
	FeedPass    PassKind = "feed"
)

// Pass is something that lets its holder in. Only a hash of its secret is kept.
type Pass struct {
	ID     string     `json:"id"`
	Kind   PassKind   `json:"kind"`
	Label  string     `json:"label" validate:"max=80,line"`
	Person string     `json:"person,omitempty"` // the account it speaks for, or that made it
	Roles  []Role     `json:"roles,omitempty"`  // device and key: what it may do
	Made   time.Time  `json:"made"`
	Seen   time.Time  `json:"seen"`
	Ends   time.Time  `json:"ends,omitzero"`
	Struck *time.Time `json:"struck,omitempty"` // taken back
}
