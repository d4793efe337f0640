package soil

import (
	"fmt"
	"slices"
	"strings"
)

// A Cover is one row of the table of curve numbers.
type Cover struct {
	Kind      string     // what grows or lies there: "woods-grass", "row crops"
	Treatment string     // how a field is worked: "straight", "contoured"; empty elsewhere
	Condition string     // "poor", "fair" or "good"; empty where the table makes no difference
	Numbers   [4]float64 // curve numbers for antecedent condition II, groups A to D
	Source    string
}

// Name is how the cover is written, as in "row crops, contoured, good".
func (c Cover) Name() string {
	name := c.Kind
	for _, more := range []string{c.Treatment, c.Condition} {
		if more != "" {
			name += ", " + more
		}
	}
	return name
}

// CurveNumber is the number of the cover on soil of group g, for average
// moisture before the storm.
func (c Cover) CurveNumber(g Group) float64 { return c.Numbers[g] }

// Covers is every row of the table of curve numbers.
func Covers() []Cover { return slices.Clone(covers) }

// The words people use for each kind of cover. The first kind of which one is
// among the words is meant, so what decides about runoff comes first: under
// trees that stand in bare soil it is the bare soil.
var kinds = []struct {
	kind  string
	words []string
}{
	{"paved", []string{"paved", "pavement", "asphalt", "concrete", "roof", "roofs", "impervious", "sealed", "driveway"}},
	{"gravel road", []string{"gravel"}},
	{"dirt road", []string{"dirt", "road", "roads", "track", "tracks", "lane"}},
	{"farmstead", []string{"farmstead", "farmsteads", "farmyard", "yard"}},
	{"fallow", []string{"fallow", "bare", "tilled", "cultivated", "residue"}},
	{"woods-grass", []string{"orchard", "orchards", "agroforestry", "silvopasture", "farm"}},
	{"rotation meadow", []string{"rotation", "legume", "legumes", "alfalfa", "clover", "lucerne"}},
	{"small grain", []string{"grain", "grains", "wheat", "barley", "oats", "rye", "cereal", "cereals"}},
	{"row crops", []string{"crop", "crops", "corn", "maize", "vegetables", "soybeans", "beets", "potatoes"}},
	{"brush", []string{"brush", "scrub", "shrub", "shrubs", "weeds", "bushes"}},
	{"woods", []string{"woods", "wood", "woodland", "forest", "forested", "wooded", "trees"}},
	{"meadow", []string{"meadow", "hay", "hayfield", "ungrazed"}},
	{"open space", []string{"lawn", "lawns", "turf", "park", "parks", "open", "cemetery", "garden"}},
	{"pasture", []string{"pasture", "pastures", "grassland", "range", "rangeland", "grazed", "grazing", "grass", "grassed", "grasses", "sod", "sward"}},
}

// Words that say how a field is worked, and what they mean.
var treatments = map[string]string{
	"straight": "straight", "bare": "bare", "tilled": "bare", "cultivated": "bare",
	"contour": "contoured", "contoured": "contoured", "contours": "contoured",
	"terrace": "terraced", "terraced": "terraced", "terraces": "terraced",
	"residue": "crop residue", "stubble": "crop residue",
}

// Words that may stand with any cover and change nothing.
var fillers = []string{"a", "an", "and", "in", "of", "on", "or", "the", "with", "under", "between", "condition",
	"hydrologic", "cover", "ground", "soil", "land", "field", "row", "rows", "small", "tree", "space", "mown", "mowed",
	"alley", "alleys", "combination", "strips", "permanent", "established", "fruit", "nut", "rotated", "surface"}

// FindCover is the cover that a person's words mean: "orchard, grassed, good"
// is woods-grass in good condition. Order, case and marks do not matter.
// Where no condition is named, fair is taken, or poor where the table has no
// fair; where no way of working is named, straight rows, or bare soil. What
// was taken is in the Name of the cover. A word that is not known is an error
// that offers the nearest cover.
func FindCover(s string) (Cover, error) {
	said := words(s)
	condition, treatment, unknown := "", "", ""
	for _, w := range said {
		switch {
		case w == "poor" || w == "fair" || w == "good":
			if condition != "" && condition != w {
				return Cover{}, fmt.Errorf("%s is both %s and %s: keep one", quote(s), condition, w)
			}
			condition = w
		case treatments[w] != "":
			// Terraces are contoured too, so the two go together.
			if treatment != "terraced" {
				treatment = treatments[w]
			}
		case unknown == "" && !slices.Contains(fillers, w) && kindOf([]string{w}) == "":
			unknown = w
		}
	}
	if unknown != "" {
		return Cover{}, unknownCover(s, fmt.Sprintf("%s is not a cover known here", quote(unknown)), condition)
	}
	kind := kindOf(said)
	grass := slices.ContainsFunc(said, func(w string) bool { return kindOf([]string{w}) == "pasture" })
	switch {
	case kind == "":
		return Cover{}, unknownCover(s, "names no cover", condition)
	case kind == "woods" && grass:
		kind = "woods-grass"
	case kind == "meadow" && slices.Contains(said, "grazed"):
		kind = "pasture"
	}
	rows := slices.DeleteFunc(Covers(), func(c Cover) bool { return c.Kind != kind })
	if has := func(c Cover) bool { return c.Treatment == treatment }; slices.ContainsFunc(rows, has) {
		rows = slices.DeleteFunc(rows, func(c Cover) bool { return !has(c) })
	} else {
		first := rows[0].Treatment
		rows = slices.DeleteFunc(rows, func(c Cover) bool { return c.Treatment != first })
	}
	for _, want := range []string{condition, "fair", "poor"} {
		if i := slices.IndexFunc(rows, func(c Cover) bool { return c.Condition == want }); i >= 0 {
			return rows[i], nil
		}
	}
	return rows[0], nil
}

// kindOf is the kind of cover that the words mean, or empty.
func kindOf(said []string) string {
	for _, k := range kinds {
		if slices.ContainsFunc(said, func(w string) bool { return slices.Contains(k.words, w) }) {
			return k.kind
		}
	}
	return ""
}

// unknownCover says what is wrong with a cover and offers the nearest one,
// found by its own name and by the words that people use for it.
func unknownCover(s, why, condition string) error {
	var all, meant []string
	for _, c := range covers {
		if condition == "" || c.Condition == condition || c.Condition == "" {
			all, meant = append(all, c.Name()), append(meant, c.Name())
		}
	}
	for _, k := range kinds {
		for _, w := range k.words {
			full := strings.TrimSuffix(w+", "+condition, ", ")
			if c, err := FindCover(full); err == nil {
				all, meant = append(all, full), append(meant, c.Name())
			}
		}
	}
	near := meant[slices.Index(all, nearest(s, all))]
	return fmt.Errorf("cover %s: %s; the nearest is %q, and kinds are %s", quote(s), why, near, kindList())
}

func kindList() string {
	var names []string
	for _, c := range covers {
		if !slices.Contains(names, c.Kind) {
			names = append(names, c.Kind)
		}
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
