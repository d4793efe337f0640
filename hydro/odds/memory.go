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

// What a run takes, bytes. The first two were measured, as the most that the
// heap held, on ground that is nothing but noise.
const (
	perCell       = 4 + 1   // of the result, and whether it is known
	perWorkerCell = 260     // of the chain on one draw
	perNumber     = 4       // one that is kept of each draw
	small         = 1 << 20 // for the rest
)

// fixed is what a run takes with so many workers whatever the number of draws.
func (o *Options) fixed(workers int) int64 {
	cells := int64(o.Frame.Len())
	return small + cells*perCell + int64(workers)*(cells*perWorkerCell+o.SourceBytes)
}

// perDraw is what is kept of a draw.
func (o *Options) perDraw() int64 {
	return perNumber * (int64(len(o.Watch))*int64(1+len(o.Heights)) + 2*int64(len(o.Hollows)))
}

// workers is how many there is memory for.
func (o *Options) workers() (int, error) {
	draws := int64(o.Draws) * o.perDraw()
	n := o.all()
	for n > 1 && o.fixed(n)+draws > o.MemoryLimit {
		n--
	}
	if needs := o.fixed(n) + draws; needs > o.MemoryLimit {
		e := &MemoryError{Draws: o.Draws, Needs: needs, Limit: o.MemoryLimit}
		if room := o.MemoryLimit - o.fixed(n); room > 0 {
			e.Fit = int(room / max(o.perDraw(), 1))
		}
		return 0, e
	}
	return n, nil
}
