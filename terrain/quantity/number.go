package quantity

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// longest is the most bytes that are read as one quantity.
const longest = 64

// plain puts what a phone, a word processor or a careful typist writes into
// the characters a keyboard has.
var plain = strings.NewReplacer(
	"\u2032\u2032", `"`, "''", `"`, "\u2019\u2019", `"`,
	"\u2032", "'", "\u2018", "'", "\u2019", "'", "\u00b4", "'",
	"\u2033", `"`, "\u201c", `"`, "\u201d", `"`,
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\t", " ",
	"\u00b5", "u", "\u03bc", "u", "\u00b2", "2",
	"\u2212", "-", "\u2044", "/", "\u2215", "/",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// A part is one number with the unit that followed it, which may be empty.
type part struct {
	value  float64
	comma  bool // the number was written with a decimal comma
	hyphen bool // a hyphen joins the number to the unit before it
	unit   string
}

var (
	errForm  = errors.New("not a number and a unit")
	errComma = errors.New("its comma could mean thousands or decimals, so write 1200 or 1.2")
)

// split reads s as numbers, each with the unit behind it.
func split(s string) ([]part, error) {
	if len(s) > longest || !utf8.ValidString(s) {
		return nil, errForm
	}
	rest := strings.TrimSpace(plain.Replace(s))
	var parts []part
	joined := false
	for rest != "" {
		p, after, err := number(rest)
		if err != nil {
			return nil, err
		}
		p.hyphen = joined && rest[0] == '-' && isDigit(rest[1])
		// The unit runs to the next digit, except that one closing 2 belongs
		// to a square.
		end := strings.IndexAny(after, "0123456789-+")
		if end > 0 && after[end] == '2' && isLetter(after[end-1]) || end > 0 && after[end-1] == '^' && after[end] == '2' {
			end++
			if next := strings.IndexAny(after[end:], "0123456789-+"); next < 0 {
				end = len(after)
			} else {
				end += next
			}
		}
		if end < 0 {
			end = len(after)
		}
		joined = end > 0 && after[end-1] != ' '
		p.unit, rest = strings.TrimSpace(after[:end]), after[end:]
		parts = append(parts, p)
	}
	if len(parts) == 0 {
		return nil, errForm
	}
	return parts, nil
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// number reads a number from the front of s: 4.5, 4,5, 1e3, 7 1/4, 7-1/4, 1/2.
func number(s string) (p part, after string, err error) {
	sign := 1.0
	switch {
	case strings.HasPrefix(s, "-"):
		sign, s = -1, s[1:]
	case strings.HasPrefix(s, "+"):
		s = s[1:]
	}
	whole, after := digits(s)
	text := s[:len(s)-len(after)]
	pointed := false
	if len(after) > 0 && (after[0] == '.' || after[0] == ',') {
		decimals, rest := digits(after[1:])
		if after[0] == ',' && len(decimals) == 0 {
			return p, "", errForm
		}
		if after[0] == ',' && len(decimals) == 3 && strings.Trim(whole, "0") != "" {
			return p, "", errComma
		}
		if len(rest) > 0 && (rest[0] == ',' || rest[0] == '.' && len(rest) > 1 && isDigit(rest[1])) {
			return p, "", errForm // 1,200.5 or 1.200,5
		}
		pointed, p.comma = true, after[0] == ','
		text, after = whole+"."+decimals, rest
		if whole == "" && decimals == "" {
			return p, "", errForm
		}
	}
	if text == "" {
		return p, "", errForm
	}
	if e, rest := exponent(after); e != "" {
		pointed, text, after = true, text+e, rest
	}
	if p.value, err = strconv.ParseFloat(text, 64); err != nil || math.IsInf(p.value, 0) {
		return p, "", errForm
	}
	if !pointed {
		p.value, after, err = fraction(p.value, after)
	}
	p.value *= sign
	return p, after, err
}

func digits(s string) (run, after string) {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return s[:n], s[n:]
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// exponent takes "e3" or "E-2" from the front of s, if it is there.
func exponent(s string) (e, after string) {
	if s == "" || s[0]|0x20 != 'e' {
		return "", s
	}
	n := 1
	if n < len(s) && (s[n] == '-' || s[n] == '+') {
		n++
	}
	run, after := digits(s[n:])
	if run == "" {
		return "", s
	}
	return s[:n] + run, after
}

// fraction adds the common fraction that may follow a whole number, as in
// 7 1/4 and 7-1/4, or makes the number its top, as in 1/2.
func fraction(v float64, s string) (sum float64, after string, err error) {
	if strings.HasPrefix(s, "/") {
		below, rest := digits(s[1:])
		if below == "" {
			return v, s, nil // the slash of a rate
		}
		d, err := strconv.ParseFloat(below, 64)
		if err != nil || d == 0 {
			return v, s, errForm
		}
		return v / d, rest, nil
	}
	t := strings.TrimLeft(s, " ")
	if strings.HasPrefix(t, "-") && len(t) == len(s) {
		t = t[1:]
	} else if len(t) == len(s) {
		return v, s, nil
	}
	above, rest := digits(t)
	if above == "" || !strings.HasPrefix(rest, "/") {
		return v, s, nil
	}
	below, rest := digits(rest[1:])
	a, errAbove := strconv.ParseFloat(above, 64)
	b, errBelow := strconv.ParseFloat(below, 64)
	if errAbove != nil || errBelow != nil || a >= b {
		return v, s, errForm // 7 5/4 is no way to write a mixed number
	}
	return v + a/b, rest, nil
}
