//go:build unix

package storetest

import (
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"

	"headtally/domain/tried"
)

// Cluster is a PostgreSQL server of a test's own, which it may stop as roughly as
// it likes.
type Cluster struct {
	t        testing.TB
	bin, dir string
	as       *syscall.Credential // nil: the one who runs the test
}

// NewCluster makes a server in a temporary folder, and starts it. It listens on a
// socket there and nowhere else. The programs are where Debian puts them.
func NewCluster(t testing.TB) *Cluster {
	t.Helper()
	bins, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if err != nil || len(bins) == 0 {
		tried.Without(t, "PostgreSQL is not installed")
	}
	slices.Sort(bins)
	dir, err := os.MkdirTemp("", "headtally-pg-") // not below a folder that its user may not enter
	if err != nil {
		t.Fatal(err)
	}
	c := &Cluster{t: t, bin: filepath.Dir(bins[len(bins)-1]), dir: dir}
	t.Cleanup(func() {
		c.Stop("immediate")
		_ = os.RemoveAll(dir)
	})
	c.others()
	c.run("initdb", "-D", c.data(), "-A", "trust", "-U", "headtally", "-E", "UTF8", "--no-instructions")
	c.Start()
	return c
}

// others gives the folder to the user that Debian made for PostgreSQL, which
// does not run as root.
func (c *Cluster) others() {
	if os.Getuid() != 0 {
		return
	}
	who, err := user.Lookup("postgres")
	if err != nil {
		c.t.Fatal(err)
	}
	uid, _ := strconv.Atoi(who.Uid)
	gid, _ := strconv.Atoi(who.Gid)
	c.as = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	if err := os.Chown(c.dir, uid, gid); err != nil {
		c.t.Fatal(err)
	}
}

func (c *Cluster) data() string { return filepath.Join(c.dir, "data") }

// Address is the server's database.
func (c *Cluster) Address() string { return "postgres://headtally@/postgres?host=" + c.dir }

// Start starts it, and waits until it answers.
func (c *Cluster) Start() {
	c.t.Helper()
	c.run("pg_ctl", "start", "-w", "-D", c.data(), "-l", filepath.Join(c.dir, "log"),
		"-o", fmt.Sprintf("-c listen_addresses='' -c unix_socket_directories='%s'", c.dir))
}

// Stop stops it: "fast" ends what is under way, "immediate" is as a kill.
func (c *Cluster) Stop(how string) {
	c.t.Helper()
	_ = c.command("pg_ctl", "stop", "-w", "-D", c.data(), "-m", how).Run()
}

func (c *Cluster) run(word string, args ...string) {
	c.t.Helper()
	if err := c.command(word, args...).Run(); err != nil {
		log, _ := os.ReadFile(filepath.Join(c.dir, "log"))
		c.t.Fatalf("%s: %v\n%s", word, err, log)
	}
}

func (c *Cluster) command(word string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(c.bin, word), args...)
	cmd.Dir = c.dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: c.as}
	return cmd
}
