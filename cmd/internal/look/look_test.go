package look_test

import (
	"image/color"
	"math"
	"testing"

	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Web Content Accessibility Guidelines 2.2 (W3C, 2023): black on white is 21
// to 1; #767676 is the lightest grey with 4.5 to 1 on white, the example of
// its Understanding document for 1.4.3, quoted from memory.
func TestContrastOfKnownPairs(t *testing.T) {
	white, grey := color.RGBA{255, 255, 255, 255}, color.RGBA{0x76, 0x76, 0x76, 255}
	assert.InDelta(t, 21, look.Contrast(color.RGBA{A: 255}, white), 1e-9)
	assert.InDelta(t, 1, look.Contrast(grey, grey), 1e-9)
	assert.InDelta(t, 4.54, look.Contrast(grey, white), 0.005)
	lighter := color.RGBA{0x77, 0x77, 0x77, 255}
	assert.Less(t, look.Contrast(lighter, white), 4.5)
}

// grounds are what lies under words and symbols on the map.
func grounds() map[string]color.RGBA {
	g := map[string]color.RGBA{"paper": look.Paper, "light ground": look.GroundLight, "dark ground": look.GroundDark, "unknown": look.Unknown}
	for _, d := range look.Depths(quantity.Metric) {
		g["water "+d.Label] = d.Fill
	}
	return g
}

// Criterion 1.4.3 asks 4.5 to 1 of words. Those on the sheet stand on paper;
// those on the map stand on a halo of paper, and dark words on dry ground are
// read without it too.
func TestWordsStandOut(t *testing.T) {
	for name, ink := range map[string]color.RGBA{
		"ink": look.Ink, "quiet": look.Quiet, "contour": look.ContourText, "shore": look.Shore,
	} {
		assert.GreaterOrEqual(t, look.Contrast(ink, look.Paper), 4.5, name)
	}
	for name, ink := range map[string]color.RGBA{"ink": look.Ink, "contour": look.ContourText, "shore": look.Shore} {
		for _, ground := range []string{"light ground", "dark ground", "unknown"} {
			assert.GreaterOrEqual(t, look.Contrast(ink, grounds()[ground]), 4.5, "%s on %s", name, ground)
		}
	}
}

// Criterion 1.4.11 asks 3 to 1 of what must be seen to understand a drawing.
func TestSymbolsStandOut(t *testing.T) {
	for _, s := range look.Symbols() {
		assert.GreaterOrEqual(t, look.Contrast(s.Ink, look.Paper), 3.0, "%s: outline on its halo", s.Name)
		if s.Name != species.Severe.String() { // whose body is as dark as its outline
			assert.GreaterOrEqual(t, look.Contrast(s.Ink, s.Fill), 3.0, "%s: outline on body", s.Name)
		}
		if !s.Marks.Empty() {
			assert.GreaterOrEqual(t, look.Contrast(s.Mark, s.Fill), 3.0, "%s: mark on body", s.Name)
		}
		for name, ground := range grounds() {
			edge := max(look.Contrast(s.Ink, ground), look.Contrast(look.Paper, ground))
			assert.GreaterOrEqual(t, edge, 3.0, "%s: outline or halo on %s", s.Name, name)
		}
	}
	for name, line := range map[string]color.RGBA{
		"contour": look.ContourLine, "flow": look.Flow, "shore": look.Shore, "row": look.RowLine, "shot": look.Shot,
	} {
		for _, ground := range []string{"paper", "light ground", "dark ground", "unknown"} {
			assert.GreaterOrEqual(t, look.Contrast(line, grounds()[ground]), 3.0, "%s on %s", name, ground)
		}
	}
	for _, d := range look.Depths(quantity.Metric) {
		assert.GreaterOrEqual(t, look.Contrast(look.RowLine, look.Paper), 3.0)
		if d.To < math.Inf(1) {
			assert.GreaterOrEqual(t, look.Contrast(look.Ink, d.Fill), 4.5, "leader on water %s", d.Label)
		}
	}
}

// Full protanopia, deuteranopia and tritanopia, in linear light: Machado,
// G.M., Oliveira, M.M., Fernandes, L.A.F. (2009), A physiologically-based
// model for simulation of color vision deficiency, IEEE Transactions on
// Visualization and Computer Graphics 15(6), 1291–1298, severity 1.0 of its
// table. From memory; each row must sum to 1, for white to stay white.
var deficiencies = map[string][3][3]float64{
	"full colour":  {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	// Rec. ITU-R BT.709 luma weights: a grey print.
	"grey": {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}},
}

func TestDeficienciesKeepWhiteWhite(t *testing.T) {
	for name, m := range deficiencies {
		for _, row := range m {
			assert.InDelta(t, 1, row[0]+row[1]+row[2], 2e-6, name)
		}
	}
}

// lab is CIE 1976 L*a*b* under D65 of a colour seen with a deficiency: CIE
// 15:2018; the matrix is that of IEC 61966-2-1.
func lab(c color.RGBA, see [3][3]float64) [3]float64 {
	var rgb, seen, xyz [3]float64
	for i, v := range []uint8{c.R, c.G, c.B} {
		s := float64(v) / 255
		if s <= 0.04045 {
			rgb[i] = s / 12.92
		} else {
			rgb[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	for i, row := range see {
		seen[i] = min(max(row[0]*rgb[0]+row[1]*rgb[1]+row[2]*rgb[2], 0), 1)
	}
	for i, row := range [3][3]float64{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}} {
		xyz[i] = row[0]*seen[0] + row[1]*seen[1] + row[2]*seen[2]
	}
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x, y, z := f(xyz[0]/0.95047), f(xyz[1]), f(xyz[2]/1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// apart is the CIE 1976 colour difference. About 2.3 is just noticed (Mahy,
// M., Van Eycken, L., Oosterlinck, A. (1994), Color Research and Application
// 19(2), 105–121); small patches in the sun need several times that.
func apart(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

func TestRisksAreToldApartByEveryEye(t *testing.T) {
	for eye, see := range deficiencies {
		for r := species.Low; r <= species.Severe; r++ {
			for s := species.Low; s < r; s++ {
				d := apart(lab(look.Risk(r).Fill, see), lab(look.Risk(s).Fill, see))
				assert.GreaterOrEqual(t, d, 10.0, "%v and %v, %s", r, s, eye)
			}
		}
		// Darker is worse, in every eye and in a grey print.
		for r := species.Moderate; r <= species.Severe; r++ {
			assert.Less(t, lab(look.Risk(r).Fill, see)[0], lab(look.Risk(r-1).Fill, see)[0]-10, "%v, %s", r, eye)
		}
	}
}

func TestDeeperIsDarkerInEveryEye(t *testing.T) {
	depths := look.Depths(quantity.Metric)
	for eye, see := range deficiencies {
		for i := 1; i < len(depths); i++ {
			a, b := lab(depths[i-1].Fill, see), lab(depths[i].Fill, see)
			assert.Less(t, b[0], a[0]-5, "%s, %s", depths[i].Label, eye)
		}
	}
}

func TestShapesDiffer(t *testing.T) {
	seen := make(map[string]string)
	for _, s := range look.Symbols() {
		d := s.Body.SVG() + s.Marks.SVG()
		assert.Empty(t, seen[d], "%s looks like another", s.Name)
		seen[d] = s.Name
		require.NotEmpty(t, s.Shape)
	}
}

// A symbol drawn without colour still differs in the pixels it darkens.
func TestShapesDifferInBlackAndWhite(t *testing.T) {
	var masks [][]bool
	for _, s := range look.Symbols() {
		c := paint.New(60, 60, look.Paper)
		s.Draw(c, 30, 30, 24, false)
		m := make([]bool, 3600)
		for i := range m {
			m[i] = look.Contrast(c.Image().RGBAAt(i%60, i/60), look.Paper) > 3
		}
		masks = append(masks, m)
	}
	for i := range masks {
		for j := range i {
			differ := 0
			for k := range masks[i] {
				if masks[i][k] != masks[j][k] {
					differ++
				}
			}
			assert.Greater(t, differ, 150, "%s and %s", look.Symbols()[i].Name, look.Symbols()[j].Name)
		}
	}
}

func TestSymbolsStayWithinTheirReach(t *testing.T) {
	for _, s := range look.Symbols() {
		c := paint.New(100, 100, look.Paper)
		s.Draw(c, 50, 50, 20, false)
		reach := s.Reach() / 10 * 20
		for i := range 10000 {
			x, y := float64(i%100)+0.5-50, float64(i/100)+0.5-50
			if c.Image().RGBAAt(i%100, i/100) != look.Paper {
				require.LessOrEqual(t, max(math.Abs(x), math.Abs(y)), reach+1, s.Name)
			}
		}
	}
}

func TestDepthsCoverEveryDepthOnce(t *testing.T) {
	for _, u := range []quantity.Units{quantity.Metric, quantity.Feet} {
		classes := look.Depths(u)
		assert.Zero(t, classes[0].From)
		assert.True(t, math.IsInf(classes[len(classes)-1].To, 1))
		for i := 1; i < len(classes); i++ {
			assert.Equal(t, classes[i-1].To, classes[i].From)
		}
		for _, depth := range []float64{0.001, 0.05, 0.051, 0.2, 0.5, 3} {
			c := classes[look.Depth(u, depth)]
			assert.True(t, depth > c.From && depth <= c.To, "%v in %s", depth, c.Label)
		}
	}
}

// 1 inch is 25.4 mm and 1 acre 4046.8564224 m²: NIST SP 811 (2008), appendix B,
// the acre here being of the international foot.
func TestClassesInFeetAreWholeInchesAndAcres(t *testing.T) {
	for _, c := range look.Depths(quantity.Feet) {
		inches := c.From / 0.0254
		assert.InDelta(t, math.Round(inches), inches, 1e-9)
	}
	flows := look.Flows(quantity.Feet)
	assert.InDelta(t, 43560*0.3048*0.3048, flows[2].From, 1e-6)
}

func TestHex(t *testing.T) {
	assert.Equal(t, "#0a0bff", look.Hex(color.RGBA{10, 11, 255, 255}))
}

// Darker is worse, in every eye and in a grey print, and no tint of error can be
// taken for water. A grey print has no colours to tell: there the words do.
func TestErrorsAreToldApartAndAreNotWater(t *testing.T) {
	classes := look.Errors(quantity.Metric)
	for eye, see := range deficiencies {
		for i, c := range classes {
			if i > 0 {
				assert.Less(t, lab(c.Fill, see)[0], lab(classes[i-1].Fill, see)[0]-5, "%s, %s", c.Label, eye)
			}
			for _, water := range look.Depths(quantity.Metric) {
				if eye != "grey" {
					assert.Greater(t, apart(lab(c.Fill, see), lab(water.Fill, see)), 15.0, "error %s and water %s, %s", c.Label, water.Label, eye)
				}
			}
		}
	}
	for _, u := range []quantity.Units{quantity.Metric, quantity.Feet} {
		classes := look.Errors(u)
		for i := 1; i < len(classes); i++ {
			assert.Equal(t, classes[i-1].To, classes[i].From)
		}
		assert.Equal(t, 0, look.Error(u, 0.01))
		assert.Equal(t, len(classes)-1, look.Error(u, 3))
	}
}

// High and low, doubtful and hardly to be believed differ without colour.
func TestResidualsDifferInBlackAndWhite(t *testing.T) {
	all := append(look.Residuals(), look.Residual(math.NaN()))
	var masks [][]bool
	for _, s := range all {
		c := paint.New(60, 60, look.Paper)
		s.Draw(c, 30, 30, 24, false)
		m := make([]bool, 3600)
		for i := range m {
			m[i] = look.Contrast(c.Image().RGBAAt(i%60, i/60), look.Paper) > 3
		}
		for j, other := range masks {
			differ := 0
			for k := range m {
				if m[k] != other[k] {
					differ++
				}
			}
			assert.Greater(t, differ, 150, "%s and %s", s.Name, all[j].Name)
		}
		masks = append(masks, m)
	}
	assert.Equal(t, 1.0, look.ResidualSize(math.NaN()))
	assert.Greater(t, look.ResidualSize(-5), look.ResidualSize(3))
	assert.Equal(t, look.ResidualSize(6), look.ResidualSize(60))
}
