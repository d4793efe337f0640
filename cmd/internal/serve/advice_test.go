package serve

import (
	"context"
	"errors"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/rewrite"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planWithOdds has few draws, which tell enough here.
func planWithOdds(path string) (assess.Plan, error) {
	p, err := planOf(path)
	p.Odds.Draws = 8
	return p, err
}

func TestAdviceOfThePageIsThatOfThePackage(t *testing.T) {
	d, s := openedWith(t, Options{Site: heronBend(t), Plan: planWithOdds})
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	var sure reply
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{begin.Document, "metric", "sure"}, &sure))
	require.Equal(t, 8, sure.Draws)
	var got adviceReply
	require.Equal(t, 200, ask(t, s.URL+"/api/advice", adviceQuestion{begin.Document, "metric"}, &got))

	// The same straight from the package, on the answer with odds.
	res := d.open.sure.Load().result
	a, err := advise.Make(t.Context(), res, advise.Options{})
	require.NoError(t, err)
	assert.Equal(t, a.Lead(res), got.Lead)
	assert.Equal(t, a.Measure(res), got.Next)
	assert.Equal(t, strings.Join(a.Drain(res), " "), said(got.Drain))
	assert.InDelta(t, a.Now.Mean, got.Now.Mean, 1e-3)
	require.NotEmpty(t, got.All)

	// Mounds may be of use only where plants stay in their places. Then nothing is
	// said of them, which the page has to be able to read.
	bare, err := adviceOf(&advise.Advice{}, res)
	require.NoError(t, err)
	require.NotEmpty(t, bare.Parts)
	for _, p := range bare.Parts {
		assert.NotNil(t, p.Say, p.Kind)
		assert.NotEmpty(t, p.Change, p.Kind)
	}

	// What the page puts into its document is the plan of the package.
	follow := func(changes []docTree) document {
		doc := begin.Document
		doc.Trees = append([]docTree(nil), doc.Trees...)
		at := map[string]int{}
		for i, tr := range doc.Trees {
			at[tr.ID] = i
		}
		for _, c := range changes {
			i, ok := at[c.ID]
			if !ok {
				i = len(doc.Trees)
				doc.Trees = append(doc.Trees, docTree{ID: c.ID})
			}
			if c.Species != "" {
				doc.Trees[i].Species = c.Species
			}
			if c.Mound > 0 {
				doc.Trees[i].Mound = c.Mound
			}
		}
		return doc
	}
	plan, err := follow(got.All).plan(d.open.result)
	require.NoError(t, err)
	require.NoError(t, rewrite.Same(a.Plan(d.open.result), plan))

	// Followed, it comes to what was told: the loss of a plan worked out anew
	// on the same draws. Every kind alone, too.
	lost := func(doc document) float64 {
		t.Helper()
		var r reply
		require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{doc, "metric", "sure"}, &r))
		sum := 0.0
		for _, tr := range r.Trees {
			if tr.Loss != nil {
				sum += *tr.Loss
			}
		}
		return sum
	}
	assert.InDelta(t, got.Now.Mean, lost(begin.Document), 0.2)
	assert.InDelta(t, got.Then.Mean, lost(follow(got.All)), 0.2)
	kinds := map[string]bool{}
	for _, p := range got.Parts {
		kinds[p.Kind] = true
		if len(p.Change) == 0 {
			continue
		}
		assert.InDelta(t, p.Then.Mean, lost(follow(p.Change)), 0.2, p.Kind)
		assert.InDelta(t, got.Now.Mean-p.Then.Mean, p.Saved.Mean, 0.002, p.Kind)
	}
	assert.True(t, kinds[advise.Places] && kinds[advise.Raise], "%v", kinds)

	// An answer that is not kept any more is worked out again, to the same.
	d.open.sure.Store(nil)
	var again adviceReply
	require.Equal(t, 200, ask(t, s.URL+"/api/advice", adviceQuestion{begin.Document, "metric"}, &again))
	assert.Equal(t, got, again)

	var feet adviceReply
	require.Equal(t, 200, ask(t, s.URL+"/api/advice", adviceQuestion{begin.Document, "feet"}, &feet))
	assert.InDelta(t, got.Then.Mean, feet.Then.Mean, 1e-9)
	assert.Contains(t, said(feet.Drain), " ft")
}

func TestAdviceIsGivenUpAndRefused(t *testing.T) {
	d, s := openedWith(t, Options{Site: heronBend(t), Plan: planWithOdds})
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))

	// A page that asks something newer does not wait for the place.
	d.advising <- struct{}{}
	ctx, cancel := context.WithCancel(t.Context())
	r := httptest.NewRequestWithContext(ctx, http.MethodPost, "/api/advice", strings.NewReader(`{"document": {"storm": {"rain": 150, "hours": 24}, "rows": [], "trees": []}, "units": "metric"}`))
	r.Header.Set("Content-Type", "application/json")
	ended := make(chan error, 1)
	go func() { ended <- d.advice(httptest.NewRecorder(), r, d.sheet()) }()
	cancel()
	require.ErrorIs(t, <-ended, context.Canceled)
	<-d.advising

	late, stop := context.WithTimeout(t.Context(), 0)
	defer stop()
	<-late.Done()
	refused, ok := errors.AsType[statusError](slow(late, late.Err()))
	require.True(t, ok)
	assert.Equal(t, "slow", refused.kind)

	bad := begin.Document
	bad.Storm.Rain = math.MaxInt32
	var p problem
	assert.Equal(t, 422, ask(t, s.URL+"/api/advice", adviceQuestion{bad, "metric"}, &p))
	assert.Contains(t, p.Error, "mm of rain")
	assert.Equal(t, 400, ask(t, s.URL+"/api/advice", map[string]any{"effort": "sure"}, &p))

	_, off := openedWith(t, Options{Site: heronBend(t), Plan: func(path string) (assess.Plan, error) {
		p, err := planOf(path)
		p.Odds.Off = true
		return p, err
	}})
	assert.Equal(t, 409, ask(t, off.URL+"/api/advice", adviceQuestion{begin.Document, "metric"}, &p))
	assert.Equal(t, "odds", p.Kind)
}

// A hand that moves does not wait for long answers, given up or not.
func TestSoonWaitsForNoLongAnswer(t *testing.T) {
	d, s := opened(t, heronBend(t))
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	for range mostComputing {
		d.turns <- struct{}{}
	}
	d.advising <- struct{}{}
	doc := begin.Document
	doc.Storm.Rain = 60
	var r reply
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{doc, "metric", "soon"}, &r))
	assert.Equal(t, 60.0, r.Storm.Rain)
}

// A ditch or pipe that is advised, put into the plan, does to the water what
// was told of it.
func TestDrainsAdvisedDoWhatTheySay(t *testing.T) {
	d, s := openedWith(t, Options{Site: heronBend(t), Plan: planWithOdds})
	var begin description
	require.Equal(t, 200, ask(t, s.URL+"/api/site", nil, &begin))
	var sure reply
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{begin.Document, "metric", "sure"}, &sure))
	var got adviceReply
	require.Equal(t, 200, ask(t, s.URL+"/api/advice", adviceQuestion{begin.Document, "metric"}, &got))
	require.NotEmpty(t, got.Drain)
	a, err := advise.Make(t.Context(), d.open.sure.Load().result, advise.Options{})
	require.NoError(t, err)
	i := 0
	check := func(c *advise.Cut, drawn drawnCut) {
		w := drawn.Work
		w.Name = "Drain"
		is := built(t, s.URL, begin.Document, w)
		require.Len(t, is.Works.Each, 1)
		assert.False(t, is.Works.Each[0].Dry || is.Works.Each[0].Idle, "%+v", w)
		assert.InDelta(t, c.Dug.Volume, is.Works.Cut, 0.15*c.Dug.Volume+0.1, "its corners are cut")
		// A pool of the hollow that the ditch crosses on its way is let out too,
		// which was not counted on.
		assert.LessOrEqual(t, is.Works.After.Ponded, c.Site.Ponded+0.01*a.Without.Ponded)
		assert.Greater(t, is.Works.After.Ponded, c.Site.Ponded-0.1*a.Without.Ponded)
		assert.InDelta(t, c.Site.After, is.Works.After.Left, 0.02*a.Without.After)
	}
	for k := range a.Drains {
		d := &a.Drains[k]
		if d.Best() == nil {
			continue
		}
		require.NotEmpty(t, got.Drain[i].Dig)
		check(d.Best(), got.Drain[i].Dig[0])
		if d.Most() != d.Best() {
			require.Len(t, got.Drain[i].Dig, 2)
			check(d.Most(), got.Drain[i].Dig[1])
		}
		i++
	}
	require.Positive(t, i)

	// By odds too, before and after being held against each other by the same.
	doc := begin.Document
	doc.Works = []docWork{got.Drain[0].Dig[0].Work}
	doc.Works[0].Name = "Drain"
	var drained reply
	require.Equal(t, 200, ask(t, s.URL+"/api/judge", question{doc, "metric", "sure"}, &drained))
	lost := func(r reply) (sum float64) {
		for _, tr := range r.Trees {
			sum += *tr.Loss
		}
		return sum
	}
	assert.Less(t, lost(drained), lost(sure)-float64(a.Drains[0].Best().Helps())/4)
	risk := map[string]string{}
	for _, tr := range sure.Trees {
		risk[tr.ID] = tr.Risk
	}
	require.NotEmpty(t, drained.Works.Changed)
	for _, c := range drained.Works.Changed {
		assert.Equal(t, risk[c.ID], c.Was, c.ID)
	}
}

func said(drains []drain) string {
	var out []string
	for _, d := range drains {
		out = append(out, d.Say)
	}
	return strings.Join(out, " ")
}
