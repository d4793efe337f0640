package surveypage

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/heronbend"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey"
	"wetfeet/terrain/survey/fieldbook"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// surface lays a surface through the shots of a plan and says how far off each
// of them is.
func surface(p *plansheet.Plan, crs string, cell float64) (model string) {
	var shots []survey.Shot
	for _, s := range p.Shots {
		shots = append(shots, survey.Shot{Point: s.Point, Z: s.Z, Name: s.Name})
	}
	m, err := survey.Fit(shots, survey.Options{})
	if err != nil {
		panic(err)
	}
	f, err := survey.FrameFor(shots, cell)
	if err != nil {
		panic(err)
	}
	f.CRS = crs
	p.Ground, p.Error = m.Grid(f)
	v := m.LeaveOneOut()
	p.LeaveOneOut = v.RMSE
	for _, r := range v.Residuals {
		p.Standardised = append(p.Standardised, r.Standardised)
	}
	return m.String()
}

// orchard is Heron Bend with two staffs misread, as a table of spot heights.
var orchard = sync.OnceValue(func() Survey {
	p := plansheet.Plan{Title: "Heron Bend", Invented: true, Datum: "above an assumed datum, from benchmark BM1 = 100.000 m"}
	for i, s := range heronbend.Shots() {
		z := s.Z + map[int]float64{17: 0.5, 61: -0.3}[i]
		p.Shots = append(p.Shots, plansheet.Shot{Name: s.Note, Point: s.Point, Z: z})
	}
	s := Survey{Model: surface(&p, heronbend.CRS, 0.5), BlockRMS: 0.094, PlanFile: "contour-plan.pdf"}
	s.Plan = p
	s.Doubts = []Doubt{
		{Shot: 17, Off: 0.49, Standardised: p.Standardised[17], Where: "line 19", Reason: "0.50 m too high: a decimetre figure misread on the staff?"},
		{Shot: 61, Off: -0.29, Standardised: p.Standardised[61], Where: "line 63", Reason: "0.30 m too low; no slip of the usual kind"},
	}
	for i, q := range [...][2]float64{{60, 85}, {120, 90}, {120, 12}, {20, 20}, {75, 45}} {
		s.Next = append(s.Next, Place{
			Point: orb.Point{heronbend.West + q[0], heronbend.South + q[1]}, Before: 0.11, After: 0.02,
			Why: fmt.Sprintf("Between the swale and row %c: it would settle whether three trees stand in the hollow.", 'A'+i),
		})
	}
	s.Assumptions = []string{"The error of a height is fitted, since the table states none.", "The surface is a tilted plane and a Matérn 3/2 covariance."}
	s.Remarks = []string{"Two depressions deeper than the error hold no spot height."}
	s.Inputs = []assess.Input{{Role: "spot heights", Name: "survey.csv", Bytes: 4096, SHA256: strings.Repeat("ab", 32)}}
	return s
})

// reduced is the reduction of a book.
func reduced(text, name string) *fieldbook.Reduction {
	book, err := fieldbook.Read(strings.NewReader(text), name)
	if err != nil {
		panic(err)
	}
	r, err := book.Reduce(fieldbook.Options{})
	if err != nil {
		panic(err)
	}
	return r
}

func fromBook(r *fieldbook.Reduction) Survey {
	p := plansheet.Plan{Title: r.Title, Invented: true, Units: r.Units, Datum: "above an assumed datum, from benchmark BM1 = 100.00"}
	for _, s := range r.Shots {
		p.Shots = append(p.Shots, plansheet.Shot{Name: s.Name, Point: s.Point, Z: s.Z})
	}
	for _, l := range r.Lines {
		p.Breaklines = append(p.Breaklines, plansheet.Breakline{Code: l.Code, Kind: plansheet.KindOf(l.Code), Points: l.Points, Closed: l.Closed})
	}
	s := Survey{Book: r, Paper: plansheet.Letter, Model: surface(&p, r.CRS, 0)}
	s.Plan = p
	return s
}

func asTemplate(kind string) func() Survey {
	return func() Survey {
		text, err := fieldbook.Template(kind)
		if err != nil {
			panic(err)
		}
		return fromBook(reduced(text, kind+".csv"))
	}
}

// longBook is a level book of sixty shots along a bed, three abreast, in feet
// and inches, with a set-up every twelve and back to the benchmark.
func longBook() Survey {
	var b strings.Builder
	b.WriteString("book: Long bed (invented)\nunits: ft\nstaff: 16 ft\norder: construction\nsheet: points\npoint,x,y\nA,100,200\nB,380,420\n")
	b.WriteString("sheet: level\nbase: row A, from A, to B\npage: 1\npoint,bs,is,fs,level,along,offset,code,remarks\n")
	inches := func(feet float64) string { // to an eighth, as a staff is read
		e := int(math.Round(feet * 96))
		return fmt.Sprintf(`%d' %d %d/8"`, e/96, e/8%12, e%8)
	}
	hi := 100 + 5.25
	fmt.Fprintf(&b, "BM1,%s,,,100.00,,,,nail in the pump slab\n", inches(5.25))
	z := func(along, off float64) float64 {
		return 100 - 0.006*along + 0.5*math.Sin(along/40) - 0.004*off*off
	}
	for i := range 60 {
		along, off := float64(i/3)*16, float64(i%3-1)*6
		side, code := "0", "bed"
		if off < 0 {
			side, code = "6 L", "ditch 1"
		} else if off > 0 {
			side, code = "6 R", "bank top"
		}
		if code == "bed" {
			code = ""
		}
		fmt.Fprintf(&b, "A%d,,%s,,,%g,%s,%s,\n", i+1, inches(hi-z(along, off)), along, side, code)
		if i%12 == 11 {
			tp := z(along, 9) + 0.3
			next := tp + 4.75
			if i < 59 {
				fmt.Fprintf(&b, "TP%d,%s,,%s,,,,,peg\npage: %d\n", i/12+1, inches(next-tp), inches(hi-tp), i/12+2)
				hi = hi - math.Round((hi-tp)*96)/96 + math.Round((next-tp)*96)/96
			}
		}
	}
	fmt.Fprintf(&b, "TP9,%s,,%s,,,,,peg\nBM1,,,%s,,,,,back on the slab\n", inches(6), inches(hi-98), inches(98+6-100+0.01))
	return fromBook(reduced(strings.ReplaceAll(b.String(), " 0/8\"", "\""), "long.csv"))
}

const hostile = `</title><script>alert("x")</script><img src=x onerror=y>'&`

func surveys() map[string]func() Survey {
	return map[string]func() Survey{
		"orchard": orchard,
		"orchard in feet": func() Survey {
			s := orchard()
			s.Plan.Units = quantity.Feet
			return s
		},
		"level book": asTemplate("level"),
		"laser":      asTemplate("laser"),
		"long book":  longBook,
		"bare": func() Survey {
			s := orchard()
			return Survey{Plan: plansheet.Plan{Ground: s.Plan.Ground}}
		},
		"hostile words": func() Survey {
			s := orchard()
			s.Plan.Shots = append([]plansheet.Shot(nil), s.Plan.Shots...)
			s.Plan.Title, s.Plan.Datum, s.Plan.Shots[17].Name = hostile, hostile, hostile
			s.Model, s.PlanFile, s.Assumptions, s.Remarks = hostile, hostile, []string{hostile}, []string{hostile}
			s.Doubts = []Doubt{{Shot: 17, Off: 0.5, Standardised: 4, Where: hostile, Reason: hostile}}
			s.Next = []Place{{Point: s.Plan.Shots[3].Point, Along: hostile, Why: hostile}}
			s.Inputs = []assess.Input{{Role: hostile, Name: hostile}}
			return s
		},
	}
}

func written(t testing.TB, s Survey) string {
	var b bytes.Buffer
	require.NoError(t, Write(&b, s))
	return b.String()
}

var (
	tag     = regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`)
	carried = regexp.MustCompile(`data:image/png;base64,[A-Za-z0-9+/&#;=]*`) // pictures
	space   = regexp.MustCompile(`\s+`)
)

// words is what a reader sees of a page.
func words(page string) string {
	return space.ReplaceAllString(html.UnescapeString(tag.ReplaceAllString(page, " ")), " ")
}

func TestEveryPage(t *testing.T) {
	for name, make := range surveys() {
		t.Run(name, func(t *testing.T) {
			s := make()
			text := written(t, s)
			// go test -run EveryPage -artifacts leaves the pages to be looked at.
			require.NoError(t, os.WriteFile(filepath.Join(t.ArtifactDir(), strings.ReplaceAll(name, " ", "-")+".html"), []byte(text), 0o644))

			text = carried.ReplaceAllString(text, "")
			for _, must := range append([]string{"Contour plan", "Before you dig", plansheet.Cautions[2]}, assess.Cautions...) {
				assert.Contains(t, words(text), must)
			}
			assert.NotContains(t, text, "ZgotmplZ")
			assert.NotContains(t, text, "NaN")
			assert.NotContains(t, text, "<no value>")
			assert.NotContains(t, text, "://", "no network")
			assert.NotContains(t, text, "<script", "no scripts, of ours or of others")
			for _, open := range []string{"section", "table", "tr", "td", "th", "ul", "ol", "li", "figure", "p", "h2", "h3", "div", "span", "svg"} {
				opened := regexp.MustCompile(`<`+open+`[\s>]`).FindAllString(text, -1)
				assert.Len(t, opened, strings.Count(text, "</"+open+">"), "<%s>", open)
			}
		})
	}
}

func TestOrchardTellsAll(t *testing.T) {
	text := words(written(t, orchard()))
	for _, must := range []string{
		"A ground made from 120 spot heights.", "2 heights do not go with their neighbours.",
		"An invented place", "metres above an assumed datum, from benchmark BM1 = 100.000 m", "EPSG:32614",
		"Check the reading of row B (line 19): 0.50 m too high: a decimetre figure misread on the staff? ",
		"0.49 m too high", "0.29 m too low", "Where to measure next", "500160.00", "±11 cm", "±2.0 cm",
		"whole parts of the site left out", "contour-plan.pdf", "Two depressions deeper than the error hold no spot height.",
		"far too high: dark triangle with a bar, pointing up", "5 to 10 cm:", "% of the ground", "spot heights: survey.csv , 4096 bytes",
	} {
		assert.Contains(t, text, must)
	}
	assert.NotContains(t, text, "On the tape")
	assert.NotContains(t, text, "level book")
	assert.NotContains(t, text, "How the levelling closes")
}

// Every figure of the book is on the page, as its fair copy has it.
func TestBookIsOnThePageAsBooked(t *testing.T) {
	s := longBook()
	text := words(written(t, s))
	require.Len(t, s.Plan.Shots, 60)
	require.NotEmpty(t, s.Book.Bookings)
	for _, b := range s.Book.Bookings {
		for _, r := range b.Rows {
			for _, v := range []float64{r.Back, r.Inter, r.Fore, r.Rise, r.Fall, r.Instrument, r.Level, r.Adjusted} {
				if !math.IsNaN(v) {
					assert.Contains(t, text, fmt.Sprintf("%.3f", v/0.3048), r.Point)
				}
			}
		}
		assert.Contains(t, text, "the three agree.")
	}
	require.NotEmpty(t, s.Book.Misclosures)
	for _, m := range s.Book.Misclosures {
		assert.Contains(t, text, m.Loop)
		assert.Contains(t, text, m.Order.Source)
		assert.Contains(t, text, "±"+small(m.Allowable, quantity.Feet))
	}
	assert.Contains(t, text, "within the allowable")
	assert.Contains(t, text, "Page 5")
	assert.Contains(t, text, "back on the slab")
}

func TestLaserSetUpsAreOnThePage(t *testing.T) {
	text := words(written(t, asTemplate("laser")()))
	assert.Contains(t, text, "Laser and water level")
	assert.Contains(t, text, "Height of instrument")
}

func TestHostileWordsStayWords(t *testing.T) {
	page := written(t, surveys()["hostile words"]())
	assert.NotContains(t, page, "<script")
	assert.NotContains(t, page, "<img src=x")
	assert.GreaterOrEqual(t, strings.Count(words(page), hostile), 10, "they are still read as typed")
}

func TestSameBytesOnAnyNumberOfThreads(t *testing.T) {
	s := asTemplate("level")()
	want := written(t, s)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	assert.True(t, want == written(t, s))
	runtime.GOMAXPROCS(7)
	assert.True(t, want == written(t, s))
}

func TestWriteRefuses(t *testing.T) {
	s := orchard()
	s.Doubts = append([]Doubt(nil), Doubt{Shot: 120})
	assert.EqualError(t, Write(&bytes.Buffer{}, s), "doubt 1 is about spot height 120, but there are 120")
	assert.EqualError(t, Write(&bytes.Buffer{}, Survey{}), "no ground to draw a plan of: not one cell has an elevation")
}

func TestSentencesEndOnce(t *testing.T) {
	for text, want := range map[string]string{"a": "a.", "a.": "a.", "a?": "a?", "": "", " a! ": "a!"} {
		assert.Equal(t, want, sentence(text))
	}
}

func TestSmallFigures(t *testing.T) {
	assert.Equal(t, "3.0 mm", small(0.003, quantity.Metric))
	assert.Equal(t, "−0.4 mm", small(-0.00041, quantity.Metric))
	assert.Equal(t, "0.0 mm", small(-0.00001, quantity.Metric), "never minus nothing")
	assert.Equal(t, "0.0100 ft", small(0.003048, quantity.Feet))
}
