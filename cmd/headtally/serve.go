package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"headtally/api"
	"headtally/api/book"
	"headtally/domain"
	"headtally/domain/store"
)

// drainTime is how long requests under way may take to end at a stop.
const drainTime = 10 * time.Second

// serving is what serve is told.
type serving struct {
	reach
	data   place
	open   bool
	log    string
	copies copies

	invented bool    // the book is an invented farm's
	beside   *beside // the invented farm that can be looked at; nil: none
}

// copies is where scheduled copies of the book go.
type copies struct {
	dir   string
	every time.Duration
	keep  int
}

// runServe serves the pages and the API of a book until it is interrupted.
func runServe(ctx context.Context, sh surroundings, args []string) error {
	s := newSettings(sh, "serve", "--data DIR")
	var o serving
	data := s.data()
	o.reach.settings(s)
	s.BoolVar(&o.open, "open", false, "open the browser")
	s.StringVar(&o.log, "log", "text", "the `FORM` of the log, text or json")
	s.StringVar(&o.copies.dir, "backup-dir", "", "the `DIR` for scheduled copies; left out: backups beside the book")
	s.DurationVar(&o.copies.every, "backup-every", 24*time.Hour, "how often a copy is made; 0: never")
	s.IntVar(&o.copies.keep, "backup-keep", 14, "how many copies to keep")
	if _, err := s.read(args); err != nil {
		return err
	}
	if o.data = *data; o.copies.dir == "" {
		o.copies.dir = filepath.Join(o.data.folder, "backups")
	}
	return serve(ctx, sh, o)
}

// serve opens the book, holds its file against a second server, and answers until
// ctx ends or a write to the disk fails; then it finishes what is under way.
func serve(ctx context.Context, sh surroundings, o serving) error {
	log, err := logger(sh, o.log)
	if err != nil {
		return exits{refused, err}
	}
	unlock, err := alone(o.data)
	if err != nil {
		return err
	}
	defer unlock()
	b, done, err := openBook(ctx, sh, o.data)
	if err != nil {
		return err
	}
	defer done()
	if err := o.guarded(ctx, b); err != nil {
		return exits{refused, err}
	}
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	o.beside = newBeside(ctx, sh, o, log)
	defer o.beside.close()
	server, listener, err := listenTo(b, sh, log, o, stop)
	if err != nil {
		return err
	}
	cutOff, end, err := begin(o.data)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	defer end()
	if err := welcome(ctx, b, sh, o, cutOff, listener, log); err != nil {
		return errors.Join(err, listener.Close())
	}
	go keepCopies(ctx, b, sh, o.copies, log)
	go layPapers(ctx, b, sh, filepath.Join(o.data.folder, "papers"), log)
	if err := answer(ctx, server, listener); err != nil {
		return err
	}
	if broken := context.Cause(ctx); errors.Is(broken, domain.ErrDisk) {
		return fmt.Errorf("it ends, so that whoever starts it again reads the book from the disk: %w", broken)
	}
	return nil
}

// listenTo makes the server and begins to listen, with TLS where it is spoken
// here; broken ends it.
func listenTo(b *book.Book, sh surroundings, log *slog.Logger, o serving, broken func(error)) (*http.Server, net.Listener, error) {
	certificate, err := o.certificate(log)
	if err != nil {
		return nil, nil, exits{refused, err}
	}
	handler, err := wire(b, sh, log, o, broken)
	if err != nil {
		return nil, nil, err
	}
	listener, err := net.Listen("tcp", o.listen)
	if err != nil {
		return nil, nil, err
	}
	server := api.Server(o.listen, handler)
	server.ErrorLog = slog.NewLogLogger(log.Handler(), slog.LevelWarn)
	if certificate != nil {
		certificate.NextProtos = []string{"h2", "http/1.1"}
		listener = tls.NewListener(listener, certificate)
	}
	return server, listener, nil
}

// welcome says where the book is served, and opens it where that is wanted;
// after a power cut the papers of the next morning come first.
func welcome(ctx context.Context, b *book.Book, sh surroundings, o serving, cutOff bool, listener net.Listener, log *slog.Logger) error {
	scheme := "http"
	if o.cert != "" {
		scheme = "https"
	}
	address, more, err := o.entrance(ctx, b, scheme+"://"+listener.Addr().String()+"/")
	if err != nil {
		return err
	}
	first := address
	if cutOff && strings.HasSuffix(address, "/") {
		papers, err := papersFirst(ctx, b, address)
		if err != nil {
			return err
		}
		if papers != "" {
			more += fmt.Sprintf("It was not stopped in order the last time, as in a power cut. The next papers: %s\n", papers)
			first = papers
		}
	}
	fmt.Fprintf(sh.out, "headtally serves the book in %s on %s\n%sStop it with Ctrl-C.\n", o.data, address, more)
	if o.open {
		openBrowser(first, log)
	}
	return nil
}

// answer serves a listener until ctx ends, then drains.
func answer(ctx context.Context, server *http.Server, listener net.Listener) error {
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	draining, cancel := context.WithTimeout(context.WithoutCancel(ctx), drainTime)
	defer cancel()
	return server.Shutdown(draining)
}

func logger(sh surroundings, form string) (*slog.Logger, error) {
	switch form {
	case "text":
		return slog.New(slog.NewTextHandler(sh.err, nil)), nil
	case "json":
		return slog.New(slog.NewJSONHandler(sh.err, nil)), nil
	}
	return nil, fmt.Errorf("--log is text or json, not %q", form)
}

// alone holds a folder against a second server on the same book. A database may
// be served by several.
func alone(at place) (unlock func(), err error) {
	if at.database != "" {
		return func() {}, nil
	}
	dir := at.folder
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	lock := flock.New(filepath.Join(dir, "serving.lock"))
	held, err := lock.TryLock()
	if err != nil {
		return nil, err
	}
	if !held {
		return nil, fmt.Errorf("the book in %s is served already", dir)
	}
	return func() { _ = lock.Unlock() }, nil
}

// openBrowser shows an address in the desktop's browser; without one the
// address was printed.
func openBrowser(address string, log *slog.Logger) {
	command := map[string][]string{"darwin": {"open"}, "windows": {"rundll32", "url.dll,FileProtocolHandler"}}[runtime.GOOS]
	if command == nil {
		command = []string{"xdg-open"}
	}
	if err := exec.Command(command[0], append(command[1:], address)...).Start(); err != nil {
		log.Info("the browser could not be opened", "address", address, "error", err)
	}
}

// keepCopies makes scheduled copies of the book until ctx ends: one is due when
// the newest is older than the time between two, so a machine that was off
// catches up.
func keepCopies(ctx context.Context, b *book.Book, sh surroundings, o copies, log *slog.Logger) {
	if o.every <= 0 {
		return
	}
	look := time.NewTicker(min(o.every, time.Minute))
	defer look.Stop()
	for {
		if err := inTurn(ctx, b, "copies", func() error { return copyIfDue(ctx, b, sh, o) }); err != nil && !errors.Is(err, context.Canceled) {
			log.Error("a scheduled copy failed", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		}
	}
}

// inTurn does work beside the requests, while no other program on the book does
// it: whoever comes second finds it done, where both keep it in one folder.
func inTurn(ctx context.Context, b *book.Book, name string, work func() error) error {
	return b.InTurn(ctx, name, func() error { return survived(work) })
}

// survived is what work beside the requests comes to. A fault of the program in
// it must not end the service.
func survived(work func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return work()
}

func copyIfDue(ctx context.Context, b *book.Book, sh surroundings, o copies) error {
	if err := os.MkdirAll(o.dir, 0o700); err != nil {
		return err
	}
	now := sh.now()
	made, err := filepath.Glob(filepath.Join(o.dir, store.BackupName(now)[:10]+"*Z.db"))
	if err != nil {
		return err
	}
	due := store.BackupName(now.Add(-o.every))
	for _, name := range made {
		if filepath.Base(name) > due {
			return nil
		}
	}
	if err := b.Backup(ctx, book.Owner(), filepath.Join(o.dir, store.BackupName(now))); err != nil {
		return err
	}
	return store.Prune(o.dir, o.keep)
}
