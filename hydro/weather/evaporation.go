package weather

import (
	"math"
	"time"
)

// The physics of FAO-56 (Allen et al. 1998), chapters 3 and 4; equation numbers
// are of that paper.

// AirPressure at an elevation, m, in kPa (7).
func AirPressure(elevation float64) float64 {
	return 101.3 * math.Pow((293-0.0065*elevation)/293, 5.26)
}

// Psychrometric is the psychrometric constant, kPa/°C, at an air pressure (8).
func Psychrometric(pressure float64) float64 { return 0.665e-3 * pressure }

// SaturationPressure is the vapour pressure, kPa, of saturated air at a
// temperature, °C (11).
func SaturationPressure(t float64) float64 { return 0.6108 * math.Exp(17.27*t/(t+237.3)) }

// MeanSaturationPressure is that of a day, of its extremes (12).
func MeanSaturationPressure(tmin, tmax float64) float64 {
	return (SaturationPressure(tmin) + SaturationPressure(tmax)) / 2
}

// VapourPressure is the actual vapour pressure, kPa, of a day with these
// extremes of temperature and relative humidity, % (17).
func VapourPressure(tmin, tmax, rhmin, rhmax float64) float64 {
	return (SaturationPressure(tmin)*rhmax + SaturationPressure(tmax)*rhmin) / 200
}

// vapourSlope is the slope of the saturation pressure, kPa/°C (13).
func vapourSlope(t float64) float64 {
	return 4098 * SaturationPressure(t) / ((t + 237.3) * (t + 237.3))
}

// sun is the declination of the sun, the inverse relative distance to it, and
// the hour angle of sunset, at a latitude in radians (23 to 25). Where the sun
// does not set the angle is π, where it does not rise 0.
func sun(latitude float64, dayOfYear int) (declination, distance, sunset float64) {
	angle := 2 * math.Pi * float64(dayOfYear) / 365
	declination = 0.409 * math.Sin(angle-1.39)
	distance = 1 + 0.033*math.Cos(angle)
	sunset = math.Acos(min(1, max(-1, -math.Tan(latitude)*math.Tan(declination))))
	return declination, distance, sunset
}

// Extraterrestrial is the radiation above the air on a day of the year, 1 to
// 366, at a latitude in degrees, north above 0: MJ/m² and day (21).
func Extraterrestrial(latitude float64, dayOfYear int) float64 {
	const solar = 0.0820 // MJ/m² and minute
	phi := latitude * math.Pi / 180
	d, distance, ws := sun(phi, dayOfYear)
	return 24 * 60 / math.Pi * solar * distance *
		(ws*math.Sin(phi)*math.Sin(d) + math.Cos(phi)*math.Cos(d)*math.Sin(ws))
}

// Daylight is the hours between sunrise and sunset (34).
func Daylight(latitude float64, dayOfYear int) float64 {
	_, _, ws := sun(latitude*math.Pi/180, dayOfYear)
	return 24 / math.Pi * ws
}

// WindAt2m is the wind 2 m above grass of one measured higher or lower, m (47).
func WindAt2m(wind, height float64) float64 { return wind * 4.87 / math.Log(67.8*height-5.42) }

// A Day is what the air did in a day, for reference evapotranspiration. NaN in
// the last four is not measured; the estimate of FAO-56 then stands in.
type Day struct {
	Latitude  float64 // degrees, north above 0
	Elevation float64 // m
	DayOfYear int     // 1 to 366

	TMin, TMax float64 // °C

	Vapour float64 // actual vapour pressure, kPa; NaN: dew forms at TMin (48)
	Wind   float64 // at 2 m, m/s; NaN: 2
	Sun    float64 // bright sunshine, h; NaN: by the range of temperature (50)
	Ground float64 // heat into the ground, MJ/m² and day; NaN: 0, right for a day (42)
}

// SolarRadiation is what reaches the ground of the sun, MJ/m² and day: by the
// hours of sunshine (35), or else by the range of temperature (50), with 0.16,
// for places away from a coast.
func (d Day) SolarRadiation() float64 {
	ra := Extraterrestrial(d.Latitude, d.DayOfYear)
	clear := (0.75 + 2e-5*d.Elevation) * ra
	if math.IsNaN(d.Sun) {
		return min(clear, 0.16*math.Sqrt(max(0, d.TMax-d.TMin))*ra)
	}
	n := Daylight(d.Latitude, d.DayOfYear)
	if n == 0 {
		return 0
	}
	return (0.25 + 0.50*min(1, d.Sun/n)) * ra
}

// NetRadiation is what grass keeps of the sun, less what it sends back by
// night and day, MJ/m² and day (38 to 40).
func (d Day) NetRadiation() float64 {
	short, long := d.radiation()
	return short - long
}

func (d Day) radiation() (short, long float64) {
	const boltzmann, albedo = 4.903e-9, 0.23
	ra, rs := Extraterrestrial(d.Latitude, d.DayOfYear), d.SolarRadiation()
	clear := (0.75 + 2e-5*d.Elevation) * ra // (37)
	// FAO-56 bounds the brightness above only. Under cloud all day it is about
	// 0.3, by (35), and the sky has no warmth to give; less comes of a day
	// without a range of temperature, in (50). The bound below is that of ASCE
	// (2005), The standardized reference evapotranspiration equation, from
	// memory.
	const overcast = 0.3
	bright := overcast
	if clear > 0 {
		bright = min(1, max(overcast, rs/clear))
	}
	kelvin := (math.Pow(d.TMax+273.16, 4) + math.Pow(d.TMin+273.16, 4)) / 2
	long = boltzmann * kelvin * (0.34 - 0.14*math.Sqrt(d.vapour())) * (1.35*bright - 0.35)
	return (1 - albedo) * rs, long
}

func (d Day) vapour() float64 {
	if math.IsNaN(d.Vapour) {
		return SaturationPressure(d.TMin)
	}
	return d.Vapour
}

// PenmanMonteith is the reference evapotranspiration of the day, mm: what a
// short, well-watered sward gives off (6). It is not below 0.
func (d Day) PenmanMonteith() float64 {
	mean, wind, ground := (d.TMin+d.TMax)/2, d.Wind, d.Ground
	if math.IsNaN(wind) {
		wind = 2
	}
	if math.IsNaN(ground) {
		ground = 0
	}
	slope, gamma := vapourSlope(mean), Psychrometric(AirPressure(d.Elevation))
	dry := max(0, MeanSaturationPressure(d.TMin, d.TMax)-d.vapour())
	et := (0.408*slope*(d.NetRadiation()-ground) + gamma*900/(mean+273)*wind*dry) / (slope + gamma*(1+0.34*wind))
	return max(0, et)
}

// Hargreaves is the reference evapotranspiration of the day by temperatures
// and latitude alone, mm (52). It is not below 0.
func (d Day) Hargreaves() float64 {
	ra := 0.408 * Extraterrestrial(d.Latitude, d.DayOfYear)
	return max(0, 0.0023*((d.TMin+d.TMax)/2+17.8)*math.Sqrt(max(0, d.TMax-d.TMin))*ra)
}

// openWater is the crop coefficient of water less than 2 m deep, or deeper in
// humid climates: FAO-56, table 12.
const openWater = 1.05

// OpenWater is what evaporates from standing water where the reference is et,
// mm of both in the same time.
func OpenWater(et float64) float64 { return openWater * et }

// Linacre is the evaporation of open water, mm/day, by the simplified Penman
// formula of Linacre (1993): mean temperature and dew point, °C, solar
// radiation, W/m², wind, m/s, and elevation, m.
func Linacre(t, dew, radiation, wind, elevation float64) float64 {
	f := 1 - 8.7e-5*elevation
	return (0.015 + 0.00042*t + 1e-6*elevation) * (0.8*radiation - 40 + 2.5*f*wind*(t-dew))
}

// ReferenceET is the reference evapotranspiration of every step of a record,
// mm, at a latitude, degrees, and an elevation, m, and how it was found: as
// measured, by Penman-Monteith where humidity, wind or sunshine was measured
// beside the temperatures, or by Hargreaves. Where values are missing it is NaN.
//
// An hourly record must carry it, since temperatures of hours are not extremes
// of days.
func (r *Record) ReferenceET(latitude, elevation float64) (et []float64, how string, err error) {
	switch {
	case r.ET != nil:
		return r.ET, "as measured", nil
	case r.TMin == nil:
		return nil, "", mistaken("the record has no evaporation: give it a column et_mm, or tmin_c and tmax_c")
	case r.Step != 24*time.Hour:
		return nil, "", mistaken("the record is hourly and has no evaporation: give it a column et_mm, or the days with tmin_c and tmax_c")
	case !(latitude >= -90 && latitude <= 90):
		return nil, "", mistaken("latitude %g is not from -90 to 90 degrees", latitude)
	case !(elevation >= -500 && elevation <= 9000):
		return nil, "", mistaken("elevation %g m is not from -500 to 9000", elevation)
	}
	how = "by Hargreaves, from temperatures"
	full := r.RHMin != nil || r.Wind != nil || r.Sun != nil
	if full {
		how = "by FAO-56 Penman-Monteith"
	}
	et = make([]float64, r.Len())
	for i := range et {
		d := r.day(i, latitude, elevation)
		switch {
		case math.IsNaN(d.TMin) || math.IsNaN(d.TMax):
			et[i] = math.NaN()
		case full:
			et[i] = d.PenmanMonteith()
		default:
			et[i] = d.Hargreaves()
		}
	}
	return et, how, nil
}

// day gathers what is known of step i.
func (r *Record) day(i int, latitude, elevation float64) Day {
	at := func(values []float64) float64 {
		if values == nil {
			return math.NaN()
		}
		return values[i]
	}
	d := Day{Latitude: latitude, Elevation: elevation, DayOfYear: r.Time(i).YearDay(),
		TMin: at(r.TMin), TMax: at(r.TMax), Vapour: math.NaN(), Wind: at(r.Wind), Sun: at(r.Sun), Ground: math.NaN()}
	if r.RHMin != nil {
		d.Vapour = VapourPressure(d.TMin, d.TMax, r.RHMin[i], r.RHMax[i])
	}
	return d
}
