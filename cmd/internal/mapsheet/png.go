package mapsheet

import (
	"image"
	"image/png"
	"io"
)

// WritePNG writes a picture as PNG (ISO/IEC 15948). The same picture gives the
// same bytes.
func WritePNG(w io.Writer, m image.Image) error {
	return (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(w, m)
}
