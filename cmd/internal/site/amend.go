package site

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"
)

// Amend is the text of a site file with what is said of single trees, and of
// pipes and ditches, changed: a [[tree]] of one of the ids is replaced, the
// others and all else stay as they are, comments and order too, and what is new
// is added at the end. Text is that of a file that Read takes, and links are
// only added.
func Amend(text []byte, told []Tree, links []string) []byte {
	changed := make(map[string]bool, len(told))
	for _, t := range told {
		changed[t.ID] = true
	}
	var out bytes.Buffer
	for _, b := range blocks(text) {
		if id, ok := b.tree(); !ok || !changed[id] {
			out.Write(b.text)
		}
	}
	if n := out.Len(); n > 0 && out.Bytes()[n-1] != '\n' {
		out.WriteByte('\n')
	}
	for _, t := range told {
		out.WriteString(t.TOML())
	}
	for _, l := range links {
		out.WriteString(l)
	}
	return out.Bytes()
}

// TOML is a tree as a site file has it.
func (t Tree) TOML() string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n[[tree]]\nid = %s\n", quoteTOML(t.ID))
	if t.Species != "" {
		fmt.Fprintf(&b, "species = %s\n", quoteTOML(t.Species))
	}
	if t.Mound > 0 {
		fmt.Fprintf(&b, "mound = \"%g m\"\n", t.Mound)
	}
	if t.Trial {
		b.WriteString("trial = true\n")
	}
	if t.Fixed {
		b.WriteString("fixed = true\n")
	}
	return b.String()
}

// quoteTOML writes a basic string of TOML 1.0.
func quoteTOML(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// A block is a table of a site file with its heading, up to the next heading
// and the comments and blank lines over that.
type block struct{ text []byte }

// blocks parts a file at its headings. Lines within strings of several lines
// are no headings.
func blocks(text []byte) (out []block) {
	var at []int // where a block begins
	lines := bytes.SplitAfter(text, []byte("\n"))
	open := "" // the quotes that end the string one is in
	pos, loose := 0, 0
	for _, line := range lines {
		body := strings.TrimSpace(string(line))
		switch {
		case open != "":
			if strings.Contains(body, open) {
				open = ""
			}
			loose = pos + len(line)
		case strings.HasPrefix(body, "["):
			at = append(at, loose)
			loose = pos + len(line)
		case body == "" || strings.HasPrefix(body, "#"):
		default:
			loose = pos + len(line)
			for _, q := range []string{`"""`, `'''`} {
				if strings.Count(body, q)%2 == 1 {
					open = q
				}
			}
		}
		pos += len(line)
	}
	at = append(at, len(text))
	begin := 0
	for _, end := range at {
		if end > begin {
			out = append(out, block{text[begin:end]})
			begin = end
		}
	}
	return out
}

// tree is the id of a block that is one of a tree.
func (b block) tree() (id string, ok bool) {
	var v struct {
		Tree []struct{ ID string }
	}
	if !bytes.Contains(b.text, []byte("tree")) {
		return "", false
	}
	if meta, err := toml.Decode(string(b.text), &v); err != nil || len(v.Tree) != 1 || meta.Keys()[0].String() != "tree" {
		return "", false
	}
	return v.Tree[0].ID, true
}
