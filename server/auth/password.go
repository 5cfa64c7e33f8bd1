package auth

import "github.com/alexedwards/argon2id"

// The cost of one hash. It is fixed here because the library's own default follows the number of processors, so that
// hashes made on different machines would differ in strength. 19 MiB, two passes and one lane is the smallest cost
// that the OWASP Password Storage Cheat Sheet gives for argon2id (from memory); about 80 ms on a small server.
var cost = argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// hashesAtOnce bounds memory and processor time when many people sign in together, or somebody guesses.
const hashesAtOnce = 2

// Hasher turns passwords into argon2id hashes and compares them. It is safe for use by several goroutines.
type Hasher struct{ slots chan struct{} }

// NewHasher gives a Hasher that works on at most two passwords at a time; others wait.
func NewHasher() *Hasher { return &Hasher{slots: make(chan struct{}, hashesAtOnce)} }

// Hash gives the hash of a password, in the usual text form that carries its salt and cost.
func (h *Hasher) Hash(password string) (string, error) {
	h.slots <- struct{}{}
	defer func() { <-h.slots }()
	return argon2id.CreateHash(password, &cost)
}

// Check reports whether the password belongs to the hash. The error says that the hash cannot be read.
func (h *Hasher) Check(password, hash string) (bool, error) {
	h.slots <- struct{}{}
	defer func() { <-h.slots }()
	return argon2id.ComparePasswordAndHash(password, hash)
}
