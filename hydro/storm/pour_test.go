package storm

import (
	"cmp"
	"math"
	"slices"

	"wetfeet/terrain"
)

// A pour is the definition of fill, spill and merge, done slowly: parcels of
// water of one volume walk downhill, one after the other, and gather where
// they can go no further. It knows nothing of a tree of hollows.
//
// Elevations are whole numbers of which no two are equal, a parcel is one
// cubic metre and a cell one square metre, so a pond has room for a whole
// number of parcels below every cell beside it.
type pour struct {
	z    *terrain.Grid[float32]
	way  []int // by cell: the cell its water runs to, itself at a pit, −1 off the grid
	pond []*puddle
	left int

	leaks map[[2]int]bool // known answers of leaksBelow
}

type puddle struct {
	cells  []int // covered
	water  int
	beside []int // cells beside it, lowest first
}

// level is where the water of a pond stands, m.
func (d *puddle) level(z *terrain.Grid[float32]) float64 {
	sum := d.water
	for _, c := range d.cells {
		sum += int(z.Cells[c])
	}
	return float64(sum) / float64(len(d.cells))
}

func newPour(z *terrain.Grid[float32]) *pour {
	p := &pour{z: z, way: make([]int, z.Len()), pond: make([]*puddle, z.Len()), leaks: map[[2]int]bool{}}
	for i := range p.way {
		p.way[i] = p.steepest(p.neighbours(i), i)
		if p.way[i] < 0 && !p.rim(i) {
			p.way[i] = i
		}
	}
	return p
}

func (p *pour) rim(i int) bool {
	r, c := p.z.Cell(i)
	return r == 0 || c == 0 || r == p.z.Rows-1 || c == p.z.Cols-1
}

// neighbours are those of a cell in the order of their index.
func (p *pour) neighbours(i int) (list []int) {
	row, col := p.z.Cell(i)
	for r := row - 1; r <= row+1; r++ {
		for c := col - 1; c <= col+1; c++ {
			if n := p.z.Index(r, c); p.z.Holds(r, c) && n != i {
				list = append(list, n)
			}
		}
	}
	return list
}

func (p *pour) distance(i, j int) float64 {
	ri, ci := p.z.Cell(i)
	rj, cj := p.z.Cell(j)
	if ri != rj && ci != cj {
		return math.Sqrt2
	}
	return 1
}

// steepest is the lower one, of some cells beside i, with the steepest fall.
func (p *pour) steepest(cells []int, i int) int {
	best, to := 0.0, -1
	for _, n := range cells {
		if fall := float64(p.z.Cells[i]-p.z.Cells[n]) / p.distance(i, n); fall > best {
			best, to = fall, n
		}
	}
	return to
}

// drop lets one parcel fall on a cell.
func (p *pour) drop(i int) {
	for {
		for p.pond[i] == nil && p.way[i] != i {
			if i = p.way[i]; i < 0 {
				p.left++
				return
			}
		}
		if p.pond[i] == nil {
			p.pond[i] = &puddle{}
			p.cover(p.pond[i], i)
		}
		d := p.pond[i]
		brim := d.beside[0]
		room := -d.water
		for _, c := range d.cells {
			room += int(p.z.Cells[brim] - p.z.Cells[c])
		}
		if room > 0 {
			d.water++
			return
		}
		// It is full to the cell beside it that is lowest.
		over := p.across(d, brim)
		switch {
		case over == off:
			p.left++
			return
		case over == brim:
			p.cover(d, brim)
		default:
			far := p.end(over)
			if far < 0 {
				p.left++
				return
			}
			if f := p.pond[far]; f != nil && f.beside[0] == brim && p.fullTo(f, brim) {
				p.merge(d, f)
				continue
			}
			i = over
		}
	}
}

const off = -1

// across is where water of a full pond goes from the lowest cell beside it.
func (p *pour) across(d *puddle, brim int) int {
	in := func(c int) bool { return slices.Contains(d.cells, c) }
	way := p.way[brim]
	switch {
	case way < 0:
		return off
	case !p.runsInto(way, d):
		return way
	case p.rim(brim):
		return off
	}
	// Lower neighbours in arcs that touch each other; one that the pond does
	// not cover leads to the other side. Of several the water takes one from
	// which it can leave the ground without rising again, else the first.
	choice := brim
	lower := slices.DeleteFunc(p.neighbours(brim), func(n int) bool { return p.z.Cells[n] > p.z.Cells[brim] })
	for len(lower) > 0 {
		arc := []int{lower[0]}
		for k := 0; k < len(arc); k++ {
			for _, n := range lower {
				if !slices.Contains(arc, n) && slices.Contains(p.neighbours(arc[k]), n) {
					arc = append(arc, n)
				}
			}
		}
		slices.Sort(arc)
		if !slices.ContainsFunc(arc, in) {
			if p.leaksBelow(brim, arc[0]) {
				return p.steepest(arc, brim)
			}
			if choice == brim {
				choice = p.steepest(arc, brim)
			}
		}
		lower = slices.DeleteFunc(lower, func(n int) bool { return slices.Contains(arc, n) })
	}
	return choice
}

// leaksBelow reports whether the edge of the ground can be reached from a cell
// without rising to the level of a brim.
func (p *pour) leaksBelow(brim, from int) bool {
	if leaks, known := p.leaks[[2]int{brim, from}]; known {
		return leaks
	}
	seen := map[int]bool{from: true}
	leaks := false
	for queue := []int{from}; len(queue) > 0 && !leaks; queue = queue[1:] {
		leaks = p.rim(queue[0])
		for _, n := range p.neighbours(queue[0]) {
			if !seen[n] && p.z.Cells[n] < p.z.Cells[brim] {
				seen[n] = true
				queue = append(queue, n)
			}
		}
	}
	p.leaks[[2]int{brim, from}] = leaks
	return leaks
}

// end is the cell where a parcel from a cell comes to rest: water or a pit.
func (p *pour) end(i int) int {
	for p.pond[i] == nil && p.way[i] != i {
		if i = p.way[i]; i < 0 {
			return off
		}
	}
	return i
}

// runsInto reports whether the way down from a cell leads into a pond.
func (p *pour) runsInto(i int, d *puddle) bool {
	end := p.end(i)
	return end >= 0 && p.pond[end] == d
}

func (p *pour) fullTo(d *puddle, brim int) bool {
	room := -d.water
	for _, c := range d.cells {
		room += int(p.z.Cells[brim] - p.z.Cells[c])
	}
	return room == 0
}

// cover lets a pond cover one more cell.
func (p *pour) cover(d *puddle, i int) {
	p.pond[i] = d
	d.cells = append(d.cells, i)
	d.beside = slices.DeleteFunc(d.beside, func(c int) bool { return c == i })
	for _, n := range p.neighbours(i) {
		if p.pond[n] != d && !slices.Contains(d.beside, n) {
			d.beside = append(d.beside, n)
		}
	}
	slices.SortFunc(d.beside, func(a, b int) int { return cmp.Compare(p.z.Cells[a], p.z.Cells[b]) })
}

func (p *pour) merge(d, f *puddle) {
	d.water += f.water
	for _, c := range f.cells {
		p.cover(d, c)
	}
}
