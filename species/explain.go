package species

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"
)

// ExplainOptions adjusts Explain. The zero value is the common case.
type ExplainOptions struct {
	// Width is the width of the text in characters. Zero is 80; less than 40
	// is taken as 40.
	Width int

	// Length writes a length given in metres. Nil writes metres. The evidence
	// stays in the units it was taken down in.
	Length func(metres float64) string
}

// Explain writes all that is known of the entry, for a person to read: what
// the program goes by, and then the evidence for it, fact by fact, with what
// each rests on.
func (t *Table) Explain(w io.Writer, e *Entry, opts ExplainOptions) error {
	switch {
	case opts.Width == 0:
		opts.Width = 80
	case opts.Width < 40:
		opts.Width = 40
	}
	p := &page{width: opts.Width}
	p.summary(e, opts.Length)
	numbers := p.evidence(e, t)
	p.sources(t, numbers)
	p.caution(e)
	_, err := io.WriteString(w, p.String())
	return err
}

// A page is text being laid out.
type page struct {
	strings.Builder
	width int
}

func (p *page) line(s string) { p.WriteString(strings.TrimRight(s, " ") + "\n") }

// paragraph writes s wrapped, every line after the first set in by indent.
func (p *page) paragraph(s string, indent int) {
	for i, l := range wrap(s, p.width-indent) {
		if i > 0 {
			l = strings.Repeat(" ", indent) + l
		}
		p.line(l)
	}
}

// labelled writes a label and beside it a wrapped value.
func (p *page) labelled(label, value string) {
	const column = 16
	for i, l := range wrap(value, p.width-column-2) {
		if i > 0 {
			label = ""
		}
		p.line("  " + pad(label, column) + l)
	}
}

func (p *page) summary(e *Entry, length func(float64) string) {
	p.paragraph(e.Label(), 2)
	if len(e.Common) > 1 {
		p.paragraph("also "+strings.Join(e.Common[1:], ", "), 2)
	}
	if len(e.Synonyms) > 0 {
		p.paragraph("as a synonym "+strings.Join(e.Synonyms, ", "), 2)
	}
	p.line("")
	p.labelled("Class", fmt.Sprintf("%s: %s", e.Class, e.Class.phrase()))
	p.labelled("Bears", fmt.Sprintf("about %s of waterlogged roots, perhaps %s to %s (%s)",
		about(e.Days.Likely), plainNumber(e.Days.Low), plainNumber(e.Days.High), e.DaysBasis))
	p.labelled("Otherwise", e.otherwise())
	if stocks := e.onRootstocks(); stocks != "" {
		p.labelled("Grafted", stocks)
	}
	p.labelled("Confidence", e.Confidence)
	if e.Depth != nil {
		p.labelled("Standing water", lengths(&Range{*e.Depth, *e.Depth, *e.Depth}, length)+" deep has been borne"+basisOf(e, "water_depth"))
	} else {
		p.labelled("Standing water", "no depth is known; up to "+lengths(&Range{shallowDepth, shallowDepth, shallowDepth}, length)+" is taken as shallow")
	}
	p.labelled("Water table", orUnknown(lengths(e.WaterTable, length), " below the ground or deeper"+basisOf(e, "water_table")))
	p.labelled("Layer", orUnknown(e.Stratum, basisOf(e, "stratum")))
	p.labelled("Uses", orUnknown(strings.Join(e.Uses, ", "), basisOf(e, "use")))
	p.labelled("Spacing", orUnknown(lengths(e.Spacing, length), basisOf(e, "spacing")))
	p.labelled("Height", orUnknown(lengths(e.Height, length), basisOf(e, "height")))
	zones := e.Hardiness
	if zones != "" && zones != "annual" {
		zones = "USDA zones " + zones
	}
	p.labelled("Hardiness", orUnknown(zones, basisOf(e, "hardiness")))
	salt := map[string]string{"none": "bears none", "low": "bears little", "medium": "bears some", "high": "bears much"}
	p.labelled("Salt", orUnknown(salt[e.Salt], basisOf(e, "salt")))
	if e.Invasive == "" {
		p.labelled("Invasive", "no caution is recorded here; check the local list")
	} else {
		p.labelled("Invasive", e.Invasive+basisOf(e, "invasive")+"; check the local list")
	}
	if e.Clash != "" {
		p.line("")
		p.paragraph("The sources disagree: "+e.Clash+".", 0)
	}
}

// otherwise is how many days a tree bears that is not an established one in leaf,
// in still water and sound soil of 20 °C.
func (e *Entry) otherwise() string {
	cool, warm := coolSoil, warmSoil
	days := func(c Conditions) string { return about(e.Tolerance(c).Days.Likely) }
	of := Conditions{Years: grownFrom}
	with := func(change func(*Conditions)) string {
		c := of
		change(&c)
		return days(c)
	}
	s := "newly planted " + days(Conditions{})
	if e.Tropical() {
		s += "; cool soil and rest are no help"
	} else {
		s += fmt.Sprintf("; at rest %s, in soil of %s %s",
			with(func(c *Conditions) { c.Dormant = true }), celsius(coolSoil), with(func(c *Conditions) { c.Soil = &cool }))
	}
	return s + fmt.Sprintf("; in soil of %s %s; in moving water %s; with root rot in the soil %s (common practice)", celsius(warmSoil),
		with(func(c *Conditions) { c.Soil = &warm }), with(func(c *Conditions) { c.Moving = true }), with(func(c *Conditions) { c.Rot = true }))
}

// coolSoil and warmSoil are the warmth of soil that otherwise tells, °C.
const coolSoil, warmSoil = 10.0, 30.0

// onRootstocks is how many days an established tree bears on each rootstock of
// which a flood was read.
func (e *Entry) onRootstocks() string {
	var all []string
	for _, name := range e.Rootstocks() {
		t := e.Tolerance(Conditions{Years: grownFrom, Rootstock: name})
		if t.Days != e.Tolerance(Conditions{Years: grownFrom}).Days {
			all = append(all, fmt.Sprintf("on %s about %s", name, about(t.Days.Likely)))
		}
	}
	return strings.Join(all, "; ")
}

// about writes days as people say them.
func about(days float64) string {
	switch n := math.Round(days); {
	case n < 1:
		return "half a day"
	case n == 1:
		return "a day"
	case n < 300:
		return fmt.Sprintf("%.0f days", n)
	default:
		return "a whole year"
	}
}

// orUnknown is the value with what follows it, or that there is none.
func orUnknown(value, after string) string {
	if value == "" {
		return "not known"
	}
	return value + after
}

// basisOf is what the figure drawn from an attribute rests on, in brackets.
func basisOf(e *Entry, attribute string) string {
	if f := e.Evidence(attribute); len(f) > 0 {
		return " (" + string(f[0].Basis) + ")"
	}
	return ""
}

// lengths writes a range; empty for nil.
func lengths(r *Range, length func(float64) string) string {
	switch {
	case r == nil:
		return ""
	case length == nil && r.Low == r.High:
		return plainNumber(r.Low) + " m"
	case length == nil:
		return plainNumber(r.Low) + " to " + plainNumber(r.High) + " m"
	case r.Low == r.High:
		return length(r.Low)
	}
	return length(r.Low) + " to " + length(r.High)
}

// labels are what attributes are called where their own name does not read.
var labels = map[string]string{
	"days_special":        "days, otherwise",
	"days_of_class":       "days by class word",
	"first_injury":        "first injury",
	"water_depth":         "standing water",
	"fao_use_group":       "FAO use group",
	"plantation_spacing":  "in plantations",
	"killing_temperature": "killed at",
	"coldest":             "coldest borne",
	"invasive":            "invasive caution",
	"salt":                "salt tolerance",
}

func labelOf(attribute string) string {
	if l, ok := labels[attribute]; ok {
		return l
	}
	return strings.ReplaceAll(attribute, "_", " ")
}

// valueOf writes the value of a fact with its unit and, behind a colon, its
// note.
func valueOf(f Fact) string {
	v := f.Value
	switch f.Unit {
	case "":
	case "index 1-5":
		v += " of 5"
	case "C":
		v += " °C"
	case "USDA zone":
		v = "USDA " + v
	default:
		v += " " + f.Unit
	}
	if f.Note != "" {
		v += "; " + f.Note
	}
	return v
}

// evidence writes the table of facts and returns the sources in the order
// they were numbered.
func (p *page) evidence(e *Entry, t *Table) []string {
	const label, basis = 20, 16
	p.line("")
	p.line("Evidence; of each kind the first counts")
	p.line("")
	var ids []string
	number := func(id string) int {
		for i, have := range ids {
			if have == id {
				return i + 1
			}
		}
		ids = append(ids, id)
		return len(ids)
	}
	last := ""
	for _, f := range e.Facts {
		head := labelOf(f.Attribute)
		if f.Attribute == last {
			head = ""
		}
		last = f.Attribute
		mark := fmt.Sprintf("%-*s [%d]", basis-1, f.Basis, number(f.Source))
		room := p.width - 2 - label - basis - 6
		if room < 24 { // narrow: the basis goes behind the value
			for i, l := range wrap(fmt.Sprintf("%s (%s) [%d]", valueOf(f), f.Basis, number(f.Source)), p.width-label-2) {
				if i > 0 {
					head = ""
				}
				p.line("  " + pad(head, label) + l)
			}
			continue
		}
		for i, l := range wrap(valueOf(f), room) {
			if i > 0 {
				head, mark = "", ""
			}
			p.line("  " + pad(head, label) + pad(l, room+1) + mark)
		}
	}
	return ids
}

func (p *page) sources(t *Table, ids []string) {
	p.line("")
	p.line("Sources")
	p.line("")
	for i, id := range ids {
		s := t.sources[id]
		text := s.Citation
		if s.Remark != "" {
			text += " (" + s.Remark + ")"
		}
		mark := pad(fmt.Sprintf("[%d]", i+1), 5)
		for _, l := range wrap(text, p.width-7) {
			p.line("  " + mark + l)
			mark = pad("", 5)
		}
		if s.Address != "" {
			p.line("  " + mark + s.Address) // whole, so that it can be followed
		}
	}
}

func (p *page) caution(e *Entry) {
	own := ""
	if e.Own {
		own = "grower, your own table says so; "
	}
	p.line("")
	p.paragraph("Marked "+own+"read, the text or data row was seen; from memory, it was recalled "+
		"and should be checked before it is quoted; common practice, growers say so. "+
		"Expect an error of one class either way. Days are for an established tree in leaf "+
		"in warm soil with only its roots under water; a tree newly planted bears about half of "+
		"them, and is judged by that unless the site file says how long it has stood. A flooded graft "+
		"shortens them too, and to survive is not to crop.", 0)
}

// pad fills s with spaces to n characters.
func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s)))
}

// wrap breaks text between words into lines of at most width characters; a
// longer word stands alone.
func wrap(s string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
