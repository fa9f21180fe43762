package main

import (
	"crypto/tls"
	"fmt"
	"os"
	"sync"
	"time"
)

// certFiles is a certificate in files that something else renews: it is read again when the file has changed, so that
// open sockets live on.
type certFiles struct {
	cert, key string

	mu     sync.Mutex
	loaded *tls.Certificate
	of     time.Time // modification time of what is loaded
}

func (c *certFiles) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	info, err := os.Stat(c.cert)
	if err == nil && c.loaded != nil && info.ModTime().Equal(c.of) {
		return c.loaded, nil
	}
	if err == nil {
		var pair tls.Certificate
		if pair, err = tls.LoadX509KeyPair(c.cert, c.key); err == nil {
			c.loaded, c.of = &pair, info.ModTime()
		}
	}
	if c.loaded == nil {
		return nil, fmt.Errorf("read certificate: %w", err)
	}
	// Half-written files: the old certificate is better than none, and the next connection looks again.
	return c.loaded, nil
}
