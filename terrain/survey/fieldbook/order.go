package fieldbook

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/terrain/quantity"
)

// A Measure is what the allowable misclosure grows with the square root of.
type Measure int

const (
	SetUps     Measure = iota // the number of set-ups
	Kilometres                // the length levelled, km
	Miles                     // the length levelled, international miles
)

func (m Measure) String() string { return [...]string{"set-ups", "km", "miles"}[m] }

// An Order is how well levelling has to close: within a constant times the
// square root of the set-ups or of the length levelled.
type Order struct {
	Name   string
	Metres float64 // the constant, m per root of one of the measure
	By     Measure
	Source string
}

const metresInMile = 1609.344

// orders are those known by name, the first of them the usual one.
//
// The constants in millimetres are those for the misclosure of sections in
// Federal Geodetic Control Committee (1984), Standards and Specifications for
// Geodetic Control Networks, section 3.5, from memory; in feet per root of a
// mile (0.012 to 0.1) they were read in a course hand-out and agree with
// these when rounded. That of construction, 5 mm a root of a set-up, is in
// Uren, J., Price, W.F., Surveying for Engineers, chapter on levelling, from
// memory.
var orders = []Order{
	{"construction", 0.005, SetUps, "Uren & Price, Surveying for Engineers (from memory)"},
	{"first I", 0.003, Kilometres, fgcc},
	{"first II", 0.004, Kilometres, fgcc},
	{"second I", 0.006, Kilometres, fgcc},
	{"second II", 0.008, Kilometres, fgcc},
	{"third", 0.012, Kilometres, fgcc},
	{"fourth", 0.024, Kilometres, fgcc},
}

const fgcc = "FGCC 1984, Standards and Specifications for Geodetic Control Networks (mm from memory)"

// ParseOrder reads the name of an order ("third", "construction") or a rule
// of one's own: "10 mm sqrt(n)" for set-ups, "24 mm sqrt(K)" for kilometres,
// "0.05 ft sqrt(M)" for miles.
func ParseOrder(s string) (Order, error) {
	name := strings.Join(strings.Fields(strings.ToLower(s)), " ")
	for _, o := range orders {
		if name == strings.ToLower(o.Name) || name == strings.ToLower(o.Name)+" order" {
			return o, nil
		}
	}
	constant, root, ok := strings.Cut(strings.ReplaceAll(name, "√", "sqrt"), "sqrt")
	by, known := map[string]Measure{
		"n": SetUps, "set-ups": SetUps, "setups": SetUps, "k": Kilometres, "km": Kilometres, "m": Miles, "miles": Miles,
	}[strings.Trim(root, " ()")]
	if ok && known {
		c, err := quantity.Length(strings.Trim(constant, " x*"), quantity.Metric)
		if err == nil && c > 0 && c <= 1 && strings.ContainsAny(constant, "mfni'\"") {
			return Order{strings.TrimSpace(s), c, by, "asked for"}, nil
		}
	}
	var names []string
	for _, o := range orders {
		names = append(names, o.Name)
	}
	return Order{}, fmt.Errorf("%s is not an order of levelling: use %s, or a rule such as 10 mm sqrt(n) for set-ups or 24 mm sqrt(K) for km",
		quote(s), listed(names))
}

// Allowable is the largest misclosure that may be shared out, m, over so many
// set-ups and so many metres.
func (o Order) Allowable(setUps int, metres float64) float64 {
	switch o.By {
	case Kilometres:
		return o.Metres * math.Sqrt(metres/1000)
	case Miles:
		return o.Metres * math.Sqrt(metres/metresInMile)
	}
	return o.Metres * math.Sqrt(float64(setUps))
}

// String is the order with its rule: "third (12 mm √km)".
func (o Order) String() string {
	root := [...]string{"√set-ups", "√km", "√miles"}[o.By]
	return fmt.Sprintf("%s (%.3g mm %s)", o.Name, o.Metres*1000, root)
}
