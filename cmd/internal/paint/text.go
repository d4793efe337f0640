package paint

import (
	"image/color"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A Face is the letters of a font, in any size. It is not safe for use by
// several goroutines at once.
type Face struct {
	bold   bool
	font   *opentype.Font
	buffer sfnt.Buffer
	glyphs map[sfnt.GlyphIndex]glyph
}

type glyph struct {
	outline Path    // of a letter one pixel high
	advance float64 // at that height
}

// Regular is a fresh face of the Go font.
func Regular() *Face { return mustParse(goregular.TTF, false) }

// Bold is a fresh face of its bold.
func Bold() *Face { return mustParse(gobold.TTF, true) }

// mustParse panics on a broken font; those compiled in are not.
func mustParse(ttf []byte, bold bool) *Face {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic(err)
	}
	return &Face{bold: bold, font: f, glyphs: make(map[sfnt.GlyphIndex]glyph)}
}

// The Go fonts' capitals are 0.73 of the size high, the letter x 0.53, and
// the deepest tails reach 0.21 below the line; measured on the outlines of
// goregular.
const (
	CapHeight = 0.73
	Descent   = 0.21
)

// em is the size, px, at which outlines are loaded before scaling; at 2048
// they are the font's own numbers.
const em = 2048

func (f *Face) glyph(g sfnt.GlyphIndex) glyph {
	if got, ok := f.glyphs[g]; ok {
		return got
	}
	var made glyph
	if advance, err := f.font.GlyphAdvance(&f.buffer, g, fixed.I(em), font.HintingNone); err == nil {
		made.advance = float64(advance) / 64 / em
	}
	if segments, err := f.font.LoadGlyph(&f.buffer, g, fixed.I(em), nil); err == nil {
		at := func(q fixed.Point26_6) Point { return Point{float64(q.X) / 64 / em, float64(q.Y) / 64 / em} }
		for i, s := range segments {
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				if i > 0 {
					made.outline.Close()
				}
				made.outline.add('M', at(s.Args[0]))
			case sfnt.SegmentOpLineTo:
				made.outline.add('L', at(s.Args[0]))
			case sfnt.SegmentOpQuadTo:
				made.outline.add('Q', at(s.Args[0]), at(s.Args[1]))
			case sfnt.SegmentOpCubeTo:
				made.outline.add('C', at(s.Args[0]), at(s.Args[1]), at(s.Args[2]))
			}
		}
		if !made.outline.Empty() {
			made.outline.Close()
		}
	}
	f.glyphs[g] = made
	return made
}

// walk calls place with each letter of a line of text and where it begins,
// for letters one pixel high, and returns where the text ends.
func (f *Face) walk(text string, place func(g glyph, x float64)) float64 {
	x := 0.0
	var before sfnt.GlyphIndex
	for i, r := range text {
		g, err := f.font.GlyphIndex(&f.buffer, r)
		if err != nil {
			g = 0
		}
		if i > 0 {
			if k, err := f.font.Kern(&f.buffer, before, g, fixed.I(em), font.HintingNone); err == nil {
				x += float64(k) / 64 / em
			}
		}
		made := f.glyph(g)
		if place != nil {
			place(made, x)
		}
		x += made.advance
		before = g
	}
	return x
}

// Width is how wide a line of text is at a size, px.
func (f *Face) Width(text string, size float64) float64 { return f.walk(text, nil) * size }

// Path is the outlines of a line of text at a size, px, beginning at (0, 0)
// on its base line.
func (f *Face) Path(text string, size float64) Path {
	var p Path
	f.walk(text, func(g glyph, x float64) { p.Append(g.outline.At(Placing{Scale: size, X: x * size})) })
	return p
}

// Fit shortens a line of text, with an ellipsis, to a width.
func (f *Face) Fit(text string, size, width float64) string {
	if f.Width(text, size) <= width {
		return text
	}
	letters := []rune(text)
	for n := len(letters) - 1; n > 0; n-- {
		if short := string(letters[:n]) + "…"; f.Width(short, size) <= width {
			return short
		}
	}
	return "…"
}

// Wrap breaks text between words into lines no wider than a width. A single
// word wider than that is shortened.
func (f *Face) Wrap(text string, size, width float64) []string {
	var lines []string
	line := ""
	for _, word := range fields(text) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if line != "" && f.Width(longer, size) > width {
			lines = append(lines, line)
			longer = word
		}
		line = f.Fit(longer, size, width)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fields cuts at plain spaces only: a no-break space keeps a number with its
// unit.
func fields(text string) []string {
	var out []string
	from := 0
	for i := 0; i <= len(text); i++ {
		if i == len(text) || text[i] == ' ' {
			if i > from {
				out = append(out, text[from:i])
			}
			from = i + 1
		}
	}
	return out
}

// Words draws a path of letters with a halo around them, so that they can be
// read over lines and tints. No width is no halo.
func (c *Canvas) Words(p Path, ink color.RGBA, halo float64, paper color.RGBA) {
	if halo > 0 {
		// Round corners: a pointed halo shows as thorns.
		c.Stroke(p, Pen{Width: 2 * halo, Round: true}, paper)
	}
	c.Fill(p, ink)
}

// Upright is an angle turned by half a circle if text along it would stand on
// its head. Text that runs nearly straight up or down is read from below.
func Upright(turn float64) float64 {
	const steepest = 80 * math.Pi / 180 // downwards
	turn = math.Remainder(turn, 2*math.Pi)
	if turn > steepest {
		return turn - math.Pi
	}
	if turn <= steepest-math.Pi {
		return turn + math.Pi
	}
	return turn
}
