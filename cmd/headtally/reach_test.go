package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"io"
	"log/slog"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
)

// certified writes a certificate for localhost with its key.
func certified(t *testing.T, dir string) (cert, key string) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	form := x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		DNSNames: []string{"localhost"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}}
	der, err := x509.CreateCertificate(rand.Reader, &form, &form, &private.PublicKey, private)
	require.NoError(t, err)
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	require.NoError(t, err)
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	require.NoError(t, os.WriteFile(cert, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600))
	require.NoError(t, os.WriteFile(key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), 0o600))
	return cert, key
}

// owned makes a book with an owner in a folder.
func owned(t *testing.T, dir string) {
	t.Helper()
	b, done, err := openBook(t.Context(), surroundings{now: time.Now}, place{folder: dir})
	require.NoError(t, err)
	defer done()
	secret, err := b.FirstVisit(t.Context())
	require.NoError(t, err)
	_, err = b.Begin(t.Context(), secret, domain.Account{Name: "Ada"}, "seven wet rafts at dawn", "")
	require.NoError(t, err)
}

// TestServeRefusesToBeReachedUnguarded says why, everything at once.
func TestServeRefusesToBeReachedUnguarded(t *testing.T) {
	empty, peopled := t.TempDir(), t.TempDir()
	owned(t, peopled)
	cert, key := certified(t, t.TempDir())
	for name, c := range map[string]struct {
		args []string
		says []string
	}{
		"with nothing":                     {[]string{"--data", empty, "--listen", "0.0.0.0:0"}, []string{"--tls-cert", "nobody can sign in yet", "--hosts"}},
		"with TLS, but without people":     {[]string{"--data", empty, "--listen", "0.0.0.0:0", "--tls-cert", cert, "--tls-key", key, "--hosts", "farm.example"}, []string{"nobody can sign in yet"}},
		"with people, but without TLS":     {[]string{"--data", peopled, "--listen", ":0", "--hosts", "farm.example"}, []string{"passwords would go over the network"}},
		"behind a proxy on this machine":   {[]string{"--data", empty, "--listen", "127.0.0.1:0", "--behind-proxy", "127.0.0.1"}, []string{"nobody can sign in yet", "--hosts"}},
		"half a certificate":               {[]string{"--data", empty, "--listen", "127.0.0.1:0", "--tls-cert", cert}, []string{"go together"}},
		"a proxy that is no address":       {[]string{"--data", peopled, "--listen", "127.0.0.1:0", "--hosts", "x", "--behind-proxy", "the big one"}, []string{"neither an address nor a range"}},
		"an address that is none":          {[]string{"--data", empty, "--listen", "here"}, []string{"such as 127.0.0.1:8740"}},
		"with people and TLS but no names": {[]string{"--data", peopled, "--listen", "0.0.0.0:0", "--tls-cert", cert, "--tls-key", key}, []string{"--hosts"}},
	} {
		var out bytes.Buffer
		sh := surroundings{getenv: func(string) string { return "" }, now: time.Now, in: strings.NewReader(""), out: io.Discard, err: &out}
		require.Equal(t, refused, run(t.Context(), append([]string{"serve"}, c.args...), sh), name)
		for _, text := range c.says {
			require.Contains(t, out.String(), text, name)
		}
	}
}

// TestServeOverTLS reaches a book with people from beyond this machine.
func TestServeOverTLS(t *testing.T) {
	dir := t.TempDir()
	owned(t, dir)
	cert, key := certified(t, t.TempDir())
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	read, write := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"serve", "--data", dir, "--listen", "0.0.0.0:0", "--tls-cert", cert, "--tls-key", key, "--hosts", "farm.example"}, surroundings{
			getenv: func(string) string { return "" }, now: time.Now, in: strings.NewReader(""), out: write, err: io.Discard})
		_ = write.Close()
	}()
	said := make([]byte, 4096)
	n, err := read.Read(said)
	require.NoError(t, err)
	go func() { _, _ = io.Copy(io.Discard, read) }()
	port := regexp.MustCompile(`https://\[::\]:(\d+)/`).FindStringSubmatch(string(said[:n]))
	require.NotNil(t, port, string(said[:n]))
	require.NotContains(t, string(said[:n]), "begin?", "there are people")

	client := http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}, ForceAttemptHTTP2: true},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Get("https://127.0.0.1:" + port[1] + "/v1/farm")
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusUnauthorized, answer.StatusCode)
	require.Equal(t, 2, answer.ProtoMajor)
	require.Equal(t, "max-age=31536000", answer.Header.Get("Strict-Transport-Security"))
	require.NoError(t, ready(t.Context(), "https://127.0.0.1:"+port[1]+"/readyz"))
	require.Error(t, ready(t.Context(), "http://127.0.0.1:"+port[1]+"/readyz"), "nothing but TLS")
	stop()
	require.Zero(t, <-ended)
}

// TestACertificateWrittenAnewIsShown keeps a service going while its certificate
// is written anew, badly at first.
func TestACertificateWrittenAnewIsShown(t *testing.T) {
	dir := t.TempDir()
	cert, key := certified(t, dir)
	var log bytes.Buffer
	config, err := (&reach{cert: cert, key: key}).certificate(slog.New(slog.NewTextHandler(&log, nil)))
	require.NoError(t, err)
	shown := func() []byte {
		pair, err := config.GetCertificate(nil)
		require.NoError(t, err)
		return pair.Certificate[0]
	}
	first := shown()
	require.Equal(t, first, shown())
	require.NoError(t, os.WriteFile(cert, []byte("half of it"), 0o600))
	require.Equal(t, first, shown(), "the last good one")
	require.Contains(t, log.String(), "could not be read anew")
	certified(t, dir)
	second := shown()
	require.NotEqual(t, first, second)
	require.Equal(t, second, shown())
}

// TestWorkBesideRequestsEndsNoService is told as an error what would end the
// program.
func TestWorkBesideRequestsEndsNoService(t *testing.T) {
	require.NoError(t, survived(func() error { return nil }))
	require.ErrorContains(t, survived(func() error { panic("a fault of the program") }), "a fault of the program")
}

// TestTheAddressThatOpensAnEmptyBook is printed, and no other book is opened.
func TestTheAddressThatOpensAnEmptyBook(t *testing.T) {
	b, done, err := openBook(t.Context(), surroundings{now: time.Now}, place{folder: t.TempDir()})
	require.NoError(t, err)
	defer done()
	o := reach{listen: "127.0.0.1:0"}
	at, _, err := o.entrance(t.Context(), b, "http://127.0.0.1:1/")
	require.NoError(t, err)
	_, secret, found := strings.Cut(at, "http://127.0.0.1:1/begin?visit=")
	require.True(t, found)
	_, err = b.OpenAlone(t.Context(), secret, "")
	require.NoError(t, err)
	at, more, err := o.entrance(t.Context(), b, "http://127.0.0.1:1/")
	require.NoError(t, err)
	require.Equal(t, "http://127.0.0.1:1/", at, "this browser is known")
	require.Contains(t, more, "begin?visit=", "another is not")
}
