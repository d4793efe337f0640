package raster

import (
	"bytes"
	"fmt"
	"io"
	"os"
)

// scanText goes through the text formats that GDAL reads for words that are
// no numbers and for too many of them: it takes the first for 0, or for the
// end, and says nothing of the second.
func scanText(d *door, driver string) error {
	var scan func(io.Reader) error
	switch driver {
	case "GSAG":
		scan = scanSurfer
	case "USGSDEM":
		scan = scanUSGS
	default:
		return nil
	}
	f, err := os.Open(d.path)
	if err != nil {
		return plain(err)
	}
	defer f.Close()
	return scan(f)
}

// scanSurfer checks a Surfer ASCII grid: DSAA, columns, rows, the ranges of x,
// y and z, and the values.
func scanSurfer(r io.Reader) error {
	words := newTokens(r)
	words.next() // DSAA, or the driver would not have taken it
	var n [2]float64
	for i := range n {
		word := words.next()
		v, ok := number(word)
		if !ok || v != float64(int32(v)) || v < 1 {
			return bad("line %d: %q is not a whole number of cells, 1 or more", words.line, clip(string(word)))
		}
		n[i] = v
	}
	cols, rows := int(n[0]), int(n[1])
	const ranges = 6
	want := ranges + cols*rows
	var mistakes []error
	more := 0
	for i := range want {
		word := words.next()
		if word == nil {
			if err := words.fault(); err != nil {
				return plain(err)
			}
			mistakes = append(mistakes, bad("line %d: the file ends after %d of the %d values its header promises (%s)", words.line, max(0, i-ranges), cols*rows, size(cols, rows)))
			return listed(mistakes, more)
		}
		if _, ok := number(word); !ok {
			if len(mistakes) == mostMistakes {
				more++
				continue
			}
			mistakes = append(mistakes, bad("line %d: %q is not a number", words.line, clip(string(word))))
		}
	}
	if word := words.next(); word != nil {
		mistakes = append(mistakes, bad("line %d: more values than the %d its header promises (%s), from %q on", words.line, cols*rows, size(cols, rows), clip(string(word))))
	}
	return listed(mistakes, more)
}

// scanUSGS checks a USGS DEM: after its first record of 1024 bytes, which
// holds names, there is nothing but numbers in the Fortran manner.
func scanUSGS(r io.Reader) error {
	const first = 1024
	buf := make([]byte, 1<<16)
	for at := 0; ; {
		n, err := r.Read(buf)
		for i := max(0, first-at); i < n; i++ {
			if bytes.IndexByte([]byte(" 0123456789+-.EDed\r\n\x00"), buf[i]) < 0 {
				return bad("byte %d: %s is no part of a number", at+i+1, fmt.Sprintf("%q", rune(buf[i])))
			}
		}
		at += n
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return plain(err)
		}
	}
}
