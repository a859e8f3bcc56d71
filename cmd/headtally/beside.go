package main

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"sync"

	"headtally/domain"
	"headtally/testdata/farm"
)

// beside is the invented farm that somebody can look at beside a farm's own book:
// a book of its own in a temporary folder, under an address of its own on this
// machine. It is made when it is first asked for, and gone when the service ends.
type beside struct {
	sh  surroundings
	log *slog.Logger
	ctx context.Context //nolint:containedctx // it is the service's: the invented farm outlives the request that asks for it
	end context.CancelFunc

	mu      sync.Mutex
	address string
	folder  string
	ended   chan struct{}
}

// newBeside is the invented farm beside a service, or none where other machines
// can reach the service: the address would not lead their people anywhere.
func newBeside(ctx context.Context, sh surroundings, o serving, log *slog.Logger) *beside {
	if far, err := beyond(o.listen); err != nil || far || o.proxy != "" || o.invented {
		return nil
	}
	d := &beside{sh: sh, log: log, ended: make(chan struct{})}
	d.sh.out = io.Discard
	d.sh.now = clockFrom(domain.MustDay(farm.AsOf), sh.now)
	d.ctx, d.end = context.WithCancel(ctx)
	return d
}

// open makes the invented farm, once, and says where it is.
func (d *beside) open(context.Context) (_ string, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.address != "" {
		return d.address, nil
	}
	folder, err := os.MkdirTemp("", "headtally-invented-")
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.RemoveAll(folder)) // the next try makes another
		}
	}()
	if _, err := makeDemo(d.ctx, d.sh, folder, domain.MustDay(farm.AsOf)); err != nil {
		return "", err
	}
	b, done, err := openBook(d.ctx, d.sh, place{folder: folder})
	if err != nil {
		return "", err
	}
	server, listener, err := listenTo(b, d.sh, d.log, serving{reach: reach{listen: "127.0.0.1:0", alone: true}, invented: true}, func(err error) {
		d.log.Error("the invented farm cannot be written", "error", err)
	})
	if err != nil {
		done()
		return "", err
	}
	d.folder, d.address = folder, "http://"+listener.Addr().String()+"/"
	go func() {
		defer close(d.ended)
		defer done()
		if err := answer(d.ctx, server, listener); err != nil {
			d.log.Error("the invented farm ended", "error", err)
		}
	}()
	return d.address, nil
}

// close ends it and takes its folder away.
func (d *beside) close() {
	if d == nil {
		return
	}
	d.end()
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.address == "" {
		return
	}
	<-d.ended
	if err := os.RemoveAll(d.folder); err != nil {
		d.log.Warn("the invented farm's folder stays", "folder", d.folder, "error", err)
	}
}
