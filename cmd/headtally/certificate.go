package main

import (
	"crypto/tls"
	"fmt"
	"log/slog"
	"os"
	"sync"
	"time"
)

// certificate is what TLS is spoken with; nil: it is not spoken here.
func (o *reach) certificate(log *slog.Logger) (*tls.Config, error) {
	if o.cert == "" && o.key == "" {
		return nil, nil
	}
	c := &certificate{cert: o.cert, key: o.key, log: log}
	if err := c.read(); err != nil {
		return nil, fmt.Errorf("--tls-cert and --tls-key go together and must be readable: %w", err)
	}
	return &tls.Config{GetCertificate: c.current, MinVersion: tls.VersionTLS12}, nil
}

// certificate is a pair of files that are written anew every few weeks while the
// service goes on. They are read again once either has changed.
type certificate struct {
	cert, key string
	log       *slog.Logger

	mu   sync.Mutex
	pair *tls.Certificate
	seen [2]writing
}

// writing tells one writing of a file from another.
type writing struct {
	at   time.Time
	size int64
}

func (c *certificate) written() (seen [2]writing, err error) {
	for i, file := range []string{c.cert, c.key} {
		info, err := os.Stat(file)
		if err != nil {
			return seen, err
		}
		seen[i] = writing{info.ModTime(), info.Size()}
	}
	return seen, nil
}

func (c *certificate) read() error {
	seen, err := c.written()
	if err != nil || c.pair != nil && seen == c.seen {
		return err
	}
	pair, err := tls.LoadX509KeyPair(c.cert, c.key)
	if err != nil {
		return err
	}
	c.pair, c.seen = &pair, seen
	return nil
}

// current is the certificate for a connection. While the files cannot be read,
// as when one of the two is written already and the other is not, the last one
// is shown on.
func (c *certificate) current(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.read(); err != nil {
		c.log.Warn("the certificate could not be read anew", "error", err)
	}
	return c.pair, nil
}
