package book

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"
)

// The cost of a password's hash: argon2id with 19 MiB, two passes, one lane
// (OWASP Password Storage Cheat Sheet; ASVS 5.0, 11.4.2).
const (
	hashMemory = 19456 // KiB
	hashPasses = 2
	hashLanes  = 1
	hashBytes  = 32
	saltBytes  = 16
)

// hashing lets so many passwords be hashed at once, each taking hashMemory.
var hashing = make(chan struct{}, 2)

// derive is the work that a password costs; a test counts it.
var derive = argon2.IDKey

// hashPassword makes the PHC string of a password with a salt of its own.
func hashPassword(password string) string {
	salt := make([]byte, saltBytes)
	_, _ = rand.Read(salt) // never fails (crypto/rand)
	return phc(salt, argon(password, salt, hashMemory, hashPasses, hashLanes))
}

func argon(password string, salt []byte, memory, passes uint32, lanes uint8) []byte {
	hashing <- struct{}{}
	defer func() { <-hashing }()
	return derive([]byte(password), salt, passes, memory, lanes, hashBytes)
}

func phc(salt, sum []byte) string {
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, hashMemory, hashPasses, hashLanes,
		base64.RawStdEncoding.EncodeToString(salt), base64.RawStdEncoding.EncodeToString(sum))
}

var errHash = errors.New("book: a stored password cannot be read")

// samePassword says whether a password makes the hash, in time that does not
// depend on where they differ; old says that the hash was made at a lower cost.
func samePassword(password, hash string) (same, old bool, err error) {
	parts := strings.Split(hash, "$")
	if len(parts) != 6 || parts[1] != "argon2id" {
		return false, false, errHash
	}
	var version int
	var memory, passes uint32
	var lanes uint8
	_, e1 := fmt.Sscanf(parts[2], "v=%d", &version)
	_, e2 := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &memory, &passes, &lanes)
	salt, e3 := base64.RawStdEncoding.DecodeString(parts[4])
	want, e4 := base64.RawStdEncoding.DecodeString(parts[5])
	if err := errors.Join(e1, e2, e3, e4); err != nil {
		return false, false, errors.Join(errHash, err)
	}
	got := argon(password, salt, memory, passes, lanes)
	return subtle.ConstantTimeCompare(got, want) == 1, memory < hashMemory || passes < hashPasses, nil
}

// nobodysHash is hashed against where there is no such person, so that a wrong
// name takes as long as a wrong password.
var nobodysHash = phc(make([]byte, saltBytes), make([]byte, hashBytes))

// newSecret is 256 random bits as text, and the hash it is kept by. A plain hash
// is enough for a secret that nobody can guess (ASVS 5.0, 6.5.2 by analogy).
func newSecret() (secret, hash string) {
	raw := make([]byte, 32)
	_, _ = rand.Read(raw) // never fails (crypto/rand)
	secret = base64.RawURLEncoding.EncodeToString(raw)
	return secret, hashSecret(secret)
}

func hashSecret(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}
