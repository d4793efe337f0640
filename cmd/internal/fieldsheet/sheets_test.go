package fieldsheet

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/species"
	"wetfeet/terrain/earthwork"
	"wetfeet/terrain/quantity"

	"github.com/ledongthuc/pdf"
	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A case is a site on a paper.
type sheetCase struct {
	name  string
	r     *assess.Result
	paper plansheet.Paper
}

func cases(t testing.TB) []sheetCase {
	return []sheetCase{
		{"six rows, A4", orchard(t, 6, 20, 2.5, 6, quantity.Metric), plansheet.A4},
		{"six rows, Letter", orchard(t, 6, 20, 2.5, 6, quantity.Feet), plansheet.Letter},
		{"two thousand trees, A4", orchard(t, 30, 68, 7.5, 12, quantity.Metric), plansheet.A4},
		{"two thousand trees, Letter", orchard(t, 30, 68, 7.5, 12, quantity.Feet), plansheet.Letter},
		{"one row", orchard(t, 1, 9, 3, 5, quantity.Metric), plansheet.A4},
	}
}

// lines are the words of each page of a document as another library reads them,
// line by line from the top, pieces from left to right.
func lines(t *testing.T, b []byte) [][]string {
	t.Helper()
	doc, err := pdf.NewReader(bytes.NewReader(b), int64(len(b)))
	require.NoError(t, err)
	var out [][]string
	for n := 1; n <= doc.NumPage(); n++ {
		texts := doc.Page(n).Content().Text
		at := make(map[int][]pdf.Text)
		for _, p := range texts {
			at[int(math.Round(p.Y*10))] = append(at[int(math.Round(p.Y*10))], p)
		}
		keys := make([]int, 0, len(at))
		for k := range at {
			keys = append(keys, k)
		}
		slices.SortFunc(keys, func(a, b int) int { return cmp.Compare(b, a) })
		var page []string
		for _, k := range keys {
			line := at[k]
			slices.SortStableFunc(line, func(a, b pdf.Text) int { return cmp.Compare(a.X, b.X) })
			var words strings.Builder
			for i, p := range line {
				if i > 0 && p.X > line[i-1].X+1e-6 {
					words.WriteString("|")
				}
				words.WriteString(p.S)
			}
			page = append(page, words.String())
		}
		out = append(out, page)
	}
	return out
}

// lowBytes is a text as that library reads it: of a letter above U+00FF it keeps
// the low byte.
func lowBytes(s string) string {
	return strings.Map(func(r rune) rune { return r & 0xff }, s)
}

// The list as it is read out of the PDF holds every stake once, in walking
// order, with what the result says of it.
func TestStakesAreReadBackFromThePDF(t *testing.T) {
	for _, c := range cases(t) {
		t.Run(c.name, func(t *testing.T) {
			var b bytes.Buffer
			require.NoError(t, Write(&b, c.r, c.paper))
			pages := lines(t, b.Bytes())
			var got []string
			stakePages := 0
			for i, page := range pages {
				assert.Contains(t, page[0], fmt.Sprintf("page %d of %d", i+1, len(pages)))
				assert.Contains(t, page[0], "Test & Try (an invented place)")
				if !strings.HasPrefix(page[0], "Stakes") {
					continue
				}
				stakePages++
				assert.Contains(t, strings.Join(page, "\n"), "Stake|Square|", "the heads of the columns on page %d", i+1)
				assert.Contains(t, page[len(page)-1], "Risk|low|moderate|high|severe|unknown", "the legend")
				for _, line := range page {
					if parts := strings.Split(line, "|"); len(parts) >= 6 && slices.Contains([]string{"low", "moderate", "high", "severe", "unknown"}, parts[len(parts)-1]) && parts[0] != "Risk" {
						got = append(got, line)
					}
				}
			}
			assert.Positive(t, stakePages)

			var want []string
			u := c.r.Units
			say := func(tree *assess.Tree, square, along, beside string) {
				mound := "–"
				if tree.OnGround && tree.Advice == "raise" {
					mound = quantity.FormatMound(tree.Mound, u)
				}
				risk := "unknown"
				if tree.OnGround {
					risk = tree.Risk.String()
				}
				parts := []string{tree.ID, square, along, beside, tree.Entry.Name(), mound, risk}
				if square == "" {
					parts = slices.Delete(parts, 1, 2)
				}
				want = append(want, lowBytes(strings.Join(parts, "|")))
			}
			s := compose(c.r, c.paper)
			for k, row := range c.r.Rows {
				for _, i := range row.Trees {
					tree := &c.r.Trees[i]
					say(tree, s.squares.name(tree.Point), quantity.FormatLength(tree.Along, u), "on it")
				}
				n := len(c.r.Trees)
				if k == 0 {
					first, gate, lost := &c.r.Trees[n-3], &c.r.Trees[n-2], &c.r.Trees[n-1]
					require.Equal(t, []string{"first fig", "gate oak", "lost"}, []string{first.ID, gate.ID, lost.ID})
					for _, tree := range []*assess.Tree{first, gate} {
						near, along, offset := nearestRow(c.r.Rows, tree.Point)
						require.Zero(t, near)
						side := " right"
						if offset < 0 {
							side = " left"
						}
						say(tree, s.squares.name(tree.Point), strings.Replace(quantity.FormatLength(along, u), "-", "−", 1), quantity.FormatLength(math.Abs(offset), u)+side)
					}
				}
			}
			say(&c.r.Trees[len(c.r.Trees)-1], "", "off", "the map")
			assert.Equal(t, want, got)
		})
	}
}

// The same result gives the same bytes on any number of threads.
func TestSameBytes(t *testing.T) {
	var first []byte
	for _, n := range []int{1, 4} {
		old := runtime.GOMAXPROCS(n)
		var b bytes.Buffer
		require.NoError(t, Write(&b, orchard(t, 6, 20, 2.5, 6, quantity.Metric), plansheet.A4))
		runtime.GOMAXPROCS(old)
		if first == nil {
			first = b.Bytes()
		}
		assert.True(t, bytes.Equal(first, b.Bytes()))
	}
}

// No word is smaller than ten points, none leaves the margins, none lies on
// another or on a mark.
func TestEveryWordCanBeRead(t *testing.T) {
	require.GreaterOrEqual(t, look.Contrast(look.Print, look.Paper), 7.0, "criterion 1.4.6 of the Web Content Accessibility Guidelines 2.2, for reading in the sun")
	for _, c := range cases(t) {
		t.Run(c.name, func(t *testing.T) {
			s := compose(c.r, c.paper)
			for n, p := range s.pages {
				taken := drafting.Placement{Cell: 20}
				for _, w := range p.written {
					assert.GreaterOrEqual(t, w.size, 10*25.4/72-1e-9, "page %d: %q", n+1, w.text)
					x0, y0, x1, y1 := w.box.Bounds()
					const edge = margin - 1 // tails of letters reach a little lower
					assert.True(t, x0 >= edge && y0 >= edge-2 && x1 <= p.wide-edge && y1 <= p.high-edge, "page %d: %q leaves the page", n+1, w.text)
					box := w.box.Grow(-0.35)
					assert.True(t, taken.Free(box), "page %d: %q lies on another word", n+1, w.text)
					taken.Take(box)
				}
			}
			for _, v := range s.maps {
				if v == s.maps[0] && len(s.maps) > 1 {
					continue // the names of sheets lie over it
				}
				for _, w := range v.page.written {
					for _, i := range v.trees {
						x, y := v.at(c.r.Trees[i].Point)
						if x < v.x0 || x > v.x1 || y < v.y0 || y > v.y1 {
							continue
						}
						radius := symbol(&c.r.Trees[i]).Reach() / 10 * v.radius
						assert.False(t, w.box.Grow(-0.3).Meets(drafting.Box{X: x, Y: y, W: radius, H: radius}), "%q lies on %s", w.text, c.r.Trees[i].ID)
					}
				}
			}
		})
	}
}

// The map is true to the scale it says, every tree is on a sheet where it can be
// told from its neighbour, in the square that the list says.
func TestMapsAreTrue(t *testing.T) {
	for _, c := range cases(t) {
		t.Run(c.name, func(t *testing.T) {
			s := compose(c.r, c.paper)
			wide, high := c.paper.Size()
			told := make(map[int]bool)
			for k, v := range s.maps {
				assert.ElementsMatch(t, []float64{wide, high}, []float64{v.page.wide, v.page.high})
				assert.InDelta(t, 1000/float64(v.scale), v.mm, 1e-12)
				a, b := v.bound().Min, v.bound().Max
				x0, y0 := v.at(a)
				x1, y1 := v.at(b)
				assert.InDelta(t, (b[0]-a[0])*1000/float64(v.scale), x1-x0, 1e-6)
				assert.InDelta(t, (b[1]-a[1])*1000/float64(v.scale), y0-y1, 1e-6)
				if k > 0 || len(s.maps) == 1 {
					for _, i := range v.trees {
						told[i] = true
					}
					assert.GreaterOrEqual(t, s.apart(v.trees)*v.mm, 2.4-1e-9, "trees can be told apart on sheet %d", k)
				}
			}
			for i := range c.r.Trees {
				tree := &c.r.Trees[i]
				if tree.ID == "lost" {
					assert.False(t, told[i])
					assert.Empty(t, s.squares.name(tree.Point))
					continue
				}
				assert.True(t, told[i], "%s is on a sheet", tree.ID)
				col, row := s.squares.cell(tree.Point)
				corner := s.squares.corner(col, row)
				assert.Equal(t, s.squares.letter(col)+fmt.Sprint(row+1), s.squares.name(tree.Point))
				assert.True(t, tree.Point[0] >= corner[0] && tree.Point[0] < corner[0]+s.squares.side && tree.Point[1] > corner[1]-1e-9 && tree.Point[1] <= corner[1]+s.squares.side+1e-9)
			}
		})
	}
}

func TestSquaresAreNamedOnce(t *testing.T) {
	q := squaresOver(orb.Bound{Min: orb.Point{3, 5}, Max: orb.Point{1203, 98}}, 20, []assess.Row{{Name: "A"}, {Name: "b"}, {Name: "Long one"}})
	assert.Equal(t, "C", q.letter(0), "letters that name a row are left out")
	seen := make(map[string]bool)
	for c := range q.cols {
		name := q.letter(c)
		assert.False(t, seen[name], name)
		assert.NotContains(t, name, "I")
		assert.NotContains(t, name, "O")
		seen[name] = true
	}
	assert.Equal(t, "C1", q.name(orb.Point{4, 97}))
	assert.Equal(t, "D5", q.name(orb.Point{25, 5.5}))
	assert.Empty(t, q.name(orb.Point{-1, 50}))
	assert.Empty(t, q.name(orb.Point{math.NaN(), 50}))
}

// The slow way: walking the line in small steps.
func TestBesideAgreesWithWalkingTheLine(t *testing.T) {
	line := orb.LineString{{0, 0}, {30, 0}, {40, 10}, {40, 10}, {40, 50}}
	for _, p := range []orb.Point{{10, 3}, {10, -3}, {35, 2}, {45, 30}, {38, 30}, {30, 4}} {
		along, offset, far := beside(line, p)
		best, at, walked := math.Inf(1), 0.0, 0.0
		for i := 1; i < len(line); i++ {
			a, b := line[i-1], line[i]
			long := math.Hypot(b[0]-a[0], b[1]-a[1])
			for k := range 10001 {
				f := float64(k) / 10000
				if d := math.Hypot(a[0]+f*(b[0]-a[0])-p[0], a[1]+f*(b[1]-a[1])-p[1]); d < best {
					best, at = d, walked+f*long
				}
			}
			walked += long
		}
		assert.InDelta(t, best, far, 0.005, "%v", p)
		assert.InDelta(t, best, math.Abs(offset), 0.005, "%v", p)
		assert.InDelta(t, at, along, 0.01, "%v", p)
	}
	_, right, _ := beside(line, orb.Point{10, -3})
	assert.Equal(t, 3.0, right, "south of a line to the east is on its right")
	along, left, far := beside(line, orb.Point{-4, 3})
	assert.Equal(t, -4.0, along, "before the start")
	assert.Equal(t, -3.0, left)
	assert.Equal(t, 5.0, far)
	assert.Equal(t, "north-west", heading(orb.Point{0, 0}, orb.Point{-1, 1}))
	assert.Equal(t, "north", heading(orb.Point{0, 0}, orb.Point{0, 1}))
}

// Five in a hundred, rounded up, by hand; and the list against counting again.
func TestShoppingList(t *testing.T) {
	for n, want := range map[int]int{0: 0, 1: 1, 19: 1, 20: 1, 21: 2, 40: 2, 41: 3, 100: 5, 101: 6} {
		assert.Equal(t, want, spares(n), "%d", n)
	}
	r := orchard(t, 6, 20, 2.5, 6, quantity.Metric)
	total := 0
	for _, b := range buys(r.Trees) {
		n := 0
		for i := range r.Trees {
			if r.Trees[i].Entry.Name() == b.name {
				n++
			}
		}
		assert.Equal(t, n, b.planned, b.name)
		assert.Equal(t, n+int(math.Ceil(float64(n)/20)), b.total)
		total += n
	}
	assert.Equal(t, len(r.Trees), total)
	assert.Equal(t, 116, stakesFor(98, 6), "98 and twelve for the ends, and six spare")

	// A cone cut off of 1 m above and 2 m below, 0.25 m high, worked by hand:
	// π/3 × 0.25 × (1² + 1 × 0.5 + 0.5²) = 0.4581 m³; loose by a quarter more
	// lost than lies, 0.4581 / 0.75.
	assert.InDelta(t, 0.6109, soil([]earthwork.Placed{{Mound: advise.Mound(0.25)}}), 5e-5)
	// A mound within another takes nothing more.
	two := []earthwork.Placed{{Mound: advise.Mound(0.25)}, {Mound: advise.Mound(0.2)}}
	assert.InDelta(t, 0.6109, soil(two), 2e-3)
	// Rings of 1.2 m less 0.2 m, 8 cm deep: π/4 × (1.44 − 0.04) × 0.08.
	assert.InDelta(t, 8.796, practiceIn(quantity.Metric).mulch(100), 5e-4)

	var b bytes.Buffer
	require.NoError(t, Write(&b, r, plansheet.A4))
	all := ""
	for _, page := range lines(t, b.Bytes()) {
		all += strings.Join(page, "\n") + "\n"
	}
	for _, want := range buys(r.Trees) {
		assert.Contains(t, all, fmt.Sprintf("|%d|%d|%d\n", want.planned, want.spares, want.total))
	}
	for _, caution := range assess.Cautions {
		assert.Contains(t, strings.ReplaceAll(all, "\n", " "), strings.Join(strings.Fields(lowBytes(caution))[:6], " "))
	}
	assert.Contains(t, all, "Acacia inventa: spreads where it is let")
}

// Odds are written no finer than one in ten, names that do not fit stand in full
// below, and a tree planted knowingly says so.
func TestOddsLongNamesAndTrials(t *testing.T) {
	r := orchard(t, 2, 8, 2.5, 6, quantity.Metric)
	r.Odds = &assess.Odds{}
	long := "a plum of a name that is longer than any column of a list has room for"
	for i := range r.Trees {
		tree := &r.Trees[i]
		tree.Draws, tree.Odds = &species.Odds{}, float64(i)/float64(len(r.Trees)-1)
	}
	r.Trees[0].Entry = &species.Entry{Scientific: "Prunus inventa", Common: []string{long}}
	for i := range 2 {
		r.Trees[i].Verdict = species.Verdict{Odds: r.Trees[i].Odds, Advice: "keep"}
	}
	r.Trees[1].Tried, r.Trees[1].Built = true, 0.3
	const table = "A tree at more risk than its odds"
	var told bytes.Buffer
	require.NoError(t, Write(&told, r, plansheet.A4))
	assert.NotContains(t, fmt.Sprint(lines(t, told.Bytes())), table)
	r.Trees[2].ByOdds, r.Trees[2].Odds, r.Trees[2].Risk = true, 0, species.High
	told.Reset()
	require.NoError(t, Write(&told, r, plansheet.A4))
	assert.Contains(t, fmt.Sprint(lines(t, told.Bytes())), table)
	for _, paper := range []plansheet.Paper{plansheet.A4, plansheet.Letter} {
		var b bytes.Buffer
		require.NoError(t, Write(&b, r, paper))
		all := ""
		for _, page := range lines(t, b.Bytes()) {
			all += strings.Join(page, "\n") + "\n"
		}
		assert.Contains(t, all, "\n"+long+"\n", paper)
		assert.Contains(t, all, "|fig|30 cm|low|under 1 in 10\nplanted here knowingly, to see whether it lives\n", paper)
		for i := range r.Trees {
			tree := &r.Trees[i]
			want := "|" + symbol(tree).Name + "|"
			switch p := tree.Odds; {
			case !tree.OnGround:
				want += lowBytes("–")
			case p < 0.1:
				want += "under 1 in 10"
			case p > 0.9:
				want += "over 9 in 10"
			case p > 0.25 && p < 0.3, p > 0.55 && p < 0.6: // just under a higher risk
				want += "nearly " + fmt.Sprint(math.RoundToEven(10*p)) + " in 10"
			default:
				want += fmt.Sprint(math.RoundToEven(10*p)) + " in 10"
			}
			assert.Regexp(t, "(?m)^"+tree.ID+`\|.*`+regexp.QuoteMeta(want)+"$", all)
		}
	}
}

// More trees than paper is for: the flagged alone, and the list says so.
func TestMoreTreesThanPaperIsFor(t *testing.T) {
	r := orchard(t, 2, 8, 2.5, 6, quantity.Metric)
	flagged := 0
	for i := range r.Trees {
		if r.Trees[i].Flagged {
			flagged++
		}
	}
	require.Positive(t, flagged)
	for len(r.Trees) <= mostTrees {
		tree := r.Trees[0]
		tree.ID, tree.Row, tree.Flagged = fmt.Sprint("extra ", len(r.Trees)), "", false
		r.Trees = append(r.Trees, tree)
	}
	s := compose(r, plansheet.A4)
	listed := 0
	for _, g := range s.groups() {
		listed += len(g.stakes)
	}
	assert.Equal(t, flagged, listed)
	assert.Less(t, len(s.pages), 10)
	var text []string
	for _, p := range s.pages {
		for _, w := range p.written {
			text = append(text, w.text)
		}
	}
	assert.Contains(t, strings.Join(text, "\n"), "Of 20001 trees, the flagged\nall stand in stakes.csv")
}
