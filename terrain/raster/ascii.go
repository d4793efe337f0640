package raster

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"wetfeet/terrain"
)

// A gridText is an ASCII grid whose header has been read. Its cells are
// read here: GDAL takes a word that is no number for 0 and does not mind
// cells left over.
//
// The format is that of Esri's page "Esri ASCII raster format": keywords in
// any case, the northern row first, line breaks without meaning, and -9999
// for a void unless the header says otherwise.
type gridText struct {
	file       *os.File
	words      *tokens
	rows, cols int
	void       float64
}

// gridKeys are the keywords of the header.
var gridKeys = []string{"ncols", "nrows", "xllcorner", "xllcenter", "yllcorner", "yllcenter", "cellsize", "dx", "dy", "nodata_value"}

// most mistakes listed of one file.
const mostMistakes = 10

// readGridHeader reads the header of an ASCII grid. It returns nil for a
// file that does not begin like one.
func readGridHeader(d *door) (*gridText, error) {
	head := bytes.ToLower(bytes.TrimLeft(d.head, " \t\r\n"))
	if bytes.HasPrefix(head, []byte("\ufeffn")) {
		return nil, bad("begins with a byte-order mark; save it as plain text without one")
	}
	if !slices.ContainsFunc(gridKeys, func(k string) bool { return bytes.HasPrefix(head, []byte(k)) }) {
		return nil, nil
	}
	f, err := os.Open(d.path)
	if err != nil {
		return nil, plain(err)
	}
	g := &gridText{file: f, words: newTokens(f), void: -9999}
	if err := g.header(); err != nil {
		f.Close()
		return nil, err
	}
	return g, nil
}

func (g *gridText) header() error {
	seen := map[string]float64{}
	var mistakes []error
	empty := false
	for {
		word := g.words.next()
		if word == nil {
			empty = true
			break
		}
		if _, isValue := number(word); isValue {
			g.words.unread(word)
			break
		}
		line, key := g.words.line, strings.ToLower(string(word))
		if !slices.Contains(gridKeys, key) {
			mistakes = append(mistakes, bad("line %d: %q is neither a number nor a keyword of an ASCII grid (%s)", line, clip(key), strings.Join(gridKeys, ", ")))
			break
		}
		value := string(g.words.next())
		v, ok := number([]byte(value))
		switch _, twice := seen[key]; {
		case twice:
			mistakes = append(mistakes, bad("line %d: %s is given twice", line, key))
		case !ok:
			mistakes = append(mistakes, bad("line %d: %s: %q is not a number", line, key, clip(value)))
		case (key == "ncols" || key == "nrows") && (v != float64(int32(v)) || v < 1):
			mistakes = append(mistakes, bad("line %d: %s: %s is not a whole number of cells, 1 or more", line, key, value))
		case (key == "cellsize" || key == "dx" || key == "dy") && !(v > 0):
			mistakes = append(mistakes, bad("line %d: %s: %s is not a length above 0", line, key, value))
		}
		seen[key] = v
	}
	if len(mistakes) > 0 {
		return bad("%w", errors.Join(mistakes...))
	}
	for _, need := range [][]string{{"ncols"}, {"nrows"}, {"xllcorner", "xllcenter"}, {"yllcorner", "yllcenter"}, {"cellsize", "dx"}, {"cellsize", "dy"}} {
		if !slices.ContainsFunc(need, func(k string) bool { _, ok := seen[k]; return ok }) {
			return bad("has no %s in its header", strings.Join(need, " or "))
		}
	}
	g.cols, g.rows = int(seen["ncols"]), int(seen["nrows"])
	if v, ok := seen["nodata_value"]; ok {
		g.void = v
	}
	if empty {
		return bad("line %d: the file ends after its header, before the first of %d values (%s)", g.words.line, g.cols*g.rows, size(g.cols, g.rows))
	}
	info, err := g.file.Stat()
	if err != nil {
		return plain(err)
	}
	// A cell takes two bytes at least, a digit and a blank.
	if cells := float64(g.cols) * float64(g.rows); cells*2-1 > float64(info.Size()) {
		return bad("promises %s and is too short to hold them (%s)", size(g.cols, g.rows), bytesText(float64(info.Size())))
	}
	return nil
}

// read is source.readInto for a text grid. The whole text is gone through,
// whatever the window, so that no mistake in it stays unseen.
func (g *gridText) read(w window, c *cleaner, dst []float32) error {
	var mistakes []error
	more := 0
	wrong := func(line int, format string, args ...any) {
		if len(mistakes) == mostMistakes {
			more++
			return
		}
		mistakes = append(mistakes, bad(fmt.Sprintf("line %d: ", line)+format, args...))
	}
	for row := range g.rows {
		inside := row >= w.row && row < w.row+w.rows
		var cells []float32
		if inside {
			cells = dst[(row-w.row)*w.cols : (row-w.row+1)*w.cols]
		}
		for col := range g.cols {
			word := g.words.next()
			if word == nil {
				if err := g.words.fault(); err != nil {
					return plain(err)
				}
				wrong(g.words.line, "the file ends after %d of the %d values its header promises (%s)", row*g.cols+col, g.rows*g.cols, size(g.cols, g.rows))
				return listed(mistakes, more)
			}
			v, ok := number(word)
			if !ok {
				wrong(g.words.line, "%q is not an elevation (row %d, column %d)", clip(string(word)), row+1, col+1)
				continue
			}
			if !inside || col < w.col || col >= w.col+w.cols {
				continue
			}
			if c.isVoid(v) {
				cells[col-w.col] = terrain.Void()
				continue
			}
			z, ok := c.metres(v)
			if !ok {
				return listed(append(mistakes, in(fmt.Sprintf("line %d", g.words.line), c.oddCell(row, col, v))), more)
			}
			cells[col-w.col] = float32(z)
		}
	}
	if word := g.words.next(); word != nil {
		wrong(g.words.line, "more values than the %d its header promises (%s), from %q on", g.rows*g.cols, size(g.cols, g.rows), clip(string(word)))
	} else if err := g.words.fault(); err != nil {
		return plain(err)
	}
	return listed(mistakes, more)
}

// listed joins the mistakes of a file, nil if there are none.
func listed(mistakes []error, more int) error {
	if len(mistakes) == 0 {
		return nil
	}
	if more > 0 {
		mistakes = append(mistakes, bad("and %d more", more))
	}
	return bad("%w", errors.Join(mistakes...))
}
