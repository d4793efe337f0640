// Package painttest reads back what a paint.Page wrote, for tests. It knows no
// more of PDF than such pages hold.
package painttest

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
)

// Content is the drawing commands of a document of one page.
func Content(t testing.TB, pdf []byte) string {
	t.Helper()
	require.True(t, bytes.HasPrefix(pdf, []byte("%PDF-")), "not a document")
	from := bytes.Index(pdf, []byte("stream\n"))
	require.Positive(t, from)
	z, err := zlib.NewReader(bytes.NewReader(pdf[from+len("stream\n"):]))
	require.NoError(t, err)
	content, err := io.ReadAll(z)
	require.NoError(t, err)
	return string(content)
}

var shown = regexp.MustCompile(`(?s)BT [-\d.]+ [-\d.]+ Td \((.*?)\) Tj ET`)

// Texts are the lines of text in the commands, in the order they are drawn.
// They are stored as UTF-16, the higher byte first.
func Texts(content string) []string {
	var out []string
	for _, m := range shown.FindAllStringSubmatch(content, -1) {
		raw := strings.NewReplacer(`\\`, `\`, `\(`, `(`, `\)`, `)`, `\r`, "\r").Replace(m[1])
		units := make([]uint16, len(raw)/2)
		for i := range units {
			units[i] = uint16(raw[2*i])<<8 | uint16(raw[2*i+1])
		}
		out = append(out, string(utf16.Decode(units)))
	}
	return out
}
