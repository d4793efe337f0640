package weather

import (
	"fmt"
	"math"
	"time"
)

// A Storm is so much rain in so long.
type Storm struct {
	Rain     float64 // mm
	Duration time.Duration
	Shape    Shape // zero is even rain
}

// maxSteps bounds what a storm or a record may be cut into.
const maxSteps = 2_000_000

// Check says what is wrong with a storm that a person typed.
func (s Storm) Check() error {
	switch {
	case !(s.Rain >= 0) || math.IsInf(s.Rain, 0):
		return mistaken("a storm of %g mm: its rain must be 0 or more", s.Rain)
	case s.Duration < time.Minute || s.Duration > 366*24*time.Hour:
		return mistaken("a storm of %v: its duration must be from 1 min to 366 d", s.Duration)
	case s.Shape < Even || s.Shape > TypeIII:
		return mistaken("a storm of shape %d: shapes are 0 to %d", int(s.Shape), int(TypeIII))
	case s.Shape != Even && s.Duration != 24*time.Hour:
		return mistaken("a %v storm of %s: the NRCS types are of 24 h; use 24 h, or the shape even", s.Shape, span(s.Duration.Hours()))
	}
	return checkDepth(s.Rain, s.Duration.Hours())
}

// Hyetograph is the storm in even steps, the last one cut short where they do
// not go into its duration. A step of zero is the natural one: all of an even
// storm at once, and 6 minutes for the NRCS types.
func (s Storm) Hyetograph(step time.Duration) (Hyetograph, error) {
	if err := s.Check(); err != nil {
		return Hyetograph{}, err
	}
	if step == 0 {
		if step = s.Duration; s.Shape != Even {
			step = 6 * time.Minute
		}
	}
	if step < 0 || s.Duration/step >= maxSteps {
		return Hyetograph{}, mistaken("steps of %v in a storm of %v: there must be 1 to %d", step, s.Duration, maxSteps)
	}
	n := int((s.Duration + step - 1) / step)
	h := Hyetograph{make([]float64, n), make([]float64, n)}
	fallen, from, before := s.Shape.fallen(), time.Duration(0), 0.0
	for i := range n {
		to := min(from+step, s.Duration)
		share := 1.0
		if to < s.Duration {
			share = min(1, fallen(float64(to)/float64(s.Duration)))
		}
		h.Hours[i] = (to - from).Hours()
		h.Rain[i] = s.Rain * max(0, share-before)
		from, before = to, share
	}
	return h, nil
}

// String is the storm in words: "150 mm in 24 h, type II".
func (s Storm) String() string {
	return fmt.Sprintf("%.4g mm in %s, %v", s.Rain, span(s.Duration.Hours()), s.Shape)
}
