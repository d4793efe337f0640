package soil

import "math"

// A Column is soil while it rains, stands under water and rests, one after the
// other. Water in it is kept to the last rounding.
//
// Water that soaked in stands above a front, sharp, with the same content all
// the way. While the supply is below K the content behind the front falls and
// the front moves on: the water redistributes. A burst after that wets a second
// front from the top, into soil wetter than the first front found; where it
// overtakes the first the two are one. After Ogden and Saghafian (1997), with
// the profile rectangular (their factor on the capillary term, between 1 and 2,
// is 1), and no more than two fronts: those that exist when the supply falls
// below K again are made one of the same water and depth.
//
// What the soil held at first stays where it is.
type Column struct {
	soil GreenAmpt
	a, b float64 // exponents of the capillary drive and of the conductivity

	first   float64 // water above the first front, mm
	wetness float64 // effective saturation behind it, 1 where it was soaked
	second  float64 // water above the second front, mm; 0 for none

	substep float64 // the last good step of the redistribution, h
}

// NewColumn is the soil before any rain.
func NewColumn(g GreenAmpt) *Column {
	lambda := g.PoreIndex
	if lambda == 0 {
		lambda = 0.25
	}
	return &Column{soil: g, a: 3 + 1/lambda, b: 3 + 2/lambda, wetness: 1}
}

// Stored is the water that has soaked in, mm.
func (c *Column) Stored() float64 { return c.first + c.second }

// Front is how deep the wetting front has come, mm; 0 before any rain.
func (c *Column) Front() float64 {
	if c.first == 0 {
		return 0
	}
	return c.first / (c.soil.Porosity * (c.wetness - c.soil.Saturation))
}

// room is the water, mm, that the soil can still take.
func (c *Column) room() float64 {
	if c.soil.Depth == 0 {
		return inf
	}
	return max(0, c.soil.Depth*c.soil.Deficit()-c.Stored())
}

// drive is the capillary drive of a front between two saturations, mm: all of
// the suction from the first one up to soaked.
func (c *Column) drive(from, to float64) float64 {
	dry := math.Pow(c.soil.Saturation, c.a)
	if dry >= 1 {
		return 0
	}
	return c.soil.Suction * (math.Pow(to, c.a) - math.Pow(from, c.a)) / (1 - dry)
}

// active is the front that water from the top feeds: how much water is above
// it, its pull, and the water at which it overtakes the front below.
func (c *Column) active(head float64) (water *float64, m, overtakes float64) {
	if c.first == 0 || c.wetness >= 1 {
		return &c.first, c.soil.pull(head), inf
	}
	gap := c.soil.Porosity * (1 - c.wetness)
	return &c.second, (c.drive(c.wetness, 1) + head) * gap, c.Front() * gap
}

// Capacity is how fast water under so much head, mm, would soak in now, mm/h.
// It is +Inf on ground that is dry to the top, and 0 where the soil is full.
func (c *Column) Capacity(head float64) float64 {
	water, m, _ := c.active(head)
	switch {
	case c.room() == 0:
		return 0
	case m <= 0:
		return c.soil.K
	}
	return c.soil.K * (1 + m / *water)
}

// Rain lets so much rain, mm, fall evenly in so many hours, and returns what
// soaks in, mm. The rest leaves at once. No rain is a rest.
func (c *Column) Rain(rain, hours float64) float64 {
	if hours <= 0 {
		return 0
	}
	rate := rain / hours
	if rate <= c.soil.K {
		return c.rest(rain, hours)
	}
	return min(rain, c.wet(rate, 0, hours))
}

// Pond lets water stand so deep, mm, for so many hours, and returns what soaks
// in, mm: water enough must stand there. Head may be 0, a film of water.
func (c *Column) Pond(head, hours float64) float64 {
	if hours <= 0 {
		return 0
	}
	return c.wet(inf, head, hours)
}

// wet feeds the active front at a rate above K for so many hours.
func (c *Column) wet(rate, head, hours float64) float64 {
	soaked := 0.0
	for hours > 0 {
		room := c.room()
		if room == 0 {
			break
		}
		water, m, overtakes := c.active(head)
		end := min(overtakes, *water+room)
		k := c.soil.K
		// Until water ponds everything soaks in; then K t sets the pace.
		ponds := 0.0
		if !math.IsInf(rate, 1) {
			ponds = min(k*m/(rate-k), end)
		}
		from := *water
		if *water < ponds {
			if add := rate * hours; *water+add < ponds {
				*water, hours = *water+add, 0
			} else {
				hours -= (ponds - *water) / rate
				*water = ponds
			}
		}
		if hours > 0 && *water < end {
			full := inf // how long until something else begins
			if !math.IsInf(end, 1) {
				full = effort(*water, end, m) / k
			}
			if full > hours {
				*water, hours = min(end, grow(*water, m, k*hours)), 0
			} else {
				*water, hours = end, hours-full
			}
		}
		moved := *water - from
		soaked += moved
		if c.second >= overtakes {
			c.first, c.second, c.wetness = c.first+c.second, 0, 1
		}
		if moved == 0 {
			break // only rounding is left of the room
		}
	}
	return soaked
}

// rest lets rain no stronger than K fall for so many hours, all of which soaks
// in while there is room, and the water above the front redistribute.
func (c *Column) rest(rain, hours float64) float64 {
	if c.second > 0 {
		front := c.Front()
		c.first, c.second = c.first+c.second, 0
		c.wetness = min(1, c.soil.Saturation+c.first/(c.soil.Porosity*front))
	}
	in := min(rain, c.room())
	if c.first+in == 0 || c.soil.Saturation >= 1 {
		c.first += in
		return in
	}
	c.redistribute(c.first, in/hours, hours)
	c.first += in
	return in
}

// redistribute moves the saturation behind the front through so many hours,
// with water above the front at first and more coming at a rate.
//
// With w = saturation behind the front less that ahead of it, F the water and Z
// = F/(θe w) the depth of the front, Darcy's law at the front gives
//
//	d ln w / dt = (r - K(s) + K(s0) - K G(s0, s)/Z) / F.
//
// While it rains it is integrated over ln F and not over t: the first drops
// change the front as fast as their own growth, ten thousand times in an hour,
// and in ln F that is even. The step is a linearly implicit one of second order
// (ROS2, which stays so with a rough derivative; Verwer et al. 1999, SIAM
// Journal on Scientific Computing 20), its length set by the error.
func (c *Column) redistribute(water, rate, hours float64) {
	g := c.soil
	top := math.Log(1 - g.Saturation)
	still := math.Pow(g.Saturation, c.b)
	// excess is what comes to the front less what passes it, mm/h.
	excess := func(f, u float64) float64 {
		w := math.Exp(min(u, top))
		s := g.Saturation + w
		return rate - g.K*(math.Pow(s, c.b)-still) - g.K*c.drive(g.Saturation, s)*g.Porosity*w/f
	}
	// The least content is that of water reaching all the way down, or nearly
	// nothing where there is no end to it.
	least := func(f float64) float64 {
		if g.Depth == 0 {
			return min(-30, top)
		}
		return min(math.Log(f/(g.Porosity*g.Depth)), top)
	}
	u := math.Log(max(math.SmallestNonzeroFloat64, c.wetness-g.Saturation))
	if rate == 0 {
		u = integrate(0, hours, &c.substep, u,
			func(_, u float64) float64 { return excess(water, u) / water },
			func(_, u float64) float64 { return min(max(u, least(water)), top) })
	} else {
		from := math.Log(water)
		if water == 0 {
			// The first drops spread until they flow on as fast as they come.
			first := 1e-4 * rate * hours
			from = math.Log(first)
			low, high := -60.0, top
			for range 60 {
				if u = (low + high) / 2; excess(first, u) > 0 {
					low = u
				} else {
					high = u
				}
			}
		}
		to := math.Log(water + rate*hours)
		step := min(to-from, 0.25)
		u = integrate(from, to, &step, u,
			func(x, u float64) float64 { return excess(math.Exp(x), u) / rate },
			func(x, u float64) float64 { return min(max(u, least(math.Exp(x))), top) })
	}
	c.wetness = min(1, g.Saturation+math.Exp(u))
	if 1-c.wetness < 1e-9 {
		c.wetness = 1
	}
}

// integrate follows u(x), du/dx = slope, from one x to another, within the
// bounds that hold keeps it to. It begins with the step given, if any, and
// leaves there the last one that was good.
func integrate(x, to float64, step *float64, u float64, slope, hold func(x, u float64) float64) float64 {
	const (
		tolerance = 1e-4 // of ln w: a hundredth of a percent of the content
		gamma     = 1 - math.Sqrt2/2
	)
	least := 1e-9 * (to - x)
	h := to - x
	if *step > 0 {
		h = min(h, *step)
	}
	for x < to {
		last := h >= to-x
		if last {
			h = to - x
		}
		f := slope(x, u)
		bend := min(0, (slope(x, u+1e-6)-f)/1e-6)
		d := 1 / (1 - gamma*h*bend)
		k1 := d * f
		k2 := d * (slope(x+h, u+h*k1) - 2*k1)
		miss := math.Abs(h * (k1 + k2) / 2)
		if miss <= tolerance || h <= least {
			x += h
			if last {
				x = to
			}
			u = hold(x, u+h*(3*k1+k2)/2)
			*step = h
		}
		h = max(least, h*min(5, max(0.2, 0.9*math.Sqrt(tolerance/(miss+1e-12)))))
	}
	return u
}
