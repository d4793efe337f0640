package odds

import "fmt"

// A MemoryError says that so many draws do not fit into the memory allowed.
type MemoryError struct {
	Draws int   // asked for
	Needs int64 // bytes
	Limit int64 // bytes
	Fit   int   // draws that would fit
}

func (e *MemoryError) Error() string {
	const mebibyte = 1 << 20
	return fmt.Sprintf("%d draws need %d MiB and %d MiB are allowed: %d draws fit",
		e.Draws, (e.Needs+mebibyte-1)/mebibyte, e.Limit/mebibyte, e.Fit)
}

// What a run takes, bytes. Those of a worker were measured as the most that the
// program had from the system: 75 to 90 a cell with a hollow, mostly less than
// a centimetre deep, for every 15 cells, as draws given a raster that is rough
// by a centimetre have, and 240 to 260 where there is nothing but noise, with
// one for every five.
const (
	perCell       = 4 + 1 // of the result, and whether it is known
	perWorkerCell = 100   // of the chain on one draw
	perFound      = 900   // of each hollow found in it, however shallow
	mostFound     = 0.2   // in a cell
	perNumber     = 4     // one that is kept of each draw
	small         = 1 << 20
)

// needs is what a run takes with so many workers, on grounds where so many
// hollows are found in a cell.
func (o *Options) needs(workers int, found float64) int64 {
	cells := float64(o.Frame.Len())
	each := int64(cells*(perWorkerCell+perFound*found)) + o.SourceBytes + o.FurtherRoom
	return small + int64(cells*perCell) + int64(workers)*each + int64(o.Draws)*o.perDraw()
}

// perDraw is what is kept of a draw.
func (o *Options) perDraw() int64 {
	return o.FurtherBytes + perNumber*(int64(len(o.Watch))*int64(1+len(o.Heights))+2*int64(len(o.Hollows)))
}

// workers is how many there is memory for, one at least.
func (o *Options) workers(found float64) int {
	n := o.all()
	for n > 1 && o.needs(n, found) > o.MemoryLimit {
		n--
	}
	return n
}

// fit checks that a single worker has memory for all draws.
func (o *Options) fit() error {
	needs := o.needs(1, 0)
	if needs <= o.MemoryLimit {
		return nil
	}
	e := &MemoryError{Draws: o.Draws, Needs: needs, Limit: o.MemoryLimit}
	if room := o.MemoryLimit - (needs - int64(o.Draws)*o.perDraw()); room > 0 {
		e.Fit = int(room / max(o.perDraw(), 1))
	}
	return e
}
