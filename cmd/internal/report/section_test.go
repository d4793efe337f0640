package report

import (
	"math"
	"strings"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/hydro/storm"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawn are all pictures of a site, of both kinds.
func drawn(t *testing.T, r *assess.Result) (wides, narrows [][]*piece) {
	var sections []rowSection
	full, waters := brim.Full(r.Drain.Hollows), watersOf(r)
	for i := range r.Rows {
		if s, ok := sectionOf(r, &r.Rows[i], full, waters); ok {
			sections = append(sections, s)
		}
	}
	high := relief(sections)
	for i := range sections {
		wides = append(wides, sections[i].pieces(r, wide, high))
		narrows = append(narrows, sections[i].windows(r, narrow, high))
	}
	return wides, narrows
}

func TestEverySection(t *testing.T) {
	for name, r := range sites(t) {
		t.Run(name, func(t *testing.T) {
			wides, narrows := drawn(t, r)
			require.NotEmpty(t, wides)
			for _, row := range append(wides, narrows...) {
				for _, p := range row {
					nothingOverlaps(t, p)
				}
			}
			for _, kind := range [][][]*piece{wides, narrows} {
				named := make(map[int]int)
				for _, row := range kind {
					for _, p := range row {
						assert.Zero(t, p.unplaced)
						for _, l := range p.labels {
							for _, i := range l.trees {
								named[i]++
							}
						}
					}
				}
				for _, row := range r.Rows {
					for _, i := range row.Trees {
						want := 0
						if tree := &r.Trees[i]; tree.OnGround && tree.Flagged {
							want = 1
						}
						assert.Equal(t, want, named[i], "tree %s", r.Trees[i].ID)
					}
				}
			}
		})
	}
}

// nothingOverlaps holds every label against every other, the trees, and the
// line of the water.
func nothingOverlaps(t *testing.T, p *piece) {
	for i, l := range p.labels {
		x0, y0, x1, _ := l.box.Bounds()
		assert.True(t, x0 >= 0 && x1 <= p.width && y0 >= p.top, "%q leaves the picture", l.text)
		for _, m := range p.labels[:i] {
			assert.False(t, l.box.Meets(m.box), "%q lies on %q", l.text, m.text)
			if m.leader != nil {
				assert.False(t, l.box.Meets(*m.leader), "a leader crosses %q", l.text)
			}
			if l.leader != nil {
				assert.False(t, m.box.Meets(*l.leader), "a leader crosses %q", m.text)
			}
		}
		for _, m := range p.marks {
			assert.False(t, l.box.Meets(m.reach), "%q lies on tree %s", l.text, p.result.Trees[m.tree].ID)
		}
		for _, level := range p.Levels {
			for k := p.lo; k < p.hi; k++ {
				if !math.IsNaN(level[k]) && !math.IsNaN(level[k+1]) {
					surface := drafting.Span(p.x(p.Along[k]), p.y(level[k]), p.x(p.Along[k+1]), p.y(level[k+1]), 2)
					assert.False(t, l.box.Meets(surface), "%q is struck by the water", l.text)
				}
			}
		}
		for _, m := range p.times {
			assert.False(t, l.box.Meets(m.box), "%q lies on %q", l.text, m.text)
		}
	}
	for i, l := range p.times {
		x0, _, x1, y1 := l.box.Bounds()
		assert.True(t, x0 >= 0 && x1 <= p.width && y1 <= p.bottom(), "%q leaves the picture", l.text)
		for _, m := range p.times[:i] {
			assert.False(t, l.box.Meets(m.box), "%q lies on %q", l.text, m.text)
		}
		for _, m := range p.marks {
			assert.False(t, l.box.Meets(m.reach), "%q lies on tree %s", l.text, p.result.Trees[m.tree].ID)
		}
	}
	for _, m := range p.marks {
		assert.GreaterOrEqual(t, m.y-p.radius, p.top)
	}
}

// The small picture leaves out only what is not worth looking at.
func TestWindowsShowAllThatMatters(t *testing.T) {
	for name, r := range sites(t) {
		t.Run(name, func(t *testing.T) {
			full, waters := brim.Full(r.Drain.Hollows), watersOf(r)
			for i := range r.Rows {
				s, ok := sectionOf(r, &r.Rows[i], full, waters)
				if !ok {
					continue
				}
				windows := s.windows(r, narrow, relief([]rowSection{s}))
				for k, z := range s.surface() {
					if math.IsNaN(z) {
						continue
					}
					held := 0
					for _, p := range windows {
						if p.lo <= k && k <= p.hi {
							held++
						}
					}
					assert.Positive(t, held, "water at %.1f m", s.Along[k])
				}
				for _, p := range windows {
					looked := len(p.labels) > 0
					for k := p.lo; k <= p.hi; k++ {
						looked = looked || !math.IsNaN(s.surface()[k])
					}
					assert.True(t, looked, "nothing to be looked at from %.1f m", p.from)
				}
				for k := 1; k < len(windows); k++ {
					assert.GreaterOrEqual(t, windows[k].lo, windows[k-1].hi, "nothing is shown twice")
					assert.InEpsilon(t, windows[0].exaggeration(), windows[k].exaggeration(), 0.06, "one scale")
				}
			}
		})
	}
}

func TestSliversAreDropped(t *testing.T) {
	nan := math.NaN()
	s := rowSection{Profile: brim.Profile{
		Along: []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11},
		Soft:  make([]float64, 12),
	}}
	//                 short film          long enough, too thin       a pool
	level := []float64{0.5, nan, nan, 0.001, 0.001, 0.002, 0.001, nan, 0.01, 0.2, 0.1, nan}
	s.dropSlivers(level, 3, 0.004)
	for i, z := range level {
		assert.Equal(t, i >= 8 && i <= 10, !math.IsNaN(z), "sample %d", i)
	}
}

// A level bed is not drawn as hills, and rows share a scale.
func TestReliefIsShared(t *testing.T) {
	assert.Equal(t, leastRelief, relief(nil))
	wides, _ := drawn(t, sites(t)["an orchard"])
	for _, row := range wides {
		assert.InEpsilon(t, wides[0][0].exaggeration(), row[0].exaggeration(), 0.02)
	}
}

// A long hedge is cut into pictures that can be read, and none of its trees is
// lost or drawn twice where they meet.
func TestLongRowsAreDrawnInPieces(t *testing.T) {
	r := sites(t)["a dense hedge"]
	wides, _ := drawn(t, r)
	require.Greater(t, len(wides[0]), 2)
	drawnTrees := make(map[int]int)
	for _, p := range wides[0] {
		assert.LessOrEqual(t, len(p.marks), wide.trees+2)
		for _, m := range p.marks {
			drawnTrees[m.tree]++
		}
	}
	for _, i := range r.Rows[0].Trees {
		assert.Equal(t, 1, drawnTrees[i], "tree %s", r.Trees[i].ID)
	}
	assert.Greater(t, r.Flagged(), 100, "the site tries the labels")
}

// Water falls from moment to moment, what is left of it lies in what was there,
// and each pool says when it is dry: then the level over its floor is that of
// the ground.
func TestSectionsShowTheDryDown(t *testing.T) {
	said := 0
	for name, r := range sites(t) {
		t.Run(name, func(t *testing.T) {
			full, waters := brim.Full(r.Drain.Hollows), watersOf(r)
			for i := range r.Rows {
				s, ok := sectionOf(r, &r.Rows[i], full, waters)
				if !ok {
					continue
				}
				require.Len(t, s.water, len(waters))
				for k := range s.water {
					for j, z := range s.water[k] {
						if math.IsNaN(z) {
							continue
						}
						if k > 0 {
							assert.LessOrEqual(t, z, s.water[k-1][j], "moment %d", k)
						}
						if !math.IsNaN(s.brim[j]) {
							assert.Greater(t, s.brim[j], z, "the brim is drawn over the water or not at all")
						}
					}
				}
				for _, p := range s.pools {
					assert.NotEmpty(t, p.last, "pool from %.1f m", s.Along[p.lo])
					for _, rest := range p.last {
						said++
						assert.Regexp(t, `^(dry after [\d.]+ (h|days)|dry after under 1 h|wet for over 10 days)$`, rest.dry)
						for k := range s.water {
							if after := r.Storm.Shown[k].Hours - 24; strings.HasPrefix(rest.dry, "wet for over") {
								assert.False(t, math.IsNaN(s.water[k][rest.at]), "%s, %v h", rest.dry, after)
							}
						}
					}
				}
			}
		})
	}
	assert.Greater(t, said, 8)
}

// The chord of a hydrograph at a level, by hand.
func TestTimesAboveALevel(t *testing.T) {
	levels := []storm.Point{{Hours: 0, Level: 10}, {Hours: 10, Level: 11}, {Hours: 30, Level: 11}, {Hours: 50, Level: 10.5}, {Hours: 90, Level: 10}, {Hours: 200, Level: 10}}
	for _, tt := range []struct{ z, first, last float64 }{{10.5, 5, 50}, {10.75, 7.5, 40}, {10.25, 2.5, 70}, {10, 0, 90}} {
		last, ever := lastAbove(levels, tt.z)
		assert.True(t, ever)
		assert.InDelta(t, tt.last, last, 1e-9)
		assert.InDelta(t, tt.first, firstAbove(levels, tt.z), 1e-9)
	}
	_, ever := lastAbove(levels, 11)
	assert.False(t, ever)
	last, ever := lastAbove(levels[:4], 10.2)
	assert.True(t, ever && math.IsInf(last, 1), "still wet at the end")
	_, ever = lastAbove(nil, 0)
	assert.False(t, ever)
}
