package overlay

import (
	"io"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"
)

type pondRow struct {
	ID        int      `json:"id"`
	Floor     *float64 `json:"floor_m"`
	Spill     *float64 `json:"spill_m"`
	Depth     *float64 `json:"depth_m"`
	Area      *float64 `json:"area_m2"`
	Volume    *float64 `json:"volume_m3"`
	Catchment *float64 `json:"catchment_m2"`
	SpillsTo  *int     `json:"spills_to"` // ID of a pond; nil where the water leaves the site
	PartOf    *int     `json:"part_of"`   // ID of the larger pond it joins once full; nil where none

	FillsAt *float64 `json:"fills_at_mm,omitempty"` // rain of the storm's kind that fills it; nil where not known

	Real           *float64 `json:"real_probability,omitempty"`   // odds that it is a hollow deeper than the error of the ground
	VolumeExpected *float64 `json:"volume_expected_m3,omitempty"` // on average of what the true ground may be
	VolumeLow      *float64 `json:"volume_p10_m3,omitempty"`
	VolumeLikely   *float64 `json:"volume_p50_m3,omitempty"`
	VolumeHigh     *float64 `json:"volume_p90_m3,omitempty"`
}

// WritePonds writes ponds.geojson: one area a hollow, at its spill level. An
// area whose parts touch only at a corner is a MultiPolygon. FillsAt is the rain
// that fills each, mm, and sure how sure each is, or nil where no storm was
// assessed.
func WritePonds(w io.Writer, h *hydro.Hollows, fillsAt []float64, sure []assess.Surety, to ToLonLat) error {
	features := make([]feature, len(h.All))
	for i := range h.All {
		shape, err := polygons(to, h.Outline(i))
		if err != nil {
			return err
		}
		features[i] = feature{ID: h.All[i].ID, Geometry: geojson.NewGeometry(shape), Properties: pondOf(h, i, fillsAt, sure)}
	}
	return writeCollection(w, features)
}

func pondOf(h *hydro.Hollows, i int, fillsAt []float64, sure []assess.Surety) pondRow {
	p := &h.All[i]
	row := pondRow{
		ID:    p.ID,
		Floor: rounded(p.Floor, 4), Spill: rounded(p.Spill, 4), Depth: rounded(p.Depth(), 4),
		Area: rounded(p.Area, 4), Volume: rounded(p.Volume, 4), Catchment: rounded(p.Catchment, 4),
		SpillsTo: idOf(h, p.SpillsTo), PartOf: idOf(h, p.Parent),
	}
	if fillsAt != nil {
		row.FillsAt = rounded(fillsAt[i], 1)
	}
	if sure != nil {
		v := sure[i].Volume
		row.VolumeExpected = rounded(sure[i].Expected, 3)
		row.Real, row.VolumeLow, row.VolumeLikely, row.VolumeHigh = rounded(sure[i].Real, 3), rounded(v.Low, 3), rounded(v.Likely, 3), rounded(v.High, 3)
	}
	return row
}

func idOf(h *hydro.Hollows, i int) *int {
	if i == hydro.Outside {
		return nil
	}
	return &h.All[i].ID
}

type flowRow struct {
	Catchment *float64 `json:"catchment_m2"`
	Order     int      `json:"order"`
}

// WriteFlowLines writes flow-lines.geojson: where the water runs, each line
// in the direction of flow.
func WriteFlowLines(w io.Writer, lines []hydro.FlowLine, to ToLonLat) error {
	features := make([]feature, len(lines))
	for i, l := range lines {
		pts, err := points(to, l.Line)
		if err != nil {
			return err
		}
		features[i] = feature{ID: i + 1, Geometry: geojson.NewGeometry(orb.LineString(pts)), Properties: flowOf(l)}
	}
	return writeCollection(w, features)
}

func flowOf(l hydro.FlowLine) flowRow {
	return flowRow{Catchment: rounded(l.Catchment, 2), Order: l.Order}
}
