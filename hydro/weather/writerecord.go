package weather

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"time"
)

// Write writes a record as [ReadRecord] reads it, after its remarks as lines
// that begin with #. Rain is written to 0.1 mm, a missing value as nothing.
func (r *Record) Write(w io.Writer) error {
	out := bufio.NewWriter(w)
	for _, remark := range r.Remarks {
		fmt.Fprintf(out, "# %s\n", remark)
	}
	heading, layout := "date", time.DateOnly
	if r.Step == time.Hour {
		heading, layout = "time", "2006-01-02T15:04"
	}
	out.WriteString(heading)
	type column struct {
		name     string
		decimals int
		values   []float64
	}
	var columns []column
	for _, c := range []column{
		{"rain_mm", 1, r.Rain}, {"et_mm", 2, r.ET}, {"tmin_c", 1, r.TMin}, {"tmax_c", 1, r.TMax},
		{"rhmin_pct", 0, r.RHMin}, {"rhmax_pct", 0, r.RHMax}, {"wind_m_s", 1, r.Wind}, {"sun_h", 1, r.Sun},
	} {
		if c.values != nil {
			columns = append(columns, c)
			out.WriteString("," + c.name)
		}
	}
	out.WriteString("\n")
	for i := range r.Len() {
		out.WriteString(r.Time(i).Format(layout))
		for _, c := range columns {
			out.WriteString(",")
			if v := c.values[i]; !math.IsNaN(v) {
				fmt.Fprintf(out, "%.*f", c.decimals, v)
			}
		}
		out.WriteString("\n")
	}
	return out.Flush()
}
