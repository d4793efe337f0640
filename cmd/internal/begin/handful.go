package begin

import (
	"fmt"
	"slices"
	"strings"

	"wetfeet/hydro/soil"
)

// A Handful is what moist soil does in the hand, and the texture that goes
// with it.
type Handful struct{ Words, Texture string }

// Handfuls are the ends of the test of texture by feel: dig a spade deep, wet
// a handful to a putty, squeeze a ball, and push a ribbon out between thumb and
// finger until it breaks by its own weight. After Thien, S.J. (1979), A flow
// diagram for teaching texture-by-feel analysis, Journal of Agronomic
// Education 8, 54–55 (from memory): ribbons under 2.5 cm, under 5 cm, longer.
// Silt he has not.
func Handfuls() []Handful {
	return []Handful{
		{"falls apart, no ball", "sand"},
		{"a ball but no ribbon", "loamy sand"},
		{"short ribbon, gritty", "sandy loam"},
		{"short ribbon", "loam"},
		{"short ribbon, smooth", "silt loam"},
		{"middling ribbon, gritty", "sandy clay loam"},
		{"middling ribbon", "clay loam"},
		{"middling ribbon, smooth", "silty clay loam"},
		{"long ribbon, gritty", "sandy clay"},
		{"long ribbon", "clay"},
		{"long ribbon, smooth", "silty clay"},
	}
}

// DefaultTexture is taken where nothing is said of the soil.
const DefaultTexture = "loam"

// Texture is the texture that words mean: its name, or what a handful does.
func Texture(words string) (string, error) {
	t, err := soil.FindTexture(words)
	if err == nil {
		return t.Name, nil
	}
	said := strings.FieldsFunc(strings.ToLower(words), func(r rune) bool { return r < 'a' || r > 'z' })
	slices.Sort(said)
	for _, h := range Handfuls() {
		w := strings.FieldsFunc(h.Words, func(r rune) bool { return r < 'a' || r > 'z' })
		slices.Sort(w)
		if slices.Equal(w, said) {
			return h.Texture, nil
		}
	}
	var hints []string
	for _, h := range Handfuls() {
		hints = append(hints, fmt.Sprintf("%q", h.Words))
	}
	return "", fmt.Errorf("%w; or say what a moist handful does: %s", err, strings.Join(hints, ", "))
}
