package earthwork

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"wetfeet/terrain"
)

// stampParts is in how many parts, each way, a cell under a mound is looked at.
const stampParts = 8

// Stamp raises a copy of the ground by mounds, to send the water over it, and
// says what soil they take as the ground lies, m³, settled. The platform of a
// mound is level, its height above the ground of the cell it stands in; where
// the ground is higher than the mound it stays. A cell is raised by the mean
// over its area, so that mounds narrower than a cell keep their volume. Mounds
// off the known ground raise nothing.
func Stamp(z *terrain.Grid[float32], mounds []Placed) (raised *terrain.Grid[float32], volume float64) {
	raised = terrain.NewGrid[float32](z.Frame)
	copy(raised.Cells, z.Cells)
	// The mounds over each cell, so that where they run together the higher
	// counts and no soil twice.
	over := map[int][]int{}
	var touched []int
	crown := make([]float64, len(mounds))
	for k, m := range mounds {
		ground, known := terrain.AtPoint(z, m.At)
		if !known || m.Height <= 0 {
			continue
		}
		crown[k] = float64(ground) + m.Height
		// On falling ground the sides reach further down than on the level.
		reach := m.Top/2 + 2*m.side()*m.Height
		west, north := (m.At[0]-reach-z.West)/z.CellSize, (z.North-m.At[1]-reach)/z.CellSize
		wide := 2 * reach / z.CellSize
		for r := max(0, int(math.Floor(north))); r <= min(z.Rows-1, int(math.Floor(north+wide))); r++ {
			for c := max(0, int(math.Floor(west))); c <= min(z.Cols-1, int(math.Floor(west+wide))); c++ {
				i := z.Index(r, c)
				if terrain.IsVoid(z.Cells[i]) {
					continue
				}
				if over[i] == nil {
					touched = append(touched, i)
				}
				over[i] = append(over[i], k)
			}
		}
	}
	for _, i := range touched {
		ground := float64(z.Cells[i])
		at := z.Centre(z.Cell(i))
		sum := 0.0
		for part := range stampParts * stampParts {
			x := at[0] + z.CellSize*((float64(part%stampParts)+0.5)/stampParts-0.5)
			y := at[1] + z.CellSize*((float64(part/stampParts)+0.5)/stampParts-0.5)
			level := ground
			for _, k := range over[i] {
				m := mounds[k]
				out := max(0, math.Hypot(x-m.At[0], y-m.At[1])-m.Top/2)
				if out <= 2*m.side()*m.Height {
					level = max(level, crown[k]-out/m.side())
				}
			}
			sum += level - ground
		}
		mean := sum / (stampParts * stampParts)
		raised.Cells[i] = float32(ground + mean)
		volume += mean * z.CellArea()
	}
	return raised, volume
}

// A Closing is a line of water that runs into a mound.
type Closing struct {
	Line   int     // its index
	Mound  int     // the highest in its way
	Height float64 // of that mound, or of the bed it is part of, on the line, m
}

// Closes finds the flow lines that mounds stand on, by at least so much of
// their height, m. A line that a bed crosses between two mounds is closed as
// high as the bed is there. Whether the water then stands or goes around, only
// the ground with the mounds on it can tell.
func Closes(lines []orb.LineString, mounds []Placed, least float64) []Closing {
	var all []Closing
	for l, line := range lines {
		worst := Closing{Line: l, Mound: -1}
		bound := line.Bound()
		for k, m := range mounds {
			if !bound.Pad(m.Base() / 2).Contains(m.At) {
				continue
			}
			if h := m.at(planar.DistanceFrom(line, m.At)); h > worst.Height {
				worst.Mound, worst.Height = k, h
			}
		}
		if worst.Mound >= 0 && worst.Height >= least {
			all = append(all, worst)
		}
	}
	return all
}
