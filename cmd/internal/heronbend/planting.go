package heronbend

import (
	"math"

	"github.com/paulmach/orb"
)

// A Row is a planned row of Heron Bend.
type Row struct {
	Name    string
	Line    orb.LineString // EPSG:32614
	Spacing float64        // m
	Pattern []string       // scientific names, repeated along the row
	Gap     [2]float64     // where the track crosses: distances along the row, m
}

// Rows are the six rows, from north to south. Each is 140 m long and runs
// nearly along the contour; emergent trees stand 10 m apart or more with
// lower ones between them.
func Rows() []Row {
	plan := []struct {
		name    string
		v       float64
		spacing float64
		pattern []string
	}{
		{"A", 88, 2.5, []string{"Carya illinoinensis", "Corylus americana", "Ficus carica", "Corylus americana"}},
		{"B", 73, 2.5, []string{"Diospyros kaki", "Prunus salicina", "Vaccinium virgatum", "Prunus salicina"}},
		{"C", 58, 2.5, []string{"Pyrus communis", "Sambucus canadensis", "Morus rubra", "Sambucus canadensis"}},
		{"D", 43, 2.5, []string{"Carya illinoinensis", "Sambucus canadensis", "Asimina triloba", "Sambucus canadensis"}},
		{"E", 28, 2.5, []string{"Diospyros virginiana", "Ficus carica", "Asimina triloba", "Prunus americana"}},
		{"F", 13, 2.5, []string{"Betula nigra", "Sambucus canadensis", "Salix nigra", "Asimina triloba"}},
	}
	rows := make([]Row, len(plan))
	for i, p := range plan {
		from := orb.Point{West + 5, South + p.v}
		to := orb.Point{West + 145, South + p.v + 2.8}
		// The track is 5 m of bank and wheels; a row keeps off all of it.
		crossing := (104 - 5) * math.Hypot(140, 2.8) / 140
		gate := math.Round(crossing)
		rows[i] = Row{
			Name: p.name, Line: orb.LineString{from, to}, Spacing: p.spacing, Pattern: p.pattern,
			Gap: [2]float64{gate - 3, gate + 3},
		}
	}
	return rows
}

// A Single is a tree planned by itself.
type Single struct {
	ID      string
	Point   orb.Point // EPSG:32614
	Species string
}

// Singles are the trees that stand in no row: some by the track, some put
// where the grower thinks it is wet.
func Singles() []Single {
	at := func(u, v float64) orb.Point { return orb.Point{West + u, South + v} }
	return []Single{
		{"gate oak", at(110, 94), "Quercus macrocarpa"},
		{"swale cypress", at(97, 46), "Taxodium distichum"},
		{"hollow walnut", at(33, 24), "Juglans nigra"},
		{"knoll fig", at(18, 80), "Ficus carica"},
		{"trial jujube", at(130, 66), "Ziziphus jujuba"},
		{"corner willow", at(121, 5), "Salix nigra"},
	}
}

// Boundary is the fence: a closed ring of 1.5 ha in EPSG:32614, right-handed.
func Boundary() orb.Ring {
	var ring orb.Ring
	for _, p := range [][2]float64{{0, 2}, {62, 0}, {118, 1}, {150, 3}, {152, 52}, {149, 99}, {96, 101}, {38, 100}, {2, 98}, {-1, 47}, {0, 2}} {
		ring = append(ring, orb.Point{West + p[0], South + p[1]})
	}
	return ring
}
