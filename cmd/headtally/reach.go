package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strings"

	"headtally/api/book"
)

// reach is how far a service can be reached, and what guards it there.
type reach struct {
	listen       string
	hosts, proxy string // lists parted by commas
	cert, key    string
	pace         int
	alone        bool // whoever asks from this machine may do everything, until there are people
}

func (o *reach) settings(s settings) {
	s.StringVar(&o.listen, "listen", "127.0.0.1:8740", "the `ADDRESS` to serve on; beyond this machine only with TLS or behind a proxy")
	s.StringVar(&o.hosts, "hosts", "", "the `NAMES` the service is called by beside localhost, parted by commas")
	s.StringVar(&o.cert, "tls-cert", "", "the `FILE` of the certificate chain (PEM)")
	s.StringVar(&o.key, "tls-key", "", "the `FILE` of the certificate's key (PEM)")
	s.StringVar(&o.proxy, "behind-proxy", "", "the `ADDRESSES` of the proxies that speak TLS for it, such as 127.0.0.1 or 10.0.0.0/24, parted by commas")
	s.IntVar(&o.pace, "pace", 50, "how many requests a second each key, person or address may make; 0: any")
}

// names are the hosts the service may be called by.
func (o *reach) names() []string { return listed(o.hosts) }

func listed(text string) (list []string) {
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			list = append(list, part)
		}
	}
	return list
}

// proxies are the addresses of --behind-proxy.
func (o *reach) proxies() (list []netip.Prefix, err error) {
	for _, text := range listed(o.proxy) {
		p, bad := netip.ParsePrefix(text)
		if one, single := netip.ParseAddr(text); single == nil {
			p, bad = netip.PrefixFrom(one, one.BitLen()), nil
		}
		if bad != nil {
			return nil, fmt.Errorf("--behind-proxy %s is neither an address nor a range such as 10.0.0.0/24", text)
		}
		list = append(list, p.Masked())
	}
	return list, nil
}

// beyond says whether other machines can reach an address.
func beyond(address string) (bool, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return false, fmt.Errorf("--listen is an address such as 127.0.0.1:8740: %w", err)
	}
	ip, err := netip.ParseAddr(host)
	return host != "localhost" && (err != nil || !ip.IsLoopback()), nil
}

// guarded refuses to be reached from other machines with nothing between: what
// is sent must be secret on its way, somebody must be able to sign in, and the
// service must know its own name. A proxy on this machine is other machines too.
func (o *reach) guarded(ctx context.Context, b *book.Book) error {
	far, err := beyond(o.listen)
	if err != nil {
		return err
	}
	if !far && o.proxy == "" {
		return nil
	}
	people, err := b.HasPeople(ctx)
	if err != nil {
		return err
	}
	var lacks []error
	if o.cert == "" && o.proxy == "" {
		lacks = append(lacks, errors.New("passwords would go over the network for all to read: give --tls-cert and --tls-key, or --behind-proxy"))
	}
	if !people {
		lacks = append(lacks, errors.New("nobody can sign in yet, so anybody who is first could take it over: serve it on this machine alone first and add the owner under People and keys"))
	}
	if len(o.names()) == 0 {
		lacks = append(lacks, errors.New("it must know the name it is called by: give --hosts"))
	}
	if len(lacks) > 0 {
		return fmt.Errorf("the book is not served on %s, where other machines can reach it:\n%w", o.listen, errors.Join(lacks...))
	}
	return nil
}

// entrance is what to open in the browser: the service's own address, and on a
// book that nobody has opened yet the address that opens it once.
func (o *reach) entrance(ctx context.Context, b *book.Book, at string) (open, more string, err error) {
	people, err := b.HasPeople(ctx)
	if err != nil || people || o.alone {
		return at, "", err
	}
	opened, err := b.OpenedAlone(ctx)
	if err != nil {
		return "", "", err
	}
	secret, err := b.FirstVisit(ctx)
	if err != nil {
		return "", "", err
	}
	once := at + "begin?visit=" + secret
	if opened {
		return at, "Another browser is let in by this address, once and within the hour:\n" + once + "\n", nil
	}
	return once, "Open that address to begin: it works once, and for an hour.\n", nil
}
