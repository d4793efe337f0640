package field

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/terrain"
)

// A Survey is a ground kriged through shots, as terrain/survey makes it.
type Survey struct {
	// Mean is that ground. Draws scatter about it as it is.
	Mean *terrain.Grid[float32]

	// Covariance of the ground about its trend at two points so far apart,
	// toward the east and toward the north, m², without the error of the
	// shots. It is called from several goroutines at once.
	Covariance func(dx, dy float64) float64

	// Reach is the distance at which the correlation has fallen to a
	// twentieth, m, the longest of any direction.
	Reach float64

	Shots  []Shot
	Planar bool // the trend is a tilted plane, not a level; it is fitted, and unsure

	// Likely are covariances that are as likely as each other given the shots,
	// MostLikely at most. Pairs of draws go by them in turn. None is the
	// Covariance alone.
	Likely []Likeness
}

// A Likeness is how ground is alike from place to place: a covariance and its
// reach, as in a [Survey].
type Likeness struct {
	Covariance func(dx, dy float64) float64
	Reach      float64
}

// fewCells is the least number of cells with an elevation that draws are made
// for.
const fewCells = 9

// OfSurvey draws grounds given the shots of a survey and no more: universal
// kriging and a field conditioned on the shots and their errors, of at most
// MostShots.
//
// Between the middles of cells the field is taken as bilinear, and what the
// ground does between them beyond that, by the covariance, is added to the
// error of the shot. So a draw passes exactly through a shot without error in
// the middle of a cell, and by one elsewhere as near as cells can.
//
// Shots farther outside the frame than the reach are left out.
func OfSurvey(s Survey, seed uint64) (*Draws, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	f := s.Mean.Frame
	d := &Draws{Frame: f, Mean: s.Mean, seed: seed}
	within, window := s.within()
	terms := 1
	if s.Planar {
		terms = 3
	}
	if len(within) < terms {
		return nil, faultf("%d of %d shots lie within the reach of %.3g m of the ground; the trend of the ground needs at least %d there", len(within), len(s.Shots), s.Reach, terms)
	}
	if left := len(s.Shots) - len(within); left > 0 {
		d.remark("%d of %d shots lie farther outside the ground than the reach of %.3g m and are left out", left, len(s.Shots), s.Reach)
	}
	d.window = window
	t, eigen, clipped := embed(window.rows, window.cols, f.CellSize, s.Reach, s.Covariance)
	if clipped > 0.01 {
		d.remark("the covariance does not fit round a torus: %.1f %% of the variance is that of other wavelengths", 100*clipped)
	}
	d.setField(t, eigen)
	d.shots = s.readings(window, within, terms)
	table := d.table()
	if _, ok := d.shots.solveWith(t, table); !ok {
		return nil, faultf("the %d shots do not tell the trend of the ground: at least %d that are not in a line are needed, on a covariance that falls with distance", len(within), terms)
	}
	d.SD = d.deviations(table, nearestShots)
	d.setLikely(&s, within, terms)
	return d, nil
}

// readings are shots in a window, to be solved for.
func (s *Survey) readings(w window, within []Shot, terms int) *shots {
	f := s.Mean.Frame
	c := &shots{terms: terms}
	zero := s.Covariance(0, 0)
	for _, shot := range within {
		x, y := w.place(f, shot)
		r := w.read(x, y)
		c.readings = append(c.readings, r)
		between := r.between(x, y, f.CellSize, zero, s.Covariance)
		c.sd = append(c.sd, math.Sqrt(shot.SD*shot.SD+between))
		c.trend = w.trendAt(c.trend, terms, x, y)
	}
	return c
}

func (s *Survey) check() error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, faultf(format, args...)) }
	if known := terrain.Known(s.Mean); known < fewCells {
		bad("the ground has %d cells with an elevation; draws need at least %d", known, fewCells)
	}
	if !(s.Reach > 0) || !finite(s.Reach) {
		bad("the reach of the covariance is %g m; it must be more than 0", s.Reach)
	}
	if v := s.Covariance(0, 0); !(v > 0) || !finite(v) {
		bad("the variance of the ground is %g m²; it must be more than 0", v)
	}
	least := 1
	if s.Planar {
		least = 3
	}
	if most := MostLikely(len(s.Shots)); len(s.Likely) > most {
		bad("%d likely covariances of %d shots; there is room for %d", len(s.Likely), len(s.Shots), most)
	}
	for _, l := range s.Likely {
		if v := l.Covariance(0, 0); !(l.Reach > 0) || !finite(l.Reach) || !(v > 0) || !finite(v) {
			bad("a likely covariance has a variance of %g m² and a reach of %g m; both must be more than 0", v, l.Reach)
		}
	}
	switch n := len(s.Shots); {
	case n < least:
		bad("%d shots; the trend of the ground needs at least %d", n, least)
	case n > MostShots:
		bad("%d shots; a ground is conditioned on at most %d (spread a deviation over the ground instead)", n, MostShots)
	}
	return errors.Join(append(errs, checkShots(s.Shots))...)
}

// shown is how many mistakes are told in full.
const shown = 20

// checkShots looks for what no shot may be, and for shots without error at
// one place that are not of one height.
func checkShots(shots []Shot) error {
	var errs []error
	more := 0
	bad := func(format string, args ...any) {
		if len(errs) == shown {
			more++
			return
		}
		errs = append(errs, faultf(format, args...))
	}
	exact := map[[2]float64]int{}
	for i, s := range shots {
		switch {
		case !finite(s.Point[0]) || !finite(s.Point[1]) || !finite(s.Z):
			bad("shot %d: place %g, %g and height %g must be numbers", i+1, s.Point[0], s.Point[1], s.Z)
		case !(s.SD >= 0) || !finite(s.SD):
			bad("shot %d: an error of %g m is not 0 or more", i+1, s.SD)
		case s.SD == 0:
			if j, twice := exact[s.Point]; twice && shots[j].Z != s.Z {
				bad("shots %d and %d: %.3f m and %.3f m at one place, both without error", j+1, i+1, shots[j].Z, s.Z)
			}
			exact[s.Point] = i
		}
	}
	if more > 0 {
		errs = append(errs, faultf("and %d more mistakes like these", more))
	}
	return errors.Join(errs...)
}

// within is the shots no farther outside the frame than the reach, and the
// window that holds them.
func (s *Survey) within() ([]Shot, window) {
	f := s.Mean.Frame
	most := int(math.Ceil(s.Reach / f.CellSize))
	north, west, south, east := 0, 0, f.Rows, f.Cols
	var in []Shot
	for _, shot := range s.Shots {
		x := (shot.Point[0] - f.West) / f.CellSize
		y := (f.North - shot.Point[1]) / f.CellSize
		if x < float64(-most) || y < float64(-most) || x > float64(f.Cols+most) || y > float64(f.Rows+most) {
			continue
		}
		in = append(in, shot)
		// Its four cells: half a cell more than its own.
		west, east = min(west, int(math.Floor(x-0.5))), max(east, int(math.Ceil(x+0.5)))
		north, south = min(north, int(math.Floor(y-0.5))), max(south, int(math.Ceil(y+0.5)))
	}
	return in, window{rows: south - north, cols: east - west, row: -north, col: -west}
}

// place is where a shot lies in the window, in cells from its corner.
func (w window) place(f terrain.Frame, s Shot) (x, y float64) {
	return (s.Point[0]-f.West)/f.CellSize + float64(w.col), (f.North-s.Point[1])/f.CellSize + float64(w.row)
}

// between is the variance of the ground at a place about the bilinear surface
// through the middles of the cells around it, m².
func (r *reading) between(x, y, cell, zero float64, covariance func(dx, dy float64) float64) float64 {
	v := zero
	for i, u := range r.weight {
		if u == 0 {
			continue
		}
		v -= 2 * u * covariance((x-float64(r.col[i])-0.5)*cell, (float64(r.row[i])+0.5-y)*cell)
		for j, w := range r.weight {
			if w != 0 {
				v += u * w * covariance(float64(r.col[i]-r.col[j])*cell, float64(r.row[j]-r.row[i])*cell)
			}
		}
	}
	if v < 1e-9*zero { // nothing but rounding
		return 0
	}
	return v
}

func (d *Draws) remark(format string, args ...any) {
	d.Remarks = append(d.Remarks, fmt.Sprintf(format, args...))
}
