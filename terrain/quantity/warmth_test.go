package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Water freezes at 32 °F and boils at 212 °F, which are 0 and 100 °C: NIST
// Special Publication 811 (2008), appendix B.8. -40 is the same on both scales.
func TestTemperatures(t *testing.T) {
	for s, want := range map[string]float64{"12 °C": 12, "12C": 12, "7": 7, "-3.5 c": -3.5, "32 F": 0, "50 °F": 10, "68 degrees Fahrenheit": 20, "-40 F": -40, "5 celsius": 5, "−2 °C": -2} {
		got, err := Temperature(s, Metric)
		assert.NoError(t, err, s)
		assert.InDelta(t, want, got, 1e-12, s)
	}
	got, err := Temperature("50", Feet)
	assert.NoError(t, err)
	assert.InDelta(t, 10, got, 1e-12, "a bare number of someone who measures in feet")
	for s, want := range map[string]string{
		"cold":   `"cold" is not a temperature: use a number and a unit, such as 12 °C or 54 °F`,
		"12 K":   `"12 K" is not a temperature: use a number and a unit, such as 12 °C or 54 °F`,
		"5-10 C": `"5-10 C" is not a temperature: use a number and a unit, such as 12 °C or 54 °F`,
		"68":     `"68" is not a temperature: from -40 to 60 °C are taken`,
		"":       `"" is not a temperature: use a number and a unit, such as 12 °C or 54 °F`,
	} {
		_, err := Temperature(s, Metric)
		assert.EqualError(t, err, want, s)
	}
	assert.Equal(t, "8 °C", FormatTemperature(8.2, Metric))
	assert.Equal(t, "−3 °C", FormatTemperature(-3, Metric))
	assert.Equal(t, "0 °C", FormatTemperature(-0.2, Metric))
	assert.Equal(t, "46 °F", FormatTemperature(8, Feet))
}

func TestAges(t *testing.T) {
	for s, want := range map[string]float64{"5 years": 5, "3": 3, "0": 0, "18 months": 1.5, "1 year": 1, "2.5 yr": 2.5} {
		got, err := Years(s)
		assert.NoError(t, err, s)
		assert.InDelta(t, want, got, 1e-12, s)
	}
	for s, want := range map[string]string{
		"old":        `"old" is not an age: use a number and a unit, such as 5 years or 18 months`,
		"-1 year":    `"-1 year" is not an age: it is below zero`,
		"3 m":        `"3 m" is not an age: use a number and a unit, such as 5 years or 18 months`,
		"5000 years": `"5000 years" is not an age: it is far too large`,
	} {
		_, err := Years(s)
		assert.EqualError(t, err, want, s)
	}
}
