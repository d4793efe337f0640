package season

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro/soil"
)

// A Zone is the soil and cover of a part of the site, as a bucket of root depth.
type Zone struct {
	RootDepth float64 // m

	WiltingPoint  float64 // share of the volume
	FieldCapacity float64 // likewise, above WiltingPoint
	Porosity      float64 // likewise, above FieldCapacity

	// Drainage is how fast water above field capacity leaves the root zone
	// downwards, mm/h.
	Drainage float64

	// Curve is the runoff by curve number for average moisture. What the
	// ground holds says how wet it is, so its Before is not used.
	Curve soil.Curve

	// GreenAmpt, if it is not nil, decides the runoff instead of Curve. It
	// wants hourly rain. Its Saturation is not used: a rain after a dry day
	// finds what the bucket holds.
	GreenAmpt *soil.GreenAmpt

	// Impervious is the share of the ground from which all rain runs off.
	Impervious float64

	// Crop is the crop coefficient Kc of FAO-56: what plants with water enough
	// transpire, as a multiple of the reference. 0 is 1.
	Crop float64

	// Depletion is the share p of the available water that they draw without
	// stress, FAO-56, table 22. 0 is 0.5.
	Depletion float64
}

// ZoneOf is the zone that what is known of the ground makes, under roots so
// deep, m, and what had to be assumed for it, in sentences for the report.
func ZoneOf(k soil.Known, rootDepth float64) (Zone, []string) {
	t, assumed := k.Class()
	curve, more := k.Curve()
	curve.Before = soil.AverageBefore
	return Zone{
			RootDepth:    rootDepth,
			WiltingPoint: t.WiltingPoint, FieldCapacity: t.FieldCapacity, Porosity: t.Porosity,
			Drainage:   k.Rate().Median,
			Curve:      curve,
			Impervious: k.Impervious,
		}, append(append(assumed, more...),
			fmt.Sprintf("water at wilting, at field capacity and when full %g, %g and %g of the volume, of %s (Rawls et al. 1982, 1983)",
				t.WiltingPoint, t.FieldCapacity, t.Porosity, t.Name))
}

// Check says everything that is wrong with a zone that a person typed.
func (z Zone) Check() error {
	var bad []error
	say := func(isGood bool, format string, args ...any) {
		if !isGood {
			bad = append(bad, fmt.Errorf(format, args...))
		}
	}
	say(z.RootDepth > 0 && z.RootDepth <= 5, "root depth %g m is not above 0 and at most 5", z.RootDepth)
	say(0 <= z.WiltingPoint && z.WiltingPoint < z.FieldCapacity && z.FieldCapacity < z.Porosity && z.Porosity < 1,
		"water at wilting, at field capacity and when full, %g, %g and %g, do not rise from 0 or more to less than 1",
		z.WiltingPoint, z.FieldCapacity, z.Porosity)
	say(z.Drainage >= 0 && !math.IsInf(z.Drainage, 1), "drainage %g mm/h is not 0 or more", z.Drainage)
	say(z.Impervious >= 0 && z.Impervious <= 1, "impervious share %g is not from 0 to 1", z.Impervious)
	say(z.Crop >= 0 && z.Crop <= 2, "crop coefficient %g is not from 0 to 2; well-watered grass has 1", z.Crop)
	say(z.Depletion >= 0 && z.Depletion < 1, "depletion %g is not from 0 to less than 1; most trees have about 0.5", z.Depletion)
	if z.GreenAmpt != nil {
		bad = append(bad, z.GreenAmpt.Check())
	} else {
		bad = append(bad, z.Curve.Check())
	}
	return errors.Join(bad...)
}

// available is the total available water TAW, mm: FAO-56, equation 82.
func (z *Zone) available() float64 { return 1000 * (z.FieldCapacity - z.WiltingPoint) * z.RootDepth }

// pores is what the root zone holds when full, mm above wilting.
func (z *Zone) pores() float64 { return 1000 * (z.Porosity - z.WiltingPoint) * z.RootDepth }

func (z *Zone) crop() float64 {
	if z.Crop == 0 {
		return 1
	}
	return z.Crop
}

// stressed is the water below which plants are short of it, TAW − RAW, mm.
func (z *Zone) stressed() float64 {
	p := z.Depletion
	if p == 0 {
		p = 0.5
	}
	return (1 - p) * z.available()
}
