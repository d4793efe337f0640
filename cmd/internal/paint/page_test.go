package paint_test

import (
	"bytes"
	"image/color"
	"math"
	"testing"

	"wetfeet/cmd/internal/paint"
	"wetfeet/cmd/internal/paint/painttest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func written(t *testing.T, draw func(p *paint.Page)) []byte {
	p := paint.NewPage(210, 297, "A (sheet) of été")
	draw(p)
	var b bytes.Buffer
	require.NoError(t, p.Write(&b))
	return b.Bytes()
}

func TestPageKeepsTextAsText(t *testing.T) {
	words := []string{"Level 96.42 m ±2 cm × 5", "ёж, Ωμέγα, (bracket) \\ …", "tab\tbell\a", "😀 beyond", `</text> Tj ET BT`}
	draw := func(p *paint.Page) {
		f, bold := paint.Regular(), paint.Bold()
		for i, w := range words {
			p.Text(f, w, 3, paint.Placing{X: 20, Y: 20 + 10*float64(i)}, black)
		}
		p.Text(bold, "upright", 3, paint.Placing{X: 100, Y: 100, Turn: -math.Pi / 2}, black)
	}
	content := painttest.Content(t, written(t, draw))
	assert.Equal(t, []string{words[0], words[1], "tab bell ", "□ beyond", words[4], "upright"}, painttest.Texts(content))
	assert.Equal(t, written(t, draw), written(t, draw), "same drawing, same bytes")
}

// A clip ends with the font the page had before it; the next words must not
// come out in it.
func TestPageTellsTheFontAgainAfterAClip(t *testing.T) {
	content := painttest.Content(t, written(t, func(p *paint.Page) {
		p.Text(paint.Regular(), "a", 3, paint.Placing{}, black)
		p.Within(0, 0, 50, 50, func(d paint.Drawing) { d.Text(paint.Bold(), "b", 5, paint.Placing{}, black) })
		p.Text(paint.Bold(), "c", 5, paint.Placing{}, black)
	}))
	after := content[bytes.LastIndex([]byte(content), []byte("Q\n")):]
	assert.Contains(t, after, "14.17 Tf", "5 mm is 14.17 points")
}

// A point is 1/72 in and an inch 25.4 mm; y runs up from the foot of the page.
func TestPageMeasuresInMillimetres(t *testing.T) {
	content := painttest.Content(t, written(t, func(p *paint.Page) {
		p.Stroke(paint.Polyline(paint.Point{X: 25.4, Y: 297}, paint.Point{X: 125.4, Y: 297 - 50.8}), paint.Pen{Width: 0.254, Dash: []float64{25.4, 12.7}}, black)
		paint.Enlarged(p, 2).Fill(paint.Rectangle(12.7, 0, 25.4, 12.7), color.RGBA{255, 0, 0, 255})
	}))
	assert.Contains(t, content, "72.00 0.00 m\n355.46 144.00 l")
	assert.Contains(t, content, "0.72 w")
	assert.Contains(t, content, "[72.00 36.00] 0.00 d")
	assert.Contains(t, content, "1.000 0.000 0.000 rg")
	assert.Contains(t, content, "72.00 841.89 m\n144.00 841.89 l\n144.00 769.89 l\n72.00 769.89 l\nh\nf")
}

// What is enlarged covers as many times squared.
func TestEnlargedDrawsTheSameLarger(t *testing.T) {
	draw := func(d paint.Drawing, k float64) {
		f := paint.Regular()
		d.Fill(paint.Circle(10*k, 10*k, 5*k), black)
		d.Stroke(paint.Polyline(paint.Point{X: 20 * k, Y: 5 * k}, paint.Point{X: 40 * k, Y: 5 * k}), paint.Pen{Width: 2 * k, Dash: []float64{3 * k, 2 * k}}, black)
		paint.Halo(d, f, "Hen", 8*k, k, paint.Placing{X: 20 * k, Y: 20 * k}, red)
		d.Text(f, "Hen", 8*k, paint.Placing{X: 20 * k, Y: 20 * k}, black)
		d.Within(0, 20*k, 10*k, 30*k, func(d paint.Drawing) { d.Fill(paint.Rectangle(0, 0, 100*k, 100*k), black) })
	}
	plain, large := paint.New(200, 120, paper), paint.New(200, 120, paper)
	draw(plain, 4)
	draw(paint.Enlarged(large, 4), 1)
	assert.Equal(t, plain.Image().Pix, large.Image().Pix)
}

var (
	black = color.RGBA{A: 255}
	red   = color.RGBA{255, 0, 0, 255}
	paper = color.RGBA{255, 255, 255, 255}
)
