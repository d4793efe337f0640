package serve

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"mime"
	"net/http"
	"slices"
	"strings"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/fieldsheet"
	"wetfeet/cmd/internal/mapsheet"
	"wetfeet/cmd/internal/overlay"
	"wetfeet/cmd/internal/phone"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/cmd/internal/report"
)

// A carryQuestion asks for a document as a file to print or to take along.
type carryQuestion struct {
	Document document `json:"document"`
	Units    string   `json:"units"`
	File     string   `json:"file"`  // its name: one of carried
	Paper    string   `json:"paper"` // of field.pdf; what is usual with the units where empty
}

// A carrying is what a file is made from.
type carrying struct {
	result *assess.Result
	advice *advise.Advice // nil without odds
	paper  plansheet.Paper
}

// A carriedFile is one that the page gives away, the same as wetfeet assess
// writes of the plan.
type carriedFile struct {
	name, kind string
	write      func(w io.Writer, c carrying) error
}

var carried = []carriedFile{
	{"field.pdf", "application/pdf", func(w io.Writer, c carrying) error { return fieldsheet.Write(w, c.result, c.paper) }},
	{"report.html", "text/html; charset=utf-8", writeReport},
	{"stakes.csv", "text/csv; charset=utf-8", func(w io.Writer, c carrying) error { return overlay.WriteStakes(w, c.result) }},
	{"stakes.gpx", "application/gpx+xml", func(w io.Writer, c carrying) error { return phone.WriteGPX(w, c.result) }},
	{"risk.kml", "application/vnd.google-earth.kml+xml", func(w io.Writer, c carrying) error { return phone.WriteKML(w, c.result) }},
	{"risk.geojson", "application/geo+json", func(w io.Writer, c carrying) error { return overlay.WriteRisk(w, c.result) }},
}

func writeReport(w io.Writer, c carrying) error {
	png, err := mapsheet.PNG(c.result)
	if err != nil {
		return err
	}
	return report.Write(w, c.result, c.advice, png)
}

// carry gives a document away as a file, with its odds. It waits for its turn
// with questions for advice, and a file is whole before the first byte of it
// is sent.
func (d *desk) carry(w http.ResponseWriter, r *http.Request, s *sheet) error {
	var q carryQuestion
	if err := readJSON(r, &q); err != nil {
		return err
	}
	plan, err := q.Document.planIn(q.Units, s.result)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(carried, func(f carriedFile) bool { return f.name == q.File })
	if at < 0 {
		var names []string
		for _, f := range carried {
			names = append(names, f.name)
		}
		return statusError{http.StatusBadRequest, "", fmt.Errorf("there is no file %q to take along; there are %s", q.File, strings.Join(names, ", "))}
	}
	c := carrying{paper: fieldsheet.PaperFor(plan.Units)}
	if q.Paper != "" {
		if c.paper, err = plansheet.ParsePaper(q.Paper); err != nil {
			return fault.Input(err)
		}
	}
	ctx, cancel := context.WithTimeout(r.Context(), adviceTime)
	defer cancel()
	res, done, err := d.sureOf(ctx, s, &q.Document, q.Units, plan)
	if err != nil {
		return slow(ctx, err)
	}
	defer done()
	own := *res // what is advised is settled in it, and others look at res
	own.Trees = slices.Clone(res.Trees)
	c.result = &own
	if own.Odds != nil {
		if c.advice, err = advise.Make(ctx, &own, advise.Options{}); err != nil {
			return slow(ctx, err)
		}
		c.advice.Settle(&own)
	}
	var file bytes.Buffer
	if err := carried[at].write(&file, c); err != nil {
		return err
	}
	w.Header().Set("Content-Type", carried[at].kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": q.File}))
	_, err = w.Write(file.Bytes())
	return err
}
