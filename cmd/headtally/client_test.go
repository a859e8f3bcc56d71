package main

import (
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"headtally/domain"
	"headtally/domain/tried"
	"headtally/openapi"
)

// TestAGeneratedClientGoesTheMainWay makes a client from the contract with a
// generator of others (oapi-codegen, pinned in testdata/client/go.mod), builds it
// and lets it order, promise, print, lift, pack and trace against the service.
func TestAGeneratedClientGoesTheMainWay(t *testing.T) {
	program := generatedClient(t)
	d := newDesk(t)
	week, data := d.file("week.xlsx"), d.file("book")
	require.Zero(t, d.types("", "workbook", week), d.err.String())
	require.Zero(t, d.types("", "import", week, "--data", data), d.err.String())
	key := d.keyOfTheHouse(data)

	said, err := exec.CommandContext(t.Context(), program, d.serves(data), key, "2027-04-14", "2027-04-13").CombinedOutput()
	require.NoError(t, err, string(said))
	t.Log(string(said))
	require.Regexp(t, `^ordered 1 of \S+, filled 1\npromised 1, \d+ more are sure\nissue 1 with \d+ papers\nlifted [1-9]\d* heads\npacked [1-9]\d* cases\ncase \S+: 1 sent to The Reed House from [1-9]\d* lots\n$`, string(said))
}

// generatedClient copies the example program out of the module, makes its client
// and builds it. Both take modules from the proxy.
func generatedClient(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("makes and builds a client of its own")
	}
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "testdata", "client"))))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "client"), 0o755))
	contract := filepath.Join(dir, "openapi.yaml")
	require.NoError(t, os.WriteFile(contract, openapi.YAML, 0o644))
	inDir := func(args ...string) ([]byte, error) {
		c := exec.CommandContext(t.Context(), "go", args...)
		c.Dir = dir
		return c.CombinedOutput()
	}
	if said, err := inDir("mod", "download"); err != nil {
		tried.Without(t, "the generator's modules cannot be had here: "+string(said))
	}
	said, err := inDir("tool", "oapi-codegen", "-config", "generate.yaml", contract)
	require.NoError(t, err, string(said))
	said, err = inDir("build", "-o", "example", ".")
	require.NoError(t, err, string(said))
	return filepath.Join(dir, "example")
}

// keyOfTheHouse opens a book for a first person and gives the key of a program
// that may order, grow and pack.
func (d *desk) keyOfTheHouse(data string) string {
	d.t.Helper()
	ctx := d.t.Context()
	b, done, err := openBook(ctx, surroundings{now: d.clock}, place{folder: data})
	require.NoError(d.t, err)
	defer done()
	visit, err := b.FirstVisit(ctx)
	require.NoError(d.t, err)
	session, err := b.Begin(ctx, visit, domain.Account{Name: "Ada"}, "seven wet rafts at dawn", "")
	require.NoError(d.t, err)
	ada, _, err := b.Holder(ctx, session, domain.SessionPass)
	require.NoError(d.t, err)
	_, key, err := b.NewKey(ctx, ada, "example", []domain.Role{domain.RoleOffice, domain.RoleGrowing, domain.RolePacking}, d.now.AddDate(0, 1, 0))
	require.NoError(d.t, err)
	return key
}

// serves starts the service on the book and gives its address; it is stopped
// with the test.
func (d *desk) serves(data string) string {
	d.t.Helper()
	said, stop := d.starts(data)
	d.t.Cleanup(stop)
	address := regexp.MustCompile(`http://[0-9.:]+`).FindString(said)
	require.NotEmpty(d.t, address, said)
	return address
}

// starts starts the service on the book, and gives what it says and the way to
// stop it.
func (d *desk) starts(data string) (said string, stop func()) {
	d.t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	read, write := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"serve", "--data", data, "--listen", "127.0.0.1:0"},
			surroundings{getenv: func(string) string { return "" }, now: d.clock, in: read, out: write, err: io.Discard})
	}()
	welcome := make([]byte, 4096)
	n, err := read.Read(welcome)
	require.NoError(d.t, err)
	go func() { _, _ = io.Copy(io.Discard, read) }()
	return string(welcome[:n]), func() {
		cancel()
		require.Zero(d.t, <-ended)
	}
}

// clock is the desk's; a second passes between two looks at it.
func (d *desk) clock() time.Time {
	d.looked.Add(1)
	return d.now.Add(time.Duration(d.looked.Load()) * time.Second)
}
