package raster

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A tiffTag is the bytes of one tag of the first directory of a classic
// little-endian TIFF, read here without GDAL (TIFF 6.0, 1992, section 2).
type tiffTag struct {
	kind  uint16
	bytes []byte
}

func tiffTags(t *testing.T, b []byte) map[uint16]tiffTag {
	t.Helper()
	le := binary.LittleEndian
	require.Equal(t, "II*\x00", string(b[:4]))
	at := int(le.Uint32(b[4:]))
	tags := map[uint16]tiffTag{}
	for i := range int(le.Uint16(b[at:])) {
		e := b[at+2+12*i:]
		kind := le.Uint16(e[2:])
		n := int(le.Uint32(e[4:])) * map[uint16]int{1: 1, 2: 1, 3: 2, 4: 4, 12: 8}[kind]
		value := e[8:12]
		if n > 4 {
			value = b[le.Uint32(e[8:]):]
		}
		tags[le.Uint16(e)] = tiffTag{kind, value[:n]}
	}
	return tags
}

func (tag tiffTag) doubles(t *testing.T) []float64 {
	t.Helper()
	require.Equal(t, uint16(12), tag.kind)
	var vs []float64
	for i := 0; i < len(tag.bytes); i += 8 {
		vs = append(vs, math.Float64frombits(binary.LittleEndian.Uint64(tag.bytes[i:])))
	}
	return vs
}

func (tag tiffTag) short(t *testing.T) uint16 {
	t.Helper()
	require.Equal(t, uint16(3), tag.kind)
	return binary.LittleEndian.Uint16(tag.bytes)
}

// geoKey is a short value of the directory of keys in tag 34735 (OGC 19-008r4,
// section 7.1): entries of key, place of the value, count and value.
func geoKey(t *testing.T, tag tiffTag, key uint16) uint16 {
	t.Helper()
	le := binary.LittleEndian
	for i := 8; i+8 <= len(tag.bytes); i += 8 {
		if le.Uint16(tag.bytes[i:]) == key {
			require.Zero(t, le.Uint16(tag.bytes[i+2:]), "the value stands in the directory")
			return le.Uint16(tag.bytes[i+6:])
		}
	}
	t.Fatalf("no key %d", key)
	return 0
}
