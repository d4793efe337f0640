package mapsheet

import (
	"errors"
	"fmt"
	"image"
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain"
	"wetfeet/terrain/contour"

	"github.com/paulmach/orb"
)

// The widths a sheet can have, px. Below the least its words cannot be read.
const (
	DefaultWidth = 2400
	LeastWidth   = 1600
	MostWidth    = 9600
)

// Options adjusts Draw. The zero value is the common case.
type Options struct {
	// Width of the sheet, px, from 1600 to 9600. Zero is 2400.
	Width int
}

// Draw is the map of an assessed site. The same result and options give the
// same picture on any number of threads.
//
// It is an error to ask for a width outside its limits or for a map of ground
// of which no cell is known.
func Draw(r *assess.Result, o Options) (image.Image, error) {
	s, err := plan(r, o)
	if err != nil {
		return nil, err
	}
	s.draw()
	return s.canvas.Image(), nil
}

// A sheet is a map being made. Tests look at what it placed where.
type sheet struct {
	r             *assess.Result
	u             float64 // px of this sheet in one of a sheet 2400 wide
	width, height int
	regular, bold *paint.Face
	known         orb.Bound     // around the ground that is known
	full, water   brim.Water    // with every hollow full, and as drawn
	symbols       []look.Symbol // by class, the unknown last
	canvas        *paint.Canvas

	below bool // the legend lies below the map

	radius       float64 // half side of a symbol, px
	spacing      contour.Spacing
	exaggeration float64
	scaleLength  float64 // of the scale bar, m

	places   drafting.Placement
	panels   []*panel
	named    []bool      // trees that have a label
	numbered []bool      // outermost hollows that have a label
	planted  []bool      // outermost hollows that hold a planned tree
	pools    []orb.Bound // around each outermost hollow and where it spills
	shown    shown
	written  []written // every piece of text, for tests
}

// written is a piece of text on the sheet and the box around it.
type written struct {
	text string
	size float64 // px
	box  drafting.Box
}

// shown is what the drawing turned out to hold; the legend is written from it.
type shown struct {
	trees     [unknown + 1]int // by class, the unknown last
	beyond    int              // positions too far from the ground to be on the sheet
	flagged   int
	labelled  int // flagged trees with a label or within a labelled run
	short     bool
	depths    []bool
	flows     []bool
	hollows   bool
	brims     bool // a brim that the water does not reach
	void      bool
	rows      bool
	gaps      bool
	spills    bool
	ditches   bool
	pipes     bool
	outermost int // hollows that lie in no other, with their deepest place here
	numbered  int // of them
	shots     int
	contours  bool
	index     bool
}

// plan decides the shape of the sheet and makes what needs making before
// anything is drawn.
func plan(r *assess.Result, o Options) (*sheet, error) {
	width := o.Width
	if width == 0 {
		width = DefaultWidth
	}
	if width < LeastWidth || width > MostWidth {
		return nil, fmt.Errorf("map of %d pixels: its width can be from %d to %d", width, LeastWidth, MostWidth)
	}
	if r == nil || r.Drain == nil || r.Drain.Ground == nil || terrain.Known(r.Drain.Ground) == 0 {
		return nil, errors.New("no ground to draw a map of: not one cell has an elevation")
	}
	s := &sheet{
		r: r, u: float64(width) / DefaultWidth, width: width,
		regular: paint.Regular(), bold: paint.Bold(), symbols: look.Symbols(),
	}
	s.known = knownBound(r.Drain.Ground)
	s.full = brim.Full(r.Drain.Hollows)
	s.water = s.full
	if r.Storm != nil {
		s.water = brim.At(r.Storm.Site.Hollows(), r.Storm.History, r.Storm.Duration.Hours())
	}
	s.shown.depths = make([]bool, len(look.Depths(r.Units)))
	s.shown.flows = make([]bool, len(look.Flows(r.Units)))
	s.named = make([]bool, len(r.Trees))
	s.spacing, s.exaggeration = contour.Spacing{Step: 0.25, Units: r.Units}, 100
	s.pools, s.planted = poolBounds(r.Drain.Hollows), planted(r)
	if hs := r.Drain.Hollows; hs != nil {
		s.numbered = make([]bool, len(hs.All))
	}
	s.arrange()
	return s, nil
}

// draw draws everything, lowest first.
func (s *sheet) draw() {
	s.canvas = paint.New(s.width, s.height, look.Paper)
	s.places = drafting.Placement{Cell: 64 * s.u}
	zs := make([]*terrain.Grid[float32], len(s.panels))
	for i, p := range s.panels {
		p.see()
		zs[i] = p.z
	}
	s.exaggeration = exaggeration(zs)
	s.spacing = s.commonSpacing()
	s.radius = s.symbolRadius()
	for _, p := range s.panels {
		p.shade(s.exaggeration)
		p.findContours()
		p.findFlow()
		p.placeTrees()
		p.keepSpills()
		p.placeRowNames()
		p.placeLinks()
		p.placeTreeLabels()
		p.placeHollows()
		p.placeContourLabels()

		p.drawGround()
		p.drawShores()
		p.drawContours()
		p.drawGrid()
		p.drawFlow()
		p.drawLinks()
		p.drawRows()
		p.drawSpills()
		p.drawShots()
		p.drawTrees()
		p.drawLabels()
		p.drawFrame()
	}
	s.count()
	s.drawTitle()
	end := s.drawFooter(s.drawLegend() + 24*s.u)
	s.crop(int(math.Ceil(end + 0.4*margin*s.u)))
}

// mapBottom is where the lowest panel and what is written below it end, px.
func (s *sheet) mapBottom() float64 {
	y := 0
	for _, p := range s.panels {
		y = max(y, p.rect.Max.Y)
	}
	if len(s.panels) > 1 {
		return float64(y) + 40*s.u
	}
	return float64(y)
}

// crop cuts off what the sheet turned out not to need at its lower end.
func (s *sheet) crop(height int) {
	s.height = min(max(height, s.width/2), s.height)
	m := s.canvas.Image()
	m.Pix = m.Pix[:s.height*m.Stride]
	m.Rect.Max.Y = s.height
}

// write draws one line of text with its base line at y, and remembers it.
func (s *sheet) write(f *paint.Face, text string, size, x, y float64, dark bool) float64 {
	ink := look.Ink
	if !dark {
		ink = look.Quiet
	}
	w := f.Width(text, size)
	s.canvas.Fill(f.Path(text, size).At(paint.Placing{X: x, Y: y}), ink)
	s.note(text, size, drafting.Box{
		X: x + w/2, Y: y - (paint.CapHeight-paint.Descent)*size/2,
		W: w / 2, H: (paint.CapHeight + paint.Descent) * size / 2,
	})
	return w
}

func (s *sheet) note(text string, size float64, b drafting.Box) {
	s.written = append(s.written, written{text, size, b})
}
