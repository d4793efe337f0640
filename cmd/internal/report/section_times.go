package report

import (
	"fmt"
	"html"
	"math"
	"strings"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain/quantity"
)

// A timeLabel says at a pool when it is dry, or of a water line after how many
// days it is there.
type timeLabel struct {
	text   string
	box    drafting.Box
	onLine bool       // stands on a water line, which it breaks
	stalk  [2]float64 // from the ground down to the label, y; equal for none
	x      float64    // of the stalk
}

// small is the size of those words.
func (p *piece) small() float64 { return 0.9 * p.text }

// bottom is where the soil ends.
func (p *piece) bottom() float64 { return p.high + p.sole }

// layDryTimes writes below the ground when each pool is dry. The soil grows as
// deep as that takes.
func (p *piece) layDryTimes() {
	const most = 3 // lines of words
	line := 1.25 * p.small()
	taken := drafting.Placement{Cell: 60}
	edges := drafting.Placement{Cell: 60} // of gaps, kept clear of where there is room
	for _, g := range p.row.Gaps {
		for _, at := range g {
			edges.Take(drafting.Box{X: p.x(at), Y: p.high + most*line, W: 2, H: 2 * most * line})
		}
		if from, to := max(g[0], p.from), min(g[1], p.to); from < to {
			taken.Take(drafting.Box{X: (p.x(from) + p.x(to)) / 2, Y: p.high + most*line, W: wordWide("gap", p.text) / 2, H: 2 * most * line})
		}
	}
	for _, pool := range p.pools {
		for _, rest := range pool.last {
			if rest.at >= p.lo && rest.at <= p.hi {
				_ = p.layDryTime(rest, &taken, &edges, line, most) || p.layDryTime(rest, &taken, new(drafting.Placement{Cell: 60}), line, most)
			}
		}
	}
}

func (p *piece) layDryTime(rest rest, taken, edges *drafting.Placement, line float64, most int) bool {
	x := p.x(p.Along[rest.at])
	w := wordWide(rest.dry, p.small()) / 2
	for k := range most {
		for _, aside := range [...]float64{0, 0.2, -0.2, 0.4, -0.4, 0.6, -0.6, 0.8, -0.8} {
			b := drafting.Box{X: x + aside*w, Y: p.high + 4 + (float64(k)+0.5)*line, W: w, H: line/2 - 0.5}
			b.X = max(min(b.X, p.width-w-2), w+2)
			if !taken.Free(b) || !edges.Free(b) {
				continue
			}
			taken.Take(b)
			stalk := drafting.Span(x, p.high, x, b.Y-b.H, 2)
			taken.Take(stalk)
			p.sole = max(p.sole, b.Y+line/2+3-p.high)
			p.times = append(p.times, timeLabel{text: rest.dry, box: b, x: x, stalk: [2]float64{p.y(p.Soft[rest.at]) + 2, b.Y - 0.5*p.small()}})
			return true
		}
	}
	return false
}

// layMoments puts the day to each water line that has room for it, as near to
// its right end as can be, where the lines of other days are apart.
func (p *piece) layMoments() {
	for k := 1; k < len(p.water); k++ {
		level := p.water[k]
		text := dayWord(p.result.Storm.Shown[k].Hours - rainEnds(p.result))
		w, h := wordWide(text, p.small())/2-2, 0.42*p.small()
		p.runs(p.lo, p.hi, func(i int) bool { return !math.IsNaN(level[i]) }, func(lo, hi int) {
			from, to := p.x(p.Along[lo]), p.x(p.Along[hi])
			for x := to - w - 4; x-w-4 >= from; x -= 3 {
				i := lo + int(math.Round((x-from)/(to-from)*float64(hi-lo)))
				b := drafting.Box{X: x, Y: p.y(level[i]), W: w, H: h}
				if p.solid.Free(b.Grow(1)) && level[i]-p.Soft[i] > 0 {
					p.solid.Take(b)
					p.times = append(p.times, timeLabel{text: text, box: b, onLine: true})
					return
				}
			}
		})
	}
}

// dayWord is a number of days as short as can be.
func dayWord(hours float64) string { return fmt.Sprintf("%.3g d", hours/24) }

// tell writes the labels of time.
func (d *picture) tell() {
	for _, l := range d.times {
		halo := ""
		if l.onLine {
			halo = fmt.Sprintf(` stroke="%s" stroke-width="4" stroke-linejoin="round" paint-order="stroke"`, look.Hex(look.Paper))
		} else if l.stalk[1]-l.stalk[0] > 2 {
			fmt.Fprintf(&d.b, `<path d="M%.1f %.1fV%.1f" stroke="%s" stroke-width="1"/>`, l.x, l.stalk[0], l.stalk[1], quiet)
		}
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%.1f" text-anchor="middle" font-size="%.1f" fill="%s"%s>%s</text>`,
			l.box.X, l.box.Y+0.36*d.small(), d.small(), look.Hex(look.Shore), halo, html.EscapeString(l.text))
	}
}

// describe says in words what water a piece shows, for readers that speak.
func (p *piece) describe() string {
	var parts []string
	for _, pool := range p.pools {
		if pool.hi < p.lo || pool.lo > p.hi {
			continue
		}
		s := fmt.Sprintf("From %s to %s along the row up to %s of water %s",
			quantity.FormatDistance(p.Along[pool.lo], p.result.Units), quantity.FormatDistance(p.Along[pool.hi], p.result.Units), quantity.FormatDepth(pool.depth, p.result.Units), p.first())
		for k, rest := range pool.last {
			if s += ", "; k > 0 {
				s += "and at " + quantity.FormatDistance(p.Along[rest.at], p.result.Units) + " "
			}
			s += rest.dry
		}
		parts = append(parts, s+".")
	}
	if len(parts) == 0 {
		return "No water stands along it " + p.first() + "."
	}
	return strings.Join(parts, " ")
}

// first is the moment whose water is shown first, in words.
func (p *piece) first() string {
	if p.result.Storm == nil || len(p.result.Storm.Shown) == 0 {
		return "when the rain ends"
	}
	return p.result.Storm.Shown[0].Name
}
