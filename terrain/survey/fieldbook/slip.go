package fieldbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// slip names the mistake people make that would change a reading by so much,
// within a tolerance, and what it costs to believe in: less for slips that
// only those figures allow than for round ones, which fit any reading, and
// most where there is none. Common practice, no source.
func (n *network) slip(k int, change, tolerance float64) (string, float64) {
	const (
		particular = 0.5
		round      = 1.0
		nothing    = 3.0
	)
	s := n.sights[k]
	typed := s.entry.cell(s.role)
	best, cost := "", nothing
	consider := func(size, price float64, format string, args ...any) {
		off := math.Abs(change - size)
		if off > tolerance || math.Abs(size) < 2*tolerance {
			return
		}
		if c := price + off/tolerance/2; c < cost {
			best, cost = fmt.Sprintf(format, args...), c
		}
	}
	reading := s.reading()
	if v, text := digitsOf(typed); text != "" {
		unit := reading / v
		for i := 0; i+1 < len(text); i++ {
			for j := i + 1; j < min(len(text), i+3); j++ { // neighbours, also across the point
				if text[i] == text[j] || text[i] == '.' || text[j] == '.' || j == i+2 && text[i+1] != '.' {
					continue
				}
				swapped := []byte(text)
				swapped[i], swapped[j] = swapped[j], swapped[i]
				w, _ := strconv.ParseFloat(string(swapped), 64)
				consider((w-v)*unit, particular, "two digits exchanged, %s for %s?", text, swapped)
			}
			for _, pair := range []string{"69", "38", "17"} {
				if at := strings.IndexByte(pair, text[i]); at >= 0 {
					other := []byte(text)
					other[i] = pair[1-at]
					w, _ := strconv.ParseFloat(string(other), 64)
					consider((w-v)*unit, particular+0.3, "a %c read as %c, %s for %s?", pair[1-at], text[i], text, other)
				}
			}
		}
	}
	feet := reading / 0.3048
	whole := math.Floor(feet)
	switch rest := feet - whole; {
	case typed.unit == "in" && rest*12 < 10:
		consider((whole+rest*1.2)*0.3048-reading, particular, "feet and tenths written as feet and inches?")
	case typed.unit == "ft" || typed.unit == "usft":
		consider((whole+rest/1.2)*0.3048-reading, particular, "feet and inches written as feet and tenths?")
		consider(feet-reading, particular+0.3, "metres written as feet?")
	case typed.unit == "m":
		consider(reading*0.3048-reading, particular+0.3, "feet written as metres?")
	}
	if b, f := n.back(s.setUp), n.fore(s.setUp); s.role != interRole && b != f {
		// Exchanging the two changes each by their difference, which the loop
		// sees as twice that in one of them.
		sign := map[role]float64{backRole: 1, foreRole: -1}[s.role]
		consider(2*sign*(f.reading()-b.reading()), particular, "back sight and fore sight of the set-up exchanged?")
	}
	for _, r := range roundSlips(inFeet(typed.unit)) {
		size := math.Copysign(r.metres, change)
		near := math.Abs(math.Remainder(reading/r.metres, 1)) // misread most easily beside the figure
		consider(size, round+near, "%s: a staff misread by one %s?", r.text, r.what)
	}
	return best, cost
}

type roundSlip struct {
	metres     float64
	text, what string
}

func roundSlips(feet bool) []roundSlip {
	if feet {
		return []roundSlip{{0.3048, "a round foot", "foot"}, {0.6096, "a round two feet", "mark and its neighbour"},
			{0.03048, "a round tenth of a foot", "tenth"}, {0.0254, "a round inch", "inch"}, {1.524, "a round five feet", "piece of the staff"}}
	}
	return []roundSlip{{1, "a round metre", "metre"}, {2, "a round two metres", "pair of metres"},
		{0.1, "a round decimetre", "decimetre"}, {0.5, "a round half metre", "half metre"}, {0.01, "a round centimetre", "centimetre"}}
}

// digitsOf is the number of a reading typed as plain digits, and its text;
// empty for feet and inches and fractions.
func digitsOf(v value) (float64, string) {
	text := strings.ReplaceAll(strings.TrimSpace(strings.TrimRight(strings.ToLower(v.text), "mcftus. ")), ",", ".")
	if text == "" || len(text) > 12 || strings.Trim(text, "0123456789.") != "" {
		return 0, ""
	}
	number, err := strconv.ParseFloat(text, 64)
	if err != nil || number == 0 {
		return 0, ""
	}
	return number, text
}
