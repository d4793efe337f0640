package surveypage

import (
	"bytes"
	"cmp"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"image/png"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/cmd/internal/wording"
	"wetfeet/terrain/quantity"
)

var (
	//go:embed survey.gohtml
	pageText string
	//go:embed survey.css
	pageCSS string

	pageTemplate = template.Must(template.New("survey").Parse(pageText))
)

// Write writes the page. The same survey gives the same bytes.
//
// It is an error to give it a plan that cannot be drawn, or a doubt about a
// spot height that is not there.
func Write(w io.Writer, s Survey) error {
	p, err := compose(&s)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, p); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

type page struct {
	Name, Lead, Datum, Grid string
	Invented                bool
	CSS                     template.CSS
	Facts                   []fact
	First                   []string
	Plan                    picture
	PlanFile                string
	Errors, Residuals       *picture
	Classes                 []class
	Marks                   []count
	Doubts                  []doubtView
	Next                    []placeView
	Changed                 []changeView
	MoreChanged             int  // that the table leaves out
	OnTape, Lengths         bool // some place is known on a tape, some length levelled
	Books                   []bookView
	SetUps                  []setUpView
	Misclosures             []misclosureView
	Orders                  []string
	Checks                  []checkView
	Model                   string
	Assumptions, Remarks    []string
	Cautions                []string
	Inputs                  []assess.Input
}

type fact struct{ Value, Word string }

type picture struct {
	Source        template.URL
	Width, Height int
}

type class struct {
	Swatch       template.HTML
	Label, Share string
}

type count struct {
	Mark template.HTML
	N    int
	Word string
}

type doubtView struct {
	Rank                                int
	Mark                                template.HTML
	Name, Where, Level, Says, Off, Size string
	Reason                              string
}

type placeView struct {
	Rank               int
	East, North, Along string
	Before, After, Why string
}

type changeView struct{ Name, East, North, Before, After, By, Error string }

// mostChanged is how many changes of the ground the table holds.
const mostChanged = 40

func compose(s *Survey) (*page, error) {
	plan := s.Plan
	plan.Suspicious, plan.Next = nil, nil
	for i, d := range s.Doubts {
		if d.Shot < 0 || d.Shot >= len(plan.Shots) {
			return nil, fmt.Errorf("doubt %d is about spot height %d, but there are %d", i+1, d.Shot, len(plan.Shots))
		}
		plan.Suspicious = append(plan.Suspicious, d.Shot)
	}
	for _, n := range s.Next {
		plan.Next = append(plan.Next, n.Point)
	}
	u := plan.Units
	p := &page{
		Name: plan.Title, Invented: plan.Invented, CSS: template.CSS(look.PageStyle + pageCSS),
		Lead: lead(s), Datum: datum(&plan), Grid: drafting.SystemName(crs(&plan)),
		First: first(s), PlanFile: s.PlanFile, Model: s.Model,
		Assumptions: s.Assumptions, Remarks: s.Remarks, Inputs: s.Inputs,
		Cautions: append([]string{plansheet.Cautions[2]}, assess.Cautions...),
	}
	if strings.TrimSpace(p.Name) == "" {
		p.Name = "Unnamed survey"
	}
	var bad []error
	draw := func(o plansheet.Options) *picture {
		m, err := drawn(plan, o)
		if err != nil {
			bad = append(bad, err)
		}
		return m
	}
	if m := draw(plansheet.Options{Paper: s.Paper}); m != nil {
		p.Plan = *m
	}
	if len(bad) == 0 && plan.Error != nil {
		p.Errors = draw(plansheet.Options{Show: plansheet.Errors, Bare: true, DPI: pictureDPI})
		p.Classes = classes(&plan)
	}
	if len(bad) == 0 && len(plan.Standardised) > 0 {
		p.Residuals = draw(plansheet.Options{Show: plansheet.Residuals, Bare: true, DPI: pictureDPI})
		p.Marks = marks(&plan)
	}
	if err := errors.Join(bad...); err != nil {
		return nil, err
	}
	p.Facts = facts(s, &plan)
	for i, d := range s.Doubts {
		shot := plan.Shots[d.Shot]
		p.Doubts = append(p.Doubts, doubtView{
			Rank: i + 1, Mark: inline(look.Residual(d.Standardised)), Name: named(shot.Name), Where: d.Where,
			Level: quantity.FormatLength(shot.Z, u), Says: quantity.FormatLength(shot.Z-d.Off, u),
			Off: signed(d.Off, u), Size: strconv.FormatFloat(math.Abs(d.Standardised), 'f', 1, 64), Reason: d.Reason,
		})
	}
	for i, n := range s.Next {
		v := placeView{Rank: i + 1, Along: n.Along, Why: n.Why}
		p.OnTape = p.OnTape || n.Along != ""
		v.East, v.North = coordinate(n.Point[0], &plan), coordinate(n.Point[1], &plan)
		if n.Before > 0 {
			v.Before = "±" + quantity.FormatDepth(n.Before, u)
		}
		if n.After > 0 {
			v.After = "±" + quantity.FormatDepth(n.After, u)
		}
		p.Next = append(p.Next, v)
	}
	for _, c := range s.Changed[:min(mostChanged, len(s.Changed))] {
		by := "+" + quantity.FormatLength(c.After-c.Before, u)
		if c.After < c.Before {
			by = "−" + quantity.FormatLength(c.Before-c.After, u)
		}
		p.Changed = append(p.Changed, changeView{
			Name: named(c.Name), East: coordinate(c.Point[0], &plan), North: coordinate(c.Point[1], &plan),
			Before: quantity.FormatLength(c.Before, u), After: quantity.FormatLength(c.After, u), By: by, Error: "±" + quantity.FormatDepth(c.SD, u),
		})
	}
	p.MoreChanged = len(s.Changed) - len(p.Changed)
	if s.Book != nil {
		p.addBook(s.Book)
	}
	return p, nil
}

// pictureDPI keeps the letters of a bare sheet sharp on a screen of two pixels
// to the point.
const pictureDPI = 300

func drawn(plan plansheet.Plan, o plansheet.Options) (*picture, error) {
	var b bytes.Buffer
	if err := plansheet.WritePNG(&b, plan, o); err != nil {
		return nil, err
	}
	size, err := png.DecodeConfig(bytes.NewReader(b.Bytes()))
	if err != nil {
		return nil, err
	}
	return &picture{template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes())), size.Width, size.Height}, nil
}

func crs(p *plansheet.Plan) string {
	if p.Ground == nil {
		return ""
	}
	return p.Ground.CRS
}

// coordinate is a place as a tape or a satellite receiver has it: to the
// centimetre.
func coordinate(v float64, p *plansheet.Plan) string {
	unit, _ := p.GridUnit()
	return strconv.FormatFloat(v/unit, 'f', 2, 64)
}

func datum(p *plansheet.Plan) string {
	unit := "metres"
	if p.Units == quantity.Feet {
		unit = "feet"
	}
	if d := strings.TrimSpace(p.Datum); d != "" {
		return "Levels are " + unit + " " + d + "."
	}
	return "Levels are " + unit + "; what they are above is not known, so they compare with each other only."
}

func named(s string) string {
	if s = strings.TrimSpace(s); s == "" {
		return "unnamed"
	}
	return s
}

func signed(off float64, u quantity.Units) string {
	if off < 0 {
		return quantity.FormatLength(-off, u) + " too low"
	}
	return quantity.FormatLength(off, u) + " too high"
}

// lead is the survey in a sentence or two.
func lead(s *Survey) string {
	out := "A ground made from " + wording.Count(len(s.Plan.Shots), "spot height") + "."
	if s.Plan.LeaveOneOut > 0 {
		out += " Between them it is good to about ±" + quantity.FormatDepth(s.Plan.LeaveOneOut, s.Plan.Units) + "."
	}
	switch n := len(s.Doubts); n {
	case 0:
		if len(s.Plan.Standardised) > 0 {
			out += " No height stands out from its neighbours."
		}
	case 1:
		out += " One height does not go with its neighbours."
	default:
		out += fmt.Sprintf(" %d heights do not go with their neighbours.", n)
	}
	return out
}

// first is what to do first.
func first(s *Survey) []string {
	var out []string
	for i, d := range s.Doubts {
		if i == 3 {
			out = append(out, fmt.Sprintf("Look at the other %d doubtful heights in the table below.", len(s.Doubts)-3))
			break
		}
		where := ""
		if d.Where != "" {
			where = " (" + d.Where + ")"
		}
		name := strings.TrimSpace(s.Plan.Shots[d.Shot].Name)
		out = append(out, fmt.Sprintf("Check the reading of %s%s: %s", cmp.Or(name, "the shot"), where, sentence(d.Reason)))
	}
	if n := len(s.Next); n > 0 {
		out = append(out, fmt.Sprintf("With the level still set up, take %s more: %s.", wording.Count(n, "reading"), "numbered on the picture of how well the ground is known"))
	}
	if s.PlanFile != "" {
		out = append(out, "For work on the ground print "+s.PlanFile+" at 100 % and check its bar with a ruler.")
	}
	return out
}

// sentence ends a text as a sentence ends.
func sentence(text string) string {
	if text = strings.TrimSpace(text); text == "" || strings.ContainsAny(text[len(text)-1:], ".?!") {
		return text
	}
	return text + "."
}

func facts(s *Survey, p *plansheet.Plan) []fact {
	out := []fact{{strconv.Itoa(len(p.Shots)), "spot heights"}}
	if p.LeaveOneOut > 0 {
		out = append(out, fact{"±" + quantity.FormatDepth(p.LeaveOneOut, p.Units), "each height left out in turn"})
	}
	if s.BlockRMS > 0 {
		out = append(out, fact{"±" + quantity.FormatDepth(s.BlockRMS, p.Units), "whole parts of the site left out"})
	}
	if len(p.Standardised) > 0 {
		out = append(out, fact{strconv.Itoa(len(s.Doubts)), "doubtful"})
	}
	if s.Book != nil && len(s.Book.Misclosures) > 0 {
		n := 0
		for _, m := range s.Book.Misclosures {
			if within(m) {
				n++
			}
		}
		out = append(out, fact{fmt.Sprintf("%d of %d", n, len(s.Book.Misclosures)), "closures within the allowable"})
	}
	return out
}

// classes are the classes of error that are met, with the part of the ground
// in each.
func classes(p *plansheet.Plan) []class {
	all := look.Errors(p.Units)
	n := make([]int, len(all))
	sum := 0
	for i, v := range p.Error.Cells {
		if z := p.Ground.Cells[i]; v == v && z == z {
			n[look.Error(p.Units, float64(v))]++
			sum++
		}
	}
	var out []class
	for i, c := range all {
		if n[i] == 0 {
			continue
		}
		share := fmt.Sprintf("%.0f %% of the ground", 100*float64(n[i])/float64(sum))
		if n[i]*200 < sum {
			share = "under 1 % of the ground"
		}
		out = append(out, class{
			Swatch: template.HTML(fmt.Sprintf(`<svg class="swatch" viewBox="0 0 24 16" aria-hidden="true"><rect x="1" y="1" width="22" height="14" fill="%s" stroke="%s"/></svg>`, look.Hex(c.Fill), look.Hex(look.Ink))),
			Label:  c.Label, Share: share,
		})
	}
	return out
}

// marks are the marks of residuals that are met, with how many of each.
func marks(p *plansheet.Plan) []count {
	n := make(map[string]int)
	for _, t := range p.Standardised {
		n[look.Residual(t).Name]++
	}
	var out []count
	for _, m := range slices.Concat(look.Residuals(), []look.Symbol{look.Residual(math.NaN())}) {
		if n[m.Name] > 0 {
			out = append(out, count{Mark: inline(m), N: n[m.Name], Word: m.Name + ": " + m.Shape})
		}
	}
	return out
}

// inline is a symbol as a small picture among words. The word beside it says
// the same, so readers that speak leave it out.
func inline(m look.Symbol) template.HTML {
	return template.HTML(`<svg class="mark" viewBox="-11 -11 22 22" aria-hidden="true">` + m.SVG() + `</svg>`)
}
