package species

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
)

// maxSwaps is how many swaps a verdict names.
const maxSwaps = 3

// likeSize is how unlike in height and spacing, as the sum of two logarithms,
// a swap may be and still fit the row: half as much again in each. Common
// practice, no source.
const likeSize = 0.8 // about 2 × log 1.5

// sharedZones is the least part of the hardiness zones of a species that its
// swap must share: the zone of the site is not known, so the swap should live
// in most places where the species does. Common practice, no source.
const sharedZones = 0.5

// swaps is the species that could stand on the spot in place of e, best
// first. Each bears the spot (its risk there is low, or moderate where e's is
// higher, as it always is when e is flagged), shares the layer or a use, shares
// hardiness with e and with all that is planned, and is not under an invasive
// caution unless e is.
//
// Better is: more of the role; of a like size, so that it fits the row; planned
// on the site; lower risk; nearer in height and spacing; by name.
func (t *Table) swaps(e *Entry, planned []*Entry, risk func(*Entry) Risk) []*Entry {
	climate, known := e.zones()
	for _, p := range planned {
		if z, ok := p.zones(); ok && known {
			if common, some := climate.overlap(z); some {
				climate = common
			}
		}
	}
	type candidate struct {
		*Entry
		planned bool
		role    int
		risk    Risk
		unlike  float64
	}
	var all []candidate
	for _, c := range t.entries {
		role := role(e, c)
		if c.Scientific == e.Scientific || role == 0 || c.Invasive != "" && e.Invasive == "" {
			continue
		}
		here := slices.ContainsFunc(planned, func(p *Entry) bool { return p.Scientific == c.Scientific })
		if z, ok := c.zones(); !here && !(ok && known && climate.share(z) >= sharedZones) {
			continue
		}
		risk := risk(c)
		if risk > Moderate {
			continue
		}
		all = append(all, candidate{c, here, role, risk, unlike(e.Height, c.Height) + unlike(e.Spacing, c.Spacing)})
	}
	slices.SortFunc(all, func(a, b candidate) int {
		return cmp.Or(
			cmp.Compare(b.role, a.role),
			trueFirst(a.unlike <= likeSize, b.unlike <= likeSize),
			trueFirst(a.planned, b.planned),
			cmp.Compare(a.risk, b.risk),
			cmp.Compare(a.unlike, b.unlike),
			strings.Compare(a.Scientific, b.Scientific),
		)
	})
	var best []*Entry
	for _, c := range all[:min(len(all), maxSwaps)] {
		best = append(best, c.Entry)
	}
	return best
}

func trueFirst(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

// role counts what b has of the part a plays: one for the layer, one for a
// use in common, and two more if that is the use a is mainly grown for. Who
// plants for nuts or fruit gives up the layer before the crop; common
// practice, no source.
func role(a, b *Entry) int {
	n := 0
	if a.Stratum != "" && a.Stratum == b.Stratum {
		n++
	}
	for i, u := range a.Uses {
		if slices.ContainsFunc(b.Uses, func(v string) bool { return kin(u) == kin(v) }) {
			n++
			if i == 0 {
				n += 2
			}
			break
		}
	}
	return n
}

// kin counts nuts as fruit: both are a crop to pick. Common practice.
func kin(use string) string {
	if use == "nut" {
		return "fruit"
	}
	return use
}

// unlike is how many times larger one size is than the other, as a
// logarithm; a size that is not known is as unlike as three times.
func unlike(a, b *Range) float64 {
	if a == nil || b == nil || a.Likely <= 0 || b.Likely <= 0 {
		return math.Log(3)
	}
	return math.Abs(math.Log(a.Likely / b.Likely))
}

// A span of hardiness zones, in half zones: 1a is 0, 13b is 25.
type span struct{ cold, warm int }

const coldest, warmest = 0, 25

// zones reads the hardiness of the entry, such as "5b-9", "8" or "annual",
// which is at home everywhere.
func (e *Entry) zones() (span, bool) { return readZones(e.Hardiness) }

func readZones(s string) (span, bool) {
	if s == "annual" {
		return span{coldest, warmest}, true
	}
	low, high, two := strings.Cut(s, "-")
	if !two {
		high = low
	}
	cold, okCold := halfZone(low, 0)
	warm, okWarm := halfZone(high, 1)
	return span{cold, warm}, okCold && okWarm && cold <= warm
}

// halfZone counts half zones; a whole zone stands for the half given.
func halfZone(s string, half int) (int, bool) {
	switch {
	case strings.HasSuffix(s, "a"):
		s, half = s[:len(s)-1], 0
	case strings.HasSuffix(s, "b"):
		s, half = s[:len(s)-1], 1
	}
	n, err := strconv.Atoi(s)
	return 2*(n-1) + half, err == nil && n >= 1 && n <= 13
}

// overlap is what two spans have in common.
func (a span) overlap(b span) (span, bool) {
	c := span{max(a.cold, b.cold), min(a.warm, b.warm)}
	return c, c.cold <= c.warm
}

// share is the part of a that b covers.
func (a span) share(b span) float64 {
	c, ok := a.overlap(b)
	if !ok {
		return 0
	}
	return float64(c.warm-c.cold+1) / float64(a.warm-a.cold+1)
}
