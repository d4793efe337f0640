package reliability

import (
	"encoding/xml"
	"io"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// invented are odds that are a little too sure, and what came of them.
func invented() Diagram {
	r := rand.New(rand.NewPCG(9, 9))
	var odds []float64
	var wet []bool
	for range 4000 {
		p := float64(r.IntN(101)) / 100
		if r.IntN(3) > 0 {
			p = 0
		}
		odds = append(odds, p)
		wet = append(wet, r.Float64() < 0.05+0.8*p)
	}
	return Diagram{Corp(odds, wet), Consistency(odds, 0.9, 200, 1, Independent(odds)), "trees & shrubs", "stood in water"}
}

// pictured writes the picture to the file named by RELIABILITY_SVG, to be
// looked at.
func pictured(t *testing.T, svg string) {
	if name := os.Getenv("RELIABILITY_SVG"); name != "" {
		require.NoError(t, os.WriteFile(name, []byte(svg), 0o644))
	}
}

func TestDiagramSaysWhatTheCurveSays(t *testing.T) {
	d := invented()
	svg := d.SVG()
	pictured(t, svg)
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := dec.Token(); err == io.EOF {
			break
		} else {
			require.NoError(t, err, "well-formed")
		}
	}
	assert.NotContains(t, svg, "<script")
	assert.NotContains(t, svg, "NaN")
	assert.Contains(t, svg, "trees &amp; shrubs")
	assert.Contains(t, svg, score(d.Curve.Miscalibration))
	assert.Equal(t, svg, d.SVG(), "the same every time")

	// Read back, the corners of the line lie on the curve.
	line := regexp.MustCompile(`class="curve"[^>]* d="([^"]*)"`).FindStringSubmatch(svg)
	require.NotNil(t, line)
	corners := regexp.MustCompile(`[ML]([\d.]+) ([\d.]+)`).FindAllStringSubmatch(line[1], -1)
	require.Greater(t, len(corners), 5)
	next := 0
	for _, c := range corners {
		px, _ := strconv.ParseFloat(c[1], 64)
		py, _ := strconv.ParseFloat(c[2], 64)
		odds, share := (px-left)/side, 1-(py-top)/side
		for next < len(d.Curve.Points) && d.Curve.Points[next].Odds < odds-0.002 {
			next++
		}
		require.Less(t, next, len(d.Curve.Points))
		assert.InDelta(t, d.Curve.Points[next].Odds, odds, 0.001)
		assert.InDelta(t, d.Curve.Points[next].Share, share, 0.001)
	}
	// And all forecasts are counted in the bars.
	sum := 0
	for _, m := range regexp.MustCompile(`font-size="10.1"[^>]*>(\d+)<`).FindAllStringSubmatch(svg, -1) {
		n, _ := strconv.Atoi(m[1])
		sum += n
	}
	assert.Equal(t, 4000, sum)
}

func TestDiagramOfLittle(t *testing.T) {
	one := Diagram{Curve: Corp([]float64{0.5}, []bool{true}), What: "trees", Came: "got wet"}
	assert.NotContains(t, one.SVG(), "NaN")
	assert.NotContains(t, one.SVG(), `class="band"`)
}
