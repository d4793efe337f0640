package heronbend

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"

	"github.com/paulmach/orb"
)

// The level book of Heron Bend: a strip along row E, three shots abreast at
// twenty stations, in feet, inches and eighths.
const (
	bookFoot     = 0.3048 // m
	bookStations = 20
	bookStep     = 24.0 // ft along the row
	bookOffset   = 10.0 // ft to either side
	bookBench    = 318.00
	bookEye      = 5.2 // ft, the instrument above the ground
	bookReading  = 0.004
)

// WriteBook writes the level book: readings from four set-ups of the
// instrument, each good to a millimetre or so, from a benchmark out along the
// row and back to it.
func WriteBook(w io.Writer) error {
	var row Row
	for _, r := range Rows() {
		if r.Name == "E" {
			row = r
		}
	}
	from, to := row.Line[0], row.Line[1]
	length := math.Hypot(to[0]-from[0], to[1]-from[1])
	ux, uy := (to[0]-from[0])/length, (to[1]-from[1])/length
	at := func(along, left float64) orb.Point { // ft
		a, l := along*bookFoot, left*bookFoot
		return orb.Point{from[0] + ux*a - uy*l, from[1] + uy*a + ux*l}
	}
	feet := func(p orb.Point) float64 { return Ground(p[0], p[1]) / bookFoot }
	noise := rand.New(rand.NewPCG(0x6c65, 2))

	var b strings.Builder
	b.WriteString("# The level book of a strip along row E of Heron Bend. The place and every figure are invented.\n" +
		"book: Heron Bend, row E (invented)\ncrs: " + CRS + "\nunits: ft\nstaff: 16 ft\norder: construction\n\n")
	fmt.Fprintf(&b, "sheet: points\npoint, x, y\nE1, %.3f m, %.3f m\nE2, %.3f m, %.3f m\n\n", from[0], from[1], to[0], to[1])
	b.WriteString("sheet: level\nbase: row E, from E1, to E2\npoint, bs, is, fs, level, along, offset, code, remarks\n")

	bench := at(-8, 0)
	datum := bookBench - feet(bench) // levels of the book less those of the ground
	read := func(instrument, level float64) string {
		return inches(instrument - level + bookReading*noise.NormFloat64())
	}
	stand := func(p orb.Point) float64 { return feet(p) + datum + bookEye }

	instrument := stand(at(60, 4))
	fmt.Fprintf(&b, "BM1, %s, , , %.2f, , , , nail in the gatepost\n", read(instrument, bookBench), bookBench)
	shot := 0
	for k := range bookStations {
		along := bookStep * float64(k)
		for _, left := range []float64{0, bookOffset, -bookOffset} {
			shot++
			side := ""
			switch {
			case left > 0:
				side = fmt.Sprintf("%g L", left)
			case left < 0:
				side = fmt.Sprintf("%g R", -left)
			default:
				side = "0"
			}
			fmt.Fprintf(&b, "S%d, , %s, , , %g, %s, , \n", shot, read(instrument, feet(at(along, left))+datum), along, side)
		}
		if k%5 == 4 && k < bookStations-1 {
			peg := at(along+12, -4)
			level := feet(peg) + datum
			fore := read(instrument, level)
			instrument = stand(at(along+72, 4))
			fmt.Fprintf(&b, "TP%d, %s, , %s, , , , , peg\n", k/5+1, read(instrument, level), fore)
		}
	}
	// Back to the benchmark by two long sights to each side.
	for i, along := range []float64{300, 120} {
		peg := at(along, 6)
		level := feet(peg) + datum
		fore := read(instrument, level)
		instrument = stand(at(along-70, 2))
		fmt.Fprintf(&b, "TP%d, %s, , %s, , , , , peg on the way back\n", i+5, read(instrument, level), fore)
	}
	fmt.Fprintf(&b, "BM1, , , %s, , , , , back on the nail\n", read(instrument, bookBench))
	_, err := io.WriteString(w, b.String())
	return err
}

// inches writes feet as a staff is read: feet, inches and eighths.
func inches(feet float64) string {
	eighths := int(math.Round(feet * 12 * 8))
	part := [...]string{"", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8", " 3/4", " 7/8"}[eighths%8]
	return fmt.Sprintf("%d' %d%s\"", eighths/96, eighths%96/8, part)
}
