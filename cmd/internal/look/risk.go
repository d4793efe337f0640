package look

import (
	"fmt"
	"image/color"
	"math"

	"wetfeet/cmd/internal/paint"
	"wetfeet/species"
)

// A Symbol is how a tree of one risk class is drawn.
type Symbol struct {
	Name  string // of the class, the word the files use; "unknown" for none
	Shape string // what it looks like, for those who cannot see it
	Fill  color.RGBA
	Ink   color.RGBA // of the outline
	Mark  color.RGBA // of what is drawn on it

	// Body is filled and outlined, Marks filled over it. Both lie within the
	// square from −10 to 10.
	Body, Marks paint.Path
}

// Outline is the width of the line around a symbol in the square from −10 to
// 10; Halo is how far the paper around it reaches beyond that line.
const (
	Outline = 2
	Halo    = 2
)

// Risk is the symbol of a class.
func Risk(r species.Risk) Symbol {
	switch r {
	case species.Low:
		return Symbol{
			Name: r.String(), Shape: "small open circle",
			Fill: rgb(0xf7fbef), Ink: rgb(0x24452c), Mark: rgb(0x24452c),
			Body: paint.Circle(0, 0, 5.5),
		}
	case species.Moderate:
		return Symbol{
			Name: r.String(), Shape: "yellow diamond with a dot",
			Fill: rgb(0xf4c62f), Ink: Ink, Mark: Ink,
			Body:  polygon(0, -9, 9, 0, 0, 9, -9, 0),
			Marks: paint.Circle(0, 0, 2.4),
		}
	case species.High:
		return Symbol{
			Name: r.String(), Shape: "orange triangle",
			Fill: rgb(0xe0601a), Ink: Ink, Mark: Ink,
			Body: polygon(0, -9, 9.2, 7.4, -9.2, 7.4),
		}
	default:
		return Symbol{
			Name: r.String(), Shape: "dark red square with a white cross",
			Fill: rgb(0x6a0f2e), Ink: Ink, Mark: Paper,
			Body:  polygon(-8.6, -8.6, 8.6, -8.6, 8.6, 8.6, -8.6, 8.6),
			Marks: cross(5.2, 3),
		}
	}
}

// NotKnown is the symbol of a position about which the ground says nothing.
func NotKnown() Symbol {
	ink := rgb(0x4a4a4a)
	return Symbol{
		Name: "unknown", Shape: "question mark in a ring",
		Fill: Paper, Ink: ink, Mark: ink,
		Body:  paint.Circle(0, 0, 8.6),
		Marks: question(),
	}
}

// Spot is the symbol of a position: that of its class, or [NotKnown] where the
// ground is not known.
func Spot(known bool, r species.Risk) Symbol {
	if !known {
		return NotKnown()
	}
	return Risk(r)
}

// Symbols are all of them, lowest risk first and the unknown last.
func Symbols() []Symbol {
	return []Symbol{Risk(species.Low), Risk(species.Moderate), Risk(species.High), Risk(species.Severe), NotKnown()}
}

// Draw puts a symbol at (x, y) with half its square radius px wide. A halo
// of paper around it keeps it apart from what lies beneath.
func (s Symbol) Draw(c paint.Drawing, x, y, radius float64, halo bool) {
	at := paint.Placing{Scale: radius / 10, X: x, Y: y}
	body := s.Body.At(at)
	if halo {
		c.Stroke(body, paint.Pen{Width: (Outline + 2*Halo) * at.Scale}, Paper)
	}
	c.Fill(body, s.Fill)
	c.Stroke(body, paint.Pen{Width: Outline * at.Scale}, s.Ink)
	c.Fill(s.Marks.At(at), s.Mark)
}

func polygon(xy ...float64) paint.Path {
	points := make([]paint.Point, len(xy)/2)
	for i := range points {
		points[i] = paint.Point{X: xy[2*i], Y: xy[2*i+1]}
	}
	return paint.Polygon(points...)
}

// cross is a diagonal cross reaching to r on both axes.
func cross(r, width float64) paint.Path {
	var p paint.Path
	p.MoveTo(-r, -r)
	p.LineTo(r, r)
	p.MoveTo(-r, r)
	p.LineTo(r, -r)
	return p.Outline(paint.Pen{Width: width})
}

// question is a question mark.
func question() paint.Path {
	var hook paint.Path
	hook.MoveTo(-2.7, -2.2)
	hook.CurveTo(-2.7, -6.2, 3.1, -6.2, 3.1, -2.4)
	hook.CurveTo(3.1, -0.2, 0, -0.2, 0, 2.2)
	p := hook.Outline(paint.Pen{Width: 2})
	p.Append(paint.Circle(0, 4.9, 1.35))
	return p
}

// Reach is how far a symbol's outline reaches from its middle, in its square.
func (s Symbol) Reach() float64 {
	if s.Name == species.Low.String() {
		return 5.5 + Outline/2
	}
	return 9 + Outline/2*math.Sqrt2
}

// SVG is a symbol as SVG, in its square from −10 to 10, to be placed in a
// picture.
func (s Symbol) SVG() string {
	body := fmt.Sprintf(`<path d="%s" fill="%s" stroke="%s" stroke-width="%d" stroke-linejoin="round"/>`,
		s.Body.SVG(), Hex(s.Fill), Hex(s.Ink), Outline)
	if !s.Marks.Empty() {
		body += fmt.Sprintf(`<path d="%s" fill="%s"/>`, s.Marks.SVG(), Hex(s.Mark))
	}
	return body
}
