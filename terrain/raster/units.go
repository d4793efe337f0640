package raster

import (
	"math"
	"strings"
)

// The two feet. The international foot is exact by agreement since 1959; the
// US survey foot, 1200/3937 m, was retired at the end of 2022 and lives on in
// every older map (NIST and NGS, Federal Register, 5 October 2020).
const (
	foot       = 0.3048
	surveyFoot = 1200.0 / 3937
)

// unitMetres is the metres in a unit of length by one of its names, as files
// write it.
func unitMetres(name string) (float64, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	name = strings.NewReplacer("-", " ", "_", " ", ".", "").Replace(name)
	switch strings.Join(strings.Fields(name), " ") {
	case "m", "metre", "metres", "meter", "meters", "mtr", "m (metre)":
		return 1, true
	case "ft", "foot", "feet", "'", "international foot", "international feet", "foot (international)", "ift", "ft int", "us ft int":
		return foot, true
	case "us survey foot", "us survey feet", "ftus", "us ft", "usft", "sft", "survey foot", "survey feet", "foot us", "foot (us survey)", "foot us survey", "us foot", "us feet", "usfoot", "ft us":
		return surveyFoot, true
	case "cm", "centimetre", "centimetres", "centimeter", "centimeters":
		return 0.01, true
	case "mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return 0.001, true
	case "dm", "decimetre", "decimetres", "decimeter", "decimeters":
		return 0.1, true
	case "km", "kilometre", "kilometres", "kilometer", "kilometers":
		return 1000, true
	}
	return 0, false
}

// units works out the unit of a file's elevations and sets it in the cleaner:
// what the caller says, or the unit of the band, or that of the vertical part
// of a compound system.
func (s *source) units(o Options, g *Ground) {
	name := bandUnit(s.band)
	metres, stated := unitMetres(name)
	if name != "" && !stated {
		g.remark("it gives its elevations in %q, a unit not known here, and they were taken as metres", clip(name))
	}
	if !stated {
		if u, n, ok := verticalUnit(s.wkt); ok {
			metres, name, stated = u, n, true
		}
	}
	switch {
	case o.ElevationUnit != 0:
		if stated && math.Abs(metres-o.ElevationUnit) > 1e-9 {
			g.remark("it says its elevations are in %s; they were taken as units of %.10g m, as was said", clip(name), o.ElevationUnit)
		}
		metres, name = o.ElevationUnit, metresText(o.ElevationUnit)+" m"
	case !stated:
		metres, name = 1, ""
		if sr, err := parseCRS(s.wkt); err == nil {
			if info := describe(sr); !info.Geographic && info.Unit != 1 {
				g.remark("its coordinates are in units of one %s but it does not say the unit of its elevations, which were taken as metres; if they are feet, every depth is 3.28 times too large: set the unit of the band in the file to ft, or us-ft for the US survey foot, and read it again", info.UnitName)
			}
			sr.Close()
		}
	}
	g.Unit, g.UnitMetres = name, metres
	s.clean.unit = metres
	if metres != 1 {
		g.remark("its elevations are in units of one %s (%.10g m) and were brought to metres", clip(name), metres)
	}
	if s.clean.scale != 1 || s.clean.offset != 0 {
		g.remark("its elevations are stored with a scale of %v and an offset of %v, which were applied", s.clean.scale, s.clean.offset)
	}
}
