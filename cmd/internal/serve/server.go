package serve

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"net/netip"
	"path/filepath"
	"strconv"
	"syscall"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
)

// Options say what is served and where.
type Options struct {
	Site string // path of the site file; empty begins with none
	Dir  string // where Site is empty: the folder that holds that of the new site; empty is the one the process is in
	Name string // of the new site's folder; empty asks on the page

	// Plan reads a site file.
	Plan func(path string) (assess.Plan, error)

	Listen string // address other than the loopback's; empty for that
	Port   int    // 0 takes a free one

	// Ready is told the address of the page once it is served.
	Ready func(address string)

	// Progress is told the stages of reading the site. It may be nil.
	Progress func(stage string)
}

// How long a client may take, and how many there may be: a page asks over six
// connections at most.
const (
	headerTime = 5 * time.Second
	readTime   = 60 * time.Second
	writeTime  = 120 * time.Second
	idleTime   = 60 * time.Second

	mostConnections = 256
	mostHeader      = 16 << 10
)

// Run serves the page until ctx is done.
func Run(ctx context.Context, o Options) error {
	address := "127.0.0.1"
	if o.Listen != "" {
		address = o.Listen
	}
	ip, err := netip.ParseAddr(address)
	if err != nil {
		return fault.Input(fmt.Errorf("--listen: found %q; an address of this machine is needed, such as 192.168.1.20, or 0.0.0.0 for all of them", address))
	}
	d, err := newDesk(ctx, o)
	if err != nil {
		return err
	}
	defer d.close()
	l, err := listen(ip, o)
	if err != nil {
		return listening(err, ip, o.Port)
	}
	port := l.Addr().(*net.TCPAddr).Port
	g := &guard{port: port, open: ip}
	where := fmt.Sprintf("http://%s/", net.JoinHostPort(ip.String(), strconv.Itoa(port)))
	if !ip.IsLoopback() {
		g.key = newKey()
		where += "?key=" + g.key.word
	}
	server := &http.Server{
		Handler:           g.wrap(d.handler()),
		ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime,
		MaxHeaderBytes: mostHeader,
		ErrorLog:       log.New(silent{}, "", 0),
		BaseContext:    func(net.Listener) context.Context { return ctx },
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(limit(l, mostConnections)) }()
	if o.Ready != nil {
		o.Ready(where)
	}
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	// A save that has begun is let finish.
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	if err := server.Shutdown(stop); err != nil {
		server.Close()
	}
	return nil
}

// listen takes the port asked for, or a free one. A site is given the same one
// again where that is free, since a browser keeps unsaved work by the address
// of the page.
func listen(ip netip.Addr, o Options) (net.Listener, error) {
	port := o.Port
	if port == 0 && o.Site != "" {
		port = usualPort(o.Site)
	}
	l, err := net.Listen("tcp", net.JoinHostPort(ip.String(), strconv.Itoa(port)))
	if err != nil && o.Port == 0 {
		return net.Listen("tcp", net.JoinHostPort(ip.String(), "0"))
	}
	return l, err
}

// usualPort is that of a site among the dynamic ports of RFC 6335, section 6.
func usualPort(site string) int {
	const first, last = 49152, 65535
	if path, err := filepath.Abs(site); err == nil {
		site = path
	}
	sum := sha256.Sum256([]byte(site))
	return first + int(binary.BigEndian.Uint32(sum[:])%(last-first+1))
}

// listening says why an address could not be listened on, and what would help.
func listening(err error, ip netip.Addr, port int) error {
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return fault.Input(fmt.Errorf("port %d is taken, perhaps by a page of another site; leave --port away for a free one", port))
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return fault.Input(fmt.Errorf("%v is no address of this machine", ip))
	case errors.Is(err, syscall.EACCES):
		return fault.Input(fmt.Errorf("port %d is not open to everyone; take one from 1024 on, or leave --port away for a free one", port))
	}
	return err
}

// silent drops what the http package says of clients that went away.
type silent struct{}

func (silent) Write(p []byte) (int, error) { return len(p), nil }
