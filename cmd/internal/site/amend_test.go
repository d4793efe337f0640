package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const amended = `# A site, with a comment.
name = "Bend"

[[tree]]        # of the gate
id = "A-1"
species = "Salix nigra"

# About the second.
[[tree]]
id = "A-\"2"
mound = "20 cm"

[[row]]
name = "[[tree]]"
line = [[0.0, 0.0], [1.0, 1.0]]   # stays
spacing = "1 m"
pattern = ["Salix nigra"]
`

func TestAmendChangesNothingButItsTrees(t *testing.T) {
	assert.Equal(t, amended, string(Amend([]byte(amended), nil, nil)))
	text := string(Amend([]byte(amended), []Tree{{ID: `A-"2`, Mound: 0.35, Fixed: true}, {ID: "B-9", Species: `Nyssa "x" ogeche`, Trial: true}}, nil))
	for _, stays := range []string{"# A site, with a comment.", "# of the gate", "# stays", `name = "[[tree]]"`, `id = "A-1"`} {
		assert.Contains(t, text, stays)
	}
	assert.NotContains(t, text, "20 cm")
	assert.True(t, strings.HasSuffix(text, "[[tree]]\nid = \"B-9\"\nspecies = \"Nyssa \\\"x\\\" ogeche\"\ntrial = true\n"))
	s, err := parse(text, File{Name: "site.toml", Path: "/site.toml"})
	require.NotNil(t, s, "%v", err)
	require.Len(t, s.Told, 3)
	assert.Equal(t, Tree{ID: `A-"2`, Mound: 0.35, Fixed: true}, Tree{ID: s.Told[1].ID, Mound: s.Told[1].Mound, Fixed: s.Told[1].Fixed})
}

func TestAmendOfAFileWithoutALastNewline(t *testing.T) {
	text := string(Amend([]byte("name = 'x'"), []Tree{{ID: "A"}}, []string{"\n[[link]]\nkind = \"pipe\"\n"}))
	assert.Equal(t, "name = 'x'\n\n[[tree]]\nid = \"A\"\n\n[[link]]\nkind = \"pipe\"\n", text)
}

// Headings within a string of several lines are none.
func TestAmendMindsStringsOfSeveralLines(t *testing.T) {
	text := "name = \"\"\"\n[[tree]]\nid = \"A\"\n\"\"\"\n\n[[tree]]\nid = \"A\"\n"
	assert.Equal(t, "name = \"\"\"\n[[tree]]\nid = \"A\"\n\"\"\"\n\n[[tree]]\nid = \"A\"\nfixed = true\n", string(Amend([]byte(text), []Tree{{ID: "A", Fixed: true}}, nil)))
}

func FuzzAmend(f *testing.F) {
	f.Add(amended, "A-1")
	f.Add("[[tree]]\nid = 'A'", "A")
	f.Fuzz(func(t *testing.T, text, id string) {
		before, err := parse(text, File{Name: "site.toml", Path: "/site.toml"})
		if err != nil || strings.ContainsRune(id, 0xfffd) {
			return
		}
		out := Amend([]byte(text), []Tree{{ID: id, Mound: 0.5}}, nil)
		after, err := parse(string(out), File{Name: "site.toml", Path: "/site.toml"})
		if err != nil { // an inline array of trees cannot be added to, and an id may be none
			return
		}
		for _, was := range before.Told {
			found := false
			for _, is := range after.Told {
				found = found || is.ID == was.ID
			}
			if !found {
				t.Errorf("%q lost", was.ID)
			}
		}
	})
}
