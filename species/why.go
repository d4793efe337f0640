package species

import (
	"fmt"
	"math"
	"strings"
)

// why says in one sentence what the spot is and what the species bears: of
// water, water table and ground the one that makes the risk.
func (s Spot) why(e *Entry, opts JudgeOptions) string {
	x, c, length := s.stress(), opts.Conditions, opts.Length
	water, table, ground := e.waterRisk(x, c), e.tableRisk(x.table), e.groundRisk(x.ground)
	switch {
	case x.depth+x.storm+x.season > 0 && water >= max(table, ground):
		return s.whyWater(e, x, opts)
	case table > Low && table >= ground:
		return whyTable(e, x.table, opts)
	case x.ground == wet:
		near := ""
		if s.HeightAboveWater > 0 {
			near = fmt.Sprintf(" and lies only %s above the water it drains to", length(s.HeightAboveWater))
		}
		return fmt.Sprintf("The ground here is among the wettest twentieth of the site, where water gathers and is slow to leave%s; %s.", near, e.bearing(opts))
	}
	return s.whyDry(e, x, opts)
}

// bearing is what a tree of the species bears, as a clause.
func (e *Entry) bearing(opts JudgeOptions) string {
	who := e.Name()
	if how := opts.Conditions.words(opts.Degrees); how != "" {
		who += " " + how
	}
	return fmt.Sprintf("%s bears about %s", who, lasting(e.planted(opts.Conditions).Likely))
}

// words are the conditions as they stand behind the name of a tree; empty for
// an established one in warm soil.
func (c Conditions) words(degrees func(float64) string) string {
	var all []string
	switch {
	case !(c.Years > 0):
		all = append(all, "newly planted")
	case c.Years < grownFrom:
		all = append(all, "not long planted")
	}
	if c.Dormant {
		all = append(all, "at rest")
	}
	if c.Soil != nil {
		all = append(all, "in soil of "+degrees(*c.Soil))
	}
	if c.Moving {
		all = append(all, "in moving water")
	}
	if c.Rot {
		all = append(all, "with root rot in the soil")
	}
	return strings.Join(all, ", ")
}

func (s Spot) whyWater(e *Entry, x stress, opts JudgeOptions) string {
	var b strings.Builder
	length := opts.Length
	stands := ""
	if x.depth > 0 {
		stands = fmt.Sprintf("stands in %s of water after this storm%s", length(x.depth), s.remark(e.grown(opts.Conditions), e, x.depth, length))
	}
	switch year := x.year(e); {
	case year/e.hour(opts.Conditions) > x.storm:
		fmt.Fprintf(&b, "In the median year the roots here stay wet for about %s on end", lasting(x.season))
		if x.counts != nil && lasting(year) != lasting(x.season) {
			fmt.Fprintf(&b, ", which counts as %s in leaf in soil of %s", lasting(year), opts.Degrees(referenceSoil))
		}
		opts.Conditions = opts.Conditions.ofYears() // those of the storm are not those of the year
		if stands != "" {
			b.WriteString(", and the spot " + stands)
		}
	case stands == "":
		fmt.Fprintf(&b, "The roots here stay wet for about %s after this storm", lasting(x.storm))
	default:
		b.WriteString("This spot " + stands)
		if x.storm > 0 {
			if strings.Contains(stands, ",") {
				b.WriteString(",")
			}
			fmt.Fprintf(&b, " and its roots stay wet for about %s", lasting(x.storm))
		}
	}
	return b.String() + "; " + e.bearing(opts) + "."
}

// ofYears is the conditions without those of the storm.
func (c Conditions) ofYears() Conditions {
	c.Soil, c.Dormant, c.Moving = nil, false, false
	return c
}

// remark says of a depth what makes it more, or less, than its days.
func (s Spot) remark(t Tolerance, e *Entry, depth float64, length func(float64) string) string {
	if deep := t.remark(e, depth, length); deep != "" && depth > t.Depth {
		return deep
	}
	switch {
	case depth <= s.film():
		return ", about as little as can be told from none"
	}
	return ""
}

func whyTable(e *Entry, table float64, opts JudgeOptions) string {
	length := opts.Length
	at := "comes up to the surface"
	if table > 0 {
		at = fmt.Sprintf("comes within %s of the surface", length(table))
	}
	wants := e.bearing(opts) + " of wet roots"
	if e.WaterTable != nil {
		wants = fmt.Sprintf("%s wants it %s down or deeper", e.Name(), length(e.WaterTable.Low))
	}
	return fmt.Sprintf("In the wet season the water table %s here; %s.", at, wants)
}

func (s Spot) whyDry(e *Entry, x stress, opts JudgeOptions) string {
	length := opts.Length
	none := "No water is expected to stand here"
	switch {
	case x.depth+x.storm+x.season > 0:
		none = "The water here is soon gone"
	case math.IsNaN(s.StormDepth):
		none = "No storm was assessed here"
	case !s.InHollow && s.BrimDepth > s.film()/2:
		none = fmt.Sprintf("The dip of %s here is no more than the error of the ground makes", length(s.BrimDepth))
	case s.InHollow && s.BrimDepth > s.film():
		none += fmt.Sprintf(", where a full hollow would hold %s", length(s.BrimDepth))
	}
	switch {
	case x.ground == damp:
		return none + ", though the ground is among the wettest fifth of the site; " + e.bearing(opts) + "."
	case s.WetnessPercentile >= dampPercentile:
		return fmt.Sprintf("%s, and the ground, though among the wettest fifth of the site, lies %s above the water it drains to.", none, length(s.HeightAboveWater))
	}
	return none + ", and the ground is not among the wettest fifth of the site."
}

// lasting writes a time given in days as people say it.
func lasting(days float64) string {
	switch {
	case days < 1.5/24:
		return "an hour"
	case days < 9.5/24:
		return fmt.Sprintf("%.0f hours", days*24)
	case days < 0.75:
		return "half a day"
	case days < 1.25:
		return "a day"
	case days < 1.75:
		return "a day and a half"
	case days < 13.5:
		return fmt.Sprintf("%.0f days", days)
	case days < 59.5:
		return fmt.Sprintf("%.0f weeks", days/7)
	case days < 345:
		return fmt.Sprintf("%.0f months", days/30)
	}
	return "a whole year"
}
