package fieldbook

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two routes to one peg: over one set-up its rise is 0.500 m, over two set-ups
// 0.512 m. With equal weights a set-up, the mean is weighed 2 to 1.
func TestLoopsThatShareAPegAreAdjustedTogether(t *testing.T) {
	r := reduced(t, `order: 10 mm sqrt(n)
point,bs,fs,level
BM,1.500,,10
P,,1.000,
loop: the long way
BM,1.500,,10
Q,1.400,1.300,
P,,1.088,
`)
	require.Len(t, r.Misclosures, 1)
	assert.InDelta(t, 0.012, r.Misclosures[0].Value, 1e-12)
	assert.Equal(t, 3, r.Misclosures[0].SetUps)
	got := levels(r)
	assert.InDelta(t, 10.504, got["P"], 1e-9)
	assert.InDelta(t, 10.200-0.004, got["Q"], 1e-9)
	// The variance of the peg: one set-up and two in parallel, two sights
	// each of 3 mm; the misclosure of 12 mm over three set-ups shows
	// 12/√6 = 4.9 mm a sight, which is taken as it is the larger.
	sight := 0.012 / 2.449489742783178
	for _, p := range r.Points {
		if p.Name == "P" {
			assert.InDelta(t, sight*1.1547005383792515, p.Error, 1e-9) // √(2·4/6)
		}
	}
	assert.Contains(t, strings.Join(r.Remarks, "\n"), "closes worse than its readings are said to be")
}

func TestATurningPointBookedOnTwoRows(t *testing.T) {
	one := reduced(t, "point,bs,fs,level\nBM,1.5,,10\nTP,1.4,1.3,\nBM,,1.6,\n")
	two := reduced(t, "point,bs,fs,level\nBM,1.5,,10\nTP,,1.3,\nTP,1.4,,\nBM,,1.6,\n")
	assert.Equal(t, one.Misclosures[0].Value, two.Misclosures[0].Value)
	assert.Equal(t, len(one.SetUps), len(two.SetUps))
}

func TestPegsWithoutANameAreEachTheirOwn(t *testing.T) {
	r := reduced(t, "point,bs,fs,level\nBM,1.5,,10\nTP,1.4,1.3,\nTP,1.4,1.6,\nBM,,1.4,\n")
	require.Len(t, r.Misclosures, 1)
	assert.Equal(t, 3, r.Misclosures[0].SetUps)
	err := refused(t, "point,bs,fs,level\nBM,1.5,,10\nT1,1.4,1.3,\nT1,1.4,1.1,\nBM,,1.9,\n")
	assert.ErrorContains(t, err, "if T1 there is another point than before, give it another name")
}

func TestTapesFromPlacesInDegrees(t *testing.T) {
	r := reduced(t, `sheet: points
point,lon,lat
A,-96.4,29.1
B,-96.4,29.101
sheet: laser
base: from A, to B
instrument height: 10
point,reading,along,offset
north,1,100,0
east,1.2,0,50 R
`)
	assert.True(t, r.LonLat)
	a := r.Shots[0].Point
	assert.InDelta(t, -96.4, a[0], 1e-12)
	e, n := apart(r.Shots[0].Point, r.Shots[1].Point, true)
	assert.InDelta(t, 50, e, 1e-3)
	assert.InDelta(t, -100, n, 1e-3)
}

func TestShareByDistanceFromTheBook(t *testing.T) {
	r := reduced(t, `order: fourth
share: distance
point,bs,fs,level,distance
BM,1.500,,10,
A,1.400,1.200,,100
B,1.300,1.600,,200
BM,,1.410,,400
`)
	m := r.Misclosures[0]
	assert.InDelta(t, -0.010, m.Value, 1e-12)
	assert.InDelta(t, 400, m.Metres, 1e-12)
	assert.InDelta(t, 0.024*0.6324555320336759, m.Allowable, 1e-12) // 24 mm √0.4 km
	for i, want := range []float64{0, 0.0025, 0.005, 0.010} {
		assert.InDelta(t, want, r.Bookings[0].Rows[i].Correction, 1e-9)
	}
}

// A laser sheet of many shots: what reading and reducing costs a row.
func BenchmarkReduceLaserSheet(b *testing.B) {
	const rows = 50_000
	var text strings.Builder
	text.WriteString("sheet: laser\ninstrument height: 101.25\npoint,reading,x,y\n")
	for i := range rows {
		fmt.Fprintf(&text, "G%d,1.%03d,%d,%d\n", i, i%1000, i%250, i/250)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		book, err := Read(strings.NewReader(text.String()), "bench.csv")
		require.NoError(b, err)
		_, err = book.Reduce(Options{})
		require.NoError(b, err)
	}
	b.ReportMetric(float64(rows)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}

// A line of levelling of many set-ups out and back: what the adjustment costs.
func BenchmarkReduceLevelBook(b *testing.B) {
	for _, bays := range []int{30, 250} {
		b.Run(fmt.Sprintf("set-ups=%d", 2*bays), func(b *testing.B) {
			var text strings.Builder
			text.WriteString("point,bs,fs,level\nBM,1.5,,10\n")
			for i := range 2*bays - 1 {
				fmt.Fprintf(&text, "T%d,1.5,1.5,\n", min(i, 2*bays-2-i))
			}
			text.WriteString("BM,,1.5,\n")
			for b.Loop() {
				book, err := Read(strings.NewReader(text.String()), "bench.csv")
				require.NoError(b, err)
				_, err = book.Reduce(Options{})
				require.NoError(b, err)
			}
		})
	}
}

func TestOptionsComeBeforeTheBook(t *testing.T) {
	read := func(text string) *Book {
		b, err := Read(strings.NewReader(text), "book.csv")
		require.NoError(t, err)
		return b
	}
	loop := read("order: 50 mm sqrt(n)\npoint,bs,fs,level\nBM,1.5,,10\nA,1.4,1.2,\nBM,,1.72,\n")
	_, err := loop.Reduce(Options{})
	require.NoError(t, err)
	strict, err := ParseOrder("construction")
	require.NoError(t, err)
	_, err = loop.Reduce(Options{Order: &strict})
	assert.ErrorIs(t, err, ErrInput)

	line := read("point,bs,fs,level\nBM,1.5,,10\nA,1.4,1.2,\nB,,1.7,\n")
	_, err = line.Reduce(Options{})
	assert.ErrorContains(t, err, "an unclosed line")
	r, err := line.Reduce(Options{Open: true})
	require.NoError(t, err)
	assert.Contains(t, strings.Join(r.Remarks, "\n"), "nothing checks the readings there")

	// Each sight adds 3 mm: two to A, four to B.
	for _, p := range r.Points {
		switch p.Name {
		case "A":
			assert.InDelta(t, 0.003*math.Sqrt(2), p.Error, 1e-12)
		case "B":
			assert.InDelta(t, 0.003*2, p.Error, 1e-12)
		}
	}
}

// A peg that is only called TP has one level, though it is read twice in its
// row.
func TestTurningPointWithoutANameOfItsOwnIsOnePoint(t *testing.T) {
	book, err := Read(strings.NewReader("point,bs,is,fs,level\nBM,1.50,,,10\nTP,1.40,,1.20,\nG,,1.30,,\nBM,,,1.70,\n"), "book.csv")
	require.NoError(t, err)
	r, err := book.Reduce(Options{})
	require.NoError(t, err)
	var names []string
	for _, p := range r.Points {
		names = append(names, p.Name)
	}
	assert.Equal(t, []string{"BM", "TP", "G"}, names)
}
