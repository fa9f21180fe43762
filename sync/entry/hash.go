package entry

import "witnessmark/sync/jcs"

// Sum returns the id of an entry's bytes.
func Sum(raw []byte) ID { return ID(Hex(digest(raw))) }

// Digest returns the SHA-256 of b as 64 hex digits, for the digests of records and results.
func Digest(b []byte) string { return Hex(digest(b)) }

// DigestOf returns the SHA-256 of v's canonical form.
func DigestOf(v jcs.Value) string { return Digest(v.Append(make([]byte, 0, aboutResult))) }

// aboutResult is about how long a result is, so that its bytes are not moved while they are written.
const aboutResult = 2 << 10

// Hex writes 32 bytes as 64 lower-case digits.
func Hex(sum [32]byte) string {
	const digits = "0123456789abcdef"
	var out [64]byte
	for i, b := range sum {
		out[2*i], out[2*i+1] = digits[b>>4], digits[b&15]
	}
	return string(out[:])
}

// Bytes returns the 32 bytes that id names; zero when it is no id.
func (id ID) Bytes() (sum [32]byte) {
	if !isHex(string(id), 64) {
		return sum
	}
	for i := range sum {
		sum[i] = nibble(id[2*i])<<4 | nibble(id[2*i+1])
	}
	return sum
}

func nibble(c byte) byte {
	if c <= '9' {
		return c - '0'
	}
	return c - 'a' + 10
}
