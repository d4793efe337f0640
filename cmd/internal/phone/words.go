package phone

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/wording"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// unknown is the risk of a tree about which the ground says nothing.
const unknown = "unknown"

func riskOf(t *assess.Tree) string {
	if !t.OnGround {
		return unknown
	}
	return t.Risk.String()
}

// do is what to do about a tree, empty where it is well where it is.
func do(r *assess.Result, t *assess.Tree) string {
	if t.OnGround && (!t.Flagged || t.Advice == "keep") {
		return ""
	}
	return r.Do(t)
}

// short is a tree in a line.
func short(r *assess.Result, t *assess.Tree) string {
	s := plant(t) + "; " + riskOf(t) + " risk"
	if what := do(r, t); what != "" {
		s += "; " + what
	}
	return s
}

// long is a tree in a few sentences.
func long(r *assess.Result, t *assess.Tree) string {
	s := plant(t)
	if t.Entry != nil && t.Entry.Scientific != s {
		s += " (" + t.Entry.Scientific + ")"
	}
	if t.Row != "" {
		s += ", row " + t.Row + ", " + quantity.FormatLength(t.Along, r.Units) + " from its start"
	}
	s += ". " + wording.Capital(riskOf(t)) + " risk."
	if t.OnGround && t.Draws != nil {
		s += " Odds of its loss: " + species.InTen(t.Odds) + "."
	}
	if what := do(r, t); what != "" {
		s += " To do: " + what + "."
	}
	if mound := moundOf(r, t); mound != "" && t.Advice != "raise" {
		s += " Mound: " + mound + "."
	}
	if t.Tried {
		s += " Planted here knowingly, to see whether it lives."
	}
	if t.Why != "" {
		s += " " + t.Why
	}
	return s
}

// moundOf is that mound in words, empty for none.
func moundOf(r *assess.Result, t *assess.Tree) string {
	if h := t.MoundToBuild(); h > 0 {
		return quantity.FormatMound(h, r.Units)
	}
	return ""
}

func plant(t *assess.Tree) string { return t.Plant() }

func title(r *assess.Result) string { return r.Title() }

const caution = "A telephone knows its place to a few metres only: find the row with it and the stake with a tape. A plan, not a survey: check levels before moving soil, and have buried lines marked before digging."

// degrees writes a coordinate in seven decimals, about a centimetre.
func degrees(v float64) string { return strconv.FormatFloat(v, 'f', 7, 64) }

// metres writes a length in so many decimals, empty where it is not known.
func metres(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// known reports whether a point has a place on the earth.
func known(p orb.Point) bool {
	return math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= 90
}

// write writes a document with its declaration.
func write(w io.Writer, v any) error {
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", " ")
	if err := e.Encode(v); err != nil {
		return fmt.Errorf("xml: %w", err)
	}
	_, err := io.WriteString(w, "\n")
	return err
}
