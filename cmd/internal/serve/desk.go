package serve

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
)

// A desk is what the server keeps: the site that is planned on it, or none
// yet.
type desk struct {
	ctx context.Context
	o   Options

	mu   sync.Mutex
	open *sheet // nil before a site is begun

	saving sync.Mutex
	stage  stage         // of a site that is being begun; under saving
	turns  chan struct{} // places for questions that compute

	quick    chan struct{} // places for what follows a hand, which waits for none of those
	advising chan struct{} // the place for one that asks for advice
}

// A sheet is a site as it was read. It does not change; a site that is read
// again is another sheet.
type sheet struct {
	path    string
	hash    string          // of the file as read
	result  *assess.Result  // the likeliest answer, without odds
	odds    assess.OddsPlan // that the site asks for
	layers  *layers
	ponding *pictures // of the odds of the newest answers
	works   *works    // what is built on it

	// near is the newest whole answer, whatever it was to: what is known of
	// its trees need not be worked out again while a hand moves others.
	near atomic.Pointer[assess.Result]

	// likely is the newest whole answer without odds.
	likely atomic.Pointer[assess.Result]

	// sure is the newest answer with odds, for advice to be made from.
	sure atomic.Pointer[sureAnswer]
}

// mostComputing is how many questions may compute at a time. One more waits.
const mostComputing = 2

// mostSite is the largest site file, bytes: that of package site.
const mostSite = 1 << 20

func newDesk(ctx context.Context, o Options) (*desk, error) {
	d := &desk{ctx: ctx, o: o, turns: make(chan struct{}, mostComputing), quick: make(chan struct{}, mostComputing), advising: make(chan struct{}, 1)}
	if o.Site == "" {
		return d, nil
	}
	s, err := d.read(ctx, o.Site)
	if err != nil {
		return nil, err
	}
	d.open = s
	return d, nil
}

// close removes what was put aside for a site that was not begun.
func (d *desk) close() {
	d.saving.Lock()
	defer d.saving.Unlock()
	d.stage.clear()
}

// read reads a site and works out its first answer.
func (d *desk) read(ctx context.Context, path string) (*sheet, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	text, err := readSite(path)
	if err != nil {
		return nil, fault.Input(err)
	}
	plan, err := d.o.Plan(path)
	if err != nil {
		return nil, err
	}
	// The odds take longest; the page asks for them once it stands.
	wanted := plan.Odds
	plan.Odds.Off = true
	r, err := assess.Run(ctx, plan, d.o.Progress)
	if err != nil {
		return nil, err
	}
	s := &sheet{path: path, hash: digest(text), result: r, odds: wanted, layers: layersOf(r), ponding: &pictures{}}
	s.works = &works{opened: r, first: s.layers}
	s.near.Store(r)
	s.likely.Store(r)
	return s, nil
}

// readSite reads a site file, which is no larger than it may be.
func readSite(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if info.Size() > mostSite {
		return nil, errors.New(filepath.Base(path) + " is larger than the 1 MiB a site file may have")
	}
	return os.ReadFile(path)
}

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// sheet is the site that is planned, nil before one is begun.
func (d *desk) sheet() *sheet {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.open
}

func (d *desk) put(s *sheet) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.open = s
}

// turn waits for a place to compute, or until the client has gone.
func (d *desk) turn(ctx context.Context) (done func(), err error) { return place(ctx, d.turns) }

// place waits for one of some places, or until the client has gone.
func place(ctx context.Context, places chan struct{}) (done func(), err error) {
	select {
	case places <- struct{}{}:
		return func() { <-places }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (d *desk) handler() http.Handler {
	m := http.NewServeMux()
	m.HandleFunc("GET /api/site", d.site(d.describe))
	m.HandleFunc("GET /api/status", d.status)
	m.HandleFunc("POST /api/judge", d.site(d.judge))
	m.HandleFunc("POST /api/advice", d.site(d.advice))
	m.HandleFunc("POST /api/carry", d.site(d.carry))
	m.HandleFunc("GET /api/opening", bare(d.opening))
	m.HandleFunc("POST "+uploadPath, bare(d.take))
	m.HandleFunc("POST /api/forget", bare(d.forget))
	m.HandleFunc("POST /api/preview", bare(d.preview))
	m.HandleFunc("POST /api/begin", bare(d.begin))
	m.HandleFunc("POST /api/save", d.site(d.save))
	m.HandleFunc("GET /odds/{id}", d.site(d.oddsPicture))
	m.HandleFunc("GET /layer/{ground}/{name}", d.site(d.layer))
	m.HandleFunc("GET /", serveAsset)
	return m
}

// site gives a handler the sheet it is about.
func (d *desk) site(h func(w http.ResponseWriter, r *http.Request, s *sheet) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		s := d.sheet()
		if s == nil {
			answer(w, http.StatusNotFound, problem{Error: "no site is begun yet"})
			return
		}
		if err := h(w, r, s); err != nil {
			fail(w, r, err)
		}
	}
}

// bare is a handler that needs no site.
func bare(h func(w http.ResponseWriter, r *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			fail(w, r, err)
		}
	}
}

// A problem is what the page is told when something could not be done.
type problem struct {
	Error string `json:"error"`
	Kind  string `json:"kind,omitempty"` // "changed", "readonly" and the like, where the page does something about it
}

// A statusError is an error with an HTTP status of its own.
type statusError struct {
	status int
	kind   string
	error
}

func (e statusError) Unwrap() error { return e.error }

// fail tells the page of an error: whose fault it is and what would help.
func fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil {
		return // nobody listens any more
	}
	var large *http.MaxBytesError
	switch e, ok := errors.AsType[statusError](err); {
	case ok:
		answer(w, e.status, problem{err.Error(), e.kind})
	case errors.As(err, &large):
		answer(w, http.StatusRequestEntityTooLarge, problem{Error: "that is more than is taken at once"})
	case fault.IsInput(err):
		answer(w, http.StatusUnprocessableEntity, problem{Error: err.Error(), Kind: "input"})
	default:
		answer(w, http.StatusInternalServerError, problem{Error: err.Error()})
	}
}

func answer(w http.ResponseWriter, status int, v any) {
	b, err := json.Marshal(v)
	if err != nil {
		status, b = http.StatusInternalServerError, []byte(`{"error":"the answer could not be written"}`)
	}
	h := w.Header()
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write(b)
}

// status tells whether the site file has changed since it was read.
func (d *desk) status(w http.ResponseWriter, _ *http.Request) {
	type status struct {
		Open    bool   `json:"open"`
		Hash    string `json:"hash,omitempty"`
		Changed bool   `json:"changed,omitempty"`
		Broken  string `json:"broken,omitempty"`
		At      string `json:"at"`
	}
	st := status{At: time.Now().Format(time.TimeOnly)}
	if s := d.sheet(); s != nil {
		st.Open, st.Hash = true, s.hash
		text, err := readSite(s.path)
		switch {
		case err != nil:
			st.Broken = err.Error()
		case digest(text) != s.hash:
			st.Changed = true
			if _, err := d.o.Plan(s.path); err != nil {
				st.Broken = err.Error()
			}
		}
	}
	answer(w, http.StatusOK, st)
}
