package arrange

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// ErrInput marks what is wrong with a problem.
var ErrInput = errors.New("the plants cannot be arranged so")

// None stands for no species.
const None = -1

// A Problem is the plants and the positions they are to go to.
type Problem struct {
	Loss  [][]float64 // by species and position: what it is expected to lose there
	Count []int       // plants of each species; together as many as there are positions
	Fixed []int       // by position: the species that stays there, or None; nil for none
	Row   []int       // by position: the row it is in; nil for a single row
	Along []float64   // by position: how far along its row, m; nil for the order given, a metre apart

	// Planned is, by position, the species that the plan has there. It is what
	// the gain is counted from, and of equal arrangements the nearest to it is
	// taken. Nil plants the species one after the other in the order of rows.
	Planned []int

	Emergent        []bool  // by species; nil for none
	EmergentSpacing float64 // least distance between emergents of a row, m; 0 for any
	Alternate       bool    // no neighbours of one species in a row, where the counts allow it

	// Names of species and labels of positions, for messages. Nil numbers
	// them from 1.
	Name, Label []string
}

// A Plan is an arrangement.
type Plan struct {
	Species []int   // by position
	Loss    float64 // of all positions together
	Bound   float64 // no arrangement that keeps the rules, with no more neighbours together, loses less
	Before  float64 // loss of what was planned, rules or not
	Proven  bool    // the bound meets the loss: there is none better that keeps the rules as well

	// Together counts the pairs of neighbours of one species, where they were
	// to alternate, beyond those of fixed trees.
	Together int
	Moved    int // positions whose species is not the planned one
}

// Arrange finds the arrangement of least expected loss. All that is wrong with
// the problem is told at once and is ErrInput; a context that is done ends the
// work with its cause.
func Arrange(ctx context.Context, p Problem) (*Plan, error) {
	s, err := newSite(&p)
	if err != nil {
		return nil, err
	}
	plan, err := s.arrange(ctx)
	if err != nil {
		return nil, err
	}
	return s.plan(&p, plan), nil
}

// hair is what two distances may differ by and be the same, m.
const hair = 1e-9

// check says what is wrong with a problem.
func (p *Problem) check() error {
	var bad []error
	add := func(format string, args ...any) {
		bad = append(bad, &mistake{fmt.Sprintf(format, args...)})
	}
	species, positions := len(p.Loss), 0
	if species > 0 {
		positions = len(p.Loss[0])
	}
	if species == 0 || positions == 0 {
		return &mistake{"there is nothing to arrange: a table of losses has at least one species and one position"}
	}
	for s, row := range p.Loss {
		if len(row) != positions {
			add("losses of %s are given for %d positions, and those of %s for %d", p.name(s), len(row), p.name(0), positions)
		}
	}
	length := func(what string, n, want int, per string) {
		if n != want {
			add("%s: %d given, and there are %d %s", what, n, want, per)
		}
	}
	length("counts", len(p.Count), species, "species")
	for _, of := range []struct {
		what string
		n    int
	}{{"fixed trees", len(p.Fixed)}, {"rows", len(p.Row)}, {"distances along the row", len(p.Along)},
		{"planned species", len(p.Planned)}, {"labels", len(p.Label)}} {
		if of.n != 0 {
			length(of.what, of.n, positions, "positions")
		}
	}
	if p.Emergent != nil {
		length("marks of emergents", len(p.Emergent), species, "species")
	}
	if p.Name != nil {
		length("names", len(p.Name), species, "species")
	}
	if bad != nil {
		return errors.Join(bad...)
	}

	total := 0
	for s, row := range p.Loss {
		for i, x := range row {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				add("the loss of %s at %s is %v, not a number", p.name(s), p.label(i), x)
			}
		}
		if p.Count[s] < 0 {
			add("the count of %s is %d, not 0 or more", p.name(s), p.Count[s])
		}
		total += p.Count[s]
	}
	if total != positions {
		add("the counts add up to %d plants and there are %d positions: every position takes one", total, positions)
	}
	for i, x := range p.Along {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			add("%s lies %v m along its row, not a number", p.label(i), x)
		}
	}
	if !(p.EmergentSpacing >= 0) || math.IsInf(p.EmergentSpacing, 0) {
		add("the spacing of emergents is %v m, not a length of 0 or more", p.EmergentSpacing)
	}
	fixed := make([]int, species)
	for i, s := range p.Fixed {
		switch {
		case s == None:
		case s < 0 || s >= species:
			add("%s is fixed to species %d, and there are %d", p.label(i), s, species)
		default:
			fixed[s]++
		}
	}
	for s, n := range fixed {
		if n > max(p.Count[s], 0) {
			add("%d of %s are fixed (%s), and the plan has %d", n, p.name(s), p.list(s), p.Count[s])
		}
	}
	for i, s := range p.Planned {
		if s < 0 || s >= species {
			add("%s is planned with species %d, and there are %d", p.label(i), s, species)
		}
	}
	return errors.Join(bad...)
}

func (p *Problem) name(s int) string {
	if s < len(p.Name) {
		return p.Name[s]
	}
	return "species " + strconv.Itoa(s+1)
}

func (p *Problem) label(i int) string {
	if i < len(p.Label) {
		return p.Label[i]
	}
	return "position " + strconv.Itoa(i+1)
}

// list names the first positions that a species is fixed to.
func (p *Problem) list(s int) string {
	const shown = 5
	var at []string
	more := 0
	for i, f := range p.Fixed {
		if f != s {
			continue
		}
		if len(at) == shown {
			more++
			continue
		}
		at = append(at, p.label(i))
	}
	if more > 0 {
		at = append(at, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(at, ", ")
}

// checkSpacing says which fixed emergents stand too near to each other, and
// whether there is room for the others.
func (s *site) checkSpacing(p *Problem) error {
	var bad []error
	wanted, places := 0, 0
	for k, n := range s.count {
		if s.emergent[k] {
			wanted += n
		}
	}
	last := None // the last emergent of the row, fixed or put as early as can be
	for i, f := range s.fixed {
		if s.left[i] == None {
			last = None
		}
		switch {
		case f != None && s.emergent[f]:
			places++
			for j := s.low[i]; j < i; j++ {
				if g := s.fixed[j]; g != None && s.emergent[g] {
					bad = append(bad, &mistake{fmt.Sprintf("%s at %s and %s at %s are both fixed and stand %.2f m apart: emergents of a row want %.2f m",
						p.name(g), p.label(s.order[j]), p.name(f), p.label(s.order[i]), s.along[i]-s.along[j], p.EmergentSpacing)})
				}
			}
			last = i
		case f == None && (last == None || last < s.low[i]) && !s.fixedEmergentAhead(i):
			places++
			last = i
		}
	}
	if bad == nil && wanted > places {
		bad = append(bad, &mistake{fmt.Sprintf("the plan has %d emergents and its rows have room for %d at %.2f m: plan fewer or a shorter spacing",
			wanted, places, p.EmergentSpacing)})
	}
	return errors.Join(bad...)
}

// fixedEmergentAhead says whether an emergent is fixed within reach further
// along the row.
func (s *site) fixedEmergentAhead(i int) bool {
	for j := s.right[i]; j != None && s.low[j] <= i; j = s.right[j] {
		if f := s.fixed[j]; f != None && s.emergent[f] {
			return true
		}
	}
	return false
}

// A mistake is one thing wrong with a problem.
type mistake struct{ text string }

func (m *mistake) Error() string { return m.text }

// Is makes every mistake an ErrInput.
func (m *mistake) Is(target error) bool { return target == ErrInput }

// inRowOrder is the species planted one after the other, fixed trees apart.
func (s *site) inRowOrder() []int {
	left := slices.Clone(s.free)
	planned, next := make([]int, len(s.fixed)), 0
	for i, f := range s.fixed {
		if planned[i] = f; f != None {
			continue
		}
		for left[next] == 0 {
			next++
		}
		planned[i] = next
		left[next]--
	}
	return planned
}
