package fieldbook

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wetfeet/terrain/survey"
)

// A book is read and reduced, or refused as the input's fault; what is
// reduced is finite and is read back by the reader of spot heights.
func FuzzRead(f *testing.F) {
	for _, kind := range Templates() {
		text, err := Template(kind)
		require.NoError(f, err)
		f.Add(text)
	}
	for _, text := range []string{punmia, askfilo, flatLoop, "point;bs;fs;level\nBM;1,5;;10\nBM;;1,5;10\n"} {
		f.Add(text)
	}
	f.Fuzz(holds)
}

// holds checks what is promised of any text at all.
func holds(t *testing.T, text string) {
	b, err := Read(strings.NewReader(text), "fuzz.csv")
	if err != nil {
		require.ErrorIs(t, err, ErrInput)
		return
	}
	r, err := b.Reduce(Options{})
	if err != nil {
		require.True(t, errors.Is(err, ErrInput), "%v\n%s", err, text)
		require.NotEmpty(t, err.Error())
		return
	}
	for _, p := range r.Points {
		require.False(t, math.IsNaN(p.Level) || math.IsInf(p.Level, 0) || math.IsNaN(p.Error), "%+v", p)
	}
	var table, csv bytes.Buffer
	require.NoError(t, r.WriteTable(&table))
	require.NoError(t, r.WriteCSV(&csv))
	if len(r.Shots) > 0 {
		if _, err := survey.ReadShots(&csv, "shots.csv"); err != nil {
			require.ErrorIs(t, err, survey.ErrInput)
		}
	}
}

// Every line of every template left out, doubled or moved up, and every cell
// emptied or filled with something else.
func TestSpoiltTemplatesAreReducedOrRefused(t *testing.T) {
	spoilt := []string{"", "0", "-1", "1e9", "4' 13\"", "\"", "BM1", "5 L", "units: in"}
	for _, kind := range Templates() {
		text, err := Template(kind)
		require.NoError(t, err)
		var lines []string
		for line := range strings.Lines(text) {
			if !strings.HasPrefix(line, "#") && strings.TrimSpace(line) != "" {
				lines = append(lines, line)
			}
		}
		for i, line := range lines {
			before, after := strings.Join(lines[:i], ""), strings.Join(lines[i+1:], "")
			holds(t, before+after)
			holds(t, before+line+line+after)
			holds(t, line+before+after)
			cells := strings.Split(strings.TrimSuffix(line, "\n"), ",")
			for c := range cells {
				was := cells[c]
				for _, other := range spoilt {
					cells[c] = other
					holds(t, before+strings.Join(cells, ",")+"\n"+after)
				}
				cells[c] = was
			}
		}
	}
}
