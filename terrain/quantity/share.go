package quantity

import (
	"errors"
	"strconv"
	"strings"
)

// Share reads a part of a whole: "0.2", "20 %" or "20%". It lies between 0
// and 1, with both.
func Share(s string) (float64, error) {
	text, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if percent {
		v /= 100
	}
	if err != nil || !(v >= 0 && v <= 1) {
		return 0, errors.New(`a share is needed, such as 0.2 or "20 %", from nothing to all`)
	}
	return v, nil
}
