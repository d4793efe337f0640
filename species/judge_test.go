package species

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAdvice(t *testing.T) {
	mango := find(t, "mango")
	for _, tt := range []struct {
		name  string
		table *Table
		spot  Spot
		want  string
		mound float64
	}{
		{"a dry spot is kept", BuiltIn(), ground(Spot{WetnessPercentile: 40}), "keep", 0},
		{"a short soak is kept", BuiltIn(), pond(0.08, 24), "keep", 0},
		{"a low mound is raised", BuiltIn(), pond(0.25, 7*24), "raise", 0.30},
		{"half a metre is raised still", BuiltIn(), pond(0.45, 7*24), "raise", 0.50},
		{"a higher one is a swap", BuiltIn(), pond(0.46, 7*24), "swap", 0.55},
		{"where nothing bears the spot it is moved", alone(mango), pond(0.46, 7*24), "move", 0.55},
		{"so it is where no mound would do", alone(mango), pond(1.2, 7*24), "move", math.Inf(1)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			v := tt.table.Judge(tt.spot, mango)
			assert.Equal(t, tt.want, v.Advice)
			assert.Equal(t, tt.mound, v.Mound)
			assert.Equal(t, tt.want != "keep", v.Flagged)
		})
	}
}

func TestOnlyAFlaggedTreeIsGivenAdvice(t *testing.T) {
	for _, hours := range []float64{0, 6, 20, 50, 200, 1000} {
		for _, e := range BuiltIn().All() {
			v := BuiltIn().Judge(pond(0.09, hours), e)
			assert.Equal(t, v.Risk >= High, v.Flagged, e.Scientific)
			assert.Equal(t, v.Flagged, v.Advice != "keep", e.Scientific)
			assert.Equal(t, v.Flagged, v.Mound > 0, e.Scientific)
			if !v.Flagged {
				assert.Nil(t, v.Swaps, e.Scientific)
			}
		}
	}
}

// alone is a table of one species.
func alone(e *Entry) *Table {
	t := &Table{entries: []*Entry{e}}
	t.index()
	return t
}

func BenchmarkJudge(b *testing.B) {
	e, err := BuiltIn().Find("pecan")
	require.NoError(b, err)
	for _, bench := range []struct {
		mound string
		opts  JudgeOptions
	}{
		{"clearance", JudgeOptions{}},
		{"drying", JudgeOptions{WetHoursAt: falling{0.50, 0.002, 24}.at}},
	} {
		b.Run("mound="+bench.mound, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				BuiltIn().JudgeWith(pond(0.50, 11*24), e, bench.opts)
			}
		})
	}
}

func BenchmarkFind(b *testing.B) {
	for _, words := range []string{"Carya illinoinensis", "pekan", "beech"} {
		b.Run("words="+words, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				BuiltIn().Find(words)
			}
		})
	}
}
