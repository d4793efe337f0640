package mapsheet

import (
	"bytes"
	"image"
	"image/png"
	"io"

	"wetfeet/cmd/internal/assess"
)

// WritePNG writes a picture as PNG (ISO/IEC 15948). The same picture gives the
// same bytes.
func WritePNG(w io.Writer, m image.Image) error {
	return (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(w, m)
}

// PNG is the map that [Draw] makes with the usual options, as PNG.
func PNG(r *assess.Result) ([]byte, error) {
	m, err := Draw(r, Options{})
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = WritePNG(&b, m)
	return b.Bytes(), err
}
