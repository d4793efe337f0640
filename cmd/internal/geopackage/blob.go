package geopackage

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/encoding/wkb"
)

// ErrShape is wrapped by what Decode says of bytes that hold no shape.
var ErrShape = errors.New("not a shape of a GeoPackage")

// Parts of the header of a shape.
const (
	plainHead    = 8 // magic, version, flags, system
	littleEndian = 1 << 0
	withBox      = 1 << 1 // the envelope is min x, max x, min y, max y
	empty        = 1 << 4
	extended     = 1 << 5
)

// envelopes are the bytes of the envelope by the three bits that tell its kind.
var envelopes = [...]int{0, 32, 48, 48, 64}

// Encode is a shape as a GeoPackage keeps it, in the system given by its ID in
// the file: with its box, but for a point, which is its own. A nil shape is nil
// bytes, to be stored as NULL.
func Encode(g orb.Geometry, system int32) ([]byte, error) {
	if g == nil {
		return nil, nil
	}
	body, err := wkb.Marshal(g, binary.LittleEndian)
	if err != nil {
		return nil, err
	}
	flags := byte(littleEndian)
	_, isPoint := g.(orb.Point)
	box := g.Bound()
	switch {
	case isPoint:
	case box.IsEmpty():
		flags |= empty
	default:
		flags |= withBox
	}
	out := append(make([]byte, 0, plainHead+32+len(body)), 'G', 'P', 0, flags)
	out = binary.LittleEndian.AppendUint32(out, uint32(system))
	if flags&withBox != 0 {
		for _, v := range [...]float64{box.Min[0], box.Max[0], box.Min[1], box.Max[1]} {
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
		}
	}
	return append(out, body...), nil
}

// Decode reads a shape and the ID of its system. Nil bytes are a nil shape.
// The error for anything else wraps [ErrShape].
func Decode(b []byte) (g orb.Geometry, system int32, err error) {
	if b == nil {
		return nil, 0, nil
	}
	head, body, err := SplitHead(b)
	if err != nil {
		return nil, 0, err
	}
	g, err = wkb.Unmarshal(body)
	if err != nil {
		return nil, 0, fmt.Errorf("%w: %w", ErrShape, err)
	}
	return g, head.System, nil
}

// A Head is what a GeoPackage writes before a shape.
type Head struct {
	System int32 // its ID in the file
	Empty  bool  // the shape has no points
}

// SplitHead parts the head of a shape from its body in well-known binary, which
// shares the memory of b and is not looked at. The error wraps [ErrShape].
func SplitHead(b []byte) (h Head, body []byte, err error) {
	if len(b) < plainHead || b[0] != 'G' || b[1] != 'P' || b[2] != 0 {
		return h, nil, fmt.Errorf("%w: it does not begin as one", ErrShape)
	}
	flags := b[3]
	if flags&extended != 0 {
		return h, nil, fmt.Errorf("%w: it is of an extension that is not known here", ErrShape)
	}
	kind := int(flags >> 1 & 7)
	if kind >= len(envelopes) || len(b) < plainHead+envelopes[kind] {
		return h, nil, fmt.Errorf("%w: its envelope is cut short or of no known kind", ErrShape)
	}
	order := binary.ByteOrder(binary.BigEndian)
	if flags&littleEndian != 0 {
		order = binary.LittleEndian
	}
	return Head{System: int32(order.Uint32(b[4:])), Empty: flags&empty != 0}, b[plainHead+envelopes[kind]:], nil
}
