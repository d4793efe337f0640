package fieldsheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/wording"
	"wetfeet/species"
	"wetfeet/terrain/earthwork"
	"wetfeet/terrain/quantity"
)

// sparesIn100 are bought beyond what is planned; common practice, no source.
const sparesIn100 = 5

// A practice is what is reckoned with where nobody says otherwise, m, in round
// figures of the reader's units. Common practice, no source.
type practice struct {
	wide, deep, clear float64 // of a ring of mulch, across, and around the stem
	above, around     string  // wide and deep, clear in words
}

func practiceIn(u quantity.Units) practice {
	if u == quantity.Feet {
		const foot, inch = 0.3048, 0.0254
		return practice{4 * foot, 3 * inch, 8 * inch, "4 ft across and 3 in deep", "8 in"}
	}
	return practice{1.2, 0.08, 0.2, "1.2 m across and 8 cm deep", "20 cm"}
}

// A buy is one species to be bought.
type buy struct {
	name, scientific       string
	planned, spares, total int
}

// spares are 5 in 100, rounded up.
func spares(n int) int { return (n*sparesIn100 + 99) / 100 }

// buys are the plants by species, in order of their names.
func buys(trees []assess.Tree) []buy {
	n := make(map[string]*buy)
	for i := range trees {
		t := &trees[i]
		b := buy{name: t.Plant()}
		if t.Entry != nil && t.Entry.Scientific != b.name {
			b.scientific = t.Entry.Scientific
		}
		key := b.name + "\x00" + b.scientific
		if n[key] == nil {
			n[key] = &b
		}
		n[key].planned++
	}
	out := make([]buy, 0, len(n))
	for _, b := range n {
		b.spares = spares(b.planned)
		b.total = b.planned + b.spares
		out = append(out, *b)
	}
	slices.SortFunc(out, func(a, b buy) int {
		return cmp.Or(cmp.Compare(strings.ToLower(a.name), strings.ToLower(b.name)), cmp.Compare(a.name, b.name), cmp.Compare(a.scientific, b.scientific))
	})
	return out
}

// soil is the loose soil that mounds take, m³, as advice reckons it: what they
// share is brought once.
func soil(mounds []earthwork.Placed) float64 {
	return earthwork.Loose(earthwork.Volume(mounds), earthwork.Settlement)
}

// mulch is what the rings of so many trees take, m³.
func (p practice) mulch(trees int) float64 {
	return float64(trees) * p.deep * math.Pi / 4 * (p.wide*p.wide - p.clear*p.clear)
}

// stakesFor is one for each tree and one for each end of a row, and spares.
func stakesFor(trees, rows int) int {
	n := trees + 2*rows
	return n + spares(n)
}

// A flow is pages of words and tables from top to bottom.
type flow struct {
	*sheets
	title string
	page  *page
	y     float64 // base line of what was written last, mm
}

func (f *flow) turn() {
	f.page = f.upright(f.title)
	f.y = margin + topHigh - 2
}

// need begins a page where so many millimetres are not left.
func (f *flow) need(high float64) bool {
	if f.page != nil && f.y+high <= f.page.high-margin {
		return false
	}
	f.turn()
	return true
}

func (f *flow) left() float64  { return margin }
func (f *flow) right() float64 { return f.page.wide - margin }

func (f *flow) header(text string) {
	f.need(30)
	f.y += 10
	f.write(f.page, true, rowSize, f.left(), f.y, text)
	f.y += 2.5
	f.page.rule(f.left(), f.y, f.right(), f.y, 0.5)
}

func (f *flow) paragraph(bold bool, text string) {
	wide, _ := f.paper.Size()
	for _, line := range f.face(bold).Wrap(text, textSize, wide-2*margin) {
		f.need(5.5)
		f.y += 5.5
		f.write(f.page, bold, textSize, f.left(), f.y, line)
	}
}

// addShopping adds what to buy and bring.
func (s *sheets) addShopping() {
	f := &flow{sheets: s, title: "What to buy and bring"}
	f.turn()
	f.addPlants()
	f.addMaterial()
}

func (f *flow) addPlants() {
	f.header("Plants")
	planned, spare, total := f.right()-52, f.right()-32, f.right()-12
	head := func() {
		f.y += 6
		f.write(f.page, true, headSize, f.left(), f.y, "Plant")
		f.sheets.right(f.page, true, headSize, planned, f.y, "Planned")
		f.sheets.right(f.page, true, headSize, spare, f.y, "Spare")
		f.sheets.right(f.page, true, headSize, total, f.y, "To get")
		f.y += 2
		f.page.rule(f.left(), f.y, f.right(), f.y, 0.3)
	}
	head()
	row := func(bold bool, name, scientific string, numbers ...int) {
		if f.need(lineHigh) {
			head()
		}
		f.y += 5.4
		room := planned - 16 - f.left()
		w := f.write(f.page, bold, textSize, f.left(), f.y, f.face(bold).Fit(name, textSize, room))
		if rest := room - w - 4; scientific != "" && rest > 12 {
			f.write(f.page, false, textSize, f.left()+w+4, f.y, f.regular.Fit(scientific, textSize, rest))
		}
		for i, x := range [...]float64{planned, spare, total} {
			f.sheets.right(f.page, bold || i == 2, textSize, x, f.y, strconv.Itoa(numbers[i]))
		}
		tick := f.right() - 4.6
		if !bold {
			f.page.box(tick, f.y)
		}
		f.y += lineHigh - 5.4
		f.page.rule(f.left(), f.y, f.right(), f.y, 0.15)
	}
	var sum buy
	for _, b := range buys(f.r.Trees) {
		row(false, b.name, b.scientific, b.planned, b.spares, b.total)
		sum.planned, sum.spares, sum.total = sum.planned+b.planned, sum.spares+b.spares, sum.total+b.total
	}
	row(true, "All", "", sum.planned, sum.spares, sum.total)
	f.y += 1.5
	f.paragraph(false, "Spare plants are 5 in 100 of each kind, rounded up: common practice, no source.")
	if slices.ContainsFunc(f.r.Trees, func(t assess.Tree) bool { return t.Flagged && len(t.Swaps) > 0 }) {
		f.paragraph(true, "The numbers are of the plan as it is. Take the swaps that the stake list advises, or leave them, before you order.")
	}
}

func (f *flow) addMaterial() {
	f.header("Soil, mulch and stakes")
	item := func(what, much, how string) {
		wide := f.right() - f.left() - 62
		lines := f.regular.Wrap(how, headSize, wide)
		high := max(lineHigh, 2.6+4.8*float64(len(lines)))
		f.need(high)
		f.write(f.page, true, textSize, f.left(), f.y+5.2, what)
		f.sheets.right(f.page, true, textSize, f.left()+56, f.y+5.2, much)
		for i, line := range lines {
			f.write(f.page, false, headSize, f.left()+62, f.y+5.2+4.8*float64(i), line)
		}
		f.y += high
		f.page.rule(f.left(), f.y, f.right(), f.y, 0.15)
	}
	u := f.r.Units
	usual := practiceIn(u)
	height := func(m float64) string { return quantity.FormatMound(m, u) }
	var heights []float64
	var mounds []earthwork.Placed
	for i := range f.r.Trees {
		t := &f.r.Trees[i]
		if h := t.MoundToBuild(); h > 0 {
			heights = append(heights, h)
			mounds = append(mounds, earthwork.Placed{Mound: advise.Mound(h), At: t.Point})
		}
	}
	if len(heights) > 0 {
		slices.Sort(heights)
		item("Soil, loose", quantity.FormatVolume(soil(mounds), u), fmt.Sprintf(
			"for %s, %s across the top, sides %d across for 1 up; it settles by %.0f in 100. %s.",
			wording.Count(len(heights), "mound"), quantity.FormatDistance(mounds[0].Top, u), earthwork.SideSlope, 100*earthwork.Settlement, heightsWords(heights, height)))
	} else {
		item("Soil, loose", "none", "No mound is planned or advised.")
	}
	item("Mulch", quantity.FormatVolume(usual.mulch(len(f.r.Trees)), u), fmt.Sprintf(
		"for %s: rings %s, %s clear around the stem.",
		wording.Count(len(f.r.Trees), "plant"), usual.above, usual.around))
	n := len(f.r.Trees) + 2*len(f.r.Rows)
	item("Stakes", strconv.Itoa(stakesFor(len(f.r.Trees), len(f.r.Rows))), fmt.Sprintf(
		"one a plant and one at each end of %s, and %d spare.", wording.Count(len(f.r.Rows), "row"), spares(n)))
	longest := 0.0
	for _, row := range f.r.Rows {
		longest = max(longest, row.Length)
	}
	if longest > 0 {
		item("Tape and string", quantity.FormatLength(longest, u), "the longest row; hold the tape level, not along a slope.")
	}
	f.y += 1.5
	f.paragraph(false, "Measures of mounds, settling, mulch and spares are common practice, no source; soil that mounds share is counted once.")
}

// heightsWords counts mounds by their height as it is written.
func heightsWords(heights []float64, height func(float64) string) string {
	var words []string
	var counts []int
	for _, h := range heights {
		if w := height(h); len(words) == 0 || words[len(words)-1] != w {
			words, counts = append(words, w), append(counts, 0)
		}
		counts[len(counts)-1]++
	}
	text := ""
	for i, w := range words {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%d of %s", counts[i], w)
	}
	return "Once settled: " + text
}

// addCautions adds what to do first and what to heed.
func (s *sheets) addCautions() {
	f := &flow{sheets: s, title: "Do first, and cautions"}
	f.turn()
	f.list("Do first", true, s.r.First())
	f.list("Before you dig, plant or drain", true, assess.Cautions)
	var spread []string
	for _, e := range s.r.Species {
		if e.Invasive != "" {
			spread = append(spread, e.Label()+": "+e.Invasive)
		}
	}
	if len(spread) > 0 {
		f.list("Plants that can spread", false, spread)
	}
	says := []string{s.r.Lead()}
	if s.r.Storm != nil {
		says = append(append(says, s.r.Storm.Words(s.r.Units)), s.r.ConditionsWords()...)
	}
	if s.r.Odds != nil {
		says = append(says, "Odds of loss count the doubt in the ground, the soil and what a tree bears; they are no finer than one in ten.")
	}
	if slices.ContainsFunc(s.r.Trees, func(t assess.Tree) bool { return t.ByOdds && t.Risk > species.RiskOf(t.Odds) }) {
		says = append(says, "A tree at more risk than its odds of loss would make it stands nearer to the water table of the wet season than it bears.")
	}
	f.list("What the sheets say and do not say", false, append(says,
		"Risk is how likely a tree is to be lost or stunted by water where it is planned, in the storm and the years it was given, on the ground as it was measured.",
		"A satellite receiver or a telephone leads to the row, the tape to the stake: walk with both.",
	))
}

// list writes texts under one another, with boxes to tick or with dots.
func (f *flow) list(title string, tick bool, texts []string) {
	f.header(title)
	f.y += 1.5
	for _, text := range texts {
		lines := f.regular.Wrap(text, textSize, f.right()-f.left()-7)
		f.need(5.2*float64(min(len(lines), 8)) + 2)
		if tick {
			f.page.box(f.left(), f.y+5.2)
		} else {
			f.page.dot(f.left()+2.1, f.y+5.2-1.3)
		}
		for _, line := range lines {
			f.need(5.2)
			f.y += 5.2
			f.write(f.page, false, textSize, f.left()+7, f.y, line)
		}
		f.y += 2.4
	}
}
