package fieldbook

import (
	"embed"
	"fmt"
	"strings"
)

//go:embed templates/*.csv
var templates embed.FS

// Templates are the kinds Template knows, in the order a newcomer would try
// them.
func Templates() []string { return []string{"level", "laser", "water", "tape", "gnss"} }

// Template is an example of a book of a kind with a word on every line: to be
// copied and typed over. It reads and reduces as it stands.
func Template(kind string) (string, error) {
	kind = strings.ToLower(strings.TrimSpace(kind))
	if kind == "" {
		kind = "level"
	}
	text, err := templates.ReadFile("templates/" + kind + ".csv")
	if err != nil {
		return "", fmt.Errorf("%s is no kind of field book: use %s", quote(kind), listed(Templates()))
	}
	return string(text), nil
}
