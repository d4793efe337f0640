package assess

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/site"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// appleAndMango is two pits with apples and a mango in and beside them.
func appleAndMango(t *testing.T) Plan {
	t.Helper()
	p := pitsWithYears(t)
	p.Season, p.Odds = SeasonPlan{}, OddsPlan{Draws: 24, Seed: 5}
	path := filepath.Join(t.TempDir(), "trees.csv")
	require.NoError(t, os.WriteFile(path, []byte("id,x,y,species\nA1,500012.5,3100020.5,apple\nA2,500015.5,3100020.5,apple\nA3,500017.5,3100020.5,apple\n"+
		"A4,500030.5,3100020.5,apple\nM1,500045.5,3100020.5,mango\nA5,500048.5,3100020.5,apple\n"), 0o600))
	p.Positions = path
	return p
}

func run(t *testing.T, p Plan) *Result {
	t.Helper()
	r, err := Run(context.Background(), p, nil)
	require.NoError(t, err)
	return r
}

// What is said of trees, soil and storm reaches the odds of each tree, its
// mound and its reason, and is told.
func TestConditionsReachTheOdds(t *testing.T) {
	p := appleAndMango(t)
	plain := run(t, p)
	require.Greater(t, plain.Trees[1].Odds, 0.1, "the deepest stands in water")
	told := strings.Join(plain.Assumptions, "\n")
	for _, want := range []string{
		"Every tree is taken as newly planted", "trees are taken to be in leaf; the soil is taken to have 20.0 °C; the water is taken to stand still; no root rot is known in the soil",
		"No rootstock was named",
	} {
		assert.Contains(t, told, want)
	}
	years, cold, hot, yes := 5.0, 4.0, 30.0, true
	const apples, mango = "A", "M"
	for _, tt := range []struct {
		name    string
		change  func(*Plan)
		raises  bool
		of      string // the trees it reaches
		why     string // in the reason of A2
		assumed string
	}{
		{"an older tree", func(p *Plan) { p.Conditions.Age = &years }, false, apples + mango, "; it bears about", "6 of 6 trees stand already, planted 5 years ago, as given"},
		{"a cold storm", func(p *Plan) { p.Conditions.Soil = &cold }, false, apples, "newly planted, in soil of 4 °C it bears", "the soil has 4.0 °C, as given"},
		{"a dormant storm", func(p *Plan) { p.Conditions.Dormant = &yes }, false, apples, "newly planted, at rest it bears", "trees are at rest, as given"},
		{"a hot storm", func(p *Plan) { p.Conditions.Soil = &hot }, true, apples + mango, "in soil of 30 °C", "the soil has 30.0 °C, as given"},
		{"moving water", func(p *Plan) { p.Conditions.Moving = true }, false, apples + mango, "in moving water", "the water moves, as given"},
		{"a hardy rootstock", func(p *Plan) {
			p.Conditions.Rootstocks = []site.Rootstock{{Species: "Malus domestica", Stock: "Malus prunifolia"}}
		}, false, apples, "on Malus prunifolia roots", "5 trees of apple: the days are those of Malus prunifolia roots."},
		{"root rot", func(p *Plan) { p.Conditions.Rot = true }, true, apples + mango, "with root rot in the soil", "root rot is known in the soil, as given"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := p
			tt.change(&p)
			r := run(t, p)
			reached := false
			for i := range r.Trees {
				was, is := plain.Trees[i].Odds, r.Trees[i].Odds
				switch {
				case !strings.Contains(tt.of, r.Trees[i].ID[:1]):
					assert.Equal(t, was, is, r.Trees[i].ID)
				case tt.raises:
					assert.GreaterOrEqual(t, is, was, r.Trees[i].ID)
				default:
					assert.LessOrEqual(t, is, was, r.Trees[i].ID)
				}
				reached = reached || is != was
			}
			assert.True(t, reached)
			assert.NotEqual(t, plain.Trees[1].Odds, r.Trees[1].Odds)
			assert.Contains(t, r.Trees[1].Why, tt.why)
			assert.Contains(t, strings.Join(r.Assumptions, "\n"), tt.assumed)

			off := p // the likeliest answer alone goes by the same
			off.Odds.Off = true
			likely := run(t, off)
			base := appleAndMango(t)
			base.Odds.Off = true
			if before := run(t, base); tt.raises {
				assert.GreaterOrEqual(t, likely.Trees[1].Risk, before.Trees[1].Risk)
			} else {
				assert.LessOrEqual(t, likely.Trees[1].Risk, before.Trees[1].Risk)
			}
		})
	}
}

// A mound is lower where the storm comes in cold soil, and no lower where the
// tree has stood for years: another has to be planted on it.
func TestConditionsReachTheMounds(t *testing.T) {
	p := appleAndMango(t)
	plain := run(t, p)
	cold, years := 8.0, 10.0
	p.Conditions.Soil = &cold
	inCold := run(t, p)
	lower := 0
	for i := range plain.Trees {
		a, b := &plain.Trees[i], &inCold.Trees[i]
		assert.LessOrEqual(t, b.Mound, a.Mound, a.ID)
		if b.Mound < a.Mound {
			lower++
		}
	}
	assert.Positive(t, lower)
	p.Conditions.Soil, p.Conditions.Age = nil, &years
	old := run(t, p)
	assert.Contains(t, strings.Join(old.First(), "\n"), "Soil heaped over the roots of a standing tree smothers them.")
	assert.NotContains(t, strings.Join(plain.First(), "\n"), "standing tree")
	for i := range plain.Trees {
		a, b := &plain.Trees[i], &old.Trees[i]
		if b.Flagged {
			assert.Equal(t, a.Mound, b.Mound, a.ID)
			assert.Equal(t, a.OddsRaised, b.OddsRaised, a.ID)
		}
		assert.True(t, b.Stays())
		assert.False(t, a.Stays())
	}
}

// The month of a storm tells the warmth of the soil and whether trees are at
// rest, as far as the record and the growing season do.
func TestTheMonthTellsTheSeason(t *testing.T) {
	p := appleAndMango(t)
	p.Conditions.Month = time.January
	r := run(t, p)
	assert.Nil(t, r.Conditions.Soil)
	assert.Contains(t, strings.Join(r.Remarks, "\n"), "Nothing tells how warm the soil is in January: give soil_temperature in [storm]")

	var days strings.Builder
	days.WriteString("date,rain_mm,tmin_c,tmax_c\n")
	for day := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() < 2004; day = day.AddDate(0, 0, 1) {
		air := "18,28"
		if m := day.Month(); m <= time.March || m >= time.November {
			air = "-4,8"
		} else if m == time.July {
			air = "19,29"
		}
		days.WriteString(day.Format(time.DateOnly) + ",1," + air + "\n")
	}
	path := filepath.Join(t.TempDir(), "days.csv")
	require.NoError(t, os.WriteFile(path, []byte(days.String()), 0o600))
	p.Season.File = path
	r = run(t, p)
	require.NotNil(t, r.Conditions.Soil)
	assert.InDelta(t, 2, *r.Conditions.Soil, 1e-9)
	assert.True(t, r.Conditions.Dormant)
	said := strings.Join(r.Assumptions, "\n")
	assert.Contains(t, said, "it comes in January, as given; trees are at rest in the middle of that month, the growing season being from 1 April to 31 October")
	assert.Contains(t, said, "the soil has 2.0 °C, as the air of that month in days.csv")

	p.Conditions.Month = time.July
	summer := run(t, p)
	assert.InDelta(t, 24-55.0/11/31, *summer.Conditions.Soil, 1e-9, "the first ten days hold some of June")
	assert.False(t, summer.Conditions.Dormant)
	assert.Less(t, r.Trees[1].Odds, summer.Trees[1].Odds)

	no, warm := false, 12.0
	p.Conditions = ConditionsPlan{Month: time.January, Dormant: &no, Soil: &warm}
	r = run(t, p)
	assert.False(t, r.Conditions.Dormant, "what is said outright goes before what the month tells")
	assert.Equal(t, 12.0, *r.Conditions.Soil)
}

// Age and rootstock of one tree go before those of its file, and those before
// those of the site; a tree planted instead of another has no rootstock of it.
func TestOneTreeIsToldOtherwise(t *testing.T) {
	p := appleAndMango(t)
	require.NoError(t, os.WriteFile(p.Positions, []byte("id,x,y,species,age,rootstock\nA1,500012.5,3100020.5,apple,3 years,M9\nA2,500015.5,3100020.5,apple,,\nA3,500017.5,3100020.5,apple,,M26\n"), 0o600))
	site5, one, none := 5.0, 1.0, 0.0
	p.Conditions.Age = &site5
	p.Conditions.Rootstocks = []site.Rootstock{{Species: "apple", Stock: "M16"}}
	p.Told = []site.Tree{{ID: "A1", Where: "x", Age: &one}, {ID: "A3", Where: "x", Species: "pear", Age: &none}}
	r := run(t, p)
	var got []any
	for i := range r.Trees {
		c := r.conditions(&r.Trees[i], r.Trees[i].Entry, false)
		got = append(got, c.Years, c.Rootstock)
	}
	assert.Equal(t, []any{1.0, "M9", 5.0, "M16", 0.0, ""}, got)
	c := r.conditions(&r.Trees[1], r.Trees[2].Entry, false)
	assert.Equal(t, []any{0.0, ""}, []any{c.Years, c.Rootstock}, "another species is a new planting")
	c = r.conditions(&r.Trees[0], r.Trees[0].Entry, true)
	assert.Equal(t, 0.0, c.Years)
}

func TestRootstocksThatCannotBeAreTold(t *testing.T) {
	p := appleAndMango(t)
	p.Conditions.Rootstocks = []site.Rootstock{
		{Species: "no tree", Stock: "M9", Where: `site.toml:9: species, rootstock, "no tree"`},
		{Species: "apple", Stock: "M9", Where: `site.toml:10: species, rootstock, "apple"`},
		{Species: "Malus domestica", Stock: "M16", Where: `site.toml:11: species, rootstock, "Malus domestica"`},
	}
	_, err := Run(context.Background(), p, nil)
	require.Error(t, err)
	assert.True(t, fault.IsInput(err))
	assert.Contains(t, err.Error(), `site.toml:9: species, rootstock, "no tree": `)
	assert.Contains(t, err.Error(), `site.toml:11: species, rootstock, "Malus domestica": is Malus domestica, whose rootstock is named as that of "apple" already`)

	p.Conditions.Rootstocks = []site.Rootstock{{Species: "apple", Stock: "MM.999"}, {Species: "pear", Stock: "quince"}}
	r := run(t, p)
	remarks := strings.Join(r.Remarks, "\n")
	assert.Contains(t, remarks, `No flood is known of apple on the rootstock "MM.999", so it changes nothing; known are M9, M26, M16, Malus prunifolia, the species of the table.`)
	assert.Contains(t, remarks, "A rootstock is named of European pear, which is not planted.")
	p.Conditions.Rootstocks = nil
	plain := run(t, p)
	for i := range r.Trees {
		assert.Equal(t, plain.Trees[i].Odds, r.Trees[i].Odds)
	}
}
