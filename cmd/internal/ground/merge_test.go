package ground

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"wetfeet/cmd/internal/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The survey of after the mound was built wins by its date, whichever is named
// first.
func TestSurveysGoByTheirDates(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	before := file("before.csv", "x,y,z,date\n0,0,10.00,2026-03-14\n20,0,10.05,\n40,0,10.10,\n0,20,10.02,\n20,20,10.06,\n40,20,10.13,\n0,40,10.05,\n20,40,10.09,\n40,40,10.16,\n")
	after := file("after.csv", "x,y,z,date\n19,19,10.46,2026-05-02\n21,19,10.47,\n19,21,10.45,\n21,21,10.46,\n20,20,10.50,\n")
	for _, s := range []Source{{SpotHeights: before, Later: []string{after}}, {SpotHeights: after, Later: []string{before}}} {
		s.OwnGrid = true
		shots, err := ReadShots(s, "")
		require.NoError(t, err)
		assert.Len(t, shots.Shots, 13, "the old height in the mound is gone")
		require.Len(t, shots.Changes, 1)
		assert.InDelta(t, 10.06, shots.Changes[0].Before, 1e-9)
		assert.InDelta(t, 10.5, shots.Changes[0].After, 0.05)
	}
	shots, err := ReadShots(Source{SpotHeights: after, Later: []string{before}, OwnGrid: true}, "")
	require.NoError(t, err)
	assert.Contains(t, shots.Remarks[0], "before.csv is of 2026-03-14 and older than after.csv, though given after it: surveys go by their dates.")

	undated := file("undated.csv", "x,y,z\n19,19,10.46\n21,19,10.47\n19,21,10.45\n")
	shots, err = ReadShots(Source{SpotHeights: before, Later: []string{undated}, OwnGrid: true}, "")
	require.NoError(t, err)
	assert.Contains(t, shots.Remarks[0], "undated.csv: no date is said, so all surveys were taken in the order given")

	bad := file("bad.csv", "x,y,z,date\n0,0,1,2026-03-14\n5,0,1,14.3.2026\n0,5,1,\n")
	_, err = ReadShots(Source{SpotHeights: bad, OwnGrid: true}, "")
	assert.EqualError(t, err, `bad.csv:3: date: found "14.3.2026"; a day is needed, such as 2026-03-14, or nothing`)
	assert.True(t, fault.IsInput(err))
}

func TestShotsFarFromWhereTheirSystemIsUsedAreRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "swapped.csv")
	require.NoError(t, os.WriteFile(path, []byte("x,y,z\n3100020,500105,96\n3100030,500115,96.1\n3100050,500125,96.2\n"), 0o644))
	_, err := Load(context.Background(), Source{SpotHeights: path, CRS: "EPSG:32614"})
	assert.ErrorContains(t, err, "swapped.csv: the shots lie around x 3100030, y 500115, far from where WGS 84 / UTM zone 14N is used")
	assert.ErrorContains(t, err, "they would fit with x and y swapped: x is the easting and y the northing")
	assert.True(t, fault.IsInput(err))
}
