package serve

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"sync"
)

// policy lets a page load only what the server itself sends. Images the page
// makes of numbers are blobs.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// mostBody bounds the body of a question, bytes. Uploads have a bound of their
// own.
const mostBody = 8 << 20

// A guard refuses whom the server is not for.
type guard struct {
	port int
	open netip.Addr // address listened on
	key  *key       // nil on the loopback address
}

// wrap puts the guard before a handler.
func (g *guard) wrap(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "geolocation=(), camera=(), microphone=()")
		if !g.host(r.Host) {
			refuse(w, http.StatusMisdirectedRequest, "this address is not the one the page is served at; open the address that wetfeet printed")
			return
		}
		if !sameSite(r) {
			refuse(w, http.StatusForbidden, "another site's page asked for this; only the page itself may")
			return
		}
		if g.key != nil && !g.key.admit(w, r) {
			return
		}
		if r.Body != nil {
			most := int64(mostBody)
			if r.URL.Path == uploadPath {
				most = mostUpload + 1
			}
			r.Body = http.MaxBytesReader(w, r.Body, most)
		}
		next.ServeHTTP(w, r)
	})
}

// host reports whether a Host names the server by its address. A name would
// let a stranger's domain that is made to point here ask questions; localhost
// is no one's.
func (g *guard) host(host string) bool {
	name, port, err := net.SplitHostPort(host)
	if err != nil {
		name, port = host, "80"
	}
	if port != strconv.Itoa(g.port) {
		return false
	}
	if strings.EqualFold(name, "localhost") {
		return g.open.IsLoopback() || g.open.IsUnspecified()
	}
	ip, err := netip.ParseAddr(strings.Trim(name, "[]"))
	if err != nil {
		return false
	}
	if ip = ip.Unmap(); g.open.IsUnspecified() {
		return true
	}
	return ip == g.open.Unmap()
}

// sameSite reports whether a request comes from the page itself or from the
// person, by what browsers say of it. A program that says nothing may ask, but
// not change anything.
func sameSite(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "same-origin", "none":
	case "":
		// An old browser, or no browser: Origin decides below.
	default:
		return false
	}
	origin := r.Header.Get("Origin")
	if r.Method == http.MethodGet || r.Method == http.MethodHead {
		return origin == "" || origin == "http://"+r.Host
	}
	return origin == "http://"+r.Host
}

func refuse(w http.ResponseWriter, status int, why string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte("wetfeet: " + why + "\n"))
}

// A key lets one browser in: whoever brings the word first gets a cookie, and
// from then on the cookie is asked for.
type key struct {
	mu     sync.Mutex
	word   string // empty once used
	cookie string
}

const cookieName = "wetfeet"

func newKey() *key { return &key{word: randomWord(), cookie: randomWord()} }

func randomWord() string {
	b := make([]byte, 24)
	_, _ = rand.Read(b) // does not fail, by its documentation
	return base64.RawURLEncoding.EncodeToString(b)
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// admit lets a request pass, or answers it.
func (k *key) admit(w http.ResponseWriter, r *http.Request) bool {
	if c, err := r.Cookie(cookieName); err == nil && same(c.Value, k.cookie) {
		return true
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if word := r.URL.Query().Get("key"); r.Method == http.MethodGet && r.URL.Path == "/" && k.word != "" && same(word, k.word) {
		k.word = ""
		http.SetCookie(w, &http.Cookie{Name: cookieName, Value: k.cookie, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		w.Header().Set("Cache-Control", "no-store")
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return false
	}
	refuse(w, http.StatusForbidden, "open the address with its key, as wetfeet printed it; the key works once, so start wetfeet again for another browser")
	return false
}

// A limited listener holds no more connections than it may; further ones wait
// in the system's queue.
type limited struct {
	net.Listener
	free chan struct{}
	done chan struct{}
	once sync.Once
}

func limit(l net.Listener, most int) net.Listener {
	return &limited{Listener: l, free: make(chan struct{}, most), done: make(chan struct{})}
}

func (l *limited) Accept() (net.Conn, error) {
	select {
	case l.free <- struct{}{}:
	case <-l.done:
		return nil, net.ErrClosed
	}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.free
		return nil, err
	}
	return &held{Conn: c, free: l.free}, nil
}

func (l *limited) Close() error {
	l.once.Do(func() { close(l.done) })
	return l.Listener.Close()
}

// A held connection gives its place back when it is closed.
type held struct {
	net.Conn
	free chan struct{}
	once sync.Once
}

func (c *held) Close() error {
	err := c.Conn.Close()
	c.once.Do(func() { <-c.free })
	return err
}
