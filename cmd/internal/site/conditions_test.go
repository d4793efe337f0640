package site

import (
	"strings"
	"testing"

	"wetfeet/cmd/internal/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every mistake of the conditions is told at once, with its line and what would
// be taken.
func TestConditionsTellEveryMistake(t *testing.T) {
	const text = `[soil]
root_rot = "yes"
[storm]
month = "Juni"
soil_temperature = "90 °C"
dormant = 1
moving_water = "fast"
[trees]
age = "-2 years"
[species]
rootstock = "M9"
[[row]]
age = "old"
[[row]]
age = "2000 years"
[[tree]]
id = "A-1"
age = []
rootstock = ""
`
	_, err := parse(text, File{Name: "site.toml"})
	require.Error(t, err)
	assert.True(t, fault.IsInput(err))
	for _, want := range []string{
		`site.toml:2: soil, root_rot: found "yes"; true or false is needed, without quotes`,
		`site.toml:4: storm, month: found "Juni"; a month is needed, such as "January"`,
		`site.toml:5: storm, soil_temperature: "90 °C" is not a temperature: from -40 to 60 °C are taken`,
		`site.toml:6: storm, dormant: found 1; true or false is needed, without quotes`,
		`site.toml:7: storm, moving_water: found "fast"; true or false is needed, without quotes`,
		`site.toml:9: trees, age: "-2 years" is not an age: it is below zero`,
		`site.toml:11: species, rootstock: found "M9"; a table is needed of what each species is grafted on, such as { "Malus domestica" = "M16" }`,
		`site.toml:13: row "A", age: "old" is not an age: use a number and a unit, such as 5 years or 18 months`,
		`site.toml:15: row "B", age: "2000 years" is not an age: it is far too large`,
		`site.toml:18: tree "A-1", age: found a list of 0; the time since planting is needed, such as "5 years", or 0 for newly planted`,
		`site.toml:19: tree "A-1", rootstock: is empty; the name of a rootstock is needed`,
	} {
		assert.Contains(t, strings.Split(err.Error(), "\n"), want)
	}
	for text, want := range map[string]string{
		"[storm]\nsoil_temperature = \"50 C\"":          `site.toml:2: storm, soil_temperature: found "50 C", which is 50 °C; soil from -5 to 45 °C is taken`,
		"units = \"feet\"\n[storm]\nsoil_temperature=9": `site.toml:3: storm, soil_temperature: found 9, which is -13 °C; soil from -5 to 45 °C is taken`,
		"[storm]\nmonth = 13":                           `site.toml:2: storm, month: found 13; a month is needed, such as "January"`,
		"[species.rootstock]\napple = 9":                `site.toml:2: species, rootstock, "apple": found 9; the name of a rootstock is needed`,
		"[storm]\nsoiltemperature = 9":                  `site.toml:2: storm: "soiltemperature" is not a known key; the nearest is "soil_temperature"`,
	} {
		_, err := parse(text, File{Name: "site.toml"})
		assert.EqualError(t, err, want)
	}
}
