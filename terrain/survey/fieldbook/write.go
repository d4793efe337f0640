package fieldbook

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"wetfeet/terrain/quantity"
)

// WriteCSV writes the shots as survey.ReadShots reads them: x,y,z (or
// lon,lat,z), name, code and error_m, metres. An error that is not known is
// left empty.
func (r *Reduction) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	head := []string{"x", "y", "z", "name", "code", "error_m"}
	decimals := 4 // of a metre: a tenth of a millimetre
	if r.LonLat {
		head[0], head[1] = "lon", "lat"
		decimals = 9 // of a degree, as much
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, s := range r.Shots {
		sd := ""
		if s.Error > 0 {
			sd = fixed(max(s.Error, 1e-4), 4)
		}
		if err := out.Write([]string{fixed(s.Point[0], decimals), fixed(s.Point[1], decimals), fixed(s.Z, 4), s.Name, s.Extra[0], sd}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// fixed writes a number with so many decimals, never -0.
func fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// WriteTable writes the book as a surveyor would copy it fair: every line of
// levelling with rises, falls, heights of instrument and corrections, the
// misclosures against what is allowed, the other points, and what was
// remarked.
func (r *Reduction) WriteTable(w io.Writer) error {
	t := &tables{w: bufio.NewWriter(w), size: 1, unit: "m", decimals: 3}
	if r.Units == quantity.Feet {
		t.size, t.unit = 0.3048, "ft"
	}
	if r.Title != "" {
		t.line("%s", r.Title)
	}
	for _, b := range r.Bookings {
		t.booking(b)
	}
	t.misclosures(r.Misclosures)
	t.points(r)
	for _, l := range r.Lines {
		t.line("")
		t.line("line %s: %s", l.Code, listed(l.Names))
	}
	if len(r.Remarks) > 0 {
		t.line("")
	}
	for _, text := range r.Remarks {
		t.line("remark: %s", text)
	}
	return t.w.Flush()
}

// tables writes columns of figures in one unit.
type tables struct {
	w        *bufio.Writer
	size     float64 // metres in the unit
	unit     string
	decimals int
}

func (t *tables) line(format string, args ...any) {
	fmt.Fprintf(t.w, format+"\n", args...) // an error is kept by the writer until Flush
}

// figure is a length in the unit, empty for NaN.
func (t *tables) figure(metres float64) string {
	if math.IsNaN(metres) {
		return ""
	}
	return fixed(metres/t.size, t.decimals)
}

// print lays rows out in columns: the first and the last to the left, figures
// to the right.
func (t *tables) print(rows [][]string) {
	width := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		var b strings.Builder
		for i, cell := range row {
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
			if i == 0 || i == len(row)-1 {
				b.WriteString(cell + pad + "  ")
			} else {
				b.WriteString(pad + cell + "  ")
			}
		}
		t.line("%s", strings.TrimRight(b.String(), " "))
	}
}

func (t *tables) booking(b Booking) {
	t.line("")
	t.line("levelling from %s to %s, %s", b.From, b.To, t.unit)
	rows := [][]string{{"point", "set-up", "bs", "is", "fs", "rise", "fall", "instrument", "level", "correction", "adjusted", "remarks"}}
	for _, r := range b.Rows {
		setUp := ""
		if r.SetUp > 0 {
			setUp = strconv.Itoa(r.SetUp)
		}
		rows = append(rows, []string{r.Point, setUp, t.figure(r.Back), t.figure(r.Inter), t.figure(r.Fore), t.figure(r.Rise), t.figure(r.Fall),
			t.figure(r.Instrument), t.figure(r.Level), t.figure(r.Correction), t.figure(r.Adjusted), r.Remarks})
	}
	rows = append(rows, []string{"sums", "", t.figure(b.SumBack), "", t.figure(b.SumFore), t.figure(b.SumRise), t.figure(b.SumFall), "", "", "", "", ""})
	t.print(rows)
	t.line("bs - fs %s = rise - fall %s = last - first %s", t.figure(b.SumBack-b.SumFore), t.figure(b.SumRise-b.SumFall), t.figure(b.Last-b.First))
}

func (t *tables) misclosures(all []Misclosure) {
	if len(all) == 0 {
		return
	}
	t.line("")
	rows := [][]string{{"closing, " + t.unit, "line", "misses by", "allowed", "each set-up", "order"}}
	for _, m := range all {
		rows = append(rows, []string{m.Loop, strconv.Itoa(m.Line), t.figure(m.Value), t.figure(m.Allowable), t.figure(m.PerSetUp), m.Order.String() + " over " + m.over()})
	}
	t.print(rows)
	told := map[string]bool{}
	for _, m := range all {
		if !told[m.Order.Source] && m.Order.Source != "" {
			told[m.Order.Source] = true
			t.line("%s: %s", m.Order.Name, m.Order.Source)
		}
	}
}

func (t *tables) points(r *Reduction) {
	t.line("")
	x, y := "x m", "y m"
	decimals := 2
	if r.LonLat {
		x, y, decimals = "lon", "lat", 7
	}
	rows := [][]string{{"point", "level " + t.unit, "error " + t.unit, x, y, "code", "remarks"}}
	for _, p := range r.Points {
		row := []string{p.Name, t.figure(p.Level), "", "", "", p.Code, p.Remarks}
		if p.Error > 0 {
			row[2] = t.figure(p.Error)
		} else if p.Benchmark {
			row[2] = "known"
		}
		if p.Placed {
			row[3], row[4] = fixed(p.At[0], decimals), fixed(p.At[1], decimals)
		}
		rows = append(rows, row)
	}
	t.print(rows)
}
