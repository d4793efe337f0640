package survey

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A Kind is what a breakline runs along.
type Kind string

const (
	Ditch Kind = "ditch" // bottom of a ditch or channel
	Bank  Kind = "bank"  // top or foot of a bank
	Bed   Kind = "bed"   // edge of a bed
	Crown Kind = "crown" // crown or edge of a road or track
	Wall  Kind = "wall"  // a wall or kerb: the ground steps here
	Other Kind = "line"
)

// kindWords are the words and field codes a kind goes by: common practice, no
// source.
var kindWords = []struct {
	kind  Kind
	words []string
}{
	{Ditch, []string{"ditch", "channel", "drain", "swale", "stream", "creek", "flowline", "thalweg", "invert", "db", "fl", "di"}},
	{Bank, []string{"bank", "toe", "top", "tob", "tb", "bb", "slope", "berm", "levee", "dike", "dyke"}},
	{Bed, []string{"bed", "mound", "row", "be"}},
	{Crown, []string{"crown", "road", "track", "lane", "path", "rc", "er", "cl"}},
	{Wall, []string{"wall", "kerb", "curb", "step"}},
}

// KindOf is the kind a word, a field code or a phrase speaks of: "Ditch
// bottom", "DB2", "top of bank". What it does not know is Other.
func KindOf(text string) Kind {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r < 'a' || r > 'z' })
	for _, k := range kindWords {
		for _, w := range words {
			if slices.Contains(k.words, w) || len(w) > 4 && slices.Contains(k.words, strings.TrimSuffix(w, "s")) {
				return k.kind
			}
		}
	}
	return Other
}

// A Breakline is a line across which the ground has no common slope. With
// heights it is where two slopes meet: the surface passes through it and is
// creased there. Without, nothing is known of the ground on it, and the two
// sides may even differ in height.
type Breakline struct {
	Name  string
	Kind  Kind
	Line  orb.LineString // x, y metres, in the system of the shots
	Z     []float64      // height of each vertex, m; nil for none
	Error float64        // one standard deviation of Z, m; 0 where it is not known
	Where string         // for messages: "ditches.geojson, feature 3"; may be empty
}

// called names a line for a message.
func (b *Breakline) called(i int) string {
	switch {
	case b.Name != "" && b.Where != "":
		return fmt.Sprintf("line %s (%s)", quote(b.Name), b.Where)
	case b.Name != "":
		return "line " + quote(b.Name)
	case b.Where != "":
		return "the line of " + b.Where
	}
	return fmt.Sprintf("line %d", i+1)
}

// closed reports whether the line ends where it began.
func (b *Breakline) closed() bool {
	return len(b.Line) > 3 && b.Line[0] == b.Line[len(b.Line)-1]
}

// crossingsShown is how many crossings of lines are told one by one.
const crossingsShown = 20

// CheckLines looks for what makes breaklines unusable: fewer than two
// vertices, heights that do not match them, and lines that cross at different
// heights, more than three times their error apart. All of it is told, each
// crossing with the names of both lines; every error is ErrInput.
func CheckLines(lines []Breakline) error {
	var bad []error
	for i := range lines {
		b := &lines[i]
		if len(b.Line) < 2 {
			bad = append(bad, faultf("%s has %d vertices; at least 2 are needed", b.called(i), len(b.Line)))
		}
		if b.Z != nil && len(b.Z) != len(b.Line) {
			bad = append(bad, faultf("%s has %d heights for %d vertices; one each, or none, is needed", b.called(i), len(b.Z), len(b.Line)))
		}
		for j, p := range b.Line {
			z := 0.0
			if j < len(b.Z) {
				z = b.Z[j]
			}
			if !(math.Abs(p[0]) <= longestDistance && math.Abs(p[1]) <= longestDistance && math.Abs(z) <= longestDistance) {
				bad = append(bad, faultf("%s, vertex %d: x, y and z are %v, %v, %v; numbers of metres are needed", b.called(i), j+1, p[0], p[1], z))
			}
		}
	}
	if bad != nil {
		return errors.Join(bad...)
	}
	found := 0
	eachCrossing(lines, func(a, b piece, at orb.Point) {
		za, okA := a.height(at)
		zb, okB := b.height(at)
		if !okA || !okB {
			return
		}
		p, q := &lines[a.line], &lines[b.line]
		apart := math.Abs(za - zb)
		if apart <= 3*math.Hypot(orElse(p.Error), orElse(q.Error)) {
			return
		}
		if found++; found > crossingsShown {
			return
		}
		text := fmt.Sprintf("%s crosses %s", p.called(a.line), q.called(b.line))
		if a.line == b.line {
			text = p.called(a.line) + " crosses itself"
		}
		bad = append(bad, faultf("%s at %.2f, %.2f, at heights %.3f and %.3f m; one place has one height: mend one, or end it there",
			text, at[0], at[1], za, zb))
	})
	if found > crossingsShown {
		bad = append(bad, faultf("and %d more crossings like these", found-crossingsShown))
	}
	return errors.Join(bad...)
}

func orElse(e float64) float64 { return Shot{Error: e}.errorOr(AssumedError) }

// near reports every line that lies so far from the shots that it must be in
// another system of coordinates.
func near(shots []Shot, lines []Breakline) error {
	box := orb.MultiPoint(places(shots)).Bound()
	far := pad(box, max(10*math.Hypot(box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]), 1000))
	var bad []error
	for i := range lines {
		if b := lines[i].Line.Bound(); !b.Intersects(far) {
			bad = append(bad, faultf("%s lies around %.7g, %.7g and the shots around %.7g, %.7g: is it in the same system, in metres?",
				lines[i].called(i), b.Center()[0], b.Center()[1], box.Center()[0], box.Center()[1]))
		}
	}
	return errors.Join(bad...)
}

// A piece is the part of a line between two vertices.
type piece struct {
	line, part int
	a, b       orb.Point
	za, zb     float64
	high       bool // has heights
}

func (s piece) height(p orb.Point) (float64, bool) {
	t := 0.0
	if l := math.Hypot(s.b[0]-s.a[0], s.b[1]-s.a[1]); l > 0 {
		t = math.Hypot(p[0]-s.a[0], p[1]-s.a[1]) / l
	}
	return s.za + t*(s.zb-s.za), s.high
}

func pieces(lines []Breakline) []piece {
	var all []piece
	for i, l := range lines {
		for j := 1; j < len(l.Line); j++ {
			s := piece{line: i, part: j - 1, a: l.Line[j-1], b: l.Line[j]}
			if l.Z != nil {
				s.za, s.zb, s.high = l.Z[j-1], l.Z[j], true
			}
			all = append(all, s)
		}
	}
	return all
}

// eachCrossing calls f for every two pieces of lines that meet, neighbours on
// one line left out, in the order of the lines. Pieces are swept from west to
// east, so that only those side by side are compared.
func eachCrossing(lines []Breakline, f func(a, b piece, at orb.Point)) {
	all := pieces(lines)
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	west := func(s piece) float64 { return min(s.a[0], s.b[0]) }
	slices.SortFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(west(all[i]), west(all[j])), cmp.Compare(i, j)) })
	type meeting struct {
		i, j int
		at   orb.Point
	}
	var found []meeting
	for k, i := range order {
		s := all[i]
		east := max(s.a[0], s.b[0])
		for _, j := range order[k+1:] {
			u := all[j]
			if west(u) > east {
				break
			}
			if max(s.a[1], s.b[1]) < min(u.a[1], u.b[1]) || max(u.a[1], u.b[1]) < min(s.a[1], s.b[1]) {
				continue
			}
			if s.line == u.line && beside(&lines[s.line], s.part, u.part) {
				continue
			}
			if at, ok := crossing(s, u); ok {
				found = append(found, meeting{min(i, j), max(i, j), at})
			}
		}
	}
	slices.SortFunc(found, func(a, b meeting) int { return cmp.Or(cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j)) })
	for _, m := range found {
		f(all[m.i], all[m.j], m.at)
	}
}

// beside reports whether two parts of a line share a vertex.
func beside(b *Breakline, i, j int) bool {
	i, j = min(i, j), max(i, j)
	return j-i <= 1 || b.closed() && i == 0 && j == len(b.Line)-2
}

// crossing is where two pieces meet, if they do. Of pieces that lie in one
// line it is the middle of what they share.
func crossing(s, u piece) (orb.Point, bool) {
	d1, d2 := terrain.LeftOf(s.a, s.b, u.a), terrain.LeftOf(s.a, s.b, u.b)
	d3, d4 := terrain.LeftOf(u.a, u.b, s.a), terrain.LeftOf(u.a, u.b, s.b)
	if d1 == 0 && d2 == 0 {
		axis := 0
		if math.Abs(s.b[1]-s.a[1]) > math.Abs(s.b[0]-s.a[0]) {
			axis = 1
		}
		ends := []orb.Point{s.a, s.b, u.a, u.b}
		low, high := max(min(s.a[axis], s.b[axis]), min(u.a[axis], u.b[axis])), min(max(s.a[axis], s.b[axis]), max(u.a[axis], u.b[axis]))
		if low > high {
			return orb.Point{}, false
		}
		slices.SortFunc(ends, func(p, q orb.Point) int { return cmp.Compare(p[axis], q[axis]) })
		return orb.Point{(ends[1][0] + ends[2][0]) / 2, (ends[1][1] + ends[2][1]) / 2}, true
	}
	if d1 > 0 == (d2 > 0) && d1 != 0 && d2 != 0 || d3 > 0 == (d4 > 0) && d3 != 0 && d4 != 0 {
		return orb.Point{}, false
	}
	t := d3 / (d3 - d4)
	return orb.Point{s.a[0] + t*(s.b[0]-s.a[0]), s.a[1] + t*(s.b[1]-s.a[1])}, true
}
