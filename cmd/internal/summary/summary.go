// Package summary is summary.json: the counts, the water balance, the inputs
// and every assumption of a run, for a script or a second look.
package summary

import (
	"math"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro"
	"wetfeet/terrain"
)

// A Summary is the file. Members that do not apply are left out.
type Summary struct {
	Name     string         `json:"name,omitempty"`
	Invented bool           `json:"invented,omitempty"`
	Units    string         `json:"units,omitempty"`
	Trees    *int           `json:"trees,omitempty"`
	Flagged  *int           `json:"flagged,omitempty"`
	Risk     map[string]int `json:"risk,omitempty"` // trees by risk
	First    []string       `json:"do_first,omitempty"`

	Conditions *ConditionFacts `json:"conditions,omitempty"`

	Ground  GroundFacts  `json:"ground"`
	Survey  *SurveyFacts `json:"survey,omitempty"`
	Hollows HollowFacts  `json:"hollows"`
	Balance Balance      `json:"water_balance"`
	Storm   *StormFacts  `json:"storm,omitempty"`
	Season  *SeasonFacts `json:"season,omitempty"`
	Odds    *OddsFacts   `json:"odds,omitempty"`

	Options     map[string]any     `json:"options,omitempty"`
	Seconds     map[string]float64 `json:"seconds,omitempty"`
	Inputs      []assess.Input     `json:"inputs"`
	Assumptions []string           `json:"assumptions"`
	Remarks     []string           `json:"remarks,omitempty"`
}

// GroundFacts say what ground was used and how it was treated.
type GroundFacts struct {
	Rows           int     `json:"rows"`
	Cols           int     `json:"cols"`
	Cell           float64 `json:"cell_m"`
	CRS            string  `json:"crs"`
	KnownCells     int     `json:"known_cells"`
	EdgeFedCells   int     `json:"edge_fed_cells"` // their upslope area is a lower bound
	Error          float64 `json:"error_m"`
	ErrorEstimated bool    `json:"error_estimated"`
	Smooth         float64 `json:"smooth_m"`
	SlopeFloor     float64 `json:"slope_floor"`
	FlowWidth      float64 `json:"flow_width_m"`
	FlowLineFrom   float64 `json:"flow_line_from_m2"`
}

// SurveyFacts say how good a ground made from spot heights is.
type SurveyFacts struct {
	Shots   int     `json:"shots"`
	Model   string  `json:"model"`
	LooRMSE float64 `json:"leave_one_out_rmse_m"`
}

// HollowFacts count the hollows.
type HollowFacts struct {
	Kept   int     `json:"kept"`
	Noise  int     `json:"noise"` // found, but no deeper than the error
	Volume float64 `json:"volume_m3"`
}

// Balance accounts for the water that ran off onto the site: of a storm, or
// where none was assessed of an even depth of which nothing soaks in. In is
// Ponded + Left + Soaked + Evaporated.
type Balance struct {
	Depth      float64  `json:"depth_mm"` // of the water, over the known ground
	In         float64  `json:"in_m3"`
	Ponded     float64  `json:"ponded_m3"`
	Left       float64  `json:"left_m3"`
	Soaked     *float64 `json:"soaked_m3,omitempty"` // out of ponds
	Evaporated *float64 `json:"evaporated_m3,omitempty"`
	Error      float64  `json:"error_m3"`

	// Of a storm alone: all of its rain, and what of that soaked in, or was
	// caught by plants, where it fell.
	Rain      *float64 `json:"rain_m3,omitempty"`
	WhereFell *float64 `json:"soaked_where_it_fell_m3,omitempty"`
}

// Ground is the summary of a ground alone.
func Ground(d *hydro.Drainage) *Summary {
	f := d.Ground.Frame
	s := &Summary{
		Ground: GroundFacts{
			Rows: f.Rows, Cols: f.Cols, Cell: f.CellSize, CRS: f.CRS,
			KnownCells: terrain.Known(d.Ground),
			Error:      round(d.Error, 5), ErrorEstimated: d.ErrorEstimated,
			Smooth: round(d.Smooth, 3), SlopeFloor: round(d.SlopeFloor, 8),
			FlowWidth: d.FlowWidth, FlowLineFrom: round(d.FlowLineCatchment, 2),
		},
		Hollows: HollowFacts{Kept: len(d.Hollows.All), Noise: d.Hollows.Noise},
		Balance: Balance{In: d.Balance.In, Ponded: d.Balance.Ponded, Left: d.Balance.Left, Error: d.Balance.Error},
	}
	s.Balance.Depth = round(1000*d.Balance.In/(float64(s.Ground.KnownCells)*f.CellSize*f.CellSize), 6)
	for _, fed := range d.EdgeFed.Cells {
		if fed {
			s.Ground.EdgeFedCells++
		}
	}
	for i := range d.Hollows.All {
		if h := &d.Hollows.All[i]; h.Parent == hydro.Outside {
			s.Hollows.Volume += h.Volume
		}
	}
	s.Hollows.Volume = round(s.Hollows.Volume, 3)
	return s
}

// Assessment is the summary of an assessment and of what is advised; that is nil
// without odds.
func Assessment(r *assess.Result, a *advise.Advice) *Summary {
	s := Ground(r.Drain)
	s.Name, s.Invented, s.Units = r.Name, r.Invented, r.Units.String()
	trees, flagged := len(r.Trees), r.Flagged()
	s.Trees, s.Flagged, s.Risk = &trees, &flagged, r.Counts()
	s.First = r.First()
	s.Assumptions, s.Remarks = r.Assumptions, r.Remarks
	s.Survey = Survey(r.Survey)
	s.Inputs = r.Inputs
	s.Conditions = conditionFacts(r)
	s.Storm, s.Season = stormFacts(r.Storm), seasonFacts(r.Season)
	s.Balance = stormBalance(r.Storm)
	s.Odds = oddsFacts(r, a)
	return s
}

// Survey is the part on spot heights, nil without any.
func Survey(n *assess.SurveyNote) *SurveyFacts {
	if n == nil {
		return nil
	}
	return &SurveyFacts{Shots: n.Shots, Model: n.Model, LooRMSE: round(n.LooRMSE, 5)}
}

// Seconds gathers the seconds of the stages and of what was done around them.
func Seconds(stages []hydro.StageTime, around ...hydro.StageTime) map[string]float64 {
	m := make(map[string]float64)
	for _, s := range stages {
		m[s.Stage] += round(s.Seconds, 6)
	}
	for _, s := range around {
		m[s.Stage] = round(s.Seconds, 6)
	}
	return m
}

func round(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(v*p) / p
}
