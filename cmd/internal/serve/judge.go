package serve

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"strconv"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro/storm"
)

// A question asks what becomes of a document.
type question struct {
	Document document `json:"document"`
	Units    string   `json:"units"`  // of the words of the answer
	Effort   string   `json:"effort"` // "soon": what can be told while a hand moves; "likely": the likeliest answer; "sure": with its odds
}

// A reply is what becomes of a document.
type reply struct {
	Lead    string         `json:"lead"`
	First   []string       `json:"first,omitempty"`
	Counts  map[string]int `json:"counts"`
	Storm   stormReply     `json:"storm"`
	Trees   []treeReply    `json:"trees"`
	Waiting int            `json:"waiting"` // trees whose years are not worked out yet
	Effort  string         `json:"effort"`
	Odds    string         `json:"odds,omitempty"` // name of the picture of the odds of standing water
	Draws   int            `json:"draws,omitempty"`
	Ground  string         `json:"ground"`          // name of the layers of the ground that the water stands on
	Hollows string         `json:"hollows"`         // and of its hollows
	Works   *worksReply    `json:"works,omitempty"` // of a whole answer: what is built and dug

	Assumptions []string `json:"assumptions,omitempty"`
	Remarks     []string `json:"remarks,omitempty"`
}

// A stormReply is the water of a storm: for every leaf that gets wet, the
// course of the level over its floor.
type stormReply struct {
	Words  string               `json:"words"`
	Rain   float64              `json:"rain"`   // mm
	Runoff float64              `json:"runoff"` // mm
	Ends   float64              `json:"ends"`   // of the rain, hours
	Last   float64              `json:"last"`   // that is known, hours
	Levels map[string][]float64 `json:"levels"` // by one more than the index of the leaf: hours and metres by turns
	Shown  []momentReply        `json:"shown"`
	Gone   balance              `json:"gone"`
}

type momentReply struct {
	Name   string  `json:"name"`
	Hours  float64 `json:"hours"`
	Ponded float64 `json:"ponded"` // m³
}

// balance is where all the water went, m³.
type balance struct {
	In         float64 `json:"in"`
	Ponded     float64 `json:"ponded"`
	Left       float64 `json:"left"`
	Soaked     float64 `json:"soaked"`
	Evaporated float64 `json:"evaporated"`
}

type treeReply struct {
	ID      string   `json:"id"`
	Row     string   `json:"row,omitempty"`
	Along   float64  `json:"along"`
	X       float64  `json:"x"`
	Y       float64  `json:"y"`
	Species string   `json:"species"`
	Common  string   `json:"common"`
	Known   bool     `json:"known"`
	Ground  float64  `json:"ground"`
	Depth   float64  `json:"depth"`
	Hours   float64  `json:"hours"`
	Year    *float64 `json:"year,omitempty"` // longest wet spell of the usual year, days
	Risk    string   `json:"risk"`
	Flagged bool     `json:"flagged"`
	Why     string   `json:"why"`
	Advice  string   `json:"advice,omitempty"`
	Do      string   `json:"do,omitempty"`
	Mound   *float64 `json:"mound,omitempty"`
	Swaps   []swap   `json:"swaps,omitempty"`
	Pond    int      `json:"pond,omitempty"`
	Built   float64  `json:"built,omitempty"` // height of the mound it stands on, m
	Trial   bool     `json:"trial,omitempty"`
	Fixed   bool     `json:"fixed,omitempty"`

	Ponding *float64    `json:"ponding,omitempty"` // odds that water stands here in the storm
	Loss    *float64    `json:"loss,omitempty"`    // odds that the tree is lost
	Raised  *float64    `json:"raised,omitempty"`  // the same on the mound advised
	Swapped *float64    `json:"swapped,omitempty"` // of the first swap
	Depths  *[3]float64 `json:"depths,omitempty"`  // of the highest water: one in ten is less, half, nine in ten, m
	Spells  *[3]float64 `json:"spells,omitempty"`  // hours that the roots are wet, likewise
}

type swap struct {
	Species string `json:"species"`
	Common  string `json:"common"`
}

// judge answers what becomes of a document.
func (d *desk) judge(w http.ResponseWriter, r *http.Request, s *sheet) error {
	var q question
	if err := readJSON(r, &q); err != nil {
		return err
	}
	plan, err := q.Document.planIn(q.Units, s.result)
	if err != nil {
		return err
	}
	// An answer that was given up may hold its place for a while yet; a hand
	// does not wait for that.
	places := d.turns
	if q.Effort == "soon" {
		places = d.quick
	}
	done, err := place(r.Context(), places)
	if err != nil {
		return err
	}
	defer done()
	switch q.Effort {
	case "soon":
		if near := s.near.Load(); near.SameSite(plan) {
			res, waiting, err := near.Soon(r.Context(), plan)
			if err != nil {
				return err
			}
			out := replyOf(res)
			out.Effort, out.Waiting = "soon", waiting
			out.lie(s, near)
			answer(w, http.StatusOK, out)
			return nil
		}
		plan.Odds.Off = true
	case "likely":
		plan.Odds.Off = true
	case "sure":
		plan.Odds = s.odds
	default:
		return statusError{http.StatusBadRequest, "", fmt.Errorf("an answer is soon, likely or sure, not %q", q.Effort)}
	}
	res, err := s.works.base(s, plan).Again(r.Context(), plan, nil)
	if err != nil {
		return err
	}
	s.near.Store(res)
	if res.Odds == nil {
		s.likely.Store(res)
	}
	out := full(res)
	out.lie(s, res)
	if out.Works, err = s.works.reply(r.Context(), res); err != nil {
		return err
	}
	if out.Effort = "likely"; res.Odds != nil || q.Effort == "sure" {
		out.Effort = "sure"
	}
	if res.Odds != nil {
		out.Odds, out.Draws = s.ponding.add(s.layers, res), res.Odds.Draws
		s.sure.Store(&sureAnswer{q.Document.digest(q.Units), res})
	}
	answer(w, http.StatusOK, out)
	return nil
}

// full is all that can be said of a result.
func full(r *assess.Result) reply {
	out := replyOf(r)
	out.First = r.First()
	out.Assumptions, out.Remarks = r.Assumptions, r.Remarks
	return out
}

// lie says which layers an answer lies on.
func (out *reply) lie(s *sheet, r *assess.Result) {
	ground, hollows := s.works.layersOf(s, r)
	out.Ground, out.Hollows = ground.id, hollows.id
}

func replyOf(r *assess.Result) reply {
	out := reply{Lead: r.Lead(), Counts: r.Counts(), Storm: stormOf(r), Trees: make([]treeReply, len(r.Trees))}
	for i := range r.Trees {
		out.Trees[i] = treeOf(r, &r.Trees[i])
	}
	return out
}

func treeOf(r *assess.Result, t *assess.Tree) treeReply {
	out := treeReply{
		ID: t.ID, Row: t.Row, Along: round(t.Along, 3), X: round(t.Point[0], 3), Y: round(t.Point[1], 3),
		Species: t.Position.Species, Known: t.OnGround, Risk: "unknown", Why: t.Why,
	}
	if t.Entry != nil {
		out.Species, out.Common = t.Entry.Scientific, t.Entry.Name()
	}
	if !t.OnGround {
		return out
	}
	out.Built, out.Trial, out.Fixed = round(t.Built, 3), t.Tried, t.Fixed
	if t.ByOdds {
		out.Ponding, out.Loss = share(t.Ponding), share(t.Odds)
		if t.Flagged {
			out.Raised, out.Swapped = share(t.OddsRaised), share(t.OddsSwapped)
		}
		out.Depths, out.Spells = span(t.Depths, 3), span(t.Hours, 1)
	}
	out.Ground, out.Depth, out.Hours = round(t.Ground, 3), round(t.StormDepth, 3), round(t.WetHours, 1)
	if v := t.LongestWetDays; !math.IsNaN(v) {
		v = round(v, 2)
		out.Year = &v
	}
	out.Risk, out.Flagged, out.Pond = t.Risk.String(), t.Flagged, t.Pond
	out.Advice, out.Do = t.Advice, r.Do(t)
	if v := t.Mound; v > 0 && !math.IsInf(v, 0) {
		v = round(v, 3)
		out.Mound = &v
	}
	for _, e := range t.Swaps[:min(len(t.Swaps), 6)] {
		out.Swaps = append(out.Swaps, swap{e.Scientific, e.Name()})
	}
	return out
}

func share(p float64) *float64 {
	if math.IsNaN(p) {
		return nil
	}
	p = round(p, 3)
	return &p
}

func span(v assess.Interval, digits int) *[3]float64 {
	if math.IsNaN(v.Low) || math.IsNaN(v.Likely) || math.IsNaN(v.High) || math.IsInf(v.High, 0) {
		return nil
	}
	return &[3]float64{round(v.Low, digits), round(v.Likely, digits), round(v.High, digits)}
}

// levelTolerance is how far the course of a level that a page draws may be
// off, m.
const levelTolerance = 0.002

func stormOf(r *assess.Result) stormReply {
	s := r.Storm
	out := stormReply{
		Words: s.Words(r.Units), Rain: round(s.Rain, 2), Runoff: round(s.Runoff, 2),
		Ends: s.Duration.Hours(), Last: s.History.Hours, Levels: map[string][]float64{},
		Gone: balance{round(s.History.In, 2), round(s.History.Ponded, 2), round(s.History.Left, 2), round(s.History.Soaked, 2), round(s.History.Evaporated, 2)},
	}
	for _, m := range s.Shown {
		out.Shown = append(out.Shown, momentReply{m.Name, round(m.Hours, 3), round(m.Ponded, 2)})
	}
	h := s.Site.Hollows()
	for i := range h.All {
		if !h.All[i].IsLeaf() || s.History.Peak(i).Level <= h.All[i].Floor+levelTolerance {
			continue
		}
		points := thinLevels(s.History.Levels(i))
		flat := make([]float64, 0, 2*len(points))
		for _, p := range points {
			flat = append(flat, round(p.Hours, 3), round(p.Level, 4))
		}
		out.Levels[strconv.Itoa(i+1)] = flat
	}
	return out
}

// thinLevels leaves out the points of a course that lie within a tolerance of
// the straight line between those that are kept.
func thinLevels(points []storm.Point) []storm.Point {
	if len(points) < 3 {
		return points
	}
	keep := make([]bool, len(points))
	keep[0], keep[len(points)-1] = true, true
	todo := [][2]int{{0, len(points) - 1}}
	for len(todo) > 0 {
		from, to := todo[len(todo)-1][0], todo[len(todo)-1][1]
		todo = todo[:len(todo)-1]
		a, b := points[from], points[to]
		far, at := levelTolerance, -1
		for i := from + 1; i < to; i++ {
			t := 0.0
			if b.Hours > a.Hours {
				t = (points[i].Hours - a.Hours) / (b.Hours - a.Hours)
			}
			if off := math.Abs(points[i].Level - a.Level - t*(b.Level-a.Level)); off > far {
				far, at = off, i
			}
		}
		if at > 0 {
			keep[at] = true
			todo = append(todo, [2]int{from, at}, [2]int{at, to})
		}
	}
	var out []storm.Point
	for i, k := range keep {
		if k {
			out = append(out, points[i])
		}
	}
	return out
}

// readJSON reads the body of a question. A key it does not know is refused,
// since the page and the program are one.
func readJSON(r *http.Request, into any) error {
	if kind := r.Header.Get("Content-Type"); kind != "application/json" {
		return statusError{http.StatusUnsupportedMediaType, "", errors.New("a question is JSON")}
	}
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		if _, large := errors.AsType[*http.MaxBytesError](err); large {
			return err
		}
		return statusError{http.StatusBadRequest, "", errors.New("the question could not be read: " + err.Error())}
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return statusError{http.StatusBadRequest, "", errors.New("more came after the question")}
	}
	return nil
}
