package reliability

import "sort"

// A Curve is a forecast of odds held against what happened.
type Curve struct {
	Points []Point // one for each odds that was given, ascending

	Brier          float64 // Miscalibration − Discrimination + Uncertainty
	Miscalibration float64 // what reading the odds through the curve would take off the score
	Discrimination float64 // what the curve takes off the score of the overall share
	Uncertainty    float64 // the score of giving everyone the overall share
}

// A Point is all forecasts of the same odds.
type Point struct {
	Odds     float64
	Count    int     // forecasts that gave these odds
	Happened int     // and those of them that came true
	Share    float64 // how often these odds come true, by the curve
}

// Corp draws the curve of a forecast and splits its Brier score, after
// Dimitriadis, Gneiting and Jordan (2021). Scores are NaN for no forecasts.
//
// It panics when the slices differ in length or odds are not within 0 and 1.
func Corp(odds []float64, happened []bool) Curve {
	check(odds, happened)
	points, at := gather(odds)
	for i, yes := range happened {
		if yes {
			points[at[i]].Happened++
		}
	}
	return through(points)
}

// gather makes a point of each odds, nothing having happened yet, and says
// which point each forecast is of.
func gather(odds []float64) (points []Point, at []int) {
	order := make([]int, len(odds))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return odds[order[a]] < odds[order[b]] })
	at = make([]int, len(odds))
	for _, i := range order {
		if n := len(points); n == 0 || points[n-1].Odds != odds[i] {
			points = append(points, Point{Odds: odds[i] + 0}) // −0 is 0
		}
		points[len(points)-1].Count++
		at[i] = len(points) - 1
	}
	return points, at
}

// through fills in the shares of points and adds up the scores.
func through(points []Point) Curve {
	share, count := make([]float64, len(points)), make([]float64, len(points))
	all, yes := 0.0, 0.0
	for k, p := range points {
		share[k], count[k] = float64(p.Happened)/float64(p.Count), float64(p.Count)
		all, yes = all+count[k], yes+float64(p.Happened)
	}
	share = Isotonic(share, count)
	score, read := 0.0, 0.0
	for k := range points {
		p := &points[k]
		p.Share = share[k]
		score += squares(p, p.Odds)
		read += squares(p, p.Share)
	}
	c := Curve{Points: points, Brier: score / all, Uncertainty: yes / all * (1 - yes/all)}
	c.Miscalibration = c.Brier - read/all
	c.Discrimination = c.Uncertainty - read/all
	return c
}

// squares is the sum of the squares of a point's faults, were its odds so.
func squares(p *Point, odds float64) float64 {
	yes, no := float64(p.Happened), float64(p.Count-p.Happened)
	return yes*(1-odds)*(1-odds) + no*odds*odds
}
