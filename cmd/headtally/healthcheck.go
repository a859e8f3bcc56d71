package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"time"
)

// runHealthcheck asks the service on this machine whether it can read its book,
// for a container that holds no other program.
func runHealthcheck(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "healthcheck", "[--listen ADDRESS]")
	listen := s.String("listen", "127.0.0.1:8740", "the `ADDRESS` that serve was given")
	cert := s.String("tls-cert", "", "the `FILE` that serve was given: then TLS is spoken")
	if _, err := s.read(args); err != nil {
		return err
	}
	host, port, err := net.SplitHostPort(*listen)
	if err != nil {
		return exits{refused, fmt.Errorf("--listen is an address such as 127.0.0.1:8740: %w", err)}
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "127.0.0.1"
	}
	scheme := "http"
	if *cert != "" {
		scheme = "https"
	}
	return ready(ctx, scheme+"://"+net.JoinHostPort(host, port)+"/readyz")
}

// ready asks once. The certificate names the farm and not this machine, and
// nothing secret is sent: it is not looked at.
func ready(ctx context.Context, address string) error {
	ctx, cancel := context.WithTimeout(ctx, 4*time.Second)
	defer cancel()
	ask, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return err
	}
	client := http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}} //nolint:gosec // see above
	answer, err := client.Do(ask)
	var wrapped *url.Error
	if errors.As(err, &wrapped) { // it would name the address and the method once more
		err = wrapped.Err
	}
	if err != nil {
		return fmt.Errorf("%s does not answer: %w", address, err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("%s answered %s", address, answer.Status)
	}
	return nil
}
