package soil

import "fmt"

// Known is what is known of the ground of a site or of one of its zones. Any
// part may be missing; a measured rate wins over tables, and texture over
// group.
type Known struct {
	Texture  string  // one of the twelve classes; empty where not known
	Group    string  // "A" to "D", or "A/D", "B/D", "C/D"; empty where not known
	Measured float64 // rate of an infiltration test, mm/h; 0 where there was none

	Cover  string   // in a person's words; empty where not known
	Before Moisture // how wet the ground is before a storm

	// Impervious is the share of the ground that is roofed or paved, 0 to 1.
	Impervious float64

	Profile Profile // what lies below, m
	Drained bool    // drains keep the water table down: the first of a dual group holds
}

// Check says everything that is wrong with what a person typed, one thing
// after the other in the order of the fields.
func (k Known) Check() []error {
	var bad []error
	if k.Texture != "" {
		if _, err := FindTexture(k.Texture); err != nil {
			bad = append(bad, err)
		}
	}
	if k.Group != "" {
		if _, err := ParseGroup(k.Group, k.Drained); err != nil {
			bad = append(bad, err)
		}
	}
	if !(k.Measured >= 0 && k.Measured <= 3600) {
		bad = append(bad, fmt.Errorf("measured infiltration %g mm/h is not from 0 to 3600; gravel has about 1000", k.Measured))
	}
	if k.Cover != "" {
		if _, err := FindCover(k.Cover); err != nil {
			bad = append(bad, err)
		}
	}
	if !(k.Impervious >= 0 && k.Impervious <= 1) {
		bad = append(bad, fmt.Errorf("impervious share %g is not from 0 to 1", k.Impervious))
	}
	return bad
}

// What is assumed of a soil and a cover of which nothing was said.
const (
	assumedTexture = "loam"
	assumedCover   = "woods-grass, fair"
)

// HydrologicGroup is the group of the ground and why: as given, by the measured
// rate (as the rate of a deep soil, but for what Profile says), or by texture.
// Of a soil that is quite unknown it is that of a loam, and assumed says so.
//
// It panics, as all that follow do, on a Known that Check refuses.
func (k Known) HydrologicGroup() (g Group, assumed []string) {
	switch {
	case k.Measured > 0:
		g = GroupOf(k.Measured, k.Profile)
		return g, []string{fmt.Sprintf("hydrologic group %v, by the measured rate (NEH 630, table 7-1)", g)}
	case k.Group != "":
		return must(ParseGroup(k.Group, k.Drained)), nil
	}
	t, assumed := k.texture()
	return t.Group, append(assumed, fmt.Sprintf("hydrologic group %v, as %s usually is (TR-55, appendix A)", t.Group, t.Name))
}

// texture is the class known, or one that stands for the group.
func (k Known) texture() (t Texture, assumed []string) {
	switch {
	case k.Texture != "":
		return must(FindTexture(k.Texture)), nil
	case k.Group != "":
		g := must(ParseGroup(k.Group, k.Drained))
		t = g.texture()
		return t, []string{fmt.Sprintf("suction and pores of %s, which stands for group %v", t.Name, g)}
	case k.Measured > 0:
		t = GroupOf(k.Measured, k.Profile).texture()
		return t, []string{fmt.Sprintf("suction and pores of %s, which has about the measured rate", t.Name)}
	}
	return must(FindTexture(assumedTexture)), []string{"texture " + assumedTexture + ", since nothing is known of the soil"}
}

// Rate is how fast standing water sinks, with its doubt.
func (k Known) Rate() Rate {
	switch {
	case k.Measured > 0:
		return Measured(k.Measured)
	case k.Texture == "" && k.Group != "":
		return must(ParseGroup(k.Group, k.Drained)).Rate()
	}
	t, assumed := k.texture()
	r := t.Rate()
	if len(assumed) > 0 {
		r.Source = assumed[0] + "; " + r.Source
	}
	return r
}

// Drainable is the drainable porosity of the ground.
func (k Known) Drainable() Drainable {
	t, _ := k.texture()
	return t.Drainable()
}

// Curve is the ground as a runoff curve number, without its impervious part,
// and what had to be assumed for it, in sentences for the report.
func (k Known) Curve() (Curve, []string) {
	g, assumed := k.HydrologicGroup()
	said := k.Cover
	if said == "" {
		said = assumedCover
		assumed = append(assumed, "cover "+assumedCover+", since none was given")
	}
	cover := must(FindCover(said))
	return Curve{CN: cover.CurveNumber(g), Before: k.Before},
		append(assumed, fmt.Sprintf("curve number %g, for %s on group %v", cover.CurveNumber(g), cover.Name(), g))
}

// GreenAmpt is the ground as a Green-Ampt soil, without its impervious part, and
// what had to be assumed for it. Its pores are as full as Before says: at field
// capacity on average; before a dry start halfway from there to wilting, and
// before a wet one halfway to full, which is this program's own choice.
func (k Known) GreenAmpt() (GreenAmpt, []string) {
	t, assumed := k.texture()
	full := t.SaturationAt(t.FieldCapacity)
	switch k.Before {
	case DryBefore:
		full = (full + t.SaturationAt(t.WiltingPoint)) / 2
	case WetBefore:
		full = (full + 1) / 2
	}
	g := t.GreenAmpt(full)
	if k.Measured > 0 {
		g.K = k.Measured
	} else {
		assumed = append(assumed, fmt.Sprintf("conductivity %.2g mm/h, of %s (Rawls et al. 1983)", g.K, t.Name))
	}
	for _, depth := range []float64{k.Profile.WaterTable, k.Profile.Impermeable} {
		if depth > 0 && (g.Depth == 0 || depth*1000 < g.Depth) {
			g.Depth = depth * 1000
		}
	}
	return g, append(assumed, fmt.Sprintf("pores %.0f %% full before the storm", 100*full))
}

// Loss is one of the two models with the impervious part added.
func (k Known) Loss(pervious Loss) Loss {
	if k.Impervious == 0 {
		return pervious
	}
	return Patchwork{pervious, k.Impervious}
}

// must is for what Check has passed.
func must[T any](v T, err error) T {
	if err != nil {
		panic("soil: " + err.Error())
	}
	return v
}
