package fieldbook

import "math"

// Share is how a misclosure is spread.
type Share int

const (
	BySetUps   Share = iota // each set-up takes the same part
	ByDistance              // each set-up takes its part of the length levelled
)

func (s Share) String() string { return [...]string{"set-ups", "distance"}[s] }

// A sight is one reading of the staff.
type sight struct {
	entry *entry
	role  role // backRole, interRole or foreRole
	point int  // of network.pegs
	setUp int  // of network.setUps
}

func (k *sight) reading() float64 { return k.entry.num(k.role) }

// A stand is one set-up of the level and the sights taken from it, the back
// sight first.
type stand struct {
	sights []int
	run    int
	length float64 // back sight and fore sight together, m; 0 where not known
	ref    int     // the sight its height came from; -1 while it has none
	height float64 // of instrument, m, as first carried
	fitted float64 // of instrument, adjusted, m
	sd     float64 // of fitted, m
}

// A peg is a point of the levelling.
type peg struct {
	name    string
	at      place
	fixed   bool    // a benchmark
	turning bool    // sighted back or fore, so that the levelling hangs on it
	level   float64 // known, or as first carried, m
	reached bool    // has a level
	via     int     // the sight that first reached it; -1 for a benchmark
	fitted  float64 // adjusted, m
	sd      float64 // of fitted, m
}

// A run is a line of set-ups, each beginning where the one before it ended.
type run struct {
	sheet  *sheet
	setUps []int
	first  int // peg it starts from
	rows   []*entry
}

// A network is all the levelling of a book.
type network struct {
	bad    *mistakes
	sights []sight
	setUps []stand
	pegs   []peg
	runs   []run
	byKey  map[string]int
	loops  []loop
	mean   float64 // length of a set-up, m

	repeats int // of loops, those of ground shots read twice
}

// peg finds a point by its key, or makes it. A point without a name is a new
// one each time.
func (n *network) peg(key, name string, at place) int {
	if i, ok := n.byKey[key]; ok && key != "" {
		return i
	}
	n.pegs = append(n.pegs, peg{name: name, at: at, via: -1})
	if key != "" {
		n.byKey[key] = len(n.pegs) - 1
	}
	return len(n.pegs) - 1
}

// maxSetUps bounds the adjustment, which grows with the cube of them.
const maxSetUps = 600

// newNetwork follows the level sheets of a book, set-up by set-up.
func newNetwork(b *Book, known map[string]knownLevel, bad *mistakes) *network {
	n := &network{bad: bad, byKey: map[string]int{}}
	for _, s := range b.sheets {
		if s.kind == levelSheet && len(n.setUps) <= maxSetUps {
			n.follow(s)
		}
	}
	if len(n.setUps) > maxSetUps {
		bad.add(place{}, "", "more than %d set-ups in one book; cut it at a benchmark", maxSetUps)
		return n
	}
	for key, i := range n.byKey {
		if k, ok := known[key]; ok {
			n.pegs[i].fixed, n.pegs[i].reached, n.pegs[i].level = true, true, k.level
		}
	}
	n.lengths()
	return n
}

// follow books the sights of one sheet. state tells where the level stands:
// nowhere yet, at a set-up, or on the way from a fore sight to the next.
func (n *network) follow(s *sheet) {
	const (
		nowhere = iota
		standing
		moved
	)
	state, foot := nowhere, -1 // foot: peg of the last fore sight
	before, lost := len(n.bad.all), false
	for i, e := range s.entries {
		back, inter, fore := e.filled(backRole), e.filled(interRole), e.filled(foreRole)
		if !back && !inter && !fore {
			continue // a benchmark listed
		}
		if e.newLoop && state != nowhere {
			if state == standing && fore {
				n.bad.add(e.place, "fs", "a fore sight before a back sight: a loop begins here, and begins with a back sight")
			}
			state = nowhere
		}
		p := -1
		if e.key == "" && state == moved && back && !fore {
			p = foot // the back sight on the next row, onto the same nameless peg
		} else {
			p = n.peg(e.key, e.name, e.place)
		}
		if (inter || fore) && state != standing {
			what := "an intermediate sight"
			if fore {
				what = "a fore sight"
			}
			if !lost { // the sights that follow have the same cause
				n.bad.add(e.place, "", "%s before a back sight; a set-up begins with a back sight onto a known or turning point", what)
			}
			lost = true
			if state == nowhere && fore && !back && (e.filled(knownRole) || i+1 < len(s.entries) && s.entries[i+1].filled(backRole)) {
				n.bad.hint("bs and fs look swapped: the first reading of a set-up, onto a known or turning point, is its back sight")
			}
			continue
		}
		lost = false
		if fore || inter {
			r := foreRole
			if inter {
				r = interRole
			}
			n.sight(e, r, p)
		}
		if fore {
			state, foot = moved, p
		}
		if back {
			switch {
			case state == standing:
				n.bad.add(e.place, "bs", "a second back sight from one set-up; the set-up before needs its fore sight, or book this reading as an intermediate sight")
			case state == nowhere || p != foot:
				n.runs = append(n.runs, run{sheet: s, first: p})
			}
			if len(n.runs) == 0 {
				continue
			}
			r := len(n.runs) - 1
			n.runs[r].setUps = append(n.runs[r].setUps, len(n.setUps))
			n.setUps = append(n.setUps, stand{run: r, ref: -1})
			n.sight(e, backRole, p)
			state = standing
		}
		if r := len(n.runs) - 1; r >= 0 {
			n.runs[r].rows = append(n.runs[r].rows, e)
		}
	}
	if state == nowhere && len(n.bad.all) == before && len(s.entries) > 0 {
		n.bad.add(s.at, "", "a level sheet without a single back sight")
	}
	for i := range n.setUps {
		if k := n.setUps[i].sights; len(k) == 1 && len(n.bad.all) == before && n.runs[n.setUps[i].run].sheet == s {
			n.bad.add(n.sights[k[0]].entry.place, "", "a set-up with a back sight and nothing else; a reading is missing")
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sight books a reading from the last set-up.
func (n *network) sight(e *entry, r role, p int) {
	at := len(n.setUps) - 1
	n.sights = append(n.sights, sight{entry: e, role: r, point: p, setUp: at})
	n.setUps[at].sights = append(n.setUps[at].sights, len(n.sights)-1)
	n.pegs[p].turning = n.pegs[p].turning || r != interRole
}

// fore is the sight a set-up hands on with: its fore sight, or else its last.
func (n *network) fore(i int) *sight {
	k := n.setUps[i].sights
	return &n.sights[k[len(k)-1]]
}

func (n *network) back(i int) *sight { return &n.sights[n.setUps[i].sights[0]] }

// lengths finds how far each set-up carries, from the lengths of its sights,
// from the distances along the run at its ends, or from the usual sight.
func (n *network) lengths() {
	for i := range n.setUps {
		b, f := n.back(i).entry, n.fore(i).entry
		if b.filled(backLengthRole) && f.filled(foreLengthRole) {
			n.setUps[i].length = b.num(backLengthRole) + f.num(foreLengthRole)
		}
	}
	for _, r := range n.runs {
		ends := make([]float64, len(r.setUps)+1) // distance along the run at each turning point
		for j := range ends {
			var e *entry
			if j < len(r.setUps) {
				e = n.back(r.setUps[j]).entry
			} else {
				e = n.fore(r.setUps[j-1]).entry
			}
			ends[j] = math.NaN()
			if e.filled(distanceRole) {
				ends[j] = e.num(distanceRole)
			} else if j > 0 && j < len(r.setUps) { // booked on two rows
				if f := n.fore(r.setUps[j-1]).entry; f.filled(distanceRole) {
					ends[j] = f.num(distanceRole)
				}
			}
		}
		if math.IsNaN(ends[0]) {
			ends[0] = 0
		}
		for lo := 0; lo < len(ends)-1; {
			hi := lo + 1
			for hi < len(ends) && math.IsNaN(ends[hi]) {
				hi++
			}
			if hi == len(ends) {
				break
			}
			step := (ends[hi] - ends[lo]) / float64(hi-lo)
			if step <= 0 {
				n.bad.add(n.fore(r.setUps[hi-1]).entry.place, "distance", "%.1f m does not grow from the %.1f m before it; it is the distance levelled from the start of the line", ends[hi], ends[lo])
			}
			for j := lo; j < hi; j++ {
				if s := &n.setUps[r.setUps[j]]; s.length == 0 {
					s.length = max(step, 0)
				}
			}
			lo = hi
		}
		for _, i := range r.setUps {
			if n.setUps[i].length == 0 {
				n.setUps[i].length = 2 * r.sheet.sight
			}
		}
	}
}
