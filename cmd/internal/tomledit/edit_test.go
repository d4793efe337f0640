package tomledit

import (
	"os"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const sample = `# mine
name = "A \" # place"   # keep me
note = '''
[not a heading]
x = 1
'''

[storm]
rain     = "150 mm"  # from the gauge
duration = "24 h"

# the north row
[[row]]
name    = "A"
line    = [
  [1.0, 2.0], # start ]
  [3.0, 4.0],
]
spacing = "2.5 m"

[[row]]   # south
name    = 'B'
spacing = "3 m"
# the end
`

func parse(t *testing.T, text string) *Text {
	t.Helper()
	x, err := Parse(text)
	require.NoError(t, err)
	return x
}

func TestAValueIsReplacedWhereItStands(t *testing.T) {
	x := parse(t, sample)
	require.NoError(t, x.Set(x.Find("storm"), "rain", `"90 mm"`))
	require.NoError(t, x.Set(x.All("row")[0], "line", "[[5.0, 6.0], [7.0, 8.0]]"))
	require.NoError(t, x.Set(x.All("row")[1], "gaps", `[["1 m", "2 m"]]`))
	require.NoError(t, x.Set(Top, "units", `"feet"`))
	assert.Equal(t, `# mine
name = "A \" # place"   # keep me
note = '''
[not a heading]
x = 1
'''
units = "feet"

[storm]
rain     = "90 mm"  # from the gauge
duration = "24 h"

# the north row
[[row]]
name    = "A"
line    = [[5.0, 6.0], [7.0, 8.0]]
spacing = "2.5 m"

[[row]]   # south
name    = 'B'
spacing = "3 m"
gaps    = [["1 m", "2 m"]]
# the end
`, x.String())
}

func TestTablesComeAndGo(t *testing.T) {
	x := parse(t, sample)
	require.NoError(t, x.Add("row", true, Pair{"name", `"C"`}, Pair{"spacing", `"4 m"`}))
	require.NoError(t, x.Remove(x.All("row")[0]))
	require.NoError(t, x.Add("tree", true, Pair{"id", `"B-1"`}))
	require.NoError(t, x.Drop(x.Find("storm"), "duration"))
	assert.Equal(t, `# mine
name = "A \" # place"   # keep me
note = '''
[not a heading]
x = 1
'''

[storm]
rain     = "150 mm"  # from the gauge

# the north row
[[row]]   # south
name    = 'B'
spacing = "3 m"

[[row]]
name    = "C"
spacing = "4 m"

# the end

[[tree]]
id = "B-1"
`, x.String())
}

func TestEndsOfLinesAndOfFiles(t *testing.T) {
	x := parse(t, "a = 1\r\n[b]\r\nc = 2")
	require.NoError(t, x.Set(x.Find("b"), "d", "3"))
	assert.Equal(t, "a = 1\r\n[b]\r\nc = 2\r\nd = 3\r\n", x.String())
	x = parse(t, "")
	require.NoError(t, x.Add("storm", false, Pair{"rain", `"1 mm"`}))
	assert.Equal(t, "[storm]\nrain = \"1 mm\"\n", x.String())
}

func TestTextThatIsNoTOMLIsRefused(t *testing.T) {
	for _, text := range []string{"a", "a = [", "= 1", "[a", `a = "b`, "a = ]", `"a = 1`} {
		_, err := Parse(text)
		assert.Error(t, err, text)
	}
}

func TestTheSitesOfTheRepositoryScan(t *testing.T) {
	for _, name := range []string{"heron-bend", "heron-bend-shots", "heron-bend-book"} {
		b, err := os.ReadFile("../../../testdata/heron-bend/" + name + ".toml")
		require.NoError(t, err)
		x := parse(t, string(b))
		assert.NotEmpty(t, x.All("row"))
		v, ok := x.Get(x.Find("storm"), "rain")
		assert.True(t, ok)
		assert.Equal(t, `"150 mm"`, v)
	}
}

// Whatever TOML comes, the values found are those the library reads, and a
// value set changes that value and no other.
func FuzzSet(f *testing.F) {
	f.Add(sample)
	f.Add("a.b = 1\n[c]\n\"d e\" = {x = [1, 2], y = '}'}\n")
	f.Add("a = \"\"\"x\\\"\"\"\"\"\nb = ''''a'''''\n")
	f.Add("[a]\n[a.b]\nc = 1979-05-27 07:32:00 # d\n")
	f.Fuzz(func(t *testing.T, text string) {
		var before map[string]any
		if _, err := toml.Decode(text, &before); err != nil {
			return
		}
		x, err := Parse(text)
		if err != nil {
			t.Fatalf("TOML, but not scanned: %v", err)
		}
		if err := x.Set(Top, "zz", `"new"`); err != nil {
			t.Fatal(err)
		}
		var after map[string]any
		if _, err := toml.Decode(x.String(), &after); err != nil {
			if _, clash := before["zz"]; clash {
				return // the key is a table already
			}
			t.Fatalf("no TOML after a change: %v\n%s", err, x)
		}
		if _, ok := after["zz"].(string); !ok {
			t.Fatalf("not set: %v", after)
		}
		delete(after, "zz")
		delete(before, "zz")
		if !assert.ObjectsAreEqual(len(before), len(after)) {
			t.Fatalf("more changed than was asked: %v\n%v", before, after)
		}
	})
}
