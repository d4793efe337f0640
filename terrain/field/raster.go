package field

import (
	"errors"
	"math"

	"wetfeet/terrain"
)

// An Error is how wrong a raster is: z = ground + error, the error Gaussian
// with nothing on average.
type Error struct {
	// SD is one standard deviation of the part that neighbours share, m: that
	// of an exponential covariance.
	SD float64

	// Range is the practical range of that part, m: where its correlation has
	// fallen to a twentieth.
	Range float64

	// CellNoise is one standard deviation of the part that differs from cell
	// to cell without any pattern, m.
	CellNoise float64
}

// Check tells what is wrong with a stated error, for a raster of that frame:
// everything at once, each an ErrInput.
func (e Error) Check(f terrain.Frame) error {
	var errs []error
	for _, part := range []struct {
		name string
		sd   float64
	}{{"error of the ground", e.SD}, {"noise from cell to cell", e.CellNoise}} {
		if !(part.sd >= 0) || !finite(part.sd) {
			errs = append(errs, faultf("the %s is %g m; a standard deviation is 0 or more", part.name, part.sd))
		}
	}
	if e.SD == 0 && e.CellNoise == 0 {
		errs = append(errs, faultf("the ground is stated to have no error at all, and then there is nothing to draw; an error of the ground or a noise from cell to cell is needed"))
	}
	if e.SD != 0 {
		if err := checkRange(e.Range, f); err != nil {
			errs = append(errs, err)
		}
	} else if !(e.Range >= 0) || !finite(e.Range) {
		errs = append(errs, faultf("the range of the error is %g m; it is 0 or more", e.Range))
	}
	return errors.Join(errs...)
}

// checkRange holds a practical range against the site: an error that reaches
// farther than the longer side lifts or tilts all of it alike.
func checkRange(reach float64, f terrain.Frame) error {
	side := float64(max(f.Rows, f.Cols)) * f.CellSize
	switch {
	case !(reach > 0) || !finite(reach):
		return faultf("the range of the error is %g m; it must be more than 0 and no longer than the site, %.4g m", reach, side)
	case reach > side:
		return faultf("the range of the error, %.4g m, is longer than the site, %.4g m: such an error lifts the whole ground alike and moves no water; state one within the site", reach, side)
	}
	return nil
}

// OfRaster draws grounds given a raster and how wrong it is.
//
// The raster is a plane and a stationary surface of spectrum S seen through an
// error of spectrum N. S is not known: what can be told from the raster leaves
// many shapes of it as likely as each other, by wavenumber and direction, and
// the pairs of draws go by them in turn. Waves longer than the site count as
// the ground's own, as its plane does. By one S, the mean of the grounds is the
// raster filtered by S/(S+N) (Wiener's filter), with what lies outside it and
// in voids foretold from what is known; a draw is that mean and a field of
// spectrum SN/(S+N). Mean and SD are those over all.
//
// Where the raster is smoother than the error alone would leave it, at some
// wavelengths, the error is not believed there and the raster is; a remark
// tells so. The draws are void where the raster is.
func OfRaster(z *terrain.Grid[float32], e Error, seed uint64) (*Draws, error) {
	f := z.Frame
	err := e.Check(f)
	if known := terrain.Known(z); known < fewCells {
		err = errors.Join(err, faultf("the ground has %d cells with an elevation; draws need at least %d", known, fewCells))
	}
	if err != nil {
		return nil, err
	}
	d := &Draws{Frame: f, seed: seed, window: wholeFrame(f), raster: true}
	t, noise := e.spectrum(f)
	g := newGround(z, t)
	prior, rough := make([]float32, len(noise)), make([]float32, len(noise))
	others := make([][]float32, guesses(t))
	for j := range others {
		others[j] = make([]float32, len(noise))
	}
	shape := g.shape(noise)
	d.remarkOn(shape, e)
	g.spectraOf(shape, noise, false, seed, nil, prior, rough)
	g.complete(prior, rough)
	var w []float64
	for range loudTimes {
		more := g.loudness(prior, rough, max(e.Range, 8*f.CellSize))
		if more == nil {
			break
		}
		if w == nil {
			w = more
		}
		for i, u := range more {
			w[i] = max(w[i], u)
		}
		quiet := g.part(func(i int) float64 { return 1 - w[i] })
		quiet.spectraOf(quiet.shape(noise), noise, false, seed, nil, prior, rough)
	}
	if w == nil {
		g.spectraOf(shape, noise, true, seed, others, prior, rough)
	} else {
		quiet := g.part(func(i int) float64 { return 1 - w[i] })
		loud := g.part(func(i int) float64 { return w[i] })
		quiet.spectraOf(quiet.shape(noise), noise, true, seed, others, prior, rough)
		strong := make([]float32, len(noise))
		loud.spectraOf(loud.shape(noise), noise, false, seed, nil, strong, make([]float32, len(noise)))
		for i := range strong {
			strong[i] = max(strong[i], prior[i])
		}
		d.aside = g.onFrame(g.takeOut(w, prior, strong, rough))
		d.loud = g.onFrame(w)
		d.strong = make([]float32, len(noise))
		for i, s := range strong {
			d.strong[i] = float32(math.Sqrt(float64(s*rough[i]/(s+rough[i])) / float64(t.len())))
		}
	}
	d.setGuesses(g, others, rough)
	return d, nil
}

// spectraOf writes spectra of the ground that are as likely as each other, the
// middle one and the error as believed.
func (g *ground) spectraOf(shape *shape, noise []float64, lines bool, seed uint64, others [][]float32, middle, rough []float32) {
	rose := g.rose(shape, noise, lines)
	list, mean := rose.likely(max(len(others), 6), stream(seed, -1))
	rose.spectra(g.torus, append(list[:len(others):len(others)], mean), shape, noise, func(i int, ground []float64, n float64) {
		middle[i], rough[i] = float32(ground[len(others)]), float32(n)
		for j := range others {
			others[j][i] = float32(ground[j])
		}
	})
}

// spectrum is that of the error, m², on a torus with room for the ground.
func (e Error) spectrum(f terrain.Frame) (torus, []float64) {
	if e.SD == 0 {
		t := padded(f.Rows, f.Cols, max(float64(max(f.Rows, f.Cols))/16, 8))
		noise := make([]float64, t.half()*t.rows)
		for i := range noise {
			noise[i] = e.CellNoise * e.CellNoise
		}
		return t, noise
	}
	t, noise, _ := embed(f.Rows, f.Cols, f.CellSize, e.Range, exponential(e.SD*e.SD, e.Range))
	for i := range noise {
		noise[i] += e.CellNoise * e.CellNoise
	}
	return t, noise
}

// remarkOn says where the stated error is not believed.
func (d *Draws) remarkOn(s *shape, e Error) {
	if s.believed < 0.95 {
		stated := math.Hypot(e.SD, e.CellNoise)
		d.remark("the ground is smoother than an error of %.3g m would leave it, at lengths about %.3g m most: %.3g m of it is believed", stated, s.doubted*d.Frame.CellSize, stated*math.Sqrt(s.believed))
	}
}

// Agree brings the draws of a raster, and their mean, to shots on it: each is
// corrected by the kriged rest, with what the raster leaves unsure for the
// covariance, so that the draws are those of the ground given both.
//
// Between the middles of cells the ground is taken as bilinear; beside a void
// or the rim it is that of the shot's own cell. Shots outside the frame or in
// a void say nothing about the draws and are left out, with a remark. It
// panics on draws that are not OfRaster's, or that agree with shots already.
func (d *Draws) Agree(list []Shot) error {
	if !d.raster {
		panic("field: only draws of a raster can be brought to shots, and once")
	}
	if len(list) > MostShots {
		return errors.Join(faultf("%d shots; a ground is conditioned on at most %d", len(list), MostShots), checkShots(list))
	}
	if err := checkShots(list); err != nil {
		return err
	}
	f := d.Frame
	c := &shots{}
	var differ []float64
	for _, s := range list {
		row, col, ok := f.Locate(s.Point)
		if !ok || terrain.IsVoid(d.Mean.At(row, col)) {
			continue
		}
		x, y := d.window.place(f, s)
		r := d.window.read(x, y)
		z, known := r.of(d.Mean)
		if !known {
			r = d.window.read(float64(col)+0.5, float64(row)+0.5)
			z, _ = r.of(d.Mean)
		}
		c.readings = append(c.readings, r)
		c.sd = append(c.sd, s.SD)
		differ = append(differ, s.Z-z)
	}
	if left := len(list) - c.count(); left > 0 {
		d.remark("%d of %d shots lie outside the ground or in a void and are left out", left, len(list))
	}
	if c.count() == 0 {
		return nil
	}
	table := d.table()
	if _, ok := c.solveWith(d.torus, table); !ok {
		return faultf("the %d shots contradict each other at one place", c.count())
	}
	c.weigh(differ, 1)
	d.raster, d.shots, d.guesses = false, c, nil

	// The room of a draw spreads the weights over the ground.
	room := d.NewRoom()
	pairs := make([]float64, 2*len(differ))
	for i, w := range differ {
		pairs[2*i] = -w
	}
	more, none := make([]float32, f.Len()), make([]float32, f.Len())
	room.foretell(more, none, pairs)
	mean := terrain.NewGrid[float32](f)
	for i, v := range d.Mean.Cells {
		mean.Cells[i] = v + more[i]
	}
	d.Mean = mean
	d.SD = d.deviations(table, nearestShots)
	return nil
}

// of is what a reading sees of a grid, and whether all of it is known.
func (r *reading) of(z *terrain.Grid[float32]) (float64, bool) {
	var sum float64
	for i, w := range r.weight {
		if w == 0 {
			continue
		}
		v := float64(z.At(r.row[i], r.col[i]))
		if v != v {
			return 0, false
		}
		sum += w * v
	}
	return sum, true
}

// guesses is how many spectra the draws of a ground go by in turn: fewer on
// large grounds, whose spectra are better known and take more memory.
func guesses(t torus) int { return min(24, max(6, 1<<24/t.len())) }

// setGuesses makes a guess of each spectrum of the ground, and the mean and
// deviation over all of them.
func (d *Draws) setGuesses(g *ground, list [][]float32, rough []float32) {
	t, f := g.torus, d.Frame
	eigen, left := make([]float64, len(rough)), make([]float64, len(rough))
	count := float64(len(list))
	d.Mean, d.SD = terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	sum, squares := make([]float64, f.Len()), make([]float64, f.Len())
	var first *terrain.Grid[float32]
	for _, prior := range list {
		for i, s := range prior {
			left[i] = float64(s) * float64(rough[i]) / (float64(s) + float64(rough[i]))
			eigen[i] += left[i] / count
		}
		d.setField(t, left)
		one := guess{g.mean(prior, rough), t, d.swing, nil}
		if d.aside != nil {
			for i, v := range d.aside.Cells {
				one.mean.Cells[i] += v
			}
		}
		if first == nil {
			first = one.mean
		}
		for i, v := range one.mean.Cells {
			off := float64(v - first.Cells[i])
			sum[i] += off
			squares[i] += off * off
		}
		d.guesses = append(d.guesses, one)
	}
	d.setField(t, eigen)
	var variance float64
	for k := range t.half() {
		for _, v := range eigen[k*t.rows : (k+1)*t.rows] {
			variance += t.mirrored(k) * v / float64(t.len())
		}
	}
	var strong float64
	if d.loud != nil {
		for k := range t.half() {
			for _, v := range d.strong[k*t.rows : (k+1)*t.rows] {
				strong += t.mirrored(k) * float64(v) * float64(v)
			}
		}
	}
	for i, v := range first.Cells { // voids stay so
		mean := sum[i] / count
		d.Mean.Cells[i] = v + float32(mean)
		own := variance
		if d.loud != nil {
			u := float64(d.loud.Cells[i])
			own = (1-u)*variance + u*strong
		}
		d.SD.Cells[i] = float32(math.Sqrt(own+max(squares[i]/count-mean*mean, 0))) + 0*v
	}
}
