package serve

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var loadFor = flag.Duration("load", 2*time.Second, "how long the load test goes on")

// Fifty clients at once: some slide the storm, some load the ground, some send
// a letter at a time, some never read what they asked for, some go away in the
// middle. One who behaves is answered all the while, and the program does not
// swell.
func TestManyClientsDoNotStallOrSwellIt(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	ready, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- Run(ctx, Options{Site: heronBend(t), Plan: planOf, Ready: func(address string) { ready <- address }})
	}()
	var address string
	select {
	case address = <-ready:
	case err := <-ended:
		t.Fatal(err)
	}
	host := strings.TrimSuffix(strings.TrimPrefix(address, "http://"), "/")
	var begin description
	require.Equal(t, 200, ask(t, address+"api/site", nil, &begin))
	question, err := json.Marshal(question{Document: begin.Document, Units: "metric", Effort: "soon"})
	require.NoError(t, err)
	var before runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)

	stop, halt := context.WithTimeout(t.Context(), *loadFor)
	defer halt()
	var answered, refused atomic.Int64
	var all sync.WaitGroup
	post := func(ctx context.Context) (int, error) {
		r, err := http.NewRequestWithContext(ctx, "POST", address+"api/judge", bytes.NewReader(question))
		if err != nil {
			return 0, err
		}
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Origin", strings.TrimSuffix(address, "/"))
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			return 0, err
		}
		defer resp.Body.Close()
		_, err = io.Copy(io.Discard, resp.Body)
		return resp.StatusCode, err
	}
	client := func(do func() error) {
		all.Go(func() {
			for stop.Err() == nil {
				if do() != nil {
					time.Sleep(10 * time.Millisecond)
				}
			}
		})
	}
	for range 10 { // slide the storm
		client(func() error {
			status, err := post(stop)
			if err == nil && status == 200 {
				answered.Add(1)
			} else if stop.Err() == nil {
				refused.Add(1)
			}
			return err
		})
	}
	for range 10 { // load the ground
		client(func() error {
			resp, err := http.Get(address + "layer/" + begin.Ground.ID + "/shade.png")
			if err == nil {
				_, err = io.Copy(io.Discard, resp.Body)
				resp.Body.Close()
			}
			return err
		})
	}
	for range 10 { // go away in the middle
		client(func() error {
			short, cancel := context.WithTimeout(stop, 5*time.Millisecond)
			defer cancel()
			_, err := post(short)
			return err
		})
	}
	for range 10 { // a letter at a time
		client(func() error {
			c, err := net.Dial("tcp", host)
			if err != nil {
				return err
			}
			defer c.Close()
			for _, letter := range "GET / HTTP/1.1\r\nHost: slow" {
				if _, err := c.Write([]byte{byte(letter)}); err != nil || stop.Err() != nil {
					return err
				}
				time.Sleep(100 * time.Millisecond)
			}
			return nil
		})
	}
	for range 10 { // never read
		client(func() error {
			c, err := net.Dial("tcp", host)
			if err != nil {
				return err
			}
			defer c.Close()
			fmt.Fprintf(c, "GET /api/site HTTP/1.1\r\nHost: %s\r\n\r\n", host)
			select {
			case <-stop.Done():
			case <-time.After(time.Second):
			}
			return nil
		})
	}
	asked := 0
	for stop.Err() == nil {
		var st map[string]any
		require.Equal(t, 200, ask(t, address+"api/status", nil, &st))
		asked++
		time.Sleep(20 * time.Millisecond)
	}
	all.Wait()
	assert.Positive(t, asked)
	assert.Positive(t, answered.Load())
	assert.Zero(t, refused.Load())
	http.DefaultClient.CloseIdleConnections()
	var after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&after)
	grown := int64(after.HeapAlloc) - int64(before.HeapAlloc)
	t.Logf("%d storms answered in %v, %d looks between, the heap grew by %d kB", answered.Load(), *loadFor, asked, grown>>10)
	assert.Less(t, grown, int64(64<<20))
	cancel()
	require.NoError(t, <-ended)
}

func TestAPortThatIsTakenIsTold(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	err = Run(t.Context(), Options{Site: heronBend(t), Plan: planOf, Port: l.Addr().(*net.TCPAddr).Port})
	require.ErrorContains(t, err, "is taken")
	require.ErrorContains(t, Run(t.Context(), Options{Site: heronBend(t), Plan: planOf, Listen: "everywhere"}), "--listen")
}
