package surveypage

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey/fieldbook"
)

// A bookView is one line of levelling as a book page is kept.
type bookView struct {
	Title, Unit string
	Rows        []bookRow
	Sums        bookRow
	Check       string
	Agrees      bool
}

type bookRow struct {
	Page, Point, Remarks          string // Page where it begins
	Back, Inter, Fore, Rise, Fall string
	Instrument, Level             string
	Correction, Adjusted          string
}

type setUpView struct {
	Number                            int
	Kind, Where, From, Sights, Height string
	Error, Closed                     string
}

type misclosureView struct {
	Loop, Where, SetUps, Length, Value, Allowable, Order, Spread, Verdict string
	OK                                                                    bool
}

type checkView struct {
	Name, Value, Allowed string
	OK                   bool
}

// agreeing is how nearly the three differences of a book page have to agree,
// m: what rounding to a tenth of a millimetre leaves.
const agreeing = 0.00005

// addBook fills in what the field book says.
func (p *page) addBook(r *fieldbook.Reduction) {
	for _, b := range r.Bookings {
		p.Books = append(p.Books, viewOfBooking(b))
	}
	for _, u := range r.SetUps {
		if u.Kind == "level" {
			continue // in the bookings
		}
		v := setUpView{
			Number: u.Number, Kind: u.Kind, Where: where(u.Page, u.Line), From: u.From, Sights: strconv.Itoa(u.Sights),
			Height: quantity.FormatLength(u.Instrument, r.Units), Closed: "not checked by anything",
		}
		if u.Error > 0 {
			v.Error = "±" + quantity.FormatDepth(u.Error, r.Units)
		}
		if u.Closed {
			v.Closed = "checked"
		}
		p.SetUps = append(p.SetUps, v)
	}
	seen := make(map[string]bool)
	for _, m := range r.Misclosures {
		v := misclosureView{
			Loop: m.Loop, Where: where(m.Page, m.Line), SetUps: strconv.Itoa(m.SetUps),
			Value: small(m.Value, r.Units), Allowable: "±" + small(m.Allowable, r.Units),
			Order: m.Order.String(), OK: within(m), Verdict: "within the allowable",
		}
		if m.Repeat {
			v.Loop += " (read twice)"
		}
		if m.Metres > 0 {
			p.Lengths = true
			v.Length = quantity.FormatDistance(m.Metres, r.Units)
		}
		if m.PerSetUp != 0 {
			v.Spread = small(m.PerSetUp, r.Units) + " a set-up"
		}
		if !v.OK {
			v.Verdict = "beyond the allowable"
		}
		p.Misclosures = append(p.Misclosures, v)
		if text := m.Order.String() + ": " + m.Order.Source; m.Order.Source != "" && !seen[text] {
			seen[text] = true
			p.Orders = append(p.Orders, text)
		}
	}
	for _, c := range r.Checks {
		p.Checks = append(p.Checks, checkView{c.Name, small(c.Value, r.Units), small(c.Allowed, r.Units), c.OK})
	}
	p.Remarks = slices.Clip(p.Remarks)
	for _, remark := range r.Remarks {
		if !slices.Contains(p.Remarks, remark) {
			p.Remarks = append(p.Remarks, remark)
		}
	}
}

func within(m fieldbook.Misclosure) bool { return math.Abs(m.Value) <= m.Allowable*(1+1e-9) }

// small is a misclosure: to a tenth of a millimetre or a ten-thousandth of a
// foot, with its sign.
func small(metres float64, u quantity.Units) string {
	if u == quantity.Feet {
		return unminused(strconv.FormatFloat(metres/0.3048, 'f', 4, 64)) + " ft"
	}
	return unminused(strconv.FormatFloat(metres*1000, 'f', 1, 64)) + " mm"
}

// unminused is a number with a minus sign that is as wide as a plus, and
// without one before nothing.
func unminused(s string) string {
	if s[0] != '-' {
		return s
	}
	if v, err := strconv.ParseFloat(s, 64); err == nil && v == 0 {
		return s[1:]
	}
	return "−" + s[1:]
}

func where(page string, line int) string {
	if page == "" {
		return fmt.Sprintf("line %d", line)
	}
	return fmt.Sprintf("page %s, line %d", page, line)
}

func viewOfBooking(b fieldbook.Booking) bookView {
	unit := 1.0
	if b.Unit == "ft" {
		unit = 0.3048
	}
	figure := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return unminused(strconv.FormatFloat(v/unit, 'f', 3, 64))
	}
	view := bookView{Title: "From " + b.From + " to " + b.To, Unit: b.Unit}
	page := ""
	for _, r := range b.Rows {
		row := bookRow{
			Point: r.Point, Remarks: r.Remarks,
			Back: figure(r.Back), Inter: figure(r.Inter), Fore: figure(r.Fore), Rise: figure(r.Rise), Fall: figure(r.Fall),
			Instrument: figure(r.Instrument), Level: figure(r.Level), Adjusted: figure(r.Adjusted),
		}
		if !math.IsNaN(r.Correction) {
			row.Correction = unminused(strconv.FormatFloat(r.Correction/unit, 'f', 4, 64))
		}
		if r.Page != page {
			page, row.Page = r.Page, r.Page
		}
		view.Rows = append(view.Rows, row)
	}
	view.Sums = bookRow{Back: figure(b.SumBack), Fore: figure(b.SumFore), Rise: figure(b.SumRise), Fall: figure(b.SumFall)}
	sights, rises, levels := b.SumBack-b.SumFore, b.SumRise-b.SumFall, b.Last-b.First
	view.Agrees = math.Abs(sights-rises) < agreeing && math.Abs(rises-levels) < agreeing
	says := "the three agree"
	if !view.Agrees {
		says = "they do not agree"
	}
	view.Check = fmt.Sprintf("Back less fore sights %s, rises less falls %s, last less first level %s: %s.", figure(sights), figure(rises), figure(levels), says)
	return view
}
