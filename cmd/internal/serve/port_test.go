package serve

import (
	"net"
	"net/netip"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A site is served at the same port again, so that a browser finds what it
// kept; where that is taken, at a free one.
func TestASiteHasItsUsualPort(t *testing.T) {
	here := netip.MustParseAddr("127.0.0.1")
	o := Options{Site: t.TempDir() + "/site.toml"}
	assert.GreaterOrEqual(t, usualPort(o.Site), 49152) // RFC 6335, section 6
	assert.LessOrEqual(t, usualPort(o.Site), 65535)
	first, err := listen(here, o)
	require.NoError(t, err)
	defer first.Close()
	second, err := listen(here, o)
	require.NoError(t, err)
	defer second.Close()
	port := func(l net.Listener) int { return l.Addr().(*net.TCPAddr).Port }
	assert.NotEqual(t, port(first), port(second))
	o.Port = port(second)
	_, err = listen(here, o)
	require.Error(t, err, "a port that was asked for is taken or refused")
}
