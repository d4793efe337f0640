package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a site file says of age, rootstock, soil and season reaches the answer: by
// the files it writes, and against the same site without.
func TestConditionsOfASiteFileReachTheAnswer(t *testing.T) {
	site := demoCopy(t)
	text, err := os.ReadFile(site)
	require.NoError(t, err)
	changed := strings.NewReplacer(
		"[season]\nrain", "# [season]\n# rain",
		"duration = \"24 h\"\n", "duration = \"24 h\"\nmonth = \"January\"\nsoil_temperature = \"43 °F\"\ndormant = true\n",
		"texture = \"clay loam\"\n", "texture = \"clay loam\"\nroot_rot = true\n[[soil.zone]]\narea = \"boundary.geojson\"\nroot_rot = false\n",
		"positions = \"positions.csv\"\n", "positions = \"positions.csv\"\nage = \"30 months\"\n",
		"[species]\n", "[species]\nrootstock = { \"Asimina triloba\" = \"bald cypress\" }\n",
	).Replace(string(text))
	// cover belongs to [soil], and stands before its zone.
	changed = strings.Replace(strings.Replace(changed, "cover   = \"orchard, grassed, good\"\n", "", 1), "[soil]\n", "[soil]\ncover = \"orchard, grassed, good\"\n", 1)
	path := filepath.Join(filepath.Dir(site), "conditions.toml")
	require.NoError(t, os.WriteFile(path, []byte(changed), 0o644))

	plan, err := sitePlan(path)
	require.NoError(t, err)
	c := plan.Conditions
	assert.Equal(t, 2.5, *c.Age)
	assert.Equal(t, time.January, c.Month)
	assert.InDelta(t, (43-32)/1.8, *c.Soil, 1e-9)
	assert.True(t, *c.Dormant && c.Rot && !c.Moving)
	require.Len(t, plan.Zones, 1)
	assert.False(t, plan.Zones[0].Rot, "what is said of the zone goes before what is said of the site")
	assert.Equal(t, "bald cypress", c.Rootstocks[0].Stock)

	out := filepath.Join(t.TempDir(), "out")
	status, _, errs := wetfeet(t, "assess", path, "-o", out, "--draws", "20")
	require.Equal(t, exitOK, status, errs)
	data, err := os.ReadFile(filepath.Join(out, "summary.json"))
	require.NoError(t, err)
	var sum struct {
		Conditions  map[string]any
		Assumptions []string
	}
	require.NoError(t, json.Unmarshal(data, &sum))
	assert.Equal(t, map[string]any{
		"month": "January", "soil_temperature_c": 6.11, "dormant": true, "moving_water": false,
		"trees_in_soil_with_root_rot": 0.0, "trees_standing_already": 336.0, "trees_on_named_rootstocks": sum.Conditions["trees_on_named_rootstocks"],
	}, sum.Conditions)
	assert.Greater(t, sum.Conditions["trees_on_named_rootstocks"], 10.0)
	said := strings.Join(sum.Assumptions, "\n")
	for _, want := range []string{"336 of 336 trees stand already, planted 2.5 years ago, as given", "trees are at rest, as given; the soil has 6.1 °C, as given; the water is taken to stand still", "the days are those of bald cypress roots"} {
		assert.Contains(t, said, want)
	}
	stakes, err := os.ReadFile(filepath.Join(out, "stakes.csv"))
	require.NoError(t, err)
	assert.Contains(t, string(stakes), ",age_years,rootstock,")
	assert.Contains(t, string(stakes), ",2.5,bald cypress,")
	page, err := os.ReadFile(filepath.Join(out, "report.html"))
	require.NoError(t, err)
	assert.Contains(t, string(page), "336 of 336 trees stand already")
}
