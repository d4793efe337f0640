package serve

import (
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func fine(w http.ResponseWriter, r *http.Request) {
	if _, err := io.ReadAll(r.Body); err != nil {
		w.WriteHeader(http.StatusRequestEntityTooLarge)
	}
}

func send(h http.Handler, method, host, path string, header map[string]string, body io.Reader) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://"+host+path, body)
	for k, v := range header {
		r.Header.Set(k, v)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// A stranger's name that is made to point at this machine sends its own name
// as Host.
func TestOnlyTheAddressServedIsAnswered(t *testing.T) {
	loopback := (&guard{port: 8123, open: netip.MustParseAddr("127.0.0.1")}).wrap(http.HandlerFunc(fine))
	for host, want := range map[string]int{
		"127.0.0.1:8123": 200, "localhost:8123": 200,
		"127.0.0.1:80": 421, "127.0.0.1": 421, "evil.example:8123": 421, "localhost.evil.example:8123": 421,
		"10.0.0.1:8123": 421, "127.0.0.1.evil.example:8123": 421, "": 421,
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Host = host
		w := httptest.NewRecorder()
		loopback.ServeHTTP(w, r)
		assert.Equal(t, want, w.Code, "Host %q", host)
	}
	open := &guard{port: 8123, open: netip.MustParseAddr("0.0.0.0")}
	assert.True(t, open.host("192.168.1.20:8123"), "an address is no one's name")
	assert.False(t, open.host("evil.example:8123"))
	one := &guard{port: 8123, open: netip.MustParseAddr("192.168.1.20")}
	assert.False(t, one.host("localhost:8123"))
	assert.True(t, (&guard{port: 8123, open: netip.MustParseAddr("::1")}).host("[::1]:8123"))
}

// Fetch Metadata (W3C): cross-site and same-site are other pages; none is the
// person. Origin is sent with every post (Fetch standard, WHATWG).
func TestOtherPagesAreRefused(t *testing.T) {
	h := (&guard{port: 8123, open: netip.MustParseAddr("127.0.0.1")}).wrap(http.HandlerFunc(fine))
	const host, own = "127.0.0.1:8123", "http://127.0.0.1:8123"
	for _, tt := range []struct {
		method, site, origin string
		want                 int
	}{
		{"GET", "none", "", 200},
		{"GET", "same-origin", "", 200},
		{"GET", "", "", 200},
		{"GET", "cross-site", "", 403},
		{"GET", "same-site", "", 403},
		{"GET", "", "http://evil.example", 403},
		{"POST", "same-origin", own, 200},
		{"POST", "", own, 200},
		{"POST", "", "", 403},
		{"POST", "same-origin", "", 403},
		{"POST", "cross-site", own, 403},
		{"POST", "same-origin", "http://localhost:8123", 403},
		{"POST", "same-origin", "null", 403},
		{"POST", "same-origin", "http://evil.example", 403},
	} {
		w := send(h, tt.method, host, "/", map[string]string{"Sec-Fetch-Site": tt.site, "Origin": tt.origin}, nil)
		assert.Equal(t, tt.want, w.Code, "%+v", tt)
	}
}

func TestEveryAnswerCarriesThePolicy(t *testing.T) {
	h := (&guard{port: 80, open: netip.MustParseAddr("127.0.0.1")}).wrap(http.HandlerFunc(fine))
	for _, host := range []string{"127.0.0.1", "evil.example"} {
		w := send(h, "GET", host, "/", nil, nil)
		csp := w.Header().Get("Content-Security-Policy")
		assert.Contains(t, csp, "default-src 'none'")
		assert.NotContains(t, csp, "unsafe")
		assert.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
		assert.Equal(t, "no-referrer", w.Header().Get("Referrer-Policy"))
	}
}

func TestBodiesAreBounded(t *testing.T) {
	h := (&guard{port: 80, open: netip.MustParseAddr("127.0.0.1")}).wrap(http.HandlerFunc(fine))
	from := map[string]string{"Origin": "http://127.0.0.1"}
	assert.Equal(t, 200, send(h, "POST", "127.0.0.1", "/api/judge", from, strings.NewReader(strings.Repeat("a", 1000))).Code)
	assert.Equal(t, 413, send(h, "POST", "127.0.0.1", "/api/judge", from, io.LimitReader(zeros{}, mostBody+1)).Code)
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func TestTheKeyWorksOnce(t *testing.T) {
	g := &guard{port: 80, open: netip.MustParseAddr("192.168.1.20"), key: newKey()}
	h := g.wrap(http.HandlerFunc(fine))
	word := g.key.word
	require.Len(t, word, 32)
	assert.Equal(t, 403, send(h, "GET", "192.168.1.20", "/", nil, nil).Code)
	assert.Equal(t, 403, send(h, "GET", "192.168.1.20", "/?key=wrong", nil, nil).Code)
	assert.Equal(t, 403, send(h, "GET", "192.168.1.20", "/?key=", nil, nil).Code)
	w := send(h, "GET", "192.168.1.20", "/?key="+word, nil, nil)
	require.Equal(t, http.StatusSeeOther, w.Code)
	assert.Equal(t, "/", w.Header().Get("Location"), "the key does not stay in the address")
	cookie := w.Result().Cookies()[0]
	assert.True(t, cookie.HttpOnly)
	assert.Equal(t, http.SameSiteStrictMode, cookie.SameSite)
	assert.Equal(t, 200, send(h, "GET", "192.168.1.20", "/", map[string]string{"Cookie": cookie.String()}, nil).Code)
	assert.Equal(t, 403, send(h, "GET", "192.168.1.20", "/?key="+word, nil, nil).Code, "a second time")
	assert.Equal(t, 403, send(h, "GET", "192.168.1.20", "/?key=", nil, nil).Code, "the empty word of a used key")
}

func TestConnectionsAreBounded(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	few := limit(l, 2)
	defer few.Close()
	accepted := make(chan net.Conn)
	go func() {
		for {
			c, err := few.Accept()
			if err != nil {
				close(accepted)
				return
			}
			accepted <- c
		}
	}()
	for range 3 {
		c, err := net.Dial("tcp", l.Addr().String())
		require.NoError(t, err)
		defer c.Close()
	}
	first := <-accepted
	<-accepted
	select {
	case <-accepted:
		t.Fatal("a third connection was taken while two were open")
	case <-time.After(100 * time.Millisecond):
	}
	first.Close()
	first.Close() // gives its place back once
	<-accepted
}
