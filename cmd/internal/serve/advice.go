package serve

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
)

// A sureAnswer is an answer with odds, and the digest of what it answers.
type sureAnswer struct {
	to     string
	result *assess.Result
}

// digest tells documents apart, and the units their answers are written in.
func (d document) digest(units string) string {
	b, err := json.Marshal(d)
	if err != nil {
		return "" // it came as JSON
	}
	return digest(append(b, units...))
}

// An adviceQuestion asks what to do about a document.
type adviceQuestion struct {
	Document document `json:"document"`
	Units    string   `json:"units"`
}

// An adviceReply is what to do, in the sentences of package advise, and what of
// the document changes when it is done.
type adviceReply struct {
	Lead  string      `json:"lead"`
	Now   loss        `json:"now"`
	Then  loss        `json:"then"`
	Saved loss        `json:"saved"`
	Trees int         `json:"trees"` // of which the figures are
	All   []docTree   `json:"all"`   // what all of it changes
	Parts []partReply `json:"parts"`
	Drain []drain     `json:"drain,omitempty"`
	Next  []string    `json:"next,omitempty"`
}

// A loss is a number of trees expected to be lost or saved, with the interval
// that eight in ten of the draws lie in.
type loss struct {
	Mean  float64 `json:"mean"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Words string  `json:"words"`
	Span  string  `json:"span"`
}

// A partReply is one kind of the advice. What it changes and what that comes
// to hold where it is followed alone.
type partReply struct {
	Kind   string    `json:"kind"`
	Say    []string  `json:"say"` // empty where all of the advice together holds nothing of the kind
	Warn   []string  `json:"warn,omitempty"`
	Change []docTree `json:"change"`
	Then   *loss     `json:"then,omitempty"`
	Saved  *loss     `json:"saved,omitempty"`
}

// A drain is what is said of letting water out of a hollow, and the ditches and
// pipes it speaks of.
type drain struct {
	Say string     `json:"say"`
	Dig []drawnCut `json:"dig"`
}

// A drawnCut is a ditch or pipe as it is drawn: without a name, which the page
// gives.
type drawnCut struct {
	What string  `json:"what"`
	Work docWork `json:"work"`
}

// adviceTime is how long advice may take.
const adviceTime = 90 * time.Second

// trailer is what one load of soil holds, m³: the usual one of the command
// line.
const trailer = 1

// advice answers what to do about a document. One question computes at a time,
// besides those about the water, and ends when the page asks another.
func (d *desk) advice(w http.ResponseWriter, r *http.Request, s *sheet) error {
	var q adviceQuestion
	if err := readJSON(r, &q); err != nil {
		return err
	}
	plan, err := q.Document.planIn(q.Units, s.result)
	if err != nil {
		return err
	}
	if s.odds.Off {
		return statusError{http.StatusConflict, "odds", errors.New("advice is made from odds, and the site file asks for none")}
	}
	ctx, cancel := context.WithTimeout(r.Context(), adviceTime)
	defer cancel()
	res, done, err := d.sureOf(ctx, s, &q.Document, q.Units, plan)
	if err != nil {
		return slow(ctx, err)
	}
	defer done()
	if res.Odds == nil {
		return statusError{http.StatusConflict, "odds", errors.New("advice is made from odds, and there are none for this site")}
	}
	a, err := advise.Make(ctx, res, advise.Options{})
	if err != nil {
		return slow(ctx, err)
	}
	out, err := adviceOf(a, res)
	if err != nil {
		return err
	}
	answer(w, http.StatusOK, out)
	return nil
}

// sureOf is the answer to a document with its odds, which may be known already,
// and the place among those who ask for as much, to be given back by done.
func (d *desk) sureOf(ctx context.Context, s *sheet, doc *document, units string, plan assess.Plan) (res *assess.Result, done func(), err error) {
	if done, err = place(ctx, d.advising); err != nil {
		return nil, nil, err
	}
	if sure := s.sure.Load(); sure != nil && sure.to == doc.digest(units) {
		return sure.result, done, nil
	}
	plan.Odds = s.odds
	if res, err = s.works.base(s, plan).Again(ctx, plan, nil); err != nil {
		done()
		return nil, nil, err
	}
	return res, done, nil
}

// slow says of what took too long how it is had all the same.
func slow(ctx context.Context, err error) error {
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return statusError{http.StatusServiceUnavailable, "slow", errors.New("that takes longer than a page waits; save the plan, then use wetfeet advise, or wetfeet assess for the files")}
	}
	return err
}

func adviceOf(a *advise.Advice, r *assess.Result) (adviceReply, error) {
	out := adviceReply{
		Lead: a.Lead(r), Now: lossOf(a, a.Now), Then: lossOf(a, a.Then), Saved: lossOf(a, a.Saved),
		All: docTrees(a.Told(r)), Parts: []partReply{}, Next: a.Measure(r),
	}
	for i := range r.Trees {
		if r.Trees[i].OnGround {
			out.Trees++
		}
	}
	dig := a.Dig(r)
	for i, words := range a.Drain(r) {
		said := drain{Say: words, Dig: []drawnCut{}}
		if i < len(dig) {
			for _, c := range dig[i] {
				said.Dig = append(said.Dig, drawnCut{c.What, workOf(c.Link)})
			}
		}
		out.Drain = append(out.Drain, said)
	}
	alone, err := a.Parts(r)
	if err != nil {
		return out, err
	}
	say := map[string][]string{advise.Places: a.Arrange(), advise.Raise: append(a.Raise(r), a.Heaps(r, trailer)...), advise.Swap: a.Swap(r)}
	for _, kind := range []string{advise.Places, advise.Raise, advise.Swap} {
		p := partReply{Kind: kind, Say: append([]string{}, say[kind]...), Change: []docTree{}}
		if kind == advise.Raise {
			p.Warn = a.Dammed(r)
		}
		for _, one := range alone {
			if one.Kind != kind {
				continue
			}
			then, saved := lossOf(a, one.Then), lossOf(a, one.Saved)
			p.Change, p.Then, p.Saved = docTrees(one.Trees), &then, &saved
		}
		if len(p.Say) > 0 || len(p.Change) > 0 {
			out.Parts = append(out.Parts, p)
		}
	}
	return out, nil
}

func lossOf(a *advise.Advice, l advise.Loss) loss {
	return loss{Mean: round(l.Mean, 3), Low: round(l.Low, 3), High: round(l.High, 3), Words: a.Count(l.Mean), Span: l.Span()}
}

func docTrees(trees []site.Tree) []docTree {
	out := make([]docTree, 0, len(trees))
	for _, t := range trees {
		out = append(out, docTree{ID: t.ID, Species: t.Species, Mound: t.Mound})
	}
	return out
}
