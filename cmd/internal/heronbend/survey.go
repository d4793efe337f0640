package heronbend

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/paulmach/orb"
)

// A Shot is one spot height of the grower's own survey.
type Shot struct {
	Point orb.Point // EPSG:32614, to the centimetre
	Z     float64   // m, to the millimetre
	Note  string    // what the staff stood on
}

// Shots are 120 spot heights with an error of ShotError, taken where someone
// with a laser level would take them: down the rows, then the floors, rims
// and saddle of what looks wet, the swale, the track and the fence. They are
// the same every time.
func Shots() []Shot {
	var shots []Shot
	take := func(note string, u, v float64) {
		p := orb.Point{West + centimetres(u), South + centimetres(v)}
		shots = append(shots, Shot{Point: p, Note: note})
	}

	for _, row := range Rows() { // 6 × 9
		from, to := row.Line[0], row.Line[1]
		for i := range 9 {
			t := float64(i) / 8
			take(fmt.Sprintf("row %s", row.Name),
				from[0]+t*(to[0]-from[0])-West, from[1]+t*(to[1]-from[1])-South)
		}
	}

	for _, b := range []struct { // 3 × 4
		name string
		bowl
	}{{"west bowl", westBowl}, {"east bowl", eastBowl}, {"pocket", pocket}} {
		take(b.name+" floor", b.u, b.v)
		take(b.name+" north side", b.u, b.v+b.rv/2)
		take(b.name+" south side", b.u, b.v-b.rv/2)
		take(b.name+" rim", b.u, b.v-b.rv)
	}
	take("saddle between the bowls", 44, 29)
	take("saddle between the bowls", 45.5, 26)
	for i := range 10 { // the rim of the wide hollow, all round
		a := 2 * math.Pi * float64(i) / 10
		take("hollow rim", hollow.u+0.95*hollow.ru*math.Cos(a), hollow.v+0.95*hollow.rv*math.Sin(a))
	}

	for _, v := range []float64{100, 90, 80, 70, 62, 54, 48, 44, 30, 20, 10, 3} { // 12 × 1, and shoulders
		take("swale floor", swale.middle(v), v)
	}
	for _, v := range []float64{95, 75, 60, 50, 25} { // 5 × 2
		take("swale shoulder", swale.middle(v)-swale.half*1.1, v)
		take("swale shoulder", swale.middle(v)+swale.half*1.1, v)
	}

	for _, v := range []float64{96, 80, 64, 50, 42, 38, 34, 18} { // 8
		take("track crown", 104, v)
	}
	take("foot of the track", 100.8, 44)
	take("foot of the track", 100.8, 37)

	take("knoll", 18, 82)
	for _, p := range Boundary() { // the first nine corners
		if len(shots) == 120 {
			break
		}
		take("fence", p[0]-West, p[1]-South)
	}

	slip := rand.New(rand.NewPCG(0x4e20, 2))
	for i := range shots {
		p := shots[i].Point
		shots[i].Z = millimetres(Ground(p[0], p[1]) + ShotError*slip.NormFloat64())
	}
	return shots
}

// centimetres rounds to the centimetre.
func centimetres(x float64) float64 { return math.Round(x*100) / 100 }
