package earthwork

import (
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
	banks := make([]Bank, len(mounds))
	for k, m := range mounds {
		banks[k] = Bank{m.Mound, orb.LineString{m.At}}
	}
	raised, volumes := Build(z, banks)
	for _, v := range volumes {
		volume += v
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
