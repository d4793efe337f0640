package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWaterOfFlagsThatCannotBeIsRefused(t *testing.T) {
	out := t.TempDir() + "/out"
	ground, trees := heronBend+"ground.tif", heronBend+"positions.csv"
	for name, tt := range map[string]struct {
		args []string
		want string
	}{
		"inches for millimetres":     {[]string{"drain", ground, "--excess", "150 in"}, "--excess: 3810 mm (150 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 150 mm?"},
		"a soil that takes no water": {[]string{"assess", "--ground", ground, "--trees", trees, "--soil", "0 mm/h"}, `--soil: found "0 mm/h"; a rate above zero is needed, such as 12 mm/h, or a texture, such as clay loam`},
	} {
		t.Run(name, func(t *testing.T) {
			status, _, stderr := wetfeet(t, append(tt.args, "-o", out)...)
			assert.Equal(t, exitUsage, status)
			assert.Equal(t, "wetfeet: usage: "+tt.want+"\n", stderr)
			assert.NoDirExists(t, out)
		})
	}
}
