package summary

import (
	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro/season"
)

// StormFacts are the storm and where its water is, moment by moment.
type StormFacts struct {
	Rain         float64       `json:"rain_mm"`
	Hours        float64       `json:"hours"`
	ReturnPeriod *float64      `json:"return_period_years,omitempty"`
	Runoff       float64       `json:"runoff_mm"` // mean over the known ground
	Soaking      float64       `json:"soaking_mm_per_h"`
	Slow         float64       `json:"soaking_one_in_ten_slower_mm_per_h"`
	Fast         float64       `json:"soaking_one_in_ten_faster_mm_per_h"`
	Moments      []MomentFacts `json:"moments"`
}

// MomentFacts are where the water is at one time after the start of the rain.
type MomentFacts struct {
	Name       string  `json:"name"`
	Hours      float64 `json:"hours"`
	In         float64 `json:"in_m3"`
	Ponded     float64 `json:"ponded_m3"`
	Left       float64 `json:"left_m3"`
	Soaked     float64 `json:"soaked_m3"`
	Evaporated float64 `json:"evaporated_m3"`
	Error      float64 `json:"error_m3"`
}

func stormFacts(s *assess.Storm) *StormFacts {
	f := &StormFacts{
		Rain: round(s.Rain, 3), Hours: round(s.Duration.Hours(), 4), Runoff: round(s.Runoff, 3),
		Soaking: round(s.Soaking, 4), Slow: round(s.Doubt[0], 4), Fast: round(s.Doubt[1], 4),
	}
	if s.Years > 0 {
		years := round(s.Years, 2)
		f.ReturnPeriod = &years
	}
	for _, m := range s.Shown {
		f.Moments = append(f.Moments, MomentFacts{m.Name, m.Hours, m.In, m.Ponded, m.Left, m.Soaked, m.Evaporated, m.Error()})
	}
	return f
}

// stormBalance is where the water was at the end of the drying.
func stormBalance(s *assess.Storm) Balance {
	b := s.History.Balance
	fell := s.RainVolume - b.In
	return Balance{
		Depth: round(s.Runoff, 6), In: b.In, Ponded: b.Ponded, Left: b.Left, Soaked: &b.Soaked, Evaporated: &b.Evaporated, Error: b.Error(),
		Rain: &s.RainVolume, WhereFell: &fell,
	}
}

// SeasonFacts are the years of weather in a few figures.
type SeasonFacts struct {
	Record     string        `json:"record"`
	Years      int           `json:"whole_years"`
	First      string        `json:"growing_from"` // month and day
	Last       string        `json:"growing_to"`
	Wettest    string        `json:"wettest_year,omitempty"`
	EverWet    int           `json:"trees_ever_wet"`
	MedianDays float64       `json:"longest_wet_days_median_of_trees"` // of the longest wet spell of the median year
	MostDays   float64       `json:"longest_wet_days_most_of_trees"`
	Months     []float64     `json:"wet_days_by_month,omitempty"` // mean of the trees that are ever wet
	Once       []OnceFacts   `json:"longest_wet_days_by_return_period,omitempty"`
	Balance    SeasonBalance `json:"water_balance"`
}

// OnceFacts are the longest wet spells that come once in so many years.
type OnceFacts struct {
	Years      float64 `json:"years"`
	MedianDays float64 `json:"median_of_trees"`
	MostDays   float64 `json:"most_of_trees"`
}

// SeasonBalance is where the rain of all years went, m³: rain is the sum of
// the others. Soaked is what reached the ground below the roots.
type SeasonBalance struct {
	Rain       float64 `json:"rain_m3"`
	Left       float64 `json:"left_m3"`
	Ponded     float64 `json:"ponded_m3"`
	Soaked     float64 `json:"soaked_m3"`
	Evaporated float64 `json:"evaporated_m3"`
	Transpired float64 `json:"transpired_m3"`
	Soil       float64 `json:"kept_by_soil_m3"`
	Error      float64 `json:"error_m3"`
}

func seasonFacts(s *assess.Season) *SeasonFacts {
	if s == nil {
		return nil
	}
	b := s.Result.Balance
	f := &SeasonFacts{
		Record: s.Name, Years: s.Whole, First: s.Result.Growing.First.String(), Last: s.Result.Growing.Last.String(), Wettest: s.Wettest,
		Balance: SeasonBalance{b.Rain, b.Left, b.Ponded, b.Soaked, b.Evaporated, b.Transpired, b.Soil, b.Error()},
	}
	var longest []float64
	for k := range s.Trees {
		days := s.Longest(k)
		if days[len(days)-1] > 0 {
			f.EverWet++
		}
		longest = append(longest, season.Median(days))
		f.MostDays = max(f.MostDays, round(longest[k], 3))
	}
	if len(longest) > 0 {
		f.MedianDays = round(season.Median(longest), 3)
	}
	for _, years := range s.Periods {
		var spells []float64
		once := OnceFacts{Years: years}
		for k := range s.Trees {
			if days, ok := s.Once(k, years); ok {
				spells = append(spells, days)
				once.MostDays = max(once.MostDays, round(days, 2))
			}
		}
		if len(spells) > 0 {
			once.MedianDays = round(season.Median(spells), 2)
			f.Once = append(f.Once, once)
		}
	}
	for _, days := range s.Months {
		f.Months = append(f.Months, round(days, 3))
	}
	return f
}
