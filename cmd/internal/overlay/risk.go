package overlay

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"wetfeet/cmd/internal/assess"
	"wetfeet/species"

	"github.com/paulmach/orb/geojson"
)

// A riskRow is one planned position as the files name its columns. A nil
// value is unknown.
type riskRow struct {
	ID           string   `json:"id"`
	Row          *string  `json:"row"`
	Along        *float64 `json:"along_m"`
	Species      string   `json:"species"`
	CommonName   string   `json:"common_name"`
	Ground       *float64 `json:"ground_m"`
	WetnessIndex *float64 `json:"wetness_index"`
	WetnessRank  *float64 `json:"wetness_percentile"`
	BrimDepth    *float64 `json:"brim_depth_m"`
	Pond         *int     `json:"pond"`
	StormDepth   *float64 `json:"storm_depth_m"`
	WetHours     *float64 `json:"wet_hours"`
	LongestWet   *float64 `json:"longest_wet_days"`
	UsualLow     *float64 `json:"longest_wet_days_p10,omitempty"` // of the median year, over the equally likely sites
	UsualLikely  *float64 `json:"longest_wet_days_p50,omitempty"`
	UsualHigh    *float64 `json:"longest_wet_days_p90,omitempty"`
	RareLow      *float64 `json:"longest_wet_days_once_p10,omitempty"` // of the return period asked for
	RareLikely   *float64 `json:"longest_wet_days_once_p50,omitempty"`
	RareHigh     *float64 `json:"longest_wet_days_once_p90,omitempty"`
	Ponding      *float64 `json:"ponding_probability,omitempty"`
	RiskOdds     *float64 `json:"risk_probability,omitempty"`
	DepthLow     *float64 `json:"depth_p10_m,omitempty"` // of the highest water over the ground
	DepthLikely  *float64 `json:"depth_p50_m,omitempty"`
	DepthHigh    *float64 `json:"depth_p90_m,omitempty"`
	HoursLow     *float64 `json:"wet_hours_p10,omitempty"`
	HoursLikely  *float64 `json:"wet_hours_p50,omitempty"`
	HoursHigh    *float64 `json:"wet_hours_p90,omitempty"`
	Risk         string   `json:"risk"`
	Flagged      bool     `json:"flagged"`
	Why          string   `json:"why"`
	Advice       *string  `json:"advice"`
	Mound        *float64 `json:"mound_m"`
	Swap         *string  `json:"swap"`
	RaisedOdds   *float64 `json:"risk_probability_raised,omitempty"`  // on the mound advised
	SwappedOdds  *float64 `json:"risk_probability_swapped,omitempty"` // of the species advised
	Built        *float64 `json:"mound_built_m,omitempty"`            // on which it is planned already
	Trial        bool     `json:"trial,omitempty"`
	Years        *float64 `json:"age_years,omitempty"` // since planting, of a tree that stands already
	Rootstock    *string  `json:"rootstock,omitempty"` // as it was named
}

// Unknown is the risk of a position that lies off the ground.
const Unknown = "unknown"

func rowOf(t *assess.Tree) riskRow {
	r := riskRow{ID: t.ID, Species: t.Position.Species, Risk: Unknown, Why: t.Why}
	if t.Row != "" {
		r.Row = &t.Row
		r.Along = rounded(t.Along, 3)
	}
	if t.Years > 0 {
		r.Years = rounded(t.Years, 3)
	}
	if t.Stock != "" {
		r.Rootstock = &t.Stock
	}
	if t.Entry != nil {
		r.Species = t.Entry.Scientific
		r.CommonName = commonName(t.Entry)
	}
	if !t.OnGround {
		return r
	}
	r.Ground = rounded(t.Ground, 3)
	r.WetnessIndex = rounded(t.WetnessIndex, 2)
	r.WetnessRank = rounded(t.WetnessPercentile, 1)
	r.BrimDepth = rounded(t.BrimDepth, 3)
	if t.Pond > 0 {
		r.Pond = &t.Pond
	}
	r.StormDepth = rounded(t.StormDepth, 3)
	r.WetHours = rounded(t.WetHours, 1)
	r.LongestWet = rounded(t.LongestWetDays, 2)
	r.Risk = t.Risk.String()
	r.Flagged = t.Flagged
	if t.Advice != "" {
		r.Advice = &t.Advice
	}
	r.Mound = rounded(t.Mound, 2)
	if t.Flagged && len(t.Swaps) > 0 {
		r.Swap = &t.Swaps[0].Scientific
	}
	r.odds(t)
	return r
}

// odds are how surely the tree is wet and lost; where none were worked out they
// are left out.
func (r *riskRow) odds(t *assess.Tree) {
	r.Trial = t.Tried
	if t.Built > 0 {
		r.Built = rounded(t.Built, 3)
	}
	if t.Draws == nil {
		return
	}
	r.Ponding, r.RiskOdds = rounded(t.Ponding, 3), rounded(t.Odds, 3)
	r.DepthLow, r.DepthLikely, r.DepthHigh = rounded(t.Depths.Low, 3), rounded(t.Depths.Likely, 3), rounded(t.Depths.High, 3)
	r.HoursLow, r.HoursLikely, r.HoursHigh = rounded(t.Hours.Low, 1), rounded(t.Hours.Likely, 1), rounded(t.Hours.High, 1)
	if t.Draws.Spell != nil {
		r.UsualLow, r.UsualLikely, r.UsualHigh = rounded(t.Usual.Low, 2), rounded(t.Usual.Likely, 2), rounded(t.Usual.High, 2)
		r.RareLow, r.RareLikely, r.RareHigh = rounded(t.Rare.Low, 2), rounded(t.Rare.Likely, 2), rounded(t.Rare.High, 2)
	}
	if t.Flagged {
		r.RaisedOdds, r.SwappedOdds = rounded(t.OddsRaised, 3), rounded(t.OddsSwapped, 3)
	}
}

func commonName(e *species.Entry) string {
	if len(e.Common) == 0 {
		return ""
	}
	return e.Common[0]
}

// WriteRisk writes risk.geojson: one point a planned position.
func WriteRisk(w io.Writer, r *assess.Result) error {
	features := make([]feature, len(r.Trees))
	for i := range r.Trees {
		t := &r.Trees[i]
		features[i] = feature{
			ID:         t.ID,
			Geometry:   geojson.NewGeometry(seven(t.LonLat)),
			Properties: rowOf(t),
		}
	}
	return writeCollection(w, features)
}

// WriteStakes writes stakes.csv: the field list, one row a position in
// planting order, with the columns of risk.geojson and where to stand.
func WriteStakes(w io.Writer, r *assess.Result) error {
	c := csv.NewWriter(w)
	if err := c.Write([]string{
		"stake", "row", "along_m", "id", "species", "common_name", "risk", "flagged",
		"advice", "mound_m", "swap", "why", "ponding_probability", "risk_probability", "depth_p10_m", "depth_p50_m", "depth_p90_m", "wet_hours_p10", "wet_hours_p50", "wet_hours_p90",
		"risk_probability_raised", "risk_probability_swapped", "mound_built_m", "trial", "age_years", "rootstock", "storm_depth_m", "wet_hours", "longest_wet_days", "longest_wet_days_p10", "longest_wet_days_p50", "longest_wet_days_p90", "longest_wet_days_once_p10", "longest_wet_days_once_p50", "longest_wet_days_once_p90", "first_wet_mm", "water_table_m", "ground_m", "brim_depth_m", "pond",
		"wetness_index", "wetness_percentile", "x_m", "y_m", "lon", "lat",
	}); err != nil {
		return err
	}
	for i := range r.Trees {
		t := &r.Trees[i]
		v := rowOf(t)
		lonLat := seven(t.LonLat)
		if err := c.Write([]string{
			strconv.Itoa(i + 1), word(v.Row), number(v.Along), v.ID, v.Species, v.CommonName, v.Risk,
			strconv.FormatBool(v.Flagged), word(v.Advice), number(v.Mound), word(v.Swap), v.Why,
			number(v.Ponding), number(v.RiskOdds), number(v.DepthLow), number(v.DepthLikely), number(v.DepthHigh), number(v.HoursLow), number(v.HoursLikely), number(v.HoursHigh),
			number(v.RaisedOdds), number(v.SwappedOdds), number(v.Built), strconv.FormatBool(v.Trial), number(v.Years), word(v.Rootstock),
			number(v.StormDepth), number(v.WetHours), number(v.LongestWet),
			number(v.UsualLow), number(v.UsualLikely), number(v.UsualHigh), number(v.RareLow), number(v.RareLikely), number(v.RareHigh),
			number(rounded(r.FirstWet(t), 1)), number(tableOf(t)), number(v.Ground), number(v.BrimDepth), whole(v.Pond), number(v.WetnessIndex), number(v.WetnessRank),
			number(rounded(t.Point[0], 3)), number(rounded(t.Point[1], 3)),
			decimals(lonLat[0]), decimals(lonLat[1]),
		}); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// tableOf is how deep the water table stands below a tree, m, where that is
// known.
func tableOf(t *assess.Tree) *float64 {
	if !t.OnGround {
		return nil
	}
	return rounded(t.WaterTable, 2)
}

func word(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func number(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

func whole(v *int) string {
	if v == nil {
		return ""
	}
	return strconv.Itoa(*v)
}

func decimals(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', 7, 64)
}
