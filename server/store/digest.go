package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"

	"witnessmark/sync/entry"
)

// ErrDigest: the text is not 64 lower hex digits.
var ErrDigest = errors.New("not a digest of 64 hex digits")

// String is the digest as 64 lower hex digits.
func (d Digest) String() string { return hex.EncodeToString(d[:]) }

// ParseDigest reads 64 hex digits. Errors: ErrDigest.
func ParseDigest(s string) (Digest, error) {
	var d Digest
	if len(s) != 2*len(d) {
		return d, ErrDigest
	}
	if _, err := hex.Decode(d[:], []byte(s)); err != nil {
		return d, ErrDigest
	}
	return d, nil
}

// Next returns the running digest after one more entry: SHA-256 of d and the entry's id, both as bytes.
func (d Digest) Next(id Digest) Digest {
	var both [64]byte
	copy(both[:32], d[:])
	copy(both[32:], id[:])
	return sha256.Sum256(both[:])
}

// Plus returns the sum of two digests as 256-bit big-endian numbers, modulo 2^256: the order of adding does not matter.
func (d Digest) Plus(id Digest) Digest {
	carry := 0
	for i := len(d) - 1; i >= 0; i-- {
		carry += int(d[i]) + int(id[i])
		d[i] = byte(carry)
		carry >>= 8
	}
	return d
}

// IDBytes is an entry id as bytes. Errors: ErrDigest.
func IDBytes(id entry.ID) (Digest, error) { return ParseDigest(string(id)) }
