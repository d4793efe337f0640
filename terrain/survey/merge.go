package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/paulmach/orb"
)

// A Survey is the shots of one day.
type Survey struct {
	Name    string
	Date    time.Time // the day of it, or an order alone where Undated is set
	Undated bool      // Date is an order of surveys and nothing more
	Shots   []Shot    // m, in one system for all surveys
}

// A Superseded shot is an earlier one that a later survey took the place of.
type Superseded struct {
	Shot   Shot
	Survey int // that it is of
	By     int // the later survey
}

// A Change is ground that a later survey found elsewhere than an earlier one.
type Change struct {
	Point         orb.Point
	Name          string  // of the earlier shot
	Before, After float64 // height of the earlier shot and of the later surface there, m
	SD            float64 // standard deviation of their difference, m
	Survey, By    int     // the earlier survey and the later
}

// Merged is several surveys as one.
type Merged struct {
	Shots      []Shot // earlier surveys first, each in its own order
	Superseded []Superseded
	Changes    []Change // where the ground changed, by survey and shot
	Remarks    []string // a sentence for each pair of surveys that meet
}

// changed is how many standard deviations two surveys must differ by for the
// ground to have changed.
const changed = 3

// Merge makes one survey of several of the same bed. The later one wins: an
// earlier shot no farther than the reach, m, from a shot of a later survey is
// left out. Without a reach (0) it is the spacing of the later survey.
//
// Each shot left out is held against the later surface: where they differ by
// more than three standard deviations the ground has changed, as where a
// mound was built, and a Change says from what to what. Where most of them
// differ alike that is told, as a new benchmark looks just the same.
//
// Surveys go by date, and of one date by their order. A survey without shots
// is passed over; a date that is not set is an error.
func Merge(reach float64, surveys ...Survey) (*Merged, error) {
	if !(reach >= 0) || math.IsInf(reach, 0) {
		return nil, fmt.Errorf("a reach of %v m; 0 or more is needed", reach)
	}
	order := make([]int, len(surveys))
	for i, s := range surveys {
		order[i] = i
		if s.Date.IsZero() {
			return nil, faultf("survey %s has no date; later shots win, so each survey needs one", quote(s.Name))
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return surveys[a].Date.Compare(surveys[b].Date) })
	merged := &Merged{}
	gone := make([][]bool, len(surveys))
	for i, s := range surveys {
		gone[i] = make([]bool, len(s.Shots))
	}
	for k, later := range order {
		s := surveys[later]
		if len(s.Shots) == 0 {
			continue
		}
		far := reach
		if far == 0 {
			far = Spacing(s.Shots)
		}
		ground, _ := Fit(s.Shots, Options{Margin: far}) // nil where the shots are too few or in a line
		t := newTree(places(s.Shots), 16)
		for _, earlier := range order[:k] {
			merged.supersede(surveys, earlier, later, far, ground, t, gone[earlier])
		}
	}
	for _, i := range order {
		for j, s := range surveys[i].Shots {
			if !gone[i][j] {
				merged.Shots = append(merged.Shots, s)
			}
		}
	}
	slices.SortStableFunc(merged.Changes, func(a, b Change) int { return cmp.Or(cmp.Compare(a.By, b.By), cmp.Compare(a.Survey, b.Survey)) })
	return merged, nil
}

// supersede takes the shots of an earlier survey out that a later one reaches.
func (m *Merged) supersede(surveys []Survey, earlier, later int, reach float64, ground *Model, t *tree, gone []bool) {
	met, moved := 0, 0
	var rises []float64
	for i, s := range surveys[earlier].Shots {
		if gone[i] {
			continue
		}
		near := t.nearest(orb.Bound{Min: s.Point, Max: s.Point}, 1, max(reach, 1e-3))[0]
		if near.distance > reach {
			continue
		}
		gone[i] = true
		met++
		m.Superseded = append(m.Superseded, Superseded{s, earlier, later})
		by := surveys[later].Shots[near.point]
		z, sd := by.Z, by.errorOr(AssumedError)
		if ground != nil {
			z, sd = ground.Predict(s.Point)
		} else if near.distance > 0.1*reach {
			continue // nothing says how the ground goes on from the one shot to the other
		}
		sd = math.Hypot(sd, s.errorOr(AssumedError))
		rises = append(rises, z-s.Z)
		if math.Abs(z-s.Z) > changed*sd {
			moved++
			m.Changes = append(m.Changes, Change{s.Point, s.Name, s.Z, z, sd, earlier, later})
		}
	}
	if met == 0 {
		return
	}
	slices.Sort(rises)
	text := fmt.Sprintf("%s takes the place of %d of %d shots of %s within %s; the ground changed at %d of them",
		surveys[later].called(later), met, len(surveys[earlier].Shots), surveys[earlier].called(earlier), length(reach), moved)
	if n := len(rises); moved > 0 && 2*moved > n {
		text += fmt.Sprintf(", by %+.3f m in the middle of them: if the ground did not move there, the two surveys do not share a benchmark", rises[n/2])
	}
	m.Remarks = append(m.Remarks, text)
}

func (s *Survey) called(i int) string {
	text := fmt.Sprintf("survey %d", i+1)
	if s.Name != "" {
		text = "survey " + quote(s.Name)
	}
	if s.Undated {
		return text
	}
	return text + " of " + s.Date.Format(time.DateOnly)
}
