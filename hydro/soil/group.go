package soil

import (
	"fmt"
	"strings"
)

// A Group is a hydrologic soil group: A soaks up most, D least.
type Group int

// The four groups.
const (
	GroupA Group = iota
	GroupB
	GroupC
	GroupD
)

// String is the letter of the group.
func (g Group) String() string {
	if g < GroupA || g > GroupD {
		return fmt.Sprintf("Group(%d)", int(g))
	}
	return "ABCD"[g : g+1]
}

// ParseGroup reads "A" to "D" in either case. Of a dual group, "A/D", "B/D" or
// "C/D", the first letter holds where the water table is kept down by drains
// and the second where it is not.
func ParseGroup(s string, drained bool) (Group, error) {
	switch t := strings.ToUpper(strings.TrimSpace(s)); t {
	case "A", "B", "C", "D":
		return Group(t[0] - 'A'), nil
	case "A/D", "B/D", "C/D":
		if drained {
			return Group(t[0] - 'A'), nil
		}
		return GroupD, nil
	}
	return 0, fmt.Errorf("%s is not a hydrologic soil group: use A, B, C, D, A/D, B/D or C/D", quote(s))
}

// micrometresPerSecond is one µm/s in mm/h.
const micrometresPerSecond = 3.6

// A Profile says what lies under a soil whose group is asked. The zero value
// is a deep soil.
type Profile struct {
	// Impermeable is the depth of a layer that lets hardly any water pass, m.
	// Zero is none.
	Impermeable float64

	// WaterTable is the depth of the seasonal high water table, m. Zero is
	// none; water at the surface is any small number, such as 0.01.
	WaterTable float64
}

// GroupOf is the group of a soil by the saturated conductivity, mm/h, of its
// least transmissive layer: down to 0.5 m where something stops the water
// between 0.5 m (a water table: 0.6 m) and 1 m, and down to 1 m where nothing
// does. Soil over a layer shallower than 0.5 m or a water table shallower than
// 0.6 m is D.
//
// NEH 630, chapter 7 (2009), table 7-1, recalled; its inch figures agree with
// the thresholds when converted.
func GroupOf(ksat float64, under Profile) Group {
	if under.Impermeable > 0 && under.Impermeable < 0.5 || under.WaterTable > 0 && under.WaterTable < 0.6 {
		return GroupD
	}
	limits := [3]float64{10, 4, 0.40} // µm/s; above the first is A
	if under.Impermeable > 0 && under.Impermeable <= 1 || under.WaterTable > 0 && under.WaterTable <= 1 {
		limits = [3]float64{40, 10, 1}
	}
	for g, limit := range limits {
		if ksat > limit*micrometresPerSecond {
			return Group(g)
		}
	}
	return GroupD
}

// TransmissionRates is between which rates, mm/h, water passes through a soil
// of the group once it is thoroughly wet, by the definition of 1955 that TR-55
// prints in appendix A. The upper end of A is not printed; it is +Inf.
func (g Group) TransmissionRates() (low, high float64) {
	const inch = 25.4
	return [4]float64{0.30 * inch, 0.15 * inch, 0.05 * inch, 0}[g],
		[4]float64{inf, 0.30 * inch, 0.15 * inch, 0.05 * inch}[g]
}
