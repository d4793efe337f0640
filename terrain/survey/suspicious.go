package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wetfeet/terrain/quantity"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	mostSuspects  = 0.1 // part of the shots taken out at most
	falseAlarms   = 0.1 // expected among all shots of a sound survey
	surelyMatches = 2.0 // standard deviations within which an explanation fits
	surelyStands  = 4.0 // times as far off as that a shot must be for one to be offered
)

// A Suspect is a shot that does not go with the ground around it.
type Suspect struct {
	Residual
	Index int    // of the shot, in the order they were given
	slip  string // what would explain it: ": a whole metre misread on the staff?"
}

// Reason says how far the shot is off in the units of a report, and why that
// may be: "1.00 m too high: a whole metre misread on the staff?".
func (s Suspect) Reason(u quantity.Units) string {
	way := "high"
	if s.Off < 0 {
		way = "low"
	}
	return quantity.FormatLength(math.Abs(s.Off), u) + " too " + way + s.slip
}

// Suspicious lists the shots that deserve a second look, worst first: those
// so far from the surface through the others that in a sound survey of as
// many shots one would be named once in ten times.
//
// A gross error pulls the surface to itself, makes its good neighbours look
// bad and the covariance look noisy. So suspects are taken out one by one,
// the worst first and a tenth of the shots at most; then the covariance is
// fitted to the rest, and every shot is held against that surface: those
// taken out, and those left by leaving them out. The reason is the plainest
// slip that would explain the height; it is a guess, and the shot is left in
// the survey for a person to decide on.
func (m *Model) Suspicious() ([]Suspect, error) {
	n := len(m.shots)
	limit := distuv.UnitNormal.Quantile(1 - falseAlarms/2/float64(n))
	out, err := m.takeOut(limit)
	if err != nil || len(out) == 0 {
		return nil, err
	}
	var rest []Shot
	var index []int
	for i, s := range m.shots {
		if !slices.Contains(out, i) {
			rest, index = append(rest, s), append(index, i)
		}
	}
	o := m.options
	o.Lines = m.unhooked(out)
	clean, err := Fit(rest, o)
	if err != nil {
		return nil, fmt.Errorf("without %d suspicious shots: %w", len(out), err)
	}
	var suspects []Suspect
	judge := func(i int, r Residual) {
		if math.Abs(r.Standardised) > limit {
			suspects = append(suspects, Suspect{r, i, m.slip(i, r)})
		}
	}
	noise := m.samples.diagonal(1, clean.Covariance.Nugget, 0)
	for _, i := range out {
		s := m.shots[i]
		z, sd := clean.Predict(s.Point)
		r := Residual{Shot: s, Predicted: z, Off: s.Z - z, SD: math.Sqrt(sd*sd + noise[i])}
		r.Standardised = r.Off / r.SD
		judge(i, r)
	}
	for k, r := range clean.LeaveOneOut().Residuals {
		judge(index[k], r)
	}
	slices.SortFunc(suspects, func(a, b Suspect) int {
		return cmp.Or(cmp.Compare(math.Abs(b.Standardised), math.Abs(a.Standardised)), cmp.Compare(a.Index, b.Index))
	})
	return suspects, nil
}

// slip is the plainest slip that would explain a height.
func (m *Model) slip(i int, r Residual) string {
	z, wanted := r.Shot.Z, r.Predicted
	off := math.Abs(r.Off)
	fits := func(v float64) bool { return math.Abs(v-wanted) <= surelyMatches*r.SD }
	switch other, same := m.twin(i); {
	case same:
		return fmt.Sprintf(": the same height as %s, written twice?", other)
	case off < surelyStands*surelyMatches*r.SD:
		return " for the ground around it"
	case fits(-z):
		return ": a minus sign lost or added?"
	case fits(z*0.3048) || fits(z/0.3048):
		return ": feet taken for metres, or metres for feet?"
	case fits(z*10) || fits(z/10) || fits(z*100) || fits(z/100):
		return ": a decimal point in the wrong place?"
	}
	whole := math.Round(off)
	switch swapped, ok := swappedDigits(z, wanted, surelyMatches*r.SD); {
	case whole >= 1 && whole <= 5 && math.Abs(off-whole) <= surelyMatches*r.SD:
		return fmt.Sprintf(": %s misread on the staff?", metres(whole))
	case ok:
		return fmt.Sprintf(": digits swapped? %s would fit", swapped)
	case r.SD < 0.02 && math.Abs(off-math.Round(10*off)/10) <= surelyMatches*r.SD:
		return ": decimetres misread on the staff?"
	}
	return " for the ground around it"
}

func metres(n float64) string {
	if n == 1 {
		return "a whole metre"
	}
	return fmt.Sprintf("%.0f whole metres", n)
}

// twin looks for a shot taken just before or after whose height is the same
// to the millimetre. On ground that falls that is unlikely.
func (m *Model) twin(i int) (string, bool) {
	for _, j := range [2]int{i - 1, i + 1} {
		if j >= 0 && j < len(m.shots) && math.Abs(m.shots[j].Z-m.shots[i].Z) < 0.0005 && m.shots[j].Point != m.shots[i].Point {
			if name := m.shots[j].Name; name != "" {
				return "shot " + quote(name), true
			}
			return "the shot of " + m.shots[j].called(j), true
		}
	}
	return "", false
}

// swappedDigits looks for two neighbouring digits of a height, written to the
// millimetre, that the height would fit with if they were swapped.
func swappedDigits(z, wanted, within float64) (string, bool) {
	text := strings.TrimRight(strconv.FormatFloat(z, 'f', 3, 64), "0")
	best, least := "", within
	digits := []byte(text)
	for i := range digits {
		j := i + 1
		if j < len(digits) && digits[j] == '.' {
			j++
		}
		if digits[i] == '.' || digits[i] == '-' || j >= len(digits) || digits[i] == digits[j] {
			continue
		}
		swapped := slices.Clone(digits)
		swapped[i], swapped[j] = digits[j], digits[i]
		if v, err := strconv.ParseFloat(string(swapped), 64); err == nil && math.Abs(v-wanted) <= least {
			best, least = string(swapped)+" m", math.Abs(v-wanted)
		}
	}
	return best, best != ""
}
