package account

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
)

// tokenBytes is the size of a session's secret: 256 random bits.
const tokenBytes = 32

// newToken makes a secret for a cookie and the hash that is stored of it.
func (s *Service) newToken() (secret string, hash []byte, err error) {
	raw := make([]byte, tokenBytes)
	if _, err := io.ReadFull(s.random, raw); err != nil {
		return "", nil, fmt.Errorf("account: randomness: %w", err)
	}
	secret = base64.RawURLEncoding.EncodeToString(raw)
	return secret, tokenHash(secret), nil
}

func tokenHash(secret string) []byte {
	h := sha256.Sum256([]byte(secret))
	return h[:]
}
