package site

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wetfeet/hydro/soil"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// Bounds of the soil of a site.
const (
	maxZones = 250 // the engine counts zones in a byte
	maxTests = 1000
)

// Soil says how water leaves the surface: of the whole site, and of the zones
// where that differs.
type Soil struct {
	Known
	Moisture  soil.Moisture // before the storm
	Drained   bool          // drains keep the water table down
	GreenAmpt bool          // what runs off is told by Green and Ampt instead of the curve number
	Zones     []Zone

	WaterTable   *float64   // wet-season depth below ground, m; nil where unknown
	WaterTableAt *orb.Point // where it was seen, in CRS; nil where unknown
}

// Known is what is known of the ground of a site or of one of its zones. The
// zero value of any part is that nothing was said of it.
type Known struct {
	Texture         string      // one of the twelve classes of [soil.Textures]
	HydrologicGroup string      // "A" to "D", or "A/D", "B/D", "C/D"
	Infiltration    float64     // measured, mm/h
	Tests           []soil.Rate // what field tests say, instead of a measured rate
	Cover           string      // in the grower's words
	CurveNumber     float64     // for average moisture, instead of that of soil and cover; 0 where nobody gave one
	Impervious      *float64    // share that is roofed or paved, 0 to 1; nil where nothing was said
	RootRot         *bool       // root rot (Phytophthora) is known in it; nil where nothing was said
}

// A Zone is a part of the site whose soil or cover differs from the rest.
type Zone struct {
	Known
	Name string
	Area File // GeoJSON polygons, longitude and latitude
}

// Whole is all that is known of the ground of a zone, or of the rest of the
// site: what k says, with what holds for all of the site.
func (s *Soil) Whole(k Known) soil.Known {
	w := soil.Known{
		Texture: k.Texture, Group: k.HydrologicGroup, Measured: k.Infiltration, Cover: k.Cover,
		Before: s.Moisture, Drained: s.Drained,
	}
	if k.Impervious == nil {
		k.Impervious = s.Impervious
	}
	if k.Impervious != nil {
		w.Impervious = *k.Impervious
	}
	if s.WaterTable != nil {
		w.Profile.WaterTable = max(*s.WaterTable, 0.01) // 0 would be none
	}
	return w
}

// Rotten says whether root rot is known in the soil of a zone.
func (s *Soil) Rotten(k Known) bool {
	if k.RootRot == nil {
		k.RootRot = s.RootRot
	}
	return k.RootRot != nil && *k.RootRot
}

// fields are the keys that a site and its zones have in common.
func (k *Known) fields() []field {
	return []field{
		{"texture", func(n node) {
			if t, ok := n.text(`the name of a soil texture is needed, such as "sandy loam"`); ok {
				found, err := soil.FindTexture(t)
				n.failed(err)
				k.Texture = found.Name
			}
		}},
		{"hydrologic_group", func(n node) {
			g, _ := n.value.(string)
			if _, err := soil.ParseGroup(g, false); err != nil {
				n.fail("found %s; one of A, B, C, D, A/D, B/D or C/D is needed", describe(n.value))
				return
			}
			k.HydrologicGroup = strings.ToUpper(strings.TrimSpace(g))
		}},
		{"infiltration", func(n node) {
			v, ok := n.positive(quantity.Rate, "12 mm/h")
			if bad := (soil.Known{Measured: v}).Check(); ok && len(bad) > 0 {
				n.failed(bad[0])
			}
			k.Infiltration = v
		}},
		{"test", func(n node) {
			n.tables("soil.test", maxTests, func(n node, i int) {
				n.label = fmt.Sprintf("soil test %d", i+1)
				if r, ok := n.test(); ok {
					k.Tests = append(k.Tests, r)
				}
			})
			if k.Infiltration > 0 {
				n.fail("the soil has an infiltration and a field test; keep the one you trust")
			}
		}},
		{"cover", func(n node) {
			if c, ok := n.text(`words are needed, such as "orchard, grassed, good"`); ok {
				_, err := soil.FindCover(c)
				n.failed(err)
				k.Cover = c
			}
		}},
		{"curve_number", func(n node) { k.CurveNumber = n.curveNumber() }},
		{"impervious", func(n node) {
			if v, ok := n.share(); ok {
				k.Impervious = &v
			}
		}},
		{"root_rot", func(n node) {
			v := n.flag()
			k.RootRot = &v
		}},
	}
}

func (s *Soil) read(n node) {
	n.table(append(s.Known.fields(), []field{
		{"moisture", func(n node) {
			s.Moisture = choose(n, map[string]soil.Moisture{"dry": soil.DryBefore, "average": soil.AverageBefore, "wet": soil.WetBefore})
		}},
		{"drained", func(n node) { s.Drained = n.flag() }},
		{"model", func(n node) {
			s.GreenAmpt = choose(n, map[string]bool{"curve number": false, "green-ampt": true})
		}},
		{"zone", func(n node) {
			first := map[string]int{}
			n.tables("soil.zone", maxZones, func(n node, i int) { s.zone(n, i, first) })
		}},
		{"water_table", func(n node) {
			if d, ok := n.waterTable(); ok {
				s.WaterTable = &d
			}
		}},
		{"water_table_at", func(n node) {
			if p, ok := n.point(); ok {
				s.WaterTableAt = &p
			}
		}},
	}...))
	if t, ok := n.value.(map[string]any); ok && t["water_table_at"] != nil && t["water_table"] == nil {
		n.fail("says where the water table was seen but not how deep; give water_table too")
	}
}

func (s *Soil) zone(n node, i int, first map[string]int) {
	z := Zone{Name: strconv.Itoa(i + 1)}
	n.label = "soil zone " + quote(n.named(&z.Name, first))
	n.table(append(z.Known.fields(), []field{
		{"name", func(node) {}},
		{"area", func(n node) { z.Area = n.file() }},
	}...))
	n.needs("every zone needs an area", "area")
	s.Zones = append(s.Zones, z)
}

// curveNumber is a runoff curve number.
func (n node) curveNumber() float64 {
	s, ok := n.typed("a runoff curve number is needed, such as 72")
	if !ok {
		return 0
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil {
		n.fail("found %s; a runoff curve number is needed, such as 72", describe(n.value))
		return 0
	}
	if n.failed(soil.Curve{CN: v}.Check()) {
		return 0
	}
	return v
}

// testKeys is what each kind of test is told by.
var testKeys = map[string][]string{
	"percolation hole": {"diameter", "depth", "drop", "time"},
	"auger hole":       {"diameter", "depth", "drop", "time"},
	"single ring":      {"diameter", "depth", "insertion", "rate"},
	"double ring":      {"diameter", "water", "time"},
}

// test is what a field test says of the ground. Lengths of tests are
// millimetres in the engine.
func (n node) test() (soil.Rate, bool) {
	var kind string
	var diameter, depth, drop, hours, insertion, rate, litres float64
	before := n.bad.Len()
	length := func(to *float64, zero bool, example string) func(node) {
		return func(n node) {
			var v float64
			if zero {
				v, _ = n.quantity(quantity.Length, example)
			} else {
				v, _ = n.positive(quantity.Length, example)
			}
			*to = 1000 * v
		}
	}
	n.table([]field{
		{"kind", func(n node) {
			kinds := map[string]string{}
			for k := range testKeys {
				kinds[k] = k
			}
			kind = choose(n, kinds)
		}},
		{"diameter", length(&diameter, false, "20 cm")},
		{"depth", length(&depth, true, "30 cm")},
		{"drop", length(&drop, false, "4 cm")},
		{"insertion", length(&insertion, true, "5 cm")},
		{"time", func(n node) {
			d, _ := n.duration()
			hours = d.Hours()
		}},
		{"rate", func(n node) { rate, _ = n.positive(quantity.Rate, "45 mm/h") }},
		{"water", func(n node) {
			v, _ := n.positive(func(s string, _ quantity.Units) (float64, error) { return quantity.Volume(s) }, "3.5 l")
			litres = 1000 * v
		}},
	})
	if _, ok := n.value.(map[string]any); !ok {
		return soil.Rate{}, false
	}
	if !n.needs("a test says of which kind it is", "kind") || kind == "" {
		return soil.Rate{}, false
	}
	wanted := fmt.Sprintf("a %s is told by %s", kind, list(testKeys[kind], "and"))
	n.needs(wanted, testKeys[kind]...)
	for _, key := range []string{"diameter", "depth", "drop", "insertion", "time", "rate", "water"} {
		if _, has := n.under(key); has && !slices.Contains(testKeys[kind], key) {
			n.fail("has %s, but %s", key, wanted)
		}
	}
	if n.bad.Len() > before {
		return soil.Rate{}, false
	}
	var test interface {
		Check() error
		Rate() soil.Rate
	}
	switch kind {
	case "percolation hole":
		test = soil.PercolationHole{Diameter: diameter, Depth: depth, Drop: drop, Hours: hours}
	case "auger hole":
		test = soil.AugerHole{Radius: diameter / 2, Start: depth, End: depth - drop, Hours: hours}
	case "single ring":
		test = soil.SingleRing{Steady: rate, Head: depth, Insertion: insertion, Radius: diameter / 2}
	default:
		test = soil.DoubleRing{Diameter: diameter, Litres: litres, Hours: hours}
	}
	if n.failed(test.Check()) {
		return soil.Rate{}, false
	}
	r := test.Rate()
	if bad := (soil.Known{Measured: r.Median}).Check(); len(bad) > 0 {
		n.fail("comes to %.4g mm/h: %v", r.Median, bad[0])
		return soil.Rate{}, false
	}
	return r, true
}
