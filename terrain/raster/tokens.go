package raster

import (
	"bytes"
	"io"
	"math"
	"strconv"
)

// tokens cuts a text into the words between white space, and counts lines as
// an editor does. It holds one buffer, whatever the text claims to be.
type tokens struct {
	r        io.Reader
	buf      []byte
	pos, end int
	line     int // of the word next returns, from 1
	err      error
	back     []byte // a word put back
}

func newTokens(r io.Reader) *tokens {
	return &tokens{r: r, buf: make([]byte, 1<<16), line: 1}
}

// longestToken bounds a word. Real ones have a dozen letters.
const longestToken = 256

// next is the next word, which is good until the call after, or nil at the
// end of the text or on a fault, which err then holds.
func (t *tokens) next() []byte {
	if t.back != nil {
		word := t.back
		t.back = nil
		return word
	}
	for {
		for t.pos < t.end && t.buf[t.pos] <= ' ' {
			if t.buf[t.pos] == '\n' {
				t.line++
			}
			t.pos++
		}
		if t.pos < t.end {
			break
		}
		if !t.fill() {
			return nil
		}
	}
	if t.end-t.pos < longestToken {
		t.fill() // so that a word is not cut by the end of the buffer
	}
	i, most := t.pos, min(t.end, t.pos+longestToken)
	for i < most && t.buf[i] > ' ' {
		i++
	}
	word := t.buf[t.pos:i:i]
	t.pos = i
	return word
}

// unread puts the last word back.
func (t *tokens) unread(word []byte) { t.back = word }

// fill moves what is left to the front of the buffer and reads more. It
// reports whether there is more.
func (t *tokens) fill() bool {
	if t.err != nil {
		return false
	}
	copy(t.buf, t.buf[t.pos:t.end])
	t.pos, t.end = 0, t.end-t.pos
	for tries := 0; t.end < len(t.buf); tries++ {
		n, err := t.r.Read(t.buf[t.end:])
		t.end += n
		if err != nil || tries > 100 {
			t.err = err
			if err == nil {
				t.err = io.ErrNoProgress
			}
			return n > 0
		}
		if n > 0 {
			return true
		}
	}
	return true
}

// fault is the error that ended the text, nil for its plain end.
func (t *tokens) fault() error {
	if t.err == io.EOF {
		return nil
	}
	return t.err
}

// pow10 are the powers of ten that float64 holds exactly.
var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// number reads a decimal number with a point or a comma. A short one, as
// nearly all are, is a whole number below 2⁵³ over a power of ten, both held
// exactly, so that one division rounds it right.
func number(word []byte) (float64, bool) {
	i, neg := 0, false
	if len(word) > 0 && (word[0] == '-' || word[0] == '+') {
		neg = word[0] == '-'
		i = 1
	}
	var whole uint64
	digits, after, comma := 0, -1, false
	for ; i < len(word); i++ {
		switch b := word[i]; {
		case b >= '0' && b <= '9':
			whole = whole*10 + uint64(b-'0')
			digits++
			if after >= 0 {
				after++
			}
		case (b == '.' || b == ',') && after < 0:
			after = 0
			comma = b == ','
		default:
			return slowNumber(word)
		}
		if digits > 15 {
			return slowNumber(word)
		}
	}
	if digits == 0 || comma && after == 0 {
		return 0, false
	}
	v := float64(whole)
	if after > 0 {
		v /= pow10[after]
	}
	if neg {
		v = -v
	}
	return v, true
}

// slowNumber reads exponents, long mantissas and the words for no number.
// Hexadecimal numbers, underscores and infinities are not taken for
// elevations.
func slowNumber(word []byte) (float64, bool) {
	text := bytes.ToLower(word)
	switch string(bytes.TrimLeft(text, "+-")) {
	case "nan", "1.#qnan", "1.#ind", "nan(ind)":
		return math.NaN(), true
	}
	if bytes.ContainsAny(text, "xp_in") {
		return 0, false
	}
	if bytes.Count(text, []byte(",")) == 1 && !bytes.Contains(text, []byte(".")) {
		text = bytes.Replace(text, []byte(","), []byte("."), 1)
	}
	v, err := strconv.ParseFloat(string(text), 64)
	return v, err == nil
}
