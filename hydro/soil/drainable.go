package soil

import "math"

// A Drainable is the share of a soil's volume that drains when the water table
// falls past it: the specific yield, or drainable porosity.
type Drainable struct {
	Low, Likely, High float64
	Source            string
}

// Drainable is that of the texture. Where Johnson (1967) measured the material
// it is his least, average and greatest. For the others it lies between van
// Beers' relation from conductivity, which minds that a shallow table leaves
// water hanging, and porosity less field capacity, which does not; likely is
// their geometric mean. A table that rises quickly finds less room than this.
func (t Texture) Drainable() Drainable {
	const johnson = "Johnson (1967), USGS Water-Supply Paper 1662-D, as reprinted"
	switch t.Name {
	case "sand":
		return Drainable{0.15, 0.26, 0.32, johnson + ", medium sand"}
	case "silt":
		// The reprint has 18 % on average against 19 % at most, which cannot
		// well be; 8 is remembered of the paper itself.
		return Drainable{0.03, 0.08, 0.19, johnson + ", average from memory"}
	case "sandy clay":
		return Drainable{0.03, 0.07, 0.12, johnson}
	case "clay":
		// Johnson's 0 to 5 %. Massive clay has 1 % at the least (FAO Irrigation
		// and Drainage Paper 62, table A1.1), and porosity less field capacity
		// says 15.
		return Drainable{0.01, 0.02, 0.15, johnson + "; greatest: porosity less field capacity"}
	}
	low := VanBeers(t.Ksat)
	high := t.Porosity - t.FieldCapacity
	for _, row := range poresAboveFieldCapacity {
		if row.texture == t.Name {
			high = row.share
		}
	}
	return Drainable{low, math.Sqrt(low * high), high, "van Beers' relation to porosity less field capacity"}
}

// poresAboveFieldCapacity is the table of the Minnesota stormwater manual.
var poresAboveFieldCapacity = []struct {
	texture string
	share   float64
}{
	{"sand", 0.26}, {"loamy sand", 0.35}, {"sandy loam", 0.31}, {"loam", 0.19}, {"silt loam", 0.22},
	{"clay loam", 0.14}, {"silty clay loam", 0.16}, {"clay", 0.15},
}

// VanBeers is the drainable porosity that goes with a conductivity, mm/h: in
// percent the root of the centimetres a day (ILRI, from memory; indicative).
func VanBeers(k float64) float64 { return math.Sqrt(k*2.4) / 100 }
